package cli

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit/report/drawing"
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
study of two stops, of a wheel or of a class: a CSV with every row but its number.`,
		Example: `markaudit new --output pump.yaml
markaudit new --paper form.pdf
markaudit new --study stop --setups 5 --trials 5 --output stops.csv`,
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	c.Flags().Var(&output, "output", "write the sheet to this file, unless there is one")
	c.Flags().Var(&paper, "paper", "write a form for paper to this file, unless there is one; its name ends in .pdf or .html")
	study := newBlankStudy(c)
	c.Args = func(c *cobra.Command, args []string) error {
		if err := study.check(string(paper)); err != nil {
			return err
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
		case study.kind.word != "":
			return study.write(env, string(output))
		case paper != "":
			form, err := paperForm(filepath.Ext(string(paper)))
			if err != nil {
				return err
			}
			return atomicwrite.WriteNew(string(paper), form)
		case output != "":
			return atomicwrite.WriteNew(string(output), sheet.Blank())
		}
		_, err := io.WriteString(env.Stdout, sheet.Blank())
		return err
	}
	return c
}

// paperForm is the form as a file of a kind.
func paperForm(kind string) (string, error) {
	var b bytes.Buffer
	if strings.EqualFold(kind, ".html") {
		err := paper.FormHTML(&b)
		return b.String(), err
	}
	err := drawing.PDF(&b, paper.FormTitle, paper.FormPages())
	return b.String(), err
}
