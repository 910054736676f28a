package audit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Way is what would decide an undecided line.
type Way uint8

// Settled: nothing needs doing. MoreReadings: Trials and Readings in the setups
// at hand. MoreSetups: Setups new ones. NoScatter: the readings repeat nothing,
// so there is no interval yet. Repeat: the readout moved; take everything again.
// ThirdSetup: two setups disagree. Read: the line was not read. Blocked: more
// readings will not decide; Largest names what stands in the way.
const (
	Settled Way = iota
	MoreReadings
	MoreSetups
	NoScatter
	Repeat
	ThirdSetup
	ReadIt
	Blocked
)

// Next is the cheapest further measurement that would decide one line.
type Next struct {
	Way                      Way
	Trials, Readings, Setups int
	Chance                   float64 // that the line is then decided
	Largest                  string  // source of the largest row that readings cannot reduce
	LargestShare             float64 // of the variance
}

// What a further measurement must promise, and what it costs. Chosen by
// simulation (docs/method.md, What to measure next).
const (
	likely      = 0.8 // "four times in five"
	worthTrying = 0.5
	mostFurther = 15
	mostSetups  = 6 // a day's work; common practice, no source
	trialEffort = 2
)

// Further finds for every mark of a result what would decide it, in the order
// of the marks. It is apart from [Run] because the search takes longer than the
// audit itself.
func Further(r Result) []Next {
	out := make([]Next, len(r.Marks))
	for i, m := range r.Marks {
		switch {
		case m.Offset == nil:
			out[i].Way = ReadIt
		case m.Verdict != uncertainty.Undecided:
		case r.Moved:
			out[i].Way = Repeat
		case !m.Offset.Known:
			out[i].Way = NoScatter
		case r.Differ && m.Setups < enough:
			out[i].Way = ThirdSetup
		default:
			out[i] = newSearch(m, r.Sheet.Limits.Confidence).best()
		}
	}
	return out
}

// search looks for the least effort that probably decides one mark.
type search struct {
	now        repeats
	rest       uncertainty.Budget // rows that readings do not change
	offset     float64
	early      float64 // how early the line may come, positive
	late       float64
	confidence float64
	scatter    uncertainty.Budget // the t rows now
}

func newSearch(m Mark, confidence float64) search {
	own := m.repeats.rows()
	s := search{
		now: m.repeats, rest: m.Offset.Budget[len(own):],
		offset: m.Offset.Value.Abs().Degrees(), confidence: confidence,
		scatter: scatterRows(own),
	}
	early, late := m.Allowed()
	if m.Offset.Value < 0 { // an early line, seen from the other side
		early, late = late, early
	}
	s.early, s.late = early.Degrees(), late.Degrees()
	return s
}

// scatterRows are the rows that come from the scatter of readings and count.
func scatterRows(rows uncertainty.Budget) uncertainty.Budget {
	return slices.DeleteFunc(slices.Clone(rows), func(r uncertainty.Row) bool {
		return r.Shape != uncertainty.StudentT || r.Idle
	})
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
	rows := s.now.further(trials, readings, setups).rows()
	now, dof := s.scatter.Combined()
	then, _ := scatterRows(rows).Combined()
	moves := math.Sqrt(math.Max(0, square(float64(now))-square(float64(then))))
	for i, r := range rows {
		for _, today := range s.scatter {
			if today.Source == r.Source && r.Shape == uncertainty.StudentT {
				rows[i].Scale /= geometry.Angle(math.Sqrt(1 - 2/(3*today.DOF)))
			}
		}
	}
	half := uncertainty.NewSum(append(rows, s.rest...).Terms()).HalfWidth(2*s.confidence - 1)
	in, out := s.late-half, s.late+half
	before, beyond := s.early-half, s.early+half
	below := func(x float64) float64 {
		switch {
		case moves > 0 && math.IsInf(dof, 1):
			return distuv.UnitNormal.CDF(x / moves)
		case moves > 0:
			return distuv.StudentsT{Sigma: 1, Nu: dof}.CDF(x / moves)
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
	if s.now.setups >= enough {
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
		if best.Chance >= 0 && trialEffort*trials >= trialEffort*best.Trials+best.Readings {
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
		if best.Chance < 0 || trialEffort*trials+readings < trialEffort*best.Trials+best.Readings {
			best.Trials, best.Readings, best.Chance = trials, readings, chance
		}
	}
	return best
}

func (s search) bestSetups() Next {
	best := Next{Way: MoreSetups, Chance: -1}
	for k := 1; k <= mostSetups; k++ {
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
	left := s.now.further(mostFurther, mostFurther, mostSetups).rows()
	all := append(left, s.rest...)
	u, _ := all.Combined()
	if u == 0 {
		return next
	}
	largest := 0.0
	for _, source := range sources(all) {
		var v float64
		for _, r := range all {
			if r.Source == source && r.Shape != uncertainty.StudentT {
				v += square(float64(r.Standard()))
			}
		}
		if v > largest {
			largest, next.Largest, next.LargestShare = v, source, v/square(float64(u))
		}
	}
	return next
}

// sources lists the sources of a budget once each, in the order of entry.
func sources(rows uncertainty.Budget) []string {
	var out []string
	seen := map[string]bool{}
	for _, r := range rows {
		if !seen[r.Source] {
			seen[r.Source] = true
			out = append(out, r.Source)
		}
	}
	return out
}
