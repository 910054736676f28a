package uncertainty

import (
	"math"

	"markaudit/audit/internal/enum"
	"markaudit/geometry"
)

// Verdict says on which side of its tolerance a mark lies. The zero value is
// Undecided.
type Verdict uint8

// The verdicts.
const (
	Undecided Verdict = iota
	Within
	Outside
)

// Conformity returns the probability that a quantity estimated at offset lies
// between early before zero and late after it, both unsigned (JCGM 106, 7.2),
// the sum being the distribution of its error, in degrees.
func (s Sum) Conformity(offset, early, late geometry.Angle) float64 {
	return s.Within((-early - offset).Degrees(), (late - offset).Degrees())
}

// Sides holds the probabilities that a quantity lies below its tolerance, within
// it, and above it. They add up to 1.
type Sides struct{ Early, Within, Late float64 }

// Sides returns on which side of its tolerance a quantity estimated at offset
// lies, with early and late unsigned as in [Sum.Conformity] (JCGM 106, 7.2). On a
// limit itself it is within.
func (s Sum) Sides(offset, early, late geometry.Angle) Sides {
	out := Sides{Within: s.Conformity(offset, early, late)}
	if s.unit == 0 { // nothing is left open
		switch {
		case offset > late:
			out.Late = 1
		case offset < -early:
			out.Early = 1
		}
		return out
	}
	out.Late = s.Within(math.Inf(-1), (offset - late).Degrees())
	out.Early = s.Within((offset + early).Degrees(), math.Inf(1))
	return out
}

var verdictWords = []string{"undecided", "within", "outside"}

func (v Verdict) String() string { return enum.Word(verdictWords, v) }

// MarshalText writes the word.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (v *Verdict) UnmarshalText(text []byte) error { return enum.From(v, verdictWords, text) }
