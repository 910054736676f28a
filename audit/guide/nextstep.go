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

// Ask: answer Question. Fit: put the stop in. TakeOut: take it out. Take: turn
// the engine and read. Decide: everything planned has been read.
const (
	Ask StepKind = iota + 1
	Fit
	TakeOut
	Take
	Decide
)

// Step is the next thing to do. For Fit and TakeOut, Item is what comes after.
type Step struct {
	Kind     StepKind
	Question Question
	Item     string         // stop, closing, or the name of a line
	Approach sheet.Approach // which way to turn to it
	Trial    string         // of a contact
	Number   int            // which one of its kind in this setup it will be, from 1
	Turn     geometry.Angle // about how far to turn; zero where that is not known
	Rests    sheet.Approach // the contact at which the piston rests against the stop; zero when it does not
	Again    bool           // the line was read last as well, so the engine must leave it first
}

// How much is read in one setup. Common practice, no source: three to five
// pairs, two or three readings a line.
const (
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
	s.view.Setup, s.view.By, s.view.Stop = s.setup, s.by, s.stop
	s.view.CanUndo = len(s.past) > 0 || s.question() == QuarterTo
	s.view.Step = s.step()
}

func (s State) step() Step {
	if q := s.question(); q != NoQuestion {
		return Step{Kind: Ask, Question: q}
	}
	step := s.wanted()
	if step.Item == "" {
		return Step{Kind: Decide}
	}
	step.Kind = Take
	contact := step.Item == "stop" || step.Item == "closing"
	rows := s.inSetup()
	var last *readings.Row
	if len(rows) > 0 && len(s.rows) > s.opened { // where the engine was left on another day is not known
		last = &rows[len(rows)-1]
	}
	switch {
	case contact && s.stop != In:
		step.Kind = Fit
	case !contact && s.stop != Out:
		step.Kind = TakeOut
		if last != nil && isContact(last.Item) && s.stop == In {
			step.Rests = approach(last.Approach)
		}
	case contact:
		if last != nil && isContact(last.Item) && s.stop == In {
			step.Rests = approach(last.Approach)
			step.Turn = s.aroundStop(step)
		}
	default:
		step.Again = last != nil && last.Item == step.Item
		step.Turn = s.toLine(step.Item, last)
	}
	return step
}

func isContact(item string) bool { return item == "stop" || item == "closing" }

func approach(word string) sheet.Approach {
	if word == "backward" {
		return sheet.Backward
	}
	return sheet.Forward
}

// aroundStop is how far it is from one contact to the other, the long way.
func (s State) aroundStop(step Step) geometry.Angle {
	found := s.found()
	if found == nil || step.Rests == step.Approach {
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

// toLine is about how far the engine has to be turned the way it runs to a line,
// from where it was read last.
func (s State) toLine(name string, last *readings.Row) geometry.Angle {
	found := s.found()
	if found == nil || last == nil {
		return 0
	}
	var from geometry.Angle
	if isContact(last.Item) {
		if from = found.HalfArc; approach(last.Approach) == sheet.Forward {
			from = -from
		}
	} else {
		from = s.Place(last.Item)
	}
	return (s.Place(name) - from).Turn()
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

// unpaired is the index of the contact that waits for its partner, or -1.
func (s State) unpaired() int {
	last := -1
	for i, r := range s.rows {
		if r.Setup != s.setup || !isContact(r.Item) || r.Struck != "" {
			continue
		}
		partner := slices.ContainsFunc(s.rows, func(o readings.Row) bool {
			return o.Setup == r.Setup && o.Item == r.Item && o.Trial == r.Trial && o.Approach != r.Approach
		})
		if !partner {
			last = i
		}
	}
	return last
}

// Waits reports whether a contact waits for the other one of its pair, so that
// the latest reading tells nothing yet.
func (s State) Waits() bool { return s.unpaired() >= 0 }

// usable counts the pairs of the current setup that can be used.
func (s State) usable() int {
	sides := map[string]int{}
	struck := map[string]bool{}
	for _, r := range s.inSetup() {
		if r.Item == "stop" {
			sides[r.Trial]++
			struck[r.Trial] = struck[r.Trial] || r.Struck != ""
		}
	}
	n := 0
	for trial, k := range sides {
		if k == 2 && !struck[trial] {
			n++
		}
	}
	return n
}

// closing reports which contacts of the closing pair are there.
func (s State) closing() (there [2]bool) {
	for _, r := range s.inSetup() {
		if r.Item == "closing" {
			there[approach(r.Approach)-1] = true
		}
	}
	return there
}

// timesRead counts the readings of a line in the current setup that can be used.
func (s State) timesRead(name string) int {
	n := 0
	for _, r := range s.inSetup() {
		if r.Item == name && r.Struck == "" {
			n++
		}
	}
	return n
}

// wanted is what should be read next, without regard to where the stop is.
func (s State) wanted() Step {
	if open := s.unpaired(); open >= 0 {
		r := s.rows[open]
		return Step{Item: r.Item, Trial: r.Trial, Approach: sheet.Forward + sheet.Backward - approach(r.Approach), Number: s.usable() + 1}
	}
	if c := s.chosen; c.item != "" {
		return s.ask(c.item, c.approach)
	}
	marked := slices.ContainsFunc(s.inSetup(), func(r readings.Row) bool { return !isContact(r.Item) })
	if pairs := s.usable(); !marked && (pairs < leastPairs || pairs < mostPairs && s.stop != Out && s.unsure()) {
		return s.ask("stop", 0)
	}
	if s.usable() == 0 {
		return Step{} // lines without a pair: a new setup
	}
	closing := s.closing()
	if !closing[0] && !closing[1] {
		if line := s.nextLine(); line != "" {
			return s.ask(line, 0)
		}
		if marked && !slices.Contains(s.skipped, "closing") {
			return s.ask("closing", 0)
		}
	}
	return Step{}
}

// ask completes what is to be read.
func (s State) ask(item string, way sheet.Approach) Step {
	step := Step{Item: item, Approach: way}
	if way == 0 {
		step.Approach = sheet.Forward
	}
	switch item {
	case "stop":
		most := 0
		for _, r := range s.inSetup() {
			if r.Item == "stop" {
				n, err := strconv.Atoi(r.Trial)
				if err != nil {
					n = most // a name: one number further is taken below
				}
				most = max(most, n)
			}
		}
		step.Trial, step.Number = s.freeTrial(most+1), s.usable()+1
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

func (s State) freeTrial(n int) string {
	for ; ; n++ {
		name := strconv.Itoa(n)
		if !slices.ContainsFunc(s.inSetup(), func(r readings.Row) bool { return r.Item == "stop" && r.Trial == name }) {
			return name
		}
	}
}

// unsure reports whether a further pair would help: TDC alone takes a good part
// of the smallest tolerance.
func (s State) unsure() bool {
	least := geometry.Angle(math.Inf(1))
	for _, m := range s.view.Sheet.Marks {
		early, late := m.Allowed()
		least = min(least, early, late)
	}
	return s.view.TDC > least/worthPair
}

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
		start = found.HalfArc
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
