package lines_test

import (
	"slices"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// All that this stage finds on good sheets and on unusual ones, as it is: what each
// figure should be is the matter of the other tests.
func TestFigures(t *testing.T) {
	found := map[string]any{}
	for name, s := range teststand.Stories(t) {
		shown := readout.New(s)
		top, err := tdc.Find(s, shown)
		if err != nil {
			found[name] = err.Error()
			continue
		}
		placed, err := lines.Place(s, shown, top)
		if err != nil {
			found[name] = err.Error()
			continue
		}
		alike := lines.Alikes(s, top, placed.Lines)
		gaps := map[string][2]geometry.Angle{} // with their ±
		for _, pair := range lines.Neighbours(s.Part, placed.Lines) {
			from, to := placed.Lines[pair[0]], placed.Lines[pair[1]]
			if chord, _, known := lines.ChordFrom(s.Part, from, to, lines.Gap(s, top, from, to)); known {
				e, _ := chord.Evaluate(s.Limits.Confidence)
				gaps[from.Name+" to "+to.Name] = [2]geometry.Angle{e.Value, e.Expanded}
			}
		}
		type figures struct { // of one line
			Off, U, ComesUpAt, Corrected geometry.Angle
			DOF, Within, Early           float64
			ArcU                         geometry.Length
			Own, Compared                [2]float64 // standard deviation and degrees of freedom
			ByDial                       *lines.Drop
			NotIncluded                  []warning.Code
			Place                        geometry.Angle
			Lost                         float64
			Covers                       lines.Covers
			OnRim                        lines.OnRim
			DropAt                       geometry.Length
			PerLine                      float64
			Sinking                      float64 // in the first setup of a dial
			Inputs                       []input // on which the offset depends
			Alike                        bool
		}
		each := map[string]figures{}
		for _, l := range placed.Lines {
			if l.Read() {
				each[l.Name] = figures{
					l.Offset.Value, l.Offset.Expanded, l.ComesUpAt, l.Corrected, float64(l.Offset.DOF), l.Conformity.Within, l.Conformity.Early,
					l.OnRim.ArcU, scatter(l.Scatter), scatter(l.Compared), l.ByDial, l.NotIncluded,
					l.Place, l.Lost, l.Covers, l.OnRim, l.DropAt,
					l.PerLine(), l.Seen[0].Sinking,
					inputs(l.From), l.From.Groups[0].Alike,
				}
			}
		}
		var compared *comparison
		var some []int
		for i, l := range placed.Lines {
			if slices.Contains(alike.Lines, l.Name) {
				some = append(some, i)
			}
		}
		if len(some) > 1 {
			if g, ok := lines.Compare(s, top, placed.Lines, some); ok {
				fit, _ := g.Fit()
				changes, _ := lines.Changes(g, g).Fit()
				compared = &comparison{g.Offsets, g.DOF, fit, changes.Weights}
			}
		}
		alike.Lines = nil // mostly all of them
		found[name] = struct {
			Lines    map[string]figures
			Warnings []warning.Warning
			Alike    lines.Alike
			Chords   map[string][2]geometry.Angle
			Compared *comparison
		}{each, placed.Warnings, alike, gaps, compared}
	}
	testkit.Figures(t, "figures/stage-lines.txt", found)
}

func scatter(s lines.Scatter) [2]float64 { return [2]float64{s.SD.Degrees(), s.DOF} }

// comparison is what comparing lines finds, and the weights of their changes from an
// audit to its like.
type comparison struct {
	Offsets []float64
	DOF     float64
	Fit     lines.Fit
	Changes []float64
}

// input is one input of a line's offset.
type input struct {
	Of          string
	Sensitivity []float64
}

func inputs(c uncertainty.Combination) (out []input) {
	for _, x := range c.Inputs {
		out = append(out, input{x.Of, x.Sensitivity})
	}
	return out
}
