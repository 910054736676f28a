package geometry

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// numeral is a number as it stands in a text.
type numeral struct {
	signed, negative bool
	digits           string // without the sign, as entered
	magnitude        float64
}

// value returns the number with its sign; a zero never carries one.
func (n numeral) value() float64 { return signedBy(n.negative, n.magnitude) }

func signedBy(negative bool, magnitude float64) float64 {
	if negative && magnitude != 0 {
		return -magnitude
	}
	return magnitude
}

// whole reports whether the digits were entered without a decimal point.
func (n numeral) whole() bool { return !strings.Contains(n.digits, ".") }

// ParseNumber reads a sign (+, - or the minus U+2212), digits, and optionally
// a decimal point with digits after it; space around it is ignored. The result
// is finite, and zero is never negative; a sensible range is the caller's
// matter. Everything that a spreadsheet or a programming language would also
// take for a number (1e3, 0x10, 010, 1_000, 15:30, .5, 5., NaN, a decimal
// comma) is an error of type *[Refusal].
func ParseNumber(text string) (float64, error) {
	n, rest, err := cutNumeral(strings.TrimSpace(text))
	if err != nil {
		return 0, err
	}
	if rest != "" {
		return 0, refuse(text, "expected a number and nothing after it", "")
	}
	return n.value(), nil
}

// cutNumeral takes the number off the front of a text. What follows it is left
// to the caller, except where it makes the number a different one.
func cutNumeral(text string) (n numeral, rest string, err error) {
	body := text
	if r, size := utf8.DecodeRuneInString(text); r == '+' || r == '-' || r == '−' {
		n.signed, n.negative = true, r != '+'
		body = text[size:]
	}
	end := strings.IndexFunc(body, func(r rune) bool { return !strings.ContainsRune("0123456789.,_:", r) })
	if end < 0 {
		end = len(body)
	}
	n.digits, rest = body[:end], body[end:]
	if f := refuseNumeral(text, n.digits, rest); f != nil {
		return numeral{}, "", f
	}
	n.magnitude, err = strconv.ParseFloat(n.digits, 64)
	if err != nil {
		return numeral{}, "", refuse(text, "a number too large to compute with", "")
	}
	return n, rest, nil
}

// refuseNumeral returns nil for digits with at most one point among them. Each
// other thing has its own sentence: most are a spreadsheet's or a keyboard's
// doing, and the person should learn which.
func refuseNumeral(text, digits, rest string) *Refusal {
	lower := strings.ToLower(rest[:min(len(rest), len("e−1"))])
	points := strings.Count(digits, ".")
	switch {
	case strings.HasPrefix(lower, "nan") || strings.HasPrefix(lower, "inf"):
		return refuse(text, "expected a finite number", "")
	case strings.Trim(digits, ".,_:") == "":
		return refuse(text, "expected a number", "")
	case strings.Contains(digits, "_"):
		return refuse(text, "expected digits without underscores", write(strings.ReplaceAll(digits, "_", ""), ""))
	case strings.Contains(digits, ":"):
		return refuse(text, "expected a number without a colon", "write 15.5 or, for an angle, 15°30'")
	case strings.Contains(text, ", "):
		return refuse(text, "expected one number", "put brackets round several: ["+shown(text)+"]")
	case strings.Contains(digits, ",") && points > 0:
		return refuse(text, "a comma and a point in one number", "write 1234.5 for a thousand and more")
	case strings.Contains(digits, ","):
		return refuse(text, "a number with a comma", write(strings.Replace(digits, ",", ".", 1), " with a point"))
	case points > 1:
		return refuse(text, "expected at most one decimal point", "")
	case strings.HasPrefix(digits, "."):
		return refuse(text, "expected a digit before the point", write("0"+digits, ""))
	case strings.HasSuffix(digits, "."):
		return refuse(text, "expected a digit after the point", write(strings.TrimSuffix(digits, "."), ""))
	case len(digits) > 1 && digits[0] == '0' && digits[1] != '.':
		return refuse(text, "expected no zero in front of a number", write(withoutZeros(digits), ""))
	case startsExponent(lower):
		return refuse(text, "expected a number without an exponent", "write the number out, such as 1000 for 1e3")
	case digits == "0" && startsBase(lower):
		return refuse(text, "expected decimal digits", "")
	}
	return nil
}

// write proposes digits that would be read, or says nothing. Each proposal is
// closer to a number than what it replaces, so asking about it ends.
func write(digits, how string) string {
	if refuseNumeral(digits, digits, "") != nil {
		return ""
	}
	return "write " + shortened(digits) + how
}

func shortened(digits string) string {
	if len(digits) > 20 {
		return digits[:20] + "…"
	}
	return digits
}

func withoutZeros(digits string) string {
	d := strings.TrimLeft(digits, "0")
	if d == "" || d[0] == '.' {
		return "0" + d
	}
	return d
}

func startsExponent(s string) bool {
	if !strings.HasPrefix(s, "e") {
		return false
	}
	s = strings.TrimLeft(s[1:], "+-−")
	return s != "" && isDigit(s[0])
}

func startsBase(s string) bool {
	return strings.HasPrefix(s, "x") || len(s) > 1 && (s[0] == 'b' || s[0] == 'o') && isDigit(s[1])
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }
