// Package terminal is recording line by line, on a terminal or from a script: the
// one face of a recorder; the other is the page.
package terminal

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"markaudit/audit"
	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/world"
)

// dialogue leads through a session line by line. A readout that types numbers, a
// script and a person are the same to it.
type dialogue struct {
	*recorder.Recorder
	in       *bufio.Reader
	out      io.Writer // remembers trouble, so that nothing here has to
	software string
}

// Run leads through a session until its end is asked for, or its input ends. What
// out could not take is for the caller to find out; the error is that of the last
// reading, where it could not be kept. Reports name software as their maker.
func Run(r *recorder.Recorder, in io.Reader, out io.Writer, software string) error {
	d := &dialogue{r, bufio.NewReader(in), out, software}
	return d.run()
}

// mostLine bounds what one line of entry may hold.
const mostLine = 4096

const dialogueHelp = `A reading alone, such as 338.5, answers what is asked. Behind it may stand
"note" or "struck" with a text: 338.5 struck wrench slipped

in, out          the stop is in, is out
bumped           zero was pressed, or the wheel knocked: begins a new setup
new              readout or stop were taken off and fitted again: a new setup
undo             takes back what was done last, from here on
strike N REASON  reading N of the list is not to be trusted
next WHAT        read this next: stop, closing or the name of a line; with
                 "backward" behind it from the other side
skip             leave this line, or this question
by NAME          who reads from here on
list             all readings with their numbers
report           the audit as it stands
pause            stop here; the same command goes on another day`

// run holds the dialogue until it is ended, or its input ends.
func (d *dialogue) run() error {
	d.say(document.Sentence{Lead: "CAUTION", Text: strings.Join(words.Cautions(), " ")}, document.Space{})
	for _, told := range d.Told() {
		d.say(document.Sentence{Text: told})
	}
	d.say(document.Sentence{Text: "`help` lists what can be typed, `pause` stops here."}, document.Space{})
	d.prompt()
	var lost error // the last reading, if it could not be kept
	for {
		line, err := d.line()
		if err != nil {
			if line != "" {
				d.say(document.Sentence{Text: "The input ended within a line, which was not taken: " + phrase.Shown(line)})
			}
			break
		}
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

// line reads one line. At the end of the input it returns what stands behind the
// last line end, with the error.
func (d *dialogue) line() (string, error) {
	var b strings.Builder
	for {
		part, err := d.in.ReadSlice('\n')
		if b.Len() <= mostLine {
			b.Write(part)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		return strings.TrimSpace(strings.TrimPrefix(b.String(), "\ufeff")), err
	}
}

// take does what one line says.
func (d *dialogue) take(line string) error {
	if len(line) > mostLine {
		return fmt.Errorf("found a line of more than %d characters, expected a reading or a word", mostLine)
	}
	switch line {
	case "":
		d.prompt()
		return nil
	case "help", "?":
		_, _ = io.WriteString(d.out, dialogueHelp+"\n\n") // the output remembers trouble
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
	change, err := d.Do(e)
	if err != nil {
		return err
	}
	d.answer(e, change)
	return nil
}

// parseEvent reads a line of the dialogue.
func parseEvent(line string, v guide.View) (guide.Event, error) {
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	if v.Step.Kind == guide.Ask && slices.Contains(v.Step.Question.Answers(), strings.ToLower(line)) {
		return guide.Event{Kind: guide.Answer, Text: line}, nil
	}
	if kind := recorder.BareKind(word); kind != 0 {
		if rest != "" {
			return guide.Event{}, fmt.Errorf("found %s behind %s, expected nothing there", phrase.Shown(rest), word)
		}
		return guide.Event{Kind: kind}, nil
	}
	switch word {
	case "by":
		return guide.Event{Kind: guide.Operator, Text: rest}, nil
	case "strike":
		number, reason, _ := strings.Cut(rest, " ")
		n, err := strconv.Atoi(number)
		if err != nil {
			return guide.Event{}, fmt.Errorf("found %s behind strike, expected the number of a reading and the reason\n  hint: `list` shows the numbers", phrase.Shown(number))
		}
		return guide.Event{Kind: guide.Strike, Row: n, Text: reason}, nil
	case "next":
		e := guide.Event{Kind: guide.Choose, Item: rest}
		for _, way := range []sheet.Approach{sheet.Forward, sheet.Backward} {
			if item, ok := strings.CutSuffix(rest, " "+way.String()); ok {
				e.Item, e.Approach = item, way
			}
		}
		return e, nil
	}
	if !strings.ContainsAny(line[:1], "0123456789+-.,") && !strings.HasPrefix(line, "−") {
		return guide.Event{}, fmt.Errorf("found %s, expected a reading or one of the words\n  hint: `help` lists them", phrase.Shown(line))
	}
	e := guide.Event{Kind: guide.Read, Text: line}
	for _, remark := range []struct {
		word string
		to   *string
	}{{" struck ", &e.Struck}, {" note ", &e.Note}} {
		if before, after, ok := strings.Cut(e.Text, remark.word); ok {
			e.Text, *remark.to = before, after
		}
	}
	return e, nil
}

// answer says what came of an event, and what is next. Only now is a reading
// acknowledged: it is on the disk.
func (d *dialogue) answer(e guide.Event, change guide.Change) {
	r := d.Words()
	switch {
	case change.Add != nil:
		_, _ = fmt.Fprintln(d.out, "kept: "+r.Saved(*change.Add))
	case change.Sheet != nil:
		_, _ = fmt.Fprintln(d.out, "kept: on the sheet")
	case e.Kind == guide.Undo:
		_, _ = fmt.Fprintln(d.out, "undone: "+phrase.Count(len(d.State().Rows()), "reading")+" kept")
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
	if n := len(last); n > 0 && last[n-1].Item != "stop" {
		for _, l := range r.Lines() {
			if l.Name == inputerror.Visible(last[n-1].Item) || last[n-1].Item == "closing" && l.Read {
				about = append(about, document.Sentence{Text: strings.TrimSuffix(fmt.Sprintf("%s: %s, %s %s, %s", l.Name, l.OffBy, l.Verdict, l.Allowed, l.Fitted), ", ")})
			}
		}
	}
	for _, text := range r.Doubts() {
		about = append(about, document.Sentence{Lead: "LOOK", Text: text})
	}
	d.say(about...)
}

// prompt says what to do next.
func (d *dialogue) prompt() {
	r := d.Words()
	step := d.State().View().Step
	text := r.Step()
	switch step.Kind {
	case guide.Ask:
		if words := step.Question.Answers(); words != nil {
			text += " (" + phrase.OneOf(words) + ")"
		}
	case guide.Fit:
		text += " Then type in."
	case guide.TakeOut:
		text += " Then type out."
	case guide.Decide:
		text += " (new, next WHAT, report or pause)"
	}
	d.say(document.Space{}, document.Sentence{Lead: r.Task() + " (" + r.Where() + ")", Text: text})
	_, _ = io.WriteString(d.out, "> ")
}

func (d *dialogue) report() error {
	v := d.State().View()
	if v.Result == nil {
		return errors.New(d.Words().Trouble())
	}
	d.say(report.Audit(*v.Result, v.Next, document.Options{Path: d.Sheet(), Software: d.software})...)
	d.prompt()
	return nil
}

func (d *dialogue) refuse(err error) {
	var output *world.Unwritten
	text := err.Error()
	if errors.As(err, &output) {
		text = recorder.NotKept(err)
	}
	_, _ = io.WriteString(d.out, "not taken: "+text+"\n> ")
}

// end says where things stand.
func (d *dialogue) end() {
	v := d.State().View()
	d.say(document.Space{}, document.Sentence{Text: fmt.Sprintf("Stopped here, with %s kept in %s. `markaudit record %s` goes on, `markaudit audit %s` reports.",
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

// say prints blocks as a report does.
func (d *dialogue) say(blocks ...document.Block) {
	if err := document.Text(d.out, blocks); err != nil {
		return // the output remembers it, and the exit status tells
	}
}
