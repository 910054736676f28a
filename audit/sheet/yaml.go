package sheet

import (
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"markaudit/audit/inputerror"
)

// kind is what a node of the sheet is.
type kind uint8

const (
	refused kind = iota // a fault was found, and the value is not to be looked at
	scalar
	list
	table
)

func (k kind) String() string {
	return [...]string{"nothing", "a text", "a list", "keys with values"}[k]
}

// node is one value of the sheet as it was written. A number is text here.
type node struct {
	kind    kind
	path    inputerror.Path
	text    string
	comment string // on the same line
	keys    []string
	spots   []inputerror.Spot // of the keys
	items   []*node           // of a list, or beside the keys of a table
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

// parse brings the bytes of a sheet to a tree, or finds the fault that makes
// it no sheet.
func (r *reader) parse(data []byte) *node {
	text, bad := inputerror.PlainText(data, "sheet", MostSheetBytes)
	if bad != nil {
		return r.give(bad)
	}
	s := scan(text)
	switch {
	case s.deep.Line > 0:
		return r.give(&inputerror.Trouble{Spot: s.deep, Text: "nested too deeply, expected at most " + strconv.Itoa(mostNesting) + " lists and tables within each other"})
	case s.values > mostValues:
		return r.give(&inputerror.Trouble{Text: fmt.Sprintf("found more than %d values in one sheet", mostValues), Hint: "put the readings into a CSV file"})
	case s.tab.Line > 0:
		return r.give(&inputerror.Trouble{Spot: s.tab, Text: "found a tab in the indentation, expected spaces"})
	}
	decoder := yaml.NewDecoder(strings.NewReader(text))
	var document, second yaml.Node
	err := decoder.Decode(&document)
	if err == nil && len(document.Content) == 1 && !blank(document.Content[0]) {
		switch err = decoder.Decode(&second); {
		case err == nil:
			return r.give(&inputerror.Trouble{Spot: spotAt(second.Line, second.Column), Text: "found a second document, expected one sheet a file", Hint: "delete the line with --- or save the second part as a file of its own"})
		case errors.Is(err, io.EOF):
			return r.convert(document.Content[0], "", spotAt(document.Line, document.Column))
		}
	}
	if err == nil || errors.Is(err, io.EOF) {
		return r.give(&inputerror.Trouble{Text: "the sheet is empty", Hint: "`markaudit new` prints one to fill in"})
	}
	return r.give(syntax(err, text, s))
}

func (r *reader) give(t *inputerror.Trouble) *node {
	r.put("", t.Spot)
	r.Fault("", t.Text, t.Hint)
	return nil
}

func blank(y *yaml.Node) bool {
	return y.Kind == yaml.ScalarNode && y.Value == "" && y.Style == 0 && y.Anchor == ""
}

// convert takes a node of the parser over, with its place, and refuses what a
// filled-in form has no use for. At is where to point to for a table or list
// that begins on a line of its own: its key.
func (r *reader) convert(y *yaml.Node, path inputerror.Path, at inputerror.Spot) *node {
	n := &node{path: path, text: strings.TrimSpace(y.Value), comment: y.LineComment}
	if y.Kind == yaml.ScalarNode || y.Style&yaml.FlowStyle != 0 {
		at = spotAt(y.Line, y.Column)
	}
	r.put(path, at)
	switch {
	case y.Kind == yaml.AliasNode:
		r.Fault(path, "found the alias *"+inputerror.Shown(y.Value)+", expected the value itself", "aliases are not used in a sheet; put quotes round a text that begins with *")
		return n
	case y.Anchor != "":
		r.Fault(path, "found the anchor &"+inputerror.Shown(y.Anchor)+", expected the value alone", "anchors are not used in a sheet; put quotes round a text that begins with &")
		return n
	case y.Style&yaml.TaggedStyle != 0:
		r.Fault(path, "found the tag "+inputerror.Shown(y.Tag)+", expected the value alone", "tags are not used in a sheet; put quotes round a text that begins with !")
		return n
	}
	switch y.Kind {
	case yaml.ScalarNode:
		n.kind = scalar
	case yaml.SequenceNode:
		r.convertList(y, n)
	case yaml.MappingNode:
		r.convertTable(y, n)
	}
	return n
}

func (r *reader) convertList(y *yaml.Node, n *node) {
	n.kind = list
	n.items = make([]*node, 0, len(y.Content))
	for i, c := range y.Content {
		path := n.path + inputerror.Path("["+strconv.Itoa(i)+"]")
		n.items = append(n.items, r.convert(c, path, spotAt(c.Line, c.Column)))
		if i > 0 && n.kind == list && y.Style&yaml.FlowStyle != 0 {
			r.refuseComma(n, n.items[i-1].path, y.Content[i-1], c)
		}
	}
}

// refuseComma finds a decimal comma in a list: [338,5, 338,6] holds four
// numbers for the parser, two for the person.
func (r *reader) refuseComma(n *node, path inputerror.Path, a, b *yaml.Node) {
	plain := a.Kind == yaml.ScalarNode && b.Kind == yaml.ScalarNode && a.Style == 0 && b.Style == 0 && a.Value != "" && b.Value != ""
	if !plain || b.Line != a.Line || b.Column != a.Column+utf8.RuneCountInString(a.Value)+1 {
		return
	}
	if isDigit(a.Value[len(a.Value)-1]) && isDigit(b.Value[0]) {
		hint := "between two readings put a comma and a space"
		if one := a.Value + "." + b.Value; strings.Count(one, ".") == 1 {
			hint = "write " + inputerror.Shown(one) + " with a point; " + hint
		}
		r.Fault(path, "found "+inputerror.Shown(a.Value+","+b.Value)+", a number with a decimal comma", hint)
		n.kind = refused
	}
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

func (r *reader) convertTable(y *yaml.Node, n *node) {
	n.kind = table
	size := len(y.Content) / 2
	n.keys, n.spots, n.items = make([]string, 0, size), make([]inputerror.Spot, 0, size), make([]*node, 0, size)
	first := make(map[string]int, size)
	for i := 0; i+1 < len(y.Content); i += 2 {
		key, value := y.Content[i], y.Content[i+1]
		if len(n.items) > 0 && y.Style&yaml.FlowStyle != 0 {
			if r.refuseComma(n, n.items[len(n.items)-1].path, y.Content[i-1], key); n.kind == refused {
				return
			}
		}
		name := strings.TrimSpace(key.Value)
		path := inputerror.Path(name)
		if n.path != "" {
			path = n.path + "." + path
		}
		here := spotAt(key.Line, key.Column)
		switch line, twice := first[name]; {
		case key.Kind != yaml.ScalarNode:
			r.put(path, here)
			r.Fault(path, "found a list or an alias where a key belongs", "put quotes round a name that begins with a bracket or a star")
			n.kind = refused
			return
		case key.Tag == "!!merge" || key.Anchor != "" || key.Style&yaml.TaggedStyle != 0:
			r.put(path, here)
			r.Fault(path, "found a merge key, an anchor or a tag, expected a key alone", "these are not used in a sheet; put quotes round such a name")
			continue
		case twice:
			r.put(path, here)
			hint := ""
			if strings.HasSuffix(string(n.path), "]") {
				hint = "if it belongs to the next of the list, begin that one with a dash"
			}
			r.Fault(path, fmt.Sprintf("found a second time, already in line %d", line), hint)
			continue
		}
		first[name] = here.Line
		item := r.convert(value, path, here)
		if item.comment == "" && item.text == "" {
			item.comment = key.LineComment
		}
		n.keys, n.spots, n.items = append(n.keys, name), append(n.spots, here), append(n.items, item)
	}
}

var (
	errorLine  = regexp.MustCompile(`^yaml: (?:line (\d+): )?(.*)$`)
	extraColon = regexp.MustCompile(`^(\s*(?:- +)*[^\s"'\[{#][^"'\[{]*?: +[^\s"'\[{|>].*?):(?: |$)`)
)

// syntax says in the bench's words what the parser could not read, and shows
// the line. The parser names a line only, and often that of the block around.
func syntax(err error, text string, s *scanner) *inputerror.Trouble {
	number, problem := 1, err.Error()
	if m := errorLine.FindStringSubmatch(problem); m != nil {
		problem = m[2]
		if m[1] != "" {
			number, _ = strconv.Atoi(m[1]) // digits by the pattern
			if strings.HasPrefix(problem, "did not find expected") {
				number++ // the parser counts these from 0, the scanner's from 1
			}
		}
	}
	lines := strings.Split(text, "\n")
	at := spotAt(min(number, len(lines)), 1)
	line := lines[at.Line-1]
	t := &inputerror.Trouble{}
	switch {
	case len(s.open) > 0 && s.quote == 0:
		at, t.Text = s.open[len(s.open)-1], "found a bracket that is not closed"
		line = lines[at.Line-1]
	case s.quote != 0:
		at, t.Text = s.quotes, "found a quotation mark that is not closed"
		line = lines[at.Line-1]
	case strings.HasPrefix(problem, "did not find expected ',' or"):
		t.Text, t.Hint = "found a list that is not written as one", "a list in brackets is closed by its own kind of bracket, with commas between: [338.0, 338.5]"
	case strings.HasPrefix(problem, "did not find expected node content"):
		t.Text, t.Hint = "found a comma with nothing before it", "delete it, or write what belongs there"
	case strings.HasPrefix(problem, "mapping values are not allowed"):
		if m := extraColon.FindStringSubmatch(line); m != nil {
			at.Column = utf8.RuneCountInString(m[1]) + 1
			t.Text, t.Hint = "found a second colon in one line", "put quotes round a text with a colon and a space in it"
		} else {
			t.Text, t.Hint = "found a line indented deeper than it can be, or a key where none belongs", "keys of one block begin in one column"
		}
	case s.odd.Line > 0:
		at, line = s.odd, lines[s.odd.Line-1]
		t.Text, t.Hint = "found a line indented like none above it", "keys of one block begin in one column"
	case strings.HasPrefix(problem, "did not find expected key"), strings.HasPrefix(problem, "did not find expected '-'"):
		t.Text, t.Hint = "found a line that does not fit the others of its block", "every line of a block is a key with its value, or every line begins with a dash"
	case strings.HasPrefix(problem, "could not find expected ':'"):
		t.Text, t.Hint = "found a line without a colon, expected a key with its value", "such as turns: clockwise"
	case strings.HasPrefix(problem, "found character that cannot start any token"):
		t.Text, t.Hint = "found a text that begins with a sign which YAML keeps for itself", "put quotes round it"
	case strings.HasPrefix(problem, "block sequence entries"):
		t.Text, t.Hint = "found a dash that begins a list where none can begin", "put the dash on a line of its own, or quotes round the text"
	default:
		t.Text = "cannot be read as YAML: " + problem
	}
	t.Spot = at
	if at.Column == 1 {
		t.Column += len(line) - len(strings.TrimLeftFunc(line, unicode.IsSpace))
	}
	t.Text += ", in: " + inputerror.Shown(strings.TrimSpace(line))
	return t
}
