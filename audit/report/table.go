package report

import (
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/pkg/twwidth"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// textTable lays a table out in columns without rules or boxes.
func textTable(t Table) (string, error) {
	return render(t, tablewriter.WithRenderer(renderer.NewBlueprint(tw.Rendition{
		Symbols: tw.NewSymbols(tw.StyleNone), Borders: tw.BorderNone,
		Settings: tw.Settings{Separators: tw.SeparatorsNone, Lines: tw.LinesNone},
	})), tablewriter.WithPadding(tw.Padding{Right: "  ", Overwrite: true}))
}

func markdownTable(t Table) (string, error) {
	return render(t, tablewriter.WithRenderer(renderer.NewMarkdown()))
}

func render(t Table, options ...tablewriter.Option) (string, error) {
	twwidth.SetEastAsian(false) // not by the reader's locale: the same sheet gives the same bytes
	align := make(tw.Alignment, len(t.Header))
	for i := range align {
		align[i] = tw.AlignLeft
		if i < len(t.Right) && t.Right[i] {
			align[i] = tw.AlignRight
		}
	}
	var b strings.Builder
	options = append(options,
		tablewriter.WithHeaderAutoFormat(tw.Off), tablewriter.WithAlignment(align),
		tablewriter.WithHeaderAutoWrap(tw.WrapNone), tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithTrimSpace(tw.Off))
	table := tablewriter.NewTable(&b, options...)
	table.Header(t.Header)
	for _, row := range t.Rows {
		if err := table.Append(row); err != nil {
			return "", err
		}
	}
	if err := table.Render(); err != nil {
		return "", err
	}
	lines := strings.Split(b.String(), "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	return strings.Join(lines, "\n"), nil
}

// columns counts the columns of a terminal that a text takes.
func columns(s string) int { return twwidth.Width(s) }
