package sheet

import (
	"strings"

	"markaudit/audit/inputerror"
)

// The limits of what is read. They are checked before the parser sees a byte, so
// that no file can keep it busy.
const (
	MostSheetBytes = 1 << 20 // of a sheet: 1 MB
	mostNesting    = 8       // tables and lists within each other
	mostValues     = 50_000  // in a sheet; a setup by hand has a few dozen
)

// scanner goes through a sheet the way the parser will, only far enough to
// bound the nesting and to say later what the parser cannot: where a bracket
// or a quote was opened that is not closed, and which line is indented like no
// other.
type scanner struct {
	open   []inputerror.Spot // brackets not closed yet
	quotes inputerror.Spot   // the quotation mark that is not closed yet
	quote  byte              // that mark
	indent []int             // columns at which the tables and lists around began
	block  int               // in a | or > text: the column of its key; else -1
	odd    inputerror.Spot   // first line indented like none around it
	tab    inputerror.Spot   // first tab in the indentation
	deep   inputerror.Spot   // first place nested too deeply
	values int               // lines with text, and commas in brackets
}

// scan reads the text to its end or to the first place nested too deeply. Only
// the last of the open brackets has its column in characters.
func scan(text string) *scanner {
	s := &scanner{block: -1}
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if s.line(line, i+1); s.deep.Line > 0 {
			break
		}
	}
	places := []*inputerror.Spot{&s.quotes, &s.odd, &s.tab, &s.deep}
	if n := len(s.open); n > 0 {
		places = append(places, &s.open[n-1])
	}
	for _, p := range places {
		if p.Line > 0 {
			*p = inputerror.SpotIn(lines[p.Line-1], p.Column-1, p.Line)
		}
	}
	return s
}

func (s *scanner) line(line string, number int) {
	i := 0
	if s.quote == 0 && len(s.open) == 0 {
		if i = s.begin(line, number); i < 0 {
			return
		}
	}
	start := true // a bracket or quotation mark here opens something
	for ; i < len(line); i++ {
		c := line[i]
		if s.quote != 0 {
			switch {
			case c == '\\' && s.quote == '"':
				i++
			case c == '\'' && s.quote == c && strings.HasPrefix(line[i+1:], "'"):
				i++
			case c == s.quote:
				s.quote, s.quotes = 0, inputerror.Spot{}
			}
			continue
		}
		spaced := i+1 == len(line) || line[i+1] == ' ' || line[i+1] == '\t'
		switch {
		case c == ' ' || c == '\t':
		case c == '#' && (i == 0 || line[i-1] == ' ' || line[i-1] == '\t'):
			return
		case start && (c == '"' || c == '\''):
			s.quote, s.quotes, start = c, spotAt(number, i+1), false
		case (start || len(s.open) > 0) && (c == '[' || c == '{'):
			s.open = append(s.open, spotAt(number, i+1))
			start = true
			if s.measure(i, number); s.deep.Line > 0 {
				return
			}
		case len(s.open) > 0 && (c == ']' || c == '}'):
			s.open, start = s.open[:len(s.open)-1], false
		case len(s.open) > 0 && c == ',':
			s.values++
			start = true
		case c == ':' && spaced:
			start = true
		case start && len(s.open) == 0 && (c == '|' || c == '>'):
			s.block = -1
			if n := len(s.indent); n > 0 {
				s.block = s.indent[n-1]
			}
			return
		case start && (c == '&' || c == '!'):
			for i+1 < len(line) && line[i+1] != ' ' {
				i++
			}
		default:
			start = false
		}
	}
}

// begin takes the indentation off a line outside brackets and quotation marks
// and returns where its text starts, or -1 when it holds none.
func (s *scanner) begin(line string, number int) int {
	rest := strings.TrimLeft(line, " ")
	i := len(line) - len(rest)
	if text := strings.TrimLeft(rest, "\t "); text == "" || text[0] == '#' && s.block < 0 {
		return -1
	}
	if s.block >= 0 && i > s.block {
		return -1
	}
	s.block = -1
	if rest[0] == '\t' && s.tab.Line == 0 {
		s.tab = spotAt(number, i+1)
	}
	n := len(s.indent)
	for n > 0 && s.indent[n-1] > i {
		n--
	}
	if n < len(s.indent) && (n == 0 || s.indent[n-1] < i) && s.odd.Line == 0 {
		s.odd = spotAt(number, i+1)
	}
	s.indent = s.indent[:n]
	for {
		if n := len(s.indent); n == 0 || s.indent[n-1] < i {
			s.indent = append(s.indent, i)
		}
		s.values++
		if s.measure(i, number); s.deep.Line > 0 {
			return -1
		}
		item, ok := strings.CutPrefix(line[i:], "-")
		if !ok {
			item, ok = strings.CutPrefix(line[i:], "?")
		}
		if !ok || item != "" && item[0] != ' ' {
			return i
		}
		item = strings.TrimLeft(item, " ")
		if item == "" || item[0] == '#' {
			return -1
		}
		i = len(line) - len(item)
	}
}

func (s *scanner) measure(i, number int) {
	if len(s.indent)+len(s.open) > mostNesting {
		s.deep = spotAt(number, i+1)
	}
}

func spotAt(line, column int) inputerror.Spot { return inputerror.Spot{Line: line, Column: column} }
