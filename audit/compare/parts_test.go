package compare

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// What moved, by the story that the changes tell, one after another.
func TestCauseOfAStory(t *testing.T) {
	ring, hub := diagnosis.Line{On: lines.OnRing}, diagnosis.Line{On: lines.OnHub}
	alike := func(on string) diagnosis.Story { return diagnosis.Story{Kind: diagnosis.PartAlike, On: on} }
	each, all := diagnosis.Story{Kind: diagnosis.EachByItself}, diagnosis.Story{Kind: diagnosis.AllAlike}
	moved := []diagnosis.Explanation{{Code: diagnosis.ReadoutMoved}}
	for name, c := range map[string]struct {
		told   diagnosis.Diagnosis
		lines  []diagnosis.Line
		offset []geometry.Angle
		want   Cause
	}{
		"each by itself":                {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: each}}, []diagnosis.Line{ring, hub}, []geometry.Angle{1, 1}, Unmoved},
		"the hub by itself":             {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: each}}, []diagnosis.Line{ring, hub}, []geometry.Angle{0, 1}, HubLine},
		"the hub, or a readout":         {diagnosis.Diagnosis{Standing: moved, Measured: diagnosis.Explanation{Story: each}}, []diagnosis.Line{ring, hub}, []geometry.Angle{0, 1}, Open},
		"the hub's lines":               {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: alike(lines.OnHub)}}, []diagnosis.Line{ring, hub}, []geometry.Angle{0, 1}, HubLine},
		"the ring's":                    {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: alike(lines.OnRing)}}, []diagnosis.Line{ring, hub}, []geometry.Angle{1, 0}, Ring},
		"the ring's, or a readout":      {diagnosis.Diagnosis{Standing: moved, Measured: diagnosis.Explanation{Story: alike(lines.OnRing)}}, []diagnosis.Line{ring, hub}, []geometry.Angle{1, 0}, Open},
		"the ring's, refuted":           {diagnosis.Diagnosis{Refuted: true, Measured: diagnosis.Explanation{Story: alike(lines.OnRing)}}, []diagnosis.Line{ring, hub}, []geometry.Angle{1, 0}, Open},
		"those of another part":         {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: alike("flywheel")}}, []diagnosis.Line{{On: "flywheel"}, hub}, []geometry.Angle{1, 0}, RingOrPointer},
		"all, with the hub":             {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: all}}, []diagnosis.Line{ring, hub}, []geometry.Angle{1, 1}, Pointer},
		"all, none of them on the hub":  {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: all}}, []diagnosis.Line{ring, ring}, []geometry.Angle{1, 1}, RingOrPointer},
		"all on the ring, told for all": {diagnosis.Diagnosis{Measured: diagnosis.Explanation{Story: diagnosis.Story{Kind: diagnosis.AllAlike, On: lines.OnRing}}}, []diagnosis.Line{ring, ring}, []geometry.Angle{1, 1}, RingOrPointer},
	} {
		e := diagnosis.Evidence{Lines: c.lines, Offset: diagnosis.Table{c.offset}, Own: diagnosis.Table{make([]geometry.Angle, len(c.lines))}}
		if got := causeOf(c.told, e); got != c.want {
			t.Errorf("%s: got %v, want %v", name, got, c.want)
		}
	}
	for c := Unmoved; c <= Open; c++ {
		text, err := c.MarshalText()
		var back Cause
		if err != nil || back.UnmarshalText(text) != nil || back != c {
			t.Errorf("%v: written %s, read %v", c, text, back)
		}
	}
	var c Cause
	if c.UnmarshalText([]byte("luck")) == nil {
		t.Error("luck is a cause")
	}
}

// closed is an audit of some setups, each with its closing pair, NaN where it has none.
func closed(mountings int, pairs ...float64) audit.Result {
	var r audit.Result
	r.TDC.Mountings = make([]tdc.Mounting, mountings)
	for _, p := range pairs {
		s := tdc.Setup{}
		if a := geometry.Angle(p); !math.IsNaN(p) {
			s.Closing = &a
		}
		r.TDC.Setups = append(r.TDC.Setups, s)
	}
	return r
}

// The mean of the closing pairs by hand, none of none; and three mountings prove that a
// readout stayed, or a pair in each setup.
func TestClosingPairsOfAnAudit(t *testing.T) {
	none := math.NaN()
	for _, c := range []struct {
		r      audit.Result
		mean   geometry.Angle
		proven bool
	}{
		{closed(1, 0.5), 0.5, true},
		{closed(2, 0.5, -0.1), 0.2, true},
		{closed(2, 0.5, none), 0.5, false},
		{closed(2, none, 0.5), 0.5, false},
		{closed(2, none, none), 0, false},
		{closed(3, none, none, none), 0, true},
		{closed(3, none, 0.3, none), 0.3, true},
		{closed(1, none, none, none), 0, false},
	} {
		if got := closing(c.r); (got - c.mean).Abs() > 1e-15 {
			t.Errorf("closing pairs: got %v, want %v", got, c.mean)
		}
		if got := Proven(c.r); got != c.proven {
			t.Errorf("%d mountings: proven %v", len(c.r.TDC.Mountings), got)
		}
	}
	differ := closed(3, none, none, none)
	differ.Diagnosis.Refuted, differ.Diagnosis.Measured.Worst.Kind = true, diagnosis.ItemSetup
	if Proven(differ) {
		t.Error("mountings that differ prove that the readout stayed")
	}
}

// The evidence of a change, by hand from two audits.
func TestEvidenceOfAChange(t *testing.T) {
	line := func(offset geometry.Angle, sd float64, perLine ...float64) lines.Line {
		l := lines.Line{Mark: sheet.Mark{Name: "T", At: 30, Tolerance: 0.5, On: lines.OnRing}, Zero: 120, Offset: &uncertainty.Estimate{Value: offset}, Scatter: lines.Scatter{SD: geometry.Angle(sd), DOF: 4}}
		for _, p := range perLine {
			l.Seen = append(l.Seen, lines.Seen{PerLine: p})
		}
		return l
	}
	a, b := closed(1, 0.1), closed(1, 0.4)
	a.TDC.Standard, a.TDC.DOF, b.TDC.Standard, b.TDC.DOF = 0.03, 5, 0.04, 7
	a.Lines = []lines.Line{line(9, 9, 1), line(179, 0.3, 0.25)}
	b.Lines = []lines.Line{line(-179.5, 0.8, 0.25, 0.75), line(9, 9, 1)}
	c := Comparison{Audits: []audit.Result{a, b}}
	s := Step{From: 0, To: 1}
	e := changeEvidence(&c, &s, []int{1}, []int{0})
	// 0.3·√¼ = 0.15 of the first, 0.8·√((¼ + ¾)/4) = 0.4 of the second.
	if !(math.Abs(e.Offset[0][0].Degrees()-1.5) <= 1e-12) || !(math.Abs(e.Own[0][0].Degrees()-math.Hypot(0.15, 0.4)) <= 1e-12) {
		t.Errorf("changed by %v, own %v", e.Offset[0][0], e.Own[0][0])
	}
	if !(math.Abs(e.TDC[0].Degrees()-0.05) <= 1e-15) || e.Scatter.MiddleDOF != 12 || !(math.Abs(e.Scatter.Middle.Degrees()-0.05) <= 1e-15) {
		t.Errorf("TDC %v, scatter %+v", e.TDC, e.Scatter)
	}
	if len(e.Pairs) != 1 || !(math.Abs(e.Pairs[0].Value.Degrees()-0.3) <= 1e-12) || !e.Pairs[0].AfterLines || e.Pairs[0].Kind != diagnosis.Closing || !(math.Abs(e.Pairs[0].SD.Degrees()-math.Hypot(0.05, 0.05)) <= 1e-12) {
		t.Errorf("pairs %+v", e.Pairs)
	}
	if l := e.Lines[0]; l.Name != "T" || l.At != 30 || l.CylinderTDC != 120 || l.On != lines.OnRing || l.Early != 0.5 || l.Late != 0.5 || !l.Checked || len(e.Lines) != 1 || !e.QuarterTurn {
		t.Errorf("lines %+v", e.Lines)
	}
	for i := range c.Audits { // a pair in one of them alone says nothing
		unproven := Comparison{Audits: slices.Clone(c.Audits)}
		unproven.Audits[i].TDC.Setups = []tdc.Setup{{}}
		if e := changeEvidence(&unproven, &s, []int{1}, []int{0}); len(e.Pairs) != 0 {
			t.Errorf("without the pair of audit %d: %+v", i, e.Pairs)
		}
	}
}

// Which inputs two audits share, by name: what is one thing on the engine or at the
// bench, and nothing else.
func TestWhatTwoAuditsShare(t *testing.T) {
	input := func(source uncertainty.Source, of string, scale, sensitivity float64) uncertainty.Contribution {
		return uncertainty.By(uncertainty.Input{ID: uncertainty.ID{Source: source, Of: of}, Scale: scale}, sensitivity)
	}
	r := audit.Result{Lines: []lines.Line{{Mark: sheet.Mark{Name: "T"}, Offset: &uncertainty.Estimate{}, From: uncertainty.Combination{
		Groups: []uncertainty.Group{{Mountings: []string{"1", "2"}, Values: []geometry.Angle{1, 2}, Scatter: []uncertainty.Contribution{input(uncertainty.LineReadings, "T", 0.1, 1)}}},
		Inputs: []uncertainty.Contribution{
			input(uncertainty.Sighting, "part", 0.3, 1), input(uncertainty.Remounting, "1", 0.2, -0.5), input(uncertainty.Remounting, "2", 0.2, 0.5),
			input(uncertainty.LostMotion, "readout", 0.4, 0.5), input(uncertainty.PinOffset, "crank", 0.8, 0.25), input(uncertainty.BoreOffset, "crank", 0.5, 0.5),
			input(uncertainty.RimDiameter, "rim", 0.7, 1), input(uncertainty.Correction, "wheel", 1, 1),
		},
	}}}}
	r.Sheet.Readout.Name = "wheel 3"
	r.Sheet.Readout.Correction = &sheet.Correction{Name: "c", Date: "2025-01-02"}
	c := Comparison{Audits: []audit.Result{r, r, r, r}}
	c.Audits[1].Sheet.Readout.Name = ""
	c.Audits[2].Sheet.Readout.OffCentre = 0.1
	c.Audits[3].Sheet.Readout.Correction = &sheet.Correction{Name: "c", Date: "2025-01-03"}
	names := func(at int) map[uncertainty.Source][]string {
		out := map[uncertainty.Source][]string{}
		for _, x := range c.weighted(at, c.Audits[at].Lines, []int{0}, []float64{2}).Inputs {
			out[x.Source] = append(out[x.Source], fmt.Sprint(x.Of, " ", x.Scale, " ", x.Sensitivity[0], " ", x.Unsigned))
		}
		return out
	}
	got := names(0)
	for source, want := range map[uncertainty.Source][]string{
		uncertainty.Sighting:    {"part of audit 0 0.3 2 false"},
		uncertainty.Remounting:  {"0.2 0 0.2 -1 true", "0.2 1 0.2 1 true"},
		uncertainty.LostMotion:  {"wheel 30.4 0.4 1 false"},
		uncertainty.PinOffset:   {"engine 1 0.4 false"}, // 0.8 · 0.25 · 2
		uncertainty.BoreOffset:  {"engine 1 0.5 false"},
		uncertainty.RimDiameter: {"0.7 0.7 2 false"},
	} {
		if !slices.Equal(got[source], want) {
			t.Errorf("%v: got %q, want %q", source, got[source], want)
		}
	}
	if other := names(1); !slices.Equal(other[uncertainty.LostMotion], []string{"readout of audit 1 0.4 1 false"}) {
		t.Errorf("a readout without a name: %q", other[uncertainty.LostMotion])
	}
	same := names(1)[uncertainty.Correction][0]
	if same != got[uncertainty.Correction][0] || names(2)[uncertainty.Correction][0] == same || names(3)[uncertainty.Correction][0] == same {
		t.Error("one correction has two names, or two have one")
	}
	c.Audits[1].Sheet.Readout.OffCentre = 0.5 // how far off does not make it another
	if names(1)[uncertainty.Correction][0] != names(2)[uncertainty.Correction][0] {
		t.Error("one correction of a wheel off centre has two names")
	}
	sum := c.of(2, "T")
	if g := sum.Groups[0]; !slices.Equal(g.Mountings, []string{"1 of audit 2", "2 of audit 2"}) || g.Scatter[0].Of != "T of audit 2" || r.Lines[0].From.Groups[0].Mountings[0] != "1" {
		t.Errorf("mountings %q, scatter of %q", g.Mountings, g.Scatter[0].Of)
	}
}

// A trend is the least-squares line through the offsets over the years (gonum), of one
// line or of the mean of several; undated audits, and such as moved, take no part. The
// confidence is that of the last audit.
func TestTrendIsTheLeastSquaresLine(t *testing.T) {
	on := []string{lines.OnRing, lines.OnRing, lines.OnRing}
	offsets := [][]float64{{0, 0.1, 0.2}, {0.4, 0.1, 0.3}, {0.3, 0.5, 0.2}, {0.9, 0.6, 0.2}}
	dates := []string{"2019-03-01", "2020-09-11", "2021-02-03", "2024-12-24"}
	var all []sheet.Sheet
	for i, late := range offsets {
		s := pulley(on, late, true)
		s.Date = dates[i]
		all = append(all, s)
	}
	all[3].Limits.Confidence = 0.8
	c, err := Sheets(all)
	if err != nil {
		t.Fatal(err)
	}
	years := make([]float64, len(all))
	for i, day := range c.Taken {
		years[i] = float64(day.Unix()-c.Taken[0].Unix()) / (365.25 * 24 * 3600)
	}
	slope := func(of func(audit.Result) float64, some []int) float64 {
		var x, y []float64
		for _, i := range some {
			x, y = append(x, years[i]), append(y, of(c.Audits[i]))
		}
		_, beta := stat.LinearRegression(x, y, nil, false)
		return beta
	}
	line := func(j int) func(audit.Result) float64 {
		return func(r audit.Result) float64 { return r.Lines[j].Offset.Value.Degrees() }
	}
	mean := func(r audit.Result) float64 { return (line(0)(r) + line(1)(r) + line(2)(r)) / 3 }
	if len(c.Trends) != 4 {
		t.Fatalf("%d trends", len(c.Trends))
	}
	every := []int{0, 1, 2, 3}
	for j, of := range []func(audit.Result) float64{line(0), line(1), line(2), mean} {
		got := c.Trends[j].PerYear
		if want := slope(of, every); !(math.Abs(got.Value.Degrees()-want) <= 1e-12) || !got.Known {
			t.Errorf("trend %d: %+v, want %v", j, got, want)
		}
		if rising := got.Value.Abs() > got.Expanded; c.Trends[j].Rising != rising {
			t.Errorf("trend %d: rising %v at %v ± %v", j, c.Trends[j].Rising, got.Value, got.Expanded)
		}
	}
	if names := c.Names(); !slices.Equal(names, []string{"line 0", "line 1", "line 2"}) {
		t.Errorf("names %q", names)
	}
	before := c.Trends[0].PerYear.Expanded
	c.Audits[3].Sheet.Limits.Confidence, c.Trends = 0.95, nil
	addTrend(&c, "line 0", []string{"line 0"})
	if !(c.Trends[0].PerYear.Expanded > 1.2*before) {
		t.Errorf("± %v at 95 %%, %v at 80 %%", c.Trends[0].PerYear.Expanded, before)
	}
	// Without the second date, or with a readout that moved, three audits are left.
	for name, leave := range map[string]func(c *Comparison){
		"undated": func(c *Comparison) { c.Taken[1] = time.Time{} },
		"moved": func(c *Comparison) {
			c.Audits[1].Diagnosis.Refuted, c.Audits[1].Diagnosis.Standing = true, []diagnosis.Explanation{{Code: diagnosis.ReadoutMoved}}
		},
		"a line not read": func(c *Comparison) {
			c.Audits[1].Lines = slices.Clone(c.Audits[1].Lines)
			c.Audits[1].Lines[0].Offset = nil
		},
	} {
		d := c
		d.Audits, d.Taken, d.Trends = slices.Clone(c.Audits), slices.Clone(c.Taken), nil
		leave(&d)
		addTrend(&d, "line 0", []string{"line 0"})
		if len(d.Trends) != 1 || !(math.Abs(d.Trends[0].PerYear.Value.Degrees()-slope(line(0), []int{0, 2, 3})) <= 1e-12) {
			t.Errorf("%s: %+v", name, d.Trends)
		}
		d.Taken[2], d.Trends = d.Taken[3], nil // two dates are no trend
		if addTrend(&d, "line 0", []string{"line 0"}); len(d.Trends) != 0 {
			t.Errorf("%s: a trend of two dates: %+v", name, d.Trends)
		}
	}
	// One line is no mean of several; none is nothing.
	n := len(c.Trends)
	addTrend(&c, "", []string{"line 0"})
	addTrend(&c, "", nil)
	if len(c.Trends) != n {
		t.Errorf("a mean of one: %+v", c.Trends[n:])
	}
}

func TestLinesOfTheSameMountings(t *testing.T) {
	in := func(mountings ...int) lines.Line {
		var l lines.Line
		for _, m := range mountings {
			l.Seen = append(l.Seen, lines.Seen{At: tdc.Zero{Mounting: m}})
		}
		return l
	}
	all := []lines.Line{in(0), in(1), in(1), in(0, 1), in(0)}
	for _, c := range []struct {
		some []int
		want bool
	}{{[]int{0}, true}, {[]int{0, 1}, false}, {[]int{1, 0}, false}, {[]int{1, 2}, true}, {[]int{0, 4, 0}, true}, {[]int{0, 4, 3}, false}, {[]int{3, 0}, false}} {
		if got := sameMountings(all, c.some); got != c.want {
			t.Errorf("lines %v: %v", c.some, got)
		}
	}
}
