package qualify

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit/jobrecord"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// A study is read row by row into trials, whichever contact comes first.
func TestTrialsAreRead(t *testing.T) {
	s, _, err := ReadTrials("s.csv", []byte("tool,setup,trial,approach,reading,by,note,struck\n"+
		"reference,1,1,backward,20.50,Ana,,\n"+
		"new,1,1,forward,339,Ana,,\n"+
		"reference,1,1,forward,340.0,Ana,cold,\n"+
		"new,1,1,backward,21,Ana,,slipped\n"))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Trials) != 2 || s.Digest == "" {
		t.Fatalf("got %+v", s)
	}
	ref, other := s.Trials[0], s.Trials[1]
	if ref.Tool != ReferenceTool || ref.Setup != "1" || ref.Name != "1" || ref.By != "Ana" || ref.Forward.Value != 340 || ref.Backward.Value != 20.5 || ref.Forward.Note != "cold" || !ref.Usable() {
		t.Errorf("the trusted stop's: %+v", ref)
	}
	if other.Tool != NewTool || other.Usable() || other.Backward.Reason != "slipped" || other.Forward.Struck {
		t.Errorf("the new stop's: %+v", other)
	}
	if !cmp.Equal(ref.Lines, map[sheet.Approach]int{sheet.Backward: 2, sheet.Forward: 4}) || !cmp.Equal(ref.Texts, map[sheet.Approach]string{sheet.Backward: "20.50", sheet.Forward: "340.0"}) {
		t.Errorf("lines %v, texts %v", ref.Lines, ref.Texts)
	}
}

// Every fault of a file is told where it stands.
func TestTrialsFaults(t *testing.T) {
	const header = "tool,setup,trial,approach,reading\n"
	for _, c := range []struct{ rows, want string }{
		{"new,,1,forward,1\n", "s.csv:2:5: setup: found nothing, expected the name or number of the setup"},
		{"new,1,,forward,1\n", "s.csv:2:7: trial: found nothing, expected the number of the pair that the contact belongs to"},
		{"new,,,forward,1\n", "s.csv:2:5: setup: found nothing, expected the name or number of the setup\ns.csv:2:6: trial: found nothing, expected the number of the pair that the contact belongs to"},
		{"neu,1,1,forward,1\n", "s.csv:2:1: tool: found neu, expected reference or new\n  hint: did you mean \"new\"?"},
		{"stop A,1,1,forward,1\n", "s.csv:2:1: tool: found stop A, expected reference or new\n  hint: the names of the tools go on the tag, with --name and --against"},
		{"new,1,1,forwards,1\n", "s.csv:2:9: approach: found forwards, expected forward or backward"},
		{"new,1,1,forward,x\n", "s.csv:2:17: reading: found x, expected a number"},
		{"new,1,1,forward,12.5 BTDC\n", "s.csv:2:17: reading: found 12.5 BTDC, expected degrees without letters\n  hint: write what the readout shows, such as 347.5 for 12.5 BTDC"},
		{"new,1,1,forward,1\nnew,1,1,forward,2\n", "s.csv:3:17: reading: found a second forward contact of trial 1 of the new tool in setup 1, expected one\n  hint: give a pair that was taken again a number of its own"},
		{"new,1,1,backward,1\nnew,1,1,backward,2\n", "s.csv:3:18: reading: found a second backward contact of trial 1 of the new tool in setup 1, expected one\n  hint: give a pair that was taken again a number of its own"},
	} {
		_, _, err := ReadTrials("s.csv", []byte(header+c.rows))
		if err == nil || strings.TrimSuffix(err.Error(), "\n") != c.want && !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%q:\ngot %v\nwant %s", c.rows, err, c.want)
		}
	}
}

// The record has every contact as it was written, with what became of it, in the order
// of the file. Three pairs of each stop lie on whole hundredths; the new stop's second
// forward contact is a degree off.
func TestReadingsForTheRecord(t *testing.T) {
	var b strings.Builder
	b.WriteString("tool,setup,trial,approach,reading,struck\n")
	for _, x := range []string{
		"reference,1,1,forward,340.00,", "reference,1,1,backward,20.00,", "new,1,1,forward,338.01,", "new,1,2,forward,339.00,",
		"new,1,1,backward,22.00,", "reference,1,2,forward,340.01,", "reference,1,2,backward,20.01,", "new,1,2,backward,22.00,",
		"new,1,3,forward,338.00,", "new,1,3,backward,22.01,", "reference,1,3,forward,340.00,bumped", "new,1,4,forward,338.00,", "new,1,4,backward,22.00,",
	} {
		b.WriteString(x + "\n")
	}
	s, _, err := ReadTrials("s.csv", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	for _, looked := range []bool{false, true} {
		r := ran(t, s, Options{AllowedBias: 0.1, Step: 0.01, AsRead: looked})
		if len(r.Slips) != 1 || r.Slips[0].Trial != "2" || !slices.Equal(r.Slips[0].Suspects, []sheet.Approach{sheet.Forward}) {
			t.Fatalf("slips %+v", r.Slips)
		}
		got := r.Readings(s)
		if len(got) != 13 {
			t.Fatalf("got %+v", got)
		}
		for i, x := range got {
			if x.Row != i+2 {
				t.Errorf("row %d comes as number %d", x.Row, i+2)
			}
			if (x.Slip || x.AsRead) && i != 3 && i != 7 || (x.Struck != "") != (i == 10) {
				t.Errorf("%+v", x)
			}
		}
		want := jobrecord.Reading{Row: 5, Where: "new, setup 1, trial 2, forward", Text: "339.00", Slip: true, AsRead: looked}
		if diff := cmp.Diff(want, got[3]); diff != "" {
			t.Error(diff)
		}
		// Its partner is not suspected; that the pair was looked up is said of both.
		if diff := cmp.Diff(jobrecord.Reading{Row: 9, Where: "new, setup 1, trial 2, backward", Text: "22.00", AsRead: looked}, got[7]); diff != "" {
			t.Error(diff)
		}
		if diff := cmp.Diff(jobrecord.Reading{Row: 12, Where: "reference, setup 1, trial 3, forward", Text: "340.00", Struck: "bumped"}, got[10]); diff != "" {
			t.Error(diff)
		}
	}
}

// Which contact of a pair is suspected: the one that is off by more than three times as
// much as the other. Forward is off by a, backward by b, of five pairs that otherwise
// agree to a step.
func TestWhichContactIsSuspected(t *testing.T) {
	for _, c := range []struct {
		a, b  float64
		which []sheet.Approach
		lines []int
	}{
		{1, 0, []sheet.Approach{sheet.Forward}, []int{10}},
		{0, 1, []sheet.Approach{sheet.Backward}, []int{11}},
		{0.91, 0.3, []sheet.Approach{sheet.Forward}, []int{10}},
		{0.89, 0.3, nil, []int{10, 11}},
		{0.3, 0.91, []sheet.Approach{sheet.Backward}, []int{11}},
		{0.3, 0.89, nil, []int{10, 11}},
		{-1, 0.2, []sheet.Approach{sheet.Forward}, []int{10}},
		{1, -1, nil, []int{10, 11}},
		{-1, 1, nil, []int{10, 11}},
		{-0.4, 1, nil, []int{10, 11}},
	} {
		for _, counts := range []geometry.Angle{1, -1} {
			var pairs []pair
			for i := range 10 {
				p := pair{Tool(i / 5), "1", 0, 20 + 2*float64(i/5)}
				if i == 4 {
					p.middle, p.half = (c.a+c.b)/2, 20+(c.b-c.a)/2
				}
				pairs = append(pairs, p)
			}
			s := made(pairs...)
			for i := range s.Trials {
				s.Trials[i].Forward.Value *= counts
				s.Trials[i].Backward.Value *= counts
			}
			r := ran(t, s, Options{AllowedBias: 0.1, Step: 0.01})
			if len(r.Slips) != 1 {
				t.Errorf("%+v: %+v", c, r.Slips)
				continue
			}
			x := r.Slips[0]
			if !slices.Equal(x.Suspects, c.which) || !slices.Equal(x.Lines, c.lines) || math.Abs(x.By.Degrees()-max(math.Abs(c.a), math.Abs(c.b))) > 1e-9 || x.Trial != "5" || x.Tool != ReferenceTool || x.Exchanged {
				t.Errorf("%+v: %+v", c, x)
			}
			told := warned(r, StandsOut)
			if len(told) != 1 || told[0].Trial != "5" || told[0].Tool != "reference" || !slices.Equal(told[0].Lines, c.lines) || math.Abs(told[0].Values[0]-x.By.Degrees()) > 1e-12 {
				t.Errorf("%+v: told %+v", c, told)
			}
		}
	}
}

// Two pairs alone accuse each other, and neither contact more than the other.
func TestTwoPairsAccuseEachOther(t *testing.T) {
	r := ran(t, made(
		pair{NewTool, "1", 100, 22}, pair{NewTool, "1", 101, 22}, pair{ReferenceTool, "1", 100, 20},
		pair{NewTool, "2", 100, 22}, pair{NewTool, "2", 100, 22}, pair{NewTool, "3", 100, 22}, pair{NewTool, "3", 100, 22}, pair{NewTool, "4", 100, 22}, pair{NewTool, "4", 100, 22},
	), Options{AllowedBias: 0.1, Step: 0.01})
	if len(r.Slips) != 2 || r.Slips[0].Trial != "1" || r.Slips[1].Trial != "2" || r.Slips[0].Suspects != nil || r.Slips[1].Suspects != nil || !slices.Equal(r.Slips[0].Lines, []int{2, 3}) {
		t.Errorf("got %+v", r.Slips)
	}
	s := made(pair{NewTool, "1", 100, 22}, pair{NewTool, "1", 101, 22}, pair{NewTool, "1", 100, 22}, pair{NewTool, "1", 100, 22}, pair{NewTool, "1", 100, 22})
	for i := range s.Trials {
		s.Trials[i].Lines = nil // no file
	}
	if r := ran(t, s, Options{AllowedBias: 0.1, Step: 0.01}); len(r.Slips) != 1 || r.Slips[0].Lines != nil {
		t.Errorf("without a file: %+v", r.Slips)
	}
	if r.Verdict != NotProven || !slices.Equal(r.Reasons, []Reason{LookFirst}) {
		t.Errorf("%v, %v", r.Verdict, r.Reasons)
	}
}

// After three of one tool nobody looks for more; the other tool has three of its own.
func TestSlipsAreThreeOfATool(t *testing.T) {
	var pairs []pair
	for i := range 60 {
		p := pair{Tool(i % 2), "1", 100, 20 + 4*float64(i%2)}
		if i >= 52 { // four of each, each ten times as far as the one before
			p.middle += math.Pow(10, -1-float64((i-52)/2)) * 20
		}
		pairs = append(pairs, p)
	}
	r := ran(t, made(pairs...), Options{AllowedBias: 0.1, Step: 0.0001})
	var of [2]int
	for i, x := range r.Slips {
		of[x.Tool]++
		if i > 0 && x.trial <= r.Slips[i-1].trial {
			t.Errorf("not in the order of the file: %+v", r.Slips)
		}
		if x.Trial > "58" {
			t.Errorf("the nearest is named before a farther one: %+v", x)
		}
	}
	if of != [2]int{3, 3} {
		t.Errorf("named %v", of)
	}
}

// Labels can be told to be exchanged where the stops sit six times the scatter of their
// half arcs apart: here 1.4826 times a median deviation of 0.1, so 0.88956 apart.
func TestExchangedLabels(t *testing.T) {
	const scatter = 1.4826 * 0.1
	study := func(apart float64) Study {
		var pairs []pair
		for _, off := range []float64{-0.2, -0.1, 0, 0.1, 0.2} {
			pairs = append(pairs, pair{ReferenceTool, "1", 100, 20 + off}, pair{NewTool, "1", 100, 20 + apart + 0.4*off})
		}
		return made(pairs...)
	}
	for apart, unchecked := range map[float64]bool{6*scatter - 1e-6: true, 6*scatter + 1e-6: false, -6*scatter + 1e-6: true, -6*scatter - 1e-6: false} {
		if r := ran(t, study(apart), fine); (len(warned(r, LabelsUnchecked)) == 1) != unchecked || len(r.Slips) > 0 {
			t.Errorf("%g apart: %+v, %+v", apart, r.Slips, r.Warnings)
		}
	}
	// Without scatter the step is the measure: q/√24 of a middle.
	for apart, unchecked := range map[float64]bool{6*0.5/math.Sqrt(24) - 1e-6: true, 6*0.5/math.Sqrt(24) + 1e-6: false} {
		r := ran(t, made(pair{ReferenceTool, "1", 100, 20}, pair{NewTool, "1", 100, 20 + apart}), Options{AllowedBias: 1, Step: 0.5})
		if (len(warned(r, LabelsUnchecked)) == 1) != unchecked {
			t.Errorf("%g apart at a step of 0.5: %+v", apart, r.Warnings)
		}
	}
	s := study(3)
	s.Trials[2].Tool, s.Trials[7].Tool = NewTool, ReferenceTool
	r := ran(t, s, fine)
	if len(r.Slips) != 2 || !r.Slips[0].Exchanged || r.Slips[0].Tool != NewTool || r.Slips[0].Trial != "3" || r.Slips[1].Tool != ReferenceTool || r.Slips[1].Trial != "8" {
		t.Fatalf("got %+v", r.Slips)
	}
	// Half arcs of what is written as trusted and as new, and the median ones of the others.
	told := warned(r, LabelsExchanged)
	if len(told) != 1 || !slices.Equal(told[0].Lines, []int{6, 7, 16, 17}) || !cmp.Equal(told[0].Values, []float64{23.04, 19.9, 20.05, 22.98}, nearly) {
		t.Errorf("told %+v", told)
	}
	s = study(3)
	s.Trials[2].Tool = NewTool
	if told := warned(ran(t, s, fine), LabelsExchanged); len(told) != 1 || !slices.Equal(told[0].Lines, []int{6, 7}) || !math.IsNaN(told[0].Values[0]) || math.Abs(told[0].Values[1]-19.9) > 1e-9 {
		t.Errorf("one of them: %+v", told)
	}
}

var nearly = cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
