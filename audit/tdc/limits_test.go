package tdc_test

import (
	"fmt"
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

var bare = geometry.Crank{Stroke: 92, Rod: 152}

// read is a sheet of an encoder that counts up, on an engine with that crank.
func read(step geometry.Angle, setups ...sheet.Setup) sheet.Sheet {
	for i := range setups {
		setups[i].Name = fmt.Sprint(i + 1)
	}
	return sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise, Stroke: bare.Stroke, Rod: bare.Rod},
		Readout: sheet.Readout{Kind: sheet.Encoder, Step: step, Counts: geometry.CountsUp},
		Limits:  sheet.Limits{Confidence: 0.95},
		Setups:  setups,
	}
}

func find(t *testing.T, s sheet.Sheet) tdc.Found {
	t.Helper()
	f, err := tdc.Find(s, readout.New(s))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// raised are the warnings of some codes that a sheet raises, in their order.
func raised(f tdc.Found, codes ...warning.Code) (out []warning.Code) {
	for _, w := range f.Warnings {
		for _, c := range codes {
			if w.Code == c {
				out = append(out, c)
			}
		}
	}
	return out
}

// pair is a pair of contacts with that middle and half arc.
func pair(middle, half geometry.Angle) sheet.Trial {
	return sheet.Trial{
		Forward:  &sheet.Reading{Value: middle - half, Approach: sheet.Forward},
		Backward: &sheet.Reading{Value: middle + half, Approach: sheet.Backward},
	}
}

func stops(pairs ...sheet.Trial) sheet.Setup { return sheet.Setup{Trials: pairs} }

// drop is a set of readings at a drop, with those middles.
func drop(depth geometry.Length, taken sheet.Taken, middles ...geometry.Angle) sheet.Drop {
	d := sheet.Drop{Drop: depth, Taken: taken}
	before, after, err := bare.Contacts(depth)
	if err != nil {
		panic(err)
	}
	for _, m := range middles {
		d.Before = append(d.Before, sheet.Reading{Value: m + before})
		d.After = append(d.After, sheet.Reading{Value: m + after})
	}
	return d
}

func drops(all ...sheet.Drop) sheet.Setup {
	return sheet.Setup{Method: sheet.EqualDrop, Drops: all}
}

// sweep is a sweep with its top at 50, read without fault, its heights as given by the
// drop of each.
func sweep(taken sheet.Taken, at []geometry.Angle, height func(at geometry.Angle, drop float64) float64) sheet.Setup {
	w := &sheet.Swept{Taken: taken}
	for _, a := range at {
		w.Points = append(w.Points, sheet.Point{Reading: sheet.Reading{Value: 50 + a}, Height: geometry.Length(height(a, bare.Drop(a).Millimetres()))})
	}
	return sheet.Setup{Method: sheet.Sweep, Sweep: w}
}

func falls(_ geometry.Angle, drop float64) float64 { return 9 - drop }

// Three points on either side, and at most three times as many on one as on the other:
// common practice, no source. The nearest point of some is half a degree past the top.
func TestSidesOfASweep(t *testing.T) {
	before := []geometry.Angle{-30, -25, -20, -15}
	after := []geometry.Angle{0.5, 3, 6, 9, 12, 15, 18, 21, 24, 27, 30, 33, 36}
	for _, c := range []struct {
		before, after int
		one           bool
	}{{3, 3, false}, {2, 3, true}, {3, 2, true}, {2, 6, true}, {2, 7, true}, {3, 9, false}, {3, 10, true}, {4, 12, false}, {4, 13, true}} {
		at := append(append([]geometry.Angle{}, before[:c.before]...), after[:c.after]...)
		f := find(t, read(0.001, sweep(sheet.OneWay, at, falls)))
		if one := len(raised(f, warning.SweepOneSided)) == 1; one != c.one {
			t.Errorf("%d before, %d after: one-sided %v", c.before, c.after, one)
		}
	}
}

// A top that the points do not reach over is none, be it by half a degree.
func TestSweepReachesOver(t *testing.T) {
	for last, want := range map[geometry.Angle]bool{0.5: true, -0.5: false} {
		at := []geometry.Angle{-30, -25, -20, -15, -10, -5, last}
		for _, sign := range []geometry.Angle{1, -1} {
			for i := range at {
				at[i] *= sign
			}
			f := find(t, read(0.001, sweep(sheet.OneWay, at, falls)))
			if f.Any() != want || (len(raised(f, warning.SweepNoTop)) == 0) != want {
				t.Errorf("last point %v: found %v", sign*last, f.Any())
			}
			for i := range at {
				at[i] *= sign
			}
		}
	}
}

// A limb that lies higher is seen by six points beside the changeover, of which two
// lie half a degree beyond it, and not by five.
func TestLimbsDifferFromSixPoints(t *testing.T) {
	limb := func(a geometry.Angle, drop float64) float64 {
		if a > 0 {
			return 9.02 - drop
		}
		return 9 - drop
	}
	for _, c := range []struct {
		at   []geometry.Angle
		seen bool
	}{
		{[]geometry.Angle{-20, -10, -2.5, 2.5, 10, 20}, true},
		{[]geometry.Angle{-20, -10, -2.5, 1.2, 10, 20}, false},
	} {
		f := find(t, read(0.001, sweep(sheet.OneWay, c.at, limb)))
		if seen := len(raised(f, warning.LimbsDiffer)) == 1; seen != c.seen {
			t.Errorf("%v: seen %v", c.at, seen)
		}
	}
}

// An indicator that shows 1+e for 1 is a misfit beyond what half a step towards the top
// at either end does, which is a step over the longer side, here 30; and beyond what
// the readout may have lost where the sheet does not say how it was come to.
func TestMisfitBeyondRounding(t *testing.T) {
	at := []geometry.Angle{-30, -22, -15, -8, -3, 4, 8, 14, 20}
	for _, c := range []struct {
		taken      sheet.Taken
		step       geometry.Angle
		lost, half geometry.Angle
	}{{sheet.OneWay, 1.2, 0, 0}, {sheet.OneWay, 1.2, 0.4, 0.7}, {sheet.Unknown, 0.1, 0.4, 0.7}} {
		for e, want := range map[float64]bool{0.0384: false, 0.0416: true} { // about 1.2/30 = 0.04
			s := read(c.step, sweep(c.taken, at, func(_ geometry.Angle, drop float64) float64 { return 9 - (1+e)*drop }))
			s.Readout.HasLostMotion, s.Readout.LostMotion, s.Readout.LostLimit.Half = c.lost > 0, c.lost, c.half
			f := find(t, s)
			if got := len(raised(f, warning.SweepMisfit)) == 1; got != want {
				t.Errorf("%+v: %v of the drop: misfit %v", c, e, got)
			}
		}
	}
}

// Two drops, two middles each, m ± a and m + d ± a: by hand the middles follow the
// half arc where |d| > a √2 t(0.995; 2), t = 9.92484, and else the drops disagree where
// d² > 2a² F(0.95; 1, 2), F = 18.5128 (NIST/SEMATECH e-Handbook, 1.3.6.7.2 and
// 1.3.6.7.3).
func TestDropsFollowOrDisagree(t *testing.T) {
	const a = 0.01
	for _, sign := range []geometry.Angle{1, -1} {
		for _, c := range []struct {
			d    geometry.Angle
			want []warning.Code
		}{
			{a * math.Sqrt2 * 9.92484 * 1.01, []warning.Code{warning.DropsTrend}},
			{a * math.Sqrt2 * 9.92484 * 0.99, []warning.Code{warning.DropsDisagree}},
			{a * 6.0849 * 1.01, []warning.Code{warning.DropsDisagree}},
			{a * 6.0849 * 0.99, nil},
		} {
			d := sign * c.d
			f := find(t, read(0.001, drops(drop(2, sheet.Rising, -a, a), drop(8, sheet.Rising, d-a, d+a))))
			if got := raised(f, warning.DropsTrend, warning.DropsDisagree); fmt.Sprint(got) != fmt.Sprint(c.want) {
				t.Errorf("%v: %v, want %v", d, got, c.want)
			}
		}
	}
	// Two and one middles without scatter: what the step s alone scatters a middle by is
	// s/√24, alike in both of the first drop, and ½ d² > F(0.95; 1, 1) s²/24, F = 161.448.
	limit := math.Sqrt(2 * 161.448 / 24)
	for d, want := range map[float64]int{0.995 * limit: 0, 1.005 * limit: 1} {
		f := find(t, read(0.1, drops(drop(2, sheet.Rising, 50, 50), drop(8, sheet.Rising, geometry.Angle(50+0.1*d)))))
		if got := len(raised(f, warning.DropsDisagree)); got != want {
			t.Errorf("%v steps: %d, want %d", d, got, want)
		}
	}
	// One pair is a TDC, though a drop beside it has none that counts.
	none := drop(8, sheet.Rising, 50)
	none.Before[0].Struck = true
	f := find(t, read(0.1, drops(none, drop(2, sheet.Rising, 51))))
	if !f.Any() || f.Setups[0].Middle != 51 {
		t.Errorf("one pair: %+v", f.Setups)
	}
}

// Pairs of two drops that read alike round alike, wherever the contacts lie between two
// graduations. By hand, in steps s: the two means differ by d = 0, ½ or 1, which rounding
// explains: the middles follow the half arc where d²/2 > t(0.995; 6)² s²/24, t = 3.70743,
// so from d = 1.07 on, and disagree where d²/2 > F(0.95; 1, 6) s²/24, F = 5.98738, from
// d = 0.706 on. Over all places of the contacts that is at most one sheet in twenty.
func TestDropsThatRoundAlikeAreNotDoubted(t *testing.T) {
	four := func(m geometry.Angle) []geometry.Angle { return []geometry.Angle{m, m, m, m} }
	said := func(d geometry.Angle) []warning.Code {
		f := find(t, read(1, drops(drop(2, sheet.Rising, four(50)...), drop(8, sheet.Rising, four(50+d)...))))
		return raised(f, warning.DropsTrend, warning.DropsDisagree)
	}
	for d, want := range map[geometry.Angle]string{
		0: "[]", 0.5: "[]", 0.70: "[]", 0.712: "[drops_disagree]", 1.065: "[drops_disagree]", 1.075: "[drops_trend]",
	} {
		if got := fmt.Sprint(said(d)); got != want {
			t.Errorf("%v apart: %s, want %s", d, got, want)
		}
	}
	const n = 12
	doubted, apart := 0, 0
	rounded := func(a float64) geometry.Angle { return geometry.Angle(math.Round(a)) }
	for i := range n * n * n {
		place := func(j int) float64 { return (float64(j%n) + 0.5) / n }
		middle := 50 + place(i)
		of := func(depth geometry.Length, arc float64) sheet.Drop {
			d := sheet.Drop{Drop: depth, Taken: sheet.Rising}
			for range 4 {
				d.Before = append(d.Before, sheet.Reading{Value: rounded(middle - arc)})
				d.After = append(d.After, sheet.Reading{Value: rounded(middle + arc)})
			}
			return d
		}
		f := find(t, read(1, drops(of(2, 16+place(i/n)), of(8, 33+place(i/n/n)))))
		if m := f.Setups[0].Middles; m[0] != m[len(m)-1] {
			apart++
		}
		if len(raised(f, warning.DropsTrend, warning.DropsDisagree)) > 0 {
			doubted++
		}
	}
	if doubted > 0 || apart < n*n*n/4 {
		t.Errorf("doubted are %d of %d, want none; half a step apart are %d, want many", doubted, n*n*n, apart)
	}
}

// Half arcs 3, 3, 3 ± with middles that repeat: three half arcs c-x, c+2x, c-x do not
// creep, and jump where their variance is F(0.99; 2, 2) = 99 times that of the step, a
// middle's s²/24. Their variance is 3x².
func TestHalfArcsJumpByHand(t *testing.T) {
	limit := geometry.Angle(math.Sqrt(99.0 / 24 / 3))
	for by, want := range map[geometry.Angle]int{0.995 * limit: 0, 1.005 * limit: 1} {
		f := find(t, read(1, stops(pair(50, 40-by), pair(50, 40+2*by), pair(50, 40-by))))
		if got := len(raised(f, warning.HalfArcJumps)); got != want {
			t.Errorf("x = %v: %d, want %d", by, got, want)
		}
	}
	// With middles that scatter on two setups, four degrees of freedom: F(0.99; 2, 4)
	// = 18. The middles m ± y, m have the variance y².
	limit = geometry.Angle(math.Sqrt(18.0 / 3))
	for by, want := range map[geometry.Angle]int{0.995 * limit: 0, 1.005 * limit: 1} {
		f := find(t, read(0.1,
			stops(pair(51, 40-by), pair(49, 40+2*by), pair(50, 40-by)),
			stops(pair(51, 40), pair(49, 40), pair(50, 40))))
		if got := len(raised(f, warning.HalfArcJumps)); got != want {
			t.Errorf("x = %v beside scatter: %d, want %d", by, got, want)
		}
	}
}

// Half arcs on a straight line creep where they change by more than half a step.
func TestHalfArcsCreepByHand(t *testing.T) {
	for by, want := range map[geometry.Angle]int{0.45: 0, 0.5: 0, 0.55: 1, -0.55: 1} {
		f := find(t, read(1, stops(pair(50, 40), pair(50, 40+by/2), pair(50, 40+by))))
		if got := len(raised(f, warning.HalfArcCreeps)); got != want {
			t.Errorf("by %v: %d, want %d", by, got, want)
		}
	}
}

// Middles 0, d, 2d with half arcs that repeat have the step's scatter s/√24 on 1 + 2
// degrees of freedom: t = d √2 √24 / s. Student's t with three is in closed form:
// P(|T| > t) = 1 - 2/π (u/(1+u²) + atan u), u = t/√3. Two setups are asked twice.
func TestDriftByHand(t *testing.T) {
	for _, d := range []float64{0.3, 0.9, -2} {
		u := math.Abs(d) * math.Sqrt(48) / math.Sqrt(3)
		want := 1 - 2/math.Pi*(u/(1+u*u)+math.Atan(u))
		creeping := stops(pair(50, 40), pair(geometry.Angle(50+d), 40), pair(geometry.Angle(50+2*d), 40))
		f := find(t, read(1, creeping))
		testkit.Near(t, "P", f.Setups[0].DriftP, want, 1e-9)
		testkit.Near(t, "drift", f.Setups[0].Drift.Degrees(), 2*d, 1e-9)
		f = find(t, read(1, creeping, stops(pair(50, 40), pair(50, 40), pair(50, 40))))
		testkit.Near(t, "P of two", f.Setups[0].DriftP, math.Min(1, 2*want), 1e-9)
	}
}

// Middles that follow the half arc and creep with it are said once; those of another
// setup that creep are said for it.
func TestCreepBesideAFollowingSetup(t *testing.T) {
	follows := drops(
		drop(2, sheet.Rising, 50, 50.001), drop(4, sheet.Rising, 51, 51.001),
		drop(6, sheet.Rising, 52, 52.001), drop(8, sheet.Rising, 53, 53.001))
	creeps := stops(pair(50, 40), pair(52, 40), pair(54, 40), pair(56, 40))
	f := find(t, read(0.01, follows, creeps))
	var of []string
	for _, w := range f.Warnings {
		if w.Code == warning.DropsTrend || w.Code == warning.MiddlesDrift {
			of = append(of, string(w.Code)+" "+w.Setup)
		}
	}
	if len(of) != 2 || of[0] != string(warning.DropsTrend)+" 1" || of[1] != string(warning.MiddlesDrift)+" 2" {
		t.Errorf("said: %q", of)
	}
}

// From three setups on their scatter is seen, and single pairs are no lack; a dial's
// single tops neither.
func TestThreeSetupsOfOnePair(t *testing.T) {
	one := stops(pair(50, 40))
	for n, want := range map[int]int{1: 1, 2: 1, 3: 0} {
		f := find(t, read(1, []sheet.Setup{one, one, one}[:n]...))
		if got := len(raised(f, warning.OneTrial)); got != want {
			t.Errorf("%d setups: %d", n, got)
		}
		s := read(1, make([]sheet.Setup, n)...)
		s.Readout.Kind = sheet.Dial
		for i := range s.Setups {
			s.Setups[i].Method, s.Setups[i].Top = sheet.AtTop, []sheet.Reading{{Length: 5}}
		}
		if got := len(raised(find(t, s), warning.OneTrial)); got != want {
			t.Errorf("%d setups of a dial: %d", n, got)
		}
	}
}

// A half arc of nothing beside an offset is a fault, one alone as well.
func TestNoHalfArcIsAFault(t *testing.T) {
	s := read(1, stops(pair(50, 40)), stops(pair(50, 0)))
	s.Engine.PinOffset.Value = 1
	f, err := tdc.Find(s, readout.New(s))
	if err == nil || f.Any() {
		t.Errorf("found %+v", f.Setups)
	}
	// Without stroke and rod an offset says nothing of an angle.
	s = read(1, stops(pair(50, 40)))
	s.Engine = sheet.Engine{Turns: geometry.Clockwise}
	s.Engine.PinOffset.Value = 1
	closing := pair(50, 30)
	s.Setups[0].Closing = &closing
	u := find(t, s).Setups[0]
	if u.Correction != 0 || *u.Closing != 0 {
		t.Errorf("corrected by %v, closing %v", u.Correction, *u.Closing)
	}
}

// A tape counts on from its chalk line: a TDC at 400 is read at 400, less what pin
// offset makes the middle late by.
func TestRimCountsOn(t *testing.T) {
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		c := geometry.Crank{Stroke: 92, Rod: 152, Offset: -4}
		beta, err := c.MidCorrection(40)
		if err != nil {
			t.Fatal(err)
		}
		turn := geometry.Angle(counts)
		s := read(1, stops(pair(400+turn*beta, turn*40), pair(400+turn*beta, turn*40)))
		s.Readout.Kind, s.Readout.Counts, s.Part.Diameter = sheet.Rim, counts, 300
		s.Engine.PinOffset.Value = 4
		testkit.Near(t, "reading", find(t, s).Setups[0].Reading, 400, 1e-9)
	}
}
