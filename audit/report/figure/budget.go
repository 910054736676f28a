package figure

import (
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Budget shows where each line's doubt comes from: a square as large as
// the share of its source.
func Budget(r audit.Result) []drawing.Scene {
	const most = 6 // columns for sources; smaller ones stand together
	var sources []string
	totals := map[string]float64{} // only looked up
	var rows []budgetRow
	for _, m := range r.ByLine() {
		if m.Offset == nil || !m.Offset.Known {
			continue
		}
		row := budgetRow{name: drawing.Wrap(words.Clean(m.Name), drawing.TextSize, 40, mostLines), shares: map[string]float64{}}
		row.height = max(11, geometry.Length(len(row.name))*drawing.Leading+2.4)
		row.text = words.Clean(m.Name)
		for i, share := range m.Offset.Budget.Shares() {
			source := m.Offset.Budget[i].Source.String()
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
	parts := parted(rows, func(b budgetRow) geometry.Length { return b.height }, drawing.Tallest-drawing.Top-20)
	var all []drawing.Scene
	for i, part := range parts {
		all = append(all, budgetFigure(part, shown, rounding.PartOf(i, len(parts))))
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

func budgetFigure(rows []budgetRow, shown []string, of string) drawing.Scene {
	const left, column geometry.Length = 46, 19
	s := drawing.Titled("Where the doubt comes from"+of, "Each source's share of the variance. The area of a square is the share; what is under half a percent is left empty.")
	var told []string
	heads := shown
	if slices.ContainsFunc(rows, func(b budgetRow) bool { return b.rest(shown) >= least }) {
		heads = append(slices.Clone(shown), "all others")
	}
	top := drawing.Top + 13
	for i, head := range heads {
		lines := drawing.Wrap(head, drawing.NoteSize, column-2, mostLines)
		for j, line := range lines {
			s.Add(drawing.Text{At: drawing.Point{X: left + (geometry.Length(i)+0.5)*column, Y: top - 1.5 - geometry.Length(len(lines)-1-j)*3.1}, Size: drawing.NoteSize, Anchor: drawing.Middle, Text: line})
		}
	}
	y := top
	rule := func() {
		s.Add(drawing.Line{From: drawing.Point{X: 0, Y: y}, To: drawing.Point{X: left + geometry.Length(len(heads))*column, Y: y}, Stroke: drawing.Stroke{Width: 0.1, Ink: drawing.Pale}})
	}
	rule()
	for _, row := range rows {
		mid := y + row.height/2
		for i, line := range row.name {
			s.Add(drawing.Text{At: drawing.Point{X: 0, Y: mid + 1 + (geometry.Length(i)-geometry.Length(len(row.name)-1)/2)*drawing.Leading}, Size: drawing.TextSize, Text: line})
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
				drawing.Rectangle(drawing.Point{X: x + 5.5 - side/2, Y: mid - side/2}, side, side, drawing.Deep, drawing.Stroke{}),
				drawing.Text{At: drawing.Point{X: x + column - 0.5, Y: mid + 0.9}, Size: drawing.NoteSize, Anchor: drawing.End, Text: rounding.Percent(share)},
			)
			parts = append(parts, head+" "+rounding.Percent(share))
		}
		told = append(told, row.text+": "+strings.Join(parts, ", "))
		y += row.height
		rule()
	}
	s.Height = y + 1
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}
