package audit

import (
	"slices"

	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/enum"
	"markaudit/audit/lines"
)

// Slip is what lines on different parts say of each other.
type Slip uint8

// NoGroups: the sheet names no parts. Untold: no telling, for only one part's
// lines were read, or their scatter is not known. Together: the parts do not
// differ. Apart: they differ. Perhaps: the outer ring of a bonded pulley may have
// slipped. RingSlipped: it has.
const (
	NoGroups Slip = iota
	Untold
	Together
	Apart
	Perhaps
	RingSlipped
)

var slipWords = []string{"no groups", "unknown", "together", "apart", "perhaps", "ring slipped"}

func (s Slip) String() string { return enum.Word(slipWords, s) }

// MarshalText writes the word.
func (s Slip) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (s *Slip) UnmarshalText(text []byte) error { return enum.From(s, slipWords, text) }

// Slip is what the lines on different parts say of each other. Of a bonded ring it
// is the diagnosis that says it: lines as their maker left them differ too.
func (r Result) Slip() Slip {
	switch {
	case len(r.Together.Groups) == 0 && !r.Sheet.Part.BondedRing:
		return NoGroups
	case r.Diagnosis.Ring == diagnosis.RingSlipped:
		return RingSlipped
	case r.Diagnosis.Ring == diagnosis.RingMay:
		return Perhaps
	case len(r.Together.Between) == 0:
		return Untold
	case slices.ContainsFunc(r.Together.Between, func(b lines.Between) bool {
		return b.Differ && !(r.Sheet.Part.BondedRing && b.To == lines.OnRing)
	}):
		return Apart
	}
	return Together
}
