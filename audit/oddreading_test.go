package audit_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// threeLines is the plain sheet with three lines read four times, 30.9 among 30.0
// and 30.1, by a step of 0.1.
func threeLines() sheet.Sheet {
	s := plainSheet()
	s.Marks = nil
	all := map[string][]sheet.Reading{
		"a": readings(sheet.Forward, 20.1, 20.2, 20.1, 20.2),
		"b": readings(sheet.Forward, 30.0, 30.1, 30.1, 30.9),
		"c": readings(sheet.Forward, 45.2, 45.1, 45.3, 45.2),
	}
	for name, at := range map[string]float64{"a": 20, "b": 30, "c": 45} {
		s.Marks = append(s.Marks, sheet.Mark{Name: name, At: geometry.Angle(at), Tolerance: 1})
		s.Setups[0].Marks[name] = all[name]
	}
	slices.SortFunc(s.Marks, func(x, y sheet.Mark) int { return strings.Compare(x.Name, y.Name) })
	s.Setups[0].Trials = trials(340.0, 20.1, 340.1, 20.0, 339.9, 19.9)
	return s
}

// By hand: 30.9 lies d = 0.8333 from the mean of the three beside it. Without it the
// squares of the lines are 0.01, 0.02/3 and 0.02, on 8: v = 0.0045833. So
// t² = d²·3/(4v) = 113.636, and P(F(1, 8) > 113.636) = 5.257e-6 by another program.
// Twelve readings of lines and six contacts could have stood out: 18 times that.
func TestAReadingStandsOutAtALevelForTheWholeSheet(t *testing.T) {
	result := audited(t, threeLines())
	o := result.Checks.Odd
	if o == nil {
		t.Fatal("nothing stands out")
	}
	if o.Line != "b" || o.Setup != 0 || o.Mounting != 0 || o.Side != sheet.Forward || !slices.Equal(o.Index, []int{3}) || o.Value != 30.9 {
		t.Errorf("got %+v, want the fourth reading of b", *o)
	}
	if math.Abs(o.By.Degrees()-0.833333) > 1e-6 || math.Abs(o.Others.Degrees()-30.0666667) > 1e-6 || math.Abs(o.P-18*5.257e-6) > 18*0.0005e-6 {
		t.Errorf("got %v from %v with %v, want 0.8333 from 30.0667 with %v", o.By, o.Others, o.P, 18*5.257e-6)
	}
	if want := 18 * fAbove(113.636364, 1, 8); math.Abs(o.P-want) > 1e-6*want {
		t.Errorf("got %v, want %v", o.P, want)
	}
}

// The level is one for the sheet: where other kinds hold more readings, the same
// reading is the less surprising. By hand, of the contacts forward 340.0 340.1
// 339.9 and 340.6, with those backward of squares 0.02: d = 0.6, v = (0.02 + 0.02)/5
// on 5, t² = 0.36·3/(4·0.008) = 33.75, and P(F(1, 5) > 33.75) = 0.00213: a doubt among 20
// readings, none among 30.
func TestAFewReadingsProveLittle(t *testing.T) {
	s := plainSheet()
	s.Setups[0].Trials = trials(340.0, 20.1, 340.1, 20.0, 339.9, 19.9, 340.6, 20.0)
	few := readings(sheet.Forward, 0.2, 0.3, 0.4, 0.3, 0.2, 0.3)
	s.Setups[0].Marks["TDC"] = few
	s.Setups[0].Marks["fire 10"] = readings(sheet.Forward, 350.2, 350.3, 350.1, 350.2, 350.3, 350.1)
	for _, n := range []float64{20, 30} {
		if n > 20 {
			for range 10 {
				s.Setups[0].Marks["TDC"] = append(s.Setups[0].Marks["TDC"], few[1])
			}
		}
		result := audited(t, s)
		o := result.Checks.Odd
		if o == nil || o.Line != "" || o.Side != sheet.Forward || !slices.Equal(o.Index, []int{3}) || math.Abs(o.P-n*fAbove(33.75, 1, 5)) > 1e-6 {
			t.Fatalf("among %v: got %+v, want the fourth forward contact", n, o)
		}
		if _, said := values(result, warning.StandsOut); said != (n == 20) || said != o.Doubtful() {
			t.Errorf("among %v, with %v: said is %v", n, o.P, said)
		}
	}
}

// What is said names the reading by its place on the sheet: struck ones count, a
// line's sides are two lists.
func TestTheReadingThatStandsOutIsNamed(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*sheet.Setup)
		want string
	}{
		{"contact", func(s *sheet.Setup) {
			s.Trials = trials(340.0, 22.1, 340.1, 22.0, 339.9, 52.0, 340.0, 22.2, 340.1, 22.1)
		}, "Setup 1: backward contact 3, 52.0, stands out: the others have 22.10 on average. It was used. Look whether it is typed wrong, else take that pair again. If you know why, strike it with that reason"},
		{"contact behind a struck one", func(s *sheet.Setup) {
			s.Trials = trials(340.0, 22.1, 340.1, 22.0, 350.0, 22.0, 310.0, 22.2, 340.1, 22.1, 340.0, 22.0)
			s.Trials[2].Forward.Struck, s.Trials[2].Forward.Reason = true, "slipped"
		}, "Setup 1: forward contact 4, 310.0, stands out: the others have 340.05 on average"},
		{"line", func(s *sheet.Setup) {
			s.Marks["TDC"] = readings(sheet.Forward, 0.2, 0.3, 10.3, 0.4, 0.3)
		}, "Setup 1: line “TDC”: reading 3, 10.3, stands out: the others have 0.30 on average. It was used. Take it again. If you know why, strike"},
		{"line from both sides", func(s *sheet.Setup) {
			s.Marks["TDC"] = append(readings(sheet.Forward, 0.2, 0.3, 0.4), readings(sheet.Backward, 0.4, 5.3, 0.3, 0.4)...)
		}, "Setup 1: line “TDC”: backward reading 2, 5.3, stands out: the others have 0.37 on average"},
		{"past the zero", func(s *sheet.Setup) {
			s.Marks["TDC"] = readings(sheet.Forward, 0.2, 359.9, 358.0, 0.1, 0.0, 0.1)
		}, "Setup 1: line “TDC”: reading 3, 358.0, stands out: the others have 0.06 on average"},
		{"one of two", func(s *sheet.Setup) {
			s.Marks["TDC"] = readings(sheet.Forward, 0.3, 30.3)
			s.Marks["fire 10"] = readings(sheet.Forward, 350.2, 350.3, 350.1, 350.2, 350.2, 350.2)
		}, "Setup 1: line “TDC”: readings 1 and 2 are 0.3 and 30.3, and one of them stands out. Both were used. Take both again. If you know which is wrong and why, strike it with that reason"},
		{"drop", func(s *sheet.Setup) {
			s.Method, s.Trials = sheet.EqualDrop, nil
			for _, d := range []struct {
				drop   float64
				before []float64
				after  []float64
			}{{2, []float64{345.1, 345.2, 345.1}, []float64{14.9, 14.8, 14.9}}, {5, []float64{336.3, 336.4, 336.3, 336.2}, []float64{23.6, 23.7, 26.7, 23.6}}} {
				s.Drops = append(s.Drops, sheet.Drop{Drop: lengthLimit(d.drop).Half, Before: readings(sheet.Forward, d.before...), After: readings(sheet.Backward, d.after...)})
			}
		}, "Setup 1: drop 2: reading 3 after TDC, 26.7, stands out: the others have 23.63 on average. It was used. Take both sides of it again"},
	} {
		s := plainSheet()
		c.edit(&s.Setups[0])
		result := audited(t, s)
		at := slices.IndexFunc(result.Warnings, func(w warning.Warning) bool { return w.Code == warning.StandsOut })
		if at < 0 {
			t.Errorf("%s: nothing stands out", c.name)
			continue
		}
		if got := words.Warning(words.NewAudit(result, nil), result.Warnings[at]); !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// Two steps are rounding, however alike the others are.
func TestTwoStepsDoNotStandOut(t *testing.T) {
	s := plainSheet()
	s.Setups[0].Marks["TDC"] = readings(sheet.Forward, 0.3, 0.3, 0.3, 0.3, 0.3, 0.5)
	s.Setups[0].Marks["fire 10"] = readings(sheet.Forward, 350.2, 350.2, 350.2, 350.2, 350.2, 350.2)
	if o := audited(t, s).Checks.Odd; o != nil {
		t.Errorf("got %+v, want none", *o)
	}
	s.Setups[0].Marks["TDC"][5].Value = 0.6
	if o := audited(t, s).Checks.Odd; o == nil || !o.Doubtful() {
		t.Errorf("three steps: got %+v, want a doubt", o)
	}
}

// A mounting may hold several setups, and one that found no TDC is not used.
func TestAnOddReadingKnowsItsMounting(t *testing.T) {
	s := plainSheet()
	s.Setups = append(s.Setups, plainSetup("2", 100), plainSetup("3", 200), plainSetup("4", 200))
	s.Setups[0].Trials = nil
	s.Setups[0].Marks["TDC"][1].Value = 50 // not used
	s.Setups[2].Mounting, s.Setups[3].Mounting = "B", "B"
	s.Setups[3].Trials = nil
	s.Setups[3].Marks["fire 10"][2].Value += 3
	o := audited(t, s).Checks.Odd
	if o == nil || o.Setup != 3 || o.Mounting != 1 || o.Line != "fire 10" || !slices.Equal(o.Index, []int{2}) {
		t.Errorf("got %+v, want the third reading of setup 4, in the second mounting", o)
	}
}

// By hand: middles 0, 0.25 and 0.5 lie on a line with a slope of 0.25 a pair; half
// arcs 20, 19.95 and 20 have squares of 0.005/3 on 2. So v = 0.0016667/3 = 0.00055556
// on 3, above the floor of 0.1²/24 = 0.00041667; t² = 0.0625·2/0.00055556 = 225. With
// a second setup that was asked too the chance is twice that.
func TestMiddlesThatDrift(t *testing.T) {
	s := plainSheet()
	s.Setups[0].Trials = trials(340.0, 20.0, 340.3, 20.2, 340.5, 20.5)
	one := audited(t, s).TDC.Setups[0]
	if want := fAbove(225, 1, 3); math.Abs(one.DriftP-want) > 1e-6*want || math.Abs(one.Drift.Degrees()-0.5) > 1e-9 {
		t.Errorf("got a drift of %v with %v, want 0.5 with %v", one.Drift, one.DriftP, want)
	}
	s.Setups = append(s.Setups, plainSetup("2", 100))
	if two := audited(t, s).TDC.Setups[0]; math.Abs(two.DriftP-2*one.DriftP) > 1e-9 {
		t.Errorf("of two setups: got %v, want twice %v", two.DriftP, one.DriftP)
	}
	s.Setups[1].Trials = s.Setups[1].Trials[:2] // two pairs show none
	if two := audited(t, s).TDC.Setups; math.Abs(two[0].DriftP-one.DriftP) > 1e-9 || two[1].DriftP != 1 || two[1].Drift != 0 {
		t.Errorf("beside two pairs: got %v and %v, want %v and 1", two[0].DriftP, two[1].DriftP, one.DriftP)
	}
}
