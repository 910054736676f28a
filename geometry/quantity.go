package geometry

import (
	"fmt"
	"strings"
)

// Quantity is a value with a limit as a person writes it: "158.0 ± 0.2 mm",
// "± 0.3 mm", "0.10 ± 0.05", "158.0 ± 0.2 mm (k=2)".
type Quantity[T Angle | Length] struct {
	Value    T
	HasValue bool // false for "± 0.3 mm"
	Limit    Limit[T]
	HasLimit bool
	Unit     Unit // of a length; meaningless for an angle
}

// ParseLengthQuantity reads "158.0 ± 0.2 mm", "158.0 mm ± 0.2 mm", "± 0.3 mm"
// or "158.0 mm", with +/- for ±, every form of [ParseLength] for each part, and
// "(k=2)" after a limit that comes from a certificate. A value without its own
// unit takes that of the limit; a limit without a unit, or one that is not
// above zero, is an error of type *[Refusal].
func ParseLengthQuantity(text string) (Quantity[Length], error) {
	q, err := readLengthQuantity(text)
	return q.Quantity, err
}

// ParseAngleQuantity reads "0.10 ± 0.05", "± 0.10" or "0.10" in degrees, with
// or without the degree sign, with +/- for ±, and "(k=2)" after a limit that
// comes from a certificate. Letters and a limit that is not above zero are
// errors of type *[Refusal].
func ParseAngleQuantity(text string) (Quantity[Angle], error) {
	parts, err := cutLimit(text)
	if err != nil {
		return Quantity[Angle]{}, err
	}
	var q Quantity[Angle]
	if parts.value != "" || !parts.limited {
		d, err := readPlainDegrees(parts.value)
		if err != nil {
			return Quantity[Angle]{}, err
		}
		q.Value, q.HasValue = Angle(d.value()), true
	}
	if parts.limited {
		d, err := readPlainDegrees(parts.limit)
		if err != nil {
			return Quantity[Angle]{}, err
		}
		if d.signed || d.magnitude == 0 {
			return Quantity[Angle]{}, refuseLimit(text)
		}
		q.Limit, q.HasLimit = Limit[Angle]{Half: Angle(d.magnitude), K: parts.k}, true
	}
	return q, nil
}

// String returns the quantity with full digits, in millimetres or degrees, as
// the parsing functions read it.
func (q Quantity[T]) String() string {
	var words []string
	if q.HasValue {
		words = append(words, fmt.Sprint(q.Value))
	}
	if q.HasLimit {
		words = append(words, "±", fmt.Sprint(q.Limit.Half))
		if q.Limit.K > 0 {
			words = append(words, coverage(q.Limit.K))
		}
	}
	return strings.Join(words, " ")
}

// lengthQuantity also remembers a sign, which an offset may not carry beside
// the name of a side.
type lengthQuantity struct {
	Quantity[Length]
	signed bool
}

func readLengthQuantity(text string) (q lengthQuantity, err error) {
	parts, err := cutLimit(text)
	if err != nil {
		return lengthQuantity{}, err
	}
	if !parts.limited {
		q.HasValue = true
		q.Value, q.Unit, err = ParseLength(text)
		if err != nil {
			return lengthQuantity{}, err
		}
		m, err := readMeasure(text)
		q.signed = m.signed
		return q, err
	}
	limit, err := readMeasure(parts.limit)
	if err != nil {
		return lengthQuantity{}, err
	}
	if !limit.hasUnit {
		return lengthQuantity{}, refuse(text, "expected a unit after the limit, such as ± 0.2 mm", "")
	}
	q.Unit, q.HasLimit, q.Limit.K = limit.unit, true, parts.k
	if q.Limit.Half, err = limit.in(limit.unit); err != nil {
		return lengthQuantity{}, err
	}
	if limit.signed || q.Limit.Half == 0 {
		return lengthQuantity{}, refuseLimit(text)
	}
	if parts.value == "" {
		return q, nil
	}
	value, err := readMeasure(parts.value)
	if err != nil {
		return lengthQuantity{}, err
	}
	if value.hasUnit {
		q.Unit = value.unit
	}
	q.HasValue, q.signed = true, value.signed
	if q.Value, err = value.in(q.Unit); err != nil {
		return lengthQuantity{}, err
	}
	return q, nil
}

func readPlainDegrees(text string) (degrees, error) {
	d, err := readDegrees(text)
	if err == nil && d.letters != NoLetters {
		return degrees{}, refuse(text, "letters where a plain number of degrees belongs", "")
	}
	return d, err
}

// limitParts is a quantity's text, taken apart.
type limitParts struct {
	value, limit string
	limited      bool
	k            float64 // zero without a coverage factor
}

func cutLimit(text string) (p limitParts, err error) {
	rest := strings.TrimSpace(strings.ReplaceAll(text, "+/-", "±"))
	factor := ""
	if strings.HasSuffix(rest, ")") {
		if i := strings.LastIndex(rest, "("); i >= 0 {
			rest, factor = strings.TrimSpace(rest[:i]), rest[i:]
		}
	}
	p.value, p.limit, p.limited = strings.Cut(rest, "±")
	p.value, p.limit = strings.TrimSpace(p.value), strings.TrimSpace(p.limit)
	switch {
	case strings.Contains(p.limit, "±"):
		return limitParts{}, refuse(text, "expected one ±", "")
	case p.limited && p.limit == "":
		return limitParts{}, refuse(text, "expected a limit after the ±", "")
	case factor == "":
		return p, nil
	case !p.limited:
		return limitParts{}, refuse(text, "a coverage factor without a limit", "write 158.0 ± 0.2 mm (k=2)")
	}
	p.k, err = readCoverage(factor)
	return p, err
}
