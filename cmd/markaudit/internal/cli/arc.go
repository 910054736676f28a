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
		Use:     "arc ANGLE|LENGTH [ANGLE|LENGTH...]",
		GroupID: "bench",
		Short:   "Turn degrees into millimetres on a rim, or back",
		Long: `arc says what an angle is along a rim, straight across with dividers, and on a
tape laid round it; or what a length on the rim is in degrees. Lengths carry their
unit: mm, cm, m, in, thou. A minus is kept. Several values are answered one after
the other.`,
		Example: `markaudit arc 2.5 --diameter "158.0 ± 0.2 mm"
markaudit arc "3.4 mm" 10 "20 BTDC" --circumference "496.4 mm"
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
		case len(args) == 0:
			return bad(c, "found no argument, expected an angle or a length")
		case !size.given():
			return bad(c, "found neither --diameter nor --circumference, expected one of them")
		}
		return size.check(c)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		rim := calculate.RimMeasure{Diameter: size.value(), Tape: tape.value, Teeth: teeth.value}
		var all answers
		for _, arg := range args {
			if err := onRim(&all, arg, rim); err != nil {
				return bad(c, "%v", err)
			}
		}
		return all.write(c.OutOrStdout(), format.word == "json")
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
		flagged(c, "diameter", "`LENGTH` of the rim at the line, such as \"158 mm\" or \"158.0 ± 0.2 mm\"", readSize),
		flagged(c, "circumference", "`LENGTH` round the rim, in place of the diameter", readSize),
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

// onRim computes what an angle or a length is on a rim.
func onRim(all *answers, text string, rim calculate.RimMeasure) error {
	angle, _, noAngle := geometry.ParseAngle(text)
	length, _, noLength := geometry.ParseLength(text)
	switch {
	case noAngle == nil:
		r, err := rim.Lengths(angle)
		if err == nil {
			all.add(report.RimLengths(rim, r), export.RimLengths(rim, r))
		}
		return err
	case noLength == nil:
		r, err := rim.Angles(length)
		if err == nil {
			all.add(report.RimAngles(rim, r), export.RimAngles(rim, r))
		}
		return err
	case strings.ContainsAny(text, "°º") || strings.Contains(strings.ToUpper(text), "DC"):
		return noAngle
	}
	return noLength
}

// answers are what was computed for the values of one call, in their order.
type answers struct {
	texts   document.Doc
	objects []any
}

// add takes one answer, as text and as an object of JSON.
func (a *answers) add(text document.Doc, object any) {
	if len(a.texts) > 0 {
		a.texts = append(a.texts, document.Space{})
	}
	a.texts, a.objects = append(a.texts, text...), append(a.objects, object)
}

func (a *answers) write(w io.Writer, json bool) error {
	if json {
		return export.AtTheBench(w, a.objects)
	}
	return document.Text(w, a.texts)
}

// withUnit asks a length without its unit for it. Only the person knows which.
func withUnit(text string, err error) error {
	if _, _, mm := geometry.ParseLength(text + " mm"); err == nil || mm != nil {
		return err
	}
	return fmt.Errorf("found %s, expected a length with a unit: mm or in? Write \"%s mm\" or \"%s in\"", text, text, text)
}

// readSize reads a length with its limit.
func readSize(text string) (geometry.Quantity[geometry.Length], error) {
	q, err := geometry.ParseLengthQuantity(text)
	return q, withUnit(text, err)
}

// readThickness reads a length above zero.
func readThickness(text string) (geometry.Length, error) {
	l, _, err := geometry.ParseLength(text)
	err = withUnit(text, err)
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
