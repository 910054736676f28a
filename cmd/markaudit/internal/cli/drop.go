package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/calculate"
	"markaudit/audit/report"
	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/geometry"
)

func newDrop() *cobra.Command {
	c := &cobra.Command{
		Use:     "drop LENGTH|ANGLE [LENGTH|ANGLE...]",
		GroupID: "bench",
		Short:   "Turn a drop of the piston into degrees, or back",
		Long: `drop says at which crank angles, before and after TDC, the piston stands a length
below its top; or how far below its top it stands at an angle such as 18.9 BTDC.
A bare number is neither, and is asked about. It also says how many millimetres a
degree is worth there. Several values are answered one after the other.

Angles count from the piston's highest point. A drop is taken along the cylinder;
an indicator that slants shows more.`,
		Example: `markaudit drop "1.8 mm" --stroke "54 mm" --rod "110 mm"
markaudit drop "18.88 BTDC" "10 BTDC" --stroke "54 mm" --rod "110 mm" --probe-angle 20
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
	checked := choose(c, "checked", "", "what you looked at again: the rod really is as long as that", "rod")
	format := choose(c, "format", "text", "how to print the answer", "text", "json")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) == 0:
			return bad(c, "found no argument, expected a drop or an angle")
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
		var all answers
		for _, arg := range args {
			if err := ofPiston(&all, arg, m); err != nil {
				return bad(c, "%v", withFlag(err))
			}
		}
		return all.write(c.OutOrStdout(), format.word == "json")
	}
	return c
}

// ofPiston computes what a drop is in degrees, or an angle in drop.
func ofPiston(all *answers, text string, m calculate.PistonMeasure) error {
	length, unit, noLength := geometry.ParseLength(text)
	angle, letters, noAngle := geometry.ParseAngle(text)
	text = strings.ReplaceAll(text, "−", "-") // which an argument gets so that it is no flag
	bare := noAngle == nil && letters == geometry.NoLetters && !strings.ContainsAny(text, "°º")
	switch nominal, noNominal := geometry.ParseNominal(text); {
	case noLength == nil:
		m.Unit = unit
		r, err := m.Angles(length)
		if err == nil {
			all.add(report.PistonDrop(m, r), export.PistonDrop(m, r))
		}
		return err
	case bare && angle < 0:
		return fmt.Errorf("found %s, expected an angle with its letters: write \"%s BTDC\"", text, strings.TrimLeft(text, "- "))
	case bare:
		return fmt.Errorf("found %s, expected a drop with its unit: mm or in? Write \"%s mm\" or \"%s in\"; an angle is \"%s BTDC\"", text, text, text, text)
	case noAngle == nil:
		r, err := m.Drop(angle)
		if err == nil {
			all.add(report.PistonAngle(m, r), export.PistonAngle(m, r))
		}
		return err
	case noNominal == nil && nominal.Counted == geometry.PistonDrop, strings.Contains(fmt.Sprint(noNominal), "a drop of the piston"):
		return fmt.Errorf("found %s, expected the drop alone: both sides are answered\n  hint: such as 1.8 mm", phrase.Shown(text))
	case noNominal == nil && nominal.Counted == geometry.RimLength:
		return fmt.Errorf("found %s, a length along a rim, expected a drop or an angle\n  hint: `markaudit arc` turns it into degrees", phrase.Shown(text))
	case strings.ContainsAny(text, "°º") || strings.Contains(strings.ToUpper(text), "DC"):
		return noAngle
	}
	return withUnit(text, noLength)
}

// measured is a length with the unit that it was written in.
type measured struct {
	geometry.Length
	geometry.Unit
}

// readMeasured reads a length above zero.
func readMeasured(text string) (measured, error) {
	l, unit, err := geometry.ParseLength(text)
	err = withUnit(text, err)
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
