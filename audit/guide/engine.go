package guide

import (
	"slices"

	"markaudit/audit/internal/enum"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
)

// Stop says where the stop is.
type Stop uint8

// Unsaid: nobody has said so since the recorder was started, or what was said no
// longer counts.
const (
	Unsaid Stop = iota
	In
	Out
)

var stopWords = []string{"not said", "in", "out"}

func (s Stop) String() string { return enum.Word(stopWords, s) }

// Position is where the piston stands while the stop is in.
type Position uint8

// Unknown: it has to be asked. AtForward, AtBackward: it rests against the stop,
// come to the way the engine runs, or against that. Clear: it touches nothing.
const (
	Unknown Position = iota
	AtForward
	AtBackward
	Clear
)

// at is the contact that an approach leads to.
func at(way sheet.Approach) Position {
	if way == sheet.Backward {
		return AtBackward
	}
	return AtForward
}

// approach is the way by which the contact was reached; zero where the piston
// rests on none.
func (p Position) approach() sheet.Approach {
	switch p {
	case AtForward:
		return sheet.Forward
	case AtBackward:
		return sheet.Backward
	}
	return 0
}

// Said is an answer to a question about the engine that no reading tells.
type Said string

// What can be said. The zero value: nobody was asked yet.
const (
	Yes    Said = "yes"
	No     Said = "no"
	Unsure Said = "unsure"
)

// world is what holds of the engine whatever the rows are. Undo never brings it
// back: the hand has moved meanwhile.
type world struct {
	stop     Stop
	at       Position
	sits     string // the cylinder in which the stop is, while it is in
	seat     int    // which fitting of the stop this is; it only grows
	low      bool   // the piston is well down, as somebody said
	confirm  bool   // "out" was said and is not confirmed yet
	empty    bool   // at the end somebody has looked, and the hole is empty
	touched  bool   // it has to be asked whether the readout was moved
	stands   place  // where the engine stands, with the stop out
	valves   Said   // do they clear the stop
	toldOut  bool   // before this sitting the stop was said to be out
	backward Said   // may the engine be turned backward
}

// place is what was read last, if the engine still stands there.
type place struct {
	item     string // empty: not known
	approach sheet.Approach
}

// method is how TDC can be found on this engine. A stop that the valves may meet,
// and turning back where the maker forbids it, are out of the question.
func (w world) method() sheet.Method {
	switch {
	case w.oneWay():
		return sheet.Sweep
	case w.valves == No || w.valves == Unsure:
		return sheet.EqualDrop
	}
	return sheet.Stop
}

// oneWay reports that the engine may not be turned backward, or that whoever was asked
// does not know.
func (w world) oneWay() bool { return w.backward == No || w.backward == Unsure }

// unsay forgets a word about the stop or the piston.
func (w *world) unsay(k Kind) {
	switch k {
	case Down:
		w.low = false
	case Stuck:
		w.at = Unknown
	default:
		w.confirm = false
		w.stop, w.at, w.empty = Unsaid, Unknown, false
	}
}

// forget takes what an instruction on the screen may have changed for unknown: the
// hand may have done half of it.
func (s *State) forget(step Step) Change {
	s.stands = place{}
	switch step.Kind {
	case Take, Lower:
		s.at, s.low = Unknown, false
	case Fit, TakeOut:
		s.stop, s.at = Unsaid, Unknown
		s.seat++
		return s.void("stop perhaps moved before the other contact")
	case Ask:
		if step.Question == QuarterTo {
			s.quarter = "" // it may have been turned already
		}
	}
	return Change{}
}

// void strikes a contact that waits for its partner, which can no longer come from
// the same stop and the same zero. It is never unstruck.
func (s *State) void(reason string) Change {
	open := s.unpaired()
	if open < 0 {
		return Change{}
	}
	s.rows = slices.Clone(s.rows)
	s.rows[open].Struck = reason
	return Change{Rows: true}
}

// stuck takes it that the engine does not move the way that was asked for. On the way
// from one contact to the other it rests at the one that was wanted. Where it was to be
// eased off it may rest at the other, and where no stop should be it may meet one: then
// what was said before is forgotten, and asked.
func (s *State) stuck(step Step) error {
	turns := step.Kind == Take || step.Kind == Lower || step.Kind == Ask && step.Question == QuarterTo
	switch contact := isContact(step.Item); {
	case s.onDial():
		return refuse("with a dial in the hole there is no stop to meet, so something else holds the engine", "do not force it: find what holds it, and go on when it turns freely")
	case !turns && step.Kind != TakeOut:
		return refuse("nobody was asked to turn towards or away from a stop", "where the engine will not turn, find out why before anything else; `out` says that the stop is out")
	case step.Kind == TakeOut, step.Kind == Take && contact && step.Rests == step.Approach:
		s.at = Unknown
	case step.Kind == Take && contact:
		s.at = at(step.Approach)
	default:
		s.stop, s.at, s.quarter, s.stands = Unsaid, Unknown, "", place{}
		s.toldOut = true // if one is in, nobody has said when it was fitted
	}
	return nil
}

// stopIn takes it that the stop is in.
func (s *State) stopIn(step Step) {
	was, mistaken := s.stop, s.confirm && s.stop == In
	s.stop, s.low, s.empty, s.confirm = In, false, false, false
	switch {
	case mistaken: // "out" was a slip of the finger: nothing was loosened
		s.at = Unknown
	case step.Kind == Fit:
		s.seat++
		s.at = Clear
	case was == Out:
		s.seat++
		s.at = Unknown
	case was == Unsaid:
		s.at = Unknown
		if s.toldOut {
			s.seat++ // it was out when the sitting before ended
		}
	}
	s.toldOut = false
	if was != In {
		s.sits = s.cylinder
	}
}

// stopOut takes it that the stop is out.
func (s *State) stopOut() Change {
	if rests := s.at.approach(); s.stop == In && rests != 0 {
		s.stands = place{"stop", rests}
	}
	s.stop, s.at, s.low, s.confirm, s.sits, s.toldOut = Out, Unknown, false, false, "", false
	change := s.void("stop taken out before the other contact")
	s.empty = s.wanted().Item == ""
	return change
}

// sameMounting begins a setup for another fitting of the stop, with the readout as
// it is: a setup is one fitting. Its rows share the name of a mounting with those
// before.
func (s *State) sameMounting(cylinder string) Change {
	change := s.label(func(r *readings.Row) *string { return &r.Mounting }, &s.mounting)
	s.begin()
	s.fitting, s.cylinder = "", cylinder
	return change
}

// label gives the rows of the current setup a name for what the next one shares
// with it.
func (s *State) label(of func(*readings.Row) *string, to *string) Change {
	if *to != "" {
		return Change{}
	}
	taken := map[string]bool{} // only looked up
	for i := range s.rows {
		taken[*of(&s.rows[i])] = true
	}
	for name := 'A'; *to == ""; name++ {
		if !taken[string(name)] {
			*to = string(name)
		}
	}
	if len(s.inSetup()) == 0 {
		return Change{}
	}
	s.rows = slices.Clone(s.rows)
	for i := range s.rows {
		if s.rows[i].Setup == s.setup {
			*of(&s.rows[i]) = *to
		}
	}
	return Change{Rows: true}
}
