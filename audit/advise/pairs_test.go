package advise_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

func ran(t *testing.T, change func(r *simulate.Rig), at ...geometry.Angle) audit.Result {
	t.Helper()
	r := simulate.Steady(0.5, append([]geometry.Angle{0}, at...)...)
	if change != nil {
		change(&r)
	}
	s, _ := r.Measure(rand.New(rand.NewPCG(20261128, 21)))
	found, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// Every two lines of one part are a pair once, those that check the readings first, and
// each has its length along the rim: π D by its share of a turn. Of more than 25 lines
// each goes with the next twelve.
func TestPairsOfAPart(t *testing.T) {
	some := ran(t, func(r *simulate.Rig) { r.Lines[4].On, r.Lines[5].On = "hub", "hub" }, 20, 50, 120, 200, 300)
	once := func(r *simulate.Rig) { r.Setups[0].Trials, r.Setups[0].Readings = 1, 1 } // which has no ±
	many := make([]geometry.Angle, 26)
	for i := range many {
		many[i] = geometry.Angle(13 * (i + 1))
	}
	for _, c := range []struct {
		found audit.Result
		want  int
	}{{some, 6 + 1}, {ran(t, once, many...), 27 * 12}} {
		f := c.found
		checks := f.Advice.Distances(f.Sheet, f.TDC, f.Lines)
		pairs := f.Advice.Pairs(f.Sheet, f.TDC, f.Lines)
		if len(pairs) != c.want || len(checks) == 0 {
			t.Fatalf("%d lines: %d pairs, want %d, with %d checks", len(f.Lines), len(pairs), c.want, len(checks))
		}
		seen := map[[2]string]bool{}
		for i, p := range pairs {
			if p.Checks != (i < len(checks)) || p.Checks && p.Distance != checks[i] {
				t.Errorf("pair %d: %+v", i, p)
			}
			if seen[[2]string{p.From, p.To}] || seen[[2]string{p.To, p.From}] || p.From == p.To {
				t.Errorf("%s and %s twice", p.From, p.To)
			}
			seen[[2]string{p.From, p.To}] = true
			a, b := f.Lines[index(f, p.From)], f.Lines[index(f, p.To)]
			gap := (b.Place + b.Offset.Value - a.Place - a.Offset.Value).Wrap().Abs()
			testkit.Near(t, p.From+" to "+p.To, p.Along.Millimetres(), math.Pi*f.Sheet.Part.Diameter.Millimetres()*gap.Degrees()/360, 1e-6)
			testkit.Near(t, p.From+" to "+p.To, p.Now.Millimetres(), f.Sheet.Part.Diameter.Millimetres()*math.Sin(gap.Radians()/2), 1e-6)
			if known := len(f.Lines) == len(some.Lines); (p.AlongU != 0) != known || (p.U != 0) != known {
				t.Errorf("%s to %s: ± %v and %v", p.From, p.To, p.U, p.AlongU)
			}
		}
	}
	f := some
	f.Sheet.Part.Diameter = 0
	if got := f.Advice.Pairs(f.Sheet, f.TDC, f.Lines); got != nil {
		t.Errorf("without a diameter: %+v", got)
	}
	f = some
	f.TDC.Setups = nil
	if got := f.Advice.Pairs(f.Sheet, f.TDC, f.Lines); got != nil {
		t.Errorf("without TDC: %+v", got)
	}
}

func index(f audit.Result, name string) int {
	for i, l := range f.Lines {
		if l.Name == name {
			return i
		}
	}
	return -1
}

// Straight across between any two lines that were read: the ± of what it will be has
// the placing of each new line beside what it has now.
func TestStraightAcross(t *testing.T) {
	f := ran(t, func(r *simulate.Rig) { *r = r.Repeated(3); r.Lines[1].Offset = 4 }, 60, 170, 250)
	f.Sheet.Limits.Placement = 0.5
	for worth := range 4 {
		a := f.Advice
		a.Lines = slices.Clone(a.Lines)
		a.Lines[0].Worthwhile, a.Lines[1].Worthwhile = worth&1 > 0, worth&2 > 0
		d, afterU, ok := a.Straight(f.Sheet, f.TDC, f.Lines, 0, 1)
		if !ok || d.U == 0 {
			t.Fatalf("%+v, %v", d, ok)
		}
		testkit.Near(t, "after", (afterU - d.U).Millimetres(), 0.5*float64(worth&1+worth>>1), 1e-12)
		gap := f.Lines[1].Place + f.Lines[1].Offset.Value - f.Lines[0].Place - f.Lines[0].Offset.Value
		if worth&1 > 0 {
			gap += f.Lines[0].Offset.Value
		}
		if worth&2 > 0 {
			gap -= f.Lines[1].Offset.Value
		}
		testkit.Near(t, "chord", d.After.Millimetres(), f.Sheet.Part.Diameter.Millimetres()*math.Sin(gap.Radians()/2), 1e-6)
	}
	one := f.Sheet
	one.Part.Diameter = 1
	if _, _, ok := f.Advice.Straight(one, f.TDC, f.Lines, 0, 1); !ok {
		t.Error("a part of a millimetre has no distances")
	}
	one.Part.Diameter = 0
	if _, _, ok := f.Advice.Straight(one, f.TDC, f.Lines, 0, 1); ok {
		t.Error("a distance without a diameter")
	}
	for _, k := range []int{0, 1} {
		placed := slices.Clone(f.Lines)
		placed[k].Seen = nil
		if _, _, ok := f.Advice.Straight(f.Sheet, f.TDC, placed, 0, 1); ok {
			t.Errorf("line %d was not read, and has a distance", k)
		}
	}
	// With nothing known of either there is no ± to add the placing to.
	f = ran(t, func(r *simulate.Rig) { r.Setups[0].Trials, r.Setups[0].Readings = 1, 1 }, 60)
	for i := range f.Advice.Lines {
		f.Advice.Lines[i].Worthwhile = true
	}
	if _, afterU, ok := f.Advice.Straight(f.Sheet, f.TDC, f.Lines, 0, 1); !ok || afterU != 0 {
		t.Errorf("± %v", afterU)
	}
}
