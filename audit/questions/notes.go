package questions

import (
	"strings"

	"markaudit/audit/sheet"
)

// What is answered and is no key of a sheet, as it stands in a comment.
const (
	noteLines     = "asked: are all lines here?"
	noteProbe     = "asked: does the dial stand in line with the cylinder?"
	noteHalf      = "asked: does the part turn at half speed?"
	noteRing      = "asked: does an outer ring sit on rubber?"
	noteCylinders = "asked: are there lines of more than one cylinder's TDC?"
	noteWindow    = "asked: are the lines seen through a window?"
	noteBackward  = "asked: may it be turned backward by hand?"
	noteStop      = "asked: can a stop go in, and do the valves clear it at overlap too?"
	noteAgain     = "asked: are direction, lines and BTDC side to be looked at again?"
	noteSame      = "asked: is it the same readout as last time?"
)

// lastOf is the note that says what an earlier job had.
func lastOf(key string) string { return "last time, " + key + ":" }

// of is what a note says; empty where there is none.
func (i Interview) of(note string) string { return noted(i.form.Text(), note) }

func noted(text, note string) string {
	for line := range strings.Lines(text) {
		if rest, ok := strings.CutPrefix(strings.TrimPrefix(line, "\ufeff"), "# "+note+" "); ok {
			return strings.TrimSpace(rest)
		}
	}
	return ""
}

// Notes are the answers about the engine that a sheet has no key for: may it be
// turned backward by hand, and can a stop go in and do the valves clear it? Yes,
// no, or empty where it was not asked.
func Notes(text []byte) (backward, stop string) {
	backward, stop = noted(string(text), noteBackward), noted(string(text), noteStop)
	if stop == twoStroke {
		stop = "yes"
	}
	return backward, stop
}

// note writes a note, exchanges it, or with an empty text takes it away. It stands
// at the end of the comment at the head of the sheet.
func (i Interview) note(note, text string) sheet.Form {
	if i.of(note) == text {
		return i.form
	}
	before := strings.SplitAfter(i.form.Text(), "\n")
	lines := make([]string, 0, len(before)+1)
	head, inHead, mark := 0, true, ""
	for n, line := range before {
		if n == 0 && strings.HasPrefix(line, "\ufeff") {
			mark, line = "\ufeff", strings.TrimPrefix(line, "\ufeff")
		}
		if strings.HasPrefix(line, "# "+note+" ") {
			continue
		}
		lines = append(lines, line)
		if inHead = inHead && strings.HasPrefix(line, "#") && strings.HasSuffix(line, "\n"); inHead {
			head = len(lines)
		}
	}
	if text != "" {
		end := "\n"
		if strings.Contains(i.form.Text(), "\r\n") {
			end = "\r\n"
		}
		lines = append(lines[:head:head], append([]string{"# " + note + " " + text + end}, lines[head:]...)...)
	}
	form, err := sheet.ReadForm(i.name, []byte(mark+strings.Join(lines, "")))
	if err != nil {
		return i.form // a comment cannot change what is read; then the note is not kept
	}
	return form
}
