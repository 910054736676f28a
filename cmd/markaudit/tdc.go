package main

import (
	"fmt"

	"markaudit/audit"
	"markaudit/audit/report"
	"markaudit/audit/sheet"
	"markaudit/geometry"

	"github.com/spf13/cobra"
)

func newTDC() *cobra.Command {
	c := &cobra.Command{
		Use:     "tdc FORWARD BACKWARD",
		GroupID: "bench",
		Short:   "Find TDC from one pair of stop contacts",
		Long: `tdc says from one pair of contacts where the readout shows TDC, and which way to
turn to get there. FORWARD is the reading at the contact reached by turning the
way the engine runs, BACKWARD the one reached by turning against it.

It counts up when the number at the wheel pointer grows while you turn the engine
the way it runs; else it counts down.`,
		Example: `markaudit tdc 338.0 22.0 --counts up --step 0.5
markaudit tdc -22 22 --counts up --standing forward`,
		Annotations:       map[string]string{takesNumbers: "yes"},
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	counts := choose(c, "counts", "", "how the readout counts while you turn the engine the way it runs; required", "up", "down")
	standing := choose(c, "standing", "backward", "the contact at which the crank stands now", "backward", "forward")
	step := flagged(c, "step", "smallest step of the readout, in `DEGREES`, such as 0.5", readStep)
	format := choose(c, "format", "text", "how to print the answer", "text", "json")
	c.Args = func(c *cobra.Command, args []string) error {
		if len(args) != 2 {
			return bad(c, "found %s, expected two: the forward and the backward contact", count(len(args), "reading"))
		}
		if counts.word == "" {
			return bad(c, "found no --counts, expected up or down: does the number grow while you turn the engine the way it runs?")
		}
		return nil
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		pair := audit.Pair{Counts: geometry.CountsUp, Step: step.value, Standing: sheet.Backward}
		if counts.word == "down" {
			pair.Counts = geometry.CountsDown
		}
		if standing.word == "forward" {
			pair.Standing = sheet.Forward
		}
		for i, contact := range []*sheet.Reading{&pair.Forward, &pair.Backward} {
			value, letters, err := geometry.ParseAngle(args[i])
			if err != nil {
				return bad(c, "%v", err)
			}
			contact.Value, contact.Lettered = value, letters != geometry.NoLetters
		}
		top, err := pair.Top()
		if err != nil {
			return bad(c, "%v", err)
		}
		if format.word == "json" {
			return report.PairTopJSON(c.OutOrStdout(), top)
		}
		return report.Text(c.OutOrStdout(), report.PairTop(top))
	}
	return c
}

// readStep reads the step of a readout, in the bounds of a sheet.
func readStep(text string) (geometry.Angle, error) {
	step, letters, err := geometry.ParseAngle(text)
	switch {
	case err != nil:
		return 0, err
	case letters != geometry.NoLetters || step <= 0 || step > 90:
		return 0, fmt.Errorf("found %s, expected degrees above zero and at most 90, such as 0.5", shown(text))
	}
	return step, nil
}
