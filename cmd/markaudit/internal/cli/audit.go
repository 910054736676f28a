package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/words"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

func newAudit(env world.World) *cobra.Command {
	var output outputName
	var list fileName
	j := job{env: env, read: fromFiles(env)}
	c := &cobra.Command{
		Use:     "audit SHEET...",
		GroupID: "sheets",
		Short:   "Judge the marks of one or more sheets",
		Long: `audit reads sheets and says of every mark how far it is off, how sure that is,
whether it is within its tolerance, and what to do about it. The sheet - is read
from standard input. Sheets that cannot be used are named on standard error; the
others are still printed, in the order given.

Exit status: 0 done; 1 with --require within, when a mark is not within; 2 a call
or a sheet that cannot be used; 3 an output that cannot be written.`,
		Example: `markaudit audit pump.yaml
markaudit audit --format csv --output marks.csv engines/*.yaml
markaudit audit --require within --files-from list.txt`,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	format := chooseFormat(c)
	budget := chooseBudget(c)
	require := choose(c, "require", "", "exit with status 1 unless every mark is within", "within")
	comma := c.Flags().Bool("decimal-comma", false, "with --format csv: semicolons between cells, commas in numbers")
	size := choose(c, "paper-size", "A4", "of the record as a PDF", "A4", "Letter")
	customer := c.Flags().Bool("customer", false, "write the half page for the customer instead, to a file whose name ends in .pdf or .svg")
	c.Flags().Var(&output, "output", "write the audit to this file, whole or not at all; its ending chooses the format where --format does not")
	c.Flags().Var(&list, "files-from", "read the names of the sheets from this file, one a line, - for standard input")
	c.Args = func(c *cobra.Command, args []string) error {
		if err := formatByName(c); err != nil {
			return err
		}
		switch {
		case list != "" && len(args) > 0:
			return bad(c, "found %s as well as --files-from, expected the sheets in one place", phrase.Shown(args[0]))
		case *customer && (list != "" || len(args) != 1):
			return bad(c, "found --customer with other than one sheet, expected one: the page is of one job")
		case *customer && (c.Flags().Changed("format") || *budget):
			return bad(c, "found --customer with --format or --budget, expected it with --output alone: it is a page of its own")
		case list == "" && len(args) == 0:
			return bad(c, "found no sheet, expected at least one")
		case c.Flags().Changed("paper-size") && (format.word != "pdf" || *customer):
			return bad(c, "found --paper-size without --format pdf, expected both: only the record as a PDF has a size of paper")
		case *comma && format.word != "csv":
			return bad(c, "found --decimal-comma without --format csv, expected both")
		}
		if *customer {
			return drawable(c, env, string(output), ".pdf", ".svg")
		}
		return oneStandardInput(c, args)
	}
	c.RunE = func(c *cobra.Command, names []string) error {
		if list != "" {
			var err error
			if names, err = listed(env, string(list)); err != nil {
				return err
			}
			if list != world.StandardInput {
				err = oneStandardInput(c, names)
			} else if slices.Contains(names, world.StandardInput) {
				err = bad(c, "found - in the list from standard input, expected names of files")
			}
			if err != nil {
				return err
			}
		}
		if *customer {
			return customerPage(env, names[0], string(output))
		}
		j.csv = export.CSV{DecimalComma: *comma}
		if format.word == "pdf" && len(names) > 1 {
			return bad(c, "found %s with --format pdf, expected one: a record is of one job", phrase.Count(len(names), "sheet"))
		}
		j.paper = sizes[size.word]
		j.format, j.budget, j.requireWithin, j.output = format.word, *budget, require.word != "", string(output)
		return j.run(names)
	}
	return c
}

func chooseBudget(c *cobra.Command) *bool {
	return c.Flags().Bool("budget", false, "also print where the doubt comes from, source by source")
}

func oneStandardInput(c *cobra.Command, names []string) error {
	first := slices.Index(names, world.StandardInput)
	if first >= 0 && slices.Contains(names[first+1:], world.StandardInput) {
		return bad(c, "found - twice, expected standard input once")
	}
	return nil
}

// mostListBytes bounds a list of sheets: some 100,000 names.
const mostListBytes = 10 << 20

// listed reads names of sheets, one a line.
func listed(env world.World, list string) ([]string, error) {
	var data []byte
	var err error
	if list == world.StandardInput {
		list = "standard input"
		data, err = world.ReadMost(env.Stdin, mostListBytes)
	} else {
		data, err = env.Read(list, mostListBytes, nil)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", phrase.Shown(list), err)
	}
	if len(data) > mostListBytes {
		return nil, fmt.Errorf("%s: the list is larger than %d MB, expected names of sheets, one a line", phrase.Shown(list), mostListBytes>>20)
	}
	var names []string
	for line := range strings.Lines(strings.TrimPrefix(string(data), "\ufeff")) {
		if name := strings.TrimRight(line, "\r\n"); name != "" {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s: the list is empty, expected names of sheets, one a line", phrase.Shown(list))
	}
	return names, nil
}

// customerPage writes the half page of one sheet for the customer.
func customerPage(env world.World, name, output string) error {
	return into(env, output, func(w io.Writer, replaced fs.FileInfo) error {
		s, positions, err := sheetFile(env, name, replaced)
		if err != nil {
			return err
		}
		r, err := audit.Run(s)
		var faults inputerror.List
		if errors.As(err, &faults) {
			return positions.Explain(faults)
		}
		page := jobsheet.Customer(words.NewAudit(r, audit.Next(r)), document.Options{Path: name, Software: software})
		if strings.EqualFold(filepath.Ext(output), ".svg") {
			return drawing.SVG(w, page)
		}
		return drawing.PDF(w, page.Title, []drawing.Scene{page})
	})
}
