package report

import (
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/figure"
	"markaudit/geometry"
)

// BudgetFigures shows where each line's doubt comes from: a square as large as
// the share of its source.
func BudgetFigures(r audit.Result) []figure.Scene {
	const most = 6 // columns for sources; smaller ones stand together
	var sources []string
	totals := map[string]float64{} // only looked up
	var rows []budgetRow
	for _, m := range r.Marks {
		if m.Offset == nil || !m.Offset.Known {
			continue
		}
		row := budgetRow{name: figure.Wrap(clean(m.Name), textSize, 40, mostLines), shares: map[string]float64{}}
		row.height = max(11, geometry.Length(len(row.name))*leading+2.4)
		row.text = clean(m.Name)
		for i, share := range m.Offset.Budget.Shares() {
			source := m.Offset.Budget[i].Source
			if _, known := totals[source]; !known {
				sources = append(sources, source)
			}
			totals[source] += share
			row.shares[source] += share
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return nil
	}
	shown := slices.Clone(sources)
	slices.SortStableFunc(shown, func(a, b string) int {
		switch {
		case totals[a] > totals[b]:
			return -1
		case totals[a] < totals[b]:
			return 1
		}
		return 0
	})
	shown = shown[:min(most, len(shown))]
	parts := parted(rows, func(b budgetRow) geometry.Length { return b.height }, tallest-figureTop-20)
	var all []figure.Scene
	for i, part := range parts {
		all = append(all, budgetFigure(part, shown, ofAll(i, len(parts))))
	}
	return all
}

type budgetRow struct {
	text   string
	name   []string
	shares map[string]float64 // only looked up
	height geometry.Length
}

// rest is what the sources not shown make up.
func (b budgetRow) rest(shown []string) float64 {
	rest := 1.0
	for _, source := range shown {
		rest -= b.shares[source]
	}
	return rest
}

const least = 0.005 // share that is shown

func budgetFigure(rows []budgetRow, shown []string, of string) figure.Scene {
	const left, column geometry.Length = 46, 19
	s := newFigure("Where the doubt comes from"+of, "Each source's share of the variance. The area of a square is the share; what is under half a percent is left empty.")
	var told []string
	heads := shown
	if slices.ContainsFunc(rows, func(b budgetRow) bool { return b.rest(shown) >= least }) {
		heads = append(slices.Clone(shown), "all others")
	}
	top := figureTop + 13
	for i, head := range heads {
		lines := figure.Wrap(head, noteSize, column-2, mostLines)
		for j, line := range lines {
			s.Add(figure.Text{At: figure.Point{X: left + (geometry.Length(i)+0.5)*column, Y: top - 1.5 - geometry.Length(len(lines)-1-j)*3.1}, Size: noteSize, Anchor: figure.Middle, Text: line})
		}
	}
	y := top
	rule := func() {
		s.Add(figure.Line{From: figure.Point{X: 0, Y: y}, To: figure.Point{X: left + geometry.Length(len(heads))*column, Y: y}, Stroke: figure.Stroke{Width: 0.1, Ink: figure.Pale}})
	}
	rule()
	for _, row := range rows {
		mid := y + row.height/2
		for i, line := range row.name {
			s.Add(figure.Text{At: figure.Point{X: 0, Y: mid + 1 + (geometry.Length(i)-geometry.Length(len(row.name)-1)/2)*leading}, Size: textSize, Text: line})
		}
		var parts []string
		for i, head := range heads {
			share := row.shares[head]
			if i >= len(shown) {
				share = row.rest(shown)
			}
			if share < least {
				continue
			}
			side := geometry.Length(8.4 * math.Sqrt(share))
			x := left + geometry.Length(i)*column
			s.Add(
				figure.Rectangle(figure.Point{X: x + 5.5 - side/2, Y: mid - side/2}, side, side, figure.Deep, figure.Stroke{}),
				figure.Text{At: figure.Point{X: x + column - 0.5, Y: mid + 0.9}, Size: noteSize, Anchor: figure.End, Text: percent(share)},
			)
			parts = append(parts, head+" "+percent(share))
		}
		told = append(told, row.text+": "+strings.Join(parts, ", "))
		y += row.height
		rule()
	}
	s.Height = y + 1
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}
