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
// is not to be trusted, for the reason in Text. Bumped: something was moved, as
// Text says, so a new setup begins. NewSetup: readout or stop were taken off and
// fitted again. Operator: Text reads from here on. StopIn, StopOut: the stop was
// fitted, or taken out. Choose: Item is wanted next, by Approach if that is not
// zero. Skip: the question is not answered, or the line cannot be read in this
// setup. Answer: Text answers the question. Down: the piston is well down. Stuck:
// the engine does not move the way that was asked for, so what is believed of the
// stop may be wrong.
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
	Down
	Stuck
)

// What Bumped may say. Knocked, which an empty text is too: the readout was
// zeroed, moved or knocked. Off: the readout was taken off. Turned: the wheel was
// turned on its shaft, stop and crank left alone. Refitted: the stop was fitted
// anew, or TDC is to be found by the indicator once more; the readout left alone.
const (
	Knocked  = "knocked"
	Off      = "off"
	Turned   = "turned"
	Refitted = "refitted"
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
	Height   string         // of a point of a sweep: what the indicator shows, with its unit
	Sure     bool           // of StopOut: typed as a word, which is its own confirmation; of Choose: the stop was said to be in still, or nothing to have been turned since the last reading
	ID       string         // of the step that is answered; kept with a row
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
	for _, text := range []*string{&e.Text, &e.Note, &e.Struck, &e.Item, &e.Height} {
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
	if e.Kind != Read {
		change = change.and(next.reseat())
	}
	if change.Add == nil && !change.Rows && change.Sheet == nil {
		next.settle()
		return next, change, nil
	}
	if err := next.look(&s.view); err != nil {
		return s, Change{}, s.unfit(change.Add, err)
	}
	if change.Add == nil {
		next.view.Doubts, next.view.Fresh = nil, nil
	}
	return next, change, nil
}

// reseat begins a setup where the stop was fitted anew since the pairs of the
// current one were taken: one setup is one fitting. The closing pair is held
// against the pairs before it, so it stays with them.
func (s *State) reseat() Change {
	if s.stop != In || s.pairSeat == 0 || s.pairSeat == s.seat || s.unpaired() >= 0 || s.wanted().Item != "stop" {
		return Change{}
	}
	return s.sameMounting(s.cylinder)
}

// unfit says of a contact that its pair cannot be: one of the two numbers is off,
// mostly mistyped, and that is told before anything on the sheet is doubted.
func (s State) unfit(row *readings.Row, err error) error {
	open := s.unpaired()
	if row == nil || open < 0 || !isContact(row.Item) || row.Item != s.rows[open].Item {
		return asRefusal(err)
	}
	alone := append(slices.Delete(slices.Clone(s.rows), open, open+1), *row)
	if _, faulty := s.read(s.text, alone); faulty != nil {
		return asRefusal(err) // the number itself is the fault
	}
	text := "these two do not fit: first contact " + inputerror.Visible(s.rows[open].Reading) + ", now " + inputerror.Visible(row.Reading) + ". Is one mistyped?"
	var faults inputerror.List
	if errors.As(err, &faults) && len(faults) > 0 {
		why, rest, named := strings.Cut(faults[0].Text, " with readout.") // no word of the file
		if named {
			_, rest, _ = strings.Cut(rest, ";")
			why += ";" + rest
		}
		text += " " + strings.ToUpper(why[:1]) + why[1:]
	}
	return refuse(text, "type this one again, or undo the first; if both are right and each was come to the way that was asked, look on the sheet which way the readout counts, and whether the stop blocks more than half a turn")
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
	step := s.view.Step
	if step.Kind == Ask {
		switch e.Kind {
		case Answer, Skip:
			return answerQuestion(s, step, e)
		case Read:
			if step.Question == Where && step.Item != "" { // the number of the contact at which the piston stands
				return s.reading(step, e)
			}
			return answerQuestion(s, step, e)
		case Strike, Bumped, NewSetup, Choose, Down, Stuck:
			if step.Question == Touched || step.Question == WhereStop || step.Question == HoleEmpty {
				return Change{}, refuse("a question is open", "answer it first")
			}
		}
	}
	before := snapshot(*s, e, step)
	change, err := s.act(step, e)
	if err != nil {
		return change, err
	}
	if e.Kind != Undo {
		remember(s, before)
	}
	return change, nil
}

// act does what is no answer to a question.
func (s *State) act(step Step, e Event) (Change, error) {
	if step.Question == QuarterTo && (e.Kind == StopIn || e.Kind == StopOut) {
		s.quarter = "" // it may have been turned already
	}
	switch e.Kind {
	case Read:
		return s.reading(step, e)
	case Undo:
		return undoLast(s, step)
	case Strike:
		return s.strike(step, e)
	case Bumped, NewSetup:
		return s.moved(step, e)
	case Operator:
		if e.Text == "" {
			return Change{}, refuse("found no name, expected who reads from here on", "")
		}
		s.by = e.Text
	case StopIn:
		if s.onDial() {
			return Change{}, refuse("the dial stands in the hole, so no stop can be in it", "")
		}
		s.stopIn(step)
	case StopOut:
		if s.onDial() {
			return Change{}, refuse("with a dial in the plug hole there is no stop", "")
		}
		if e.Sure {
			return s.stopOut(), nil
		}
		s.confirm, s.empty = true, false
	case Down:
		if step.Kind != Lower {
			return Change{}, refuse("nobody was asked to bring the piston down", "")
		}
		s.low, s.stands = true, place{}
	case Stuck:
		return Change{}, s.stuck(step)
	case Choose:
		if err := s.choose(e); err != nil {
			return Change{}, err
		}
		if e.Sure && step.Kind == TakeOut && isContact(e.Item) { // it was not loosened: one more pair by the same fitting
			s.stands, s.at = place{}, Unknown
			return Change{}, nil
		}
		if e.Sure && step.Kind == Take && step.Rests != 0 { // it rests there still
			return Change{}, nil
		}
		return s.forget(step), nil
	case Skip:
		return s.skip(step)
	case Answer:
		return Change{}, refuse("no question is open", "")
	default:
		return Change{}, refuse("found nothing to do", "")
	}
	return Change{}, nil
}

// reading takes what the readout shows for the step at hand.
func (s *State) reading(step Step, e Event) (Change, error) {
	switch step.Kind {
	case Lower:
		return Change{}, refuse("the stop is not in, so this reading belongs to nothing", "bring the piston well down, say `down`, fit the stop and say `in`, then give the reading")
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
	before := snapshot(*s, e, step)
	var change Change
	if step.Item == "stop" {
		if change = s.reseat(); s.setup != s.view.Setup {
			step.Trial = "1"
		}
	}
	row := readings.Row{
		Setup: s.setup, By: s.by, Trial: step.Trial, Item: step.Item, Approach: step.Approach.String(),
		Reading: plainNumber(*s, e.Text), Time: e.Time, Note: e.Note, Struck: e.Struck,
		Mounting: s.mounting, Fitting: s.fitting, Cylinder: s.cylinder, Side: step.Side, ID: e.ID,
	}
	switch step.Item {
	case "drop":
		row.Height = s.height
	case "sweep":
		if e.Height == "" {
			return Change{}, refuse("found no height, expected the reading and what the indicator shows", "type both: 335.5 at 2.61 mm")
		}
		row.Height = withUnit(*s, e.Height, func(r readings.Row) string { return r.Height })
	}
	if err := oddPartner(*s, row); err != nil {
		return Change{}, err
	}
	if s.onDial() {
		row.Reading = dialText(*s, e.Text, step.Item)
	}
	if isContact(step.Item) && !s.onDial() {
		s.at = at(step.Approach)
	}
	if step.Item == "stop" {
		s.pairSeat = s.seat
	}
	s.low, s.stands = false, place{step.Item, step.Approach}
	s.rows = append(slices.Clone(s.rows), row)
	s.fresh, s.chosen = false, choice{}
	if step.Kind == Ask { // answered out of order, so not remembered above
		remember(s, before)
	}
	change.Add = &row
	return change, nil
}

// moved begins a new setup, for what was moved. A contact that waits for its
// partner will not get it from the same zero.
func (s *State) moved(step Step, e Event) (Change, error) {
	what := e.Text
	if s.onDial() && what != Off { // there is nothing else that could be moved
		what = Knocked
	}
	if e.Kind == NewSetup {
		if len(s.inSetup()) == 0 {
			return Change{}, refuse("setup "+s.setup+" holds no reading yet", "")
		}
		what = Off
	}
	change := s.forget(step)
	s.touched = false
	switch what {
	case "", Knocked, Off:
		change = change.and(s.void("readout zeroed or bumped before the other contact"))
		s.begin()
		s.mounting, s.fitting = "", ""
	case Turned:
		change = change.and(s.void("wheel turned on its shaft before the other contact"))
		if s.view.Method == sheet.Stop && s.stop == In {
			change = change.and(s.label(func(r *readings.Row) *string { return &r.Fitting }, &s.fitting))
		} else {
			s.fitting = ""
		}
		s.begin()
		s.mounting = ""
	case Refitted:
		if s.view.Method != sheet.Stop && !s.onDial() { // no stop is in it
			change = change.and(s.void("indicator set anew before the other reading"))
			return change.and(s.sameMounting(s.cylinder)), nil
		}
		change = change.and(s.void("stop fitted anew before the other contact"))
		s.stop, s.at = Unsaid, Unknown
		s.seat++
		change = change.and(s.sameMounting(s.cylinder))
	default:
		return Change{}, refuse("found "+inputerror.Visible(what)+", expected "+Knocked+", "+Off+", "+Turned+" or "+Refitted, "")
	}
	return change, nil
}

// begin begins a setup; one without a reading is the new one already.
func (s *State) begin() {
	if len(s.inSetup()) > 0 {
		s.setup = s.freshSetup()
	}
	s.fresh, s.chosen, s.skipped, s.pairSeat, s.enough = true, choice{}, nil, 0, false
}

func (s *State) strike(step Step, e Event) (Change, error) {
	switch {
	case e.Row < 1 || e.Row > len(s.rows):
		return Change{}, refuse("found no reading "+strconv.Itoa(e.Row)+", expected a number from the list of readings", "")
	case e.Text == "":
		return Change{}, refuse("found no reason, expected one", "such as wrench slipped; a reading that only looks odd is read again")
	case s.rows[e.Row-1].Struck != "":
		return Change{}, refuse("reading "+strconv.Itoa(e.Row)+" is struck already", "")
	}
	s.rows = slices.Clone(s.rows)
	s.rows[e.Row-1].Struck = e.Text
	return Change{Rows: true}.and(s.forget(step)), nil
}

func (s *State) choose(e Event) error {
	known := slices.ContainsFunc(s.view.Sheet.Marks, func(m sheet.Mark) bool { return m.Name == e.Item })
	closing := s.closing()
	finds := e.Item == "stop" || e.Item == "drop" || e.Item == "sweep" || e.Item == "top" && s.onDial()
	switch {
	case e.Item == "":
		return refuse("found nothing, expected stop, closing or the name of a line", "")
	case finds && !known && e.Item != wordOf(s.view.Method):
		return refuse("TDC is found by "+wordOf(s.view.Method)+" in this setup, found "+e.Item, "")
	case e.Item == "closing" && closing[0] && closing[1]:
		return refuse("setup "+s.setup+" has its closing pair, expected one a setup", "")
	case e.Item == "closing" && s.onDial() && (closing[0] || s.topsRead() == 0):
		return refuse("setup "+s.setup+" needs its top first, and has one closing reading of it at most", "")
	case e.Item == "closing" && s.view.Method != sheet.Stop && !s.onDial(): // the valves may meet a stop
		return refuse("a closing pair is taken with a stop, and in this setup TDC is found by "+wordOf(s.view.Method), "TDC found once more shows whether the readout has moved: say `bumped refitted`")
	case e.Item == "closing" && s.usable() == 0 && !s.onDial():
		return refuse("setup "+s.setup+" has no pair yet that a closing pair could be held against", "")
	case !finds && e.Item != "closing" && !known:
		return refuse("found "+inputerror.Visible(e.Item)+", no line of this name under marks", "the lines are "+s.names())
	}
	if e.Approach == sheet.Backward && s.oneWay() {
		return refuse("nobody has said that this engine may be turned backward", "read it turning the way the engine runs")
	}
	if open := s.unpaired(); open >= 0 && e.Item != s.rows[open].Item {
		return refuse("a contact waits for the other one of its pair", "take that too, or strike reading "+strconv.Itoa(open+1)+" with the reason")
	}
	s.chosen = choice{e.Item, e.Approach}
	s.skipped = slices.DeleteFunc(slices.Clone(s.skipped), func(n string) bool { return n == e.Item })
	return nil
}

// wordOf is the item of a readings file by which a method finds TDC.
func wordOf(m sheet.Method) string { return [...]string{"stop", "drop", "sweep", "top"}[m] }

func (s State) names() string {
	names := make([]string, len(s.view.Sheet.Marks))
	for i, m := range s.view.Sheet.Marks {
		names[i] = inputerror.Visible(m.Name)
	}
	return strings.Join(names, ", ")
}

func (s *State) skip(step Step) (Change, error) {
	switch {
	case step.Kind == Decide, step.Item == "":
		return Change{}, refuse("there is nothing to skip", "")
	case step.Item == "sweep" && s.pointsRead() >= LeastPoints:
		s.enough = true
		return s.forget(step), nil
	case step.Item == "top" && s.onDial():
		return Change{}, refuse("the top cannot be skipped: without it a drop counts from nowhere", "")
	case step.Item == "stop", step.Item == "drop", step.Item == "sweep":
		return Change{}, refuse("contacts cannot be skipped: without them there is no TDC", "")
	case step.Item == "closing" && s.unpaired() >= 0:
		return Change{}, refuse("the closing pair lacks its other contact", "take that too")
	}
	s.chosen = choice{}
	s.skipped = append(slices.Clone(s.skipped), step.Item)
	return s.forget(step), nil
}
