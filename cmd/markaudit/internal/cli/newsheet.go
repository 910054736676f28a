package cli

import (
	"bytes"
	"encoding/csv"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/paper"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/world"
)

func newNewSheet(env world.World) *cobra.Command {
	var output, paper outputName
	c := &cobra.Command{
		Use:     "new",
		GroupID: "sheets",
		Short:   "Print a sheet to fill in",
		Long: `new prints an empty sheet with a comment on every key. Fill it in at the engine,
then audit it. With --paper it writes a form to print and fill in by hand instead:
what it asks stands in the order of the sheet. With --study it writes a form for a
study of two stops, of a wheel or of a class: a CSV with every row but its number,
or with --paper the same rows to fill in by hand.`,
		Example: `markaudit new --output pump.yaml
markaudit new --paper form.pdf
markaudit new --study stop --setups 5 --trials 5 --output stops.csv
markaudit new --study wheel --paper wheel.pdf --paper-size Letter`,
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	c.Flags().Var(&output, "output", "write the sheet to this file, unless there is one")
	c.Flags().Var(&paper, "paper", "write a form for paper to this file, unless there is one; its name ends in .pdf or .html")
	size := choose(c, "paper-size", "A4", "of the form on paper, as a PDF", "A4", "Letter")
	study := newBlankStudy(c)
	c.Args = func(c *cobra.Command, args []string) error {
		if err := study.check(string(paper)); err != nil {
			return err
		}
		if c.Flags().Changed("paper-size") && !strings.EqualFold(filepath.Ext(string(paper)), ".pdf") {
			return bad(c, "found --paper-size without --paper and a name that ends in .pdf, expected both: a page of HTML fits either")
		}
		switch {
		case paper == "":
		case output != "":
			return bad(c, "found --output and --paper, expected one of them")
		default:
			if err := drawable(c, env, string(paper), ".pdf", ".html"); err != nil {
				return err
			}
		}
		return noArguments(c, args)
	}
	c.RunE = func(*cobra.Command, []string) error {
		switch {
		case paper != "":
			form, err := study.form(string(paper), sizes[size.word])
			if err != nil {
				return err
			}
			return atomicwrite.WriteNew(string(paper), form)
		case study.kind.word != "":
			return study.write(env, string(output))
		case output != "":
			return atomicwrite.WriteNew(string(output), sheet.Blank())
		}
		_, err := io.WriteString(env.Stdout, sheet.Blank())
		return err
	}
	return c
}

// sizes of paper that a form or a record is drawn on.
var sizes = map[string]document.Paper{"A4": document.A4, "Letter": document.Letter} // only looked up

// form is the form on paper, of a study or of a sheet, as the file's name asks. A class
// has the order of the CSV of that name.
func (s blankStudy) form(name string, on document.Paper) (string, error) {
	page, title, pages := paper.FormHTML, paper.FormTitle, paper.FormPages
	if s.kind.word != "" {
		rows, err := csv.NewReader(strings.NewReader(s.csv(strings.TrimSuffix(name, filepath.Ext(name))+".csv", export.CSV{}))).ReadAll()
		if err != nil {
			return "", err
		}
		study := paper.StudyForm{Kind: s.kind.word, Rows: rows}
		page, title, pages = study.HTML, study.Title(), study.Pages
	}
	var b bytes.Buffer
	if strings.EqualFold(filepath.Ext(name), ".html") {
		err := page(&b)
		return b.String(), err
	}
	err := drawing.PDF(&b, title, pages(on))
	return b.String(), err
}
