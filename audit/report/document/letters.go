package document

import (
	"fmt"
	"strings"
	"unicode"

	"markaudit/audit/report/drawing"
)

// inPrint is a document as paper shows it. A name with letters that paper lacks is shown
// by a number, in the order in which the names come up, and the document ends with a key
// that says so. A name ends where a space or a mark of punctuation stands. What a picture
// shows of a name that it had no room for is known by the name that it is part of.
func (d Doc) inPrint() Doc {
	var names []string
	number := func(name string) string {
		for i, known := range names {
			if strings.Contains(known, name) {
				return fmt.Sprintf("name %d", i+1)
			}
		}
		names = append(names, name)
		return fmt.Sprintf("name %d", len(names))
	}
	say := func(text string) string {
		if drawing.Has(text) {
			return text
		}
		var out strings.Builder
		for rest := text; rest != ""; {
			end := strings.IndexFunc(rest, apart)
			if end < 0 {
				end = len(rest)
			}
			word := rest[:end]
			if !drawing.Has(word) {
				word = number(word)
			}
			out.WriteString(word)
			rest = rest[end:]
			if end = strings.IndexFunc(rest, func(r rune) bool { return !apart(r) }); end < 0 {
				end = len(rest)
			}
			out.WriteString(rest[:end])
			rest = rest[end:]
		}
		return out.String()
	}
	for _, block := range d { // whole names stand in the tables and texts; a picture may show a part of one
		if _, picture := block.(Figure); !picture {
			Doc{block}.Said(say)
		}
	}
	shown := d.Said(say)
	if len(names) == 0 {
		return d
	}
	text := "name 1 is in letters that this print lacks. The page that a browser opens has it as it was written."
	if len(names) > 1 {
		text = fmt.Sprintf("name 1 to name %d are in letters that this print lacks. Their numbers follow the order in which they come up here; the page that a browser opens has them as they were written.", len(names))
	}
	return append(shown, Sentence{Lead: "NAMES SHOWN BY THEIR NUMBER", Text: text})
}

// apart reports whether a letter stands between names: a space, or a mark that the type
// has.
func apart(r rune) bool {
	return unicode.IsSpace(r) || unicode.IsPunct(r) && drawing.Has(string(r))
}
