package tdc_test

import (
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
	"markaudit/audit/readout"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
)

// All that this stage finds on good sheets and on unusual ones, as it is: what each
// figure should be is the matter of the other tests.
func TestFigures(t *testing.T) {
	found := map[string]any{}
	for name, s := range teststand.Stories(t) {
		f, err := tdc.Find(s, readout.New(s))
		if err != nil {
			found[name] = err.Error()
			continue
		}
		for i := range f.Setups { // which have a mean
			f.Setups[i].Middles, f.Setups[i].HalfArcs = nil, nil
		}
		var tops []uncertainty.Estimate
		for _, m := range f.Mountings {
			for i, top := range m.Tops {
				e, _ := top.At.Evaluate(0.95)
				tops = append(tops, e)
				m.Tops[i].At, m.Tops[i].Ways = uncertainty.Combination{}, nil
			}
		}
		found[name] = struct {
			tdc.Found
			Evaluated []uncertainty.Estimate
		}{f, tops}
	}
	testkit.Figures(t, "figures/stage-tdc.txt", found)
}
