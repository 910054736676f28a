package geometry

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Letters are the letters written after an angle, which take the place of a
// sign.
type Letters uint8

// The letters: none, before and after top dead centre.
const (
	NoLetters Letters = iota
	BTDC
	ATDC
)

func (l Letters) String() string {
	switch l {
	case BTDC:
		return "BTDC"
	case ATDC:
		return "ATDC"
	}
	return ""
}

// most is the largest magnitude of an angle in degrees, or of a length in
// millimetres, that a sheet may state: beyond it digits are lost that the
// readings need, and no readout shows it.
const most = 1e6

// degrees is an angle as it stands in a text.
type degrees struct {
	numeral
	minutes, seconds string // as entered, or empty
	letters          Letters
}

// ParseAngle reads an angle in degrees: 12.5, 10 BTDC, 10° BTDC, 4 ATDC,
// 12°30', 12°30'20" BTDC, also with º ′ ″ ’ ”, and letters in either case.
// BTDC makes the angle negative. The magnitude is at most a million; the turn
// is kept, so 361 stays 361. A sign together with letters, minutes or seconds
// of 60 and more, letters that count from bottom dead centre, and a length are
// errors of type *[Refusal].
func ParseAngle(text string) (Angle, Letters, error) {
	d, err := readDegrees(text)
	return Angle(d.value()), d.letters, err
}

// CrankText returns a nominal angle as it was entered, but always with
// letters: "120" gives "120 ATDC", "-10" and "10° BTDC" give "10 BTDC",
// "12°30' BTDC" stays, and every form of zero gives "0". The text is refused
// where [ParseAngle] refuses it.
func CrankText(text string) (string, error) {
	d, err := readDegrees(text)
	if err != nil {
		return "", err
	}
	if d.magnitude == 0 {
		return "0", nil
	}
	if d.negative {
		return d.entered() + " " + BTDC.String(), nil
	}
	return d.entered() + " " + ATDC.String(), nil
}

// entered returns the magnitude as it was written.
func (d degrees) entered() string {
	text := d.digits
	if d.minutes != "" {
		text += "°" + d.minutes + "'"
	}
	if d.seconds != "" {
		text += d.seconds + `"`
	}
	return text
}

// Crank returns a crank angle with letters and the given number of decimals:
// "9.07 BTDC", "240.33 ATDC", and "0" when it rounds to nothing. The angle is
// not wrapped.
func (a Angle) Crank(decimals int) string {
	text := strconv.FormatFloat(math.Abs(float64(a)), 'f', decimals, 64)
	switch {
	case strings.Trim(text, "0.") == "":
		return "0"
	case a < 0:
		return text + " " + BTDC.String()
	}
	return text + " " + ATDC.String()
}

// plain brings the look-alikes of degree sign, quotation marks and space to one
// character each. Most texts are numbers and hold none.
func plain(text string) string {
	if strings.IndexFunc(text, func(r rune) bool { return r >= utf8.RuneSelf }) < 0 {
		return text
	}
	return plainMarks.Replace(text)
}

var plainMarks = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "º", "°", "′", "'", "’", "'", "″", `"`, "”", `"`)

func readDegrees(text string) (degrees, error) {
	var d degrees
	n, rest, err := cutNumeral(strings.TrimSpace(plain(text)))
	if err != nil {
		return degrees{}, err
	}
	d.numeral = n
	rest = strings.TrimSpace(rest)
	if after, ok := strings.CutPrefix(rest, "°"); ok {
		rest, err = d.readMinutes(text, strings.TrimSpace(after))
		if err != nil {
			return degrees{}, err
		}
	}
	switch {
	case rest == "":
	case strings.EqualFold(rest, "BTDC"):
		d.letters = BTDC
	case strings.EqualFold(rest, "ATDC"):
		d.letters = ATDC
	default:
		return degrees{}, refuseAfterAngle(text, rest, d)
	}
	if d.letters != NoLetters {
		if d.signed {
			return degrees{}, refuse(text, "a sign together with letters", "both say the side, so write one of them: 10 BTDC or -10")
		}
		d.negative = d.letters == BTDC
	}
	if d.magnitude > most {
		return degrees{}, refuse(text, "expected at most a million degrees", "")
	}
	return d, nil
}

// readMinutes reads what may follow the degree sign, and returns what is left.
// The parts are added before the one division, so that 12°20' is the float
// nearest to it.
func (d *degrees) readMinutes(text, rest string) (string, error) {
	if rest == "" || !isDigit(rest[0]) {
		return rest, nil
	}
	part, after := cutDigits(rest)
	if strings.HasPrefix(after, `"`) {
		return "", refuse(text, "expected minutes before the seconds", `write 12°0'20"`)
	}
	after, ok := strings.CutPrefix(after, "'")
	if !ok {
		return "", refuse(text, "expected a ' after the minutes", "write 12°30'")
	}
	if !d.whole() {
		return "", refuse(text, "expected whole degrees before minutes", "write 12.5 or 12°30'")
	}
	m, ok := sixtieth(part)
	if !ok {
		return "", refuse(text, "expected minutes from 0 to 59", "")
	}
	d.minutes = part
	after = strings.TrimSpace(after)
	if after == "" || !isDigit(after[0]) {
		d.magnitude = (d.magnitude*60 + m) / 60
		return after, nil
	}
	part, after = cutDigits(after)
	after, ok = strings.CutPrefix(after, `"`)
	if !ok {
		return "", refuse(text, `expected a " after the seconds`, `write 12°30'20"`)
	}
	if strings.Contains(d.minutes, ".") {
		return "", refuse(text, "expected whole minutes before seconds", "")
	}
	s, ok := sixtieth(part)
	if !ok {
		return "", refuse(text, "expected seconds from 0 to 59", "")
	}
	d.seconds = part
	d.magnitude = (d.magnitude*3600 + m*60 + s) / 3600
	return strings.TrimSpace(after), nil
}

func cutDigits(text string) (digits, rest string) {
	rest = strings.TrimLeft(text, "0123456789.")
	return text[:len(text)-len(rest)], rest
}

// sixtieth reads minutes or seconds, where a zero in front is usual.
func sixtieth(digits string) (float64, bool) {
	whole, part, point := strings.Cut(digits, ".")
	if len(whole) < 1 || len(whole) > 2 || point && (part == "" || strings.Contains(part, ".")) {
		return 0, false
	}
	v, err := strconv.ParseFloat(digits, 64)
	return v, err == nil && v < 60
}

// refuseAfterAngle finds the sentence for what follows a number and is neither
// empty nor letters.
func refuseAfterAngle(text, rest string, d degrees) *Refusal {
	word := strings.ToUpper(strings.Trim(rest, `. `))
	first, _, _ := strings.Cut(rest, " ")
	switch _, length := unitNamed(first); {
	case word == "BBDC" || word == "ABDC":
		return refuse(text, "an angle counted from bottom dead centre", "count from TDC: "+fromTDC(word, d))
	case strings.HasSuffix(word, "BDC"):
		return refuse(text, "an angle counted from bottom dead centre", "count from TDC: bottom dead centre is 180 ATDC")
	case word == "TDC":
		return refuse(text, "expected BTDC or ATDC after the angle", "write 0 for top dead centre")
	case rest[0] == '\'':
		return refuse(text, "expected degrees before the minutes", "write 0°30' for 30 minutes")
	case length:
		return refuse(text, "a length, which cannot be an angle here", "give crank degrees, such as 10 BTDC")
	case strings.HasPrefix(word, "DEG"):
		return refuse(text, "expected degrees without the word", "write 12.5 or 12.5°")
	case strings.HasPrefix(rest, "±") || strings.HasPrefix(rest, "+/-"):
		return refuse(text, "an angle with a limit where none belongs", "")
	case isDigit(rest[0]) || strings.ContainsAny(rest[:1], "+-") && len(rest) > 1 && isDigit(rest[1]):
		return refuse(text, "expected one angle", "put a comma between two readings")
	}
	return refuse(text, "expected an angle such as 12.5, 10 BTDC or 12°30'", "")
}

func fromTDC(letters string, d degrees) string {
	v := d.magnitude
	if letters == "BBDC" {
		v = -v
	}
	if d.signed || math.Abs(v) >= 180 {
		return "40 BBDC is 140 ATDC, 15 ABDC is 195 ATDC"
	}
	told := strconv.FormatFloat(d.magnitude, 'f', -1, 64)
	return shortened(told) + " " + letters + " is " + shortened(strconv.FormatFloat(180+v, 'f', -1, 64)) + " ATDC"
}
