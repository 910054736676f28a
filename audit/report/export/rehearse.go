package export

import (
	"fmt"
	"io"
	"strings"

	"markaudit/audit/rehearse"
	"markaudit/audit/report/document"
	"markaudit/audit/simulate"
)

// Rehearsal writes an opened rehearsal as one object and a newline.
func Rehearsal(w io.Writer, o rehearse.Opened, with document.Options) error {
	out := jsonRehearsal{
		Format: 1, Software: with.Software, Scenario: o.Scenario, Seed: o.Seed, Story: o.Story,
		Marks: []jsonRehearsedMark{}, Finding: o.Result.Together.Finding.String(), Warnings: []string{},
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

// Answers is the form for the answers to a rehearsal.
func Answers(truth simulate.Truth) string {
	var b strings.Builder
	b.WriteString("mark,off_by,verdict\n")
	for _, l := range truth.Lines {
		fmt.Fprintf(&b, "%s,,\n", l.Name)
	}
	return b.String()
}
