package guide

import (
	"math"
	"slices"
	"sort"
	"strconv"

	"markaudit/audit/advise"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// StepKind is what is to be done next.
type StepKind uint8

// Ask: answer Question. Lower: bring the piston well down, before the stop is
// fitted. Fit: put the stop in. TakeOut: take it out. Take: turn the engine and
// read. Decide: everything planned has been read, and the stop is out.
const (
	Ask StepKind = iota + 1
	Lower
	Fit
	TakeOut
	Take
	Decide
)

// Step is the next thing to do. For Lower, Fit and TakeOut, Item is what comes
// after; it is empty for the last TakeOut of a job. An Ask of Where carries the
// contact whose number may be given instead.
type Step struct {
	Kind     StepKind
	Question Question
	Item     string         // stop, closing, drop, sweep, or the name of a line
	Approach sheet.Approach // which way to turn to it
	Side     string         // of a drop: before or after
	Trial    string         // of a contact
	Number   int            // which one of its kind in this setup it will be, from 1
	Turn     geometry.Angle // about how far to turn; zero where that is not known
	Rests    sheet.Approach // the contact at which the piston rests against the stop; zero when it does not
	Again    bool           // the line was read last as well, so the engine must leave it first
	OneWay   bool           // of Take: nobody has said that this engine may be turned backward
	Stands   string         // the line at which the engine stands; empty when it is not known to stand at one
	Cylinder string         // of NextCylinder: the one that comes
	Checked  string         // of LookedAgain: what, as the sheet calls it
}

// How much is read in one setup. Common practice, no source: three to five
// pairs, two or three readings a line.
const (
	fewestPairs  = 2 // with less nothing shows how well they repeat
	leastPairs   = 3
	mostPairs    = 5
	lineReadings = 3
	mostReadings = 6
)

// worthPair is the share of the smallest tolerance that the uncertainty of TDC
// may have before a fourth and fifth pair are asked for: a quarter of the
// tolerance in U costs a verdict 3 % of its width when the rest is as large as
// the tolerance. Common practice, no source.
const worthPair = 4

// settle finds the next step.
func (s *State) settle() {
	v := &s.view
	v.Method = s.methodNow()
	v.Setup, v.Cylinder, v.By, v.Stop, v.Told = s.setup, s.cylinder, s.by, s.stop, s.told
	v.Height, v.OneWay = s.height, s.oneWay()
	v.Pairs, v.Goal = s.usable(), s.goal()
	v.Sure = v.Pairs >= mostPairs || v.Pairs >= leastPairs && v.TDC > 0 && v.TDC <= v.Goal
	v.Undo = undoable(*s)
	v.Step, v.ToLine = s.step(), ""
	if v.Step.Kind == Take && v.Step.Item == "stop" && v.Pairs >= fewestPairs && s.unpaired() < 0 {
		v.ToLine = s.nextLine()
	}
}

// methodNow is how the current setup finds TDC: as its rows do, else as the engine
// allows.
func (s State) methodNow() sheet.Method {
	if s.onDial() {
		return sheet.AtTop
	}
	for _, r := range s.inSetup() {
		switch {
		case isContact(r.Item):
			return sheet.Stop
		case r.Item == "drop" && r.Side != "":
			return sheet.EqualDrop
		case r.Item == "sweep" && r.Height != "":
			return sheet.Sweep
		}
	}
	return s.method()
}

// step is the first of what has to be asked or done.
func (s State) step() Step {
	if s.onDial() {
		return dialStep(s)
	}
	ask := func(q Question) Step { return Step{Kind: Ask, Question: q} }
	switch {
	case s.confirm:
		return ask(HoleEmpty)
	case s.touched:
		return ask(Touched)
	case s.stop == Unsaid:
		return ask(WhereStop)
	case s.askBTDC:
		return ask(WhereBTDC)
	}
	if s.askTurn && len(s.rows) == 0 && s.stop == In {
		return s.outOfTheWay(Step{Item: "quarter turn"})
	}
	if s.askTurn && len(s.rows) == 0 {
		if s.quarter == "" {
			return ask(QuarterFrom)
		}
		return ask(QuarterTo)
	}
	step := s.wanted()
	contact := isContact(step.Item)
	switch {
	case s.stop == In && (!contact || s.sits != s.cylinder):
		return s.outOfTheWay(step)
	case contact && s.stop == In && s.at == Unknown:
		step.Kind, step.Question = Ask, Where
		return step
	case step.Item == "" && s.nextCylinder() != "":
		step = ask(NextCylinder)
		step.Cylinder = s.nextCylinder()
		return step
	case step.Item == "":
		return s.ended()
	case contact && s.stop == Out:
		return s.toFit(step)
	case step.Item == "drop" && s.backward == "":
		return ask(TurnBack) // without turning back only a sweep is left
	}
	step.Kind = Take
	switch {
	case contact:
		step.Rests = s.at.approach()
		step.Turn = s.aroundStop(step)
	case step.Item == "drop" || step.Item == "sweep":
		if q := s.needed(step.Item); q != NoQuestion {
			return ask(q)
		}
	default:
		step.Again, step.OneWay = s.stands.item == step.Item, s.oneWay()
		step.Turn = s.toLine(step.Item)
		step.Stands = s.atLine()
	}
	return step
}

// outOfTheWay says to take the stop out for what comes next; where the piston
// rests is asked first.
func (s State) outOfTheWay(step Step) Step {
	if s.at == Unknown {
		return Step{Kind: Ask, Question: Where}
	}
	step.Kind, step.Rests = TakeOut, s.at.approach()
	if s.nextCylinder() != "" && step.Item == "" {
		step.Item = "another cylinder"
	}
	return step
}

// toFit leads to the stop's fitting: what has to be known first, then the piston
// down, then the stop.
func (s State) toFit(step Step) Step {
	switch {
	case s.valves == "":
		return Step{Kind: Ask, Question: Valves}
	case s.backward == "":
		return Step{Kind: Ask, Question: TurnBack}
	case !s.low:
		step.Kind = Lower
		step.Stands = s.atLine()
		step.Turn = s.toBottom()
	default:
		step.Kind = Fit
	}
	return step
}

// needed is what a drop or a sweep cannot do without and nobody has said.
func (s State) needed(item string) Question {
	e := s.view.Sheet.Engine
	switch {
	case e.Stroke == 0:
		return Stroke
	case e.Rod == 0:
		return Rod
	case item == "drop" && s.height == "":
		return HowDeep
	}
	return NoQuestion
}

// atLine is the line at which the engine stands; empty where it is not known to
// stand at one.
func (s State) atLine() string {
	if isContact(s.stands.item) || !slices.ContainsFunc(s.view.Sheet.Marks, func(m sheet.Mark) bool { return m.Name == s.stands.item }) {
		return ""
	}
	return s.stands.item
}

// nextCylinder is the cylinder whose turn it is once the current one has all that
// is planned; empty when there is none. Cylinders are asked for by the lines that
// name them.
func (s State) nextCylinder() string {
	e := s.view.Sheet.Engine
	for _, c := range e.Cylinders {
		wanted := slices.ContainsFunc(s.view.Sheet.Marks, func(m sheet.Mark) bool { return e.Cylinder(m.Cylinder) == c.Name })
		there := e.Cylinder(s.cylinder) == c.Name || slices.Contains(s.declined, c.Name) ||
			slices.ContainsFunc(s.inMounting(), func(r readings.Row) bool { return e.Cylinder(r.Cylinder) == c.Name && r.Struck == "" && r.Trial != "" })
		if wanted && !there && len(s.inSetup()) > 0 {
			return c.Name
		}
	}
	return ""
}

func isContact(item string) bool { return item == "stop" || item == "closing" }

// aroundStop is how far it is from one contact to the other, the long way; zero
// where the piston does not rest at the other one, or where this fitting of the stop
// has no pair yet: it may reach deeper than the one before.
func (s State) aroundStop(step Step) geometry.Angle {
	found := s.found()
	if found == nil || step.Rests == 0 || step.Rests == step.Approach || s.pairSeat != s.seat {
		return 0
	}
	return 360 - 2*found.HalfArc
}

// found is what the current setup says of TDC; nil before its first pair.
func (s State) found() *tdc.Setup {
	if r := s.view.Result; r != nil && r.TDC.Any() {
		for i := range r.TDC.Setups {
			if r.TDC.Setups[i].Name == s.setup {
				return &r.TDC.Setups[i]
			}
		}
	}
	return nil
}

// crank is where the engine stands, in crank degrees after TDC of the reference
// cylinder; false where that is not known.
func (s State) crank() (geometry.Angle, bool) {
	if line := s.atLine(); line != "" {
		return s.Place(line), true
	}
	found := s.found()
	if found == nil || !isContact(s.stands.item) {
		return 0, false
	}
	from := found.HalfArc
	if s.stands.approach == sheet.Forward {
		from = -from
	}
	return from + s.view.Sheet.Engine.Declared(s.cylinder), true
}

// toLine is about how far the engine has to be turned the way it runs to a line, from
// where it really stands to where the line was found when it was read before.
func (s State) toLine(name string) geometry.Angle {
	from, known := s.crank()
	if !known || s.found() == nil {
		return 0
	}
	turn := (s.Place(name) - from).Turn()
	if really := turn + s.late(name) - s.late(s.atLine()); really > 0 && really < 360 {
		return really
	}
	return turn
}

// mostLate is the most by which a line counts as off its place for a way to be told:
// beyond it a reading is more likely wrong than the line. Common practice, no source.
const mostLate = 15

// late is how much later than its place a line comes up by what was read of it; zero
// where nothing was.
func (s State) late(name string) geometry.Angle {
	if s.view.Result == nil {
		return 0
	}
	for _, l := range s.view.Result.Lines {
		if l.Name == name && l.Offset != nil && l.Offset.Value.Abs() <= mostLate {
			return l.Offset.Value
		}
	}
	return 0
}

// toBottom is about how far the engine has to be turned the way it runs until the
// piston of the current setup is at the bottom; zero where that is not known.
func (s State) toBottom() geometry.Angle {
	from, known := s.crank()
	if !known {
		return 0
	}
	return (180 + s.view.Sheet.Engine.Declared(s.cylinder) - from).Turn()
}

// Place is where a line comes up, in crank degrees after TDC of the reference
// cylinder.
func (s State) Place(name string) geometry.Angle {
	for _, m := range s.view.Sheet.Marks {
		if m.Name != name {
			continue
		}
		at := m.At
		for _, c := range s.view.Sheet.Engine.Cylinders {
			if c.Name == m.Cylinder {
				at += c.TDC
			}
		}
		return at
	}
	return 0
}

// isLine reports whether a row holds a line.
func isLine(r readings.Row) bool { return !isContact(r.Item) && r.Side == "" && r.Height == "" }

// Left is what the plan still wants read: stop, closing, drop, sweep or the name of
// a line, and else the cylinder that comes next. Both are empty when all that was
// planned is read. It asks nothing, so it can be told of a session that nobody has
// opened.
func (s State) Left() (item, cylinder string) {
	if item = s.wanted().Item; item != "" {
		return item, ""
	}
	return "", s.nextCylinder()
}

// wanted is what should be read next, without regard to where the stop is.
func (s State) wanted() Step {
	if open := s.unpaired(); open >= 0 {
		r := s.rows[open]
		step := Step{Item: r.Item, Trial: r.Trial, Approach: sheet.Forward + sheet.Backward - approachOf(r.Approach), Number: s.usable() + 1}
		if r.Item == "drop" {
			step.Side = map[string]string{"before": "after", "after": "before"}[r.Side]
		}
		return step
	}
	if c := s.chosen; c.item != "" {
		return s.ask(c.item, c.approach)
	}
	marked := slices.ContainsFunc(s.inSetup(), isLine)
	item := wordOf(s.view.Method)
	if item == "sweep" && s.pointsRead() < mostPoints && !s.enough && !marked {
		return s.ask(item, 0)
	}
	if pairs := s.usable(); item != "sweep" && !marked && (pairs < leastPairs || pairs < mostPairs && s.stop != Out && item == "stop" && s.unsure()) {
		return s.ask(item, 0)
	}
	if item != "sweep" && s.usable() == 0 {
		return Step{} // lines without a pair: a new setup
	}
	closing := s.closing()
	if !closing[0] && !closing[1] {
		if line := s.nextLine(); line != "" {
			return s.ask(line, 0)
		}
		if marked && item == "stop" && s.method() == sheet.Stop && !slices.Contains(s.skipped, "closing") {
			return s.ask("closing", 0)
		}
	}
	return Step{}
}

// ask completes what is to be read. Where the choice is free, the contact on the
// side to which the engine turns freely comes first.
func (s State) ask(item string, way sheet.Approach) Step {
	step := Step{Item: item, Approach: way}
	if way == 0 {
		step.Approach = sheet.Forward
		if isContact(item) && s.stop == In && s.at == AtForward {
			step.Approach = sheet.Backward
		}
	}
	switch item {
	case "stop", "drop":
		most := 0
		for _, r := range s.inSetup() {
			if r.Item == item {
				n, err := strconv.Atoi(r.Trial)
				if err != nil {
					n = most // a name: one number further is taken below
				}
				most = max(most, n)
			}
		}
		step.Trial, step.Number = s.freeTrial(item, most+1), s.usable()+1
		if item == "drop" {
			step.Side = "before"
			if step.Approach == sheet.Backward {
				step.Side = "after"
			}
		}
	case "sweep":
		step.Approach, step.Number = sheet.Forward, s.pointsRead()+1
	case "closing":
		step.Trial, step.Number = "1", 1
		if there := s.closing(); there[0] && way == 0 {
			step.Approach = sheet.Backward
		}
	default:
		step.Number = s.timesRead(item) + 1
	}
	return step
}

func (s State) goal() geometry.Angle { return Goal(s.view.Sheet) }

// Goal is the expanded uncertainty of TDC at which pairs are enough: +Inf without lines.
func Goal(s sheet.Sheet) geometry.Angle {
	least := geometry.Angle(math.Inf(1))
	for _, m := range s.Marks {
		early, late := m.Allowed()
		least = min(least, early, late)
	}
	return least / worthPair
}

// unsure reports whether a further pair would help: TDC alone takes a good part
// of the smallest tolerance.
func (s State) unsure() bool { return s.view.TDC > s.goal() }

// nextLine is the line to read next: all in the order in which they come up,
// three times round, then those of which a few more readings would decide. It is
// empty when none is due.
func (s State) nextLine() string {
	marks := s.view.Sheet.Marks
	order := make([]int, len(marks))
	after := make([]geometry.Angle, len(marks)) // from where the stop was taken out
	round := geometry.Angle(360)
	if s.view.Sheet.Part.HalfSpeed {
		round = 720
	}
	var start geometry.Angle
	if found := s.found(); found != nil {
		start = found.HalfArc + s.view.Sheet.Engine.Declared(s.cylinder)
	}
	for i, m := range marks {
		order[i] = i
		after[i] = geometry.Angle(math.Mod(float64(s.Place(m.Name)-start), float64(round)))
		if after[i] < 0 {
			after[i] += round
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return after[order[i]] < after[order[j]] })
	for n := range lineReadings {
		for _, i := range order {
			if name := marks[i].Name; s.timesRead(name) <= n && !slices.Contains(s.skipped, name) {
				return name
			}
		}
	}
	for _, i := range order {
		if i >= len(s.view.Next) || slices.Contains(s.skipped, marks[i].Name) {
			continue
		}
		more := s.view.Next[i]
		if more.Way == advise.MoreReadings && more.Trials == 0 && s.timesRead(marks[i].Name)+more.Readings <= mostReadings {
			return marks[i].Name
		}
	}
	return ""
}

// ended is what is left once all is read: the last looks, and then the result.
func (s State) ended() Step {
	switch {
	case !s.empty:
		return Step{Kind: Ask, Question: LastLook}
	case toLookAt(s) != "":
		step := Step{Kind: Ask, Question: LookedAgain}
		step.Checked = toLookAt(s)
		return step
	}
	return Step{Kind: Decide}
}
