package geometry

import "strings"

// ParseOffBy reads how far off a line is: 0.5 late, 0.5° early, or a signed number
// of degrees with late positive. A sign together with a word is an error of type
// *[Refusal].
func ParseOffBy(text string) (Angle, error) {
	rest := strings.TrimSpace(text)
	sign, worded := Angle(1), false
	for word, s := range map[string]Angle{"late": 1, "early": -1} {
		if before, ok := strings.CutSuffix(rest, word); ok {
			rest, sign, worded = strings.TrimSpace(before), s, true
		}
	}
	a, letters, err := ParseAngle(rest)
	switch {
	case err != nil:
		return 0, err
	case letters != NoLetters:
		return 0, refuse(text, "expected degrees with late or early", "such as 0.5 late")
	case worded && strings.ContainsAny(rest, "+-−"):
		return 0, refuse(text, "a sign together with late or early", "both say the side, so write one of them")
	}
	return sign * a, nil
}
