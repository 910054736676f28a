package report

import (
	"strings"

	"markaudit/audit/history"
	"markaudit/audit/past"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// History turns the history of a readout into a document: what it comes to, what its
// control chart asks for, the chart itself, and what was left out. names are the
// sheets as given, none for a history file; line is the one whose offsets are shown.
func History(h sheet.History, left []history.Left, names []string, line string, o document.Options) document.Doc {
	v := words.History{Result: h, Left: left, Names: names, Line: line}
	d := document.Doc{
		document.Heading{Text: v.Title()},
		document.Sentence{Text: v.Says()},
		document.Space{},
		document.Sentence{Lead: "WHAT TO DO"},
		document.Steps{Items: v.InControl()},
		document.Space{},
		document.Sentence{Lead: "CONTROL CHART", Text: words.AboutChart},
		controlTable(v),
	}
	if line != "" {
		d = append(d, document.Space{}, document.Sentence{Lead: "LINE " + words.Clean(line), Text: words.AboutValues}, valueTable(v))
	}
	if out := v.LeftOut(); len(out) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "LEFT OUT"}, document.Steps{Items: out})
	}
	if h.Digest != "" {
		d = append(d, document.Space{}, document.Sentence{Text: "SHA-256 of the history: " + h.Digest + "."})
	}
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// controlTable is one row a sheet.
func controlTable(v words.History) document.Table {
	t := document.Table{Header: []string{"sheet", "setups"}, Right: []bool{false, true}}
	cells := make([][]string, len(v.Result.Sheets))
	for i, s := range v.Result.Sheets {
		cells[i] = []string{v.Sheet(i), rounding.Fixed(float64(s.Setups), 0)}
	}
	for _, k := range past.Kinds() {
		t.Header, t.Right = append(t.Header, k.String()), append(t.Right, true)
		for i := range cells {
			cells[i] = append(cells[i], "-")
		}
		for _, p := range past.Chart(v.Result, k) {
			var b strings.Builder
			if p.Outside || p.InRun {
				b.WriteString("* ")
			}
			b.WriteString(strings.TrimSuffix(words.Spread(p.SD), "°"))
			if p.Limit > 0 {
				b.WriteString(" (" + strings.TrimSuffix(words.Spread(p.Limit), "°") + ")")
			}
			cells[p.Sheet][len(t.Header)-1] = b.String()
		}
	}
	t.Rows = cells
	return t
}

// valueTable is one row for each sheet that read a line.
func valueTable(v words.History) document.Table {
	t := document.Table{Header: []string{"sheet", "off by", "mean before", "may lie within", ""}, Right: []bool{false, true, true, true, false}}
	for _, x := range past.Values(v.Result, v.Line) {
		row := []string{v.Sheet(x.Sheet), rounding.OffBy(x.Offset, rounding.Unsure), "-", "-", ""}
		if x.Half > 0 {
			row[2], row[3] = rounding.OffBy(x.Mean, rounding.Unsure), "± "+rounding.TwoDigits(x.Half)
		}
		if x.Outside {
			row[4] = "outside"
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) == 0 {
		t.Rows = [][]string{{"no sheet reads it", "-", "-", "-", ""}}
	}
	return t
}
