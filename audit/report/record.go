package report

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/sheet"
)

// AuditRecord turns the audit of one sheet into the document that goes into the
// job's folder: all that [Audit] says, its figures and every budget, the
// readings as they were entered with those that were struck, the method in a few
// sentences, and room to sign.
func AuditRecord(r audit.Result, next []audit.Next, o document.Options) document.Doc {
	v := newVoice(r, next)
	var d document.Doc
	add := func(blocks ...document.Block) { d = append(d, blocks...) }
	draw := func(scenes []drawing.Scene) {
		for _, s := range scenes {
			add(document.Figure{Scene: s})
		}
	}

	add(document.Heading{Text: v.Title(o.Path)})
	add(v.answer()...)
	add(document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: v.steps()})
	draw(PartFigures(r))
	draw(OffsetFigures(r))
	add(v.groups()...)
	add(said("BETWEEN THE CYLINDERS", v.betweenCylinders())...)
	add(v.dividers()...)
	add(v.spacings()...)
	add(v.setTo()...)
	add(document.Sentence{Lead: "HOW IT WAS FOUND"})
	add(v.found()...)
	draw(TrialFigures(r))
	add(said("METHODS COMPARED", v.methodsCompared())...)
	add(said("TWO STOP DEPTHS", v.stopDepths())...)
	add(said("THE STOP AS REFERENCE", v.blockedArcs()...)...)
	draw(BudgetFigures(r))
	add(v.budgets()...)
	if doubts := v.doubts(); len(doubts) > 0 {
		add(document.Sentence{Lead: "DOUBTS"}, document.Steps{Items: doubts})
	}
	add(document.Sentence{Lead: "READINGS AS ENTERED"}, v.readings())
	add(document.Sentence{Lead: "METHOD", Text: v.method()})
	add(document.Sentence{Lead: "CAUTION", Text: strings.Join(Cautions(), " ")})
	add(document.Sentence{Lead: "RECORD", Text: v.origin(o.Software, o.Path)})
	add(document.Signature{})
	return d
}

// origin says what made a record and from which sheet, with its digest.
func (v voice) origin(software, path string) string {
	return fmt.Sprintf("Made by %s from the sheet %s; SHA-256 of the sheet and its files: %s.", software, clean(path), v.r.Sheet.Digest)
}

// method says in a few sentences how offsets and intervals come about. The
// formulas stand in docs/method.md with their sources.
func (v voice) method() string {
	var b strings.Builder
	b.WriteString("Top dead centre is half way between two readings at which the piston stands equally high, one on either side of it; of a sweep it is the top of a fitted slider-crank curve. ")
	b.WriteString("A line's offset is the crank angle at which it comes up, counted from there, less the angle at which it belongs. ")
	fmt.Fprintf(&b, "Every source of doubt is a row of a budget with its own distribution (JCGM 100:2008); the interval holds %s of the distribution of their sum. ", v.confidence())
	fmt.Fprintf(&b, "A line is within when at least %s of that distribution lies within its tolerance, outside when at least as much lies beyond, and undecided otherwise (JCGM 106:2012).", v.confidence())
	return b.String()
}

// readings lists every reading as it was written down, in the order of the
// sheet.
func (v voice) readings() document.Table {
	t := document.Table{Header: []string{"setup", "what", "approach", "readings"}}
	for _, setup := range v.r.Sheet.Setups {
		name := clean(setup.Name)
		if setup.By != "" {
			name += ", " + clean(setup.By)
		}
		add := func(what, approach string, readings []string) {
			if len(readings) > 0 {
				t.Rows = append(t.Rows, []string{name, what, approach, strings.Join(readings, ", ")})
			}
		}
		var forward, backward []string
		for _, trial := range setup.Trials {
			forward = append(forward, entry(trial.Forward))
			backward = append(backward, entry(trial.Backward))
		}
		add("stop", "forward", forward)
		add("stop", "backward", backward)
		for _, d := range setup.Drops {
			what := "equal drop, " + v.Of(d.Drop)
			add(what, "before TDC", entries(d.Before))
			add(what, "after TDC", entries(d.After))
		}
		if setup.Sweep != nil {
			var points []string
			for _, p := range setup.Sweep.Points {
				points = append(points, entry(&p.Reading)+" at "+fmt.Sprint(p.Height))
			}
			add("sweep", "", points)
		}
		for _, m := range v.r.Sheet.Marks {
			for _, approach := range []sheet.Approach{sheet.Forward, sheet.Backward} {
				taken := slices.DeleteFunc(slices.Clone(setup.Marks[m.Name]), func(r sheet.Reading) bool { return r.Approach != approach })
				add(clean(m.Name), approach.String(), entries(taken))
			}
		}
		if c := setup.Closing; c != nil {
			add("closing", "forward and backward", []string{entry(c.Forward), entry(c.Backward)})
		}
	}
	return t
}

func entries(readings []sheet.Reading) []string {
	out := make([]string, len(readings))
	for i := range readings {
		out[i] = entry(&readings[i])
	}
	return out
}

// entry is one reading as written, with the reason if it was struck.
func entry(r *sheet.Reading) string {
	if r == nil {
		return "none"
	}
	text := r.Written()
	if r.Struck {
		text += " (STRUCK: " + clean(r.Reason) + ")"
	}
	for _, about := range []string{r.Time, r.Note} {
		if about != "" {
			text += " [" + clean(about) + "]"
		}
	}
	return text
}
