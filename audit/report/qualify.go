package report

import (
	"fmt"

	"markaudit/audit/qualify"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Qualify turns the comparison of a new stop with a trusted one into a document:
// the verdict first, why, what to do, the figures, the tag.
func Qualify(r qualify.Result, tools words.Tools, o document.Options) document.Doc {
	v := words.Qualify{Result: r, Tools: tools}
	d := document.Doc{document.Heading{Text: v.Title()}}
	d = append(d, document.Sentence{Text: v.Answer()}, document.Space{}, document.Sentence{Lead: "WHAT WAS FOUND"}, document.Steps{Items: v.Found()})
	if next := v.ToDo(); len(next) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: next})
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "SETUP BY SETUP"}, toolTable(v))
	if doubts := v.Doubts(); len(doubts) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "DOUBTS"}, document.Steps{Items: doubts})
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "FOR THE TAG", Text: v.Tag()})
	d = append(d, document.Space{}, document.Sentence{Lead: "CAUTION", Text: words.Caution})
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// toolTable is one row a setup.
func toolTable(v words.Qualify) document.Table {
	t := document.Table{
		Header: []string{"setup", "by", "trials", "TDC by reference", "by new", "new later by", "half arcs"},
		Right:  []bool{false, false, true, true, true, true, true},
	}
	n := rounding.StepPlaces(v.Step) + 2
	cell := func(c qualify.Cell, of func(qualify.Cell) geometry.Angle) string {
		if !c.Used() {
			return "-"
		}
		return rounding.Fixed(of(c).Degrees(), n)
	}
	reading := func(c qualify.Cell) geometry.Angle { return c.Reading.Turn() }
	for _, s := range v.Setups {
		difference := "-"
		if s.Paired {
			difference = rounding.Degrees(s.Difference, n)
		}
		half := func(c qualify.Cell) string {
			if !c.Used() {
				return "-"
			}
			return rounding.Fixed(c.HalfArc.Degrees(), 1)
		}
		t.Rows = append(t.Rows, []string{
			words.Clean(s.Name), words.Clean(s.By), fmt.Sprintf("%d + %d", len(s.Reference.Middles), len(s.New.Middles)),
			cell(s.Reference, reading), cell(s.New, reading), difference, half(s.Reference) + ", " + half(s.New),
		})
	}
	return t
}
