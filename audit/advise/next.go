package advise

import (
	"math"

	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/enum"
	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
)

// Way is what would decide an undecided line.
type Way uint8

// Settled: nothing needs doing. MoreReadings: Trials and Readings in the setups
// at hand. MoreSetups: Setups new ones. NoScatter: the readings repeat nothing,
// so there is no interval yet. Repeat: the readout moved; take everything again.
// ThirdSetup: two setups disagree. Read: the line was not read. Blocked: more
// readings will not decide; Largest names what stands in the way. Observe: first
// what the diagnosis asks for.
const (
	Settled Way = iota
	MoreReadings
	MoreSetups
	NoScatter
	Repeat
	ThirdSetup
	ReadIt
	Blocked
	Observe
)

// Next is the cheapest further measurement that would decide one line.
type Next struct {
	Way                      Way
	Trials, Readings, Setups int
	Chance                   float64            // that the line is then decided
	First                    First              // of MoreReadings: what to begin with; zero where that is all
	Largest                  uncertainty.Source // of the largest row that readings cannot reduce; zero if there is none
	LargestShare             float64            // of the variance
}

// First is the part of an offer that is taken first: many a line is settled by then.
type First struct {
	Trials, Readings int
	Chance           float64 // that the line is then decided
}

// What a further measurement must promise. Chosen by simulation (docs/method.md,
// What to measure next).
const (
	likely      = 0.8 // "four times in five"
	worthTrying = 0.5
	firstShare  = 0.3 // of an offer
	firstChance = 0.7 // that it has settled by then, measured
	mostFurther = 15
	MostSetups  = 6 // a day's work; common practice, no source
)

// What work costs at the bench, in minutes. Common practice, no source.
const (
	ReadingMinutes = 1
	PairMinutes    = 2
	RefitMinutes   = 15 // readout and stop off and on again
)

func effort(trials, readings int) int { return PairMinutes*trials + ReadingMinutes*readings }

// stage is what to take first of an offer, nothing where that would be all of it.
func (n Next) stage() First {
	part := func(of int) int { return int(math.Ceil(firstShare*float64(of) - 1e-9)) }
	first := First{Trials: part(n.Trials), Readings: part(n.Readings), Chance: min(firstChance, n.Chance)}
	if effort(first.Trials, first.Readings) == effort(n.Trials, n.Readings) {
		return First{}
	}
	return first
}

// NextFor finds for every line what would decide it. The search takes longer than
// the audit itself.
func NextFor(s sheet.Sheet, placed []lines.Line, told diagnosis.Diagnosis) []Next {
	out := make([]Next, len(placed))
	for i, l := range placed {
		c := told.Decisions[i]
		switch {
		case l.Offset == nil:
			out[i].Way = ReadIt
		case c.Verdict != diagnosis.Undecided:
		case told.ReadoutMoved() && !told.SetupsDiffer():
			out[i].Way = Repeat
		case !l.Offset.Known:
			out[i].Way = NoScatter
		case told.SetupsDiffer():
			out[i].Way = ThirdSetup
		case told.Refuted || len(c.Against) > 0:
			out[i].Way = Observe
		default:
			out[i] = newSearch(l, s.Limits.Threshold()).best()
		}
	}
	return out
}

func (s search) best() Next {
	if s.several {
		return s.bestSetups()
	}
	most := s.chance(mostFurther, mostFurther, 0)
	wanted := likely
	if most < likely {
		// Nothing promises four times in five: the best there is, rounded so that
		// a hundredth does not cost a dozen readings.
		wanted = most - 0.01
	}
	if most < worthTrying {
		return s.blocked()
	}
	// The chance grows with either number, so the border between enough and not
	// enough is a staircase: walk down it.
	best := Next{Way: MoreReadings, Chance: -1}
	readings := mostFurther
	for trials := 0; trials <= mostFurther; trials++ {
		if best.Chance >= 0 && effort(trials, 0) >= effort(best.Trials, best.Readings) {
			break
		}
		chance := s.chance(trials, readings, 0)
		if chance < wanted || trials+readings == 0 {
			continue
		}
		for readings > 0 && trials+readings > 1 { // an offer of nothing settles nothing
			fewer := s.chance(trials, readings-1, 0)
			if fewer < wanted {
				break
			}
			readings, chance = readings-1, fewer
		}
		if best.Chance < 0 || effort(trials, readings) < effort(best.Trials, best.Readings) {
			best.Trials, best.Readings, best.Chance = trials, readings, chance
		}
	}
	best.First = best.stage()
	return best
}

func (s search) bestSetups() Next {
	best := Next{Way: MoreSetups, Chance: -1}
	for k := 1; k <= MostSetups; k++ {
		chance := s.chance(0, 0, k)
		if chance > best.Chance+0.01 {
			best.Setups, best.Chance = k, chance
		}
		if chance >= likely {
			break
		}
	}
	if best.Chance < worthTrying {
		return s.blocked()
	}
	return best
}

// blocked names the largest row that is left when everything affordable has
// been read: what readings cannot reduce.
func (s search) blocked() Next {
	next := Next{Way: Blocked}
	all, _ := s.now.After(mostFurther, mostFurther, MostSetups).Budget()
	u, _ := all.Combined()
	if u == 0 {
		return next
	}
	largest := 0.0
	for _, source := range uncertainty.Sources() {
		if source.Smaller() != uncertainty.Nothing && source.Scatters() {
			continue
		}
		var v float64
		for _, r := range all {
			if r.Source == source {
				v += stats.Square(float64(r.Standard()))
			}
		}
		if v > largest {
			largest, next.Largest, next.LargestShare = v, source, v/stats.Square(float64(u))
		}
	}
	return next
}

var wayWords = []string{"settled", "more readings", "more setups", "no scatter", "repeat", "third setup", "read it", "blocked", "observe"}

func (w Way) String() string { return enum.Word(wayWords, w) }

// MarshalText writes the word.
func (w Way) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (w *Way) UnmarshalText(text []byte) error { return enum.From(w, wayWords, text) }
