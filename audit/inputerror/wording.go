package inputerror

import (
	"strconv"
	"strings"
)

// Visible returns a text in which control characters and other invisible ones
// are escaped: a file may carry anything into a terminal.
func Visible(text string) string {
	if strings.IndexFunc(text, Invisible) < 0 {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if Invisible(r) {
			b.WriteString(strings.Trim(strconv.QuoteRune(r), "'"))
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// Invisible reports whether a character would not be seen as what it is.
func Invisible(r rune) bool { return !strconv.IsPrint(r) }

// Shown renders what was found, for a fault: short and visible.
func Shown(text string) string {
	const most = 40
	n := 0
	for i := range text {
		if n == most {
			text = text[:i] + "…"
			break
		}
		n++
	}
	if text == "" {
		return "nothing"
	}
	return Visible(text)
}

// Count says how many of a thing: "1 field", "2 fields".
func Count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
