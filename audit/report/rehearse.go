package report

import (
	"fmt"
	"io"
	"strings"

	"markaudit/audit/rehearse"
	"markaudit/audit/simulate"
)

// Scenarios lists what can be rehearsed.
func Scenarios() Doc {
	t := Table{Header: []string{"scenario", "what is asked"}}
	for _, s := range rehearse.Scenarios() {
		t.Rows = append(t.Rows, []string{s.Name, s.About})
	}
	return Doc{Sentence{Text: "A rehearsal is a sheet of a stand that does not exist, and its truth in a sealed file. Choose one:"}, t}
}

// Rehearsal turns an opened rehearsal into a document: what was so, then line by
// line the truth, the audit and the answer.
func Rehearsal(o rehearse.Opened, with Options) Doc {
	v := opened{o}
	d := Doc{
		Heading{"Rehearsal " + clean(o.Scenario) + ", opened"},
		Sentence{Lead: "WHAT WAS SO", Text: clean(o.Story)},
		Space{},
		Sentence{Lead: "LINE BY LINE"},
		v.lines(),
		Space{},
		Sentence{Lead: "WHAT IT TEACHES"},
		Steps{v.lessons()},
	}
	if with.Software != "" {
		d = append(d, Space{}, Sentence{Text: with.Software})
	}
	return d
}

type opened struct{ rehearse.Opened }

func (v opened) lines() Table {
	t := Table{Header: []string{"line", "truly off by", "so it is", "the audit said", "", "you said", ""}}
	for _, l := range v.Lines {
		truly := "within"
		if !l.Within() {
			truly = "outside"
		}
		row := []string{clean(l.Name), offBy(l.Offset, 2), truly, offset(l.Mark.Offset), l.Mark.Verdict.String(), "-", ""}
		if a := l.Answer; a != nil {
			row[5] = ""
			if a.HasOff {
				row[5] = offBy(a.Off, 2)
			}
			row[6] = a.Verdict.String()
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func (v opened) lessons() []string {
	var out []string
	say := func(what string, of func(l rehearse.Line) bool) {
		var names []string
		for _, l := range v.Lines {
			if of(l) {
				names = append(names, clean(l.Name))
			}
		}
		if len(names) > 0 {
			out = append(out, strings.Join(names, ", ")+": "+what)
		}
	}
	say("the answer says within or outside, and it is not so.", func(l rehearse.Line) bool { return l.Misjudge })
	say("decided where the readings do not decide: who says undecided is right here.", func(l rehearse.Line) bool { return l.Overbold && !l.Misjudge })
	say("the offset written down is farther from the truth than the readings allow: count again which is late, and from which middle.", func(l rehearse.Line) bool { return l.Answer != nil && l.Answer.HasOff && !l.Near })
	say("the audit, too, is wrong by itself here: what was so is not in the readings alone.", func(l rehearse.Line) bool { return l.Wrong })
	say("the ± of the audit does not hold the truth.", func(l rehearse.Line) bool {
		return l.Mark.Offset != nil && l.Mark.Offset.Known && !l.Held && !l.Wrong
	})
	if v.Answered == 0 {
		out = append(out, "No answers were given. Write down yours before you open the seal, and give them with --answers.")
	} else if len(out) == 0 {
		out = append(out, "Every answer is right, and no surer than the readings allow.")
	}
	for _, w := range v.Result.Warnings {
		if first(w.Code) {
			out = append(out, "The audit said: "+sentence(newVoice(v.Result, nil).warning(w)))
		}
	}
	return out
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
func RehearsalJSON(w io.Writer, o rehearse.Opened, with Options) error {
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
