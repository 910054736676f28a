package cli

import (
	"errors"
	"io"
	"io/fs"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"markaudit/audit"
	"markaudit/audit/compare"
	"markaudit/audit/inputerror"
	"markaudit/audit/jobrecord"
	"markaudit/audit/lines"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/figure"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

func newCompare(env world.World) *cobra.Command {
	var output outputName
	c := &cobra.Command{
		Use:     "compare SHEET SHEET...",
		GroupID: "sheets",
		Short:   "Compare audits of one part, before and after or over the years",
		Long: `compare audits two or more sheets of one part and says what changed from each to
the next: of all lines together, which is how a slipping ring shows, and of every
line; whether a new line came where it was meant to be; and, from three dates on,
how fast it goes. Sheets with dates are put into their order.`,
		Example:           "markaudit compare pulley-2021.yaml pulley-2023.yaml pulley-2025.yaml",
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	format := choose(c, "format", "text", "how to print the comparison", "text", "json", "csv", "markdown", "html", "pdf")
	s := newStudy(c, format, "unchanged", "no line may have changed")
	c.Flags().Var(&output, "output", "write the comparison to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Args = func(c *cobra.Command, args []string) error {
		if len(args) < 2 {
			return bad(c, "found %s, expected at least two of one part", phrase.Count(len(args), "sheet"))
		}
		for i, name := range args {
			if slices.Contains(args[:i], name) {
				return bad(c, "found %s twice, expected audits of different days", phrase.Shown(name))
			}
		}
		if err := s.check(); err != nil {
			return err
		}
		return oneStandardInput(c, args)
	}
	c.RunE = func(c *cobra.Command, names []string) error {
		var result error
		err := written(env, string(output), func(replaced fs.FileInfo) ([]byte, error) {
			var sheets []sheet.Sheet
			var files []jobrecord.File
			failed := false
			for _, name := range names {
				one, positions, err := sheetFile(env, name, replaced)
				if err == nil { // so that each sheet's own faults are told where they are
					_, err = audit.Run(one)
					var faults inputerror.List
					if errors.As(err, &faults) {
						err = positions.Explain(faults)
					}
				}
				if err != nil {
					failed = true
					complain(env.Stderr, err)
					continue
				}
				sheets, files = append(sheets, one), append(files, jobrecord.File{Name: filepath.Base(name), Digest: one.Digest})
			}
			if failed {
				return nil, errTold
			}
			comparison, err := compare.Sheets(sheets)
			if err != nil {
				return nil, bad(c, "%v", err)
			}
			o := document.Options{Software: software}
			rec, err := s.block(env, jobrecord.CompareRule, replaced, files...)
			if err != nil {
				return nil, err
			}
			for i, one := range sheets {
				jobsheet.Measured(&rec, one)
				rec.Readings = append(rec.Readings, jobsheet.Readings(files[i].Name, one)...)
			}
			changed := 0
			for _, ch := range comparison.Changes {
				if ch.Differs {
					changed++
				}
			}
			for _, step := range comparison.Steps {
				if step.Finding != lines.None && step.Finding != lines.Unknown {
					changed++
				}
			}
			result = s.met(changed == 0, names[0], phrase.Count(changed, "change"))
			return printed(func(w io.Writer) error {
				figures := func() []drawing.Scene { return figure.History(comparison, names) }
				return s.shown(w, rec, report.Comparison(comparison, names, o), figures,
					func(w io.Writer) error { return export.Comparison(w, comparison, names, o) },
					func(w io.Writer) error { return s.csv().Comparison(w, comparison, rec) })
			})
		})
		if err == nil {
			err = result
		}
		return err
	}
	return c
}
