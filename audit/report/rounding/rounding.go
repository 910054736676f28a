package rounding

import (
	"math"
	"strconv"
	"strings"

	"markaudit/audit/calculate"
	"markaudit/geometry"
)

// Unsure is the number of decimals for a value whose uncertainty is not known.
const Unsure = 2

// Places returns how many decimals show two significant digits of u.
func Places(u float64) int {
	if u <= 0 || math.IsInf(u, 0) || math.IsNaN(u) {
		return Unsure
	}
	p := 1 - int(math.Floor(math.Log10(u)))
	// 0.0996 rounds up to 0.10: one decimal fewer.
	if p > 0 && math.Round(u*math.Pow10(p)) >= 100 {
		p--
	}
	return min(max(p, 0), 6)
}

// Fixed prints x with n decimals, and a zero without a sign.
func Fixed(x float64, n int) string {
	s := strconv.FormatFloat(x, 'f', n, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// Plain prints x as a person would write it, without trailing zeros.
func Plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Trimmed returns x without the digits that turning a length into degrees leaves
// behind: to three decimals where there are very many.
func Trimmed(x float64) float64 {
	if len(Plain(x)) > 8 {
		return math.Round(1e3*x) / 1e3
	}
	return x
}

// To returns an angle in degrees, rounded to n decimals.
func To(a geometry.Angle, n int) float64 {
	return math.Round(a.Degrees()*math.Pow10(n)) / math.Pow10(n)
}

// StepPlaces returns the number of decimals that an angle is written with, such as
// the step of a readout; at most 4.
func StepPlaces(step geometry.Angle) int {
	s := Plain(step.Degrees())
	if i := strings.IndexByte(s, '.'); i >= 0 {
		return min(len(s)-i-1, 4)
	}
	return 0
}

// Signed prints an offset from a middle with its sign.
func Signed(x float64, n int) string {
	s := Fixed(x, n)
	if x > 0 && s != Fixed(0, n) {
		return "+" + s
	}
	return s
}

// OffBy says how far and which way: "0.93° late".
func OffBy(a geometry.Angle, n int) string {
	s := Fixed(a.Abs().Degrees(), n)
	switch {
	case strings.Trim(s, "0.") == "":
		return "0°"
	case a > 0:
		return s + "° late"
	}
	return s + "° early"
}

// Later says how much later or earlier, with n decimals: "0.93° later".
func Later(a geometry.Angle, n int) string {
	if a < 0 {
		return Fixed(-a.Degrees(), n) + "° earlier"
	}
	return Fixed(a.Degrees(), n) + "° later"
}

// Beside says how far after or before something an angle lies: "0.012° after".
func Beside(a geometry.Angle) string {
	way := "after"
	if a < 0 {
		way = "before"
	}
	return Fixed(a.Abs().Degrees(), 3) + "° " + way
}

// Degrees prints an angle with n decimals: "1.28°".
func Degrees(a geometry.Angle, n int) string { return Fixed(a.Degrees(), n) + "°" }

// TwoDigits prints the size of an angle, such as an uncertainty, with two
// significant digits: "0.22°".
func TwoDigits(u geometry.Angle) string {
	return Degrees(u.Abs(), Places(u.Abs().Degrees()))
}

// SureDegrees prints an angle with its uncertainty: "1.28° ± 0.22°".
func SureDegrees(a, u geometry.Angle) string {
	return Degrees(a, Places(u.Degrees())) + " ± " + TwoDigits(u)
}

// LaterSure says how much later or earlier, with the uncertainty:
// "0.93° later ± 0.22°".
func LaterSure(a, u geometry.Angle) string {
	return Later(a, Places(u.Degrees())) + " ± " + TwoDigits(u)
}

// NotNothing prints an uncertainty with n decimals, and never rounds it down to
// nothing: what is less than the last place shows as one of that place.
func NotNothing(u float64, n int) string { return Fixed(math.Max(u, math.Pow10(-n)), n) }

// Round prints an angle as a readout shows it, from 0 to 360 and with n decimals;
// 359.999 does not come out as 360.00.
func Round(a geometry.Angle, n int) string {
	s := Fixed(a.Turn().Degrees(), n)
	if strings.HasPrefix(s, "360") {
		return Fixed(0, n)
	}
	return s
}

// Confidence prints how often an interval holds: "95 %".
func Confidence(p float64) string { return Plain(math.Round(1e4*p)/100) + " %" }

// SizedAngle prints an angle with what an input's limit makes of it: two decimals,
// or as many as the limit supports; nothing for a limit of zero, "± ?" where it is
// not known (NaN).
func SizedAngle(s calculate.Sized[geometry.Angle]) string {
	half := s.Limit.Half.Degrees()
	switch {
	case half == 0:
		return Fixed(s.Value.Degrees(), Unsure) + "°"
	case math.IsNaN(half):
		return Fixed(s.Value.Degrees(), Unsure) + "° ± ?"
	}
	n := max(Places(half), Unsure)
	return Fixed(s.Value.Degrees(), n) + " ± " + Fixed(half, n) + "°" + covering(s.Limit.K)
}

// SizedCrank prints an angle of the crank with its letters, with two decimals or as many as its
// limit supports.
func SizedCrank(s calculate.Sized[geometry.Angle]) string {
	half := s.Limit.Half.Degrees()
	if half == 0 {
		return s.Value.Crank(Unsure)
	}
	n := max(Places(half), Unsure)
	size, letters, _ := strings.Cut(s.Value.Crank(n), " ")
	return strings.TrimSpace(size + " ± " + Fixed(half, n) + " " + letters)
}

// EnteredAngle prints an angle that was typed, with its decimals, at most six.
func EnteredAngle(a geometry.Angle) string {
	return Plain(math.Round(a.Degrees()*1e6)/1e6) + "°"
}

func covering(k float64) string {
	if k == 0 {
		return ""
	}
	return " (k=" + Plain(k) + ")"
}

// Chance prints a probability with two digits, and its ends as "under 0.000001"
// and "over 0.99".
func Chance(p float64) string {
	switch {
	case p < 1e-6:
		return "under 0.000001"
	case p > 0.995:
		return "over 0.99"
	}
	return Fixed(p, Places(p))
}

// Ratio prints a ratio: two decimals below 10, none from there on.
func Ratio(x float64) string {
	if x >= 10 {
		return Fixed(x, 0)
	}
	return Fixed(x, 2)
}

// Percent prints a share of one: "12 %".
func Percent(x float64) string { return Fixed(100*x, 0) + " %" }

// Most says a share as people do: "8/10", "nearly all".
func Most(x float64) string {
	if x > 0.95 {
		return "nearly all"
	}
	return Fixed(10*x, 0) + "/10"
}

// Count prints a number of things: "1 trial", "3 trials".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// PartOf says which of n parts number i is, counted from 0, to follow a title:
// ", 2 of 3"; empty where there is one alone.
func PartOf(i, n int) string {
	if n == 1 {
		return ""
	}
	return ", " + strconv.Itoa(i+1) + " of " + strconv.Itoa(n)
}

// Step is the least of 1, 2, 5 times a power of ten that is not below x.
func Step(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)+1e-9))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= x*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}
