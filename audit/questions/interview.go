package questions

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Interview is a sheet with the questions to it. It is a value: what takes an
// answer returns another.
type Interview struct {
	form   sheet.Form
	name   string
	open   sheet.Open
	sheet  sheet.Unfinished
	faults inputerror.List
}

const begun = `# A sheet for markaudit, filled in by questions. Every key can be changed by hand;
# markaudit new prints all there are, each with a comment.
format: 1

engine:
  turns:                        # clockwise or anticlockwise, as you look at the lines

part:
  marks_on:                     # part: the lines turn; engine: one turns past a scale

readout:
  step:                         # smallest step that is written down
  counts:                       # up or down, as a quarter turn showed

limits:
  tolerance:                    # each way, for every line without its own

marks:
`

// Begin returns the interview before its first answer.
func Begin() Interview {
	i, err := Read("new", []byte(begun), nil)
	if err != nil {
		panic("markaudit: the sheet to begin with cannot be read: " + err.Error())
	}
	return i
}

// Read takes a sheet as far as it is filled in. Name is how errors print it, open
// reads a file that the sheet names; nil when there can be none. The error says
// why it is no sheet; an open or a wrong value is none.
func Read(name string, text []byte, open sheet.Open) (Interview, error) {
	form, err := sheet.ReadForm(name, text)
	if err != nil {
		return Interview{}, err
	}
	return Interview{name: name, open: open}.with(form), nil
}

// with is the interview on another state of its sheet.
func (i Interview) with(form sheet.Form) Interview {
	if i.form.Text() != "" && form.Text() == i.form.Text() {
		return i
	}
	u, _, err := sheet.ReadUnfinished(i.name, []byte(form.Text()), i.open)
	i.form, i.sheet, i.faults = form, u, nil
	if !errors.As(err, &i.faults) && err != nil {
		i.faults = inputerror.List{{Text: err.Error()}}
	}
	return i
}

// Sheet is the sheet as it goes into a file.
func (i Interview) Sheet() []byte { return []byte(i.form.Text()) }

// Title is the job's title, empty while it has none.
func (i Interview) Title() string { return i.value("title") }

func (i Interview) value(path inputerror.Path) string {
	text, _ := i.form.Value(path)
	return text
}

// FileName is the title as the name of a file without its extension: small letters,
// digits and hyphens. It is empty where the title has none of them.
func (i Interview) FileName() string { return fileName(i.Title()) }

const longestFileName = 40

func fileName(title string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		switch {
		case 'a' <= r && r <= 'z' || '0' <= r && r <= '9':
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r) || r > unicode.MaxASCII: // left out, no gap
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() == longestFileName {
			break
		}
	}
	return strings.Trim(b.String(), "-")
}

// Next returns the question to go on with after one was answered: the first that is
// open at its place or behind it. An empty key begins at the top. It is false where
// none is left there; earlier ones may be open still.
func (i Interview) Next(key string) (Question, bool) { return i.from(key, 0) }

// Behind returns the first open question behind one that is left open.
func (i Interview) Behind(key string) (Question, bool) { return i.from(key, 1) }

func (i Interview) from(key string, behind int) (Question, bool) {
	all := i.items()
	at := slices.IndexFunc(all, func(x item) bool { return x.Key == key })
	switch {
	case at < 0:
		at = 0
	case key == linesKey && behind == 0: // the place of the new line comes before the next
		for at+1 < len(all) && all[at+1].mark > 0 {
			at++
			if all[at].open(i) {
				return all[at].shown(i), true
			}
		}
		at = slices.IndexFunc(all, func(x item) bool { return x.Key == key })
	default:
		at += behind
	}
	for _, x := range all[at:] {
		if x.open(i) {
			return x.shown(i), true
		}
	}
	return Question{}, false
}

// Before returns the key of the question that stands before one; empty for the
// first, and for a rare one.
func (i Interview) Before(key string) string {
	before := ""
	for _, x := range i.items() {
		if x.Key == key {
			return before
		}
		before = x.Key
	}
	return ""
}

// Question returns a question by its key, answered or not, a rare one too.
func (i Interview) Question(key string) (Question, bool) {
	x, ok := i.item(key)
	return x.shown(i), ok
}

func (i Interview) item(key string) (item, bool) {
	for _, x := range append(i.items(), rareItems(i)...) {
		if x.Key == key {
			return x, true
		}
	}
	return item{}, false
}

// Open lists what is due and not answered, in order.
func (i Interview) Open() (all []Question) {
	for _, x := range i.items() {
		if x.open(i) {
			all = append(all, x.shown(i))
		}
	}
	return all
}

// More lists the rare questions.
func (i Interview) More() (all []Question) {
	for _, x := range rareItems(i) {
		all = append(all, x.shown(i))
	}
	return all
}

// Progress says how many of the questions that are due were answered.
func (i Interview) Progress() (answered, of int) {
	all := i.items()
	for _, x := range all {
		if !x.open(i) {
			answered++
		}
	}
	return answered, len(all)
}

// Ready reports whether readings can be taken with the sheet as it is. On a sheet
// that was filled in by hand, what it leaves out is as its defaults say; one that
// is filled in by questions waits for the answers.
func (i Interview) Ready() bool {
	if len(i.faults) > 0 {
		return false
	}
	return !i.Begun() || !slices.ContainsFunc(i.Open(), func(q Question) bool { return q.Needed == Recording })
}

// Begun reports whether the sheet was begun by questions.
func (i Interview) Begun() bool {
	first, _, _ := strings.Cut(begun, "\n")
	return strings.Contains(i.form.Text(), first)
}

// Faults are what is wrong with the sheet beside the questions that are open: the
// work of another hand.
func (i Interview) Faults() inputerror.List {
	open := i.items()
	open = slices.DeleteFunc(open, func(x item) bool { return !x.open(i) })
	return slices.DeleteFunc(slices.Clone(i.faults), func(f inputerror.Fault) bool {
		return slices.ContainsFunc(open, func(x item) bool { return x.explains(f) })
	})
}

// Said is an answer said back.
type Said struct {
	Text string
	Look bool // the answer was not kept: it does not agree with others, and all are asked again
}

// mostAnswer bounds what one answer may hold, in bytes.
const mostAnswer = 200

// Answer takes an answer as it was typed, or the value of a choice. It returns the
// interview with it, and the answer said back. The error says why it cannot be
// taken; nothing is written then.
func (i Interview) Answer(key, said string) (Interview, Said, error) {
	x, ok := i.item(key)
	switch {
	case !ok:
		return i, Said{}, refuse("there is no such question now", "")
	case len(said) > mostAnswer:
		return i, Said{}, refuse("found a very long answer, expected at most 200 characters", "")
	case !utf8.ValidString(said) || strings.IndexFunc(strings.TrimSpace(said), inputerror.Invisible) >= 0:
		return i, Said{}, refuse("found a character that cannot be seen, expected plain text", "")
	}
	said = strings.Join(strings.Fields(said), " ")
	if said == "" && !x.Rare {
		return i, Said{}, refuse("found nothing, expected an answer", "what is not known can be left open")
	}
	form, err := x.take(i, said)
	if err != nil {
		return i, Said{}, byHand(err)
	}
	j := i.with(form)
	if i.of(noteAgain) == "" && j.threeDisagree() {
		return i.askThreeAgain()
	}
	if x.three() && j.of(noteAgain) != "" {
		switch {
		case j.threeDisagree():
			return i.askThreeAgain()
		case j.value("engine.turns") != "" && j.value("part.marks_on") != "" && j.value("part.btdc_lines") != "":
			j = j.with(j.note(noteAgain, ""))
		}
	}
	known := i.Faults()
	for _, f := range j.Faults() {
		if !slices.Contains(known, f) {
			return i, Said{}, refuse(f.Text, f.Hint)
		}
	}
	j = j.with(j.note(lastOf(key), ""))
	after, ok := j.item(key)
	text := ""
	if ok {
		text = after.say(j)
	}
	if text == "" && x.mark > 0 || key == linesKey {
		text = j.linesSaid(i)
	}
	if ok && after.added != nil && string(j.Sheet()) != string(i.Sheet()) {
		text = after.added(j)
	}
	if key == "rim" && text != "" {
		text += " Would a tape round it read that?"
	}
	return j, Said{Text: text}, nil
}

// threeDisagree reports whether direction, lines and the side of the BTDC lines
// contradict each other.
func (i Interview) threeDisagree() bool {
	return slices.ContainsFunc(i.faults, func(f inputerror.Fault) bool {
		return f.Path == "part.btdc_lines" && strings.Contains(f.Text, "contradicts")
	})
}

// askThreeAgain opens the three that do not agree. One of them is wrong, and
// nothing here can tell which.
func (i Interview) askThreeAgain() (Interview, Said, error) {
	form, err := i.clear("engine.turns", "part.marks_on", "part.btdc_lines")
	if err != nil {
		return i, Said{}, byHand(err)
	}
	i = i.with(form)
	return i.with(i.note(noteAgain, "yes")), Said{Text: againText, Look: true}, nil
}

const againText = "Running direction, what carries the lines, and the side of the BTDC lines do not agree. One of the three is wrong, so none of them is kept. Go and look at each again."

// againNow says it while the three are answered anew: what was is not kept, what is
// answered since is.
func (i Interview) againNow() string {
	open := 0
	for _, path := range []inputerror.Path{"engine.turns", "part.marks_on", "part.btdc_lines"} {
		if i.value(path) == "" {
			open++
		}
	}
	if open == 3 {
		return againText
	}
	return fmt.Sprintf("Running direction, what carries the lines, and the side of the BTDC lines did not agree. %d of 3 still to answer.", open)
}

// Number is the place of a question among those that are due, from 1, and how many there
// are; 0 for one that is not. The lines count as one, however many there are.
func (i Interview) Number(key string) (n, of int) {
	for _, x := range i.items() {
		if x.mark == 0 || x.Key != fmt.Sprintf("line-%d", x.mark) {
			of++
		}
		if x.Key == key {
			n = of
		}
	}
	return n, of
}

// Statements reads all answers back, in order, and what is open between them.
func (i Interview) Statements() (all []Statement) {
	for _, x := range i.items() {
		switch text := x.say(i); {
		case x.open(i):
			all = append(all, Statement{x.Key, "Open: " + x.Ask + " " + x.Without, true, x.Needed})
		case text != "":
			all = append(all, Statement{Key: x.Key, Text: text})
		}
	}
	for _, x := range rareItems(i) {
		if text := x.say(i); text != "" && (x.Key != "part-name" || i.value("part.marks_on") != "part") { // else it is said with what carries the lines
			all = append(all, Statement{Key: x.Key, Text: text})
		}
	}
	return all
}

// ReadBack is the answer to a question said back in a sentence; empty while it is open.
func (i Interview) ReadBack(key string) string {
	x, ok := i.item(key)
	if !ok {
		return ""
	}
	if n := i.marks(); key == linesKey && x.open(i) && n > 0 {
		return i.lineSaid(n)
	}
	if x.added != nil {
		return x.added(i)
	}
	return x.say(i)
}

// coarseStep is the step in degrees above which it is asked back: wheels for engines are
// graduated in single degrees, some in two. Common practice, no source.
const coarseStep = 2

// Doubt asks back about the answer to a question that can be right and seldom is, as a
// sentence; empty for any other.
func (i Interview) Doubt(key string) string {
	text := i.value("readout.step")
	if kind := i.value("readout.kind"); key != "step" || kind == "rim" || kind == "dial" {
		return ""
	}
	if degrees, err := strconv.ParseFloat(text, 64); err != nil || degrees <= coarseStep {
		return ""
	}
	return "A step of " + text + "° is coarse: it is the smallest difference that you can read, not how far you turn. No line is then known closer than about half of it."
}

// required are the keys that stay on the sheet while they are open, as in the
// empty form.
var required = []inputerror.Path{"engine.turns", "part.marks_on", "readout.step", "readout.counts", "limits.tolerance"}

// clear opens keys: what a sheet needs stays there without a value.
func (i Interview) clear(paths ...inputerror.Path) (form sheet.Form, err error) {
	form = i.form
	for _, path := range paths {
		if slices.Contains(required, path) {
			form, err = form.Set(path, "")
		} else {
			form, err = form.Remove(path)
		}
		if err != nil {
			return form, err
		}
	}
	return form, nil
}

func refuse(text, hint string) error { return &geometry.Refusal{Text: text, Hint: hint} }

// byHand says what to do where a sheet cannot be changed here. Refusals are passed
// on.
func byHand(err error) error {
	var refused *geometry.Refusal
	if errors.As(err, &refused) {
		return err
	}
	return refuse(err.Error(), "open it in an editor and write the answer there; the questions go on from what it then says")
}

// decimal is a number with its comma as a point, where only one number can be
// meant.
func decimal(text string) string {
	i := strings.IndexByte(text, ',')
	if i > 0 && i+1 < len(text) && strings.Count(text, ",") == 1 && isDigit(text[i-1]) && isDigit(text[i+1]) && !strings.Contains(text[:i], ".") {
		return text[:i] + "." + text[i+1:]
	}
	return text
}

// decimals does so for each part of a value with a limit, and writes ± for +/-.
func decimals(text string) string {
	text = strings.ReplaceAll(text, "+/-", "±")
	parts := strings.SplitAfter(text, "±")
	for i, part := range parts {
		parts[i] = decimal(part)
	}
	return strings.Join(parts, "")
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }
