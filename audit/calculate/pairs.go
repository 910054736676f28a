package calculate

import (
	"fmt"
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Pairs is what several pairs of contacts with one stop say together.
type Pairs struct {
	Tops     []PairTop      // in the order in which the pairs were taken
	Mean     PairTop        // the last pair, with middle and half arc those of all
	Repeats  geometry.Angle // standard deviation of one middle
	Expanded geometry.Angle // half width of the interval of the mean middle; zero where nothing scatters and no step is stated
}

// arcsApart is how far the half arcs of one stop may differ beyond two steps before
// somebody has to look. Common practice, no source.
const arcsApart geometry.Angle = 1

// TopOf finds the middle of several pairs of one stop, at least two, alike in all
// but their contacts. Each has to be right by itself, as in [Pair.Top]. Half arcs
// that differ by more than 1° and two steps are [Unstated], for one stop blocks one
// arc, unless they have been checked. The interval is that of an audit at 95 %:
// scatter or step, as uncertainty weighs them.
func TopOf(pairs []Pair, checked bool) (Pairs, error) {
	var out Pairs
	var middles, arcs []geometry.Angle
	for i, p := range pairs {
		top, err := p.Top()
		if err != nil {
			return Pairs{}, fmt.Errorf("pair %d: %w", i+1, err)
		}
		if first := i == 0; !first && top.Counts != out.Tops[0].Counts {
			return Pairs{}, &geometry.Refusal{
				Text: fmt.Sprintf("pair %d: found forward %s and backward %s, which count the other way than pair 1", i+1, p.Forward.Written(), p.Backward.Written()),
				Hint: "forward is the contact that you reach the way the engine runs",
			}
		}
		out.Tops, middles, arcs = append(out.Tops, top), append(middles, top.Reading), append(arcs, top.HalfArc)
	}
	middles, together := stats.Gather(middles)
	if !together {
		return Pairs{}, &geometry.Refusal{
			Text: "found middles all round the circle, expected them within a few degrees of each other",
			Hint: "press no zero between pairs",
		}
	}
	out.Mean = out.Tops[len(out.Tops)-1]
	step := out.Mean.Step
	if low, high := stats.Extremes(arcs); high-low > arcsApart+2*step+geometry.Tie && !checked {
		asked := unstated(SameStop, fmt.Sprintf("found half arcs from %.2f to %.2f", low, high), "those of one stop to be alike")
		asked.Hint = "was the stop moved, or a contact mistyped?"
		return Pairs{}, asked
	}
	n := float64(len(middles))
	squares, dof := stats.Spread(middles)
	out.Repeats = geometry.Angle(math.Sqrt(squares / dof))
	out.Mean = out.Mean.at(stats.MeanAngle(middles), stats.MeanAngle(arcs))
	if out.Mean.Rim.Diameter.HasValue {
		out.Mean.Half = meanHalf(out.Tops)
	}
	of := uncertainty.Input{
		ID: uncertainty.ID{Source: uncertainty.StopContacts}, Shape: uncertainty.StudentT, Scale: out.Repeats.Degrees(), DOF: uncertainty.DOF(dof), N: len(middles),
	}
	group := uncertainty.Group{Mountings: []string{"here"}, Scatter: []uncertainty.Contribution{uncertainty.By(of, 1/math.Sqrt(n))}}
	if step > 0 {
		group.Rounding = []uncertainty.Contribution{uncertainty.By(uncertainty.Rounded(uncertainty.StepAtTDC, "", uncertainty.Triangular, step/2), 1)}
	}
	e, _ := uncertainty.Combination{Groups: []uncertainty.Group{group}}.Evaluate(sheet.DefaultConfidence)
	out.Expanded = e.Expanded
	return out, nil
}

// meanHalf is the mean way along the rim from either contact to TDC.
func meanHalf(tops []PairTop) (out HalfOnRim) {
	n := float64(len(tops))
	for _, t := range tops {
		out.Arc = addSized(out.Arc, t.Half.Arc, 1/n)
		out.Chord = addSized(out.Chord, t.Half.Chord, 1/n)
		out.Angle = addSized(out.Angle, t.Half.Angle, 1/n)
	}
	return out
}

func addSized[T geometry.Angle | geometry.Length](a, b Sized[T], weight float64) Sized[T] {
	a.Value += b.Value * T(weight)
	a.Limit.Half += b.Limit.Half * T(weight)
	a.Limit.K = b.Limit.K
	return a
}
