package advise

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/enum"
	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
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
	Largest                  uncertainty.Source // of the largest row that readings cannot reduce; zero if there is none
	LargestShare             float64            // of the variance
}

// What a further measurement must promise, and what it costs. Chosen by
// simulation (docs/method.md, What to measure next).
const (
	likely      = 0.8 // "four times in five"
	worthTrying = 0.5
	mostFurther = 15
	MostSetups  = 6 // a day's work; common practice, no source
	PairEffort  = 2
)

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
			out[i] = newSearch(l, s.Limits.Confidence).best()
		}
	}
	return out
}

// search looks for the least effort that probably decides one line.
type search struct {
	now        uncertainty.Combination
	several    bool // three setups or more: only further setups help
	offset     float64
	early      float64 // how early the line may come, positive
	late       float64
	confidence float64
	scatter    uncertainty.Budget // the rows that come from scatter, now
}

func newSearch(l lines.Line, confidence float64) search {
	rows, _ := l.From.Budget()
	s := search{
		now: l.From, several: len(l.Seen) >= uncertainty.EnoughSetups,
		offset: l.Offset.Value.Abs().Degrees(), confidence: confidence,
		scatter: rows.Scatter(),
	}
	early, late := l.Allowed()
	if l.Offset.Value < 0 { // an early line, seen from the other side
		early, late = late, early
	}
	s.early, s.late = early.Degrees(), late.Degrees()
	return s
}

// chance is the probability that the mark is decided after the further
// readings. The estimate will move by as much as its scatter shrinks; decided
// means that the new interval, one-sided at the threshold, lies wholly within or
// wholly outside the tolerance.
//
// Few readings know their own scatter badly. So the move is Student's t with the
// degrees of freedom of today's scatter, not normal, and the scatter to come is
// taken as the one that today's estimate exceeds in one case of two: an
// estimate on ν degrees of freedom has its median at √(1 - 2/(3ν)) of the truth
// (Wilson and Hilferty, 1931). Taken at its face value it settles one line in
// four less than it promises.
func (s search) chance(trials, readings, setups int) float64 {
	rows, _ := s.now.After(trials, readings, setups).Budget()
	now, dof := s.scatter.Combined()
	then, _ := rows.Scatter().Combined()
	moves := math.Sqrt(math.Max(0, stats.Square(float64(now))-stats.Square(float64(then))))
	for i, r := range rows {
		for _, today := range s.scatter {
			if today.Source == r.Source {
				rows[i].Scale /= geometry.Angle(math.Sqrt(1 - 2/(3*float64(today.DOF))))
			}
		}
	}
	half := uncertainty.NewSum(rows.Terms()).HalfWidth(2*s.confidence - 1)
	in, out := s.late-half, s.late+half
	before, beyond := s.early-half, s.early+half
	below := func(x float64) float64 {
		switch {
		case moves > 0 && dof.Infinite():
			return distuv.UnitNormal.CDF(x / moves)
		case moves > 0:
			return distuv.StudentsT{Sigma: 1, Nu: float64(dof)}.CDF(x / moves)
		case x >= 0:
			return 1
		}
		return 0
	}
	p := 1 - below(out-s.offset) + below(-beyond-s.offset)
	if in > -before {
		p += below(in-s.offset) - below(-before-s.offset)
	}
	return p
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
		if best.Chance >= 0 && PairEffort*trials >= PairEffort*best.Trials+best.Readings {
			break
		}
		chance := s.chance(trials, readings, 0)
		if chance < wanted {
			continue
		}
		for readings > 0 {
			fewer := s.chance(trials, readings-1, 0)
			if fewer < wanted {
				break
			}
			readings, chance = readings-1, fewer
		}
		if best.Chance < 0 || PairEffort*trials+readings < PairEffort*best.Trials+best.Readings {
			best.Trials, best.Readings, best.Chance = trials, readings, chance
		}
	}
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
