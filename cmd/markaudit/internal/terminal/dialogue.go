// Package terminal is recording line by line, on a terminal or from a script: the
// one face of a recorder; the other is the page.
package terminal

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"markaudit/audit"
	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/stream"
	"markaudit/cmd/markaudit/internal/world"
)

// dialogue leads through a session line by line. A readout that types numbers, a
// script and a person are the same to it.
type dialogue struct {
	*recorder.Recorder
	in  *bufio.Reader
	out io.Writer // remembers trouble, so that nothing here has to
	Options
	swallow bool              // a line ended with CR: an LF right behind it belongs to that
	taken   time.Time         // when the last number was taken
	held    string            // a number that came at once after it, until somebody says whose it is
	shown   map[stepKind]bool // steps whose long text was printed in this sitting
}

// stepKind is what a person learns once: a step by its kind, a question by itself.
type stepKind struct {
	kind     guide.StepKind
	question guide.Question
	item     string
}

// Options say how a session is led.
type Options struct {
	Software string // that reports name as their maker
	// Person is set where somebody sits at a terminal: steps are then two short
	// lines, and a number that comes at once after another is not given away. A
	// script gets the long prompts, and every line counts.
	Person bool
	Width  int // of the terminal, in characters; zero when unknown
	Now    func() time.Time
	Live   *stream.Live // a readout that streams; nil for none
}

// Run leads through a session until its end is asked for, or its input ends. What
// out could not take is for the caller to find out; the error is that of the last
// reading, where it could not be kept.
func Run(r *recorder.Recorder, in io.Reader, out io.Writer, o Options) error {
	d := &dialogue{Recorder: r, in: bufio.NewReader(in), out: out, Options: o, shown: map[stepKind]bool{}}
	return d.run()
}

// atOnce is how soon after a number another one cannot be that of the next step:
// no engine turns so fast.
const atOnce = 800 * time.Millisecond

// mostLine bounds what one line of entry may hold.
const mostLine = 4096

const dialogueHelp = `A reading alone, such as 338.5, answers what is asked. Behind it may stand
"note" or "struck" with a text: 338.5 struck wrench slipped

down             the piston is well down
in, out          the stop is in, is out: may be said at any moment
stuck            the engine does not move that way
bumped           zero was pressed, or the wheel knocked: begins a new setup
turned           the wheel was turned on its shaft, stop and crank left alone: the same
refitted         the stop was fitted anew, the readout left alone: the same
new              readout or stop were taken off and fitted again: a new setup
undo             takes back what was done last, from here on; what was said of the
                 stop is asked again
strike N REASON  reading N of the list is not to be trusted
next WHAT        read this next: stop, closing or the name of a line; with
                 "backward" behind it from the other side
skip             leave this line, or this question
by NAME          who reads from here on
how              the step at hand, in full
list             all readings with their numbers
report           the audit as it stands
pause            stop here; the same command goes on another day`

// run holds the dialogue until it is ended, or its input ends.
func (d *dialogue) run() error {
	first := len(d.State().Rows()) == 0
	caution := words.Caution
	if first { // in full once, before the first turn
		caution = strings.Join(words.Cautions(), " ")
	}
	d.say(document.Sentence{Lead: "CAUTION", Text: caution}, document.Space{})
	for _, told := range d.Told() {
		d.say(document.Sentence{Text: told})
	}
	d.say(document.Sentence{Text: "`help` lists what can be typed, `pause` stops here."}, document.Space{})
	if first = d.Person && !d.Begun(); first {
		_, _ = io.WriteString(d.out, "Enter, when all of this is done or kept to.\n> ")
	} else {
		d.prompt()
	}
	var lost error // the last reading, if it could not be kept
	for {
		line, err := d.line()
		if err != nil {
			if line != "" {
				d.say(document.Sentence{Text: "The input ended within a line, which was not taken: " + phrase.Shown(line)})
			}
			break
		}
		if first && line == "" {
			first = false
			d.Begin()
			d.prompt()
			continue
		}
		first = false
		word, _, _ := strings.Cut(line, " ")
		if word == "pause" || word == "quit" {
			break
		}
		if err := d.take(line); err != nil {
			var output *world.Unwritten
			if errors.As(err, &output) {
				lost = err
			}
			d.refuse(err)
		} else if line != "" {
			lost = nil
		}
	}
	d.end()
	return lost
}

// line reads one line, which ends with CR, LF or both: readouts that type differ.
// At the end of the input it returns what stands behind the last line end, with
// the error.
func (d *dialogue) line() (string, error) {
	var b strings.Builder
	for {
		c, err := d.in.ReadByte()
		if err != nil {
			return strings.TrimSpace(strings.TrimPrefix(b.String(), "\ufeff")), err
		}
		after := d.swallow
		d.swallow = c == '\r'
		switch {
		case c == '\n' && after:
		case c == '\n', c == '\r':
			return strings.TrimSpace(strings.TrimPrefix(b.String(), "\ufeff")), nil
		case b.Len() <= mostLine:
			b.WriteByte(c)
		}
	}
}

// take does what one line says.
func (d *dialogue) take(line string) error {
	if len(line) > mostLine {
		return fmt.Errorf("found a line of more than %d characters, expected a reading or a word", mostLine)
	}
	if d.held != "" {
		return d.whose(line)
	}
	switch line {
	case "":
		if v := d.State().View(); d.Live != nil && v.WaitsForNumber() {
			text, err := d.Live.Standing(v.Sheet.Readout.Step)
			if err != nil {
				return err
			}
			return d.do(guide.Event{Kind: guide.Read, Text: text})
		}
		d.prompt()
		return nil
	case "how":
		d.full()
		_, _ = io.WriteString(d.out, "> ")
		return nil
	case "help", "?":
		_, _ = io.WriteString(d.out, dialogueHelp+"\n\n") // the output remembers trouble
		d.stopAtTheEnd()
		d.prompt()
		return nil
	case "list":
		d.say(report.Readings(d.State().Rows(), 1), document.Space{})
		d.prompt()
		return nil
	case "report":
		return d.report()
	}
	e, err := parseEvent(line, d.State().View())
	if err != nil {
		return err
	}
	if e.Kind == guide.Read && d.Person && !d.taken.IsZero() && d.Now().Sub(d.taken) < atOnce {
		d.held = line
		d.askWhose()
		return nil
	}
	return d.do(e)
}

func (d *dialogue) do(e guide.Event) error {
	undone := d.Words().Undo()
	change, err := d.Do(e)
	if err != nil {
		return err
	}
	if change.Add != nil && d.Person {
		d.taken = d.Now()
	}
	d.answer(e, change, undone)
	return nil
}

// askWhose asks whether a number that came at once belongs to the step at hand.
func (d *dialogue) askWhose() {
	rows := d.State().Rows()
	after := ""
	if n := len(rows); n > 0 {
		after = " after " + words.Clean(rows[n-1].Reading)
	}
	d.say(document.Sentence{Lead: "LOOK", Text: fmt.Sprintf("%s came at once%s, faster than an engine turns. Is it for %s? (yes, no)", phrase.Shown(d.held), after, strings.ToLower(d.Words().Task()))})
	_, _ = io.WriteString(d.out, "> ")
}

// whose takes the answer to that. Nothing is given away without one.
func (d *dialogue) whose(line string) error {
	held := d.held
	switch strings.ToLower(line) {
	case "yes":
		d.held = ""
		e, err := parseEvent(held, d.State().View())
		if err != nil {
			return err
		}
		return d.do(e)
	case "no":
		d.held = ""
		_, _ = fmt.Fprintln(d.out, "not taken: "+phrase.Shown(held))
		d.prompt()
		return nil
	}
	return fmt.Errorf("found %s, expected yes or no: %s is not kept yet", phrase.Shown(line), phrase.Shown(held))
}

// answer says what came of an event, and what is next. Only now is a reading
// acknowledged: it is on the disk.
func (d *dialogue) answer(e guide.Event, change guide.Change, undone string) {
	r := d.Words()
	switch {
	case change.Add != nil:
		number := ""
		if d.Person {
			number = words.Clean(change.Add.Reading) + " "
		}
		_, _ = fmt.Fprintln(d.out, number+"kept: "+r.Saved(*change.Add))
	case e.Kind == guide.Undo:
		_, _ = fmt.Fprintln(d.out, "undone: "+undone+"; "+phrase.Count(len(d.State().Rows()), "reading")+" kept")
	case change.Sheet != nil:
		_, _ = fmt.Fprintln(d.out, "kept: on the sheet")
	case e.Kind == guide.Strike:
		_, _ = fmt.Fprintln(d.out, "struck: "+r.Saved(d.State().Rows()[e.Row-1]))
	}
	if change.Add != nil && (!d.State().Waits() || len(r.Doubts()) > 0) || change.Rows {
		d.figures(r)
	}
	d.prompt()
}

// figures shows what the readings say so far.
func (d *dialogue) figures(r words.Recording) {
	var about []document.Block
	if text := r.Trouble(); text != "" {
		about = append(about, document.Sentence{Lead: "LOOK", Text: text})
	}
	if f := r.Figures(); f != "" {
		about = append(about, document.Sentence{Text: f})
	}
	last := d.State().Rows()
	if n := len(last); n > 0 && last[n-1].Item != "stop" && last[n-1].Item != "closing" {
		for _, l := range r.Lines() {
			if l.Name == inputerror.Visible(last[n-1].Item) {
				about = append(about, document.Sentence{Text: strings.TrimSuffix(fmt.Sprintf("%s: %s, %s %s, %s", l.Name, l.OffBy, l.Verdict, l.Allowed, l.Fitted), ", ")})
			}
		}
	}
	for _, text := range r.Doubts() {
		about = append(about, document.Sentence{Lead: "LOOK", Text: text})
	}
	d.say(about...)
}

// prompt says what to do next: in full for a script, and once in a sitting for a
// person, who else gets two short lines.
func (d *dialogue) prompt() {
	step := d.State().View().Step
	kind := stepKind{step.Kind, step.Question, step.Item}
	if d.Person && step.Kind != guide.Decide && d.shown[kind] {
		where, what := d.Words().Short()
		if answers := step.Question.Answers(); answers != nil {
			what += " (" + phrase.OneOf(answers) + ")"
		}
		_, _ = io.WriteString(d.out, "\n"+wrapped(where, d.Width)+wrapped(what, d.Width))
	} else {
		d.full()
	}
	d.shown[kind] = true
	_, _ = io.WriteString(d.out, "> ")
}

// wrapped breaks a text at blanks so that it fits a terminal of so many characters:
// 40 to 100, and 80 where that is not known.
func wrapped(text string, width int) string {
	if width == 0 {
		width = 80
	}
	width = min(max(width, 40), 100)
	var b strings.Builder
	n := 0
	for word := range strings.FieldsSeq(text) {
		long := utf8.RuneCountInString(word)
		switch {
		case n == 0:
		case n+1+long >= width:
			b.WriteByte('\n')
			n = 0
		default:
			b.WriteByte(' ')
			n++
		}
		b.WriteString(word)
		n += long
	}
	b.WriteByte('\n')
	return b.String()
}

// full prints the step at hand with all its words.
func (d *dialogue) full() {
	r := d.Words()
	step := d.State().View().Step
	text := r.Step()
	switch step.Kind {
	case guide.Ask:
		if words := step.Question.Answers(); words != nil {
			text += " (" + phrase.OneOf(words) + ")"
		}
	case guide.Lower:
		text += " Then type down."
	case guide.Fit:
		text += " Then type in."
	case guide.TakeOut:
		text += " Then type out."
	case guide.Decide:
		text += " (new, next WHAT, report or pause)"
	}
	d.say(document.Space{}, document.Sentence{Lead: r.Task() + " (" + r.Where() + ")", Text: text})
}

func (d *dialogue) report() error {
	v := d.State().View()
	if v.Result == nil {
		return errors.New(d.Words().Trouble())
	}
	d.say(report.Audit(*v.Result, v.Next, document.Options{Path: d.Sheet(), Software: d.Software})...)
	d.stopAtTheEnd()
	d.prompt()
	return nil
}

func (d *dialogue) refuse(err error) {
	var output *world.Unwritten
	text := err.Error()
	if errors.As(err, &output) {
		text = recorder.NotKept(err)
	}
	text = "not taken: " + text + "\n"
	if d.Person {
		before, hint, _ := strings.Cut(text, "\n  ")
		text = wrapped(before, d.Width)
		if hint != "" {
			text += wrapped(hint, d.Width)
		}
	}
	_, _ = io.WriteString(d.out, text+"> ")
}

// stopAtTheEnd reminds of a stop that nobody has said to be out.
func (d *dialogue) stopAtTheEnd() {
	if text := d.Words().StopAtTheEnd(); text != "" {
		d.say(document.Sentence{Lead: "LOOK", Text: text})
	}
}

// end says where things stand.
func (d *dialogue) end() {
	v := d.State().View()
	d.say(document.Space{})
	d.stopAtTheEnd()
	d.say(document.Sentence{Text: fmt.Sprintf("Stopped here, with %s kept in %s. `markaudit record %s` goes on, `markaudit audit %s` reports.",
		phrase.Count(len(d.State().Rows()), "reading"), d.ReadingsName(), phrase.Shown(d.Sheet()), phrase.Shown(d.Sheet()))})
	if v.Result != nil && slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return m.Offset != nil }) {
		d.say(report.LineTable(d.Words()))
		if text := d.Words().Unsettled(); text != "" {
			d.say(document.Sentence{Lead: "LOOK", Text: "Do not scribe or move anything yet. " + text})
		}
	}
	if text := d.Words().Trouble(); text != "" {
		d.say(document.Sentence{Lead: "LOOK", Text: text})
	}
}

// say prints blocks as a report does; sentences for a person as wide as the terminal.
func (d *dialogue) say(blocks ...document.Block) {
	if d.Person && d.Width > 0 {
		for _, block := range blocks {
			if s, ok := block.(document.Sentence); ok {
				text := s.Text
				if s.Lead != "" {
					text = s.Lead + ": " + text
				}
				_, _ = io.WriteString(d.out, wrapped(text, d.Width))
				continue
			}
			_ = document.Text(d.out, document.Doc{block}) // the output remembers trouble
		}
		return
	}
	if err := document.Text(d.out, blocks); err != nil {
		return // the output remembers it, and the exit status tells
	}
}
