package sheet

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// fields is a table of the sheet while it is read: what is not asked for is
// unknown.
type fields struct {
	*reader
	node    *node           // nil when the sheet has no such table
	at      inputerror.Path // then: where it would stand
	asked   []string
	unknown string // what to say of a key that was not asked for
}

func (t *fields) path(key string) inputerror.Path {
	switch {
	case t.node == nil:
		return t.at + "." + inputerror.Path(key)
	case t.node.path == "":
		return inputerror.Path(key)
	}
	return t.node.path + "." + inputerror.Path(key)
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
		t.put(path, t.node.spots[i])
		text := "unknown key"
		if t.unknown != "" {
			text = t.unknown
		}
		meant := t.Near(k, t.asked)
		t.Fault(path, text, inputerror.DidYouMean(meant))
		if meant != "" {
			t.Faulted[t.path(meant)] = true // it is not missing, only misspelt
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
	t.Fault(t.path(key), "found "+inputerror.Shown(t.node.item(key).text)+", expected "+expected, "")
}

func (r *reader) wrongKind(n *node, expected string) {
	found, hint := n.kind.String(), ""
	if n.kind == scalar {
		if found = inputerror.Shown(n.text); n.text == "" {
			hint = "fill it in; a key that you do not need can go"
			if len(n.comment) > 1 && n.comment[1] != ' ' { // "# one" is a remark
				hint = "# starts a comment: write No 1 or put quotes round it"
			}
		}
	}
	r.Fault(n.path, "found "+found+", expected "+expected, hint)
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
		t.Refusal(n.path, err)
		return v, false
	}
	if _, word := any(v).(string); !word {
		t.said = append(t.said, Said{Path: n.path, Text: text})
	}
	return v, true
}

func (t *fields) word(key string) string {
	text, _ := parsed(t, key, "a text", func(s string) (string, error) { return s, nil })
	return text
}

// day reads a day, which has to be one.
func (t *fields) day(key string) string {
	text, _ := parsed(t, key, "a day such as 2026-03-14", func(s string) (string, error) {
		_, err := time.Parse(time.DateOnly, s)
		switch {
		case err == nil:
			return s, nil
		case likeDay.MatchString(s):
			return "", errors.New("found " + s + ", a day that there is not, expected one such as 2026-03-14")
		}
		return "", errors.New("found " + inputerror.Shown(s) + ", expected a day such as 2026-03-14")
	})
	return text
}

// shortDigest is how many digits of a digest a page prints, and a sheet must
// state at least.
const shortDigest = 12

var hexadecimal = regexp.MustCompile(`^[0-9a-f]+$`)

// digest reads a SHA-256, the whole or the beginning that a page prints.
func (t *fields) digest(key string) string {
	const expected = "a SHA-256: 64 hexadecimal digits, or the first 12"
	text, _ := parsed(t, key, expected, func(s string) (string, error) {
		low := strings.ToLower(s)
		if n := len(low); !hexadecimal.MatchString(low) || n != shortDigest && n != 64 {
			return "", errors.New("found " + inputerror.Shown(s) + ", expected " + expected)
		}
		return low, nil
	})
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

// entries reads a list of tables, at most so many. Of says what they are, with an
// example behind a dash.
func (t *fields) entries(key, of string, most int, take func(*fields)) {
	n := t.list(key, "a list of "+of)
	if n == nil {
		return
	}
	switch {
	case len(n.items) == 0:
		t.Fault(n.path, "found an empty list, expected "+of, "leave the key out where there is none")
	case len(n.items) > most:
		t.Fault(n.path, fmt.Sprintf("found %d entries, expected at most %d", len(n.items), most), "")
		return
	}
	_, example, _ := strings.Cut(of, "such as - ")
	for _, item := range n.items {
		if f := t.fieldsOf(item, "keys with values, such as "+example); f != nil {
			take(f)
			f.done()
		}
	}
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

// sized reads a length above zero, with its limit where it has one.
func (t *fields) sized(key, such string) (geometry.Length, geometry.Limit[geometry.Length]) {
	q, ok := parsed(t, key, "a length with a unit, such as "+such, geometry.ParseLengthQuantity)
	if ok && (!q.HasValue || !(q.Value > 0) || q.Limit.Half >= q.Value) {
		t.refuse(key, "a length above zero")
	}
	return q.Value, q.Limit
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
		if _, length := geometry.ParseLengthQuantity(s); err != nil && length == nil {
			return a, &geometry.Refusal{
				Text: "found " + inputerror.Shown(s) + ", a length, expected " + expected,
				Hint: "degrees on a wheel or an encoder; for a tape or a ruler round the rim write kind: rim",
			}
		}
		if err == nil && letters != geometry.NoLetters {
			err = &geometry.Refusal{Text: "found " + inputerror.Shown(s) + ", expected " + expected + ", without letters"}
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
	hint := inputerror.DidYouMean(t.Near(word, words))
	switch strings.ToLower(word) { // other words for the two directions
	case "counterclockwise", "counter-clockwise", "anti-clockwise", "ccw":
		hint = inputerror.DidYouMean("anticlockwise")
	case "cw":
		hint = inputerror.DidYouMean("clockwise")
	}
	t.Fault(text.path, "found "+inputerror.Shown(word)+", expected "+expected, hint)
	return v
}
