package guide

import (
	"errors"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Question is asked where no reading can tell.
type Question uint8

// Touched: has anything been moved, taken off or zeroed since the last reading?
// WhereStop: is the stop in or out? WhereBTDC: on which side of the TDC line do
// the BTDC lines lie? QuarterFrom and QuarterTo: what does the readout show
// before and after a quarter turn the way the engine runs?
const (
	NoQuestion Question = iota
	Touched
	WhereStop
	WhereBTDC
	QuarterFrom
	QuarterTo
)

// Answers lists the words that answer a question; none where a reading does.
func (q Question) Answers() []string {
	switch q {
	case Touched:
		return []string{"yes", "no"}
	case WhereStop:
		return []string{"in", "out"}
	case WhereBTDC:
		return []string{geometry.Clockwise.String(), geometry.Anticlockwise.String()}
	}
	return nil
}

func (s State) question() Question {
	if len(s.questions) == 0 {
		return NoQuestion
	}
	return s.questions[0]
}

// answer takes what was said to a question.
func (s *State) answer(q Question, e Event) (Change, error) {
	rest := s.questions[1:]
	if e.Kind == Skip {
		switch q {
		case Touched, WhereStop:
			return Change{}, refuse("this question cannot be skipped", "look, and answer "+strings.Join(q.Answers(), " or "))
		case QuarterFrom:
			rest = rest[1:] // no second without the first
		}
		s.questions = rest
		return Change{}, nil
	}
	words := q.Answers()
	if e.Kind == Read && words != nil {
		return Change{}, refuse("that was a question, and the reading is not kept", "answer "+strings.Join(words, " or "))
	}
	said := strings.ToLower(e.Text)
	switch {
	case q == Touched && said == "yes":
		s.questions = rest
		return s.bumped()
	case q == Touched && said == "no":
	case q == WhereStop && said == "in":
		s.stop = In
	case q == WhereStop && said == "out":
		s.stop = Out
	case q == WhereBTDC && (said == words[0] || said == words[1]):
		text, err := s.write("part", "btdc_lines: "+said)
		if err != nil {
			return Change{}, err
		}
		s.text, s.questions = text, rest
		return Change{Sheet: text}, nil
	case q == QuarterFrom:
		if _, _, err := geometry.ParseAngle(decimal(e.Text)); err != nil && s.view.Sheet.Readout.Kind != sheet.Rim {
			return Change{}, err
		}
		s.quarter = decimal(e.Text)
	case q == QuarterTo:
		text, err := s.quarterTurn(s.quarter, decimal(e.Text))
		var refused *geometry.Refusal
		if errors.As(err, &refused) {
			return Change{}, refuse(refused.Text, "`undo` goes back to the first of the two, `skip` leaves the question; if the sheet is wrong, stop here and mend it")
		}
		s.text, s.questions = text, rest
		return Change{Sheet: text}, nil
	default:
		return Change{}, refuse("found "+inputerror.Visible(e.Text)+", expected "+strings.Join(words, " or "), "")
	}
	s.questions = rest
	return Change{}, nil
}

func (s State) quarterTurn(from, to string) ([]byte, error) {
	for _, text := range []string{from, to} {
		if strings.ContainsAny(text, ",[]{}#'\"\n") || text == "" {
			return nil, refuse("found "+inputerror.Visible(text)+", expected one reading", "")
		}
	}
	return s.write("readout", "quarter_turn: ["+from+", "+to+"]")
}

// write adds a line to a table of the sheet, and refuses what then contradicts
// the rest.
func (s State) write(table, line string) ([]byte, error) {
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
