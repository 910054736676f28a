package sheet

import (
	"slices"
	"strings"

	"markaudit/audit/inputerror"
)

// Checked says what the person went back to look at and found as written. A
// mistake there need not be thought of any more, and what is unusual there need
// not be asked again.
type Checked struct {
	Letters    bool     // BTDC and ATDC of every line, on the metal
	Names      bool     // which line is which, on the metal
	Nominals   bool     // where each line belongs, in the maker's data
	Cylinders  bool     // in which cylinder the stop sat, and the degrees between them
	Tolerances bool     // their numbers and their unit
	Rod        bool     // it is shorter than the stroke
	Lines      []string // names of lines that were looked at one by one
}

const lineWord = "line "

// words are the words of the sheet, each with what it sets.
func (c *Checked) words() []choice[*bool] {
	return []choice[*bool]{
		{"letters", &c.Letters},
		{"names", &c.Names},
		{"nominals", &c.Nominals},
		{"cylinders", &c.Cylinders},
		{"tolerances", &c.Tolerances},
		{"rod", &c.Rod},
	}
}

// written returns the words as they stand on a sheet, those of lines last.
func (c Checked) written() (all []string) {
	for _, w := range c.words() {
		if *w.value {
			all = append(all, w.word)
		}
	}
	for _, name := range c.Lines {
		all = append(all, lineWord+name)
	}
	return all
}

// readChecked reads what the person went back to look at.
func readChecked(t *fields) (c Checked) {
	const such = "such as [letters, line TDC]"
	n := t.list("checked", "a list of what was looked at again, "+such)
	if n == nil {
		return c
	}
	if len(n.items) == 0 {
		t.Fault(n.path, "found an empty list, expected what was looked at again, "+such, "leave the key out where nothing was")
	}
	known := c.words()
	words := make([]string, len(known))
	for i, w := range known {
		words[i] = w.word
	}
	seen := map[string]bool{}
	for _, item := range n.items {
		text, ok := t.scalar(item, "what was looked at again, "+such)
		if !ok {
			continue
		}
		if seen[text] {
			t.Fault(item.path, "found "+inputerror.Shown(text)+" a second time, expected each once", "")
			continue
		}
		seen[text] = true
		if name, isLine := strings.CutPrefix(text, lineWord); isLine {
			c.Lines = append(c.Lines, name)
			at, _ := t.Find(item.path)
			at.Key = string(item.path)
			t.Put(checkedLine(name), at)
			continue
		}
		i := slices.Index(words, text)
		if i < 0 {
			hint := inputerror.DidYouMean(t.Near(text, words))
			if hint == "" {
				hint = "before the name of a line stands the word line, such as line TDC"
			}
			t.Fault(item.path, "found "+inputerror.Shown(text)+", expected "+strings.Join(words, ", ")+" or line with a name", hint)
			continue
		}
		*known[i].value = true
	}
	return c
}

// checkedLine is where a line's name stands among what was looked at again.
func checkedLine(name string) inputerror.Path {
	return inputerror.Path("checked." + lineWord + name)
}
