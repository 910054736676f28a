package repeatability

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

const (
	slipLevel  = 0.01 // of all values of a study together
	mostSlips  = 3    // after so many the study is to be looked through anyway
	fitsWithin = 3    // standard deviations within which a slip of the pen explains a value
	leastOwn   = 6    // values of a person below which the test sees nothing
	farOutFrom = 5    // degrees from which one is named all the same, when it is
	timesOut   = 10   // times as far out as any other; both common practice, no source
)

// Slip is a value that a slip of the pen explains.
type Slip struct {
	By, Mark    string
	Trial       int
	Line        int // of the file; 0 where it is not known
	Value, Fits geometry.Angle
	Probability float64 // of a value as far out from scatter alone; NaN where too few are there to tell
	at          int     // into the values
}

// pen is what a slip of the pen makes of a value, undone.
var pen = []func(float64) float64{
	func(x float64) float64 { return -x },
	func(x float64) float64 { return x / 10 },
	func(x float64) float64 { return x * 10 },
	func(x float64) float64 { return x / 100 },
	func(x float64) float64 { return x - 1 },
	func(x float64) float64 { return x + 1 },
	func(x float64) float64 { return x - 10 },
	func(x float64) float64 { return x + 10 },
}

// slips names values that a slip of the pen explains, the farthest first, and at
// most three: none of them may be put down to the person. A value that stands out
// and that no such slip explains stays with the person.
func slips(d Data) (out []Slip) {
	left := make([]int, len(d.Values)) // into the values
	for i := range left {
		left[i] = i
	}
	for range mostSlips {
		slip, ok := d.slip(left)
		if !ok {
			break
		}
		out = append(out, slip)
		rest := left[:0:0]
		for _, i := range left {
			if i != slip.at {
				rest = append(rest, i)
			}
		}
		left = rest
	}
	return out
}

// slip finds the value that lies farthest from what person and mark let expect, by
// medians, which one value does not move, and sees whether a slip explains it.
func (d Data) slip(left []int) (Slip, bool) {
	people, marks := map[string][]int{}, map[string][]int{}
	var order []string // of the people
	for _, i := range left {
		v := d.Values[i]
		if people[v.By] == nil {
			order = append(order, v.By)
		}
		people[v.By], marks[v.Mark] = append(people[v.By], i), append(marks[v.Mark], i)
	}
	residual := make([]float64, len(d.Values))
	ofMark := map[string]float64{}
	for _, i := range left {
		residual[i] = d.Values[i].Value.Degrees()
	}
	for mark, own := range marks { // each by itself, in whatever order
		ofMark[mark] = stats.Median(pick(residual, own))
		for _, i := range own {
			residual[i] -= ofMark[mark]
		}
	}
	variances := make([]float64, 0, len(order))
	for _, by := range order {
		own := people[by]
		m := stats.Median(pick(residual, own))
		for _, i := range own {
			residual[i] -= m
		}
		if len(own) > 1 {
			_, sd := stats.MeanStdDev(pick(residual, own))
			variances = append(variances, sd*sd)
		}
	}
	if len(variances) == 0 {
		return Slip{}, false
	}
	usual := math.Max(stats.Median(variances), square(d.Step.Degrees())/12)
	best := Slip{Probability: slipLevel}
	found := false
	for _, by := range order {
		own := people[by]
		if len(own) < leastOwn {
			continue
		}
		x := pick(residual, own)
		for j, i := range own {
			rest := append(append([]float64{}, x[:j]...), x[j+1:]...)
			mean, sd := stats.MeanStdDev(rest)
			scale := math.Max(sd, math.Sqrt(usual))
			if scale == 0 {
				continue
			}
			n := float64(len(own))
			t := math.Abs(x[j]-mean) / (scale * math.Sqrt(1+1/(n-1)))
			p := 2 * stats.TSurvival(t, n-2) * float64(len(left))
			if p >= best.Probability {
				continue
			}
			v := d.Values[i]
			at := v.Value.Degrees()
			if fits, ok := explained(at, at-(x[j]-mean), scale); ok {
				best, found = d.slipAt(i, fits, p), true
			}
		}
	}
	if found {
		return best, true
	}
	return d.farOut(left, residual)
}

// explained undoes slips of the pen and returns the value nearest to what was
// expected, if one is near enough and takes most of the difference away.
func explained(value, expected, scale float64) (fits float64, ok bool) {
	least := math.Min(fitsWithin*scale, math.Abs(value-expected)/3)
	for _, undo := range pen {
		if off := math.Abs(undo(value) - expected); off <= least {
			fits, least, ok = undo(value), off, true
		}
	}
	return fits, ok
}

// farOut names one value among few, that nobody would believe.
func (d Data) farOut(left []int, residual []float64) (Slip, bool) {
	worst, next := -1, 0.0
	for _, i := range left {
		switch off := math.Abs(residual[i]); {
		case worst < 0:
			worst = i
		case off > math.Abs(residual[worst]):
			worst, next = i, math.Abs(residual[worst])
		default:
			next = math.Max(next, off)
		}
	}
	off := math.Abs(residual[worst])
	if off <= farOutFrom || off <= timesOut*next {
		return Slip{}, false
	}
	at := d.Values[worst].Value.Degrees()
	fits, ok := explained(at, at-residual[worst], math.Max(next, d.Step.Degrees()))
	if !ok {
		fits = math.NaN()
	}
	return d.slipAt(worst, fits, math.NaN()), true
}

func (d Data) slipAt(i int, fits, p float64) Slip {
	v := d.Values[i]
	s := Slip{By: v.By, Mark: v.Mark, Trial: v.Trial, Value: v.Value, Fits: geometry.Angle(fits), Probability: p, at: i}
	if i < len(d.Lines) {
		s.Line = d.Lines[i]
	}
	return s
}

func pick(x []float64, which []int) []float64 {
	out := make([]float64, len(which))
	for k, i := range which {
		out[k] = x[i]
	}
	return out
}
