package diagnosis

import (
	"math"
	"slices"

	"markaudit/geometry"
)

// StoryKind says how the lines of a part have come to be off.
type StoryKind uint8

// EachByItself: every line is off in its own way, as a maker's lines are.
// AllAlike: what all lines are seen against has moved, a pointer or tab, or the
// turning line of a fixed scale; or the key is sheared. PartAlike: the lines on
// one part have moved together against the others.
const (
	EachByItself StoryKind = iota
	AllAlike
	PartAlike
)

var storyKinds = [...]string{"lines", "all", "part"}

func (k StoryKind) String() string { return word(storyKinds[:], int(k)) }

// MarshalText writes the stable key.
func (k StoryKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (k *StoryKind) UnmarshalText(text []byte) error { return fromWord(k, storyKinds[:], text) }

// Story is what has happened to the metal. On is the part, of PartAlike.
type Story struct {
	Kind StoryKind
	On   string
}

// Prices of metal. Factory lines are off by 0.25 to 2 degrees, a part that slips
// by 2 to 20. Common practice, no source.
const (
	ownWidth    = 0.5 // degrees: typical of one line
	sharedPrice = 4.0
	sharedWidth = 3.0 // degrees: typical of a shift
	leastAlike  = 1.0 // degrees: lines this close to a shift share it
)

// ownSD is the surprise of one line that is off by m degrees all by itself, u being
// the standard deviation of m.
//
//	2 ln(1 + m²/(0.5² + u²))
//
// Its tail is heavy on purpose: a line 10° off costs 12, so that a mistake is only
// a little more likely than a truly bad line.
func own(m, u float64) float64 { return 2 * math.Log1p(m*m/(ownWidth*ownWidth+u*u)) }

// shared is the surprise of a shift by x degrees that lines share.
//
//	4 + 2 ln(1 + (x/3)²)
func shared(x float64) float64 {
	return sharedPrice + 2*math.Log1p(x*x/(sharedWidth*sharedWidth))
}

// told is one story with its surprise: x is the shift of the lines that share it.
type told struct {
	story Story
	cost  float64
	x     float64
}

// stories weighs every story of the metal for the given offsets in degrees, NaN
// where a line was not read. Each line by itself comes first, then all alike,
// then part by part in the order of the sheet: of equal ones the first counts.
func (w *weigher) stories(late []float64) []told {
	each := w.alone(late, nil, 0)
	out := append(w.told[:0], told{cost: each})
	if x, cost, ok := w.together(late, w.all); ok {
		out = append(out, told{Story{Kind: AllAlike}, cost, x})
	}
	for _, g := range w.parts {
		if x, cost, ok := w.together(late, g.members); ok {
			out = append(out, told{Story{PartAlike, g.on}, cost, x})
		}
	}
	w.told = out
	return out
}

// cheapest is the story that surprises least.
func cheapest(stories []told) told {
	best := stories[0]
	for _, t := range stories[1:] {
		if t.cost < best.cost-tiny {
			best = t
		}
	}
	return best
}

// alone is the sum of own over all lines, those that share a shift less x.
func (w *weigher) alone(late []float64, share []bool, x float64) float64 {
	// One logarithm of a product for many lines: each factor is below 1.3e5, so
	// that forty stay within a float64.
	const factors = 40
	cost, product, n := 0.0, 1.0, 0
	for j, d := range late {
		if math.IsNaN(d) {
			continue
		}
		if share != nil && share[j] {
			d = near(d - x)
		}
		product *= 1 + d*d*w.perOwn[j]
		if n++; n == factors {
			cost, product, n = cost+math.Log(product), 1, 0
		}
	}
	return 2 * (cost + math.Log(product))
}

// together finds the shift that makes a set of lines that share it surprise least,
// at each of their offsets and at the median. It reports false where no shift has
// more than half of the set, and at least two, close to it.
func (w *weigher) together(late []float64, share []bool) (x, cost float64, ok bool) {
	at := w.at[:0]
	for j, d := range late {
		if share[j] && !math.IsNaN(d) {
			at = append(at, d)
		}
	}
	n := len(at)
	if n < 2 {
		return 0, 0, false
	}
	at = append(at, median(at))
	w.at = at
	for _, try := range at {
		sharing := 0
		for j, d := range late {
			if share[j] && math.Abs(near(d-try)) <= w.close[j] {
				sharing++
			}
		}
		if sharing < 2 || 2*sharing <= n {
			continue
		}
		if c := shared(try) + w.alone(late, share, try); !ok || c < cost-tiny {
			x, cost, ok = try, c, true
		}
	}
	return x, cost, ok
}

// median of offsets; of an even number the mean of the two in the middle.
func median(x []float64) float64 {
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// near brings a difference of two angles in (-180, 180] back into that range.
func near(d float64) float64 {
	switch {
	case d > 180:
		return d - 360
	case d <= -180:
		return d + 360
	}
	return d
}

func wrap(d float64) float64 { return geometry.Angle(d).Wrap().Degrees() }

// tiny is the difference below which two angles, or two surprises, are equal.
const tiny = 1e-9
