package report

import (
	"fmt"

	"markaudit/audit/qualify"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
)

// StopStudy turns the plan of a study of two stops into a document.
func StopStudy(p qualify.Planned, o document.Options) document.Doc {
	t := document.Table{Header: []string{"setups", "pairs of each stop in a setup", "readings", "chance to qualify it"}, Right: []bool{true, true, true, true}}
	for _, s := range p.Usual {
		t.Rows = append(t.Rows, []string{fmt.Sprint(s.Setups), fmt.Sprint(s.Pairs), fmt.Sprint(4 * s.Setups * s.Pairs), rounding.Percent(s.Qualified)})
	}
	t.Note = words.AboutStopStudy(p)
	d := document.Doc{
		document.Heading{Text: "A study of two stops, planned"},
		document.Sentence{Lead: "WHAT TO DO", Text: words.StopStudy(p)},
		document.Space{},
		t,
	}
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}
