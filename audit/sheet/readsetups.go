package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

func readSetups(r *reader, n *node, marks []Mark) (setups []Setup) {
	if n.kind != list {
		r.wrongKind(n, "a list of setups, each beginning with a dash")
		return nil
	}
	if len(n.items) == 0 {
		r.Fault(n.path, "found an empty list, expected at least one setup", "")
	}
	for i, item := range n.items {
		s := Setup{Name: strconv.Itoa(i + 1), Path: item.path}
		if t := r.fieldsOf(item, "stop: and marks: of a setup"); t != nil {
			s.By, s.Date, s.Note = t.word("by"), t.word("date"), t.word("note")
			s.Mounting, s.Fitting, s.Cylinder = t.word("mounting"), t.word("fitting"), t.word("cylinder")
			readMethod(t, &s)
			if r.dial {
				s.ClosingTop = readClosingTop(t)
			} else {
				s.Closing = readClosing(t)
			}
			s.Marks = lineReadings(t, "marks", marks)
			t.done()
		}
		setups = append(setups, s)
	}
	return setups
}

// readMethod reads how a setup found TDC, in one of three ways.
func readMethod(t *fields, s *Setup) {
	ways := []string{"stop", "equal_drop", "sweep", "top"}
	var found []string
	for _, way := range ways {
		if t.get(way); t.node.item(way) != nil {
			found = append(found, way)
		}
	}
	if len(found) == 0 {
		if t.node != nil && slices.ContainsFunc(t.node.keys, func(k string) bool { return inputerror.Nearest(k, ways) != "" }) {
			return // misspelt, which is said where it stands
		}
		if t.reader.dial {
			t.missing(t.path("top"), "what the dial shows at the piston's highest point, such as [0.00 mm, 0.01 mm]", "")
			return
		}
		t.missing(t.path("stop"), "the contacts with the stop, forward: and backward:", "without a stop: equal_drop: or sweep:")
		return
	}
	if len(found) > 1 {
		t.Fault(t.path(found[1]), "found "+found[0]+" as well, expected one of "+strings.Join(ways[:3], ", "), "begin a new setup for the other; with the same mounting: where the readout stayed")
	}
	switch found[0] {
	case "stop":
		s.Trials = readStop(t)
	case "equal_drop":
		s.Method, s.Drops = EqualDrop, readDrops(t)
	case "sweep":
		s.Method, s.Sweep = Sweep, readSweep(t)
	case "top":
		s.Method, s.Top = AtTop, readTop(t)
	}
}

func readStop(t *fields) (trials []Trial) {
	const contacts = "readings in brackets, such as [338.0, 338.5]"
	stop := t.under("stop")
	forward, backward := stop.list("forward", contacts), stop.list("backward", contacts)
	stop.done()
	stop.need("forward", "contacts reached turning the way the engine runs")
	stop.need("backward", "contacts reached turning against the way it runs")
	if forward == nil || backward == nil {
		return nil
	}
	f, goodF := t.reader.list(forward, Forward)
	b, goodB := t.reader.list(backward, Backward)
	switch {
	case !goodF || !goodB: // a missing comma, perhaps
	case len(f) != len(b):
		t.Fault(stop.node.path, fmt.Sprintf("found %s and %d backward, expected as many forward as backward",
			inputerror.Count(len(f), "forward contact"), len(b)), "strike a contact instead of leaving it out: 338.5 struck wrench slipped")
	case len(f) == 0:
		t.Fault(stop.node.path, "found no contact, expected at least one pair", "")
	default:
		for i := range f {
			trials = append(trials, Trial{Forward: &f[i], Backward: &b[i]})
		}
	}
	return trials
}

func readClosing(t *fields) *Trial {
	pair := t.under("closing")
	if pair.node == nil {
		return nil
	}
	var both [2]*Reading
	for i, key := range []string{"forward", "backward"} {
		if n := pair.get(key); n != nil {
			if reading, ok := t.reader.reading(n, Approach(i+1)); ok {
				both[i] = &reading
			}
		}
		pair.need(key, "one reading")
	}
	pair.done()
	return &Trial{Forward: both[0], Backward: both[1]}
}

// lineReadings reads the readings of each line under a key.
func lineReadings(t *fields, key string, marks []Mark) map[string][]Reading {
	names := make([]string, len(marks))
	for i, m := range marks {
		names[i] = m.Name
	}
	all := t.under(key)
	if all.node == nil {
		return nil
	}
	found := make(map[string][]Reading, len(names))
	for _, name := range names {
		if n := all.get(name); n != nil {
			found[name] = t.reader.markReading(n)
		}
	}
	if !t.unnamed {
		all.unknown = "no line of this name under marks"
		all.done()
	}
	return found
}

// markReading reads a list or a single number as approached forward.
func (r *reader) markReading(n *node) (all []Reading) {
	const expected = "readings such as [0.5, 0.0], or forward: and backward: with them"
	if n.kind != table {
		all, _ = r.list(n, Forward)
		if n.kind == list && len(n.items) == 0 {
			r.Fault(n.path, "found an empty list, expected "+expected, "leave out a line that was not read")
		}
		return all
	}
	t := &fields{reader: r, node: n}
	for i, key := range []string{"forward", "backward"} {
		if side := t.get(key); side != nil {
			readings, _ := r.list(side, Approach(i+1))
			all = append(all, readings...)
			if side.kind == list && len(side.items) == 0 {
				r.Fault(side.path, "found an empty list, expected "+expected, "leave out a side that was not read")
			}
		}
	}
	t.done()
	if len(n.keys) == 0 {
		r.Fault(n.path, "found nothing, expected "+expected, "")
	}
	return all
}

// list reads a list of readings, or a single one, taken in one approach. As
// many come back as were written; ok says that all could be read.
func (r *reader) list(n *node, a Approach) (all []Reading, ok bool) {
	if n.kind != list {
		one, ok := r.reading(n, a)
		return []Reading{one}, ok
	}
	ok = true
	all = make([]Reading, 0, len(n.items))
	for _, item := range n.items {
		one, good := r.reading(item, a)
		all, ok = append(all, one), ok && good
	}
	return all, ok
}

func (r *reader) reading(n *node, a Approach) (Reading, bool) {
	f := Reading{Approach: a, Path: n.path}
	text, ok := r.scalar(n, "a reading")
	if !ok {
		return f, false
	}
	if value, reason, found := cutWord(text, "struck"); found {
		if f.Struck, f.Reason, text = true, reason, value; reason == "" {
			r.Fault(n.path, "found struck without a reason, expected one after it", "such as 338.5 struck wrench slipped")
			return f, false
		}
	}
	f.Text = text
	return f, r.value(&f, text)
}

// value reads what the readout showed.
func (r *reader) value(f *Reading, text string) bool {
	if r.dial {
		return r.shown(f, text)
	}
	if r.ruler.on {
		return r.length(f, text)
	}
	v, letters, err := geometry.ParseAngle(text)
	if err != nil {
		if r.Faulted["readout.kind"] && isLength(text) {
			r.Faulted[f.Path] = true // a rim, perhaps
			return false
		}
		r.Refusal(f.Path, err)
		return false
	}
	f.Value, f.Lettered = v, letters != geometry.NoLetters
	return true
}

// length reads what was measured from the chalk line on the rim.
func (r *reader) length(f *Reading, text string) bool {
	upper := strings.ToUpper(text)
	if strings.HasSuffix(upper, "BTDC") || strings.HasSuffix(upper, "ATDC") {
		r.Fault(f.Path, "found "+inputerror.Shown(text)+", expected the length alone", "on a rim a sign says the side of the chalk line")
		return false
	}
	l, _, err := geometry.ParseLength(text)
	if err != nil {
		r.Refusal(f.Path, err)
		return false
	}
	u := &r.ruler
	if !u.known {
		r.Faulted[f.Path] = true // there is nothing to judge it by
		return false
	}
	f.Measured, f.Length = true, l
	if !u.chord {
		f.Value = u.arc(l)
		return true
	}
	a, err := u.rim.AngleFromChord(l)
	if err != nil {
		r.Fault(f.Path, fmt.Sprintf("found %s, and a chord cannot be longer than the diameter of %v", inputerror.Shown(text), u.rim.Diameter), "beyond half way round measure with a tape")
		return false
	}
	f.Value = u.turns * a
	if !f.Struck {
		u.longest = max(u.longest, geometry.Length(math.Abs(float64(l))))
	}
	return true
}

// shown reads what a dial shows, with the side of TDC behind it or without.
func (r *reader) shown(f *Reading, text string) bool {
	number, side := cutSide(text)
	l, _, err := geometry.ParseLength(number)
	if err != nil {
		r.Refusal(f.Path, err)
		return false
	}
	f.Measured, f.Length, f.Side, f.Lettered = true, l, side, side != geometry.NoLetters
	return true
}

// cutSide cuts the letters off what a dial shows.
func cutSide(text string) (number string, side geometry.Letters) {
	number = strings.TrimSpace(text)
	for _, letters := range []geometry.Letters{geometry.BTDC, geometry.ATDC} {
		if n := len(number) - len(letters.String()); n > 0 && strings.EqualFold(number[n:], letters.String()) {
			return strings.TrimSpace(number[:n]), letters
		}
	}
	return number, geometry.NoLetters
}

func isLength(text string) bool {
	_, _, err := geometry.ParseLength(text)
	return err == nil
}

// cutWord cuts a text around a word that stands alone.
func cutWord(text, word string) (before, after string, found bool) {
	if !strings.Contains(text, word) {
		return text, "", false
	}
	padded := " " + text + " "
	before, after, found = strings.Cut(padded, " "+word+" ")
	return strings.TrimSpace(before), strings.TrimSpace(after), found
}
