package repeatability

import (
	"math"

	"markaudit/audit/internal/enum"
	"markaudit/geometry"
)

const (
	leastThings = 5    // read in a setup, from which it can be seen to be even
	onMultiple  = 1e-6 // degrees to which a reading is a multiple
)

// Digits is the test for a hand that reads a coarser step than the readout has.
type Digits struct {
	Setups   int // with readings enough to tell
	Readings int
	Whole    geometry.Angle // the step that all of them lie on; the coarsest that was looked at where none
	Chance   Estimate
	Nothing  NoDigits
}

// NoDigits says why last digits were not tested.
type NoDigits uint8

// DigitsTested: they were. NoReadings: the values carry no readings, or too few a
// setup.
const (
	DigitsTested NoDigits = iota
	NoReadings
)

var noDigitsWords = []string{"tested", "no readings"}

func (n NoDigits) String() string { return enum.Word(noDigitsWords, n) }

// coarser are the steps that somebody may read by: multiples of the readout's, from
// twice up to whole degrees, that a whole degree is a multiple of.
func coarser(step geometry.Angle) (out []geometry.Angle) {
	if step <= 0 {
		return nil
	}
	for k := 2; ; k++ {
		l := step * geometry.Angle(k)
		if l > 1+onMultiple {
			return out
		}
		if parts := 1 / l.Degrees(); math.Abs(parts-math.Round(parts)) < onMultiple {
			out = append(out, l)
		}
	}
}

// multiple reports whether all readings of a setup are multiples of a step, less
// what the first of them is where even is asked for.
func (s Setup) multiple(of geometry.Angle, even bool) bool {
	var first geometry.Angle
	if even {
		first = s.Places[0]
	}
	for _, p := range s.Places {
		n := float64((p - first) / of)
		if math.Abs(n-math.Round(n))*of.Degrees() > onMultiple {
			return false
		}
	}
	return true
}

// whole looks for a hand that reads by a coarser step L than the readout's q: all
// its m setups lie on multiples of L. A setup is even where its readings differ by
// multiples of L, wherever its zero fell. How likely that all m of this hand are
// even by chance among as many even ones is Fisher's exact probability; that their
// zeros fall on multiples too is (q/L)^m where they fall anywhere. Both together,
// times the people and the steps looked at.
func whole(r *Result, by string, own []Setup, all [][]Setup) Digits {
	steps := coarser(r.Data.Step)
	d := Digits{Nothing: NoReadings}
	var usable []Setup
	for _, s := range own {
		if len(s.Places) >= leastThings {
			usable = append(usable, s)
			d.Readings += len(s.Places)
		}
	}
	if d.Setups = len(usable); d.Setups == 0 || len(steps) == 0 {
		return d
	}
	d.Nothing, d.Chance = DigitsTested, know(1)
	for _, l := range steps {
		on := true
		for _, s := range usable {
			on = on && s.multiple(l, false)
		}
		if d.Whole = l; !on {
			continue
		}
		var even, total, people float64
		for _, setups := range all {
			some := false
			for _, s := range setups {
				if len(s.Places) < leastThings {
					continue
				}
				some = true
				if total++; s.multiple(l, true) {
					even++
				}
			}
			if some {
				people++
			}
		}
		chance := people * float64(len(steps))
		for i := range d.Setups { // of even choose m over total choose m
			chance *= (even - float64(i)) / (total - float64(i)) * float64(r.Data.Step/l)
		}
		d.Chance = know(math.Min(1, chance))
	}
	// The coarsest step that they lie on tells most; finer ones are on it too.
	for i := len(steps) - 1; i >= 0; i-- {
		on := true
		for _, s := range usable {
			on = on && s.multiple(steps[i], false)
		}
		if on {
			d.Whole = steps[i]
			break
		}
	}
	if d.Chance.Value < significant {
		r.Flags = append(r.Flags, Flag{Code: Digit, By: by, Statistic: d.Chance, Critical: know(significant), Values: []float64{d.Whole.Degrees(), float64(d.Readings), r.Data.Step.Degrees()}})
	}
	return d
}

// allWhole reports whether everybody reads a coarser step: then it is the step on
// the sheet that is wrong, and no hand.
func allWhole(step geometry.Angle, all [][]Setup) bool {
	steps := coarser(step)
	if len(steps) == 0 {
		return false
	}
	people := 0
	for _, setups := range all {
		some := false
		for _, s := range setups {
			if len(s.Places) < leastThings {
				continue
			}
			some = true
			if !s.multiple(steps[0], false) && !s.multiple(steps[len(steps)-1], false) {
				return false
			}
		}
		if some {
			people++
		}
	}
	return people > 1
}
