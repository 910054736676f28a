package document

import (
	"slices"
	"strings"
	"sync"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/pkg/twwidth"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// textTable lays a table out in columns without rules or boxes.
func textTable(t Table) (string, error) {
	return render(narrow(t), tablewriter.WithRenderer(renderer.NewBlueprint(tw.Rendition{
		Symbols: tw.NewSymbols(tw.StyleNone), Borders: tw.BorderNone,
		Settings: tw.Settings{Separators: tw.SeparatorsNone, Lines: tw.LinesNone},
	})), tablewriter.WithPadding(tw.Padding{Right: "  ", Overwrite: true}))
}

func markdownTable(t Table) (string, error) {
	return render(t, tablewriter.WithRenderer(renderer.NewMarkdown()))
}

// narrow breaks the cells of the widest left-aligned columns until the table
// fits a terminal, at spaces where there are any. No character is lost.
func narrow(t Table) Table {
	const gap, least = 2, 8
	widths := make([]int, len(t.Header))
	measure := func(row []string) {
		for i, c := range row {
			for line := range strings.SplitSeq(c, "\n") {
				widths[i] = max(widths[i], Columns(line))
			}
		}
	}
	out := Table{Header: t.Header, Right: t.Right, Rows: t.Rows}
	for range len(t.Header) {
		clear(widths)
		measure(out.Header)
		for _, row := range out.Rows {
			measure(row)
		}
		total, widest := -gap, -1
		for i, w := range widths {
			total += w + gap
			if right := i < len(t.Right) && t.Right[i]; !right && (widest < 0 || w > widths[widest]) {
				widest = i
			}
		}
		if total <= Width || widest < 0 || widths[widest] <= least {
			break
		}
		to := max(least, widths[widest]-(total-Width))
		rows := make([][]string, len(out.Rows))
		for i, row := range out.Rows {
			rows[i] = slices.Clone(row)
			rows[i][widest] = breakCell(row[widest], to)
		}
		header := slices.Clone(out.Header)
		header[widest] = breakCell(header[widest], to)
		out.Header, out.Rows = header, rows
	}
	return out
}

// breakCell breaks a text into lines of at most n columns.
func breakCell(text string, n int) string {
	var lines []string
	for Columns(text) > n {
		used, cut, space := 0, 0, -1
		for i, r := range text {
			w := Columns(string(r))
			if used+w > n {
				break
			}
			used += w
			cut = i + len(string(r))
			if r == ' ' {
				space = i
			}
		}
		if space > 0 {
			lines, text = append(lines, text[:space]), text[space+1:]
			continue
		}
		if cut == 0 {
			break
		}
		lines, text = append(lines, text[:cut]), text[cut:]
	}
	return strings.Join(append(lines, text), "\n")
}

// narrowWidths counts the columns of ° and ± as one whatever the reader's locale,
// so that the same sheet gives the same bytes.
var narrowWidths = sync.OnceFunc(func() { twwidth.SetEastAsian(false) })

func render(t Table, options ...tablewriter.Option) (string, error) {
	narrowWidths()
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

// Columns counts the columns of a terminal that a text takes.
func Columns(s string) int {
	narrowWidths()
	return twwidth.Width(s)
}
