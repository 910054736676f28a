package drawing

import (
	"slices"
	"strings"

	"golang.org/x/text/unicode/bidi"
)

// noLetter stands where a type lacks a letter. It is no question mark, for that
// would be read as one.
const noLetter = '□'

// Has reports whether both types have every letter of a text. They hold Latin,
// Greek, Cyrillic and Hebrew. What they lack is better said in another way, by the
// number that a line has on its sheet, say.
func Has(text string) bool {
	for _, r := range text {
		if _, ok := sans().advance(r); !ok {
			return false
		}
		if _, ok := sansBold().advance(r); !ok {
			return false
		}
	}
	return true
}

// printable puts an empty box for every letter that the type lacks.
func printable(text string, bold bool) string {
	return strings.Map(func(r rune) rune {
		if _, ok := faceOf(bold).advance(r); !ok {
			return noLetter
		}
		return r
	}, text)
}

// seen puts a line of text in the order in which its letters are seen from left to
// right, for a page of a PDF knows no other (Unicode Standard Annex 9).
func seen(text string) string {
	var p bidi.Paragraph
	if !rightToLeft(text) {
		return text
	}
	if _, err := p.SetString(leftToRight + text); err != nil {
		return text
	}
	order, err := p.Order()
	if err != nil {
		return text
	}
	// Runs come in the order of the text. Those that run from right to left, with the
	// numbers among and behind them, are seen in the opposite order (rule L2).
	var runs []string
	after := 0 // where the runs that are seen the other way round begin
	for i := range order.NumRuns() {
		run := order.Run(i)
		part := run.String()
		switch {
		case run.Direction() == bidi.RightToLeft:
			runs = slices.Insert(runs, after, bidi.ReverseString(part))
		case i > 0 && after < len(runs) && number(part):
			runs = slices.Insert(runs, after, part)
		default:
			runs = append(runs, part)
			after = len(runs)
		}
	}
	return strings.TrimPrefix(strings.Join(runs, ""), leftToRight)
}

// leftToRight is a mark that is not seen; a line that begins with it reads from the
// left as a whole, as the drawings do.
const leftToRight = "\u200e"

// number reports whether a run holds a digit and no letter.
func number(text string) bool {
	digit := false
	for _, r := range text {
		p, _ := bidi.LookupRune(r)
		if p.Class() == bidi.L {
			return false
		}
		digit = digit || p.Class() == bidi.EN || p.Class() == bidi.AN
	}
	return digit
}

// rightToLeft reports whether any letter of a text runs from right to left.
func rightToLeft(text string) bool {
	return strings.ContainsFunc(text, func(r rune) bool {
		p, _ := bidi.LookupRune(r)
		return p.Class() == bidi.R || p.Class() == bidi.AL
	})
}
