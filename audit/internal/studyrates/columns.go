package studyrates

import (
	"fmt"
	"math"
	"math/rand/v2"

	"markaudit/audit/simulate"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Columns ask how often the doubt comes up that the columns of a table were
// exchanged, and whether a centring is advised by exchanged ones: every sign would be
// wrong.
func Columns() (cells []Cell) {
	for _, c := range []struct {
		step     float64
		stations int
		random   bool // stations anywhere, as a logger has them
		doubted  float64
	}{
		{0.01, 24, false, 0.98},
		{0.1, 24, false, 0.98},
		{0.25, 24, false, 0.98},
		{0.5, 24, false, 0.6},
		{0.01, 25, false, 0.98},
		{0.5, 25, false, 0.98},
		{0.01, 24, true, 0},
	} {
		w := readout{simulate.Comparison{Stations: c.stations, Random: c.random, OffCentre: [2]float64{0.3, 1}, SD: 0.02, Step: c.step}}
		where := "even"
		if c.random {
			where = "random"
		}
		for _, exchanged := range []bool{true, false} {
			asks := []Ask{atMost(0.005, "the columns are doubted")}
			name := fmt.Sprintf("columns as they should be, step %g, %d %s stations", c.step, c.stations, where)
			if exchanged {
				name = fmt.Sprintf("columns exchanged, step %g, %d %s stations", c.step, c.stations, where)
				asks = []Ask{atLeast(c.doubted, "the columns are doubted"), atMost(0.01, "centring is advised")}
				if c.random {
					asks = asks[:1]
				}
			}
			cells = append(cells, Cell{Name: name, Draws: 500, Asks: asks, Draw: func(rng *rand.Rand) ([]Answer, error) {
				rows, _, _ := w.draw(rng)
				for i := range rows {
					if exchanged {
						rows[i].Reference, rows[i].Reading = rows[i].Reading, rows[i].Reference
					}
				}
				r, err := w.audit(rows)
				if err != nil {
					return nil, err
				}
				return []Answer{answered(r.Swapped), answered(r.OffCentre.Worth == wheel.WorthDoing)}[:len(asks)], nil
			}})
		}
	}
	return cells
}

// OnReference ask how often the band holds where the reference has an error of its
// own: a wave once or twice round, as large as its certificate allows.
func OnReference() (cells []Cell) {
	w := readout{simulate.Comparison{Stations: 24, Amplitudes: []float64{0.15, 0.02}, SD: 0.02}}
	for _, limit := range []float64{0.01, 0.05} {
		for _, order := range []float64{1, 2} {
			cells = append(cells, Cell{
				Name: fmt.Sprintf("reference wrong by up to %g, %g times round", limit, order), Draws: 1000, Asks: []Ask{atLeast(0.93, "the band holds the error")},
				Draw: func(rng *rand.Rand) ([]Answer, error) {
					rows, _, e := w.draw(rng)
					phase := 2 * math.Pi * rng.Float64()
					var a wheel.Accumulator
					for _, row := range rows {
						row.Reference += geometry.Angle(limit * math.Sin(order*row.Reference.Degrees()*math.Pi/180-phase))
						a.Add(row)
					}
					r, err := a.Audit(wheel.Options{Diameter: 2 * radius, Reference: wheel.Reference{Limit: geometry.Angle(limit)}})
					if err != nil {
						return nil, err
					}
					at := geometry.Angle(360 * rng.Float64())
					return []Answer{answered(math.Abs(r.ErrorAt(at).Degrees()-e(at.Degrees())) <= r.Expanded(at).Degrees())}, nil
				},
			})
		}
	}
	return cells
}
