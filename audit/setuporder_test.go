package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// It makes no difference which of two setups stands first on the sheet, each with a
// mounting of its own: not to the intervals, and not to what would decide a line.
func TestWhatToMeasureNextDoesNotHangOnTheOrderOfSetups(t *testing.T) {
	decided := 0
	for seed := range uint64(24) {
		r := newRig(rand.New(rand.NewPCG(seed, 19)))
		r.Told.Geometry, r.Told.Slack = true, 0.02
		r.line("T", 0, 0.52)
		r.line("F", -10, -0.55)
		drops := byDrops(2, 2).taken(sheet.Rising)
		sweep := bySweep(9, -30, 30).taken(sheet.Rising).and(func(s *simulate.Setup) { s.Sweep.HeightSD, s.Sweep.Step = 0.01, 0.01 })
		r.ways = [][]way{{byStop(), drops}, {byStop(), sweep}, {drops, sweep}}[seed%3]
		s := r.sheet()
		other := s
		other.Setups = []sheet.Setup{s.Setups[1], s.Setups[0]}
		want, got := audited(t, s), audited(t, other)
		after := audit.Next(got)
		for i, n := range audit.Next(want) {
			if n.Way == advise.MoreReadings && n.Trials > 0 {
				decided++
			}
			a := after[i]
			if n.Way != a.Way || n.Trials != a.Trials || n.Readings != a.Readings || n.Setups != a.Setups || n.Largest != a.Largest || math.Abs(n.Chance-a.Chance) > 1e-9 {
				t.Errorf("sheet %d: line %d is decided by %+v, the setups exchanged by %+v", seed, i, n, a)
			}
			if g, w := got.Lines[i].Offset, want.Lines[i].Offset; math.Abs((g.Expanded - w.Expanded).Degrees()) > 1e-9 {
				t.Errorf("sheet %d: ± %v, the setups exchanged ± %v", seed, w.Expanded, g.Expanded)
			}
		}
	}
	if decided < 3 {
		t.Errorf("%d lines would be decided by more pairs: the test shows little", decided)
	}
}

// A sweep taken with the piston rising is as wide as its readout loses on reversing.
// Where the sheet says how much that is, the curve is freed of it; where it does not
// say how the points were come to, a misfit within it is no news. The wrong stroke
// is seen all the same.
func TestDeclaredLostMotionIsNoMisfit(t *testing.T) {
	const lost, sheets = 0.4, 60
	for _, c := range []struct {
		name    string
		taken   sheet.Taken
		told    bool
		stroke  geometry.Length // added on the sheet
		doubted [2]int          // at least, at most
	}{
		{"rising, declared", sheet.Rising, true, 0, [2]int{0, 4}},
		{"not said, declared", sheet.Unknown, true, 0, [2]int{0, 4}},
		{"rising, not declared", sheet.Rising, false, 0, [2]int{12, sheets}},
		{"rising, declared, wrong stroke", sheet.Rising, true, 15, [2]int{30, sheets}},
	} {
		doubted := 0
		for seed := range uint64(sheets) {
			r := newRig(rand.New(rand.NewPCG(seed, 133)))
			r.line("T", 0, 0)
			r.Told.Geometry, r.Readout.Step, r.Readout.Lost = true, 0.25, lost
			if c.told {
				r.Told.Lost, r.Told.LostLimit = lost, 0.05
			}
			w := bySweep(11, -30.1, 30.3).taken(sheet.Rising)
			r.ways = []way{w.and(func(s *simulate.Setup) {
				s.Sweep.HeightSD, s.Sweep.Step, s.Unsaid = 0.01, 0.01, c.taken == sheet.Unknown
			})}
			s := r.sheet()
			s.Engine.Stroke += c.stroke
			if result := audited(t, s); has(result, warning.SweepMisfit) || has(result, warning.LimbsDiffer) {
				doubted++
			}
		}
		if doubted < c.doubted[0] || doubted > c.doubted[1] {
			t.Errorf("%s: %d of %d sweeps doubted, want %d to %d", c.name, doubted, sheets, c.doubted[0], c.doubted[1])
		}
	}
}

// A tape in eighths of an inch on a rim of 12 in, its scatter that of its step (a
// common tie), and the same lengths written to a hundredth of a millimetre say the
// same but for rounding. (The two ± by quadrature, outside the project.)
func TestInchAndMillimetreSheetsOfATieAgree(t *testing.T) {
	read := func(forward, backward, line, step, diameter string) float64 {
		l := judged(t, "format: 1\nengine: {turns: clockwise}\npart: {marks_on: part, diameter: "+diameter+"}\n"+
			"readout: {kind: rim, measured: tape, step: "+step+", counts: up}\nlimits: {tolerance: 0.5}\nmarks: [{name: T, at: 0}]\n"+
			"setups:\n  - stop: {forward: ["+forward+"], backward: ["+backward+"]}\n    marks: {T: ["+line+"]}\n").Lines[0]
		return l.Offset.Expanded.Degrees()
	}
	inch := read("-2 in, -2 in, -2.125 in, -2 in", "2.5 in, 2.5 in, 2.5 in, 2.375 in", "0.25 in, 0.25 in, 0.375 in, 0.375 in", "0.125 in", "12 in")
	mm := read("-50.8 mm, -50.8 mm, -53.98 mm, -50.8 mm", "63.5 mm, 63.5 mm, 63.5 mm, 60.33 mm", "6.35 mm, 6.35 mm, 9.52 mm, 9.52 mm", "3.18 mm", "304.8 mm")
	for _, x := range []struct {
		name      string
		got, want float64
	}{{"in inches", inch, 0.90003}, {"in millimetres", mm, 0.89619}} {
		if math.Abs(x.got-x.want) > 5e-4 {
			t.Errorf("%s: ± %.5f, want %.5f", x.name, x.got, x.want)
		}
	}
}

// Lengths of which the scatter is about the step's, in eighths of an inch and the same in
// millimetres: whatever was read, the two ± differ by rounding alone. At the very tie a
// rounding of 0.005 mm in 3.2 moves the weight of the two rows by up to 2 %.
func TestInchAndMillimetreSheetsNearATieAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 19))
	for n := range 40 {
		lengths := func(at float64, n int) (inch, mm string) {
			for i := range n {
				x := at + 0.125*float64(rng.IntN(2+rng.IntN(2)))
				if i > 0 {
					inch, mm = inch+", ", mm+", "
				}
				inch, mm = inch+fmt.Sprintf("%v in", x), mm+fmt.Sprintf("%.2f mm", x*25.4)
			}
			return inch, mm
		}
		var width [2]float64
		fi, fm := lengths(-2, 4)
		bi, bm := lengths(2.5, 4)
		li, lm := lengths(0.25, 4)
		for k, x := range [][]string{{fi, bi, li, "0.125 in", "12 in"}, {fm, bm, lm, "3.175 mm", "304.8 mm"}} {
			l := judged(t, "format: 1\nengine: {turns: clockwise}\npart: {marks_on: part, diameter: "+x[4]+"}\n"+
				"readout: {kind: rim, measured: tape, step: "+x[3]+", counts: up}\nlimits: {tolerance: 2}\nmarks: [{name: T, at: 0}]\n"+
				"setups:\n  - stop: {forward: ["+x[0]+"], backward: ["+x[1]+"]}\n    marks: {T: ["+x[2]+"]}\n").Lines[0]
			width[k] = l.Offset.Expanded.Degrees()
		}
		if math.Abs(width[0]/width[1]-1) > 0.02 {
			t.Errorf("sheet %d: ± %.5f in inches, %.5f in millimetres (%s; %s; %s)", n, width[0], width[1], fi, bi, li)
		}
	}
}

// However little readings scatter, degrees of freedom are a number that people know, or
// there are none to tell: never 8e53.
func TestDegreesOfFreedomAreNoAstronomy(t *testing.T) {
	for k := range 16 {
		d := math.Pow(10, -float64(k))
		l := judged(t, fmt.Sprintf("format: 1\nengine: {turns: clockwise}\npart: {marks_on: part}\nreadout: {step: 0.5, counts: up}\nlimits: {tolerance: 2, remount: ± 0.2}\nmarks: [{name: T, at: 0}]\n"+
			"setups:\n  - stop: {forward: [340, %.16f, 340], backward: [20, 20, %.16f]}\n    marks: {T: [0.5, 0.5, %.16f]}\n", 340+d, 20+d, 0.5+d)).Lines[0]
		if dof := l.Offset.DOF; !dof.Infinite() && !(dof > 0 && float64(dof) <= 1e6) {
			t.Errorf("scatter of %g: %v degrees of freedom", d, dof)
		}
	}
}
