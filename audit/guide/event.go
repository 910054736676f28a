package guide

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// Kind is what happened.
type Kind uint8

// Read: the readout shows Text. Undo: take back what was done last. Strike: Row
// is not to be trusted, for the reason in Text. Bumped: the readout was zeroed,
// moved or knocked, so a new setup begins. NewSetup: readout or stop were taken
// off and fitted again. Operator: Text reads from here on. StopIn, StopOut: the
// stop was fitted, or taken out. Choose: Item is wanted next, by Approach if that
// is not zero. Skip: the question is not answered, or the line cannot be read in
// this setup. Answer: Text answers the question.
const (
	Read Kind = iota + 1
	Undo
	Strike
	Bumped
	NewSetup
	Operator
	StopIn
	StopOut
	Choose
	Skip
	Answer
)

// Event is one thing that happened at the engine.
type Event struct {
	Kind     Kind
	Text     string
	Note     string         // beside a reading
	Struck   string         // why a reading is not to be used though it was taken
	Item     string         // stop, closing or the name of a line
	Approach sheet.Approach // of Item; zero for the usual one
	Row      int            // of a strike: counts from 1
	Time     string         // of a reading, RFC 3339
}

// refuse says why an event cannot be, and what to do instead.
func refuse(text, hint string) error { return &geometry.Refusal{Text: text, Hint: hint} }

// mostText bounds a name, a note or a reason, in characters.
const mostText = 200

// oneLine makes a person's text fit a line of the readings file.
func oneLine(text string) (string, error) {
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == utf8.RuneError || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, text)
	text = strings.TrimSpace(text)
	if n := utf8.RuneCountInString(text); n > mostText {
		return "", refuse("found a text of "+strconv.Itoa(n)+" characters, expected at most "+strconv.Itoa(mostText), "")
	}
	return text, nil
}

// Apply takes one event. The error, of type [geometry.Refusal], says why it
// cannot be; then nothing has changed. Otherwise the change has to be kept before
// the new state is used.
func (s State) Apply(e Event) (State, Change, error) {
	for _, text := range []*string{&e.Text, &e.Note, &e.Struck, &e.Item} {
		var err error
		if *text, err = oneLine(*text); err != nil {
			return s, Change{}, err
		}
	}
	next := s
	change, err := next.apply(e)
	if err != nil {
		return s, Change{}, err
	}
	if change.Add == nil && !change.Rows && change.Sheet == nil {
		next.settle()
		return next, change, nil
	}
	if err := next.look(&s.view); err != nil {
		return s, Change{}, asRefusal(err)
	}
	if change.Add == nil {
		next.view.Doubts, next.view.Fresh = nil, nil
	}
	return next, change, nil
}

// asRefusal keeps of a fault what the person who typed needs.
func asRefusal(err error) error {
	var faults inputerror.List
	if errors.As(err, &faults) && len(faults) > 0 {
		return refuse(faults[0].Text, faults[0].Hint)
	}
	return refuse(err.Error(), "")
}

func (s *State) apply(e Event) (Change, error) {
	if q := s.question(); q != NoQuestion {
		switch e.Kind {
		case Read, Answer, Skip:
			return s.answer(q, e)
		case StopIn, StopOut:
			if e.Kind == StopIn && slices.Contains(s.questions, QuarterTo) {
				return Change{}, refuse("the stop is to stay out until the quarter turn is made: with it in, the piston would run against it", "answer the question, or `skip` it; then fit the stop")
			}
			if q == WhereStop {
				s.questions = s.questions[1:]
			}
		case Undo:
			if q == QuarterTo {
				s.questions = append([]Question{QuarterFrom}, s.questions...)
				return Change{}, nil
			}
		case Bumped, NewSetup, Choose:
			if q == Touched || q == WhereStop {
				return Change{}, refuse("a question is open", "answer it first")
			}
		}
	}
	switch e.Kind {
	case Read:
		return s.reading(e)
	case Undo:
		return s.undo()
	case Strike:
		return s.strike(e)
	case Bumped:
		return s.bumped()
	case NewSetup:
		return s.newSetup()
	case Operator:
		if e.Text == "" {
			return Change{}, refuse("found no name, expected who reads from here on", "")
		}
		s.by = e.Text
	case StopIn:
		s.stop = In
	case StopOut:
		s.stop = Out
	case Choose:
		return Change{}, s.choose(e)
	case Skip:
		return s.skip()
	case Answer:
		return Change{}, refuse("no question is open", "")
	default:
		return Change{}, refuse("found nothing to do", "")
	}
	return Change{}, nil
}

// reading takes what the readout shows for the step at hand.
func (s *State) reading(e Event) (Change, error) {
	step := s.view.Step
	switch step.Kind {
	case Fit:
		return Change{}, refuse("the stop is not in, so this reading belongs to nothing", "fit the stop and say `in`, then give the reading")
	case TakeOut:
		return Change{}, refuse("the stop is in, so this reading belongs to nothing", "take the stop out and say `out`, then give the reading")
	case Decide:
		return Change{}, refuse("no reading is due", "say what you read, as `next stop` or `next` with the name of a line, then give the reading")
	}
	if e.Text == "" {
		return Change{}, refuse("found nothing, expected what the readout shows", "")
	}
	row := readings.Row{
		Setup: s.setup, By: s.by, Trial: step.Trial, Item: step.Item, Approach: step.Approach.String(),
		Reading: decimal(e.Text), Time: e.Time, Note: e.Note, Struck: e.Struck,
	}
	s.remember()
	s.rows = append(slices.Clone(s.rows), row)
	s.fresh, s.chosen = false, choice{}
	return Change{Add: &row}, nil
}

// decimal writes the decimal comma of some keyboards as a point. Where one
// number is asked for, one comma between digits cannot be anything else.
func decimal(text string) string {
	if i := strings.IndexByte(text, ','); i > 0 && i+1 < len(text) && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") &&
		'0' <= text[i-1] && text[i-1] <= '9' && '0' <= text[i+1] && text[i+1] <= '9' {
		return text[:i] + "." + text[i+1:]
	}
	return text
}

func (s *State) undo() (Change, error) {
	if len(s.past) == 0 {
		return Change{}, refuse("nothing was done here yet that could be undone", "a reading from an earlier sitting is struck, with the reason")
	}
	before := len(s.rows)
	same := slices.Equal(s.rows, s.past[len(s.past)-1].rows)
	s.kept, s.past = s.past[len(s.past)-1], s.past[:len(s.past)-1]
	return Change{Rows: before != len(s.rows) || !same}, nil
}

func (s *State) strike(e Event) (Change, error) {
	switch {
	case e.Row < 1 || e.Row > len(s.rows):
		return Change{}, refuse("found no reading "+strconv.Itoa(e.Row)+", expected a number from the list of readings", "")
	case e.Text == "":
		return Change{}, refuse("found no reason, expected one", "such as wrench slipped; a reading that only looks odd is read again")
	case s.rows[e.Row-1].Struck != "":
		return Change{}, refuse("reading "+strconv.Itoa(e.Row)+" is struck already", "")
	}
	s.remember()
	s.rows = slices.Clone(s.rows)
	s.rows[e.Row-1].Struck = e.Text
	return Change{Rows: true}, nil
}

// bumped begins a new setup. A contact that waits for its partner will not get
// it from the same zero.
func (s *State) bumped() (Change, error) {
	s.remember()
	var change Change
	if open := s.unpaired(); open >= 0 {
		s.rows = slices.Clone(s.rows)
		s.rows[open].Struck = "readout zeroed or bumped before the other contact"
		change.Rows = true
	}
	s.begin()
	return change, nil
}

func (s *State) newSetup() (Change, error) {
	if open := s.unpaired(); open >= 0 {
		return Change{}, refuse("a contact waits for the other one of its pair", "take that too, or strike reading "+strconv.Itoa(open+1)+" with the reason")
	}
	if len(s.inSetup()) == 0 {
		return Change{}, refuse("setup "+s.setup+" holds no reading yet", "")
	}
	s.remember()
	s.begin()
	return Change{}, nil
}

func (s *State) begin() {
	if len(s.inSetup()) > 0 {
		s.setup = s.freshSetup()
	}
	s.fresh, s.chosen, s.skipped = true, choice{}, nil
}

func (s *State) choose(e Event) error {
	known := slices.ContainsFunc(s.view.Sheet.Marks, func(m sheet.Mark) bool { return m.Name == e.Item })
	closing := s.closing()
	switch {
	case e.Item == "":
		return refuse("found nothing, expected stop, closing or the name of a line", "")
	case e.Item == "closing" && closing[0] && closing[1]:
		return refuse("setup "+s.setup+" has its closing pair, expected one a setup", "")
	case e.Item == "closing" && s.usable() == 0:
		return refuse("setup "+s.setup+" has no pair yet that a closing pair could be held against", "")
	case e.Item != "stop" && e.Item != "closing" && !known:
		return refuse("found "+inputerror.Visible(e.Item)+", no line of this name under marks", "the lines are "+s.names())
	}
	if open := s.unpaired(); open >= 0 && e.Item != s.rows[open].Item {
		return refuse("a contact waits for the other one of its pair", "take that too, or strike reading "+strconv.Itoa(open+1)+" with the reason")
	}
	s.chosen = choice{e.Item, e.Approach}
	s.skipped = slices.DeleteFunc(slices.Clone(s.skipped), func(n string) bool { return n == e.Item })
	return nil
}

func (s State) names() string {
	names := make([]string, len(s.view.Sheet.Marks))
	for i, m := range s.view.Sheet.Marks {
		names[i] = inputerror.Visible(m.Name)
	}
	return strings.Join(names, ", ")
}

func (s *State) skip() (Change, error) {
	step := s.view.Step
	switch {
	case step.Kind == Decide:
		return Change{}, refuse("there is nothing to skip", "")
	case step.Item == "stop":
		return Change{}, refuse("contacts cannot be skipped: without them there is no TDC", "")
	case step.Item == "closing" && s.unpaired() >= 0:
		return Change{}, refuse("the closing pair lacks its other contact", "take that too")
	}
	s.remember()
	s.chosen = choice{}
	s.skipped = append(slices.Clone(s.skipped), step.Item)
	return Change{}, nil
}
