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
	"markaudit/audit/repeatability"
	"markaudit/audit/report"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/figure"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

func newRepeat(env world.World) *cobra.Command {
	var output outputName
	c := &cobra.Command{
		Use:     "repeat FILE...",
		GroupID: "sheets",
		Short:   "Say how well the people of a class repeat",
		Long: `repeat compares people who measured the same marks: who repeats how well, who sits
off from the others, and what each of them can do about it. FILE is a sheet whose
setups say by whom they were taken, or a CSV with the columns by, mark, value and,
if you like, trial; values are degrees that a mark is off, late positive. The file
- is read from standard input. Several files are several studies.`,
		Example: `markaudit repeat class.yaml
markaudit repeat class.csv --tolerance 0.5 --anonymous
markaudit repeat class.csv --slips --output slips.txt`,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml", "csv"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	format := choose(c, "format", "text", "how to print the study", "text", "json", "csv", "markdown", "html", "pdf")
	s := newStudy(c, format, "nobody", "nobody may stand out, and no value be a slip of the pen")
	pool := choose(c, "pool", "auto", "pool what people differ by from mark to mark with the repeatability: auto does where its chance is above 0.25", "auto", "always", "never")
	tolerance := flagged(c, "tolerance", "`DEGREES` each way that a mark may be off; without it the tightest of a sheet", readTolerance)
	anonymous := c.Flags().Bool("anonymous", false, "put letters in place of the names")
	asRead := c.Flags().Bool("as-read", false, "values that a slip of the pen explains were looked up: they count as they are")
	var class fileName
	c.Flags().Var(&class, "class", "a list of who belongs to the class, a name a line: who measured nothing is absent")
	slips := c.Flags().Bool("slips", false, "print a slip for each person instead, to be cut apart")
	c.Flags().Var(&output, "output", "write the study to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) == 0:
			return bad(c, "found no file, expected a sheet or CSV")
		case len(args) > 1 && onPaper(format.word):
			return bad(c, "found %s with --format %s, expected one file a page", phrase.Count(len(args), "file"), format.word)
		case *slips && (format.word == "json" || format.word == "csv"):
			return bad(c, "found --slips with --format %s, expected text or markdown: the JSON holds every person's sentence", format.word)
		}
		if err := s.check(); err != nil {
			return err
		}
		return oneStandardInput(c, args)
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		var result error
		err := written(env, string(output), func(replaced fs.FileInfo) ([]byte, error) {
			var names []string
			if class != "" {
				var err error
				if names, err = classList(env, string(class), replaced); err != nil {
					return nil, err
				}
			}
			var parts [][]byte
			for i, name := range args {
				d, of, file, err := people(env, name, replaced)
				if err != nil {
					return nil, err
				}
				d.AsRead = *asRead
				if class != "" {
					d.Expect(names)
				}
				if tolerance.given() {
					d.Tolerance = tolerance.value
				}
				if *anonymous {
					d = d.Anonymous()
				}
				r := repeatability.Analyse(d, poolings[pool.word])
				if unmet := s.met(len(r.Flags) == 0 && (len(r.Slips) == 0 || d.AsRead), name, phrase.Count(len(r.Flags), "finding")+", "+phrase.Count(len(r.Slips), "slip")); unmet != nil {
					result = errors.Join(result, unmet)
				}
				rec, err := s.block(env, jobrecord.PeopleRule, replaced, file)
				if err != nil {
					return nil, err
				}
				if of != nil {
					jobsheet.Fill(&rec, *of)
				}
				if *anonymous {
					rec.By = ""
				}
				rec.Readings = d.Readings(r.Slips)
				part, err := renderStudy(s, r, rec, *slips, i > 0)
				if err != nil {
					return nil, err
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

var poolings = map[string]repeatability.Pooling{"auto": repeatability.PoolAuto, "always": repeatability.PoolAlways, "never": repeatability.PoolNever}

func renderStudy(s *study, r repeatability.Result, rec jobrecord.Record, slips, further bool) ([]byte, error) {
	csv := s.csv()
	csv.NoHeader = further
	return printed(func(w io.Writer) error {
		if slips {
			return show(w, s.format.word, report.Slips(r), nil, nil)
		}
		return s.shown(w, rec, report.Repeat(r), func() []drawing.Scene { return figure.Repeat(r) },
			func(w io.Writer) error { return export.Repeat(w, r) },
			func(w io.Writer) error { return csv.Repeat(w, r, rec) })
	})
}

// people reads a study of people: a sheet or a CSV of values, by its name or, of
// another name, by its first line. The sheet is nil for a CSV.
func people(env world.World, name string, replaced fs.FileInfo) (d repeatability.Data, of *sheet.Sheet, file jobrecord.File, err error) {
	data, called, err := env.Whole(name, repeatability.MostBytes, replaced)
	if err != nil {
		return d, nil, file, err
	}
	file = jobrecord.FileOf(called, data)
	if isTable(name, data) {
		d, err = repeatability.ReadStudy(called, data)
		return d, nil, file, err
	}
	folder := "."
	if name != world.StandardInput {
		folder = filepath.Dir(name)
	}
	s, positions, err := sheetOf(env, called, folder, data, replaced)
	if err != nil {
		return d, nil, file, err
	}
	d, err = repeatability.FromSheet(s)
	var faults inputerror.List
	if errors.As(err, &faults) {
		return d, nil, file, positions.Explain(faults)
	}
	return d, &s, file, nil
}

// classList reads a list of names: the first column of a file, without its header by.
func classList(env world.World, name string, replaced fs.FileInfo) ([]string, error) {
	data, _, err := env.Whole(name, csvfile.MostBytes, replaced)
	if err != nil {
		return nil, err
	}
	text, bad := inputerror.PlainText(data, "list of names", csvfile.MostBytes)
	if bad != nil {
		return nil, fmt.Errorf("%s: %s", phrase.Shown(name), bad.Text)
	}
	var out []string
	for i, line := range strings.Split(text, "\n") {
		first, _, _ := strings.Cut(strings.ReplaceAll(line, ";", ","), ",")
		if first = strings.Trim(strings.TrimSpace(first), `"`); first != "" && !(i == 0 && (first == "by" || first == "name")) {
			out = append(out, first)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: found no name, expected one a line", phrase.Shown(name))
	}
	return out, nil
}

// isTable tells a CSV from a sheet.
func isTable(name string, data []byte) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv":
		return true
	case ".yaml", ".yml":
		return false
	}
	first, _, _ := strings.Cut(strings.TrimSpace(strings.TrimPrefix(string(data[:min(len(data), 4096)]), "\ufeff")), "\n")
	return strings.HasPrefix(first, "sep=") || strings.ContainsAny(first, ",;") && !strings.Contains(first, ":") && !strings.HasPrefix(first, "#")
}

// readTolerance reads degrees above zero.
func readTolerance(text string) (geometry.Angle, error) {
	a, letters, err := geometry.ParseAngle(text)
	if err == nil && (letters != geometry.NoLetters || a <= 0 || a > 180) {
		err = fmt.Errorf("found %s, expected degrees above zero, such as 0.5", phrase.Shown(text))
	}
	return a, err
}
