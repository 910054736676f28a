package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/calculate"
	"markaudit/audit/report"
	"markaudit/audit/report/export"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/geometry"
)

func newTDC() *cobra.Command {
	c := &cobra.Command{
		Use:     "tdc FORWARD BACKWARD [FORWARD BACKWARD...]",
		GroupID: "bench",
		Short:   "Find TDC from pairs of stop contacts",
		Long: `tdc says from a pair of contacts where the readout shows TDC, and which way to
turn to get there. FORWARD is the reading at the contact reached by turning the
way the engine runs, BACKWARD the one reached by turning against it.

Give several pairs in the order in which they were taken, and it says their mean,
how well they repeat and how sure the mean is.

It counts up when the number at the wheel pointer grows while you turn the engine
the way it runs; else it counts down.

Without a wheel, chalk a line on the rim and give the length from it to the
pointer at each contact, with its unit, a minus on the far side of the chalk: then
TDC is said in mm of rim and of dividers too. On a rim it counts up when that
length grows while you turn the engine the way it runs.`,
		Example: `markaudit tdc 338.0 22.0 --counts up --step 0.5
markaudit tdc -22 22 --counts up --standing forward
markaudit tdc 338.0 22.0 338.5 22.0 338.0 22.5 --counts up --step 0.5
markaudit tdc "0 mm" "230.4 mm" --diameter "600 mm" --counts up --step "1 mm"`,
		Annotations:       map[string]string{takesNumbers: "yes"},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	counts := choose(c, "counts", "", "how the readout counts while you turn the engine the way it runs; required, but for lengths", "up", "down")
	standing := choose(c, "standing", "backward", "the contact at which the crank stands now", "backward", "forward")
	step := flagged(c, "step", "smallest step of the readout, `DEGREES` such as 0.5, or of lengths, such as \"1 mm\"", readStep)
	size := rimSized(c)
	measured := choose(c, "measured", "tape", "how lengths were measured: along the rim, or straight across", "tape", "chord")
	checked := choose(c, "checked", "", "what you looked at again: the half arcs that differ are those of one stop", "arcs")
	format := choose(c, "format", "text", "how to print the answer", "text", "json")
	c.Args = func(c *cobra.Command, args []string) error {
		switch n := len(args); {
		case n < 2:
			return bad(c, "found %s, expected two: the forward and the backward contact", phrase.Count(n, "reading"))
		case n%2 == 1:
			return bad(c, "found %s, and the last, %s, has no partner; expected pairs: a forward and a backward contact each", phrase.Count(n, "reading"), phrase.Shown(args[n-1]))
		}
		if counts.word == "" && !slices.ContainsFunc(args, isLength) {
			return bad(c, "found no --counts, expected up or down: does the number grow while you turn the engine the way it runs?")
		}
		return size.check(c)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		pair := calculate.Pair{
			Step: step.value.Angle, StepLength: step.value.Length, Standing: sheet.Backward,
			Rim: calculate.RimMeasure{Diameter: size.value()}, Chord: measured.word == "chord",
		}
		switch counts.word {
		case "up":
			pair.Counts = geometry.CountsUp
		case "down":
			pair.Counts = geometry.CountsDown
		}
		if standing.word == "forward" {
			pair.Standing = sheet.Forward
		}
		onRim := size.given() || slices.ContainsFunc(args, isLength)
		var pairs []calculate.Pair
		for both := range slices.Chunk(args, 2) {
			for i, contact := range []*sheet.Reading{&pair.Forward, &pair.Backward} {
				var err error
				if *contact, err = readContact(both[i], onRim); err != nil {
					return bad(c, "%v", err)
				}
			}
			if c.Flags().Changed("measured") && !pair.Forward.Measured && !pair.Backward.Measured {
				return bad(c, "found --measured %s with readings in degrees, expected it with lengths", measured.word)
			}
			pairs = append(pairs, pair)
		}
		all, err := ofPairs(pairs, checked.word == "arcs")
		if err != nil {
			return bad(c, "%v", withFlag(err))
		}
		return all.write(c.OutOrStdout(), format.word == "json")
	}
	return c
}

// ofPairs finds TDC from one pair of contacts or several.
func ofPairs(pairs []calculate.Pair, checked bool) (all answers, err error) {
	if len(pairs) == 1 {
		top, err := pairs[0].Top()
		if err == nil {
			all.add(report.PairTop(top), export.PairTop(top))
		}
		return all, err
	}
	together, err := calculate.TopOf(pairs, checked)
	if err == nil {
		all.add(report.Pairs(together), export.Pairs(together))
	}
	return all, err
}

// withFlag says by which flag a missing statement is made.
func withFlag(err error) error {
	var missing *calculate.Unstated
	if !errors.As(err, &missing) {
		return err
	}
	switch missing.What {
	case calculate.SenseOfCounting:
		return fmt.Errorf("%s, expected --counts up or down\n  hint: do the lengths grow while the engine turns the way it runs?", missing.Found)
	case calculate.RimDiameter:
		return fmt.Errorf("%w\n  hint: such as --diameter \"600 mm\"", err)
	case calculate.ShorterRod: // which has its hint already
		return fmt.Errorf("%w If the rod really is shorter, add --checked rod", err)
	case calculate.LongerRod:
		return fmt.Errorf("%w\n  hint: another unit, or half the stroke? If the rod really is so long, add --checked rod", err)
	case calculate.SameStop:
		return fmt.Errorf("%w If they are those of one stop, add --checked arcs", err)
	}
	return err
}

func isLength(text string) bool {
	_, _, err := geometry.ParseLength(text)
	return err == nil
}

// readContact reads what was shown at a contact, degrees or a length. What is
// neither gets the sentence of a length where there is a rim.
func readContact(text string, onRim bool) (sheet.Reading, error) {
	length, _, noLength := geometry.ParseLength(text)
	angle, letters, noAngle := geometry.ParseAngle(text)
	switch {
	case noLength == nil:
		return sheet.Reading{Measured: true, Length: length}, nil
	case noAngle != nil && onRim && !strings.ContainsAny(text, "°º") && !strings.HasSuffix(strings.ToUpper(text), "DC"):
		return sheet.Reading{}, noLength
	}
	return sheet.Reading{Value: angle, Lettered: letters != geometry.NoLetters}, noAngle
}

// stepSize is the step of a readout: one of the two.
type stepSize struct {
	geometry.Angle
	geometry.Length
}

// readStep reads the step of a readout, in the bounds of a sheet.
func readStep(text string) (stepSize, error) {
	if length, _, err := geometry.ParseLength(text); err == nil {
		if length <= 0 {
			err = fmt.Errorf("found %s, expected a length above zero, such as 1 mm", phrase.Shown(text))
		}
		return stepSize{Length: length}, err
	}
	step, err := readDegrees(text)
	return stepSize{Angle: step}, err
}

// readDegrees reads degrees above zero and up to a quarter turn.
func readDegrees(text string) (geometry.Angle, error) {
	a, letters, err := geometry.ParseAngle(text)
	_, notLength := geometry.ParseLengthQuantity(text)
	switch {
	case err != nil && notLength == nil:
		return 0, fmt.Errorf("found %s, a length, expected degrees such as 0.5", phrase.Shown(text))
	case err != nil:
		return 0, err
	case letters != geometry.NoLetters || a <= 0 || a > 90:
		return 0, fmt.Errorf("found %s, expected degrees above zero and at most 90, such as 0.5", phrase.Shown(text))
	}
	return a, nil
}
