package sheet

import (
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/enum"
	"markaudit/geometry"
)

// AfterScribing is what was looked at before the scriber touched the metal and
// after it.
type AfterScribing struct {
	By, Date    string               `json:",omitzero"`
	ScribedBy   string               `json:",omitzero"` // digest of the sheet by which it was scribed, the whole or its first 12 digits
	EyeCheck    EyeCheck             `json:",omitzero"`
	Dividers    []Divided            `json:",omitzero"`
	ReadAgain   map[string][]Reading `json:",omitzero"` // on the readout as the last setup left it; only looked up: order comes from Sheet.Marks
	TimingLight *TimingLight         `json:",omitzero"` // nil: not said
	WitnessLine WitnessLine          `json:",omitzero"`
	Path        inputerror.Path      `json:",omitzero"`
}

// Divided is a distance straight across between two lines, taken after scribing.
type Divided struct {
	From, To string          `json:",omitzero"`
	Measured geometry.Length `json:",omitzero"`
	Path     inputerror.Path `json:",omitzero"`
}

// TimingLight is what a timing light showed of a line.
type TimingLight struct {
	Line   string `json:",omitzero"`
	Agrees bool   `json:",omitzero"`
	At     string `json:",omitzero"` // at what speed, as written
}

// EyeCheck is what the check by eye before scribing showed.
type EyeCheck uint8

// EyeUnsaid: the sheet does not say. AsSaid: the metal is as the report had it.
// NotAsSaid: it is not, so the sheet is wrong. EyeNotDone: nobody looked.
const (
	EyeUnsaid EyeCheck = iota
	AsSaid
	NotAsSaid
	EyeNotDone
)

var eyeCheckWords = []string{"not said", "as said", "not as said", "not done"}

func (e EyeCheck) String() string { return enum.Word(eyeCheckWords, e) }

// MarshalText writes the word.
func (e EyeCheck) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (e *EyeCheck) UnmarshalText(text []byte) error { return enum.From(e, eyeCheckWords, text) }

// WitnessLine is what became of the line of paint across hub, rubber and ring.
type WitnessLine uint8

// WitnessUnsaid: the sheet does not say. Painted: it is there and whole. Broken: it
// is in two pieces, so the ring has moved. NotPainted: there is none.
const (
	WitnessUnsaid WitnessLine = iota
	Painted
	Broken
	NotPainted
)

var witnessWords = []string{"not said", "painted", "broken", "not done"}

func (w WitnessLine) String() string { return enum.Word(witnessWords, w) }

// MarshalText writes the word.
func (w WitnessLine) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (w *WitnessLine) UnmarshalText(text []byte) error { return enum.From(w, witnessWords, text) }

// wordsBut are the words of an enumeration that a key takes: all but the first,
// which stands for none.
func wordsBut[T ~uint8](words []string) []choice[T] {
	var out []choice[T]
	for i, w := range words[1:] {
		out = append(out, choice[T]{w, T(i + 1)})
	}
	return out
}

// readAfterScribing reads what was found when the lines were scribed.
func readAfterScribing(t *fields, marks []Mark) *AfterScribing {
	in := t.under("after_scribing")
	if in.node == nil {
		return nil
	}
	a := &AfterScribing{Path: in.node.path, By: in.word("by"), Date: in.day("date"), ScribedBy: in.digest("scribed_by")}
	a.EyeCheck = chosen(in, "eye_check", wordsBut[EyeCheck](eyeCheckWords)...)
	a.WitnessLine = chosen(in, "witness_line", wordsBut[WitnessLine](witnessWords)...)
	const distances = "distances, each such as - {from: T, to: spark, measured: 16.4 mm}"
	in.entries("dividers", distances, mostMarks, func(f *fields) {
		a.Dividers = append(a.Dividers, Divided{From: f.word("from"), To: f.word("to"), Measured: f.length("measured", "16.4 mm"), Path: f.node.path})
		f.need("from", "the name of a line")
		f.need("to", "the name of the other line")
		f.need("measured", "the distance straight across, such as 16.4 mm")
	})
	longest := t.ruler.longest // the step of a chord is that of the measurement
	a.ReadAgain = lineReadings(in, "read_again", marks)
	t.ruler.longest = longest
	if light := in.under("timing_light"); light.node != nil {
		a.TimingLight = &TimingLight{
			Line: light.word("line"), At: light.word("at"),
			Agrees: chosen(light, "agrees", choice[bool]{"yes", true}, choice[bool]{"no", false}),
		}
		light.need("line", "the name of the line that was looked at")
		light.need("agrees", "yes or no: whether the line stood where it was set to")
		light.done()
	}
	in.done()
	if len(in.node.keys) == 0 {
		t.Fault(in.node.path, "found nothing, expected what was found, such as eye_check: as said", "leave the key out until something was scribed")
	}
	return a
}

// writeAfter writes what was found when the lines were scribed.
func writeAfter(b *strings.Builder, s Sheet) {
	a := s.After
	if a == nil {
		return
	}
	b.WriteString("after_scribing:\n")
	worded(b, "  ", "by", a.By)
	worded(b, "  ", "date", a.Date)
	if a.ScribedBy != "" {
		keyed(b, "  ", "scribed_by", `"`+a.ScribedBy+`"`)
	}
	if a.EyeCheck != EyeUnsaid {
		keyed(b, "  ", "eye_check", a.EyeCheck.String())
	}
	for i, d := range a.Dividers {
		if i == 0 {
			b.WriteString("  dividers:\n")
		}
		worded(b, "    - ", "from", d.From)
		worded(b, "      ", "to", d.To)
		keyed(b, "      ", "measured", number(float64(d.Measured))+" mm")
	}
	if len(a.ReadAgain) > 0 {
		b.WriteString("  read_again:\n")
	}
	writeReadings(b, "    ", s.Marks, a.ReadAgain)
	if l := a.TimingLight; l != nil {
		agrees := "no"
		if l.Agrees {
			agrees = "yes"
		}
		b.WriteString("  timing_light:\n")
		worded(b, "    ", "line", l.Line)
		keyed(b, "    ", "agrees", agrees)
		worded(b, "    ", "at", l.At)
	}
	if a.WitnessLine != WitnessUnsaid {
		keyed(b, "  ", "witness_line", a.WitnessLine.String())
	}
}

// WithDistance writes what dividers found between two lines after scribing. An
// entry of the same two lines is exchanged; the others stay.
func (f Form) WithDistance(from, to, measured string) (Form, error) {
	entry := flow([2]string{"from", from}, [2]string{"to", to}, [2]string{"measured", measured})
	entries, placed := []string{}, false
	if n := f.root.find("after_scribing.dividers"); n != nil {
		for _, item := range n.items {
			a, b := item.item("from").named(), item.item("to").named()
			switch {
			case !(a == from && b == to || a == to && b == from):
				entries = append(entries, item.flow())
			case !placed:
				entries, placed = append(entries, entry), true
			}
		}
	}
	if !placed {
		entries = append(entries, entry)
	}
	return f.setFlow("after_scribing.dividers", "["+strings.Join(entries, ", ")+"]")
}

// WithReadAgain writes the readings of a line that was read again after scribing, in
// the running direction. Earlier ones of this line go; those of others stay.
func (f Form) WithReadAgain(name string, readings ...string) (Form, error) {
	shown := make([]string, len(readings))
	for i, text := range readings {
		shown[i] = plain(text, true)
	}
	entry := plain(name, true) + ": [" + strings.Join(shown, ", ") + "]"
	entries, placed := []string{}, false
	if n := f.root.find("after_scribing.read_again"); n != nil {
		for i, item := range n.items {
			if n.keys[i] == name {
				entries, placed = append(entries, entry), true
				continue
			}
			entries = append(entries, plain(n.keys[i], true)+": "+item.flow())
		}
	}
	if !placed {
		entries = append(entries, entry)
	}
	return f.setFlow("after_scribing.read_again", "{"+strings.Join(entries, ", ")+"}")
}

// setFlow writes lists and tables on one line behind a key.
func (f Form) setFlow(path inputerror.Path, value string) (Form, error) {
	return f.set(path, value, func(n *node) bool { return n.flow() == value })
}

// flow is a table on one line.
func flow(pairs ...[2]string) string {
	shown := make([]string, len(pairs))
	for i, pair := range pairs {
		shown[i] = plain(pair[0], true) + ": " + plain(pair[1], true)
	}
	return "{" + strings.Join(shown, ", ") + "}"
}

// flow is what stands at a node, on one line.
func (n *node) flow() string {
	if n.kind == scalar {
		return plain(n.text, true)
	}
	shown := make([]string, len(n.items))
	for i, item := range n.items {
		shown[i] = item.flow()
		if n.kind == table {
			shown[i] = plain(n.keys[i], true) + ": " + shown[i]
		}
	}
	if n.kind == table {
		return "{" + strings.Join(shown, ", ") + "}"
	}
	return "[" + strings.Join(shown, ", ") + "]"
}
