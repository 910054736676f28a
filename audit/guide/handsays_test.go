package guide

import (
	"io/fs"
	"slices"

	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
)

// reply answers as things are.
func (h *hand) reply(step Step, half bool) bool {
	answer := func(text string) {
		if !half && !h.say(Event{Kind: Answer, Text: text, Sure: h.rng.IntN(2) == 0}) {
			h.fault("%s is refused for question %d", text, step.Question)
		}
	}
	yes := func(is bool) {
		if is {
			answer("yes")
		} else {
			answer("no")
		}
	}
	switch step.Question {
	case Touched:
		// A stop that came out is fitted anew by the guide; here counts what
		// happened without it.
		n := len(h.rows)
		yes(n > 0 && (h.m.mounting != h.rows[n-1].mounting || h.m.in && h.m.seat != h.rows[n-1].seat))
	case WhereStop:
		h.slipped = false
		in := h.m.in
		if (!in || !h.lastLook()) && !half && h.lie() {
			in, h.lied = !in, true
		}
		if in {
			answer("in")
		} else {
			answer("out")
		}
	case LookedAgain:
		yes(true)
	case HoleEmpty:
		if h.m.in && !h.lastLook() && !half && (h.lied || h.lie()) {
			h.lied = true
			yes(true)
			break
		}
		yes(!h.m.in)
	case LastLook:
		yes(!h.m.in)
	case WhereBTDC:
		answer("clockwise")
	case QuarterFrom, QuarterTo:
		if h.m.in && !h.lied {
			h.fault("asked for a quarter turn with the stop in")
		}
		if step.Question == QuarterTo {
			if h.turn(sheet.Forward, h.m.crank+90) {
				h.onto(half, "told to make a quarter turn with the stop in")
				return false
			}
		}
		if !half && !h.say(Event{Kind: Read, Text: h.shows()}) {
			h.fault("the quarter turn is refused: %s", h.log[len(h.log)-1])
		}
	case Where:
		is := h.rests()
		if !half && h.lie() {
			h.lied = true
			answer([]string{With, Against, Both}[h.rng.IntN(3)])
			return false
		}
		if !h.m.in { // the finger slipped: nothing rests, and the hole is empty
			h.slipped = true
			if !half {
				h.say(Event{Kind: StopOut, Sure: true})
			}
			return false
		}
		if step.Item != "" && is == at(step.Approach) && h.rng.IntN(3) == 0 && !half {
			h.read(step)
			return false
		}
		switch is {
		case AtForward:
			answer(Against)
		case AtBackward:
			answer(With)
		default:
			answer(Both)
		}
	case Valves, TurnBack:
		said := h.answers[step.Question]
		if said == "" {
			said = Yes
		}
		answer(string(said))
	case HowDeep:
		answer("8 mm")
	case NextCylinder:
		answer("yes")
	default:
		h.t.Fatalf("nobody told the hand of question %d", step.Question)
	}
	return false
}

// happens lets something happen at a step, perhaps half way through it.
func (h *hand) happens() {
	if !h.moved && h.rng.IntN(2) == 0 {
		h.obey(true)
	}
	open := h.s.View().Step.Kind == Ask
	if h.lies && !h.m.in && h.s.stop == Out && !h.moved && !h.lastLook() && h.s.View().Step.Question != QuarterTo && h.rng.IntN(10) == 0 {
		h.told, h.lied = h.told+1, true // fitted with the piston down, without a word
		h.turnTo(h.tdc(h.s.View().Cylinder) + 180)
		h.fit()
		return
	}
	switch h.rng.IntN(10) {
	case 0, 1:
		h.say(Event{Kind: Undo})
	case 2: // the wheel is knocked, and that is said
		q := h.s.View().Step.Question
		if open && (q == Touched || q == WhereStop || q == HoleEmpty || q == QuarterFrom || q == QuarterTo) {
			return
		}
		h.m.zero, h.m.mounting = h.m.zero+float64(h.rng.IntN(300)), h.m.mounting+1
		if h.s.view.Sheet.Readout.BothWays {
			h.m.zero = 0
		}
		what := []string{"", Knocked, Off, Turned}[h.rng.IntN(4)]
		if !h.say(Event{Kind: Bumped, Text: what}) {
			h.fault("%s is refused", what)
		}
	case 3:
		if n := len(h.s.Rows()); n > 0 {
			h.say(Event{Kind: Strike, Row: 1 + h.rng.IntN(n), Text: "wrong"})
		}
	case 4, 5:
		h.restart()
	case 6: // a wrong tap
		if h.m.in {
			h.say(Event{Kind: StopOut})
		} else {
			h.slipped = h.say(Event{Kind: StopIn}) || h.slipped
		}
	case 7:
		items := []string{"stop", "closing"}
		for _, m := range h.s.view.Sheet.Marks {
			items = append(items, m.Name)
		}
		h.say(Event{Kind: Choose, Item: items[h.rng.IntN(len(items))], Sure: !h.moved && !h.lies}) // sure that nothing was turned
	case 8:
		if h.s.View().Step.Question != WhereBTDC {
			h.say(Event{Kind: Skip})
		}
	case 9:
		if q := h.s.View().Step.Question; h.m.in && (!open || q == Where) {
			h.moved = false
			h.fit() // taken out and fitted anew with the piston down
			h.turnTo(h.tdc(h.m.cylinder) + 180)
			h.say(Event{Kind: Bumped, Text: Refitted})
		}
	}
}

// restart kills the program and starts it again, sometimes without its journal.
func (h *hand) restart() {
	memory := h.s.Memory()
	if h.rng.IntN(4) == 0 {
		memory = Memory{}
	}
	rows := slices.Clone(h.s.Rows())
	h.log = append(h.log, "restart "+where(h.s))
	s, err := New("mill.yaml", []byte(h.text), opened(rows), memory)
	if err != nil {
		h.t.Fatalf("after a restart: %v", err)
	}
	h.s, h.slipped, h.moved = s, false, false
	h.see()
}

func opened(rows []readings.Row) sheet.Open {
	return func(string) ([]byte, error) {
		if len(rows) == 0 {
			return nil, fs.ErrNotExist
		}
		return readings.Write(rows), nil
	}
}
