package simulate

import (
	"math"
	"math/rand/v2"

	"markaudit/geometry"
)

// Comparison is a degree wheel on a reference, read at even stations from a zero that
// is anywhere. Angles are in degrees, lengths in millimetres.
type Comparison struct {
	Stations   int
	Random     bool      // stations anywhere
	Amplitudes []float64 // of the reading error, order by order; phases anywhere
	SD, Step   float64
	Radius     float64    // of the graduations
	OffCentre  [2]float64 // by so much, drawn between; in place of the first amplitude
}

// Compared is one station of a comparison.
type Compared struct{ Reference, Reading geometry.Angle }

// Draw has the wheel compared once. It returns the table, the first coefficients as
// sine and cosine, and the reading error at a reading.
func (c Comparison) Draw(rng *rand.Rand) (rows []Compared, first [2]float64, e func(float64) float64) {
	amplitudes := append([]float64{}, c.Amplitudes...)
	if c.OffCentre[1] > 0 {
		mm := c.OffCentre[0] + (c.OffCentre[1]-c.OffCentre[0])*rng.Float64()
		amplitudes = append([]float64{mm / c.Radius * 180 / math.Pi}, amplitudes...)
	}
	phases := make([]float64, len(amplitudes))
	for k := range phases {
		phases[k] = 2 * math.Pi * rng.Float64()
	}
	e = func(reading float64) (sum float64) {
		for k, a := range amplitudes {
			sum += a * math.Sin(float64(k+1)*reading*math.Pi/180-phases[k])
		}
		return sum
	}
	first = [2]float64{amplitudes[0] * math.Cos(phases[0]), -amplitudes[0] * math.Sin(phases[0])}
	zero := 360 * rng.Float64()
	for i := range c.Stations {
		reference := 360 / float64(c.Stations) * float64(i)
		if c.Random {
			reference = 360 * rng.Float64()
		}
		reading := zero + reference
		for range 20 { // reading = true + e(reading)
			reading = zero + reference + e(reading)
		}
		reading += c.SD * rng.NormFloat64()
		if c.Step > 0 {
			reading = math.Round(reading/c.Step) * c.Step
		}
		rows = append(rows, Compared{Reference: geometry.Angle(reference), Reading: geometry.Angle(reading)})
	}
	return rows, first, e
}
