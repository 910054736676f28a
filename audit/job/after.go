package job

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/enum"
	"markaudit/audit/sheet"
)

// After is what a question about the time after scribing asks for.
type After uint8

// Who: who scribed, and by which sheet. Dividers: the distance straight across
// between two lines. Again: readings of the new line, where the readout is still on.
// Light: whether a timing light agrees with a line. Witness: whether a line of paint
// runs across hub, rubber and ring.
const (
	Who After = iota
	Dividers
	Again
	Light
	Witness
)

var afterWords = []string{"who", "dividers", "again", "light", "witness"}

func (a After) String() string { return enum.Word(afterWords, a) }

// Question is one question about the time after scribing. Every one may stay open.
type Question struct {
	Key      string // what an address names it by
	Asks     After
	Lines    []string // the two of Dividers, the one of Again, those to choose from for Light
	Answered bool     // the sheet has an answer
}

// Answer is what a person says to a question; what does not belong to it is empty.
type Answer struct {
	Name, Digest string   // of Who: who scribed, and 12 or 64 digits of the sheet
	Texts        []string // a distance with its unit, or readings as the readout shows them
	Line, Word   string   // of Light: the line, and Yes or No. Word of Witness as the sheet has it
	At           string   // at which speed the timing light was used
}

// Scribed reports whether the new line was said to be scribed by the orders that
// still stand.
func (s Standing) Scribed(r *audit.Result) bool {
	return r != nil && Scribes(*r) && (s.Stage == Proving || s.Stage == Done)
}

// Questions are those about the time after scribing, in the order in which one works.
// They follow from what was to be scribed: answers do not change them.
func Questions(r audit.Result) []Question {
	after := sheet.AfterScribing{}
	if r.Sheet.After != nil {
		after = *r.Sheet.After
	}
	var scribed []string // lines that were scribed anew
	for i, s := range r.Advice.Lines {
		if s.Worthwhile {
			scribed = append(scribed, r.Lines[i].Name)
		}
	}
	out := []Question{{Asks: Who, Answered: after.By != ""}}
	asked := func(from, to string) bool {
		return slices.ContainsFunc(out, func(q Question) bool {
			return q.Asks == Dividers && slices.Contains(q.Lines, from) && slices.Contains(q.Lines, to)
		})
	}
	// First those that show a new line on the wrong side.
	for _, d := range slices.Concat(r.Telling(), r.Distances()) {
		if asked(d.From, d.To) || !slices.Contains(scribed, d.From) && !slices.Contains(scribed, d.To) {
			continue // or the scriber was at neither
		}
		answered := slices.ContainsFunc(after.Dividers, func(o sheet.Divided) bool {
			return o.From == d.From && o.To == d.To || o.From == d.To && o.To == d.From
		})
		out = append(out, Question{Asks: Dividers, Lines: []string{d.From, d.To}, Answered: answered})
	}
	looked := scribed
	if len(scribed) == 0 { // the pointer was moved, which moves all lines: the first one read tells
		for _, l := range r.ByLine() {
			if l.Offset != nil {
				looked = []string{l.Name}
				break
			}
		}
	}
	for _, name := range looked {
		out = append(out, Question{Asks: Again, Lines: []string{name}, Answered: len(after.ReadAgain[name]) > 0})
	}
	if len(looked) > 0 {
		out = append(out, Question{Asks: Light, Lines: looked, Answered: after.TimingLight != nil})
	}
	if r.Sheet.Part.BondedRing {
		out = append(out, Question{Asks: Witness, Answered: after.WitnessLine != sheet.WitnessUnsaid})
	}
	many := map[After]int{}
	for i, q := range out {
		many[q.Asks]++
		out[i].Key = fmt.Sprintf("%v-%d", q.Asks, many[q.Asks])
	}
	return out
}

// NextOpen is the first question behind the one of that key that has no answer, from
// the beginning for an empty key; false where there is none.
func NextOpen(all []Question, behind string) (Question, bool) {
	from := slices.IndexFunc(all, func(q Question) bool { return q.Key == behind }) + 1
	for _, q := range all[from:] {
		if !q.Answered {
			return q, true
		}
	}
	return Question{}, false
}

// Stamp is what goes onto the sheet with the first answer, where it is not there yet.
type Stamp struct {
	Digest string // of the sheet by which it was scribed
	Day    string // such as 2026-03-14
}

// Write puts an answer onto the sheet of a question. The error says what was expected,
// or that the sheet is laid out in a way that only a person can change. What the
// answer comes to is judged by whoever reads the sheet.
func (q Question) Write(f sheet.Form, a Answer, stamp Stamp) (sheet.Form, error) {
	f, err := q.write(f, a)
	if err != nil {
		return f, err
	}
	// The questions come only after the check by eye was answered yes.
	for _, kept := range [][2]string{{"date", stamp.Day}, {"scribed_by", stamp.Digest}, {"eye_check", sheet.AsSaid.String()}} {
		if text, _ := f.Value(under(kept[0])); text != "" {
			continue
		}
		if f, err = f.Set(under(kept[0]), kept[1]); err != nil {
			return f, err
		}
	}
	return f, nil
}

// WriteFailed puts a check by eye that was not as said onto the sheet: whoever reads it
// gets no order then.
func WriteFailed(f sheet.Form, by string, stamp Stamp) (sheet.Form, error) {
	said := [][2]string{{"eye_check", sheet.NotAsSaid.String()}}
	if len(f.Keys(table)) == 0 {
		said = append([][2]string{{"by", by}, {"date", stamp.Day}}, said...)
	}
	for _, kept := range said {
		if kept[1] == "" {
			continue
		}
		var err error
		if f, err = f.Set(under(kept[0]), kept[1]); err != nil {
			return f, err
		}
	}
	return f, nil
}

// WithoutFailed takes a check by eye that was not as said off the sheet, so that it is
// made anew; a sheet without one stays as it is.
func WithoutFailed(f sheet.Form) (sheet.Form, error) {
	if text, _ := f.Value(under("eye_check")); text != sheet.NotAsSaid.String() {
		return f, nil
	}
	for _, key := range f.Keys(table) {
		if key != "by" && key != "date" && key != "eye_check" {
			return f.Remove(under("eye_check"))
		}
	}
	return f.Remove(table)
}

func (q Question) write(f sheet.Form, a Answer) (sheet.Form, error) {
	said := slices.DeleteFunc(slices.Clone(a.Texts), func(text string) bool { return text == "" })
	switch q.Asks {
	case Who:
		if a.Name == "" {
			return f, errors.New("found no name, expected who scribed the new line")
		}
		f, err := f.Set(under("by"), a.Name)
		if err != nil || a.Digest == "" {
			return f, err
		}
		return f.Set(under("scribed_by"), strings.ToLower(a.Digest))
	case Dividers:
		if len(said) == 0 {
			return f, errors.New("found no distance, expected what the dividers show, such as 104.5 mm")
		}
		return f.WithDistance(q.Lines[0], q.Lines[1], said[0])
	case Again:
		if len(said) == 0 {
			return f, errors.New("found no reading, expected what the readout shows at the new line")
		}
		return f.WithReadAgain(q.Lines[0], said...)
	case Light:
		switch {
		case !slices.Contains(q.Lines, a.Line):
			return f, errors.New("found no line, expected the one that you looked at")
		case a.Word != Yes && a.Word != No:
			return f, errors.New("found no answer, expected whether the timing light agrees")
		}
		pairs := [][2]string{{"line", a.Line}, {"agrees", a.Word}}
		if a.At != "" {
			pairs = append(pairs, [2]string{"at", a.At})
		}
		return f.SetTable("after_scribing.timing_light", pairs...)
	}
	var w sheet.WitnessLine
	if err := w.UnmarshalText([]byte(a.Word)); err != nil || w == sheet.WitnessUnsaid {
		return f, errors.New("found no answer, expected painted, broken or not done")
	}
	return f.Set(under("witness_line"), w.String())
}

const table inputerror.Path = "after_scribing"

func under(key string) inputerror.Path { return inputerror.Path("after_scribing." + key) }
