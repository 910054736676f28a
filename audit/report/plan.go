package report

import (
	"fmt"

	"markaudit/audit/lines"
	"markaudit/audit/plan"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// Plan turns a plan into a document: where to set the stop, how much to read, what
// that will tell, and what would make it better.
func Plan(p plan.Plan, s sheet.Sheet, g plan.Guess, guessed []string, o document.Options) document.Doc {
	v := words.Plan{Result: p, Sheet: s, Lengths: rounding.Lengths{Unit: s.Part.Unit}}
	d := document.Doc{document.Heading{Text: v.Title()}}
	d = append(d, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: v.Steps()})
	if len(p.Depths) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "HOW DEEP", Text: v.AboutDepths()}, depthTable(v))
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "WHAT IT GIVES", Text: v.Worst()}, schemeTable(v))
	if len(p.Gains) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "WHAT WOULD MAKE IT BETTER"}, gainTable(v))
	}
	if o.Budget {
		d = append(d, document.Space{}, document.Sentence{Lead: "BUDGET OF " + words.Clean(p.Worst.Name)}, budget(p.Budget))
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "TAKEN FOR GRANTED", Text: v.Granted(g, guessed)})
	d = append(d, document.Space{}, document.Sentence{Lead: "CAUTION", Text: words.Caution})
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// depthTable is one row a depth of the stop.
func depthTable(v words.Plan) document.Table {
	t := document.Table{
		Header: []string{"half arc", "piston down by", "mm a degree", "rock makes", "offset makes", "± of the worst"},
		Right:  []bool{true, true, true, true, true, true},
	}
	for _, d := range v.Result.Depths {
		row := []string{
			rounding.Degrees(d.HalfArc, 0), v.Of(d.Drop), rounding.Fixed(d.PerDegree.Millimetres(), 3), "-", "-", "± " + rounding.TwoDigits(d.U),
		}
		if d.Rock > 0 {
			row[3] = "± " + rounding.Degrees(d.Rock, 3)
		}
		if d.Correction != 0 {
			row[4] = rounding.Degrees(d.Correction, 3)
		}
		if d.HalfArc == v.Result.Best.HalfArc {
			row[0] = "-> " + row[0]
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// schemeTable is one row for each usual amount of work, and one for the least.
func schemeTable(v words.Plan) document.Table {
	t := document.Table{Header: []string{"setups", "pairs", "readings", "minutes", "likely ±", ""}, Right: []bool{true, true, true, true, false, false}}
	add := func(s plan.Scheme, note string) {
		covers := "as fitted"
		if s.Covers == lines.Remounting {
			covers = "remounting included"
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(s.Setups), fmt.Sprint(s.Trials), fmt.Sprint(s.Readings), rounding.Fixed(s.Effort, 0), v.PlusMinus(s.U), covers + note})
	}
	for _, s := range v.Result.Usual {
		add(s, "")
	}
	if v.Result.Least != nil {
		add(*v.Result.Least, ", the least")
	}
	return t
}

// gainTable is one row for each better means.
func gainTable(v words.Plan) document.Table {
	t := document.Table{Header: []string{"with", "likely ±"}}
	for _, g := range v.Result.Gains {
		t.Rows = append(t.Rows, []string{words.Better(g.Means), v.PlusMinus(g.U)})
	}
	return t
}
