package crosscheck_test

import (
	"fmt"
	"math"
	"testing"

	"markaudit/audit/crosscheck"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Sheets without scatter but for what a test puts on them, so that each threshold has
// a closed form. Quantiles are those of printed tables.
const (
	t2   = 4.302652730 // Student's t, 0.975, 2 degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.6.7.2)
	t1   = 12.70620474 // the same, 1 degree
	chi2 = 5.991464547 // chi-square, upper 0.05, 2 degrees: -2 ln 0.05
)

func at(values ...geometry.Angle) (out []sheet.Reading) {
	for _, v := range values {
		out = append(out, sheet.Reading{Value: v, Approach: sheet.Forward})
	}
	return out
}

func trial(forward, backward geometry.Angle) sheet.Trial {
	return sheet.Trial{
		Forward:  &sheet.Reading{Value: forward, Approach: sheet.Forward},
		Backward: &sheet.Reading{Value: backward, Approach: sheet.Backward},
	}
}

func quiet(setups int, marks ...sheet.Mark) sheet.Sheet {
	s := sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise},
		Part:    sheet.Part{MarksOn: sheet.OnPart, Diameter: 200},
		Readout: sheet.Readout{Kind: sheet.Encoder, Step: 1e-6, Counts: geometry.CountsUp},
		Limits:  sheet.Limits{Confidence: 0.95},
		Marks:   marks,
	}
	for i := range setups {
		s.Setups = append(s.Setups, sheet.Setup{
			Name: fmt.Sprint(i + 1), Marks: map[string][]sheet.Reading{},
			Trials: []sheet.Trial{trial(-30, 30), trial(-30, 30)},
		})
	}
	return s
}

func checked(t *testing.T, s sheet.Sheet) crosscheck.Checks {
	t.Helper()
	shown := readout.New(s)
	top, err := tdc.Find(s, shown)
	if err != nil {
		t.Fatal(err)
	}
	placed, err := lines.Place(s, shown, top)
	if err != nil {
		t.Fatal(err)
	}
	return crosscheck.All(s, shown, top, placed.Lines)
}

func has(c crosscheck.Checks, code warning.Code) bool {
	for _, w := range c.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// between fails the test unless something is there a little beyond a border, and not
// a little within it.
func border(t *testing.T, what string, at float64, there func(x float64) bool) {
	t.Helper()
	if there(at*(1-1e-4)) || !there(at*(1+1e-4)) {
		t.Errorf("%s does not change at %v", what, at)
	}
}

// Three setups whose offsets lie d apart have the standard deviation d. Beside the
// standard uncertainty u of remounting there is what the readings of p lines scatter:
// each is read twice, e off its mean either way, a variance of e² for the mean, and
// of e²/p for that of the lines.
func TestRemountingAgainstChiSquare(t *testing.T) {
	const u = 0.1 // of a limit ± 0.2 with k = 2
	for _, p := range []int{1, 2} {
		for _, e := range []geometry.Angle{0, 0.05} {
			limit := math.Sqrt(chi2 / 2 * (u*u + float64(e*e)/float64(p)))
			border(t, fmt.Sprintf("%d lines, %v: the warning", p, e), limit, func(d float64) bool {
				s := quiet(3, []sheet.Mark{{Name: "A", At: 40, Tolerance: 5}, {Name: "B", At: 140, Tolerance: 5}}[:p]...)
				s.Limits.Remount = geometry.Limit[geometry.Angle]{Half: 2 * u, K: 2}
				for i := range s.Setups {
					for _, m := range s.Marks {
						mean := m.At + geometry.Angle(d)*geometry.Angle(i-1)
						s.Setups[i].Marks[m.Name] = at(mean-e, mean+e)
					}
				}
				return has(checked(t, s), warning.RemountExceeded)
			})
		}
	}
	s := quiet(3, sheet.Mark{Name: "A", At: 40, Tolerance: 5})
	for i := range s.Setups {
		s.Setups[i].Marks["A"] = at(40+geometry.Angle(3*i), 40+geometry.Angle(3*i))
	}
	if has(checked(t, s), warning.RemountExceeded) {
		t.Error("no limit is stated, and one is exceeded")
	}
}

// A line read twice from each side, e off its mean either way: a reading has the
// variance 2e², with two degrees of freedom, and so has the difference of the means
// from each side.
func TestLostMotionAgainstStudent(t *testing.T) {
	const e = 0.02
	u := t2 * math.Sqrt2 * e
	read := func(lost float64, counts geometry.Sense, edit func(r *sheet.Readout)) crosscheck.Checks {
		s := quiet(1, sheet.Mark{Name: "A", At: 40, Tolerance: 5})
		s.Readout.Counts = counts
		if counts == geometry.CountsDown {
			s.Setups[0].Trials = []sheet.Trial{trial(30, -30), trial(30, -30)}
		}
		edit(&s.Readout)
		for i, side := range []sheet.Approach{sheet.Forward, sheet.Backward} {
			mean := geometry.Angle(counts) * (40 + geometry.Angle(lost)*(geometry.Angle(i)-0.5))
			for _, r := range at(mean-e, mean+e) {
				r.Approach = side
				s.Setups[0].Marks["A"] = append(s.Setups[0].Marks["A"], r)
			}
		}
		return checked(t, s)
	}
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		for _, sign := range []float64{1, -1} {
			border(t, "lost motion", u, func(lost float64) bool {
				c := read(sign*lost, counts, func(*sheet.Readout) {})
				seen := has(c, warning.LostMotionSeen)
				if seen {
					testkit.Near(t, "seen", c.LostMotion.Degrees(), sign*lost, 1e-9)
				}
				return seen
			})
			border(t, "lost motion other than stated", u+0.03, func(off float64) bool {
				c := read(0.3+sign*off, counts, func(r *sheet.Readout) {
					r.HasLostMotion, r.LostMotion, r.LostLimit.Half = true, 0.3, 0.03
				})
				seen := has(c, warning.LostMotionDiffers)
				if seen {
					testkit.Near(t, "beyond what is stated", c.LostMotion.Degrees(), sign*off, 1e-9)
				}
				return seen
			})
		}
	}
}

// turned is a sheet of n setups with the stop left alone, the wheel turned by equal
// steps between them, each contact off by what a centre towards psi makes, and the arc
// of each setup by left, one way and the other in turn.
func turned(n int, amplitude, psi, left float64) sheet.Sheet {
	s := quiet(n)
	s.Readout.Kind, s.Readout.Diameter = sheet.Wheel, 300
	for i := range s.Setups {
		zero := 360 * float64(i) / float64(n)
		arc := 60 + 2*amplitude*math.Sin(math.Pi/6)*math.Cos((zero-psi)*math.Pi/180) + left*float64(1-2*(i%2))
		s.Setups[i].Fitting = "A"
		forward, backward := geometry.Angle(zero-arc/2), geometry.Angle(zero+arc/2)
		s.Setups[i].Trials = []sheet.Trial{trial(forward, backward), trial(forward, backward)}
	}
	return s
}

// Four equal turns: sine, cosine and mean stand at right angles, and so does what
// changes its sign from setup to setup. That alone is left, with one degree of
// freedom: its square four times, and √(2/4) of its root for either component.
func TestCentringInClosedForm(t *testing.T) {
	const amplitude, psi, left = 0.4, 70.0, 0.003
	c := checked(t, turned(4, amplitude, psi, left)).Arcs
	if len(c) != 1 || !c[0].Fitted || !c[0].Seen || !c[0].Varies {
		t.Fatalf("%+v", c)
	}
	gain := 2 * math.Sin(math.Pi/6)
	u := t1 * 2 * left * math.Sqrt(0.5) / gain
	testkit.Near(t, "amplitude", c[0].Amplitude.Degrees(), amplitude, 1e-6)
	testkit.Near(t, "towards", c[0].Toward.Degrees(), psi, 1e-6)
	testkit.Near(t, "left", c[0].Left.Degrees(), 2*left, 1e-6)
	testkit.Near(t, "U", c[0].U.Degrees(), u, 1e-5)
	testkit.Near(t, "off centre", c[0].OffCentre.Millimetres(), amplitude*math.Pi/180*150, 1e-6)
	testkit.Near(t, "its ±", c[0].OffU.Millimetres(), u*math.Pi/180*150, 1e-6)
	border(t, "whether a harmonic is seen", u, func(x float64) bool { return checked(t, turned(4, x, psi, left)).Arcs[0].Seen })
	border(t, "the warning of the limit", u+0.1*180/math.Pi/150, func(x float64) bool {
		s := turned(4, x, psi, left)
		s.Readout.OffCentre = 0.1
		return has(checked(t, s), warning.OffCentreExceeded)
	})
	if has(checked(t, turned(4, amplitude, psi, left)), warning.OffCentreExceeded) {
		t.Error("no limit is stated, and one is exceeded")
	}
	// Five setups leave two degrees of freedom.
	five := checked(t, turned(5, amplitude, psi, left)).Arcs[0]
	testkit.Near(t, "U of five", five.U.Degrees(), t2*five.Left.Degrees()*math.Sqrt(2.0/5)/gain, 1e-5)
	three := checked(t, turned(3, amplitude, psi, left)).Arcs[0]
	if three.Fitted {
		t.Error("a harmonic is fitted to three arcs")
	}
	if two := turned(2, amplitude, psi, 0); len(checked(t, two).Arcs) != 1 {
		t.Error("two setups of one fitting are not compared")
	}
	if one := turned(1, amplitude, psi, 0); len(checked(t, one).Arcs) != 0 {
		t.Error("one setup is compared with nothing")
	}
}

// Two arcs of two trials each, whose halves lie e off their mean: an arc's mean has the
// variance 4·2e²/2 with two degrees of freedom. Two arcs d apart have the variance
// d²/2, and F at upper 0.05 with 1 and 2 degrees is t² at 0.975 with 2.
func TestArcsThatDifferAgainstF(t *testing.T) {
	const e = 0.01
	border(t, "whether arcs differ", t2*math.Sqrt(2*4*e*e), func(d float64) bool {
		s := quiet(2)
		for i := range s.Setups {
			half := geometry.Angle(30 + d/2*float64(i))
			s.Setups[i].Fitting = "A"
			s.Setups[i].Trials = []sheet.Trial{trial(-half-e, half+e), trial(-half+e, half-e)}
		}
		c := checked(t, s)
		testkit.Near(t, "range", c.Arcs[0].Range.Degrees(), d, 1e-9)
		return c.Arcs[0].Varies && has(c, warning.ArcsDiffer)
	})
}

// 60 degrees on 200 mm are a chord of 100 mm, and 20 of 120 teeth.
func TestDistancesInClosedForm(t *testing.T) {
	s := quiet(3, sheet.Mark{Name: "A", Tolerance: 5}, sheet.Mark{Name: "B", At: 60, Tolerance: 5}, sheet.Mark{Name: "C", At: 90, Tolerance: 5})
	s.Part.Teeth = 120
	for i := range s.Setups {
		s.Setups[i].Marks["A"], s.Setups[i].Marks["B"] = at(0.01, -0.01), at(62.01, 61.99)
	}
	limit := geometry.Limit[geometry.Length]{Half: 0.4}
	spacing := func(edit func(x *sheet.Spacing)) (crosscheck.Spacing, bool) {
		x := sheet.Spacing{From: "A", To: "B", Chord: 103, Limit: limit}
		edit(&x)
		s.Part.Spacings = []sheet.Spacing{x}
		c := checked(t, s)
		if len(c.Spacings) != 1 {
			return crosscheck.Spacing{}, false
		}
		if c.Spacings[0].Differs != has(c, warning.SpacingDiffers) {
			t.Errorf("%+v: whether it differs is not what the warnings say", x)
		}
		return c.Spacings[0], true
	}
	found, _ := spacing(func(*sheet.Spacing) {})
	chord := 200 * math.Sin(31*math.Pi/180)
	testkit.Near(t, "expected", found.Expected, chord, 1e-9)
	testkit.Near(t, "nominal", found.Nominal, 100, 1e-9)
	testkit.Near(t, "measured", found.Measured, 103, 0)
	if found.U < 0.4*0.95 || found.U > 0.45 { // a rectangular limit at 95 %, with next to no scatter
		t.Errorf("U is %v, expected little more than 0.38", found.U)
	}
	border(t, "a chord that differs", found.U, func(off float64) bool {
		shorter, _ := spacing(func(x *sheet.Spacing) { x.Chord = geometry.Length(chord - off) })
		longer, _ := spacing(func(x *sheet.Spacing) { x.Chord = geometry.Length(chord + off) })
		if shorter.Differs != longer.Differs {
			t.Error("longer and shorter are judged unlike")
		}
		return longer.Differs
	})
	for teeth, expected := range map[float64]float64{1: 62.0 / 3, 20: 62.0 / 3, 100: 120 - 62.0/3} { // the nearer way round
		counted, _ := spacing(func(x *sheet.Spacing) { x.Chord, x.Teeth = 0, teeth })
		testkit.Near(t, "teeth", counted.Expected, expected, 1e-9)
		testkit.Near(t, "counted", counted.Measured, teeth, 0)
		if counted.U < 0.5*0.95 || counted.U > 0.55 {
			t.Errorf("U of teeth is %v, expected little more than 0.475", counted.U)
		}
	}
	for name, edit := range map[string]func(x *sheet.Spacing){
		"from a line that nobody read": func(x *sheet.Spacing) { x.From = "C" },
		"to a line that nobody read":   func(x *sheet.Spacing) { x.To = "C" },
		"from no line of the sheet":    func(x *sheet.Spacing) { x.From = "D" },
		"to no line of the sheet":      func(x *sheet.Spacing) { x.To = "D" },
	} {
		if _, there := spacing(edit); there {
			t.Errorf("a distance %s is compared", name)
		}
	}
	if _, there := spacing(func(x *sheet.Spacing) { x.From, x.To = "B", "A" }); !there {
		t.Error("a distance to the first line of the sheet is not compared")
	}
}

// Two lines, by where they belong and where they come up. On a part that turns once a
// turn of the crank the gap between the last line and the first is one too.
func TestOrderOfLines(t *testing.T) {
	for _, c := range []struct {
		first, second, found float64
		wrong                bool
	}{
		{0, 10, 10, false},
		{0, 10, 1, false},
		{0, 10, 0, true},
		{0, 10, -1, true},
		{0, 0.5, 0.4, false},
		{0, 0.5, -0.1, true},
		{-10, 0, 0.5, false},
		{-10, 0, -10.5, true},
	} {
		s := quiet(1, sheet.Mark{Name: "A", At: geometry.Angle(c.first), Tolerance: 20}, sheet.Mark{Name: "B", At: geometry.Angle(c.second), Tolerance: 20})
		s.Setups[0].Marks["A"] = at(geometry.Angle(c.first), geometry.Angle(c.first))
		s.Setups[0].Marks["B"] = at(geometry.Angle(c.found), geometry.Angle(c.found))
		if got := has(checked(t, s), warning.LineOrder); got != c.wrong {
			t.Errorf("lines at %v and %v, the second found at %v: wrong order %v", c.first, c.second, c.found, got)
		}
	}
}

// Places in the list of a side are counted without the readings from the other side.
func TestPlacesOfAnOddReading(t *testing.T) {
	s := quiet(1, sheet.Mark{Name: "A", At: 40, Tolerance: 5})
	for i, side := range []sheet.Approach{sheet.Forward, sheet.Backward, sheet.Backward, sheet.Forward, sheet.Backward} {
		s.Setups[0].Marks["A"] = append(s.Setups[0].Marks["A"], sheet.Reading{Value: 40 + geometry.Angle(i)*0.01, Approach: side})
	}
	for _, c := range []struct {
		o    crosscheck.OddReading
		want string
	}{
		{crosscheck.OddReading{Line: "A", Side: sheet.Backward, Index: []int{1, 4}}, "[1 3]"},
		{crosscheck.OddReading{Line: "A", Side: sheet.Forward, Index: []int{3}}, "[2]"},
		{crosscheck.OddReading{Side: sheet.Backward, Index: []int{1, 4}}, "[2 5]"},
	} {
		if got := fmt.Sprint(c.o.Numbers(s)); got != c.want {
			t.Errorf("%+v: %s, want %s", c.o, got, c.want)
		}
	}
	if (crosscheck.OddReading{P: 0.06}).Doubtful() || !(crosscheck.OddReading{P: 0.04}).Doubtful() {
		t.Error("the level is not 5 %")
	}
}

// Nothing shows the way of counting where the lines lie at 0 and 180, mirrored or not.
func TestLinesThatTellNoDirection(t *testing.T) {
	for _, c := range []struct {
		second geometry.Angle
		blind  bool
	}{{180, true}, {-180, true}, {90, false}, {150, false}, {30, false}} {
		s := quiet(1, sheet.Mark{Name: "A", Tolerance: 5}, sheet.Mark{Name: "B", At: c.second, Tolerance: 5})
		s.Setups[0].Marks["A"], s.Setups[0].Marks["B"] = at(0, 0.01), at(c.second, c.second+0.01)
		if got := has(checked(t, s), warning.DirectionUnchecked); got != c.blind {
			t.Errorf("0 and %v: unchecked %v, want %v", c.second, got, c.blind)
		}
		s.Readout.QuarterTurn = &[2]sheet.Reading{{Value: 10}, {Value: 100}}
		if has(checked(t, s), warning.DirectionUnchecked) {
			t.Error("unchecked with a quarter turn")
		}
		s.Readout.QuarterTurn = nil
		s.Setups[0].Marks = nil
		if has(checked(t, s), warning.DirectionUnchecked) {
			t.Error("unchecked without a reading")
		}
	}
}

// Two ways in mountings of their own, without a word on remounting: one mounting each
// shows nothing of it, two do.
func TestWaysNeedTwoMountingsEach(t *testing.T) {
	for _, c := range []struct {
		stops, drops int
		known        bool
	}{{1, 1, false}, {1, 2, false}, {2, 1, false}, {2, 2, true}} {
		s := quiet(c.stops+c.drops, sheet.Mark{Name: "A", At: 40, Tolerance: 5}, sheet.Mark{Name: "B", At: 200, Tolerance: 5})
		s.Engine.Stroke, s.Engine.Rod = 90, 150
		crank, _ := s.Engine.Crank()
		for i := range s.Setups {
			u := &s.Setups[i]
			later := geometry.Angle(0)
			if i >= c.stops { // by drops, which find TDC 0.3 later
				later = 0.3
				u.Method, u.Trials = sheet.EqualDrop, nil
				d := sheet.Drop{Drop: crank.Drop(30), Taken: sheet.Rising}
				for k := range 3 {
					off := geometry.Angle(k-1) * 0.01
					d.Before, d.After = append(d.Before, at(later-30+off)...), append(d.After, at(later+30+off)...)
				}
				u.Drops = []sheet.Drop{d}
			} else {
				u.Trials = append(u.Trials, trial(-30.01, 29.99), trial(-29.99, 30.01))
			}
			u.Marks["A"], u.Marks["B"] = at(39.99, 40.01), at(199.99, 200.01)
		}
		found := checked(t, s).Ways
		if len(found) != 1 || found[0].Together {
			t.Fatalf("%+v", found)
		}
		w := found[0]
		testkit.Near(t, "difference", w.Difference.Value.Degrees(), 0.3, 1e-9)
		if w.Difference.Known != c.known || w.Differ != c.known {
			t.Errorf("%+v: %+v", c, w)
		}
	}
}
