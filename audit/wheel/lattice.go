package wheel

import (
	"math"
	"slices"

	"markaudit/geometry"
)

const (
	onLattice  = 0.3 // part of the stations' rounding that is alike from which it may make a harmonic
	patternMix = 2.0 // steps of amplitude from which rounding runs through all phases
	mostAdvise = 400 // stations beyond which nobody reads by hand
)

// Lattice says that the stations lie on the graduations of the step, so that all
// are rounded from nearly the same place, and rounding makes a harmonic of its own.
type Lattice struct {
	Alike    float64        // part of the rounding that is, from 0.3 to 1
	Limit    geometry.Angle // of what rounding can make of an amplitude
	Stations int            // a number of even stations near the one taken that does not lie so; 0: none
}

// roundedAlike is the part of rounding that is the same at all set values:
//
//	L = max over m = 1, 2, 3 of |mean exp(2πi m x/q)| / m
//
// the first three harmonics of rounding error, each with its weight.
func roundedAlike(set []float64, step float64) (most float64) {
	for m := 1.0; m <= 3; m++ {
		var re, im float64
		for _, x := range set {
			s, c := math.Sincos(2 * math.Pi * m * x / step)
			re, im = re+c, im+s
		}
		most = math.Max(most, math.Hypot(re, im)/float64(len(set))/m)
	}
	return most
}

// findLattice looks whether the values that were set lie on the step. Then a wheel off
// centre by little is read as a square wave or as nothing, whose amplitude is at
// most (2/n) Σ (q/2)|sin| = 2q/π off. From two steps on the pattern runs through
// all phases, and the ordinary ± holds.
func findLattice(r *Result, a *Accumulator) {
	if r.Opposite || r.Binned || r.Step == 0 {
		return
	}
	set := a.references.values()
	if r.Set == SetWheel {
		set = a.readings.values()
	}
	if len(set) == 0 || r.Harmonics[0].Amplitude >= geometry.Angle(patternMix)*r.Step {
		return
	}
	step := r.Step.Degrees()
	l := roundedAlike(set, step)
	if l <= onLattice {
		return
	}
	r.Lattice = &Lattice{Alike: l, Limit: geometry.Angle(2 / math.Pi * step)}
	for n := len(set) + 1; n <= min(len(set)+12, mostAdvise); n++ {
		even := make([]float64, n)
		for i := range even {
			even[i] = 360 / float64(n) * float64(i)
		}
		if roundedAlike(even, step) <= onLattice {
			r.Lattice.Stations = n
			return
		}
	}
}

const (
	setMultiple = 5.0  // degrees: values that are all multiples of it were set
	setEven     = 0.02 // degrees to which evenly spaced values are
	leastSet    = 4    // different values from which a column can look set
	mostSet     = 720  // different values beyond which nobody set them
)

// distinct are the different values of a column as written, as long as they may
// have been set by hand.
type distinct struct {
	seen map[float64]bool
	many bool
}

func (d *distinct) add(x float64) {
	if d.many {
		return
	}
	if d.seen == nil {
		d.seen = map[float64]bool{}
	}
	d.seen[x] = true
	if len(d.seen) > mostSet {
		d.seen, d.many = nil, true
	}
}

// values are sorted; none where there are too many.
func (d *distinct) values() []float64 {
	out := make([]float64, 0, len(d.seen))
	for x := range d.seen {
		out = append(out, x)
	}
	slices.Sort(out)
	return out
}

// set reports whether the column looks as if it was set and not read.
func (d *distinct) set() bool {
	x := d.values()
	if len(x) < leastSet {
		return false
	}
	multiples := true
	for _, v := range x {
		multiples = multiples && math.Abs(v-math.Round(v/setMultiple)*setMultiple) < sameStation
	}
	if multiples {
		return true
	}
	first := x[1] - x[0]
	for i := range x[1:] {
		if math.Abs(x[i+1]-x[i]-first) > setEven {
			return false
		}
	}
	return true
}

// doubtColumns doubts the columns where the readings look set and the reference does
// not. Setting the wheel and reading a finer reference is good practice, so who
// took the table has to say.
func doubtColumns(r *Result, a *Accumulator) {
	r.Swapped = r.Set == SetUnsaid && !r.Opposite && a.readings.set() && !a.references.set()
}
