package report

import (
	"strings"

	"markaudit/audit/compare"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
)

// Comparison turns audits of one part into a document: what changed first, then
// what to look at, then line by line. Paths are those of the sheets as given.
func Comparison(c compare.Comparison, paths []string, o document.Options) document.Doc {
	v := words.Comparison{Result: c, Paths: paths}
	d := document.Doc{document.Heading{Text: v.Title()}}
	d = append(d, document.Sentence{Lead: "WHAT CHANGED"}, document.Steps{Items: v.Steps()}, document.Space{}, document.Sentence{Lead: "LINE BY LINE"}, comparedLines(v))
	if trends := v.Trends(); len(trends) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "OVER THE YEARS", Text: strings.Join(trends, " ")})
	}
	d = append(d, document.Space{}, document.Sentence{Text: v.Meaning()})
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// mostCompared is how many lines a page shows one by one; of more it shows those
// that changed, and JSON and CSV have all.
const mostCompared = 8

// comparedLines is one row an audit of each line.
func comparedLines(v words.Comparison) document.Table {
	t := document.Table{Header: []string{"line", "audit", "off by", "since the one before", ""}}
	if rest, text := v.Others(mostCompared); rest != nil {
		for _, name := range v.Result.Names() {
			if !rest[name] {
				t.Rows = append(t.Rows, comparedLine(v, name)...)
			}
		}
		t.Note = text
		return t
	}
	for _, name := range v.Result.Names() {
		t.Rows = append(t.Rows, comparedLine(v, name)...)
	}
	return t
}

func comparedLine(v words.Comparison, name string) (rows [][]string) {
	for i, r := range v.Result.Audits {
		for _, m := range r.ByLine() {
			if m.Name != name || m.Offset == nil {
				continue
			}
			row := []string{words.Clean(name), v.Name(i), words.Offset(m.Offset), "", ""}
			for _, ch := range v.Result.Changes {
				if ch.Mark != name || ch.To != i {
					continue
				}
				e := ch.Difference
				if !e.Known {
					row[3], row[4] = rounding.Later(e.Value, rounding.Unsure)+" ± ?", "?"
					continue
				}
				row[3] = rounding.LaterSure(e.Value, e.Expanded)
				if ch.Differs {
					row[4] = "CHANGED"
				}
			}
			if len(rows) > 0 {
				row[0] = ""
			}
			rows = append(rows, row)
		}
	}
	return rows
}
