package uncertainty

import (
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

// Decide turns a probability of conformity into a verdict: within from the
// confidence up, outside from 1 - confidence down, both included (JCGM 106,
// 8.3; ISO 14253-1). confidence is above 0.5. A probability that is not a
// number decides nothing.
func Decide(p, confidence float64) Verdict {
	switch {
	case p >= confidence:
		return Within
	case p <= 1-confidence:
		return Outside
	}
	return Undecided
}

// Conformity returns the probability that a quantity estimated at offset lies
// between early before zero and late after it, both unsigned (JCGM 106, 7.2),
// the sum being the distribution of its error, in degrees.
func (s Sum) Conformity(offset, early, late geometry.Angle) float64 {
	return s.Within((-early - offset).Degrees(), (late - offset).Degrees())
}

var verdictWords = []string{"undecided", "within", "outside"}

func (v Verdict) String() string { return enum.Word(verdictWords, v) }

// MarshalText writes the word.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (v *Verdict) UnmarshalText(text []byte) error { return enum.From(v, verdictWords, text) }
