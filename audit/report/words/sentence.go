// Package words has every sentence that is said of a result, by topic: a file a
// topic. The terminal, the page, the strip and the record for other programs say a
// thing with the same words because they ask here. A type for each kind of result
// (Audit, Comparison, Plan, Qualify, Wheel, Rehearsal, Recording) says what there
// is to say of one; what needs one value alone is a function. All of them return
// texts, numbers in them as package rounding writes them, and hold no layout.
package words

import (
	"fmt"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// Clean shows control characters escaped, so that a name cannot rewrite the
// screen.
func Clean(s string) string { return inputerror.Visible(s) }

// CleanAll is [Clean] of several names.
func CleanAll(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = Clean(n)
	}
	return out
}

// Quoted is the name of a line within a sentence, so that no name reads as a command, a
// number or a word of the sentence. A print quotes them alike.
func Quoted(name string) string { return "“" + Clean(name) + "”" }

// quotedAll lists lines by their names.
func quotedAll(names []string) string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = Quoted(n)
	}
	return strings.Join(out, ", ")
}

// ofLines begins a sentence about lines, by their quoted names.
func ofLines(quoted []string) string {
	switch all := strings.Join(quoted, ", "); {
	case strings.HasPrefix(strings.ToLower(all), "“line "):
		return all
	case len(quoted) == 1:
		return "Line " + all
	default:
		return "Lines " + all
	}
}

// Sentence begins with a capital and ends with a full stop.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[0])) + Dot(string(r[1:]))
}

// Dot ends a sentence with a full stop, unless it has one.
func Dot(s string) string {
	if strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}

// Entered is a reading as it was entered, with what it comes to where that was in
// another unit: 4 1/2 in (114.30 mm).
func Entered(r *sheet.Reading) string { return withConverted(r.Written(), r.Converted()) }

// EnteredDrop is a drop as it was entered.
func EnteredDrop(d sheet.Drop) string {
	return asEntered(d.Text, fmt.Sprint(d.Drop))
}

// EnteredHeight is the height of a point of a sweep as it was entered.
func EnteredHeight(p sheet.Point) string {
	return asEntered(p.Text, fmt.Sprint(p.Height))
}

// asEntered is a text of the sheet with what it comes to; what was computed where
// there is none.
func asEntered(text, computed string) string {
	if text == "" {
		return computed
	}
	return withConverted(text, sheet.Converted(text))
}

func withConverted(text, converted string) string {
	if converted == "" {
		return Clean(text)
	}
	return Clean(text) + " (" + converted + ")"
}
