package lines

import (
	"math"
	"testing"

	"markaudit/audit/internal/teststand"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// scattered is the wheel's sheet with a wheel on its axis, and three lines read
// five times, with these standard deviations.
func scattered(t *testing.T, sds ...float64) sheet.Sheet {
	t.Helper()
	s := teststand.OffCentre(0)
	s.Readout.OffCentre, s.Marks = 0, s.Marks[:len(sds)]
	for i, sd := range sds {
		m := s.Marks[i]
		mean := 17 + m.At
		var all []sheet.Reading
		// Five values with a mean of 0 and squares of 4.
		for _, x := range []float64{1, -1, 1, -1, 0} {
			all = append(all, sheet.Reading{Value: mean + geometry.Angle(x*sd), Approach: sheet.Forward})
		}
		s.Setups[0].Marks[m.Name] = all
	}
	return s
}

// By hand: 0.1 twice and 1.0, on four degrees of freedom each. F(4, 8) of 100 is
// far beyond 5 % of three. So two lines share 0.01 on 8; the third has 1 on 4. Five
// readings make variances of 0.002 and 0.2. With weights w = 1/v and W their sum, P
// has wᵢ - wᵢ²/W and -wᵢwⱼ/W, and 2/ν = (Pᵢᵢvᵢ)² + … over each estimate by itself:
// ((1 - 500/W)² · 2 + 2 · (500/W)²)/8 + (1 - 5/W)²/4.
func TestALineThatScattersMoreIsComparedByItsOwn(t *testing.T) {
	s := scattered(t, 0.1, 0.1, 1)
	top, placed := placedLines(t, s)
	g, ok := Compare(s, top, placed, []int{0, 1, 2})
	if !ok {
		t.Fatal("nothing to compare by")
	}
	for i, want := range []float64{0.002, 0.002, 0.2} {
		if got := g.v.At(i, i); math.Abs(got-want) > 1e-9 {
			t.Errorf("line %d: got a variance of %v, want %v", i, got, want)
		}
	}
	w, last := 500.0, 1/0.2
	all := 2*w + last
	want := 2 / ((2*math.Pow(1-w/all, 2)+2*math.Pow(w/all, 2))/8 + math.Pow(1-last/all, 2)/4)
	if math.Abs(g.DOF-want) > 1e-6 || want > 5.4 || want < 5.3 {
		t.Errorf("got %v degrees of freedom, want %v", g.DOF, want)
	}
	if placed[2].Compared.Shared || !placed[0].Compared.Shared || placed[2].Compared.DOF != 4 {
		t.Errorf("got %+v and %+v", placed[0].Compared, placed[2].Compared)
	}
	// Their own intervals go by what each shows itself.
	if placed[2].Scatter.DOF != 4 || math.Abs(placed[2].Scatter.SD.Degrees()-1) > 1e-9 {
		t.Errorf("the interval's scatter: %+v", placed[2].Scatter)
	}
}

// By hand: 0.1, 0.12 and 0.14 are alike, and share (0.01 + 0.0144 + 0.0196)/3 on
// 12, also in the interval of what they have in common: four readings of each line
// would do for an own one.
func TestLinesAreComparedByOneScatter(t *testing.T) {
	s := scattered(t, 0.1, 0.12, 0.14)
	top, placed := placedLines(t, s)
	g, ok := Compare(s, top, placed, []int{0, 1, 2})
	if !ok {
		t.Fatal("nothing to compare by")
	}
	for i := range placed {
		if got, want := g.v.At(i, i), 0.044/3/5; math.Abs(got-want) > 1e-9 {
			t.Errorf("line %d: got a variance of %v, want %v", i, got, want)
		}
		if placed[i].Scatter.DOF != 4 {
			t.Errorf("line %d: its interval has the scatter %+v, want its own", i, placed[i].Scatter)
		}
	}
	if math.Abs(g.DOF-12) > 1e-6 {
		t.Errorf("got %v degrees of freedom, want 12", g.DOF)
	}
	shift := Together(s, top, placed, []int{0, 1, 2})
	for _, row := range shift.Common.Budget {
		if row.Source.String() == "line readings, pooled" {
			if got, want := row.Term().Scale, math.Sqrt(0.044/3/5/3); math.Abs(got-want) > 1e-9 || row.DOF != 12 {
				t.Errorf("of the common shift: got %v on %v, want %v on 12", got, row.DOF, want)
			}
			return
		}
	}
	t.Errorf("no row of the lines' readings in %v", shift.Common.Budget)
}
