package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/jobrecord"
	"markaudit/audit/qualify"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/figure"
	"markaudit/audit/report/words"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

func newQualify(env world.World) *cobra.Command {
	var output outputName
	c := &cobra.Command{
		Use:     "qualify FILE...",
		GroupID: "sheets",
		Short:   "Qualify a new stop tool against a trusted one",
		Long: `qualify compares a new stop with a trusted one that found the same TDC on the same
mountings of the readout. FILE is a CSV with the columns tool (reference or new),
setup, trial, approach and reading, in the order of the work; the best order is
reference, new, new, reference. - is standard input. Several files are several
studies.`,
		Example:           `markaudit qualify stops.csv --allowed-bias 0.1 --tolerance 0.5 --step 0.05 --name B-17 --against A-02`,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"csv"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	allowed := flagged(c, "allowed-bias", "`DEGREES` by which the new stop may put TDC early or late; required", readDegrees)
	tolerance := flagged(c, "tolerance", "`DEGREES` each way of the marks that it is for, for Cg and Cgk", readDegrees)
	step := flagged(c, "step", "smallest step of the readout, in `DEGREES`; required", readDegrees)
	counts := choose(c, "counts", "", "how the readout counts; from the contacts without", "up", "down")
	most := flagged(c, "allowed-ratio", "`NUMBER` of times that the variance of the new stop may be that of the trusted one", readRatio)
	scatter := flagged(c, "allowed-scatter", "`NUMBER` of times that the new stop may scatter as much as the trusted one; 2 without", readRatio)
	trusted := flagged(c, "trusted", "bias of the trusted stop against what it was qualified by, with its uncertainty at 95 %: \"0.02 ± 0.03\" `DEGREES`, later above zero; or the JSON file of the study that qualified it", readTrusted)
	stroke := flagged(c, "stroke", "`LENGTH` of the stroke", readMeasured)
	rod := flagged(c, "rod", "`LENGTH` of the rod between its centres", readMeasured)
	pin := flagged(c, "pin-offset", "`LENGTH` and side of the piston pin's offset", geometry.ParsePinOffset)
	bore := flagged(c, "bore-offset", "`LENGTH` and side of the cylinder's offset", geometry.ParseBoreOffset)
	f := c.Flags()
	var tools words.Tools
	f.StringVar(&tools.New, "name", "", "`NAME` of the new stop, for the tag")
	f.StringVar(&tools.Reference, "against", "", "`NAME` of the trusted stop, for the tag")
	date := flagged(c, "date", "`DAY` of the study, such as 2026-03-14, for the tag", readDay)
	f.StringVar(&tools.Readout, "readout", "", "`NAME` of the readout, for the tag")
	asRead := f.Bool("as-read", false, "readings that stand out were looked up: they count as they are")
	format := choose(c, "format", "text", "how to print the comparison", "text", "json", "csv", "markdown", "html", "pdf")
	s := newStudy(c, format, "qualified", "the new stop has to be qualified")
	f.Var(&output, "output", "write the comparison to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) == 0:
			return bad(c, "found no file, expected a study of two stops")
		case len(args) > 1 && onPaper(format.word):
			return bad(c, "found %s with --format %s, expected one file a page", phrase.Count(len(args), "file"), format.word)
		case !allowed.given():
			return bad(c, "found no --allowed-bias, expected degrees: how far the new stop may put TDC off")
		case most.given() && scatter.given():
			return bad(c, "found --allowed-ratio and --allowed-scatter, expected one of them: the first is the square of the second")
		case !step.given():
			return bad(c, "found no --step, expected the smallest step of the readout in degrees")
		case stroke.given() != rod.given():
			return bad(c, "found one of --stroke and --rod, expected both or neither")
		case !stroke.given() && (pin.given() || bore.given()):
			return bad(c, "found an offset without --stroke and --rod, expected these too")
		}
		if err := s.check(); err != nil {
			return err
		}
		return oneStandardInput(c, args)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		tools.Date = date.value
		o := qualify.Options{AllowedBias: allowed.value, Tolerance: tolerance.value, Step: step.value, AllowedRatio: most.value, AsRead: *asRead}
		if scatter.given() {
			o.AllowedRatio = scatter.value * scatter.value
		}
		if trusted.given() {
			o.Trusted = &trusted.value.Stated
		}
		switch counts.word {
		case "up":
			o.Counts = geometry.CountsUp
		case "down":
			o.Counts = geometry.CountsDown
		}
		if stroke.given() {
			o.Crank = &geometry.Crank{Stroke: stroke.value.Length, Rod: rod.value.Length, Offset: bore.value.Value - pin.value.Value}
			o.OffsetLimit = pin.value.Limit.Half + bore.value.Limit.Half
		}
		var result error
		err := written(env, string(output), func(replaced fs.FileInfo) ([]byte, error) {
			behind, err := trusted.value.earlier(env, &o, &tools, replaced)
			if err != nil {
				return nil, err
			}
			var parts [][]byte
			for i, name := range args {
				part, verdict, err := qualified(env, s, name, behind, o, tools, i > 0, replaced)
				if err != nil {
					return nil, err
				}
				if unmet := s.met(verdict == qualify.Qualified, name, verdict.String()); unmet != nil {
					result = errors.Join(result, unmet)
				}
				parts = append(parts, part)
			}
			return s.together(parts), nil
		})
		if err == nil {
			err = result
		}
		return err
	}
	return c
}

// qualified compares the stops of one file and prints what comes of it. behind is the
// study that qualified the trusted stop, if any.
func qualified(env world.World, s *study, name string, behind earlierStudy, o qualify.Options, tools words.Tools, further bool, replaced fs.FileInfo) ([]byte, qualify.Verdict, error) {
	data, called, err := env.Whole(name, csvfile.MostBytes, replaced)
	if err != nil {
		return nil, 0, err
	}
	read, positions, err := qualify.ReadTrials(called, data)
	if err != nil {
		return nil, 0, err
	}
	file := jobrecord.FileOf(called, data)
	if o.Trusted != nil {
		if err := o.Trusted.Admits(tools.New, file.Digest); err != nil {
			return nil, 0, fmt.Errorf("%s: %w", phrase.Shown(name), err)
		}
	}
	r, err := qualify.Run(read, o)
	var faults inputerror.List
	if errors.As(err, &faults) {
		return nil, 0, positions.Explain(faults)
	}
	rec, err := s.block(env, jobrecord.StopsRule, replaced, append([]jobrecord.File{file}, behind.files...)...)
	if err != nil {
		return nil, 0, err
	}
	rec.Named("new stop", tools.New)
	rec.Named("trusted stop", tools.Reference)
	rec.Carry("trusted stop", behind.stop)
	rec.Named("readout", tools.Readout)
	if tools.Date != "" {
		rec.Date = tools.Date
	}
	rec.Readings = r.Readings(read)
	with := document.Options{Path: name, Software: software}
	csv := s.csv()
	csv.NoHeader = further
	part, err := printed(func(w io.Writer) error {
		return s.shown(w, rec, report.Qualify(r, tools, with), func() []drawing.Scene { return figure.Qualify(r, tools) },
			func(w io.Writer) error { return export.Qualify(w, r, tools, with) },
			func(w io.Writer) error { return csv.Qualify(w, r, tools.New, tools.Reference, rec) })
	})
	return part, r.Verdict, err
}

// trustedStop is what is known of the trusted stop: a stated bias, or the file of the
// study that qualified it.
type trustedStop struct {
	qualify.Stated
	file string
}

// readTrusted reads --trusted. Only a name that ends in .json is a file.
func readTrusted(text string) (trustedStop, error) {
	if strings.EqualFold(filepath.Ext(text), ".json") {
		return trustedStop{file: text}, nil
	}
	stated, err := readStated(text)
	return trustedStop{Stated: stated}, err
}

// earlierStudy is the study that qualified the trusted stop: its file, and the stop as
// its record has it.
type earlierStudy struct {
	files []jobrecord.File
	stop  jobrecord.Instrument
}

// earlier reads the file, if there is one, and returns it for the record. A trusted
// stop without a name takes the one that it was qualified by.
func (t trustedStop) earlier(env world.World, o *qualify.Options, tools *words.Tools, replaced fs.FileInfo) (behind earlierStudy, err error) {
	if t.file == "" {
		return behind, nil
	}
	data, called, err := env.Whole(t.file, mostOfResult, replaced)
	if err != nil {
		return behind, err
	}
	stated, err := export.ReadQualify(data, tools.Reference)
	if err != nil {
		return behind, fmt.Errorf("%s: %w", phrase.Shown(t.file), err)
	}
	o.Trusted, tools.Reference = &stated, stated.Chain[0].Stop
	return earlierStudy{files: []jobrecord.File{jobrecord.FileOf(called, data)}, stop: export.StopOf(data)}, nil
}

// mostOfResult bounds a result that is read back: a long study is a tenth of it.
const mostOfResult = 16 << 20

// readStated reads a bias with its expanded uncertainty.
func readStated(text string) (qualify.Stated, error) {
	q, err := geometry.ParseAngleQuantity(text)
	if err != nil {
		return qualify.Stated{}, err
	}
	if !q.HasValue || !q.HasLimit || q.Value.Abs() > 90 || q.Limit.Half > 90 || q.Limit.K != 0 && q.Limit.K != 2 {
		return qualify.Stated{}, fmt.Errorf("found %s, expected degrees with an uncertainty at 95 %%, such as 0.02 ± 0.03, or the JSON file of an earlier study", phrase.Shown(text))
	}
	return qualify.Stated{Bias: q.Value, Expanded: q.Limit.Half}, nil
}

// readRatio reads how much more a stop may scatter.
func readRatio(text string) (float64, error) {
	x, err := geometry.ParseNumber(text)
	if err == nil && !(x >= 1 && x <= 100) {
		err = fmt.Errorf("found %s, expected a number from 1 to 100, such as 2", phrase.Shown(text))
	}
	return x, err
}
