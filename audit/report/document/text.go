package document

import (
	"io"
	"strconv"
	"strings"
)

// Width is that of a terminal on which a report must be readable.
const Width = 80

// Text writes a document for a terminal, 80 columns wide and without colour.
func Text(w io.Writer, d Doc) error {
	var b strings.Builder
	for _, block := range d {
		switch x := block.(type) {
		case Heading:
			b.WriteString(wrap(x.Text, "", ""))
			b.WriteString(strings.Repeat("=", min(Columns(x.Text), Width)) + "\n")
		case Sentence:
			b.WriteString(wrap(lead(x), "", ""))
		case Steps:
			for i, item := range x.Items {
				n := strconv.Itoa(i + 1)
				indent := strings.Repeat(" ", len(n)+2)
				b.WriteString(wrap(item, n+"  ", indent))
			}
		case Table:
			t, err := textTable(x)
			if err != nil {
				return err
			}
			b.WriteString(t)
			if x.Note != "" {
				b.WriteString(wrap(x.Note, "  ", "  "))
			}
		case Space:
			b.WriteByte('\n')
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// lead puts a paragraph's lead before it.
func lead(s Sentence) string {
	if s.Lead == "" || s.Text == "" {
		return s.Lead + s.Text
	}
	return s.Lead + ": " + s.Text
}

// wrap breaks a paragraph at spaces. A word longer than a line stays whole:
// cutting a name would change it.
func wrap(text, first, rest string) string {
	var b strings.Builder
	line, used := first, Columns(first)
	fresh := true
	for word := range strings.FieldsSeq(text) {
		if n := Columns(word); !fresh && used+1+n > Width {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line, used, fresh = rest, Columns(rest), true
		}
		if !fresh {
			line += " "
			used++
		}
		line += word
		used += Columns(word)
		fresh = false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
	return b.String()
}
