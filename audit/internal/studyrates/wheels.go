package studyrates

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"markaudit/audit/simulate"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// readout is a degree wheel of 280 mm.
type readout struct{ simulate.Comparison }

const radius = 140.0 // mm

// draw returns the table, the first coefficients as sine and cosine, and the error.
func (w readout) draw(rng *rand.Rand) (rows []wheel.Row, first [2]float64, e func(float64) float64) {
	w.Radius = radius
	compared, first, e := w.Draw(rng)
	for _, c := range compared {
		rows = append(rows, wheel.Row{Reference: c.Reference, Reading: c.Reading})
	}
	return rows, first, e
}

func (w readout) audit(rows []wheel.Row) (wheel.Result, error) {
	var a wheel.Accumulator
	for _, row := range rows {
		a.Add(row)
	}
	return a.Audit(wheel.Options{Diameter: 2 * radius, Step: geometry.Angle(w.Step)})
}

// Orders asks how often the curve's band holds the true error at a place anywhere,
// with orders that scatter hides.
func Orders() (cells []Cell) {
	for _, c := range []struct {
		name string
		w    readout
	}{
		{"12 stations, second order of 0.03", readout{simulate.Comparison{Stations: 12, Amplitudes: []float64{0.15, 0.03}, SD: 0.02}}},
		{"16 stations, second and third of 0.015", readout{simulate.Comparison{Stations: 16, Amplitudes: []float64{0.15, 0.015, 0.015}, SD: 0.02}}},
		{"24 stations, 0.02, 0.015, 0.01, 0.01", readout{simulate.Comparison{Stations: 24, Amplitudes: []float64{0.15, 0.02, 0.015, 0.01, 0.01}, SD: 0.02}}},
		{"12 stations, first order alone", readout{simulate.Comparison{Stations: 12, Amplitudes: []float64{0.15}, SD: 0.02}}},
		{"24 stations, first order alone", readout{simulate.Comparison{Stations: 24, Amplitudes: []float64{0.15}, SD: 0.02}}},
	} {
		cells = append(cells, Cell{
			Name: c.name, Draws: 2000, Asks: []Ask{about(0.93, 0.965, "the band holds the error"), atMost(0.02, "a station is said to stand out")},
			Draw: func(rng *rand.Rand) ([]Answer, error) {
				rows, _, e := c.w.draw(rng)
				r, err := c.w.audit(rows)
				if err != nil {
					return nil, err
				}
				at := geometry.Angle(360 * rng.Float64())
				off := math.Abs(r.ErrorAt(at).Degrees() - e(at.Degrees()))
				return []Answer{answered(off <= r.Expanded(at).Degrees()), answered(r.StandsOut != nil)}, nil
			},
		})
	}
	return cells
}

// Centring asks how often the ± of the first amplitude holds, how often centring is
// advised, and of these how often the wheel sits worse for it, slid by what was
// found.
func Centring() (cells []Cell) {
	for _, c := range []struct {
		step     float64
		stations int
		random   bool
		low, up  float64
		covers   float64
		told     [2]float64
	}{
		{0.5, 12, false, 0.15, 0.4, 0.99, [2]float64{0, 0.001}},
		{0.5, 24, false, 0.15, 0.4, 0.99, [2]float64{0, 0.001}},
		{0.5, 36, false, 0.15, 0.4, 0.99, [2]float64{0, 0.001}},
		{0.25, 24, false, 0.15, 0.4, 0.99, [2]float64{0, 0.01}},
		{0.5, 25, false, 0.15, 0.4, 0.98, [2]float64{0.05, 0.3}},
		{0.25, 25, false, 0.15, 0.4, 0.98, [2]float64{0.5, 0.8}},
		{0.25, 24, false, 0.3, 1, 0.99, [2]float64{0.5, 0.8}},
		{0.1, 24, false, 0.1, 0.4, 0.99, [2]float64{0.4, 0.7}},
		{0.05, 24, false, 0.1, 0.4, 0.95, [2]float64{0.85, 1}},
		{0.5, 24, false, 1.5, 3, 0.97, [2]float64{0.98, 1}},
		{0.01, 24, false, 0.1, 0.4, 0.94, [2]float64{0.9, 1}},
		{0.5, 24, true, 0.15, 0.4, 0.93, [2]float64{0, 0.05}},
		{0.5, 24, true, 0.3, 1, 0.93, [2]float64{0.1, 0.5}},
	} {
		w := readout{simulate.Comparison{Stations: c.stations, Random: c.random, OffCentre: [2]float64{c.low, c.up}, SD: 0.02, Step: c.step}}
		where := "even"
		worse := 0.01
		if c.random {
			where, worse = "random", 0.6
		}
		cells = append(cells, Cell{
			Name: fmt.Sprintf("step %g, %d %s stations, %g to %g mm off centre", c.step, c.stations, where, c.low, c.up), Draws: 1000,
			Asks: []Ask{atLeast(c.covers, "± of the amplitude holds"), about(c.told[0], c.told[1], "centring advised"), atMost(worse, "of these worse")},
			Draw: func(rng *rand.Rand) ([]Answer, error) {
				rows, first, _ := w.draw(rng)
				r, err := w.audit(rows)
				if err != nil {
					return nil, err
				}
				h := r.Harmonics[0]
				truth := math.Hypot(first[0], first[1])
				told := r.OffCentre.Worth == wheel.WorthDoing
				worse := math.Hypot(first[0]-r.Sine[0].Degrees(), first[1]-r.Cosine[0].Degrees()) >= truth
				return []Answer{
					answered(math.Abs(h.Amplitude.Degrees()-truth) <= r.ExpandedAmplitude(h).Degrees()),
					answered(told), given(told, worse),
				}, nil
			},
		})
	}
	return cells
}

// Wheels are all cells of readouts.
func Wheels() []Cell { return slices.Concat(Orders(), Centring(), Columns(), OnReference()) }
