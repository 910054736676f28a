package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"markaudit/geometry"
)

const (
	formatNumber = 1     // of the sheets that this program reads
	mostTeeth    = 10000 // of a ring gear
)

func (r *reader) sheet(root *node) (s Sheet) {
	if root.kind != table {
		if root.kind != refused {
			r.fault("", "found "+root.kind.String()+", expected keys with values, such as engine:", "`markaudit new` prints a sheet to fill in")
		}
		return s
	}
	t := &fields{reader: r, node: root}
	switch n, ok := parsed(t, "format", "the number 1", geometry.ParseNumber); {
	case ok && n > formatNumber: // everything else may mean something else there
		r.faults = Faults{{Path: "format", Text: "found " + shown(root.item("format").text) + ", written for a newer markaudit; this one reads format 1"}}
		return s
	case ok && n != formatNumber:
		t.refuse("format", "the number 1")
	}
	s.Title, s.Job, s.Date = t.word("title"), t.word("job"), t.word("date")
	s.Engine = r.engine(t.under("engine"))
	s.Part = r.part(t.under("part"))
	s.Readout = r.readout(t.under("readout"), s.Part)
	r.ruler.longest = 0 // the quarter turn is no measurement
	var tolerance geometry.Tolerance
	s.Limits, tolerance = r.limits(t.under("limits"))
	s.Marks = r.marks(t, &s, tolerance)
	inline, named := t.get("setups"), t.get("readings")
	if u := r.unfinished; u != nil && inline != nil && named == nil {
		u.Inline = holdsReadings(inline)
		u.Blank = !u.Inline
	}
	switch {
	case r.unfinished != nil && r.unfinished.Blank: // the form's own, nothing to read
	case inline != nil && named != nil:
		r.fault("readings", "found setups as well, expected one of them", "keep the readings in the sheet or in the file, not in both")
	case named != nil:
		s.Setups = r.readings(named, s.Marks)
	case inline != nil:
		s.Setups = r.setups(inline, s.Marks)
	case root.item("setups") == nil && root.item("readings") == nil && r.unfinished == nil:
		r.missing("setups", "the readings, or readings: with the name of a CSV file", "")
	}
	t.done()
	r.step(&s.Readout)
	var absent Faults
	for _, f := range r.absent {
		if !covers(r.faulted, f.Path) {
			absent = append(absent, f)
		}
	}
	for _, f := range absent {
		r.faulted[f.Path] = true
	}
	r.faults = append(append(r.faults, s.check(r.faulted)...), absent...)
	return s
}

var rotations = []choice[geometry.Rotation]{{"clockwise", geometry.Clockwise}, {"anticlockwise", geometry.Anticlockwise}}

func (r *reader) engine(t *fields) (e Engine) {
	e.Number = t.word("number")
	e.Turns = chosen(t, "turns", rotations...)
	e.Stroke, e.Rod = t.length("stroke", "92 mm"), t.length("rod", "92 mm")
	e.PinOffset, _ = parsed(t, "pin_offset", "an offset such as 0.8 mm to thrust side", geometry.ParsePinOffset)
	e.BoreOffset, _ = parsed(t, "bore_offset", "an offset such as 0.8 mm to crankpin side", geometry.ParseBoreOffset)
	e.RefersToThrow = chosen(t, "marks_refer_to", choice[bool]{"piston", false}, choice[bool]{"throw", true})
	e.Cylinders = t.cylinders()
	t.done()
	return e
}

func (r *reader) part(t *fields) (p Part) {
	p.Name, p.Number, p.SeenFrom = t.word("name"), t.word("number"), t.word("seen_from")
	p.Diameter, p.DiameterLimit, p.Unit = t.diameter()
	p.MarksOn = chosen(t, "marks_on", choice[MarksOn]{"part", OnPart}, choice[MarksOn]{"engine", OnEngine})
	p.BTDCLines = chosen(t, "btdc_lines", rotations...)
	p.ReadAt = "centre"
	if at := chosen(t, "read_at", same("centre"), same("leading edge"), same("trailing edge")); at != "" {
		p.ReadAt = at
	}
	p.Sighting = limit(t, "sighting", "± 0.3 mm", geometry.ParseLengthQuantity)
	if n, ok := parsed(t, "teeth", "a number of teeth", geometry.ParseNumber); ok {
		if p.Teeth = int(n); float64(p.Teeth) != n || n < 1 || n > mostTeeth {
			t.refuse("teeth", fmt.Sprintf("a whole number of teeth from 1 to %d", mostTeeth))
		}
	}
	p.BondedRing = chosen(t, "build", choice[bool]{"bonded ring", true})
	p.HalfSpeed = chosen(t, "turns", choice[bool]{"half", true})
	p.Moves = chosen(t, "moves", same("left"), same("right"), same("up"), same("down"))
	p.Spacings = t.spacings()
	t.done()
	return p
}

// diameter is that of the rim, from itself or from the circumference.
func (t *fields) diameter() (geometry.Length, geometry.Limit[geometry.Length], geometry.Unit) {
	d, hasD := parsed(t, "diameter", "a length such as 158.0 ± 0.2 mm", geometry.ParseLengthQuantity)
	c, hasC := parsed(t, "circumference", "a length such as 496.4 ± 0.5 mm", geometry.ParseLengthQuantity)
	key, q := "diameter", d
	if hasC {
		if hasD {
			t.fault(t.path("circumference"), "found diameter as well, expected one of them", "keep the one that was measured")
		}
		key, q = "circumference", c
		q.Value = geometry.DiameterFromCircumference(c.Value)
		q.Limit.Half = geometry.DiameterFromCircumference(c.Limit.Half)
	}
	if (hasD || hasC) && !(q.Value > 0) {
		t.refuse(key, "a length above zero, such as 158.0 ± 0.2 mm")
	}
	return q.Value, q.Limit, q.Unit
}

func (r *reader) readout(t *fields, part Part) (o Readout) {
	o.Name = t.word("name")
	o.Kind = chosen(t, "kind", choice[Kind]{"wheel", Wheel}, choice[Kind]{"encoder", Encoder}, choice[Kind]{"rim", Rim})
	o.Chord = t.measured(o.Kind)
	switch {
	case r.faulted["readout.kind"]: // degrees or a length
		t.get("step")
		r.faulted["readout.step"] = true
	case o.Kind == Rim:
		o.StepLength = t.length("step", "1 mm")
	default:
		o.Step = t.degrees("step", "the smallest step recorded, such as 0.5")
	}
	o.BothWays = chosen(t, "numbered", choice[bool]{"round", false}, choice[bool]{"both ways", true})
	o.Counts = chosen(t, "counts", choice[geometry.Sense]{"up", geometry.CountsUp}, choice[geometry.Sense]{"down", geometry.CountsDown})
	if o.BothWays {
		if n := t.node.item("counts"); n != nil {
			r.fault(n.path, "found "+shown(n.text)+", expected no counts with readout.numbered: both ways", "the letters of each reading say the side")
		}
		o.Counts = geometry.CountsUp // BTDC is below 0, ATDC above
	}
	r.ruler = r.rulerOf(part, o)
	if n := t.list("quarter_turn", "two readings, such as [12, 102]"); n != nil {
		if len(n.items) != 2 {
			r.fault(n.path, fmt.Sprintf("found %s, expected two", count(len(n.items), "reading")), "the second after turning the engine about a quarter turn the way it runs")
		} else if turn, ok := r.list(n, Forward); ok {
			o.QuarterTurn = &[2]Reading{turn[0], turn[1]}
			for _, q := range turn {
				if q.Struck {
					r.fault(q.Path, "found a struck reading, expected two that count", "")
				}
			}
		}
	}
	o.Diameter = t.length("diameter", "92 mm")
	o.OffCentre = t.most("off_centre")
	if q, ok := parsed(t, "lost_motion", "degrees with their limit, such as 0.10 ± 0.05", geometry.ParseAngleQuantity); ok {
		if !q.HasValue || !q.HasLimit {
			t.refuse("lost_motion", "a value and its limit, such as 0.10 ± 0.05")
		}
		o.LostMotion, o.LostLimit, o.HasLostMotion = q.Value, q.Limit, true
	}
	if n := t.get("correction"); n != nil {
		o.Correction = r.correction(n)
	}
	t.done()
	return o
}

func (r *reader) limits(t *fields) (l Limits, tolerance geometry.Tolerance) {
	tolerance = t.tolerance()
	l.Confidence = DefaultConfidence
	if c, ok := parsed(t, "confidence", "a number such as 0.95", geometry.ParseNumber); ok {
		l.Confidence = c
	}
	l.Remount = limit(t, "remount", "± 0.10", geometry.ParseAngleQuantity)
	l.Contact = limit(t, "contact", "± 0.04 mm", geometry.ParseLengthQuantity)
	l.Slack = limit(t, "slack", "± 0.05 mm", geometry.ParseLengthQuantity)
	l.Placement = DefaultPlacement
	if p := t.most("placement"); p > 0 {
		l.Placement = p
	}
	l.DeepStop = chosen(t, "deep_stop", choice[bool]{"true", true}, choice[bool]{"false", false})
	t.done()
	return l, tolerance
}

func (r *reader) marks(t *fields, s *Sheet, tolerance geometry.Tolerance) (marks []Mark) {
	n := t.list("marks", "a list of lines, each with - name: and at:")
	if n == nil {
		if t.node.item("marks") == nil && !spun(t.node.item("setups")) {
			r.missing("marks", "the lines to audit, each with - name: and at:", "")
		}
		return nil
	}
	switch {
	case len(n.items) == 0:
		r.fault(n.path, "found an empty list, expected at least one line", "")
	case len(n.items) > mostMarks:
		r.fault(n.path, fmt.Sprintf("found %d lines, expected at most %d", len(n.items), mostMarks), "")
		return nil
	}
	asked := false
	for _, item := range n.items {
		m := Mark{Path: item.path}
		if f := r.fieldsOf(item, "name: and at: of a line"); f != nil {
			m.Name = f.word("name")
			m.On, m.Cylinder = f.word("on"), f.word("cylinder")
			nominal, known := f.nominal()
			if known {
				known = r.place(&m, nominal, s)
			}
			own := f.tolerance()
			switch {
			case f.node.item("tolerance") != nil:
				r.allow(&m, nominal, known, own, f.path("tolerance"), s)
			case t.node.item("limits").item("tolerance") != nil:
				r.allow(&m, nominal, known, tolerance, "limits.tolerance", s)
			case !asked:
				asked = true // once for all lines
				r.missing("limits.tolerance", "degrees each way for every mark, or a tolerance at each mark", "")
			}
			f.done()
		}
		r.unnamed = r.unnamed || m.Name == "" || r.faulted[item.path+".name"]
		marks = append(marks, m)
	}
	return marks
}

// spun reports whether all setups name a fitting of the stop: readings that check
// the wheel need no line.
func spun(setups *node) bool {
	if setups == nil || len(setups.items) == 0 {
		return false
	}
	for _, s := range setups.items {
		if s.item("fitting") == nil {
			return false
		}
	}
	return true
}

func (r *reader) setups(n *node, marks []Mark) (setups []Setup) {
	if n.kind != list {
		r.wrongKind(n, "a list of setups, each beginning with a dash")
		return nil
	}
	if len(n.items) == 0 {
		r.fault(n.path, "found an empty list, expected at least one setup", "")
	}
	for i, item := range n.items {
		s := Setup{Name: strconv.Itoa(i + 1), Path: item.path}
		if t := r.fieldsOf(item, "stop: and marks: of a setup"); t != nil {
			s.By, s.Date, s.Note = t.word("by"), t.word("date"), t.word("note")
			s.Mounting, s.Fitting, s.Cylinder = t.word("mounting"), t.word("fitting"), t.word("cylinder")
			t.method(&s)
			s.Closing = t.closing()
			s.Marks = t.markReadings(marks)
			t.done()
		}
		setups = append(setups, s)
	}
	return setups
}

func (t *fields) stop() (trials []Trial) {
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
		t.fault(stop.node.path, fmt.Sprintf("found %s and %d backward, expected as many forward as backward",
			count(len(f), "forward contact"), len(b)), "strike a contact instead of leaving it out: 338.5 struck wrench slipped")
	case len(f) == 0:
		t.fault(stop.node.path, "found no contact, expected at least one pair", "")
	default:
		for i := range f {
			trials = append(trials, Trial{Forward: &f[i], Backward: &b[i]})
		}
	}
	return trials
}

func (t *fields) closing() *Trial {
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

func (t *fields) markReadings(marks []Mark) map[string][]Reading {
	names := make([]string, len(marks))
	for i, m := range marks {
		names[i] = m.Name
	}
	all := t.under("marks")
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
			r.fault(n.path, "found an empty list, expected "+expected, "leave out a line that was not read")
		}
		return all
	}
	t := &fields{reader: r, node: n}
	for i, key := range []string{"forward", "backward"} {
		if side := t.get(key); side != nil {
			readings, _ := r.list(side, Approach(i+1))
			all = append(all, readings...)
			if side.kind == list && len(side.items) == 0 {
				r.fault(side.path, "found an empty list, expected "+expected, "leave out a side that was not read")
			}
		}
	}
	t.done()
	if len(n.keys) == 0 {
		r.fault(n.path, "found nothing, expected "+expected, "")
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
			r.fault(n.path, "found struck without a reason, expected one after it", "such as 338.5 struck wrench slipped")
			return f, false
		}
	}
	return f, r.value(&f, text)
}

// value reads what the readout showed.
func (r *reader) value(f *Reading, text string) bool {
	if r.ruler.on {
		return r.length(f, text)
	}
	v, letters, err := geometry.ParseAngle(text)
	if err != nil {
		if r.faulted["readout.kind"] && isLength(text) {
			r.faulted[f.Path] = true // a rim, perhaps
			return false
		}
		r.refusal(f.Path, err)
		return false
	}
	f.Value, f.Lettered = v, letters != geometry.NoLetters
	return true
}

// cutWord cuts a text around a word that stands alone.
func cutWord(text, word string) (before, after string, found bool) {
	padded := " " + text + " "
	before, after, found = strings.Cut(padded, " "+word+" ")
	return strings.TrimSpace(before), strings.TrimSpace(after), found
}

// fields is a table of the sheet while it is read: what is not asked for is
// unknown.
type fields struct {
	*reader
	node    *node // nil when the sheet has no such table
	at      Path  // then: where it would stand
	asked   []string
	unknown string // what to say of a key that was not asked for
}

func (n *node) item(key string) *node {
	if n != nil {
		for i, k := range n.keys {
			if k == key {
				return n.items[i]
			}
		}
	}
	return nil
}

func (t *fields) path(key string) Path {
	switch {
	case t.node == nil:
		return t.at + "." + Path(key)
	case t.node.path == "":
		return Path(key)
	}
	return t.node.path + "." + Path(key)
}

// get returns the value of a key, or nil when there is none to look at.
func (t *fields) get(key string) *node {
	t.asked = append(t.asked, key)
	if n := t.node.item(key); n != nil && n.kind != refused {
		return n
	}
	return nil
}

// under returns the table that a key holds; an empty one when it holds none.
func (t *fields) under(key string) *fields {
	in := &fields{reader: t.reader, at: t.path(key)}
	if n := t.get(key); n != nil {
		if f := t.reader.fieldsOf(n, "keys with values"); f != nil {
			return f
		}
	}
	return in
}

func (r *reader) fieldsOf(n *node, expected string) *fields {
	switch n.kind {
	case table:
		return &fields{reader: r, node: n}
	case refused:
	default:
		r.wrongKind(n, expected)
	}
	return nil
}

// done reports the keys that nobody asked for.
func (t *fields) done() {
	if t.node == nil {
		return
	}
	for i, k := range t.node.keys {
		if slices.Contains(t.asked, k) {
			continue
		}
		path := t.path(k)
		t.Positions.at[path] = place{file: t.name, line: t.node.spots[i].line, column: t.node.spots[i].column}
		text := "unknown key"
		if t.unknown != "" {
			text = t.unknown
		}
		meant := t.near(k, t.asked)
		t.fault(path, text, didYouMean(meant))
		if meant != "" {
			t.faulted[t.path(meant)] = true // it is not missing, only misspelt
		}
	}
}

// need reports a key that is not there in a table that is.
func (t *fields) need(key, expected string) {
	if t.node != nil && t.node.item(key) == nil {
		t.missing(t.path(key), expected, "")
	}
}

// refuse reports the value of a key.
func (t *fields) refuse(key, expected string) {
	t.fault(t.path(key), "found "+shown(t.node.item(key).text)+", expected "+expected, "")
}

func (r *reader) wrongKind(n *node, expected string) {
	found, hint := n.kind.String(), ""
	if n.kind == scalar {
		if found = shown(n.text); n.text == "" {
			hint = "fill it in; a key that you do not need can go"
			if len(n.comment) > 1 && n.comment[1] != ' ' { // "# one" is a remark
				hint = "# starts a comment: write No 1 or put quotes round it"
			}
		}
	}
	r.fault(n.path, "found "+found+", expected "+expected, hint)
}

// scalar returns the text of a value that is one.
func (r *reader) scalar(n *node, expected string) (string, bool) {
	switch {
	case n.kind == refused:
		return "", false
	case n.kind != scalar || n.text == "":
		r.wrongKind(n, expected)
		return "", false
	}
	return n.text, true
}

// refusal passes on what a parsing function says.
func (r *reader) refusal(path Path, err error) {
	text, hint := err.Error(), ""
	var refused *geometry.Refusal
	if errors.As(err, &refused) {
		text, hint = refused.Text, refused.Hint
	}
	r.fault(path, text, hint)
}

// parsed returns the value of a key, and whether there is one that can be read.
func parsed[T any](t *fields, key, expected string, parse func(string) (T, error)) (v T, ok bool) {
	n := t.get(key)
	if n == nil {
		return v, false
	}
	text, ok := t.scalar(n, expected)
	if !ok {
		return v, false
	}
	v, err := parse(text)
	if err != nil {
		t.refusal(n.path, err)
	}
	return v, err == nil
}

func (t *fields) word(key string) string {
	text, _ := parsed(t, key, "a text", func(s string) (string, error) { return s, nil })
	return text
}

// list returns the list that a key holds, or nil.
func (t *fields) list(key, expected string) *node {
	n := t.get(key)
	if n != nil && n.kind != list {
		t.wrongKind(n, expected)
		return nil
	}
	return n
}

// length reads a length above zero.
func (t *fields) length(key, such string) geometry.Length {
	l, ok := parsed(t, key, "a length with a unit, such as "+such, func(s string) (geometry.Length, error) {
		l, _, err := geometry.ParseLength(s)
		return l, err
	})
	if ok && !(l > 0) {
		t.refuse(key, "a length above zero")
	}
	return l
}

// most reads the most that something is off, where ± may be left out.
func (t *fields) most(key string) geometry.Length {
	q, ok := parsed(t, key, "a length with a unit, such as 0.3 mm", geometry.ParseLengthQuantity)
	if !ok {
		return 0
	}
	l := q.Value
	if !q.HasValue {
		l = q.Limit.Half
	}
	switch {
	case q.HasValue && q.HasLimit || q.Limit.K > 0:
		t.refuse(key, "one length, the most that it is off")
	case !(l > 0):
		t.refuse(key, "a length above zero")
	}
	return l
}

// degrees reads a number of degrees above zero.
func (t *fields) degrees(key, expected string) geometry.Angle {
	a, ok := parsed(t, key, expected, func(s string) (geometry.Angle, error) {
		a, letters, err := geometry.ParseAngle(s)
		if err == nil && letters != geometry.NoLetters {
			err = &geometry.Refusal{Text: "found " + shown(s) + ", expected " + expected + ", without letters"}
		}
		return a, err
	})
	if ok && !(a > 0) {
		t.refuse(key, "degrees above zero")
	}
	return a
}

// limit reads a limit alone.
func limit[T geometry.Angle | geometry.Length](t *fields, key, such string, parse func(string) (geometry.Quantity[T], error)) geometry.Limit[T] {
	q, ok := parsed(t, key, "a limit, such as "+such, parse)
	if ok && (q.HasValue || !q.HasLimit) {
		t.refuse(key, "a limit alone, such as "+such)
	}
	return q.Limit
}

// choice is one of the words that a key takes.
type choice[T any] struct {
	word  string
	value T
}

func same(word string) choice[string] { return choice[string]{word, word} }

// chosen reads one of a few words.
func chosen[T any](t *fields, key string, choices ...choice[T]) (v T) {
	words := make([]string, len(choices))
	for i, c := range choices {
		words[i] = c.word
	}
	last := len(words) - 1
	expected := words[last]
	if last > 0 {
		expected = strings.Join(words[:last], ", ") + " or " + expected
	}
	text := t.get(key)
	if text == nil {
		return v
	}
	word, ok := t.scalar(text, expected)
	if !ok {
		return v
	}
	for _, c := range choices {
		if c.word == word {
			return c.value
		}
	}
	hint := didYouMean(t.near(word, words))
	switch strings.ToLower(word) { // other words for the two directions
	case "counterclockwise", "counter-clockwise", "anti-clockwise", "ccw":
		hint = didYouMean("anticlockwise")
	case "cw":
		hint = didYouMean("clockwise")
	}
	t.fault(text.path, "found "+shown(word)+", expected "+expected, hint)
	return v
}

// count says how many of a thing.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
