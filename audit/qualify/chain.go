package qualify

import (
	"fmt"

	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Stated is a bias of the trusted stop against what it was qualified by, with its
// expanded uncertainty at 95 %: as somebody stated it, or of a chain of studies.
type Stated struct {
	Bias, Expanded geometry.Angle
	Chain          []Link // the trusted stop's own study first; empty: stated
}

// Link is one study of a chain: a stop against the one that it was qualified by.
type Link struct {
	Stop, Against string // their names; Against may be empty
	Digest        string // SHA-256 of the study's file, hexadecimal; empty: stated, without a study
	Bias          geometry.Angle
	StandardError geometry.Angle
	DOF           float64        // of the standard error; 0: a normal row, for it was stated
	Limit         geometry.Angle // what step and offset leave open; it is no matter of chance
}

// Expanded is a link's uncertainty at 95 %, its limit included.
func (l Link) Expanded() geometry.Angle {
	return geometry.Angle(uncertainty.NewSum([]uncertainty.Term{l.term()}).HalfWidth(confidence)) + l.Limit
}

func (l Link) term() uncertainty.Term {
	if l.DOF > 0 {
		return uncertainty.Term{Shape: uncertainty.StudentT, Scale: l.StandardError.Degrees(), DOF: l.DOF}
	}
	return uncertainty.Term{Shape: uncertainty.Normal, Scale: l.StandardError.Degrees()}
}

// Chained adds up the links of a chain. Biases and limits add as they are, the rows
// of chance as independent ones. The error says that a study stands in it twice, or
// that a stop is to vouch for itself.
func Chained(chain []Link) (Stated, error) {
	out := Stated{Chain: chain}
	for i, l := range chain {
		for _, later := range chain[:i] {
			if l.Digest != "" && l.Digest == later.Digest {
				return Stated{}, fmt.Errorf("found the study of %s and that of %s made from the same readings, expected readings of its own for each stop", name(later.Stop), name(l.Stop))
			}
			if l.Against != "" && l.Against == later.Stop {
				return Stated{}, fmt.Errorf("found that %s was qualified by way of itself, expected a chain that ends at another stop", name(later.Stop))
			}
		}
		out.Bias += l.Bias
	}
	out.Expanded = geometry.Angle(uncertainty.NewSum(out.terms()).HalfWidth(confidence)) + out.limit()
	return out, nil
}

// Admits refuses a study that cannot be the next one of the chain: of readings that
// are in it already, or of a stop that is.
func (s Stated) Admits(newer, digest string) error {
	for _, l := range s.Chain {
		if l.Digest != "" && l.Digest == digest {
			return fmt.Errorf("found the readings that %s was qualified by, expected a study of its own", name(l.Stop))
		}
		if newer != "" && (newer == l.Stop || newer == l.Against) {
			return fmt.Errorf("found %s as the new stop, and the trusted stop was qualified by way of it: a stop cannot vouch for itself", name(newer))
		}
	}
	return nil
}

// terms are the rows of chance.
func (s Stated) terms() (out []uncertainty.Term) {
	for _, l := range s.Chain {
		out = append(out, l.term())
	}
	if s.Chain == nil {
		out = append(out, uncertainty.Term{Shape: uncertainty.Normal, Scale: s.Expanded.Degrees() / 2})
	}
	return out
}

// limit is what all studies of the chain leave open.
func (s Stated) limit() (sum geometry.Angle) {
	for _, l := range s.Chain {
		sum += l.Limit
	}
	return sum
}

// carried is what the studies behind the trusted stop leave open. It comes on top of
// the interval and off the room, as what this study leaves open.
func (o Options) carried() geometry.Angle {
	if o.Trusted == nil {
		return 0
	}
	return o.Trusted.limit()
}
