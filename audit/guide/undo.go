package guide

import (
	"slices"

	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
)

// Undone names what undo takes back.
type Undone struct {
	Kind     Kind
	Row      readings.Row // of Read and Strike
	Text     string       // of the event: a name, an answer, a line
	Question Question     // that was answered
}

// done is an event with what it takes to take it back.
type done struct {
	what   Undone
	before kept
	row    int    // of a strike, from 0
	text   []byte // of the sheet, before
	ask    [2]bool
}

// mostUndo bounds how many events can be taken back.
const mostUndo = 20

func snapshot(s State, e Event, step Step) done {
	d := done{what: Undone{Kind: e.Kind, Text: e.Text}, before: s.kept, row: e.Row - 1, text: s.text, ask: [2]bool{s.askBTDC, s.askTurn}}
	switch e.Kind {
	case Answer, Skip, Read:
		if step.Kind == Ask && (e.Kind != Read || step.Question.Reads()) {
			d.what.Question = step.Question
		}
		if e.Kind == Skip && step.Kind != Ask {
			d.what.Text = step.Item
		}
	case Choose:
		d.what.Text = e.Item
	case Strike:
		if d.row >= 0 && d.row < len(s.rows) {
			d.what.Row = s.rows[d.row]
		}
	}
	return d
}

// remember keeps what undo takes back.
func remember(s *State, d done) {
	if d.what.Kind == Read && d.what.Question == NoQuestion {
		d.what.Row = *s.last()
	}
	s.past = append(slices.Clone(s.past[max(0, len(s.past)+1-mostUndo):]), d)
}

// undoLast takes back what was typed last. What was said of the engine is forgotten
// and asked again: nothing that is typed turns the engine back.
func undoLast(s *State, step Step) (Change, error) {
	if len(s.past) == 0 {
		return Change{}, refuse("nothing was done here yet that could be undone", "a reading from an earlier sitting is struck, with the reason")
	}
	last := s.past[len(s.past)-1]
	s.past = s.past[:len(s.past)-1]
	rows, by := s.rows, s.by
	var change Change
	switch k := last.what.Kind; {
	case k == Read && last.what.Question == NoQuestion:
		s.kept, s.by = last.before, by
		s.rows = rows[: len(rows)-1 : len(rows)-1]
		if taken := rows[len(rows)-1]; isContact(taken.Item) && !s.onDial() { // the engine stands there still
			s.chosen = choice{taken.Item, approachOf(taken.Approach)}
		}
		change.Rows = true
	case k == Strike:
		s.rows = slices.Clone(rows)
		s.rows[last.row].Struck = ""
		change.Rows = true
	case k == Operator:
		s.by = last.before.by
	case k == Bumped, k == NewSetup:
		if len(s.inSetup()) == 0 { // nothing was read in it
			s.kept = last.before
			s.rows, s.by = rows, by
		}
		s.touched = true
	case k == Skip && last.what.Question == NoQuestion, k == Choose:
		s.kept = last.before
		s.rows, s.by = rows, by
	case k == StopIn, k == StopOut, k == Down, k == Stuck:
		s.unsay(k)
	default:
		change = unanswer(s, last, rows)
	}
	return change.and(s.forget(step)), nil
}

// unanswer takes back an answer, and what it wrote on the sheet.
func unanswer(s *State, last done, rows []readings.Row) Change {
	switch last.what.Question {
	case Touched:
		if len(s.inSetup()) == 0 {
			s.kept = last.before
			s.rows = rows
		}
		s.touched = true
	case WhereStop, HoleEmpty, LastLook:
		s.unsay(StopOut)
	case Where:
		s.at = Unknown
	case Valves:
		s.valves = ""
	case TurnBack:
		s.backward = ""
	case LookedAgain:
		s.looked = false
	case HowDeep:
		s.height = last.before.height
	case NextCylinder:
		s.kept = last.before
		s.rows = rows
	}
	s.askBTDC, s.askTurn, s.quarter = last.ask[0], last.ask[1], ""
	if n := len(s.past); last.what.Question == QuarterTo && n > 0 && s.past[n-1].what.Question == QuarterFrom {
		s.past = s.past[:n-1] // the engine stands elsewhere now: both are read again
	}
	if !slices.Equal(s.text, last.text) {
		s.text = last.text
		return Change{Sheet: last.text}
	}
	return Change{}
}

// undoable names what undo takes back next.
func undoable(s State) Undone {
	if len(s.past) == 0 {
		return Undone{}
	}
	return s.past[len(s.past)-1].what
}

// approachOf reads the word of a row.
func approachOf(word string) sheet.Approach {
	if word == sheet.Backward.String() {
		return sheet.Backward
	}
	return sheet.Forward
}
