package geometry

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Format prints the angle with its unit for every verb: %+.2f gives "+12.50°",
// %v the shortest text that reads back as the same angle, "12.5°".
func (a Angle) Format(s fmt.State, verb rune) { format(s, verb, float64(a), "°") }

// Format prints the length in millimetres with its unit for every verb: %.2f
// gives "1.28 mm", %v the shortest text that reads back as the same length.
func (l Length) Format(s fmt.State, verb rune) { format(s, verb, float64(l), " mm") }

// format honours precision, width and the flags plus, minus and zero. Without
// it %f would walk past a String method and print a bare number.
func format(s fmt.State, verb rune, v float64, unit string) {
	kind, precision := byte('f'), -1
	switch verb {
	case 'f', 'F':
		precision = 6 // as fmt does
	case 'e', 'E', 'g', 'G':
		kind = byte(verb)
	}
	if p, ok := s.Precision(); ok {
		precision = p
	}
	text := strconv.FormatFloat(v, kind, precision, 64)
	if kind == 'f' && strings.HasPrefix(text, "-") && strings.Trim(text, "-0.") == "" {
		text = text[1:] // what rounds to nothing has no side
	}
	if s.Flag('+') && text[0] != '-' && text[0] != '+' {
		text = "+" + text
	}
	text += unit
	if width, ok := s.Width(); ok {
		missing := max(0, width-utf8.RuneCountInString(text))
		switch {
		case s.Flag('-'):
			text += strings.Repeat(" ", missing)
		case s.Flag('0') && (text[0] == '-' || text[0] == '+'):
			text = text[:1] + strings.Repeat("0", missing) + text[1:]
		case s.Flag('0'):
			text = strings.Repeat("0", missing) + text
		default:
			text = strings.Repeat(" ", missing) + text
		}
	}
	_, _ = s.Write([]byte(text)) // fmt reports the error of its own writer
}
