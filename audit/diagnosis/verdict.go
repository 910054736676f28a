package diagnosis

import "markaudit/geometry"

// Verdict says on which side of its tolerance a line lies. The zero value is
// Undecided.
type Verdict uint8

// The verdicts.
const (
	Undecided Verdict = iota
	Within
	Outside
)

var verdicts = [...]string{"undecided", "within", "outside"}

func (v Verdict) String() string { return word(verdicts[:], int(v)) }

// MarshalText writes the stable key.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (v *Verdict) UnmarshalText(text []byte) error { return fromWord(v, verdicts[:], text) }

// ifRight is what a line's probabilities say, the sheet being right: within or
// outside where that is at least as probable as a verdict has to be, and outside
// on one side alone, for nobody can put a line right of which the side is not
// known (JCGM 106, 8.3).
func ifRight(l Line, at float64) Verdict {
	switch {
	case !l.Known:
		return Undecided
	case l.Conforms >= at:
		return Within
	case l.TooLate >= at || l.TooEarly >= at:
		return Outside
	}
	return Undecided
}

// against lists the explanations that stand and do not bear a verdict out. Outside
// needs all of them to put the line where it was measured. Within only needs that
// none puts it beyond its tolerance. Of a line that the readings leave undecided
// it is those that put it elsewhere.
func against(w *weigher, j int, verdict Verdict, standing []weighed) []int {
	var out []int
	for i, s := range standing {
		elsewhere := !w.agree(s.Offset[j], geometry.Angle(w.mean[j]), j)
		if verdict == Within {
			elsewhere = beyond(s.Offset[j], w.evidence.Lines[j])
		}
		if elsewhere || creptAway(w, j, s) {
			out = append(out, i)
		}
	}
	return out
}

// When a creep of the middles, or a reading that stands out, is taken for certain,
// and from which share of a line's tolerance on it matters.
const (
	certain = 0.01
	matters = 4
)

// creptAway reports whether an explanation is a readout that certainly creeps, by
// more than a quarter of a line's tolerance. Then it counts as moved, whatever the
// middles come to on average.
func creptAway(w *weigher, j int, s weighed) bool {
	for _, c := range w.evidence.Creep {
		if s.claim.creeps == c.Mounting+1 && c.P < certain && mattersTo(w, c.Drift, j) && !isNaN(w.late[c.Mounting][j]) {
			return true
		}
	}
	return false
}

func mattersTo(w *weigher, by geometry.Angle, j int) bool {
	return by.Abs() > w.evidence.Lines[j].tolerance()/matters+tiny
}

func isNaN(x float64) bool { return x != x }
