package sheet

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"markaudit/audit/inputerror"
)

// Form is a sheet while it is filled in: its keys, and what is written behind
// them. No value is judged. Every change leaves all other bytes as they are,
// comments and line ends included, and what cannot be changed so is refused.
// A form is a value; changing one returns another.
type Form struct {
	name, text string
	root       *node
}

// errByHand says that a sheet is laid out in a way that only a person can change.
var errByHand = errors.New("the sheet is laid out in a way that cannot be changed here")

// ReadForm reads the keys of a sheet. Name is how errors print it. The error says
// why the bytes are no keys with values.
func ReadForm(name string, text []byte) (Form, error) {
	r := newReader(name, nil)
	root := r.parse(text)
	if root != nil && root.kind != table && r.Err() == nil {
		r.Fault("", "found "+root.kind.String()+", expected keys with values, such as engine:", "`markaudit new` prints a sheet to fill in")
	}
	return Form{name: name, text: string(text), root: root}, r.Err()
}

// Text is the sheet as it goes into a file.
func (f Form) Text() string { return f.text }

// find returns the node of a path, nil where the sheet has none.
func (n *node) find(path inputerror.Path) *node {
	if n == nil || n.path == path {
		return n
	}
	for _, item := range n.items {
		if !strings.HasPrefix(string(path), string(item.path)) {
			continue
		}
		if at := item.find(path); at != nil {
			return at
		}
	}
	return nil
}

// Value is the text behind a key, such as engine.turns or marks[0].at, and whether
// the key is there. A list or a table has no text.
func (f Form) Value(path inputerror.Path) (text string, there bool) {
	n := f.root.find(path)
	if n == nil {
		return "", false
	}
	return n.text, true
}

// Comment is what stands behind a value on its line, without the sign before it.
func (f Form) Comment(path inputerror.Path) string {
	n := f.root.find(path)
	if n == nil {
		return ""
	}
	return strings.TrimSpace(strings.TrimPrefix(n.comment, "#"))
}

// Items are the texts of a list, or of the values of a table; Keys are the keys
// of a table. They are empty where there is none.
func (f Form) Items(path inputerror.Path) (texts []string) {
	if n := f.root.find(path); n != nil {
		for _, item := range n.items {
			texts = append(texts, item.text)
		}
	}
	return texts
}

// Keys are the keys of a table in their order.
func (f Form) Keys(path inputerror.Path) []string {
	if n := f.root.find(path); n != nil {
		return n.keys
	}
	return nil
}

// Set writes a text behind a key, which need not be there yet. An empty text
// leaves the key open.
func (f Form) Set(path inputerror.Path, text string) (Form, error) {
	return f.set(path, plain(text, false), func(n *node) bool { return n.kind == scalar && n.text == text })
}

// SetList writes a list in brackets behind a key.
func (f Form) SetList(path inputerror.Path, texts ...string) (Form, error) {
	shown := make([]string, len(texts))
	for i, text := range texts {
		shown[i] = plain(text, true)
	}
	return f.set(path, "["+strings.Join(shown, ", ")+"]", func(n *node) bool {
		return n.kind == list && slices.EqualFunc(n.items, texts, func(item *node, text string) bool { return item.kind == scalar && item.text == text })
	})
}

// SetTable writes a table in braces behind a key.
func (f Form) SetTable(path inputerror.Path, pairs ...[2]string) (Form, error) {
	return f.set(path, flow(pairs...), func(n *node) bool {
		return n.kind == table && len(n.keys) == len(pairs) && slices.EqualFunc(n.items, pairs, func(item *node, pair [2]string) bool { return item.text == pair[1] }) &&
			slices.EqualFunc(n.keys, pairs, func(key string, pair [2]string) bool { return key == pair[0] })
	})
}

// plain is a text as a value, in quotes where YAML would take it for something
// else.
func plain(text string, inBrackets bool) string {
	before, after, path := "a: ", "\n", inputerror.Path("a")
	if inBrackets {
		before, after, path = "a: [", "]\n", "a[0]"
	}
	f, err := ReadForm("", []byte(before+text+after))
	if n := f.root.find(path); text == "" && !inBrackets || err == nil && n != nil && n.kind == scalar && n.text == text && n.comment == "" && len(f.root.items[0].items) < 2 {
		return text
	}
	return strconv.Quote(text)
}

// lines are those of the sheet with their ends; none where the parser sees other
// lines than an editor shows.
func (f Form) lines() []string {
	if strings.ContainsAny(strings.ReplaceAll(f.text, "\r\n", "\n"), "\r\u0085\u2028\u2029") {
		return nil
	}
	return strings.SplitAfter(f.text, "\n")
}

// set writes a value behind a key; right looks at what is then read there.
func (f Form) set(path inputerror.Path, value string, right func(*node) bool) (Form, error) {
	parent := path.Outer()
	key := strings.TrimPrefix(string(path[len(parent):]), ".")
	lines := f.lines()
	in := f.root.find(parent)
	switch {
	case lines == nil:
		return f, errByHand
	case in == nil && parent.Outer() == "" && !strings.Contains(string(parent), "["):
		lines = f.newTable(lines, string(parent), "  "+key+": "+value)
	case in == nil:
		return f, errByHand
	case in.item(key) != nil:
		i := slices.Index(in.keys, key)
		at := in.spots[i].Line - 1
		line, ok := withValue(lines[at], in.spots[i].Column, key, value)
		if !ok {
			return f, errByHand
		}
		lines[at] = line
	default:
		var ok bool
		if lines, ok = f.newKey(lines, in, key, value); !ok {
			return f, errByHand
		}
	}
	return f.changed(strings.Join(lines, ""), path, right)
}

// changed reads the new text, and refuses it where more than one path is not as
// before.
func (f Form) changed(text string, path inputerror.Path, right func(*node) bool) (Form, error) {
	g, err := ReadForm(f.name, []byte(text))
	if err != nil || !slices.Equal(f.root.others(path, nil), g.root.others(path, nil)) {
		return f, errByHand
	}
	if n := g.root.find(path); n == nil || !right(n) {
		return f, errByHand
	}
	return g, nil
}

// others lists all of a sheet but what stands at a path, below it, or around it.
func (n *node) others(path inputerror.Path, all []string) []string {
	if n.path == path {
		return all
	}
	around := n.path == "" || strings.HasPrefix(string(path), string(n.path)) && len(path) > len(n.path) && strings.ContainsRune(".[", rune(path[len(n.path)]))
	if !around {
		all = append(all, fmt.Sprintf("%s %v %q", n.path, n.kind, n.text))
	}
	for _, item := range n.items {
		all = item.others(path, all)
	}
	return all
}

// ending is the end of line that a sheet uses.
func ending(text string) string {
	if strings.Contains(text, "\r\n") {
		return "\r\n"
	}
	return "\n"
}

// newTable adds a table with its first line.
func (f Form) newTable(lines []string, name, line string) []string {
	end := ending(f.text)
	if last := len(lines) - 1; lines[last] != "" {
		lines[last] += end
	}
	return append(lines, end+name+":"+end+line+end)
}

// withValue exchanges the value behind a key that begins at a column, counted from
// 1 in characters. A comment behind it stays, pushed no further than needed.
func withValue(line string, column int, key, value string) (string, bool) {
	body := strings.TrimRight(line, "\r\n")
	end := line[len(body):]
	body = strings.TrimPrefix(body, "\ufeff")
	if len(body) != len(line)-len(end) { // the mark of the encoding stays before the first key
		got, ok := withValue(body+end, column, key, value)
		return "\ufeff" + got, ok
	}
	at := 0
	for range column - 1 {
		_, n := utf8.DecodeRuneInString(body[at:])
		at += n
	}
	if strings.Trim(body[:at], " -") != "" || !strings.HasPrefix(body[at:], key) {
		return "", false
	}
	head := body[:at+len(key)]
	rest, ok := strings.CutPrefix(strings.TrimLeft(body[at+len(key):], " "), ":")
	if !ok {
		return "", false
	}
	n, ok := valueLength(strings.TrimLeft(rest, " "))
	if !ok {
		return "", false
	}
	comment := strings.TrimLeft(strings.TrimLeft(rest, " ")[n:], " ")
	if comment != "" && comment[0] != '#' {
		return "", false
	}
	out := head + ":"
	if value != "" {
		out += " " + value
	}
	return aligned(out, comment, utf8.RuneCountInString(body)-utf8.RuneCountInString(comment)) + end, true
}

// aligned puts a comment behind a line at a column, or two blanks further where
// the line is too long for it.
func aligned(line, comment string, column int) string {
	if comment == "" {
		return line
	}
	return line + strings.Repeat(" ", max(2, column-utf8.RuneCountInString(line))) + comment
}

// valueLength is how many bytes of a line the value takes with which it begins.
func valueLength(text string) (int, bool) {
	if text == "" || text[0] == '#' {
		return 0, true
	}
	switch text[0] {
	case '|', '>', '&', '*', '!':
		return 0, false
	case '"', '\'', '[', '{':
		quote, depth := byte(0), 0
		for i := 0; i < len(text); i++ {
			switch c := text[i]; {
			case quote == '"' && c == '\\':
				i++
			case quote != 0 && c == quote:
				quote = 0
			case quote != 0:
			case c == '"' || c == '\'':
				quote = c
			case c == '[' || c == '{':
				depth++
			case c == ']' || c == '}':
				depth--
			}
			if quote == 0 && depth == 0 {
				return i + 1, true
			}
		}
		return 0, false
	}
	if i := strings.Index(text, " #"); i >= 0 {
		text = text[:i]
	}
	return len(strings.TrimRight(text, " ")), true
}

// newKey adds a key to a table that has none: in place of the same key behind a #,
// as the form has it, else behind the last line of the table.
func (f Form) newKey(lines []string, in *node, key, value string) ([]string, bool) {
	first, indent, end := f.extent(lines, in)
	if first < 0 {
		return nil, false
	}
	line := strings.TrimRight(indent+key+": "+value, " ")
	eol := ending(f.text)
	for i := first; i < len(lines); i++ {
		body := strings.TrimRight(lines[i], "\r\n")
		if i >= end && strings.TrimSpace(body) != "" && !strings.HasPrefix(strings.TrimLeft(body, " "), "#") {
			break // the next table
		}
		rest, ok := strings.CutPrefix(body, indent+"#"+key+":")
		if !ok || rest != "" && rest[0] != ' ' {
			continue
		}
		comment := ""
		if at := strings.Index(rest, " #"); at >= 0 {
			comment = rest[at+1:]
		}
		lines[i] = aligned(line, comment, utf8.RuneCountInString(body)-utf8.RuneCountInString(comment)) + lines[i][len(body):]
		return lines, true
	}
	if in == f.root { // what describes the whole stands before the tables
		n := 0
		for n < len(in.items) && in.items[n].kind == scalar && in.items[n].text != "" {
			n++
		}
		if end = in.spots[0].Line - 1; n > 0 {
			end = in.spots[n-1].Line
		}
	}
	if end > 0 && !strings.HasSuffix(lines[end-1], "\n") {
		lines[end-1] += eol
	}
	return slices.Insert(lines, end, line+eol), true
}

// extent says where a table stands, line by line: the first line in it, the
// indentation of its keys, and the line behind the last with text or its comment. First is below
// zero where it is not laid out so.
func (f Form) extent(lines []string, in *node) (first int, indent string, end int) {
	if in.kind != table {
		if in.kind != scalar || in.text != "" {
			return -1, "", 0
		}
		outer := f.root.find(in.path.Outer())
		i := slices.IndexFunc(outer.items, func(n *node) bool { return n == in })
		if i < 0 || outer.kind != table {
			return -1, "", 0
		}
		at := outer.spots[i]
		return at.Line, strings.Repeat(" ", at.Column+1), at.Line
	}
	head := in.spots[0]
	before := strings.TrimPrefix(lines[head.Line-1], "\ufeff")
	if strings.Trim(before[:min(len(before), head.Column-1)], " -") != "" {
		return -1, "", 0
	}
	last := len(in.keys) - 1
	end = in.spots[last].Line
	for i := end; i < len(lines); i++ {
		body := strings.TrimSpace(lines[i])
		deep := len(lines[i]) - len(strings.TrimLeft(lines[i], " "))
		switch {
		case body != "" && body[0] == '#' && i == end && deep >= head.Column: // the comment of the line above goes on
			end = i + 1
			continue
		case body == "" || body[0] == '#':
			continue
		case deep >= head.Column || deep == head.Column-1 && body[0] == '-' && in.items[last].kind == list:
			end = i + 1
			continue
		}
		break
	}
	return head.Line - 1, strings.Repeat(" ", head.Column-1), end
}

// Remove takes a key and its value off the sheet, with the comment on its line. Of a
// table with its keys below it goes all of it, and the empty line above.
func (f Form) Remove(path inputerror.Path) (Form, error) {
	parent := path.Outer()
	key := strings.TrimPrefix(string(path[len(parent):]), ".")
	in := f.root.find(parent)
	if in.item(key) == nil {
		return f, nil
	}
	lines := f.lines()
	if lines == nil {
		return f, errByHand
	}
	spot := in.spots[slices.Index(in.keys, key)]
	if strings.TrimLeft(lines[spot.Line-1][:min(spot.Column-1, len(lines[spot.Line-1]))], " ") != "" {
		return f, errByHand // a dash or a brace stands before it
	}
	from, to := spot.Line-1, spot.Line
	if n := in.item(key); n.kind == table && n.spots[0].Line > spot.Line {
		if _, _, to = f.extent(lines, n); from > 0 && strings.TrimSpace(lines[from-1]) == "" {
			from-- // the empty line that a new table brings
		}
	}
	g, err := ReadForm(f.name, []byte(strings.Join(slices.Delete(lines, from, to), "")))
	if err != nil || !slices.Equal(f.root.others(path, nil), g.root.others(path, nil)) || g.root.find(path) != nil {
		return f, errByHand
	}
	return g, nil
}

// AddMark adds a line to audit behind the others, with its keys and their texts.
func (f Form) AddMark(pairs ...[2]string) (Form, error) {
	lines := f.lines()
	eol := ending(f.text)
	marks := f.root.item("marks")
	dash, end, n := "  ", 0, 0
	switch {
	case lines == nil:
		return f, errByHand
	case marks == nil:
		if last := len(lines) - 1; lines[last] != "" {
			lines[last] += eol
		}
		lines = append(lines, eol+"marks:"+eol)
		end = len(lines)
	case marks.kind == scalar && marks.text == "":
		end = f.root.spots[slices.Index(f.root.keys, "marks")].Line
	case marks.kind == list && len(marks.items) > 0 && marks.items[len(marks.items)-1].kind == table:
		n = len(marks.items)
		var first int
		if first, dash, end = f.extent(lines, marks.items[n-1]); first < 0 || len(dash) < 2 {
			return f, errByHand
		}
		dash = dash[2:]
	default:
		return f, errByHand
	}
	if !strings.HasSuffix(lines[end-1], "\n") {
		lines[end-1] += eol
	}
	var b strings.Builder
	for i, pair := range pairs {
		lead := dash + "  "
		if i == 0 {
			lead = dash + "- "
		}
		b.WriteString(strings.TrimRight(lead+pair[0]+": "+plain(pair[1], false), " ") + eol)
	}
	path := inputerror.Path(fmt.Sprintf("marks[%d]", n))
	return f.changed(strings.Join(slices.Insert(lines, end, b.String()), ""), path, func(n *node) bool {
		return n.kind == table && len(n.keys) == len(pairs) && slices.EqualFunc(n.items, pairs, func(item *node, pair [2]string) bool { return item.text == pair[1] })
	})
}

// RemoveMark takes a line to audit off the sheet.
func (f Form) RemoveMark(i int) (Form, error) {
	marks := f.root.item("marks")
	lines := f.lines()
	if lines == nil || marks == nil || marks.kind != list || i < 0 || i >= len(marks.items) {
		return f, errByHand
	}
	first, indent, end := f.extent(lines, marks.items[i])
	if first < 0 || len(indent) < 2 || !strings.HasPrefix(strings.TrimLeft(lines[first], " "), "- ") {
		return f, errByHand
	}
	was := make([]string, 0, len(marks.items))
	for at, item := range marks.items {
		if at != i {
			was = append(was, item.item("name").named())
		}
	}
	g, err := ReadForm(f.name, []byte(strings.Join(slices.Delete(lines, first, end), "")))
	if err != nil || !slices.Equal(f.root.others("marks", nil), g.root.others("marks", nil)) {
		return f, errByHand
	}
	var now []string
	if left := g.root.item("marks"); left != nil {
		for _, item := range left.items {
			now = append(now, item.item("name").named())
		}
	}
	if !slices.Equal(was, now) {
		return f, errByHand
	}
	return g, nil
}

func (n *node) named() string {
	if n == nil {
		return ""
	}
	return n.text
}
