package figure

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Budget shows where each line's doubt comes from: sources as rows, lines as
// columns, standard uncertainties in degrees, and before each a square as large as
// its share of that line's variance. Rows of one source, such as of several setups,
// are joined. Many lines are spread over several blocks.
func Budget(r audit.Result) []drawing.Scene {
	b := newBudgetTable(r)
	if len(b.columns) == 0 {
		return nil
	}
	const abreast = 8
	var blocks [][]budgetColumn
	for rest := b.columns; len(rest) > 0; rest = rest[min(abreast, len(rest)):] {
		blocks = append(blocks, rest[:min(abreast, len(rest))])
	}
	parts := parted(blocks, b.height, drawing.Tallest-budgetTop)
	var all []drawing.Scene
	for i, part := range parts {
		all = append(all, b.figure(words.NewAudit(r, nil), part, rounding.PartOf(i, len(parts))))
	}
	return all
}

// budgetTable is every line's budget, rows of one source joined.
type budgetTable struct {
	sources []budgetSource // the largest first, over all lines
	columns []budgetColumn
	places  int // decimals of the uncertainties
}

type budgetSource struct {
	name string
	how  string  // "B rectangular"
	sum  float64 // of its shares
}

type budgetColumn struct {
	mark  audit.LineResult
	name  []string
	u     map[string]float64 // standard uncertainty of a source, degrees; only looked up
	whole float64            // of the line
}

// share is a source's share of the variance.
func (c budgetColumn) share(source string) float64 {
	if c.whole == 0 {
		return 0
	}
	return c.u[source] * c.u[source] / (c.whole * c.whole)
}

func newBudgetTable(r audit.Result) budgetTable {
	var b budgetTable
	index := map[string]int{} // only looked up
	smallest := math.Inf(1)
	for _, m := range r.ByLine() {
		if m.Offset == nil || !m.Offset.Known {
			continue
		}
		c := budgetColumn{mark: m, name: drawing.Wrap(words.Clean(m.Name), textSize, 12, mostLines), u: map[string]float64{}, whole: m.Offset.Standard.Degrees()}
		for _, row := range m.Offset.Budget {
			name, how := row.Source.String(), row.Evaluation()+" "+row.Shape.String()
			if row.Idle {
				how = "not used"
			}
			i, known := index[name]
			if !known {
				i = len(b.sources)
				index[name] = i
				b.sources = append(b.sources, budgetSource{name: name, how: how})
			}
			if was := &b.sources[i]; was.how == "not used" {
				was.how = how
			} else if was.how != how && !row.Idle {
				was.how = "several"
			}
			c.u[name] = math.Hypot(c.u[name], row.Standard().Degrees())
		}
		smallest = min(smallest, c.whole)
		b.columns = append(b.columns, c)
	}
	for i := range b.sources {
		for _, c := range b.columns {
			b.sources[i].sum += c.share(b.sources[i].name)
		}
	}
	slices.SortStableFunc(b.sources, func(a, c budgetSource) int { return cmp.Compare(c.sum, a.sum) })
	b.places = min(rounding.Places(smallest)+1, 5)
	return b
}

const (
	budgetTop  = drawing.Top + 4
	budgetRow  = 5.2
	budgetLeft = 64 // of the columns
	budgetHow  = 42 // what says how each was found, and its shape
)

// headHeight is that of the names over a block.
func headHeight(block []budgetColumn) geometry.Length {
	lines := 1
	for _, c := range block {
		lines = max(lines, len(c.name))
	}
	return geometry.Length(lines)*3.7 + 2
}

func (b budgetTable) height(block []budgetColumn) geometry.Length {
	return headHeight(block) + budgetRow*geometry.Length(len(b.sources)+3) + 6
}

func (b budgetTable) figure(v words.Audit, blocks [][]budgetColumn, of string) drawing.Scene {
	s := titled("Where the doubt comes from"+of,
		"Standard uncertainties, degrees of the crank; a source in several setups is one row. A: from the scatter of readings, B: otherwise. A square's area is the source's share of that line's variance.")
	y := budgetTop
	var told []string
	for _, block := range blocks {
		b.draw(&s, v, block, y)
		y += b.height(block)
		for _, c := range block {
			told = append(told, b.told(c))
		}
	}
	s.Height = y - 3
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}

// told is a line's budget in words.
func (b budgetTable) told(c budgetColumn) string {
	parts := []string{words.Clean(c.mark.Name) + ": " + words.OffBy(c.mark) + ", standard uncertainty " + rounding.Fixed(c.whole, b.places) + "°"}
	for _, source := range b.sources {
		if u, has := c.u[source.name]; has {
			parts = append(parts, source.name+" "+rounding.Fixed(u, b.places)+"°")
		}
	}
	return strings.Join(parts, ", ")
}

func (b budgetTable) draw(s *drawing.Scene, v words.Audit, block []budgetColumn, top geometry.Length) {
	column := min(21, (drawing.PageWidth-budgetLeft)/geometry.Length(len(block)))
	right := func(i int) geometry.Length { return budgetLeft + column*geometry.Length(i+1) - 1 }
	rule := func(y geometry.Length) {
		s.Add(drawing.Line{From: drawing.Point{X: 0, Y: y}, To: drawing.Point{X: budgetLeft + column*geometry.Length(len(block)), Y: y}, Stroke: drawing.Thin})
	}
	write := func(x, y geometry.Length, anchor drawing.Anchor, bold bool, text string) {
		s.Add(drawing.Text{At: drawing.Point{X: x, Y: y}, Size: textSize, Anchor: anchor, Bold: bold, Text: text})
	}
	y := top + headHeight(block)
	write(0, y-1.6, drawing.Start, false, "source")
	write(budgetHow, y-1.6, drawing.Start, false, "how, shape")
	for i, c := range block {
		for j, line := range c.name {
			write(right(i), y-1.6-geometry.Length(len(c.name)-1-j)*3.7, drawing.End, false, line)
		}
	}
	rule(y)
	for _, source := range b.sources {
		mid := y + budgetRow/2
		write(0, mid+1.1, drawing.Start, false, drawing.Wrap(source.name, textSize, budgetHow-1, 1)[0])
		write(budgetHow, mid+1.1, drawing.Start, false, drawing.Wrap(source.how, textSize, budgetLeft-budgetHow, 1)[0])
		for i, c := range block {
			u, has := c.u[source.name]
			if !has || source.how == "not used" {
				write(right(i), mid+1.1, drawing.End, false, "-")
				continue
			}
			number := drawing.Text{At: drawing.Point{X: right(i), Y: mid + 1.1}, Size: textSize, Anchor: drawing.End, Text: rounding.Fixed(u, b.places)}
			side := squareSide * geometry.Length(math.Sqrt(c.share(source.name)))
			s.Add(number, drawing.Rectangle(drawing.Point{X: right(i) - number.Extent() - 0.8 - squareSide/2 - side/2, Y: mid - side/2}, side, side, drawing.Black, drawing.Stroke{}))
		}
		y += budgetRow
	}
	rule(y)
	for _, foot := range []struct {
		text string
		of   func(budgetColumn) string
	}{
		{"standard uncertainty, all", func(c budgetColumn) string { return rounding.Fixed(c.whole, b.places) }},
		{"± that holds in " + v.Confidence(), func(c budgetColumn) string { return rounding.Fixed(c.mark.Offset.Expanded.Degrees(), b.places) }},
		{"off by, late above zero", func(c budgetColumn) string { return rounding.Signed(c.mark.Offset.Value.Degrees(), b.places) }},
	} {
		write(0, y+budgetRow/2+1.1, drawing.Start, true, foot.text)
		for i, c := range block {
			write(right(i), y+budgetRow/2+1.1, drawing.End, true, foot.of(c))
		}
		y += budgetRow
	}
	rule(y)
}

const squareSide geometry.Length = 2.8 // of a share of one
