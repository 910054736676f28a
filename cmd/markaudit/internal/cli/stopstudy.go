package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"markaudit/audit/qualify"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/geometry"
)

// stopStudy are the options of plan for a study of two stops.
type stopStudy struct {
	command       *cobra.Command
	wanted        *bool
	allowed, fits *quantity[geometry.Angle]
	bias          *quantity[geometry.Angle]
	scatter       *quantity[float64]
}

func newStopStudy(c *cobra.Command) stopStudy {
	return stopStudy{
		command: c,
		wanted:  c.Flags().Bool("stop-study", false, "plan a study of two stops instead: how many setups of how many pairs; with --allowed-bias, --step and --stop-scatter"),
		allowed: flagged(c, "allowed-bias", "of a stop study: `DEGREES` by which the new stop may put TDC early or late", readDegrees),
		fits:    flagged(c, "fitting-scatter", "of a stop study: standard deviation of what fitting a stop anew does to the difference, in `DEGREES`; two thirds of --stop-scatter without", readDegrees),
		bias:    flagged(c, "bias", "of a stop study: `DEGREES` by which the new stop is expected to be off; 0 without", readBias),
		scatter: flagged(c, "allowed-scatter", "of a stop study: `NUMBER` of times that the new stop may scatter as much as the trusted one; 2 without", readRatio),
	}
}

// alone refuses options of a stop study without one.
func (s stopStudy) alone() error {
	for _, name := range []string{"allowed-bias", "fitting-scatter", "bias", "allowed-scatter"} {
		if s.command.Flags().Changed(name) {
			return bad(s.command, "found --%s without --stop-study, expected both", name)
		}
	}
	return nil
}

func (s stopStudy) plan(format string, step, stop *quantity[geometry.Angle]) ([]byte, error) {
	for _, x := range []struct {
		name  string
		given bool
	}{{"allowed-bias", s.allowed.given()}, {"step", step.given()}, {"stop-scatter", stop.given()}} {
		if !x.given {
			return nil, bad(s.command, "found no --%s, expected degrees: a stop study is planned from it", x.name)
		}
	}
	g := qualify.Guess{
		Options: qualify.Options{AllowedBias: s.allowed.value, Step: step.value, AllowedRatio: s.scatter.value * s.scatter.value},
		Scatter: stop.value, Fitting: stop.value * 2 / 3, Bias: s.bias.value,
	}
	if s.fits.given() {
		g.Fitting = s.fits.value
	}
	planned, o := qualify.Plan(g), document.Options{Software: software}
	return printed(func(w io.Writer) error {
		return show(w, format, report.StopStudy(planned, o), nil, func(w io.Writer) error { return export.StopStudy(w, planned, o) })
	})
}

// readBias reads degrees, of which late are above zero.
func readBias(text string) (geometry.Angle, error) {
	a, err := geometry.ParseOffBy(text)
	if err == nil && a.Abs() > 90 {
		err = fmt.Errorf("found %s, expected degrees such as 0.03 late", phrase.Shown(text))
	}
	return a, err
}
