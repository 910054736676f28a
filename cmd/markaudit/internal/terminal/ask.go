package terminal

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"markaudit/audit/questions"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// asked leads through the questions of a new job line by line.
type asked struct {
	i    questions.Interview
	in   *bufio.Reader
	out  io.Writer // remembers trouble, so that nothing here has to
	save func(before, after []byte) error
	q    questions.Question
	told []questions.Statement // as they were numbered last
	more []questions.Question  // the same of the rare ones
	list bool                  // the list of answers is shown, no question
	sure string                // an answer that turns readings round, until somebody says yes
}

const askHelp = `Type the answer, or the letter of a choice. Every answer goes onto the sheet at once.

open       leave this question open; it is said what stays shut
back       to the question before
list       all answers; change N goes to answer N of the list
more       what few jobs need; more N asks it
off        takes a rare answer off the sheet again
next       the first open question
pause      stop here; the same command goes on another day`

// Ask leads through the questions of a sheet until the person is done with them, or
// the input ends. Save writes the sheet after every answer. Asked anew, it goes on
// with what is open. The error is that of a sheet that could not be written.
func Ask(i questions.Interview, in *bufio.Reader, out io.Writer, save func(before, after []byte) error) (questions.Interview, error) {
	a := &asked{i: i, in: in, out: out, save: save}
	a.say(document.Sentence{Text: "Every answer goes onto the sheet at once. `help` lists what can be typed, `pause` stops here."}, document.Space{})
	a.first()
	for {
		line, err := a.line()
		if err != nil || line == "pause" || line == "quit" {
			break
		}
		done, err := a.take(line)
		var output *world.Unwritten
		switch {
		case errors.As(err, &output):
			return a.i, err
		case err != nil:
			a.refuse(err)
		case done:
			return a.i, nil
		}
	}
	a.end()
	return a.i, nil
}

// line reads one line; what stands behind the last line end counts as one.
func (a *asked) line() (string, error) {
	line, err := a.in.ReadString('\n')
	if line = strings.TrimSpace(strings.TrimPrefix(line, "\ufeff")); err != nil && line == "" {
		return "", err
	}
	return line, nil
}

// first asks the first open question, or shows all answers.
func (a *asked) first() {
	if q, open := a.i.Next(""); open {
		a.ask(q)
		return
	}
	a.answers()
}

func (a *asked) take(line string) (done bool, err error) {
	word, rest, _ := strings.Cut(line, " ")
	n, nerr := strconv.Atoi(rest)
	switch {
	case a.sure != "":
		said := a.sure
		a.sure = ""
		if strings.EqualFold(line, "yes") {
			return false, a.answer(said, true)
		}
		a.say(document.Sentence{Text: "Left as it is."})
		a.answers()
	case line == "":
		a.prompt()
	case line == "help" || line == "?":
		_, _ = io.WriteString(a.out, askHelp+"\n\n") // the output remembers trouble
		a.prompt()
	case line == "open" && !a.list:
		a.open()
	case line == "back" && !a.list:
		if q, ok := a.i.Question(a.i.Before(a.q.Key)); ok {
			a.ask(q)
		} else {
			a.answers()
		}
	case line == "list":
		a.answers()
	case line == "next":
		a.first()
	case line == "more":
		a.rare()
	case word == "more" && nerr == nil && 1 <= n && n <= len(a.more):
		q, _ := a.i.Question(a.more[n-1].Key)
		a.ask(q)
	case word == "change" && nerr == nil && 1 <= n && n <= len(a.told):
		q, _ := a.i.Question(a.told[n-1].Key)
		a.ask(q)
	case a.list && strings.EqualFold(line, "done") && a.i.Ready():
		return true, nil
	case a.list:
		return false, fmt.Errorf("found %s, expected done, or change N with a number of the list", phrase.Shown(line))
	case line == "off" && a.q.Rare:
		return false, a.answer("", false)
	default:
		return false, a.answer(a.chosen(line), false)
	}
	return false, nil
}

// chosen is the value of a choice by its letter, else what was typed.
func (a *asked) chosen(line string) string {
	for n, c := range a.q.Choices {
		if strings.EqualFold(line, letter(n)) {
			return c.Value
		}
	}
	return line
}

func letter(n int) string { return string(rune('a' + n)) }

// answer takes an answer, writes the sheet and says the answer back.
func (a *asked) answer(said string, sure bool) error {
	after, told, err := a.i.Answer(a.q.Key, said)
	if err != nil {
		return err
	}
	changed := string(after.Sheet()) != string(a.i.Sheet())
	if a.q.TurnsRound != "" && changed && !sure {
		a.sure = said
		a.say(document.Sentence{Lead: "LOOK", Text: "Readings were taken already. " + a.q.TurnsRound + " Change it all the same? (yes, no)"})
		_, _ = io.WriteString(a.out, "> ")
		return nil
	}
	if doubt := after.Doubt(a.q.Key); doubt != "" && changed && !sure {
		a.sure = said
		a.say(document.Sentence{Lead: "LOOK", Text: doubt + " Is it so? (yes, no)"})
		_, _ = io.WriteString(a.out, "> ")
		return nil
	}
	if changed {
		if err := a.save(a.i.Sheet(), after.Sheet()); err != nil {
			return err
		}
	}
	a.i = after
	if told.Look {
		a.say(document.Sentence{Lead: "LOOK", Text: told.Text}, document.Space{})
		for _, q := range a.i.Open() {
			if q.Look != "" {
				a.ask(q)
				return nil
			}
		}
	}
	if told.Text != "" {
		a.say(document.Sentence{Text: words.Clean(told.Text)})
	}
	a.say(document.Space{})
	if a.q.Rare {
		a.list = true
		a.say(document.Sentence{Text: "Type `more` for what else few jobs need, or `list` to go back."})
		a.prompt()
		return nil
	}
	a.following(a.i.Next(a.q.Key))
	return nil
}

func (a *asked) open() {
	if a.q.Without != "" && a.q.Now == "" {
		a.say(document.Sentence{Text: "Left open. " + a.q.Without}, document.Space{})
	}
	a.following(a.i.Behind(a.q.Key))
}

func (a *asked) following(q questions.Question, more bool) {
	if more {
		a.ask(q)
		return
	}
	a.answers()
}

// ask shows a question.
func (a *asked) ask(q questions.Question) {
	a.q, a.list = q, false
	answered, of := a.i.Progress()
	lead := fmt.Sprintf("%d OF %d ANSWERED", answered, of)
	if q.Rare {
		lead = "MORE"
	}
	blocks := []document.Block{document.Sentence{Lead: lead, Text: words.Clean(q.Ask)}}
	if q.Help != "" {
		blocks = append(blocks, document.Sentence{Text: words.Clean(q.Help)})
	}
	if q.Last != "" {
		blocks = append(blocks, document.Sentence{Text: "Last time: " + words.Clean(q.Last) + ". It may differ on this engine, so look again."})
	}
	if now := a.i.ReadBack(q.Key); q.Now != "" && now != "" {
		blocks = append(blocks, document.Sentence{Text: "The sheet says now: " + words.Clean(now)})
	}
	a.say(blocks...)
	for n, c := range q.Choices {
		text := "  " + letter(n) + "  " + words.Clean(c.Words)
		if c.More != "" {
			text += ": " + words.Clean(c.More)
		}
		_, _ = fmt.Fprintln(a.out, text)
	}
	if q.Example != "" && (q.Kind != questions.Choose || q.Free) {
		_, _ = fmt.Fprintln(a.out, "  such as "+q.Example)
	}
	a.prompt()
}

func (a *asked) prompt() { _, _ = io.WriteString(a.out, "> ") }

// answers reads everything back, and says what is open.
func (a *asked) answers() {
	a.list = true
	a.told = a.i.Statements()
	a.say(document.Sentence{Lead: "THE ANSWERS", Text: "Read them once more. Is all of it right?"})
	for n, s := range a.told {
		_, _ = fmt.Fprintf(a.out, "%3d  %s\n", n+1, words.Clean(s.Text))
	}
	for _, f := range a.i.Faults() {
		a.say(document.Sentence{Lead: "LOOK", Text: words.Clean(f.Path.Said() + ": " + f.Text)})
	}
	if a.i.Ready() {
		a.say(document.Sentence{Text: "Type `done` to measure, `change 3` to answer line 3 anew, `more` for what few jobs need."})
	} else {
		a.say(document.Sentence{Text: "Nothing can be recorded yet. Type `next` for the first open question, or `pause`."})
	}
	a.prompt()
}

// rare lists what few jobs need.
func (a *asked) rare() {
	a.list = true
	a.more = a.i.More()
	a.say(document.Sentence{Lead: "MORE", Text: "None of these is needed. What you know makes the ± shorter, or the report plainer."})
	for n, q := range a.more {
		now := ""
		if q.Now != "" {
			now = " Now: " + words.Clean(q.Now)
		}
		_, _ = fmt.Fprintf(a.out, "%3d  %s%s\n", n+1, words.Clean(q.Ask), now)
	}
	a.say(document.Sentence{Text: "Type `more 3` to answer line 3, or `list` to go back."})
	a.prompt()
}

// end says where the questions were left.
func (a *asked) end() {
	_, _ = io.WriteString(a.out, "\n")
	var shut int
	for _, q := range a.i.Open() {
		if q.Needed == questions.Recording {
			shut++
		}
	}
	if shut > 0 {
		a.say(document.Sentence{Text: "Stopped here. Before anything is recorded: " + phrase.Count(shut, "more question") + "."})
		return
	}
	a.say(document.Sentence{Text: "Stopped here. Every answer is on the sheet."})
}

func (a *asked) refuse(err error) {
	text, hint, _ := strings.Cut(err.Error(), "\n  hint: ")
	a.say(document.Sentence{Lead: "NOT TAKEN", Text: words.Sentence(words.Clean(text))})
	if hint != "" {
		a.say(document.Sentence{Text: words.Sentence(words.Clean(hint))})
	}
	a.prompt()
}

func (a *asked) say(blocks ...document.Block) {
	if err := document.Text(a.out, blocks); err != nil {
		return // the output remembers it, and the exit status tells
	}
}
