package geometry

import "strings"

// Offset is a sideways offset of piston pin or bore. Value is positive to the
// thrust side for a pin and to the crankpin side for a bore; when the side is
// unknown Value is zero and Limit holds the size.
type Offset struct {
	Value Length
	Limit Limit[Length]
	Unit  Unit
}

// ParsePinOffset reads a piston pin's offset: "0.8 mm to thrust side" or "to
// crankpin side", "± 0.8 mm" for a side that is not known, each value also
// with a limit, "0.8 ± 0.1 mm to thrust side". Without words a pin offset is
// positive to the thrust side. A side beside a signed number is refused, with
// an error of type *[Refusal].
func ParsePinOffset(text string) (Offset, error) { return parseOffset(text, thrustSide) }

// ParseBoreOffset reads a bore's offset as [ParsePinOffset] does a pin's, but
// without words it is positive to the crankpin side.
func ParseBoreOffset(text string) (Offset, error) { return parseOffset(text, crankpinSide) }

// PinText returns a pin's offset in words, in the unit in which it was
// entered: "0.8 mm to thrust side", "± 0.8 mm, side unknown".
func (o Offset) PinText() string { return o.text(thrustSide, crankpinSide) }

// BoreText returns a bore's offset in words, as [Offset.PinText] does a pin's.
func (o Offset) BoreText() string { return o.text(crankpinSide, thrustSide) }

const (
	thrustSide   = "to thrust side"
	crankpinSide = "to crankpin side"
)

// parseOffset gives a value to the side called positive its positive sign.
func parseOffset(text, positive string) (Offset, error) {
	rest, side := strings.TrimSpace(text), ""
	for _, s := range []string{thrustSide, crankpinSide} {
		if before, ok := strings.CutSuffix(rest, s); ok {
			rest, side = strings.TrimSpace(before), s
		}
	}
	if side == "" && strings.HasSuffix(rest, "side") {
		return Offset{}, refuse(text, "expected an offset "+thrustSide+" or "+crankpinSide, "write ± 0.8 mm when the side is not known")
	}
	q, err := readLengthQuantity(rest)
	if err != nil {
		return Offset{}, err
	}
	o := Offset{Value: q.Value, Limit: q.Limit, Unit: q.Unit}
	switch {
	case side == "":
	case !q.HasValue:
		return Offset{}, refuse(text, "a side together with ± alone, which says that the side is not known", "write 0.8 mm "+side+", or ± 0.8 mm")
	case q.signed:
		return Offset{}, refuse(text, "a sign together with a side", "both say the side, so leave out one of them")
	case side != positive && o.Value != 0:
		o.Value = -o.Value
	}
	return o, nil
}

func (o Offset) text(positive, negative string) string {
	side, size := positive, o.Value
	if size < 0 {
		side, size = negative, -size
	}
	amount := size.digits(o.Unit)
	if o.Limit.Half > 0 {
		limit := "± " + o.Limit.Half.digits(o.Unit) + " " + o.Unit.String()
		if o.Limit.K > 0 {
			limit += " " + coverage(o.Limit.K)
		}
		if o.Value == 0 {
			return limit + ", side unknown"
		}
		return amount + " " + limit + " " + side
	}
	if o.Value == 0 {
		return "0 " + o.Unit.String()
	}
	return amount + " " + o.Unit.String() + " " + side
}
