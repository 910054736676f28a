package report

import (
	"fmt"
	"io"
	"strings"

	"markaudit/audit/rehearse"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/simulate"
)

// Scenarios lists what can be rehearsed.
func Scenarios() document.Doc {
	t := document.Table{Header: []string{"scenario", "what is asked"}}
	for _, s := range simulate.Scenarios() {
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
			row[6] = a.Verdict.String()
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

type jsonRehearsal struct {
	Format   int                 `json:"format"`
	Software string              `json:"software"`
	Scenario string              `json:"scenario"`
	Seed     uint64              `json:"seed"`
	Story    string              `json:"story"`
	Marks    []jsonRehearsedMark `json:"marks"`
	Finding  string              `json:"finding"`
	Warnings []string            `json:"warnings"`
}

type jsonRehearsedMark struct {
	Name     string   `json:"name"`
	Truth    float64  `json:"truth_deg"`
	Within   bool     `json:"truly_within"`
	Offset   *float64 `json:"offset_deg"`
	Expanded *float64 `json:"expanded_uncertainty_deg"`
	Verdict  string   `json:"verdict"`
	Held     bool     `json:"interval_holds_truth"`
	Answer   *float64 `json:"answer_deg"`
	Said     *string  `json:"answer_verdict"`
	Right    *bool    `json:"answer_right"`
}

// RehearsalJSON writes the same as one object and a newline.
func RehearsalJSON(w io.Writer, o rehearse.Opened, with document.Options) error {
	out := jsonRehearsal{
		Format: 1, Software: with.Software, Scenario: o.Scenario, Seed: o.Seed, Story: o.Story,
		Marks: []jsonRehearsedMark{}, Finding: o.Result.Shift.Finding.String(), Warnings: []string{},
	}
	for _, l := range o.Lines {
		m := jsonRehearsedMark{Name: l.Name, Truth: l.Offset.Degrees(), Within: l.Within(), Verdict: l.Mark.Verdict.String(), Held: l.Held}
		if e := l.Mark.Offset; e != nil {
			m.Offset, m.Expanded = known(e.Value.Degrees()), when(e.Known, e.Expanded.Degrees())
		}
		if a := l.Answer; a != nil {
			right := !l.Misjudge && !l.Overbold && (!a.HasOff || l.Near)
			m.Answer, m.Said, m.Right = when(a.HasOff, a.Off.Degrees()), text(a.Verdict.String()), &right
		}
		out.Marks = append(out.Marks, m)
	}
	for _, x := range o.Result.Warnings {
		out.Warnings = append(out.Warnings, string(x.Code))
	}
	return indented(w, out)
}

// Answers is the form for the answers to a rehearsal.
func Answers(truth simulate.Truth) string {
	var b strings.Builder
	b.WriteString("mark,off_by,verdict\n")
	for _, l := range truth.Lines {
		fmt.Fprintf(&b, "%s,,\n", l.Name)
	}
	return b.String()
}
