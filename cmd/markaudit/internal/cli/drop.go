package cli

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/calculate"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/geometry"
)

func newDrop() *cobra.Command {
	c := &cobra.Command{
		Use:     "drop LENGTH|ANGLE",
		GroupID: "bench",
		Short:   "Turn a drop of the piston into degrees, or back",
		Long: `drop says at which crank angles, before and after TDC, the piston stands a length
below its top; or how far below its top it stands at an angle such as 18.9 BTDC.
A bare number is an angle, negative before TDC. It also says how many millimetres
a degree is worth there.

Angles count from the piston's highest point. A drop is taken along the cylinder;
an indicator that slants shows more.`,
		Example: `markaudit drop "1.8 mm" --stroke "54 mm" --rod "110 mm"
markaudit drop "18.88 BTDC" --stroke "54 mm" --rod "110 mm" --probe-angle 20
markaudit drop "1.8 mm" --stroke "54 mm" --rod "110 mm" --pin-offset "0.8 mm to thrust side" --diameter "158 mm"`,
		Annotations:       map[string]string{takesNumbers: "yes"},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	stroke := flagged(c, "stroke", "`LENGTH` of the stroke; required", readMeasured)
	rod := flagged(c, "rod", "`LENGTH` of the rod between its centres; required", readMeasured)
	pin := flagged(c, "pin-offset", "`LENGTH` and side of the piston pin's offset, such as \"0.8 mm to thrust side\", or \"± 0.8 mm\"", geometry.ParsePinOffset)
	bore := flagged(c, "bore-offset", "`LENGTH` and side of the cylinder's offset, such as \"6 mm to crankpin side\"", geometry.ParseBoreOffset)
	probe := flagged(c, "probe-angle", "`DEGREES` by which the indicator slants to the cylinder, such as 20", readProbe)
	diameter := flagged(c, "diameter", "`LENGTH` across a rim on the crank, to have lengths along it too", readMeasured)
	checked := choose(c, "checked", "", "what you looked at again: the rod really is shorter than the stroke", "rod")
	format := choose(c, "format", "text", "how to print the answer", "text", "json")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) != 1:
			return bad(c, "found %s, expected one drop or angle", phrase.Count(len(args), "argument"))
		case !stroke.given():
			return bad(c, "found no --stroke, expected it: a drop in millimetres says nothing without the stroke")
		case !rod.given():
			// 27(1 - cos a) = 1.8: a = 21.04.
			return bad(c, "found no --rod, expected it: the shortcut without the rod is refused, for it is degrees off\n  hint: stroke 54 mm, drop 1.8 mm: the shortcut says 21.04 degrees, with a rod of 110 mm it is 18.88")
		}
		return nil
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		m := calculate.PistonMeasure{
			Stroke: stroke.value.Length, Rod: rod.value.Length, PinOffset: pin.value, BoreOffset: bore.value,
			Probe: probe.value, Diameter: diameter.value.Length, Unit: stroke.value.Unit,
			RodChecked: checked.word == "rod",
		}
		write, err := ofPiston(args[0], m, format.word == "json")
		if err != nil {
			return bad(c, "%v", withFlag(err))
		}
		return write(c.OutOrStdout())
	}
	return c
}

// ofPiston computes what a drop is in degrees, or an angle in drop. What it
// returns writes the answer.
func ofPiston(text string, m calculate.PistonMeasure, json bool) (func(io.Writer) error, error) {
	length, unit, noLength := geometry.ParseLength(text)
	angle, _, noAngle := geometry.ParseAngle(text)
	switch nominal, noNominal := geometry.ParseNominal(text); {
	case noLength == nil:
		m.Unit = unit
		r, err := m.Angles(length)
		if json {
			return func(w io.Writer) error { return export.PistonDrop(w, m, r) }, err
		}
		return func(w io.Writer) error { return document.Text(w, report.PistonDrop(m, r)) }, err
	case noAngle == nil:
		r, err := m.Drop(angle)
		if json {
			return func(w io.Writer) error { return export.PistonAngle(w, m, r) }, err
		}
		return func(w io.Writer) error { return document.Text(w, report.PistonAngle(m, r)) }, err
	case noNominal == nil && nominal.Counted == geometry.PistonDrop, strings.Contains(fmt.Sprint(noNominal), "a drop of the piston"):
		return nil, fmt.Errorf("found %s, expected the drop alone: both sides are answered\n  hint: such as 1.8 mm", phrase.Shown(text))
	case noNominal == nil && nominal.Counted == geometry.RimLength:
		return nil, fmt.Errorf("found %s, a length along a rim, expected a drop or an angle\n  hint: `markaudit arc` turns it into degrees", phrase.Shown(text))
	case strings.ContainsAny(text, "°º") || strings.Contains(strings.ToUpper(text), "DC"):
		return nil, noAngle
	}
	return nil, noLength
}

// measured is a length with the unit that it was written in.
type measured struct {
	geometry.Length
	geometry.Unit
}

// readMeasured reads a length above zero.
func readMeasured(text string) (measured, error) {
	l, unit, err := geometry.ParseLength(text)
	if err == nil && l <= 0 {
		err = fmt.Errorf("found %s, expected a length above zero", phrase.Shown(text))
	}
	return measured{l, unit}, err
}

// readProbe reads the slant of an indicator; its bounds are those of a sheet.
func readProbe(text string) (geometry.Angle, error) {
	a, letters, err := geometry.ParseAngle(text)
	if err == nil && letters != geometry.NoLetters {
		err = errors.New("found " + phrase.Shown(text) + ", expected degrees, such as 20, without letters")
	}
	return a, err
}
