package crosscheck_test

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Beside remounting what differs between three setups of one line is what the step
// makes of it, s²/12 for the line and s²/24 for a middle of two contacts; or what the
// contacts scatter, m² for middles at ± m, of which two make the mean.
func TestRemountingBesideStepAndContacts(t *testing.T) {
	const u = 0.1
	for _, c := range []struct{ step, m float64 }{{0.3, 0}, {1e-6, 0.08}} {
		within := c.step*c.step/12 + c.step*c.step/24 + c.m*c.m
		border(t, "the warning", math.Sqrt(chi2/2*(u*u+within)), func(d float64) bool {
			s := quiet(3, sheet.Mark{Name: "A", At: 40, Tolerance: 5})
			s.Readout.Step = geometry.Angle(c.step)
			s.Limits.Remount = geometry.Limit[geometry.Angle]{Half: 2 * u, K: 2}
			for i := range s.Setups {
				off := geometry.Angle(d) * geometry.Angle(i-1)
				m := geometry.Angle(c.m)
				s.Setups[i].Trials = []sheet.Trial{trial(-30-m, 30-m), trial(-30+m, 30+m)}
				s.Setups[i].Marks["A"] = at(40+off, 40+off)
			}
			return has(checked(t, s), warning.RemountExceeded)
		})
	}
}

// A line read three times from each side: the difference of the two means has two thirds
// of a reading's variance, on four degrees of freedom; or, where nothing scatters, what
// two readings round, s²/6.
func TestLostMotionOfMoreReadings(t *testing.T) {
	const t4 = 2.776445105 // Student's t, 0.975, 4 degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.6.7.2)
	for _, c := range []struct{ e, step, u float64 }{
		{0.02, 1e-6, t4 * 0.02 * math.Sqrt(2.0/3)},
		{0, 0.3, t4 * 0.3 / math.Sqrt(6)},
	} {
		border(t, "the warning", c.u, func(lost float64) bool {
			s := quiet(1, sheet.Mark{Name: "A", At: 40, Tolerance: 5})
			s.Readout.Step = geometry.Angle(c.step)
			for i, side := range []sheet.Approach{sheet.Forward, sheet.Backward} {
				mean := 40 + geometry.Angle(lost)*(geometry.Angle(i)-0.5)
				for _, r := range at(mean-geometry.Angle(c.e), mean, mean+geometry.Angle(c.e)) {
					r.Approach = side
					s.Setups[0].Marks["A"] = append(s.Setups[0].Marks["A"], r)
				}
			}
			return has(checked(t, s), warning.LostMotionSeen)
		})
	}
}

// Which way a readout counts is told by three lines that agree with each other as
// declared and not when mirrored, however far off they are all together, but not by
// two; nor where they are off by less when mirrored.
func TestWhatTellsTheSenseOfCounting(t *testing.T) {
	for _, c := range []struct {
		name   string
		at     []geometry.Angle
		off    geometry.Angle
		doubts bool
	}{
		{"three, close to their places", []geometry.Angle{10, 50, 130}, 1, false},
		{"two, close to their places", []geometry.Angle{10, 50}, 1, false},
		{"three, all off alike", []geometry.Angle{10, 50, 130}, 25, false},
		{"four, all off alike", []geometry.Angle{10, 50, 130, 80}, 25, false},
		{"two, off alike", []geometry.Angle{10, 50}, 25, true},
		{"three, nearer when mirrored", []geometry.Angle{-30, -10, -50}, 60, true},
		{"three on either side of TDC", []geometry.Angle{0, 180, 1}, 25, true},
	} {
		s := quiet(1)
		for i, a := range c.at {
			name := string(rune('A' + i))
			s.Marks = append(s.Marks, sheet.Mark{Name: name, At: a, Tolerance: 5})
			s.Setups[0].Marks[name] = at(a+c.off, a+c.off)
		}
		if got := has(checked(t, s), warning.DirectionUnchecked); got != c.doubts {
			t.Errorf("%s: doubtful %v", c.name, got)
		}
		s.Readout.QuarterTurn = &[2]sheet.Reading{{}, {Value: 90}}
		if has(checked(t, s), warning.DirectionUnchecked) {
			t.Errorf("%s: a quarter turn tells", c.name)
		}
	}
}

// Cylinders are held against the first of the sheet that was tried, in the order of the
// sheet, by the mountings that found both, be it one; by what the sheet declares of one
// after the other.
func TestCylindersAgainstTheFirstOne(t *testing.T) {
	s := quiet(0)
	s.Engine.Cylinders = []sheet.Cylinder{{Name: "1"}, {Name: "4", TDC: 60}, {Name: "6", TDC: 150}}
	add := func(mounting, cylinder string, middle geometry.Angle) {
		s.Setups = append(s.Setups, sheet.Setup{
			Name: mounting + cylinder, Mounting: mounting, Cylinder: cylinder,
			Trials: []sheet.Trial{trial(middle-30, middle+30), trial(middle-30, middle+30)},
		})
	}
	add("A", "6", 151)
	add("A", "4", 60)
	add("B", "6", 10)
	got := checked(t, s).Cylinders
	if len(got) != 1 || got[0].From != "4" || got[0].To != "6" || got[0].Mountings != 1 {
		t.Fatalf("got %+v", got)
	}
	testkit.Near(t, "declared", got[0].Declared, 90, 1e-9)
	testkit.Near(t, "found", got[0].Angle.Value, 91, 1e-9)
	add("B", "4", -80)
	add("B", "1", -140)
	got = checked(t, s).Cylinders
	if len(got) != 2 || got[0].From != "1" || got[0].To != "4" || got[1].From != "1" || got[1].To != "6" || got[1].Mountings != 1 {
		t.Fatalf("got %+v", got)
	}
	testkit.Near(t, "4 found", got[0].Angle.Value, 60, 1e-9)
	testkit.Near(t, "6 found", got[1].Angle.Value, 150, 1e-9)
	s.Setups = s.Setups[:1]
	if got := checked(t, s).Cylinders; got != nil {
		t.Errorf("one alone: %+v", got)
	}
	s.Setups = nil
	add("A", "1", 0)
	add("B", "4", 60)
	if got := checked(t, s).Cylinders; got != nil {
		t.Errorf("never in one mounting: %+v", got)
	}
}
