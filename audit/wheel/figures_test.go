package wheel_test

import (
	"bytes"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Whole results, as they are: what each figure should be is the matter of the
// other tests.
func TestFiguresOfTables(t *testing.T) {
	for name, o := range map[string]wheel.Options{
		"opposite":  {Diameter: 280, Step: 0.25, Set: wheel.SetWheel},
		"quarters":  {Step: 0.5},
		"remounted": {Diameter: 280, Slide: 0.1},
		"wheel-4":   {Diameter: 280, Step: 0.25, Set: wheel.SetReference, Reference: wheel.Reference{Limit: 0.02}},
	} {
		t.Run(name, func(t *testing.T) {
			var a wheel.Accumulator
			if _, err := wheel.ReadTable(name, bytes.NewReader(testkit.Read(t, "wheel/"+name+".csv")), a.Add); err != nil {
				t.Fatal(err)
			}
			r, err := a.Audit(o)
			if err != nil {
				t.Fatal(err)
			}
			type at struct{ Error, Expanded geometry.Angle }
			var curve []at
			if r.CurveKnown() {
				for reading := geometry.Angle(0); reading < 360; reading += 45 {
					curve = append(curve, at{r.ErrorAt(reading), r.Expanded(reading)})
				}
			}
			testkit.Figures(t, "figures/wheel-"+name+".txt", struct {
				Result wheel.Result
				Curve  []at
			}{r, curve})
		})
	}
}
