package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// Rounding happens in this file and nowhere else: an expanded uncertainty to
// two significant digits, its value to the same place (JCGM 100, 7.2.6).

// unsure is the number of decimals for a value whose uncertainty is not known.
const unsure = 2

// places returns how many decimals show two significant digits of u.
func places(u float64) int {
	if u <= 0 || math.IsInf(u, 0) || math.IsNaN(u) {
		return unsure
	}
	p := 1 - int(math.Floor(math.Log10(u)))
	// 0.0996 rounds up to 0.10: one decimal fewer.
	if p > 0 && math.Round(u*math.Pow10(p)) >= 100 {
		p--
	}
	return min(max(p, 0), 6)
}

// fixed prints x with n decimals, and a zero without a sign.
func fixed(x float64, n int) string {
	s := strconv.FormatFloat(x, 'f', n, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// plain prints x as a person would write it, without trailing zeros.
func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// offBy says how far and which way: "0.93° late".
func offBy(a geometry.Angle, n int) string {
	s := fixed(a.Abs().Degrees(), n)
	switch {
	case strings.Trim(s, "0.") == "":
		return "0°"
	case a > 0:
		return s + "° late"
	}
	return s + "° early"
}

// lengths prints lengths in the unit in which the diameter was written: inches
// to 0.001 with millimetres in brackets, or millimetres to 0.01.
type lengths struct{ unit geometry.Unit }

func (l lengths) of(x geometry.Length) string {
	mm := fixed(x.Millimetres(), 2) + " mm"
	if l.unit.Imperial() {
		return fixed(x.In(geometry.Inch), 3) + " in (" + mm + ")"
	}
	return mm
}

// about prints a length to go by, no finer than an eye.
func (l lengths) about(x geometry.Length) string {
	if l.unit.Imperial() {
		return fixed(x.In(geometry.Inch), 1) + " in"
	}
	return fixed(x.Millimetres(), 0) + " mm"
}

func (l lengths) sure(x, u geometry.Length) string {
	// An uncertainty is never rounded down to nothing.
	show := func(u float64, n int) string { return fixed(math.Max(u, math.Pow10(-n)), n) }
	mm := fixed(x.Millimetres(), 2) + " ± " + show(u.Millimetres(), 2) + " mm"
	if l.unit.Imperial() {
		return fixed(x.In(geometry.Inch), 3) + " ± " + show(u.In(geometry.Inch), 3) + " in (" + mm + ")"
	}
	return mm
}

// percent prints a share of one.
func percent(x float64) string { return fixed(100*x, 0) + " %" }

// most says a share as people do: "8/10", "nearly all".
func most(x float64) string {
	if x > 0.95 {
		return "nearly all"
	}
	return fmt.Sprintf("%.0f/10", 10*x)
}

// count prints a number of things: "1 trial", "3 trials".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// clean shows control characters escaped, so that a name cannot rewrite the
// screen.
func clean(s string) string { return inputerror.Visible(s) }
