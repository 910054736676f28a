package diagnosis

import (
	"cmp"
	"math"
	"slices"

	"markaudit/geometry"
)

// ObservationKind is what to look at, or to measure.
type ObservationKind uint8

// Look: at the line, the sheet or the plug hole. ReadAgain: the lines named, or
// where none is the contacts. QuarterTurn: turn the way it runs and see whether the
// readout grows. Dividers: the chord between two lines. TapeRound: the length round
// the rim between two lines that are too far apart for dividers. ClosingPair: put
// the stop back in while the readout is untouched. OtherBankContacts: find the TDC
// of another cylinder, the readout untouched. SecondSetup: mount everything anew.
const (
	NoObservation ObservationKind = iota
	Look
	ReadAgain
	QuarterTurn
	Dividers
	TapeRound
	ClosingPair
	OtherBankContacts
	SecondSetup
)

var observationKinds = [...]string{
	"none", "look", "read_again", "quarter_turn", "dividers", "tape_round", "closing_pair", "other_bank", "second_setup",
}

func (k ObservationKind) String() string { return word(observationKinds[:], int(k)) }

// MarshalText writes the stable key.
func (k ObservationKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (k *ObservationKind) UnmarshalText(text []byte) error {
	return fromWord(k, observationKinds[:], text)
}

// Effort of each kind, of one reading of a line. A second setup takes its readings
// besides, contacts as much as a closing pair. Common practice, no source.
var efforts = [...]int{
	Look: 1, ReadAgain: 1, QuarterTurn: 1, Dividers: 2, TapeRound: 2, ClosingPair: 3, OtherBankContacts: 6, SecondSetup: 8,
}

// Observation is something to look at or to measure, and what it shows where the
// lines are as measured and where they are not. Angles are of a closing pair what
// the readout shows at TDC, and Within is how far from Expect it may be all the same,
// zero where that is not known; lengths are of dividers and tape.
type Observation struct {
	Kind                        ObservationKind
	Lines                       []int
	Mounting                    int    // -1: none
	Cylinder                    string // whose TDC is to be found
	On                          string // a further line on that part
	Effort                      int
	Expect, Instead, Within     geometry.Angle
	ExpectLength, InsteadLength geometry.Length
}

func observation(kind ObservationKind, lines ...int) Observation {
	return Observation{Kind: kind, Lines: lines, Mounting: -1, Effort: efforts[kind]}
}

// contactsAgain asks for the contacts of a mounting.
func contactsAgain(mounting int) Observation {
	o := observation(ReadAgain)
	o.Mounting, o.Effort = mounting, efforts[ClosingPair]
	return o
}

func (o Observation) same(other Observation) bool {
	return o.Kind == other.Kind && o.Mounting == other.Mounting && o.Cylinder == other.Cylinder && o.On == other.On &&
		slices.Equal(o.Lines, other.Lines)
}

// offer is an observation and how many rivals it tells from the lines as measured.
type offer struct {
	Observation
	tells int
}

// ask fills in what to do first: what is uncertain at the contacts, what to read
// again, then what tells explanations apart, each once.
func ask(w *weigher, d *Diagnosis, standing []weighed, ringHeld bool) {
	add := func(o Observation) {
		if o.Kind != NoObservation && !slices.ContainsFunc(d.Ask, o.same) {
			d.Ask = append(d.Ask, o)
		}
	}
	e := w.evidence
	for _, c := range e.Creep {
		if c.P < certain && slices.ContainsFunc(linesRead(w), func(j int) bool { return mattersTo(w, c.Drift, j) }) {
			add(contactsAgain(c.Mounting))
		}
	}
	if odd := e.Odd; odd != nil && odd.P < certain && slices.ContainsFunc(linesRead(w), func(j int) bool { return oddMatters(w, j) }) {
		if odd.Line < 0 {
			add(contactsAgain(odd.Mounting))
		} else {
			add(observation(ReadAgain, odd.Line))
		}
	}
	if d.Refuted {
		add(contradicted(w, d, standing))
	}
	for i := range d.Decisions {
		c := &d.Decisions[i]
		switch {
		case d.Refuted:
		case len(c.Against) > 0:
			rivals := make([]weighed, len(c.Against))
			for k, at := range c.Against {
				rivals[k] = standing[at]
			}
			c.Ask = bestFor(w, c.Line, rivals)
		case c.Held && ringHeld:
			c.Ask = observation(ReadAgain, hubLines(w)...)
			c.Ask.On = onHub
		case c.Line >= 0 && c.IfRight == Outside && hubLine(w, c.Line):
			c.Ask = observation(ReadAgain, c.Line)
		}
		add(c.Ask)
	}
	if slices.ContainsFunc(d.Decisions, func(c Decision) bool { return c.Scribe }) && !closedIn(w, w.last) {
		o := closingPair(w, 0)
		d.CloseFirst = &o
	}
}

func linesRead(w *weigher) []int {
	var out []int
	for j, n := range w.reads {
		if n > 0 {
			out = append(out, j)
		}
	}
	return out
}

func hubLines(w *weigher) []int {
	var out []int
	for _, j := range linesRead(w) {
		if w.evidence.Lines[j].On == onHub {
			out = append(out, j)
		}
	}
	return out
}

// oddMatters reports whether the reading that stands out moves a line by more than
// a quarter of its tolerance.
func oddMatters(w *weigher, j int) bool {
	without := make([][]float64, len(w.late))
	for i := range without {
		without[i] = make([]float64, len(w.mean))
		for k, d := range w.evidence.Odd.Without[i] {
			without[i][k] = d.Degrees()
		}
	}
	by := near(w.means(w.then, without)[j] - w.mean[j])
	return isNaN(by) || mattersTo(w, geometry.Angle(by), j)
}

// contradicted asks for what tells the best explanation from the lines as measured
// once these are refuted, or, where they are the best all the same, for the piece
// of evidence that contradicts them again.
func contradicted(w *weigher, d *Diagnosis, standing []weighed) Observation {
	if best := standing[0]; best.Code != AsMeasured {
		line := -1
		if len(best.Lines) > 0 {
			line = best.Lines[0]
		}
		return bestFor(w, line, standing[:1])
	}
	e, worst := w.evidence, d.Measured.Worst
	switch worst.Kind {
	case ItemLine:
		return observation(ReadAgain, worst.Line)
	case ItemPair:
		return contactsAgain(e.Pairs[worst.Index].Mounting)
	case ItemDistance:
		return observation(Dividers, e.Distances[worst.Index].From, e.Distances[worst.Index].To)
	case ItemOrder:
		return observation(Look, worst.Line, worst.Index)
	case ItemOdd:
		if worst.Line >= 0 {
			return observation(ReadAgain, worst.Line)
		}
		return contactsAgain(worst.Mounting)
	case ItemCreep:
		return contactsAgain(worst.Mounting)
	}
	return secondSetup(w)
}

func secondSetup(w *weigher) Observation {
	o := observation(SecondSetup)
	o.Effort += w.evidence.SetupReadings
	return o
}

// closedIn reports whether TDC was found again after the lines of a mounting.
func closedIn(w *weigher, mounting int) bool {
	return slices.ContainsFunc(w.evidence.Pairs, func(p Pair) bool { return p.Mounting == mounting && p.AfterLines })
}

// closingPair asks for a closing pair of the last mounting: x is how much later it
// would show TDC than the contacts, in crank degrees, if the readout moved.
func closingPair(w *weigher, x float64) Observation {
	o := observation(ClosingPair)
	o.Mounting = w.last
	if e := w.evidence; len(e.Shows) > 0 {
		o.Expect = e.Shows[w.last]
		o.Instead = o.Expect + geometry.Angle(e.Counts)*geometry.Angle(x)
		if len(e.Repeats) > 0 {
			o.Within = e.Repeats[w.last]
		}
	}
	return o
}

// bestFor is the observation that tells most rivals from the lines as measured for
// its effort; of equal ones the cheaper. Line is what it is about, or below zero.
func bestFor(w *weigher, line int, rivals []weighed) Observation {
	offers := []offer{offerLook(w, rivals), offerReading(w, line, rivals), offerContacts(w, rivals), offerClosing(w, rivals)}
	offers = append(offers, offerDistances(w, line, rivals)...)
	for _, kind := range []ObservationKind{QuarterTurn, OtherBankContacts, SecondSetup} {
		o := observation(kind)
		switch kind {
		case SecondSetup:
			o = secondSetup(w)
		case OtherBankContacts:
			if w.evidence.OpenCylinder == "" {
				continue
			}
			o.Cylinder, o.Mounting = w.evidence.OpenCylinder, w.last
		}
		one := offer{Observation: o}
		for _, r := range rivals {
			if tells(w, kind, r) {
				one.tells++
			}
		}
		offers = append(offers, one)
	}
	chosen := offer{}
	for _, o := range offers {
		// tells/effort against tells/effort, without dividing.
		a, b := o.tells*chosen.Effort, chosen.tells*o.Effort
		if o.tells > 0 && (chosen.tells == 0 || a > b || a == b && o.Effort < chosen.Effort) {
			chosen = o
		}
	}
	if chosen.tells == 0 {
		return secondSetup(w)
	}
	return chosen.Observation
}

// tells reports whether the list says that an observation tells a rival.
func tells(w *weigher, kind ObservationKind, r weighed) bool {
	if !slices.Contains(explanations[r.entry].told, kind) {
		return false
	}
	if kind == OtherBankContacts && r.Code == ReadoutMoved { // those of the last mounting only
		return slices.Contains(r.Mountings, w.last)
	}
	return true
}

// offerLook gathers what can be settled by looking: at the lines that rivals name,
// or at the sheet and the plug hole.
func offerLook(w *weigher, rivals []weighed) offer {
	o := offer{Observation: observation(Look)}
	for _, r := range rivals {
		if !tells(w, Look, r) {
			continue
		}
		o.tells++
		for _, j := range r.Lines {
			if !slices.Contains(o.Lines, j) {
				o.Lines = append(o.Lines, j)
			}
		}
	}
	slices.Sort(o.Lines)
	return o
}

// offerReading is reading a line again, beside one that the same move left alone
// where there is one: a readout that has moved shows both as before, or neither.
func offerReading(w *weigher, line int, rivals []weighed) offer {
	if line < 0 {
		return offer{}
	}
	o := offer{Observation: observation(ReadAgain, line)}
	for _, r := range rivals {
		if !tells(w, ReadAgain, r) || !slices.Contains(r.Lines, line) {
			continue
		}
		o.tells++
		if r.Code != ReadoutMoved || len(o.Lines) > 1 {
			continue
		}
		for _, j := range linesRead(w) {
			if !slices.Contains(r.Lines, j) {
				o.Lines = append(o.Lines, j)
				break
			}
		}
	}
	return o
}

// offerContacts is taking the contacts of one mounting again.
func offerContacts(w *weigher, rivals []weighed) offer {
	var o offer
	for _, i := range w.used {
		one := offer{Observation: contactsAgain(i)}
		for _, r := range rivals {
			if tells(w, ReadAgain, r) && len(r.Lines) == 0 && slices.Contains(r.Mountings, i) {
				one.tells++
			}
		}
		if one.tells > o.tells {
			o = one
		}
	}
	return o
}

// offerClosing is a closing pair of the last mounting, where there is none.
func offerClosing(w *weigher, rivals []weighed) offer {
	o := offer{Observation: closingPair(w, 0)}
	if closedIn(w, w.last) {
		return o
	}
	sd := math.Hypot(w.evidence.TDC[w.last].Degrees(), w.evidence.Scatter.Middle.Degrees())
	for _, r := range rivals {
		if r.claim.closes == nil {
			continue
		}
		if x := r.claim.closes[w.last]; math.Abs(x) > math.Max(leastMove, toSee*sd)-tiny {
			if o.tells == 0 {
				o.Observation = closingPair(w, x)
			}
			o.tells++
		}
	}
	return o
}

// toSee is how many standard deviations a difference must have to be seen.
const toSee = 2.0

// Angles on the part between which dividers span a distance well: closer lines
// take a rule, and further apart a chord hardly changes. Common practice, no
// source.
const (
	leastSpan = 6.0
	mostSpan  = 150.0
)

// offerDistances are the distances from a line to each other one on its part that
// were not measured yet.
func offerDistances(w *weigher, line int, rivals []weighed) []offer {
	e := w.evidence
	if line < 0 || e.Diameter == 0 {
		return nil
	}
	var out []offer
	for _, k := range linesRead(w) {
		if k == line || e.Lines[k].On != e.Lines[line].On || measuredAlready(w, line, k) {
			continue
		}
		gap := span(w, line, k, w.mean, nil)
		o := offer{Observation: observation(Dividers, line, k)}
		switch {
		case gap < leastSpan:
			continue
		case gap > mostSpan:
			o = offer{Observation: observation(TapeRound, line, k)}
		}
		length := func(gap float64) geometry.Length {
			if o.Kind == TapeRound {
				return geometry.Rim{Diameter: e.Diameter}.Arc(geometry.Angle(gap))
			}
			return geometry.Rim{Diameter: e.Diameter}.Chord(geometry.Angle(gap))
		}
		o.ExpectLength = length(gap)
		by := e.Lines[line].tolerance().Degrees() * 360 / w.turn()
		if abs(length(gap+by)-o.ExpectLength) <= e.DividersU {
			continue
		}
		for _, r := range rivals {
			late := make([]float64, len(w.mean))
			for j, d := range r.Offset {
				late[j] = d.Degrees()
			}
			then := length(span(w, line, k, late, r.claim.renamed))
			if abs(then-o.ExpectLength) <= e.DividersU || isNaN(float64(then)) {
				continue
			}
			if o.tells == 0 {
				o.InsteadLength = then
			}
			o.tells++
		}
		out = append(out, o)
	}
	// Of pairs that tell as much the one nearest to a quarter of a turn.
	slices.SortStableFunc(out, func(x, y offer) int {
		at := func(o offer) float64 { return math.Abs(span(w, line, o.Lines[1], w.mean, nil) - 90) }
		if a, b := at(x), at(y); math.Abs(a-b) > tiny {
			return cmp.Compare(a, b)
		}
		return 0
	})
	return out
}

func measuredAlready(w *weigher, a, b int) bool {
	return slices.ContainsFunc(w.evidence.Distances, func(d Distance) bool {
		return d.From == a && d.To == b || d.From == b && d.To == a
	})
}

// span is how far two lines lie apart on the part, 0 to 180 degrees.
func span(w *weigher, a, b int, late, renamed []float64) float64 {
	gap := w.place(b, late, renamed) - w.place(a, late, renamed)
	return math.Abs(wrap(gap * 360 / w.turn()))
}

func abs(l geometry.Length) geometry.Length { return max(l, -l) }
