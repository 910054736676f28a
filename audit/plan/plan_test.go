package plan

import (
	"math"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

func planned() sheet.Sheet {
	return sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise, Stroke: 92, Rod: 152},
		Part:    sheet.Part{MarksOn: sheet.OnPart, Diameter: 158, Sighting: geometry.Limit[geometry.Length]{Half: 0.2}},
		Readout: sheet.Readout{Step: 0.25, Counts: geometry.CountsUp, Diameter: 280, OffCentre: 0.3},
		Limits:  sheet.Limits{Confidence: 0.95, Placement: 0.2},
		Marks:   []sheet.Mark{{Name: "T", At: 0, Tolerance: 1}, {Name: "3-4", At: 120, Tolerance: 1}},
	}
}

var usualGuess = Guess{Middle: 0.15, Reading: 0.15, Remount: 0.1}

// A refit is a quarter of an hour, a pair two minutes, a reading one (the bench's
// usual costs; common practice, no source), and no line is read once.
func TestPlanCostsWhatTheBenchCosts(t *testing.T) {
	for _, wanted := range []geometry.Angle{0.4, 0.5, 0.6} {
		p, err := For(planned(), usualGuess, 0, wanted)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range append(p.Usual, *p.Least) {
			if want := float64(s.Setups * (15 + 2*s.Trials + 2*s.Readings)); s.Effort != want {
				t.Errorf("%+v: %v minutes, want %v", s, s.Effort, want)
			}
		}
		if l := p.Least; l.Trials < 2 || l.Readings < 2 || l.U > wanted {
			t.Errorf("the least that gives %v: %+v", wanted, l)
		}
	}
}

// Without rock all depths would be alike. Then the usual one compares them, and it is
// in no other ±.
func TestDepthsAreComparedByRock(t *testing.T) {
	s := planned()
	p, err := For(s, usualGuess, 0, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	if !p.Usually || p.Rock != UsualRock || p.Depths[0].Rock == 0 || p.Depths[0].U < 1.05*p.Depths[5].U {
		t.Errorf("rock %v, usual %v: half arc %v has %v, %v has %v", p.Rock, p.Usually, p.Depths[0].HalfArc, p.Depths[0].U, p.Depths[5].HalfArc, p.Depths[5].U)
	}
	s.Limits.Contact.Half = UsualRock
	told, err := For(s, usualGuess, 0, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	if told.Usually || told.Depths[0].U != p.Depths[0].U || told.Best.HalfArc != p.Best.HalfArc {
		t.Errorf("told: %+v, usual: %+v", told.Depths[0], p.Depths[0])
	}
	if a, b := p.Predict(3, 3, 3), told.Predict(3, 3, 3); a >= b {
		t.Errorf("± %v without rock on the sheet, %v with it", a, b)
	}
	s.Engine.Stroke, s.Engine.Rod, s.Limits.Contact.Half = 0, 0, 0
	none, err := For(s, usualGuess, 0, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	if len(none.Depths) > 0 || none.Usually {
		t.Errorf("depths without stroke and rod: %+v", none.Depths)
	}
}

// The mean over five quantiles of each scatter is that over all, to a twenty-fifth, near
// the step where the larger of scatter and step changes sides too.
func TestFiveQuantilesSuffice(t *testing.T) {
	for _, step := range []geometry.Angle{0.01, 0.2, 0.35, 0.5} {
		s := planned()
		s.Readout.Step, s.Marks = step, s.Marks[:1]
		p := planner{sheet: s, guess: usualGuess, halfArc: 27}
		for _, n := range []amount{{1, 4, 4}, {1, 5, 5}, {3, 3, 3}} {
			l := p.planned(s.Marks[0], n)
			const many = 41
			var all float64
			for i := range many {
				for j := range many {
					q := func(k int, dof float64) float64 {
						if dof == 0 { // mountings alone
							return 1
						}
						return quantile((float64(k)+0.5)/many, dof)
					}
					e, _ := p.line(s.Marks[0], l.observed(q(i, l.first.dof), q(j, l.second.dof))).Evaluate(0.95)
					all += e.Expanded.Degrees() / (many * many)
				}
			}
			if got := p.u(s.Marks[0], n).Degrees(); !(math.Abs(got/all-1) <= 0.04) {
				t.Errorf("step %v, %+v: %.4f, over all %.4f", step, n, got, all)
			}
		}
	}
}

func TestPlanSaysWhereTheStepHides(t *testing.T) {
	for step, want := range map[geometry.Angle]bool{0.05: false, 2: true} {
		s := planned()
		s.Readout.Step, s.Limits.Remount.Half = step, 0.1
		p := planner{sheet: s, guess: usualGuess, halfArc: 27}
		if got := p.hides(s.Marks[0], amount{1, 5, 5}); got != want {
			t.Errorf("step %v: %v", step, got)
		}
	}
}
