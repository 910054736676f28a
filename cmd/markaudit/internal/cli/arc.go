package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/calculate"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/geometry"
)

func newArc() *cobra.Command {
	c := &cobra.Command{
		Use:     "arc ANGLE|LENGTH",
		GroupID: "bench",
		Short:   "Turn degrees into millimetres on a rim, or back",
		Long: `arc says what an angle is along a rim, straight across with dividers, and on a
tape laid round it; or what a length on the rim is in degrees. Lengths carry their
unit: mm, cm, m, in, thou. A minus is kept.`,
		Example: `markaudit arc 2.5 --diameter "158.0 ± 0.2 mm"
markaudit arc "3.4 mm" --circumference "496.4 mm"
markaudit arc -2.5 --diameter "6 1/4 in" --tape "8 thou" --teeth 135`,
		Annotations:       map[string]string{takesNumbers: "yes"},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	size := rimSized(c)
	tape := flagged(c, "tape", "thickness, a `LENGTH`, of a tape laid round the rim", readThickness)
	teeth := flagged(c, "teeth", "`NUMBER` of teeth of the ring gear, to count in teeth too", readTeeth)
	format := choose(c, "format", "text", "how to print the answer", "text", "json")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) != 1:
			return bad(c, "found %s, expected one angle or length", phrase.Count(len(args), "argument"))
		case !size.given():
			return bad(c, "found neither --diameter nor --circumference, expected one of them")
		}
		return size.check(c)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		rim := calculate.RimMeasure{Diameter: size.value(), Tape: tape.value, Teeth: teeth.value}
		write, err := onRim(args[0], rim, format.word == "json")
		if err != nil {
			return bad(c, "%v", err)
		}
		return write(c.OutOrStdout())
	}
	return c
}

// rimSize is a rim's size, from the one of two flags that was given.
type rimSize struct {
	diameter, circumference *quantity[geometry.Quantity[geometry.Length]]
}

// rimSized adds a rim's size to a command.
func rimSized(c *cobra.Command) rimSize {
	return rimSize{
		flagged(c, "diameter", "`LENGTH` of the rim at the line, such as \"158 mm\" or \"158.0 ± 0.2 mm\"", geometry.ParseLengthQuantity),
		flagged(c, "circumference", "`LENGTH` round the rim, in place of the diameter", geometry.ParseLengthQuantity),
	}
}

func (r rimSize) given() bool { return r.diameter.given() || r.circumference.given() }

func (r rimSize) check(c *cobra.Command) error {
	if r.diameter.given() && r.circumference.given() {
		return bad(c, "found --diameter and --circumference, expected the one that was measured")
	}
	return nil
}

// value returns the diameter.
func (r rimSize) value() geometry.Quantity[geometry.Length] {
	if !r.circumference.given() {
		return r.diameter.value
	}
	d := r.circumference.value
	d.Value = geometry.DiameterFromCircumference(d.Value)
	d.Limit.Half = geometry.DiameterFromCircumference(d.Limit.Half)
	return d
}

// onRim computes what an angle or a length is on a rim. What it returns writes
// the answer.
func onRim(text string, rim calculate.RimMeasure, json bool) (func(io.Writer) error, error) {
	angle, _, noAngle := geometry.ParseAngle(text)
	length, _, noLength := geometry.ParseLength(text)
	switch {
	case noAngle == nil:
		r, err := rim.Lengths(angle)
		if json {
			return func(w io.Writer) error { return export.RimLengths(w, rim, r) }, err
		}
		return func(w io.Writer) error { return document.Text(w, report.RimLengths(rim, r)) }, err
	case noLength == nil:
		r, err := rim.Angles(length)
		if json {
			return func(w io.Writer) error { return export.RimAngles(w, rim, r) }, err
		}
		return func(w io.Writer) error { return document.Text(w, report.RimAngles(rim, r)) }, err
	case strings.ContainsAny(text, "°º") || strings.Contains(strings.ToUpper(text), "DC"):
		return nil, noAngle
	}
	return nil, noLength
}

// readThickness reads a length above zero.
func readThickness(text string) (geometry.Length, error) {
	l, _, err := geometry.ParseLength(text)
	if err == nil && l <= 0 {
		err = fmt.Errorf("found %s, expected a thickness above zero", phrase.Shown(text))
	}
	return l, err
}

const mostTeeth = 10000 // as on a sheet

// readTeeth reads a number of teeth, in the bounds of a sheet.
func readTeeth(text string) (int, error) {
	n, err := geometry.ParseNumber(text)
	switch {
	case err != nil:
		return 0, err
	case n != math.Trunc(n) || n < 1 || n > mostTeeth:
		return 0, fmt.Errorf("found %s, expected a whole number of teeth from 1 to %d", phrase.Shown(text), mostTeeth)
	}
	return int(n), nil
}
