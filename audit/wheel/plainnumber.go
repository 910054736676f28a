package wheel

import "markaudit/geometry"

const (
	mostDegrees     = 1e6 // as the exact parser takes
	mostExactDigits = 15  // a whole number of so many digits is exact in a float64, and so is the power of ten below it
)

// powers are exact.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// plainNumber reads digits with a minus and a point that are within what the
// exact parser takes, and leaves the rest to it. Up to 15 digits the quotient of
// two exact numbers is the float64 nearest to the decimal number.
func plainNumber(field []byte, comma bool) (geometry.Angle, bool) {
	body := field
	negative := len(body) > 0 && body[0] == '-'
	if negative {
		body = body[1:]
	}
	if len(body) == 0 || len(body) > mostExactDigits+1 || body[0] == '0' && len(body) > 1 && isDecimal(body[1]) {
		return 0, false
	}
	var whole int64
	digits, point := len(body), len(body) // digits there are, and before the point
	for i, c := range body {
		switch {
		case isDecimal(c):
			whole = 10*whole + int64(c-'0')
		case (c == '.' || comma && c == ',') && digits == len(body) && 0 < i && i+1 < len(body):
			digits, point = digits-1, i
		default:
			return 0, false
		}
	}
	if digits > mostExactDigits {
		return 0, false
	}
	x := float64(whole) / powers[digits-point]
	if x > mostDegrees {
		return 0, false
	}
	if negative && whole != 0 {
		x = -x
	}
	return geometry.Angle(x), true
}

func isDecimal(c byte) bool { return '0' <= c && c <= '9' }
