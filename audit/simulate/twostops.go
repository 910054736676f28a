package simulate

import (
	"math"
	"math/rand/v2"
	"strconv"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Zeroing is how the readout comes to its zero from setup to setup.
type Zeroing uint8

// Anywhere: as it comes. Alike: at the same phase of the step, which no setup is
// favoured by. OnStep: with TDC by the trusted stop on a graduation. ModuloStep:
// anywhere, but at the same phase.
const (
	Anywhere Zeroing = iota
	Alike
	OnStep
	ModuloStep
)

func (z Zeroing) String() string {
	switch z {
	case Anywhere:
		return "anywhere"
	case Alike:
		return "alike"
	case OnStep:
		return "on a step"
	case ModuloStep:
		return "modulo the step"
	}
	return "Zeroing(" + strconv.Itoa(int(z)) + ")"
}

// TwoStops is a study of a new stop beside a trusted one, by turns. Contacts lie half
// an arc to either side of where a stop puts TDC, and are rounded to the step. Angles
// are in degrees.
type TwoStops struct {
	Setups, Pairs int
	SD            float64 // of a middle of the trusted stop
	Ratio         float64 // of the new stop's to it
	Fitting       float64 // standard deviation of what fitting does to the difference
	Bias, Creep   float64
	Step          float64
	Zero          Zeroing
	WholeHalves   bool // half arcs are whole steps
}

// StopTrial is one pair of contacts with one of the two stops. Setups and trials count
// from one; Line is the line of a file that its forward contact stands on.
type StopTrial struct {
	New          bool
	Setup, Trial int
	Line         int
	Pair         sheet.Trial
}

// Draw has the study done once. The result comes in the order of the work.
func (s TwoStops) Draw(rng *rand.Rand) (out []StopTrial) {
	halves := [2]float64{22.1 + rng.Float64(), 24.4 + rng.Float64()}
	if s.WholeHalves {
		for i := range halves {
			halves[i] = math.Round(halves[i]/s.Step) * s.Step
		}
	}
	phase := s.Step * rng.Float64()
	line := 1
	for k := range s.Setups {
		zero := 360 * rng.Float64()
		switch s.Zero {
		case Alike:
			zero = 140 + phase
		case OnStep:
			zero = 140
		case ModuloStep:
			zero = math.Round(zero/s.Step)*s.Step + phase
		}
		fit := s.Fitting * rng.NormFloat64()
		for pair := range s.Pairs {
			for turn := range 2 {
				fresh := (turn + pair%2) == 1 // the trusted one first, then the new one first
				middle, half, sd := 0.0, halves[0], s.SD
				if fresh {
					middle, half, sd = s.Bias+fit, halves[1]+s.Creep*float64(pair), s.SD*s.Ratio
				}
				contact := func(side float64, approach sheet.Approach) *sheet.Reading {
					r := zero + middle + side*half + math.Sqrt2*sd*rng.NormFloat64()
					return &sheet.Reading{Value: geometry.Angle(math.Round(r/s.Step) * s.Step), Approach: approach}
				}
				out = append(out, StopTrial{
					New: fresh, Setup: k + 1, Trial: pair + 1, Line: line + 1,
					Pair: sheet.Trial{Forward: contact(-1, sheet.Forward), Backward: contact(1, sheet.Backward)},
				})
				line += 2
			}
		}
	}
	return out
}
