package geometry

import "strings"

// Counted says what the number of a nominal or of a tolerance counts.
type Counted uint8

// CrankDegrees count from top dead centre, also where the text counts from 180°
// after it. PistonDegrees are crank degrees from the piston's lowest point.
// PistonDrop is how far the piston stands below its top, RimLength a length
// along the rim from the TDC line.
const (
	CrankDegrees Counted = iota
	PistonDegrees
	PistonDrop
	RimLength
)

func (c Counted) String() string {
	switch c {
	case CrankDegrees:
		return "crank degrees"
	case PistonDegrees:
		return "piston degrees"
	case PistonDrop:
		return "piston drop"
	case RimLength:
		return "rim length"
	}
	return "nothing counted"
}

// Nominal is where a line belongs, as a person writes it. What it counts in
// decides which of Angle and Length is meant; the other is zero. Both are
// negative before the dead centre that they count from.
type Nominal struct {
	Counted Counted
	Angle   Angle
	Length  Length
	Text    string // as entered, always with letters; "0" for the line at TDC
}

// ParseNominal reads where a line belongs:
//
//	120, 10 BTDC, 4 ATDC, 12°30' BTDC     every form of [ParseAngle]
//	BDC, 40 BBDC, 15 ABDC                 180° from top dead centre, less 40° or more 15°
//	piston BDC, 40 piston BBDC            crank degrees from the piston's lowest point
//	1.8 mm piston BTDC                    a drop of the piston, above zero
//	65 mm rim ATDC                        a length along the rim
//
// An angle from bottom dead centre is at most 180°. A sign together with
// letters is an error of type *[Refusal], and so is a length that says neither
// piston nor rim: one is not the other.
func ParseNominal(text string) (Nominal, error) {
	rest := strings.TrimSpace(plain(text))
	rest, letters := cutLetters(rest)
	rest, word := cutWord(rest, "piston", "rim")
	switch {
	case letters == "" && (strings.EqualFold(rest, "TDC") || strings.EqualFold(rest, "piston TDC")):
		return Nominal{}, refuse(text, "expected an angle or a drop", "write 0 for a line at TDC")
	case letters == "BDC" || letters == "BBDC" || letters == "ABDC":
		return nominalFromBottom(text, rest, word, letters)
	case word == "" && isLength(rest):
		return Nominal{}, refuse(text, "which may be a drop of the piston or a length along the rim", "write "+both(rest, letters))
	case word == "":
		a, _, err := ParseAngle(text)
		if err != nil {
			return Nominal{}, err
		}
		entered, err := CrankText(text)
		return Nominal{Angle: a, Text: entered}, err
	case letters == "":
		return Nominal{}, refuse(text, "expected BTDC or ATDC behind it", "such as 1.8 mm piston BTDC, or 65 mm rim BTDC")
	}
	words := word + " " + letters
	l, err := plainLength(text, rest, words)
	if err != nil {
		return Nominal{}, err
	}
	n := Nominal{Counted: RimLength, Length: l, Text: strings.Join(strings.Fields(rest), " ") + " " + words}
	switch {
	case word == "piston" && l == 0:
		return Nominal{}, refuse(text, "expected a drop above zero", "write 0 for a line at TDC")
	case word == "piston":
		n.Counted = PistonDrop
	case l == 0:
		n.Text = "0"
	}
	if letters == "BTDC" && l != 0 {
		n.Length = -l
	}
	return n, nil
}

func nominalFromBottom(text, rest, word, letters string) (Nominal, error) {
	n := Nominal{Text: letters}
	if word == "piston" {
		n.Counted, n.Text = PistonDegrees, word+" "+letters
	}
	var d degrees
	switch {
	case word == "rim" || isLength(rest):
		return Nominal{}, refuse(text, "a length from bottom dead centre", "count a length from TDC, or give crank degrees such as 40 BBDC")
	case rest == "" && letters == "BDC":
	case rest == "":
		return Nominal{}, refuse(text, "expected an angle before "+letters, "such as 40 "+letters)
	case letters == "BDC":
		return Nominal{}, refuse(text, "expected BBDC or ABDC behind the angle", "write BDC alone for bottom dead centre")
	default:
		var err error
		if d, err = readDegrees(rest); err != nil {
			return Nominal{}, err
		}
		switch {
		case d.signed:
			return Nominal{}, refuse(text, "a sign together with letters", "both say the side, so write one of them: 40 BBDC or 140")
		case d.letters != NoLetters:
			return Nominal{}, refuse(text, "letters of both dead centres", "such as 40 BBDC")
		case d.magnitude > 180:
			return Nominal{}, refuse(text, "expected at most 180° from bottom dead centre", "")
		case d.magnitude == 0:
			n.Text = strings.Replace(n.Text, letters, "BDC", 1)
		default:
			n.Text = d.entered() + " " + n.Text
		}
	}
	n.Angle = Angle(signedBy(letters == "BBDC", d.magnitude))
	if n.Counted == CrankDegrees {
		n.Angle += 180
	}
	return n, nil
}

// Tolerance is how far off a line may be, as a person writes it: Angle for
// [CrankDegrees], Length for [PistonDrop] and [RimLength].
type Tolerance struct {
	Counted Counted
	Angle   Angle
	Length  Length
}

// ParseTolerance reads 0.5 in crank degrees, 0.1 mm piston, or 1 mm rim. Its
// sign is kept, for the caller to refuse beside zero. Letters, and a length that
// says neither piston nor rim, are errors of type *[Refusal].
func ParseTolerance(text string) (Tolerance, error) {
	rest, word := cutWord(strings.TrimSpace(plain(text)), "piston", "rim")
	switch {
	case word == "" && isLength(rest):
		return Tolerance{}, refuse(text, "which may be a drop of the piston or a length along the rim", "write "+both(rest, ""))
	case word == "":
		a, letters, err := ParseAngle(text)
		if err == nil && letters != NoLetters {
			err = refuse(text, "expected degrees, such as 0.5, without letters", "")
		}
		if err != nil {
			return Tolerance{}, err
		}
		return Tolerance{Angle: a}, nil
	}
	l, _, err := ParseLength(rest)
	if err != nil {
		return Tolerance{}, err
	}
	counted := RimLength
	if word == "piston" {
		counted = PistonDrop
	}
	return Tolerance{Counted: counted, Length: l}, nil
}

// plainLength reads a length that the words piston or rim and letters follow.
func plainLength(text, rest, words string) (Length, error) {
	switch m, err := readMeasure(rest); {
	case err == nil && !m.hasUnit && !m.fraction:
		return 0, refuse(text, "expected a length with a unit", "such as "+shown(rest+" mm "+words))
	case err == nil && m.signed:
		return 0, refuse(text, "a sign together with letters", "both say the side, so leave out the sign")
	}
	l, _, err := ParseLength(rest)
	return l, err
}

func isLength(text string) bool {
	_, _, err := ParseLength(text)
	return err == nil
}

// both proposes the two things that a bare length can be.
func both(length, letters string) string {
	if letters != "" {
		letters = " " + letters
	}
	return shown(length+" piston"+letters) + ", or " + shown(length+" rim"+letters)
}

// cutLetters takes the letters of a dead centre off the end of a text.
func cutLetters(text string) (rest, letters string) {
	for _, l := range []string{"BBDC", "ABDC", "BTDC", "ATDC", "BDC"} {
		if i := len(text) - len(l); i >= 0 && strings.EqualFold(text[i:], l) {
			return strings.TrimSpace(text[:i]), l
		}
	}
	return text, ""
}

// cutWord takes one of some words, standing alone, off the end of a text.
func cutWord(text string, words ...string) (rest, word string) {
	for _, w := range words {
		if before, ok := strings.CutSuffix(" "+text, " "+w); ok {
			return strings.TrimSpace(before), w
		}
	}
	return text, ""
}
