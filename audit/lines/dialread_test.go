package lines

import (
	"math"
	"testing"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// A line that the dial shows both ways: the mean of the means of each way, of which one
// was come to sinking; its variance is that of each way's mean over four.
func TestDialReadBothWays(t *testing.T) {
	s := teststand.Good(t)["plug-hole"]
	u := &s.Setups[0]
	u.Marks["full"] = []sheet.Reading{
		{Length: 6.7, Approach: sheet.Forward, Side: geometry.BTDC, Measured: true},
		{Length: 6.8, Approach: sheet.Forward, Side: geometry.BTDC, Measured: true},
		{Length: 6.9, Approach: sheet.Backward, Side: geometry.BTDC, Measured: true},
	}
	_, placed := placedLines(t, s)
	for _, l := range placed {
		if l.Name == "full" {
			seen := l.Seen[0]
			near(t, "shown", seen.Shown.Millimetres(), (6.75+6.9)/2)
			near(t, "sinking", seen.Sinking, 0.5)
			near(t, "per line", seen.PerLine, (1.0/2+1)/4)
		}
	}
}

// Readings of a dial in degrees lie about where the line comes up as their own drops
// would, whichever way the dial counts.
func TestDialReadingsInDegrees(t *testing.T) {
	s := teststand.Good(t)["plug-hole"]
	top, placed := placedLines(t, s)
	down := teststand.Stories(t)["dial counting down"]
	_, same := placedLines(t, down)
	for i, l := range placed {
		for j, seen := range l.Seen {
			var sides []geometry.Angle
			for k, side := range [][]geometry.Angle{seen.Forward, seen.Backward} {
				if len(side) > 0 {
					sides = append(sides, stats.MeanAngle(side))
				}
				for n, x := range side {
					testkit.Near(t, l.Name, [][]geometry.Angle{same[i].Seen[j].Forward, same[i].Seen[j].Backward}[k][n], x, 1e-9)
				}
			}
			testkit.Near(t, l.Name, stats.MeanAngle(sides), seen.Reading, 1e-9)
		}
		// By the drops themselves, where the slope is steep enough to be that of all.
		d := newDial(input{sheet: &s, readout: readout.New(s), top: top})
		side, _ := d.side(l.Mark)
		if seen := l.Seen[0]; len(seen.Forward) > 1 && seen.Reading.Abs() > 10 {
			var lengths []geometry.Length
			for _, x := range s.Setups[0].Marks[l.Name] {
				if x.Approach == sheet.Forward && !x.Struck {
					lengths = append(lengths, x.Length)
				}
			}
			for n := range lengths[1:] {
				moved := d.below(top.Mountings[0], lengths[n+1]-lengths[n]) * d.along
				want := d.at(seen.Drop+moved, side) - seen.Reading
				got := seen.Forward[n+1] - seen.Forward[n]
				if math.Abs((got - want).Degrees()) > 0.05*math.Abs(want.Degrees())+1e-9 {
					t.Errorf("%s: %v apart, by the drops %v", l.Name, got, want)
				}
			}
		}
	}
}

// A line of another cylinder belongs where its own TDC is declared.
func TestDialLineOfAnotherCylinder(t *testing.T) {
	s := teststand.Good(t)["plug-hole"]
	s.Engine.Cylinders = []sheet.Cylinder{{Name: "1"}, {Name: "2", TDC: 180}}
	s.Marks[0].Cylinder = "2"
	_, placed := placedLines(t, s)
	near(t, "place", placed[0].Place.Degrees(), s.Marks[0].At.Degrees()+180)
	near(t, "place", placed[1].Place.Degrees(), s.Marks[1].At.Degrees())
}

// Two readings of a line are said where nothing else lends to them, in fewer than three
// setups; a line read once beside it shares the scatter and is not meant.
func TestReadTwice(t *testing.T) {
	twice := func(s sheet.Sheet) (names []string) {
		top, err := tdc.Find(s, readout.New(s))
		if err != nil {
			t.Fatal(err)
		}
		p, err := Place(s, readout.New(s), top)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range p.Warnings {
			if w.Code == warning.ReadTwice {
				names = append(names, w.Mark)
			}
		}
		return names
	}
	s := scattered(t, 0.1, 0.1)
	u := &s.Setups[0]
	a, b := s.Marks[0].Name, s.Marks[1].Name
	u.Marks[a], u.Marks[b] = u.Marks[a][:2], u.Marks[b][:1]
	if got := twice(s); len(got) != 1 || got[0] != a {
		t.Errorf("said of %q", got)
	}
	u.Marks[b] = nil
	again := *u
	again.Name, again.Marks = "2", map[string][]sheet.Reading{}
	s.Setups = append(s.Setups, again, again)
	s.Setups[1].Marks = map[string][]sheet.Reading{a: u.Marks[a][:1]}
	s.Setups[2].Marks = map[string][]sheet.Reading{a: u.Marks[a][1:]}
	s.Setups[0].Marks = map[string][]sheet.Reading{}
	if got := twice(s); len(got) != 0 {
		t.Errorf("one in each of two setups: %q", got)
	}
	dial := teststand.Good(t)["plug-hole"]
	dial.Marks = dial.Marks[:1]
	name := dial.Marks[0].Name
	all := dial.Setups[0].Marks[name][:2]
	dial.Setups[0].Marks = map[string][]sheet.Reading{name: all}
	dial.Setups[0].ClosingTop = nil
	if got := twice(dial); len(got) != 1 || got[0] != name {
		t.Errorf("of a dial: %q", got)
	}
}
