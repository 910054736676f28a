package geometry

import (
	"strconv"
	"strings"
)

// Length is a length in millimetres.
type Length float64

// Unit is a unit in which a length was written. The zero value is millimetres.
type Unit uint8

// The units that a sheet may use.
const (
	Millimetre Unit = iota
	Centimetre
	Metre
	Inch
	Thou
)

// units holds each unit's symbol and how many millimetres it is, as a ratio of
// whole numbers: 6.22·254/10 lands on 157.988, where 6.22·25.4 does not. The
// inch is 25.4 mm exactly, a thou a thousandth of it (NIST SP 811, appendix
// B.8).
var units = [...]struct {
	symbol      string
	over, under float64
}{
	Millimetre: {"mm", 1, 1},
	Centimetre: {"cm", 10, 1},
	Metre:      {"m", 1000, 1},
	Inch:       {"in", 254, 10},
	Thou:       {"thou", 254, 10_000},
}

// lengthIn returns the length of v units.
func lengthIn(u Unit, v float64) Length { return Length(v * units[u].over / units[u].under) }

// Millimetres returns the length as a bare number of millimetres.
func (l Length) Millimetres() float64 { return float64(l) }

// Abs returns the length without its sign.
func (l Length) Abs() Length { return max(l, -l) }

// In returns the length as a bare number of the given unit.
func (l Length) In(u Unit) float64 { return float64(l) * units[u].under / units[u].over }

// digits returns the length in the given unit as the shortest number that
// reads back as the same length: 0.03 in stays 0.03 also where the
// quotient is the float beside it.
func (l Length) digits(u Unit) string {
	for precision := 1; precision <= 17; precision++ {
		text := strconv.FormatFloat(l.In(u), 'g', precision, 64)
		if v, err := strconv.ParseFloat(text, 64); err == nil && lengthIn(u, v) == l {
			return strconv.FormatFloat(v, 'f', -1, 64)
		}
	}
	return strconv.FormatFloat(l.In(u), 'f', -1, 64)
}

// String returns the unit's symbol: mm, cm, m, in or thou.
func (u Unit) String() string { return units[u].symbol }

// Imperial reports whether the unit is the inch or a part of it.
func (u Unit) Imperial() bool { return u == Inch || u == Thou }

// ParseLength reads a length with its unit: a number with mm, cm, m, in, " or
// thou, or whole inches with a fraction, "6 1/4 in", "6-1/4 in", "1/4 in". It
// also returns the unit, for echoes. A length may carry a sign; its magnitude
// is at most a million millimetres. A number alone is refused like everything
// else that is not a length, with an error of type *[Refusal].
func ParseLength(text string) (Length, Unit, error) {
	m, err := readMeasure(text)
	if err != nil {
		return 0, 0, err
	}
	if !m.hasUnit {
		unit := Millimetre
		if m.fraction {
			unit = Inch
		}
		return 0, 0, refuse(text, "expected a length with a unit, such as "+shown(strings.TrimSpace(text))+" "+unit.String(), "")
	}
	l, err := m.in(m.unit)
	return l, m.unit, err
}

// measure is a length as it stands in a text, perhaps without its unit.
type measure struct {
	text             string
	signed, negative bool
	magnitude        float64 // in the unit
	fraction         bool
	unit             Unit
	hasUnit          bool
}

// in returns the length of the measure taken in unit u.
func (m measure) in(u Unit) (Length, error) {
	if m.fraction && u != Inch {
		return 0, refuse(m.text, "expected a fraction in inches", "write the decimals, such as 6.25")
	}
	l := lengthIn(u, m.magnitude)
	if !(l <= most) { // the product may also have left the floats
		return 0, refuse(m.text, "expected at most a million millimetres", "")
	}
	return Length(signedBy(m.negative, float64(l))), nil
}

func readMeasure(text string) (measure, error) {
	n, rest, err := cutNumeral(strings.TrimSpace(plain(text)))
	if err != nil {
		return measure{}, err
	}
	m := measure{text: text, signed: n.signed, negative: n.negative, magnitude: n.magnitude}
	if rest, err = m.readFraction(n, rest); err != nil {
		return measure{}, err
	}
	symbol := strings.TrimSpace(rest)
	if symbol == "" {
		return m, nil
	}
	if m.unit, m.hasUnit = unitNamed(symbol); !m.hasUnit {
		return measure{}, refuseUnit(text, symbol)
	}
	return m, nil
}

// readFraction takes a fraction off the front of what follows the number n, if
// there is one. The parts are added before the one division.
func (m *measure) readFraction(n numeral, rest string) (string, error) {
	over, after, whole := n.digits, rest, 0.0
	if rest != "" && strings.ContainsAny(rest[:1], " -") {
		over, after = cutDigits(strings.TrimSpace(rest[1:]))
		whole = n.magnitude
	}
	after, found := strings.CutPrefix(after, "/")
	if over == "" || !found {
		return rest, nil
	}
	under, after := cutDigits(after)
	a, okA := count(over)
	b, okB := count(under)
	if !okA || !okB || !n.whole() || a >= b {
		return "", refuse(m.text, "expected a fraction of an inch", "write 6 1/4 in, or 6.25 in")
	}
	m.fraction, m.magnitude = true, (whole*b+a)/b
	return after, nil
}

// count reads the whole number over or under a fraction's bar, 1 to 9999.
func count(digits string) (float64, bool) {
	v, err := strconv.ParseUint(digits, 10, 64)
	return float64(v), err == nil && digits[0] != '0' && v <= 9999
}

func unitNamed(symbol string) (Unit, bool) {
	if symbol == `"` {
		return Inch, true
	}
	for u, known := range units {
		if symbol == known.symbol {
			return Unit(u), true
		}
	}
	return 0, false
}

func refuseUnit(text, symbol string) *Refusal {
	word := strings.ToUpper(symbol)
	switch _, known := unitNamed(strings.ToLower(symbol)); {
	case known:
		return refuse(text, "expected the unit in small letters", "write "+strings.ToLower(symbol))
	case strings.HasPrefix(symbol, "°") || strings.HasSuffix(word, "TDC") || strings.HasPrefix(word, "DEG"):
		return refuse(text, "an angle where a length belongs", "")
	case strings.HasPrefix(symbol, "±") || strings.HasPrefix(symbol, "+/-"):
		return refuse(text, "a length with a limit where none belongs", "")
	}
	return refuse(text, "expected a length with a unit, such as 158.0 mm", `the units are mm, cm, m, in, " and thou`)
}
