package guide

import (
	"errors"
	"slices"
	"strings"

	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// Question is asked where no reading can tell.
type Question uint8

// Touched: has anything been moved, taken off or zeroed since the last reading?
// WhereStop: is the stop in or out? WhereBTDC: on which side of the TDC line do
// the BTDC lines lie? QuarterFrom and QuarterTo: what does the readout show
// before and after a quarter turn the way the engine runs? HoleEmpty: the stop was
// said to be out; is the hole empty? LastLook: the same, at the end. Where: which
// way does the engine turn freely, that is, at which contact does the piston rest?
// Valves: do they clear the stop, at overlap too? TurnBack: may this engine be
// turned backward? Stroke, Rod: lengths that a drop or a sweep cannot do without.
// HowDeep: how far below its top the piston stands at a drop. NextCylinder: the
// stop goes to another cylinder; was the readout left alone? LookedAgain: a mistake
// on the sheet would explain the readings as well; was that looked at again, and
// is it as written? FurtherOn: what does a dial show a few degrees further on than at
// the line just read?
const (
	NoQuestion Question = iota
	Touched
	WhereStop
	WhereBTDC
	QuarterFrom
	QuarterTo
	HoleEmpty
	LastLook
	Where
	Valves
	TurnBack
	Stroke
	Rod
	HowDeep
	NextCylinder
	LookedAgain
	FurtherOn
)

// What answers Where: the engine turns freely only the way it runs, only against
// that, both ways, or neither way.
const (
	With    = "with"
	Against = "against"
	Both    = "both"
	Neither = "neither"
)

// Answers lists the words that answer a question; none where a reading or a length
// does.
func (q Question) Answers() []string {
	switch q {
	case Touched, HoleEmpty, LastLook, NextCylinder, LookedAgain:
		return []string{string(Yes), string(No)}
	case Valves, TurnBack:
		return []string{string(Yes), string(No), string(Unsure)}
	case WhereStop:
		return []string{"in", "out"}
	case WhereBTDC:
		return []string{geometry.Clockwise.String(), geometry.Anticlockwise.String()}
	case Where:
		return []string{With, Against, Both, Neither}
	}
	return nil
}

// Reads reports whether a number or a length answers the question.
func (q Question) Reads() bool { return q != NoQuestion && q.Answers() == nil }

// CanSkip reports whether the question may be left open.
func (q Question) CanSkip() bool {
	return q == WhereBTDC || q == QuarterFrom || q == QuarterTo || q == NextCylinder || q == LookedAgain || q == FurtherOn
}

// answerQuestion takes what was said to a question.
func answerQuestion(s *State, step Step, e Event) (Change, error) {
	q := step.Question
	before := snapshot(*s, e, step)
	var change Change
	var err error
	if e.Kind == Skip {
		err = skipQuestion(s, q)
	} else {
		change, err = takeWord(s, step, e)
	}
	if err == nil {
		remember(s, before)
	}
	return change, err
}

func skipQuestion(s *State, q Question) error {
	switch q {
	case WhereBTDC:
		s.askBTDC = false
	case QuarterFrom, QuarterTo:
		s.askTurn, s.quarter = false, ""
	case NextCylinder:
		s.declined = append(slices.Clone(s.declined), s.nextCylinder())
	case LookedAgain:
		s.looked = true
	case FurtherOn:
		s.unproven = append(slices.Clone(s.unproven), s.view.Step.Item)
	default:
		if words := q.Answers(); words != nil {
			return refuse("this question cannot be skipped", "look, and answer "+strings.Join(words, " or "))
		}
		return refuse("this question cannot be skipped: TDC cannot be found without it", "pause, and go on when you know")
	}
	return nil
}

func takeWord(s *State, step Step, e Event) (Change, error) {
	q := step.Question
	words := q.Answers()
	if e.Kind == Read && words != nil {
		return Change{}, refuse("that was a question, and the reading is not kept", "answer "+strings.Join(words, " or "))
	}
	said := strings.ToLower(e.Text)
	if words != nil && !slices.Contains(words, said) {
		return Change{}, refuse("found "+inputerror.Visible(e.Text)+", expected "+strings.Join(words, " or "), "")
	}
	switch q {
	case Touched:
		if said == string(Yes) {
			return s.moved(step, Event{Kind: Bumped})
		}
		s.touched = false
	case WhereStop:
		if said == "in" {
			s.stopIn(step)
		} else if e.Sure {
			return s.stopOut(), nil
		} else {
			s.confirm = true
		}
	case HoleEmpty:
		if said == string(No) {
			s.stopIn(step)
			break
		}
		return s.stopOut(), nil
	case LastLook:
		if said == string(No) && s.onDial() {
			return Change{}, refuse("the dial is still in", "take it out, look into the hole, and answer yes")
		}
		if said == string(No) {
			s.stopIn(step)
			break
		}
		s.empty = true
	case Where:
		switch said {
		case With:
			s.at = AtBackward
		case Against:
			s.at = AtForward
		case Both:
			s.at = Clear
		default:
			return Change{}, refuse("a stop cannot hold the piston on both sides, so something else holds the engine", "do not force it: find out what, or take the stop out and say `out`")
		}
	case Valves, TurnBack:
		if q == Valves {
			s.valves = Said(said)
		} else {
			s.backward = Said(said)
			if s.oneWay() && s.chosen.approach == sheet.Backward {
				s.chosen.approach = 0 // chosen before anybody asked
			}
		}
		if s.method() != sheet.Stop && slices.ContainsFunc(s.inSetup(), func(r readings.Row) bool { return isContact(r.Item) }) {
			return s.sameMounting(s.cylinder), nil // contacts were taken before anybody asked
		}
	case NextCylinder:
		cylinder := s.nextCylinder()
		if said == string(Yes) {
			return s.sameMounting(cylinder), nil
		}
		s.begin()
		s.mounting, s.fitting, s.cylinder = "", "", cylinder
	default:
		return takeTyped(s, q, e)
	}
	return Change{}, nil
}

// takeTyped takes an answer that goes onto the sheet, or a number.
func takeTyped(s *State, q Question, e Event) (Change, error) {
	var text []byte
	var err error
	switch said := strings.ToLower(e.Text); q {
	case WhereBTDC:
		if text, err = writeLine(*s, "part", "btdc_lines: "+said); err == nil {
			s.askBTDC = false
		}
	case LookedAgain:
		word := toLookAt(*s)
		if s.looked = true; said == string(No) {
			return Change{}, nil
		}
		text, err = writeChecked(*s, word)
	case FurtherOn:
		if text, err = proveSide(s, s.view.Step.Item, e.Text); err == nil {
			s.stands = place{}
		}
	case QuarterFrom:
		number := plainNumber(*s, e.Text)
		if _, _, err := geometry.ParseAngle(number); err != nil && s.view.Sheet.Readout.Kind != sheet.Rim {
			return Change{}, err
		}
		s.quarter = number
		return Change{}, nil
	case QuarterTo:
		text, err = writeQuarterTurn(*s, s.quarter, plainNumber(*s, e.Text))
		var refused *geometry.Refusal
		if errors.As(err, &refused) {
			return Change{}, refuse(refused.Text, "`undo` goes back to the first of the two, `skip` leaves the question; if the sheet is wrong, stop here and mend it")
		}
		if err == nil {
			s.askTurn, s.quarter = false, ""
		}
	case Stroke, Rod, HowDeep:
		length := decimal(e.Text)
		if l, _, perr := geometry.ParseLength(length); perr != nil {
			return Change{}, perr
		} else if l <= 0 {
			return Change{}, refuse("found "+inputerror.Visible(length)+", expected a length above zero", "")
		}
		switch q {
		case Stroke:
			text, err = writeLine(*s, "engine", "stroke: "+length)
		case Rod:
			text, err = writeLine(*s, "engine", "rod: "+length)
		default:
			s.height = length
			return Change{}, nil
		}
	}
	if err != nil {
		return Change{}, err
	}
	s.text = text
	return Change{Sheet: text}, nil
}

// toLookAt is what the sheet calls the thing that may be written wrong and has not
// been looked at again; empty where nothing is.
func toLookAt(s State) string {
	if s.looked || s.view.Result == nil {
		return ""
	}
	c := s.view.Sheet.Checked
	for _, e := range s.view.Result.Diagnosis.Standing {
		switch e.Code {
		case diagnosis.Letters:
			if !c.Letters {
				return "letters"
			}
		case diagnosis.Names:
			if !c.Names {
				return "names"
			}
		case diagnosis.StopCylinder, diagnosis.MarkCylinder, diagnosis.BankAngle:
			if !c.Cylinders {
				return "cylinders"
			}
		case diagnosis.Kind:
			if !c.Nominals {
				return "nominals"
			}
		}
	}
	return ""
}

// writeChecked writes on the sheet what was found as written.
func writeChecked(s State, word string) ([]byte, error) {
	line := "checked: [" + word + "]\n"
	text := string(s.text)
	if strings.Contains("\n"+text, "\nchecked:") {
		return nil, refuse("the sheet has a list checked: already", "add "+word+" to it yourself, or skip the question")
	}
	if text != "" && !strings.HasSuffix(text, "\n") {
		line = "\n" + line
	}
	if strings.Contains(text, "\r\n") {
		line = strings.ReplaceAll(line, "\n", "\r\n")
	}
	if _, err := s.read([]byte(text+line), s.rows); err != nil {
		return nil, asRefusal(err)
	}
	return []byte(text + line), nil
}

func writeQuarterTurn(s State, from, to string) ([]byte, error) {
	for _, text := range []string{from, to} {
		if strings.ContainsAny(text, ",[]{}#'\"\n") || text == "" {
			return nil, refuse("found "+inputerror.Visible(text)+", expected one reading", "")
		}
	}
	return writeLine(s, "readout", "quarter_turn: ["+from+", "+to+"]")
}

// writeLine adds a line to a table of the sheet, and refuses what then contradicts
// the rest.
func writeLine(s State, table, line string) ([]byte, error) {
	text, ok := Insert(string(s.text), table, line)
	if !ok {
		return nil, refuse("cannot write into "+table+" of the sheet as it is laid out", "add `"+line+"` there yourself, or skip the question")
	}
	if _, err := s.read([]byte(text), s.rows); err != nil {
		return nil, asRefusal(err)
	}
	return []byte(text), nil
}

// Insert puts a line at the head of a table of a sheet, indented as its other
// lines. It reports false where the table is not laid out line by line.
func Insert(text, table, line string) (string, bool) {
	lines := strings.SplitAfter(text, "\n")
	for i, l := range lines {
		head, _, _ := strings.Cut(l, "#")
		if strings.TrimRight(head, " \t\r\n") != table+":" {
			continue
		}
		for _, next := range lines[i+1:] {
			body := strings.TrimLeft(next, " ")
			indent := next[:len(next)-len(body)]
			if body = strings.TrimSpace(body); body == "" || body[0] == '#' {
				continue
			}
			if indent == "" || !strings.HasSuffix(l, "\n") {
				return "", false
			}
			end := l[len(strings.TrimRight(l, "\r\n")):]
			return strings.Join(lines[:i+1], "") + indent + line + end + strings.Join(lines[i+1:], ""), true
		}
	}
	return "", false
}

// Attach names the readings file on a sheet that names none. Setups of the form,
// which hold no reading, become comments.
func Attach(text, file string) string {
	end := "\n"
	if strings.Contains(text, "\r\n") {
		end = "\r\n"
	}
	var b strings.Builder
	in := false
	for l := range strings.SplitAfterSeq(text, "\n") {
		if l == "" {
			continue
		}
		first := l[0]
		if strings.HasPrefix(l, "setups:") {
			in = true
		} else if first != ' ' && first != '#' && first != '-' && first != '\r' && first != '\n' && first != '\t' {
			in = false
		}
		if in && first != '#' && strings.TrimSpace(l) != "" {
			b.WriteByte('#')
		}
		b.WriteString(l)
	}
	out := b.String()
	if out != "" && !strings.HasSuffix(out, "\n") {
		out += end
	}
	return out + "readings: " + file + end
}
