package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// The limits of what is read. The sheet's are checked before the parser sees a
// byte, so that no file can keep it busy.
const (
	MostSheetBytes    = 1 << 20 // of a sheet: 1 MB
	MostReadingsBytes = 4 << 20 // of a readings file: 4 MB, some 80,000 rows
	mostNesting       = 8       // tables and lists within each other
	mostMarks         = 200
	mostValues        = 50_000 // in a sheet; a setup by hand has a few dozen
)

// spot is a place in the text at hand; the zero value is no place.
type spot struct{ line, column int }

// trouble is what makes a whole file unreadable.
type trouble struct {
	spot
	text, hint string
}

// plainText returns the bytes as text without a byte order mark and with plain
// line ends, or says why they are no text. What names the file's kind: "sheet"
// or "readings file".
func plainText(data []byte, what string, most int) (string, *trouble) {
	if len(data) > most {
		return "", &trouble{text: fmt.Sprintf("the %s is larger than %d MB", what, most>>20), hint: "is this the right file?"}
	}
	const utf16 = "the %s is UTF-16 text, expected UTF-8"
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) || alternatesWithZero(data) {
		return "", &trouble{text: fmt.Sprintf(utf16, what), hint: "save it again with the encoding UTF-8"}
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	if i := strings.IndexByte(text, 0); i >= 0 {
		return "", &trouble{spot: spotOf(text, i), text: "found a zero byte: this is no text file", hint: "is this the right file?"}
	}
	if !utf8.ValidString(text) {
		bad := strings.IndexFunc(text, func(r rune) bool { return r == utf8.RuneError })
		for strings.HasPrefix(text[bad:], "\ufffd") { // a replacement character that is really there
			bad += 3 + strings.IndexFunc(text[bad+3:], func(r rune) bool { return r == utf8.RuneError })
		}
		return "", &trouble{spot: spotOf(text, bad), text: fmt.Sprintf("found the byte 0x%X, which is not UTF-8", text[bad]), hint: "save the file again with the encoding UTF-8"}
	}
	for i, r := range text {
		if r < ' ' && r != '\n' && r != '\r' && r != '\t' || 0x7f <= r && r < 0xa0 {
			return "", &trouble{spot: spotOf(text, i), text: fmt.Sprintf("found the control character %U", r), hint: "delete it; the file may be damaged"}
		}
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), nil
}

// alternatesWithZero recognises UTF-16 without a byte order mark by its first
// two letters.
func alternatesWithZero(data []byte) bool {
	if len(data) < 4 {
		return false
	}
	d := data[:4]
	return d[0] != 0 && d[1] == 0 && d[2] != 0 && d[3] == 0 || d[0] == 0 && d[1] != 0 && d[2] == 0 && d[3] != 0
}

func spotOf(text string, i int) spot {
	before := text[:i]
	start := strings.LastIndexAny(before, "\r\n") + 1
	lines := strings.Count(before, "\n") + strings.Count(strings.ReplaceAll(before, "\r\n", ""), "\r")
	return spot{lines + 1, utf8.RuneCountInString(before[start:]) + 1}
}

// scanner goes through a sheet the way the parser will, only far enough to
// bound the nesting and to say later what the parser cannot: where a bracket
// or a quote was opened that is not closed, and which line is indented like no
// other.
type scanner struct {
	open   []spot // brackets not closed yet
	quotes spot   // the quotation mark that is not closed yet
	quote  byte   // that mark
	indent []int  // columns at which the tables and lists around began
	block  int    // in a | or > text: the column of its key; else -1
	odd    spot   // first line indented like none around it
	tab    spot   // first tab in the indentation
	deep   spot   // first place nested too deeply
	values int    // lines with text, and commas in brackets
}

// scan reads the text to its end or to the first place nested too deeply. Only
// the last of the open brackets has its column in characters.
func scan(text string) *scanner {
	s := &scanner{block: -1}
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if s.line(line, i+1); s.deep.line > 0 {
			break
		}
	}
	places := []*spot{&s.quotes, &s.odd, &s.tab, &s.deep}
	if n := len(s.open); n > 0 {
		places = append(places, &s.open[n-1])
	}
	for _, p := range places {
		if p.line > 0 {
			*p = spotIn(lines[p.line-1], p.column-1, p.line)
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
				s.quote, s.quotes = 0, spot{}
			}
			continue
		}
		spaced := i+1 == len(line) || line[i+1] == ' ' || line[i+1] == '\t'
		switch {
		case c == ' ' || c == '\t':
		case c == '#' && (i == 0 || line[i-1] == ' ' || line[i-1] == '\t'):
			return
		case start && (c == '"' || c == '\''):
			s.quote, s.quotes, start = c, spot{number, i + 1}, false
		case (start || len(s.open) > 0) && (c == '[' || c == '{'):
			s.open = append(s.open, spot{number, i + 1})
			start = true
			if s.measure(i, number); s.deep.line > 0 {
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
	if rest[0] == '\t' && s.tab.line == 0 {
		s.tab = spot{number, i + 1}
	}
	n := len(s.indent)
	for n > 0 && s.indent[n-1] > i {
		n--
	}
	if n < len(s.indent) && (n == 0 || s.indent[n-1] < i) && s.odd.line == 0 {
		s.odd = spot{number, i + 1}
	}
	s.indent = s.indent[:n]
	for {
		if n := len(s.indent); n == 0 || s.indent[n-1] < i {
			s.indent = append(s.indent, i)
		}
		s.values++
		if s.measure(i, number); s.deep.line > 0 {
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
		s.deep = spot{number, i + 1}
	}
}

func spotIn(line string, i, number int) spot {
	return spot{number, utf8.RuneCountInString(line[:i]) + 1}
}
