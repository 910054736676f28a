package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"markaudit/audit/inputerror"
	"markaudit/audit/jobrecord"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/figure"
	"markaudit/audit/sheet"
	"markaudit/audit/wheel"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

func newWheel(env world.World) *cobra.Command {
	var output, correction outputName
	c := &cobra.Command{
		Use:     "wheel TABLE...|SHEET",
		GroupID: "sheets",
		Short:   "Audit a degree wheel or encoder",
		Long: `wheel tells from a table of readings how wrong the readout itself reads, whether
it sits off centre and which way to slide it, and saves a correction for sheets.
TABLE is a CSV with the columns reference,reading and, where known, approach
(forward, backward) and mounting; or reading,opposite for two opposite pointers.
Repeated rows are runs; a row with a reason in the column struck does not count.
The table - is read from standard input.

A sheet in its place, its setups taken with one fitting of the stop while the
wheel was turned on its shaft, is audited: the blocked arc then checks the wheel.`,
		Example: `markaudit wheel table.csv --diameter "280 mm"
markaudit wheel table.csv --diameter "280 mm" --write wheel-4.json --name "wheel 4" --date 2026-03-14`,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"csv"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	diameter := flagged(c, "diameter", "`LENGTH` across the wheel at its graduations, such as \"280 mm\"; for millimetres", readDiameter)
	step := flagged(c, "step", "smallest step of the readings, in `DEGREES`, such as 0.5", readDegrees)
	called := flagged(c, "name", "`NAME` of the readout, for --write", readName)
	date := flagged(c, "date", "`DAY` on which the table was taken, such as 2026-03-14, for --write", readDay)
	set := choose(c, "set", "", "which was set at each station, the other read; the reference without", "reference", "wheel")
	slide := flagged(c, "slide", "how closely the wheel can be slid, a standard deviation, such as \"0.05 mm\": `LENGTH`", readDiameter)
	reference := c.Flags().String("reference", "", "`NAME` of the reference")
	limit := flagged(c, "reference-limit", "largest error of the reference by its certificate, in `DEGREES`", readDegrees)
	asRead := c.Flags().Bool("as-read", false, "a station that stands out was looked up: it counts as it is")
	format := choose(c, "format", "text", "how to print the audit", "text", "json", "csv", "markdown", "html", "pdf")
	s := newStudy(c, format, "centred", "no centring may be advised, and the doubt has to be known")
	c.Flags().Var(&output, "output", "write the audit to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Flags().Var(&correction, "write", "save a correction in this file, for readout.correction of a sheet; needs --name")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) == 0:
			return bad(c, "found 0 arguments, expected one table")
		case len(args) > 1 && (correction != "" || onPaper(format.word)):
			return bad(c, "found %s with --write or --format html, expected one table", phrase.Count(len(args), "argument"))
		case correction != "" && !called.given():
			return bad(c, "found --write without --name, expected the name of the readout, as sheets have it")
		case correction == "" && (called.given() || date.given()):
			return bad(c, "found --name or --date without --write, expected the file for the correction")
		case correction != "" && correction == output:
			return bad(c, "found the same file for --write and --output, expected two")
		}
		if err := s.check(); err != nil {
			return err
		}
		return oneStandardInput(c, args)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if ext := filepath.Ext(args[0]); ext == ".yaml" || ext == ".yml" {
			if diameter.given() || step.given() || correction != "" || set.word != "" || slide.given() || *reference != "" || limit.given() || *asRead || s.record != "" || s.require.word != "" || *s.comma {
				return bad(c, "found a sheet and options that a table takes, expected a sheet alone: it says step, diameter and instruments itself")
			}
			j := job{env: env, read: fromFiles(env), format: format.word, output: string(output)}
			return j.run(args)
		}
		o := wheel.Options{
			Diameter: diameter.value.Value, Unit: diameter.value.Unit, Step: step.value, Slide: slide.value.Value, AsRead: *asRead,
			Set: wheel.Set(slices.Index([]string{"", "reference", "wheel"}, set.word)), Reference: wheel.Reference{Name: *reference, Limit: limit.value},
		}
		var parts [][]byte
		var result error
		for i, name := range args {
			r, table, err := wheelTable(env, name, o, string(output), string(correction))
			if err != nil {
				return err
			}
			rec, err := s.block(env, jobrecord.WheelRule, nil, jobrecord.File{Name: filepath.Base(name), Digest: table.Digest, Rows: table.Rows + 1})
			if err != nil {
				return err
			}
			r.Reference = certified(r.Reference, rec)
			rec.Named("reference", o.Reference.Name)
			rec.Named("readout", called.value)
			rec.Readings = table.Readings(r)
			if date.given() {
				rec.Date = date.value
			}
			if correction != "" {
				if err := saveCorrection(name, string(correction), r, table, called.value, date.value, rec); err != nil {
					return err
				}
			}
			centred := r.OffCentre.Worth != wheel.WorthDoing && r.OffCentre.Worth != wheel.ColumnsDoubted && r.CurveKnown()
			if unmet := s.met(centred, name, "one where centring is advised, or the doubt is not known"); unmet != nil {
				result = errors.Join(result, unmet)
			}
			var text bytes.Buffer
			csv := s.csv()
			csv.NoHeader = i > 0
			with := document.Options{Path: name, Software: software}
			err = s.shown(&text, rec, report.Wheel(r, with), func() []drawing.Scene { return figure.Wheel(r) },
				func(w io.Writer) error { return export.Wheel(w, r, table, with) },
				func(w io.Writer) error { return csv.Wheel(w, r, rec) })
			if err != nil {
				return err
			}
			parts = append(parts, text.Bytes())
		}
		if err := written(env, string(output), func(fs.FileInfo) ([]byte, error) { return s.together(parts), nil }); err != nil {
			return err
		}
		return result
	}
	return c
}

// wheelTable reads and audits a table, as a stream. It may not be a file that
// is about to be replaced.
func wheelTable(env world.World, name string, o wheel.Options, replaced ...string) (r wheel.Result, table wheel.Table, err error) {
	called, in := name, env.Stdin
	if name == world.StandardInput {
		called = "standard input"
	} else {
		f, err := env.Open(name)
		if err != nil {
			return r, table, fmt.Errorf("%s: %w", phrase.Shown(name), err)
		}
		defer f.Close() // nothing was written
		info, err := f.Stat()
		for _, path := range replaced {
			if there, missing := os.Stat(path); err == nil && missing == nil && os.SameFile(info, there) {
				return r, table, fmt.Errorf("%s: also named as an output, expected another file there", phrase.Shown(name))
			}
		}
		in = f
	}
	var a wheel.Accumulator
	table, err = wheel.ReadTable(called, in, a.Add)
	var trouble *fs.PathError
	if errors.As(err, &trouble) {
		err = fmt.Errorf("%s: cannot be read: %w", phrase.Shown(called), world.Plainly(trouble))
	}
	if err != nil {
		return r, table, err
	}
	r, err = a.Audit(o)
	if r.StandsOut != nil {
		r.StandsOut.Rows = table.RowsOf(r.StandsOut)
	}
	return r, table, located(table, err)
}

// located says faults of a table with its name.
func located(table wheel.Table, err error) error {
	var faults inputerror.List
	if errors.As(err, &faults) {
		return table.Positions.Explain(faults)
	}
	return err
}

// certified adds what the record says of the reference to what the call says.
func certified(r wheel.Reference, rec jobrecord.Record) wheel.Reference {
	for _, i := range rec.Instruments {
		if i.Role != "reference" {
			continue
		}
		if r.Name == "" {
			r.Name = i.Name
		}
		r.Number, r.Certificate, r.Due = i.Number, i.Certificate, i.Due
	}
	return r
}

func saveCorrection(table, path string, r wheel.Result, t wheel.Table, name, date string, rec jobrecord.Record) error {
	of := wheel.Source{Software: software, File: filepath.Base(table), Digest: t.Digest}
	for _, i := range rec.Instruments {
		if i.Role == "readout" {
			of.Number = i.Number
		}
	}
	c, err := r.Correction(name, date, of)
	if err != nil {
		return located(t, err)
	}
	var text bytes.Buffer
	if err := sheet.WriteCorrection(&text, c); err != nil {
		return fmt.Errorf("%s: %w", phrase.Shown(table), err)
	}
	return atomicwrite.Replace(path, text.Bytes())
}

// readDiameter reads a length above zero; a limit beside it plays no part.
func readDiameter(text string) (geometry.Quantity[geometry.Length], error) {
	q, err := geometry.ParseLengthQuantity(text)
	if err == nil && !(q.HasValue && q.Value > 0) {
		err = fmt.Errorf("found %s, expected a diameter above zero", phrase.Shown(text))
	}
	return q, err
}

func readName(text string) (string, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return "", errors.New("found nothing, expected the name of the readout")
	}
	return text, nil
}

func readDay(text string) (string, error) {
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		return "", fmt.Errorf("found %s, expected a day such as 2026-03-14", phrase.Shown(text))
	}
	return text, nil
}
