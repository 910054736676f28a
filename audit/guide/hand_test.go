package guide

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"markaudit/audit/sheet"
)

// The obedient hand does exactly what the guide says, before or half way through
// which something happens; the judge knows where crank and stop really are. The
// hand answers truthfully what it is asked, but its finger slips: it taps out
// while the stop is in, or in while it is out, and mistypes numbers.

// engine is what is really there.
type engineModel struct {
	crank    float64 // degrees after TDC of the reference cylinder
	in       bool
	cylinder string  // in which the stop is
	half     float64 // arc that it blocks, half of it
	seat     int
	zero     float64 // of the readout
	mounting int     // counts every change of zero
}

// since returns the crank against TDC of a cylinder, -180 to 180.
func (m engineModel) since(tdc float64) float64 { return math.Remainder(m.crank-tdc, 360) }

// truth is what a row was really taken from.
type truth struct{ seat, mounting int }

type hand struct {
	t       *testing.T
	rng     *rand.Rand
	s       State
	m       engineModel
	rows    []truth
	events  float64           // the chance that something happens at a step
	answers map[Question]Said // of the engine: valves, turning back
	mutate  func(before, after *State, e Event)
	faults  []string
	steps   int
	slipped bool // a wrong tap is not mended yet
	lies    bool // some answers on the state of stop and piston are false
	lied    bool // what the guide believes is false, for an answer was
	told    int  // false answers
	harmed  int  // instructions onto the stop after one
	typo    bool // a number was mistyped, so the arc of the stop may be wrong
	moved   bool // the step at hand was obeyed already, but for its answer
	log     []string
	text    string
}

func (h *hand) fault(format string, args ...any) {
	h.faults = append(h.faults, fmt.Sprintf(format, args...))
}

func (h *hand) say(e Event) bool {
	before := h.s
	next, change, err := h.s.Apply(e)
	h.moved = h.moved && err != nil // the same step stands there still
	h.log = append(h.log, fmt.Sprintf("%d %s %s: %v", e.Kind, e.Text, where(h.s), err))
	if err != nil {
		return false
	}
	if h.mutate != nil {
		h.mutate(&before, &next, e)
	}
	h.s = next
	h.see()
	if change.Sheet != nil {
		h.text = string(change.Sheet)
	}
	switch n := len(next.Rows()); {
	case change.Add != nil:
		h.rows = append(h.rows, truth{h.m.seat, h.m.mounting})
	case n < len(h.rows):
		h.rows = h.rows[:n]
	}
	h.judgeRows()
	return true
}

// see looks whether a false answer is mended: the guide knows that it does not know, or
// believes what is so.
func (h *hand) see() {
	stop := h.s.stop == Unsaid || (h.s.stop == In) == h.m.in
	piston := h.s.stop != In || h.s.at == Unknown || h.s.at == h.rests()
	h.lied = h.lied && !(stop && piston)
}

// lies gives a false answer in a quarter of the cases, in place of a true one.
func (h *hand) lie() bool {
	if !h.lies || h.steps >= 200 || h.rng.IntN(4) != 0 {
		return false
	}
	h.told++
	return true
}

// lastLook reports whether "out" is the last that is said of the stop: only the person
// can look.
func (h *hand) lastLook() bool {
	without := h.s
	without.void("stop taken out")
	without.stop = Out
	return without.wanted().Item == ""
}

// onto is told to press the piston onto the stop. A false answer does that, and nobody
// can prevent it; but that the engine does not move then mends it, in one tap.
func (h *hand) onto(half bool, format string, args ...any) {
	if !h.lied {
		h.fault(format, args...)
		return
	}
	h.moved = false
	if half {
		return
	}
	h.harmed++
	if !h.say(Event{Kind: Stuck}) {
		h.fault("it does not move, and that is refused: %s", h.log[len(h.log)-1])
	} else if h.lied {
		h.fault("it does not move, and the guide goes on believing what is false: %s", where(h.s))
	}
}

// turn moves the crank one way to a place, and reports whether the stop holds it on
// the way.
func (h *hand) turn(way sheet.Approach, to float64) (held bool) {
	sense := 1.0
	if way == sheet.Backward {
		sense = -1
	}
	far := ahead(sense * (to - h.m.crank))
	if h.m.in {
		contact := h.tdc(h.m.cylinder) - sense*h.m.half
		if free := ahead(sense * (contact - h.m.crank)); far > free+0.01 {
			h.turnTo(contact)
			return true
		}
	}
	h.turnTo(to)
	return false
}

// ahead is an angle as a way to turn: 0 to a turn, and a hair behind is 0.
func ahead(x float64) float64 {
	x = math.Mod(math.Mod(x, 360)+360, 360)
	if x > 359.99 {
		return 0
	}
	return x
}

// judgeRows looks for a pair of two fittings or two zeros, and for a setup of two.
func (h *hand) judgeRows() {
	rows := h.s.Rows()
	pairs, setups := map[string]truth{}, map[string]truth{}
	mountings := map[string]int{}
	for i, r := range rows {
		if r.Struck != "" {
			continue
		}
		is := h.rows[i]
		name := r.Mounting
		if name == "" {
			name = "setup " + r.Setup
		}
		if was, ok := mountings[name]; ok && was != is.mounting {
			h.fault("row %d has another zero than its mounting %s", i+1, name)
		}
		mountings[name] = is.mounting
		if !isContact(r.Item) {
			continue
		}
		key := r.Setup + "/" + r.Item + "/" + r.Trial
		if was, ok := pairs[key]; ok && was != is {
			h.fault("row %d is a pair of two fittings or zeros", i+1)
		}
		pairs[key] = is
		if r.Item == "stop" {
			if was, ok := setups[r.Setup]; ok && was != is {
				h.fault("row %d is of another fitting than its setup", i+1)
			}
			setups[r.Setup] = is
		}
	}
}

func (h *hand) tdc(cylinder string) float64 {
	return h.s.view.Sheet.Engine.Declared(h.s.view.Sheet.Engine.Cylinder(cylinder)).Degrees()
}

// rests is the contact at which the piston really rests.
func (h *hand) rests() Position {
	if !h.m.in {
		return Unknown
	}
	switch x := h.m.since(h.tdc(h.m.cylinder)); {
	case math.Abs(x+h.m.half) < 0.01:
		return AtForward
	case math.Abs(x-h.m.half) < 0.01:
		return AtBackward
	}
	return Clear
}

// turnTo moves the crank, which the judge watches.
func (h *hand) turnTo(crank float64) { h.m.crank = crank }

// shows is the number on the readout, as the sheet has it written.
func (h *hand) shows() string {
	step := 0.5
	x := math.Round((h.m.crank+h.m.zero+h.rng.Float64()*0.4-0.2)/step) * step
	o := h.s.view.Sheet.Readout
	switch {
	case o.Kind == sheet.Rim: // on a rim of 360 mm round: a millimetre a degree
		return strconv.FormatFloat(math.Mod(math.Mod(x, 360)+360, 360), 'f', -1, 64) + " mm"
	case o.BothWays:
		x = math.Remainder(x, 360)
		if x == 0 || math.Abs(x) == 180 {
			return strconv.FormatFloat(math.Abs(x), 'f', -1, 64)
		}
		if x < 0 {
			return strconv.FormatFloat(-x, 'f', -1, 64) + " BTDC"
		}
		return strconv.FormatFloat(x, 'f', -1, 64) + " ATDC"
	}
	x = math.Mod(math.Mod(float64(o.Counts)*x, 360)+360, 360)
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// obey does what the step says; with half it stops before the answer. It reports
// whether the job is at its end.
func (h *hand) obey(half bool) bool {
	step := h.s.View().Step
	if h.moved && !half {
		return h.finish(step)
	}
	h.moved = half
	switch step.Kind {
	case Ask:
		return h.reply(step, half)
	case Lower:
		if h.m.in && !h.lied {
			h.fault("told to turn %s past the stop that is in", where(h.s))
		}
		if h.turn(sheet.Forward, h.tdc(h.s.View().Cylinder)+180+h.rng.Float64()*80-40) {
			h.onto(half, "told to turn past the stop that is in")
			return false
		}
		if !half {
			h.say(Event{Kind: Down})
		}
	case Fit:
		if h.m.in && !h.lied {
			h.fault("told to fit a stop that is in")
		}
		if x := math.Abs(h.m.since(h.tdc(h.s.View().Cylinder))); x < 90 {
			h.fault("told to fit the stop with the piston %0.f degrees from its top", x)
		}
		if !h.m.in { // else there is nothing to fit, and it is locked as it is
			h.fit()
		}
		if !half {
			h.say(Event{Kind: StopIn})
		}
	case TakeOut:
		if is := h.rests(); h.lied && (step.Rests == sheet.Forward && is == AtBackward || step.Rests == sheet.Backward && is == AtForward) {
			h.onto(half, "told to ease off onto the stop")
			return false
		}
		if h.m.in {
			h.easeOff(step.Rests)
		}
		h.m.in = false
		if !half && !h.say(Event{Kind: StopOut, Sure: h.rng.IntN(2) == 0}) {
			h.fault("the stop is out and that is refused")
		}
	case Take:
		h.take(step, half)
	case Decide:
		if h.m.in {
			h.fault("the job ends with the stop in and nobody is told")
		}
		return true
	}
	return false
}

// finish gives the answer to a step that was obeyed already.
func (h *hand) finish(step Step) bool {
	h.moved = false
	switch step.Kind {
	case Lower:
		h.say(Event{Kind: Down})
	case Fit:
		h.say(Event{Kind: StopIn})
	case TakeOut:
		h.say(Event{Kind: StopOut, Sure: true})
	case Take:
		h.read(step)
	case Ask:
		if step.Question == QuarterTo {
			if !h.say(Event{Kind: Read, Text: h.shows()}) {
				h.fault("the quarter turn is refused: %s", h.log[len(h.log)-1])
			}
			return false
		}
		return h.reply(step, false)
	default:
		return h.obey(false)
	}
	return false
}

func (h *hand) fit() {
	h.m.in, h.m.cylinder, h.m.half = true, h.s.View().Cylinder, 18+h.rng.Float64()*12
	h.m.seat++
}

func (h *hand) easeOff(rests sheet.Approach) {
	is := h.rests()
	if rests == sheet.Forward && is == AtBackward || rests == sheet.Backward && is == AtForward {
		h.fault("told to ease off onto the stop")
	}
	if rests == 0 && is != Clear && !h.lied {
		h.fault("told that the piston is off the stop while it rests on it")
	}
	if is == AtForward {
		h.turnTo(h.m.crank - 5)
	} else if is == AtBackward {
		h.turnTo(h.m.crank + 5)
	}
}

func (h *hand) take(step Step, half bool) {
	if !isContact(step.Item) {
		if h.m.in && !h.lied {
			h.fault("told to turn to %s with the stop in", step.Item)
		}
		to := h.s.Place(step.Item).Degrees()
		switch {
		case step.Item == "drop" && step.Side == "before":
			to = -30
		case step.Item == "drop":
			to = 30
		case step.Item == "sweep":
			to = -40 + 8*float64(step.Number)
		}
		if h.turn(sheet.Forward, to) {
			h.onto(half, "told to turn to %s with the stop in", step.Item)
			return
		}
	} else {
		tdc := h.tdc(h.m.cylinder)
		if h.m.in {
			is, to := h.rests(), at(step.Approach)
			if is == to && step.Rests != step.Approach {
				h.onto(half, "told to turn onto the stop it rests on: %s", where(h.s))
				return
			}
			if step.Rests == step.Approach && is != to && is != Clear {
				h.onto(half, "told to ease off onto the stop")
				return
			}
			h.judgeTravel(step, tdc)
		} else if h.lied { // turned once round, and nothing was met
			if !half {
				h.say(Event{Kind: StopOut, Sure: true})
			}
			return
		} else if !h.slipped {
			h.fault("told to turn to a stop that is out")
		}
		if step.Approach == sheet.Forward {
			h.turnTo(tdc - h.m.half)
		} else {
			h.turnTo(tdc + h.m.half)
		}
	}
	if half {
		return
	}
	h.read(step)
}

// judgeTravel holds how far the hand is told to turn against how far it really is:
// "met much sooner" is said to be a valve.
func (h *hand) judgeTravel(step Step, tdc float64) {
	if step.Turn == 0 || h.typo || h.lies {
		return
	}
	way := 1.0
	if step.Approach == sheet.Backward {
		way = -1
	}
	is := math.Mod(way*(tdc-way*h.m.half-h.m.crank)+720, 360)
	if math.Abs(is-step.Turn.Degrees()) > 5 {
		h.fault("told to turn about %.0f degrees to the stop, which it meets after %.0f", step.Turn.Degrees(), is)
	}
}

func (h *hand) read(step Step) {
	if is := h.rests(); isContact(step.Item) && h.m.in && is != at(step.Approach) {
		h.fault("the number of another contact is taken for %s", where(h.s))
	}
	e := Event{Kind: Read, Text: h.shows()}
	if step.Item == "sweep" {
		// Heights of a crank of 92 mm stroke and a rod of 152 mm, near enough.
		x := h.m.since(0) * math.Pi / 180
		e.Height = strconv.FormatFloat(10-46*(1-math.Cos(x))*1.3, 'f', 2, 64) + " mm"
	}
	if h.rng.Float64() < h.events/8 && h.steps < 200 { // a slip of the finger
		e.Text, h.typo = strconv.Itoa(h.rng.IntN(360)), true
	}
	if !h.say(e) { // the reader refuses: the last one was mistyped, or this one
		e.Text = h.shows()
		if rows := h.s.Rows(); !h.say(e) && h.s.Waits() { // then the one before was mistyped
			h.say(Event{Kind: Strike, Row: len(rows), Text: "mistyped"})
		}
	}
}
