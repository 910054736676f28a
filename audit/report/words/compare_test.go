package words

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"markaudit/audit"
	"markaudit/audit/compare"
	"markaudit/audit/lines"
	"markaudit/audit/repeatability"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// A case and its mirror image: every sentence turns from later to earlier, and none
// is lost.
func TestComparisonTurns(t *testing.T) {
	say := func(by geometry.Angle) []string {
		common := &uncertainty.Estimate{Value: by, Expanded: 0.2, Known: true}
		c := compare.Comparison{Audits: make([]audit.Result, 2), Order: []int{0, 1}}
		c.Taken = make([]time.Time, 2)
		for _, f := range []lines.Finding{lines.Common, lines.SingleMark, lines.Individual} {
			c.Steps = append(c.Steps, compare.Step{From: 0, To: 1, Shift: lines.Shift{Finding: f, Common: common, Shifted: true, Lines: []string{"T"}, StandsOut: []string{"T"}}})
		}
		c.Changes = []compare.Change{{Mark: "T", To: 1, Scribed: true, Meant: by, AsMeant: true, Difference: *common}}
		c.Trends = []compare.Trend{{Mark: "T", PerYear: *common, Rising: true}, {PerYear: *common}}
		v := Comparison{Result: c, Paths: []string{"a.yaml", "b.yaml"}}
		return append(v.Steps(), v.Trends()...)
	}
	later, earlier := say(1.33), say(-1.33)
	if len(later) != len(earlier) {
		t.Fatalf("%d sentences, mirrored %d", len(later), len(earlier))
	}
	for i := range later {
		if !strings.Contains(later[i], "later") && !strings.Contains(later[i], "alone makes such a slope") {
			t.Errorf("does not say which way: %s", later[i])
		}
		if turned := strings.ReplaceAll(later[i], "later", "earlier"); turned != earlier[i] {
			t.Errorf("mirrored it is\n%s\nwant\n%s", earlier[i], turned)
		}
	}
}

// Of many lines those that changed are shown, and one sentence tells of the rest.
func TestManyLinesCompared(t *testing.T) {
	var c compare.Comparison
	var r audit.Result
	for i := range 20 {
		name := fmt.Sprint("m", i)
		r.Lines = append(r.Lines, lines.Line{Mark: sheet.Mark{Name: name}})
		c.Changes = append(c.Changes, compare.Change{Mark: name, To: 1, Differs: i == 3, Difference: uncertainty.Estimate{Value: geometry.Angle(0.01 * float64(i%7)), Expanded: 0.3, Known: true}})
	}
	c.Audits = []audit.Result{r, r}
	v := Comparison{Result: c}
	rest, text := v.Others(8)
	if len(rest) != 19 || rest["m3"] || !strings.HasPrefix(text, "The other 19 did not change. Largest of them: m6, 0.06° later") {
		t.Errorf("%d others: %s", len(rest), text)
	}
	if rest, text := v.Others(20); rest != nil || text != "" {
		t.Errorf("of twenty all are shown: %v, %s", rest, text)
	}
}

// A ring that slipped beside a hub that stayed is named, not the hub's line.
func TestTheRingIsNamed(t *testing.T) {
	part := func(on string, by geometry.Angle, names ...string) compare.Part {
		return compare.Part{On: on, Lines: names, Change: uncertainty.Estimate{Value: by, Expanded: 0.2, Known: true}, Moved: by != 0}
	}
	s := compare.Step{
		To: 1, Shift: lines.Shift{Finding: lines.SingleMark, Common: &uncertainty.Estimate{Value: -1.33, Expanded: 0.2, Known: true}, Shifted: true, StandsOut: []string{"h"}},
		Cause: compare.Ring, Parts: []compare.Part{part(lines.OnRing, -1.33, "a", "b"), part(lines.OnHub, 0, "h")},
	}
	say := func(s compare.Step) string {
		c := compare.Comparison{Audits: make([]audit.Result, 2), Order: []int{0, 1}, Taken: make([]time.Time, 2), Steps: []compare.Step{s}}
		return Comparison{Result: c, Paths: []string{"a.yaml", "b.yaml"}}.Steps()[0]
	}
	if got := say(s); !strings.HasPrefix(got, "From a.yaml to b.yaml: the lines on the ring moved together and come up 1.33° earlier ± 0.20°; “h” stayed. The outer ring slipped") {
		t.Errorf("the ring alone: %s", got)
	}
	s.Parts[1] = part(lines.OnHub, 0.5, "h")
	if got := say(s); !strings.HasPrefix(got, "From a.yaml to b.yaml: h moved against the others. These moved together") {
		t.Errorf("the hub moved too: %s", got)
	}
}

// A mean of readings has no more decimals than any wheel shows.
func TestSideOf(t *testing.T) {
	for x, want := range map[float64]string{0: "neither early nor late", 0.00014: "neither early nor late", -0.0714: "0.071° early", 0.457: "0.46° late", 12.3: "12° late", -0.0009: "0.001° early"} {
		if got := SideOf(x); got != want {
			t.Errorf("%g: %q, want %q", x, got, want)
		}
	}
}

// Of a large class those with nothing to do share a sentence; in a small one each has
// an own.
func TestQuiet(t *testing.T) {
	var r repeatability.Result
	for i := range 10 {
		r.People = append(r.People, repeatability.Person{By: fmt.Sprint("p", i), SD: repeatability.Estimate{Value: 0.1, Known: i != 9}})
	}
	r.Flags = []repeatability.Flag{{Code: repeatability.SitsOff, By: "p3", Values: []float64{0.5, 0.001}}}
	if who, text := Quiet(r); who != nil || text != "" {
		t.Errorf("eight: %v, %s", who, text)
	}
	r.People[9].SD.Known = true
	who, text := Quiet(r)
	if len(who) != 9 || who["p3"] || !strings.Contains(text, "p0 0.28°, p1 0.28°, p2 0.28°, p4 0.28°") {
		t.Errorf("nine: %v, %s", who, text)
	}
	r.Steadiest = "p5"
	if who, _ := Quiet(r); who != nil {
		t.Errorf("the steadiest has an own sentence: %v", who)
	}
}
