package report

import (
	"strings"

	"markaudit/audit/rehearse"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
)

// Scenarios lists what can be rehearsed.
func Scenarios() document.Doc {
	t := document.Table{Header: []string{"scenario", "what is asked"}}
	for _, s := range rehearse.Scenarios() {
		t.Rows = append(t.Rows, []string{s.Name, s.About})
	}
	return document.Doc{document.Sentence{Text: words.AboutRehearsal}, t}
}

// Rehearsal turns an opened rehearsal into a document: what was so, then line by
// line the truth, the audit and the answer.
func Rehearsal(o rehearse.Opened, with document.Options) document.Doc {
	v := words.Rehearsal{Opened: o}
	d := document.Doc{
		document.Heading{Text: "Rehearsal " + words.Clean(o.Scenario) + ", opened"},
		document.Sentence{Lead: "WHAT WAS SO", Text: words.Clean(o.Story)},
		document.Space{},
		document.Sentence{Lead: "LINE BY LINE"},
		rehearsedLines(v),
		document.Space{},
		document.Sentence{Lead: "WHAT IT TEACHES"},
		document.Steps{Items: v.Lessons()},
	}
	if points := v.PointsLine(); points != "" {
		d = append(d, document.Space{}, document.Sentence{Lead: "POINTS", Text: points}, scoreTable(v))
	}
	if with.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: with.Software})
	}
	return d
}

// rehearsedLines is one row a line: the truth, the audit, the answer.
func rehearsedLines(v words.Rehearsal) document.Table {
	t := document.Table{Header: []string{"line", "truly off by", "so it is", "the audit said", "", "you said", ""}}
	for _, l := range v.Lines {
		truly := "within"
		if !l.Within() {
			truly = "outside"
		}
		row := []string{words.Clean(l.Name), rounding.OffBy(l.Offset, 2), truly, words.Offset(l.Mark.Offset), l.Mark.Verdict.String(), "-", ""}
		if a := l.Answer; a != nil {
			row[5] = ""
			if a.HasOff {
				row[5] = rounding.OffBy(a.Off, 2)
			}
			if a.HasVerdict {
				row[6] = a.Verdict.String()
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// scoreTable is one row an item.
func scoreTable(v words.Rehearsal) document.Table {
	t := document.Table{Header: []string{"", "asked", "points", "of", "why"}, Right: []bool{false, false, true, true, false}}
	for _, s := range v.Score {
		t.Rows = append(t.Rows, []string{words.About(s), s.Item.String(), rounding.Plain(s.Points), rounding.Plain(s.Of), words.AboutScored(s)})
	}
	return t
}

// Batch is the instructor's table of all that was handed in.
func Batch(opened []rehearse.Opened) document.Doc {
	t := document.Table{Header: []string{"name", "points", "of", "what was missed"}, Right: []bool{false, true, true, false}}
	for _, o := range opened {
		v := words.Rehearsal{Opened: o}
		row := []string{words.Clean(o.Name), "absent", "", ""}
		if o.Score != nil {
			points, of := o.Points()
			row = []string{words.Clean(o.Name), rounding.Plain(points), rounding.Plain(of), strings.Join(v.Missed(), "; ")}
		}
		t.Rows = append(t.Rows, row)
	}
	return document.Doc{document.Heading{Text: "Rehearsal of " + rounding.Count(len(opened), "apprentice", "apprentices")}, t}
}
