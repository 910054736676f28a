package plan

import (
	"math"

	"markaudit/audit/internal/enum"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Scheme is how much is read.
type Scheme struct {
	Setups, Trials, Readings int // pairs, and readings of each line, in each setup
	U                        geometry.Angle
	Covers                   lines.Covers
	Effort                   float64 // minutes
}

// Depth is one depth of the stop and what it does.
type Depth struct {
	HalfArc    geometry.Angle
	Drop       geometry.Length // of the piston below its top; zero without stroke and rod
	PerDegree  geometry.Length
	Rock       geometry.Angle // what limits.contact does to the middle
	Correction geometry.Angle // from pin and bore offset
	U          geometry.Angle // of the worst line, with the scheme of the plan
}

// Gain is what better means would bring.
type Gain struct {
	Means Means
	U     geometry.Angle
}

// Means is one of the means of measurement that could be better.
type Means uint8

// FinerStep: a readout with a fifth of the step. CentredWheel: within a quarter of
// the limit. BothSides: lines read from both sides. FinerSighting, LessRock: half
// of the limit.
const (
	FinerStep Means = iota
	CentredWheel
	BothSides
	FinerSighting
	LessRock
)

// Plan is a plan for an audit.
type Plan struct {
	Depths  []Depth
	Best    Depth
	Worst   sheet.Mark // the line with the largest predicted U
	Wanted  geometry.Angle
	Least   *Scheme // with the least effort that reaches Wanted; nil if none does
	Usual   []Scheme
	Budget  uncertainty.Budget // of Worst, with Least, else with the last of Usual
	Outside geometry.Angle     // offset that Least, or the last of Usual, finds outside four times in five
	Gains   []Gain             // the largest first, those that bring a twentieth or more
	Rock    geometry.Length    // by which Depths are compared: that of the sheet, else UsualRock
	Usually bool               // Rock is the usual one, and in Depths alone
	Hides   bool               // the step of the readout hides what scatters
	planner planner
}

// Predict is the expanded uncertainty of the worst line that so many setups, with
// so many pairs and readings in each, are likely to give; +Inf where they hold no
// scatter.
func (p Plan) Predict(setups, trials, readings int) geometry.Angle {
	u, _ := p.planner.worst(amount{setups, trials, readings})
	return u
}

// Half arcs that a stop is set to, and among which the best is looked for. Common
// practice, no source.
var (
	depths       = []geometry.Angle{5, 8, 10, 15, 20, 25, 30, 35, 40, 45, 60}
	leastSound   = geometry.Angle(15)
	mostSound    = geometry.Angle(45)
	usualHalfArc = geometry.Angle(27)
)

const (
	plannedTrials, plannedReadings = 10, 6 // the most that a setup is planned with
	leastTrials                    = 3     // pairs: what the guide asks for too (docs/record.md)
	asGood                         = 1.05  // a shallower stop is taken where U grows by less
)

// UsualRock is how much higher one contact may be than the other where the sheet does
// not say, for comparing depths. Common practice, no source.
const UsualRock = geometry.Length(0.04)

// usual are what people do, to see what it gives.
var usual = []amount{{1, 3, 3}, {1, 5, 3}, {3, 3, 3}, {3, 5, 3}, {5, 5, 3}}

// amount is how many setups, and pairs and readings of each line in each.
type amount struct{ setups, trials, readings int }

// planner predicts budgets from guesses.
type planner struct {
	sheet   sheet.Sheet
	guess   Guess
	halfArc geometry.Angle
}

// For plans the audit of a sheet that holds no readings yet: its engine, part,
// readout, limits and lines count. A half arc of zero is looked for, a wanted U of
// zero is half of the tightest tolerance. The error, of type [inputerror.List],
// says what on the sheet cannot be right.
func For(s sheet.Sheet, g Guess, halfArc, wanted geometry.Angle) (Plan, error) {
	s.Setups = nil
	if faults := s.Check(); len(faults) > 0 {
		return Plan{}, faults
	}
	p := planner{sheet: s, guess: g, halfArc: halfArc}
	plan := Plan{Wanted: wanted}
	if wanted == 0 {
		plan.Wanted = s.Marks[0].Tolerance / 2
		for _, m := range s.Marks {
			plan.Wanted = min(plan.Wanted, m.Tolerance/2)
		}
	}
	if p.halfArc == 0 {
		p.halfArc = usualHalfArc
	}
	if crank, ok := s.Engine.Crank(); ok {
		scheme := usual[3]
		best := math.Inf(1)
		rocks := p
		if plan.Rock = s.Limits.Contact.Half; plan.Rock == 0 { // else all depths would be alike
			plan.Rock, plan.Usually = UsualRock, true
			rocks.sheet.Limits.Contact.Half = UsualRock
		}
		for _, h := range depths {
			q := rocks
			q.halfArc = h
			d := q.depth(crank)
			d.U, _ = q.worst(scheme)
			plan.Depths = append(plan.Depths, d)
			if h >= leastSound && h <= mostSound {
				best = math.Min(best, d.U.Degrees())
			}
		}
		if halfArc == 0 {
			for _, d := range plan.Depths {
				if d.HalfArc >= 20 && d.HalfArc <= mostSound && d.U.Degrees() <= best*asGood {
					p.halfArc = d.HalfArc
					break
				}
			}
		}
		plan.Best = p.depth(crank)
	} else {
		plan.Best = Depth{HalfArc: p.halfArc}
	}
	for _, scheme := range usual {
		plan.Usual = append(plan.Usual, p.scheme(scheme))
	}
	plan.Least = p.least(plan.Wanted)
	taken := usual[len(usual)-1]
	if l := plan.Least; l != nil {
		taken = amount{l.Setups, l.Trials, l.Readings}
	}
	plan.Best.U, plan.Worst = p.worst(taken)
	plan.Budget, _ = p.typical(plan.Worst, taken).Budget()
	plan.Hides = p.hides(plan.Worst, taken)
	plan.Outside = p.outside(plan.Worst, plan.Budget)
	plan.Gains, plan.planner = p.gains(taken), p
	return plan, nil
}

var meansWords = []string{"finer step", "centred wheel", "both sides", "finer sighting", "less rock"}

func (m Means) String() string { return enum.Word(meansWords, m) }

// MarshalText writes the word.
func (m Means) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (m *Means) UnmarshalText(text []byte) error { return enum.From(m, meansWords, text) }
