package lines_test

import (
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/tdc"
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
			NotIncluded                  int
		}
		each := map[string]figures{}
		for _, l := range placed.Lines {
			if l.Read() {
				each[l.Name] = figures{
					l.Offset.Value, l.Offset.Expanded, l.ComesUpAt, l.Corrected, float64(l.Offset.DOF), l.Conformity.Within, l.Conformity.Early,
					l.OnRim.ArcU, scatter(l.Scatter), scatter(l.Compared), l.ByDial, len(l.NotIncluded),
				}
			}
		}
		alike.Lines = nil // mostly all of them
		found[name] = struct {
			Lines    map[string]figures
			Warnings []warning.Warning
			Alike    lines.Alike
			Chords   map[string][2]geometry.Angle
		}{each, placed.Warnings, alike, gaps}
	}
	testkit.Figures(t, "figures/stage-lines.txt", found)
}

func scatter(s lines.Scatter) [2]float64 { return [2]float64{s.SD.Degrees(), s.DOF} }
