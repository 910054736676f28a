package report

import (
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/figure"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// JobSheet turns the audit of one sheet into the document that goes into the
// job's folder: all that [Audit] says, its figures and every budget, the
// readings as they were entered with those that were struck, the method in a few
// sentences, and room to sign.
func JobSheet(r audit.Result, next []advise.Next, o document.Options) document.Doc {
	v := spoken(r, next, o)
	var d document.Doc
	add := func(blocks ...document.Block) { d = append(d, blocks...) }
	draw := func(scenes []drawing.Scene) {
		for _, s := range scenes {
			add(document.Figure{Scene: s})
		}
	}

	s := r.Sheet
	add(document.Heading{Text: v.Subject(o.Path)}, document.Head{Parts: jobsheet.Head(v, o)}, document.Facts{Pairs: [][2]string{
		{"job", words.Clean(s.Job)},
		{"engine", words.Clean(s.Engine.Number)},
		{"part", words.Clean(s.Part.Number)},
		{"date", words.Clean(s.Date)},
		{"workshop", words.Clean(s.Workshop)},
		{"customer", words.Clean(s.Customer)},
		{"issued", words.Clean(s.Issued)},
	}})
	add(answerTable(v)...)
	add(pistonTable(v)...)
	add(riskTable(v)...)
	add(document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: words.Steps(v)})
	add(afterScribing(v)...)
	draw(figure.Part(r))
	draw(figure.Offsets(r))
	add(groupTable(v)...)
	add(said("BETWEEN THE CYLINDERS", words.BetweenCylinders(v))...)
	add(Distances(v)...)
	add(spacingTable(v)...)
	add(settings(v)...)
	add(document.Sentence{Lead: "HOW IT WAS FOUND"})
	add(howFound(v)...)
	draw(figure.Trials(r))
	add(said("METHODS COMPARED", words.MethodsCompared(v))...)
	add(said("TWO STOP DEPTHS", words.StopDepths(v))...)
	add(said("THE STOP AS REFERENCE", words.BlockedArcs(v)...)...)
	draw(figure.Budget(r))
	if doubts := words.Warnings(v); len(doubts) > 0 {
		add(document.Sentence{Lead: "DOUBTS"}, document.Steps{Items: doubts})
	}
	add(document.Sentence{Lead: "READINGS AS ENTERED"}, enteredTable(v))
	add(statedSizes(v)...)
	add(paperwork(v)...)
	add(document.Sentence{Lead: "METHOD", Text: words.Method(v)})
	add(document.Sentence{Lead: "CAUTION", Text: strings.Join(words.Cautions(), " ")})
	add(document.Sentence{Lead: "RECORD", Text: v.Origin(o.Software, o.Path)})
	add(document.Signature{})
	return d
}

// Record lays the record of an audit out on sheets of paper: the first to be signed,
// then the annex.
func Record(r audit.Result, next []advise.Next, o document.Options, paper document.Paper) []drawing.Scene {
	v, path := words.InPrint(spoken(r, next, o), drawing.Has, o.Path)
	o.Path = path
	where := func(most geometry.Length) []drawing.Scene { return figure.Where(v.Result, most) }
	first := jobsheet.New(v, o, paper, where)
	letter, key := words.Lettered(v, drawing.Has)
	d := annex(v, first, o).Said(letter)
	if len(key) > 0 {
		d = append(d, document.Sentence{Lead: "NAMES SHOWN BY THEIR NUMBER"}, document.Steps{Items: key})
	}
	return document.Pages(d, document.Print{Paper: paper, Front: first.Draw})
}

// annex is all that the first sheet has no room for.
func annex(v words.Audit, first *jobsheet.Sheet, o document.Options) document.Doc {
	r := v.Result
	d := document.Doc{document.Head{Parts: jobsheet.Head(v, o)}}
	add := func(blocks ...document.Block) { d = append(d, blocks...) }
	draw := func(scenes []drawing.Scene) {
		for _, s := range scenes {
			add(document.Figure{Scene: s})
		}
	}
	if first.LinesCut {
		add(document.Heading{Text: "All lines"}, allLines(v), document.Sentence{Text: v.AboutRisks()})
	}
	if first.StepsCut {
		add(document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: words.Steps(v)})
	}
	add(afterScribing(v)...)
	add(said("WHAT WAS FOUND", strings.Join(words.Findings(v), " "))...)
	if first.DoubtsCut {
		add(document.Sentence{Lead: "DOUBTS"}, document.Steps{Items: words.Warnings(v)})
	}
	if first.ChecksCut {
		for _, b := range Distances(v) {
			if s, ok := b.(document.Sentence); ok && s.Lead != "ROUND THE RIM" {
				b = document.Sentence{Lead: "ALL DISTANCES", Text: "Straight across from line to line, as on page 1, which has room for what is measured."}
			}
			add(b)
		}
	}
	add(document.Heading{Text: "Annex A  Where the doubt comes from"})
	budget := figure.Budget(r)
	draw(budget)
	switch risks := riskTable(v); {
	case !first.LinesCut && len(risks) > 0:
		add(risks...)
	case len(budget) == 0:
		add(document.Sentence{Text: "There is nothing to list: no line has a ± that is known."})
	}
	add(document.Heading{Text: "Annex B  Readings as they were written"}, enteredTable(v))
	add(statedSizes(v)...)
	add(document.Heading{Text: "Annex C  Contacts, offsets, comparisons"})
	draw(figure.Trials(r))
	add(document.Sentence{Lead: "HOW IT WAS FOUND"})
	add(howFound(v)...)
	add(said("METHODS COMPARED", words.MethodsCompared(v))...)
	add(said("TWO STOP DEPTHS", words.StopDepths(v))...)
	add(said("THE STOP AS REFERENCE", words.BlockedArcs(v)...)...)
	draw(figure.Part(r))
	if !first.LinesCut { // else it takes sheets, and the part shows the same
		draw(figure.Offsets(r))
	}
	add(groupTable(v)...)
	add(said("BETWEEN THE CYLINDERS", words.BetweenCylinders(v))...)
	add(spacingTable(v)...)
	add(settings(v)...)
	add(document.Heading{Text: "Annex D  Method, cautions, origin"})
	add(paperwork(v)...)
	add(document.Sentence{Lead: "METHOD", Text: words.Method(v)})
	add(document.Sentence{Lead: "CAUTION"}, document.Steps{Items: words.Cautions()})
	add(document.Sentence{Lead: "ORIGIN", Text: v.Origin(o.Software, o.Path)})
	return d
}

// allLines is the answer and how sure it is, in one row a line.
func allLines(v words.Audit) document.Table {
	t := document.Table{
		Header: []string{"line", "belongs at", "comes up at", "off by", "verdict", "early", "within", "late", "risk"},
		Right:  []bool{false, false, false, false, false, true, true, true, true},
	}
	for _, m := range v.Result.ByLine() {
		row := []string{words.Clean(m.Name), m.AtText, "-", "-", v.Judged(m), "-", "-", "-", "-"}
		if m.Offset != nil {
			row[2], row[3] = words.ComesUp(m), words.Offset(m.Offset)
			if m.Offset.Known {
				copy(row[5:], words.Risks(m))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// enteredTable lists every reading as it was written down, in the order of the
// sheet.
func enteredTable(v words.Audit) document.Table {
	t := document.Table{Header: []string{"setup", "what", "approach", "readings"}}
	for _, setup := range v.Result.Sheet.Setups {
		name := words.Clean(setup.Name)
		if setup.By != "" {
			name += ", " + words.Clean(setup.By)
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
		add("top", "forward", entries(setup.Top))
		for _, d := range setup.Drops {
			what := "equal drop, " + words.EnteredDrop(d)
			add(what, "before TDC", entries(d.Before))
			add(what, "after TDC", entries(d.After))
		}
		if setup.Sweep != nil {
			var points []string
			for _, p := range setup.Sweep.Points {
				points = append(points, entry(&p.Reading)+" at "+words.EnteredHeight(p))
			}
			add("sweep", "", points)
		}
		for _, m := range v.Result.Sheet.Marks {
			for _, approach := range []sheet.Approach{sheet.Forward, sheet.Backward} {
				taken := slices.DeleteFunc(slices.Clone(setup.Marks[m.Name]), func(r sheet.Reading) bool { return r.Approach != approach })
				add(words.Clean(m.Name), approach.String(), entries(taken))
			}
		}
		if c := setup.ClosingTop; c != nil {
			add("closing", "top", []string{entry(c)})
		}
		if c := setup.Closing; c != nil {
			add("closing", "forward and backward", []string{entry(c.Forward), entry(c.Backward)})
		}
	}
	return t
}

// entries are readings as written.
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
	text := words.Entered(r)
	if r.Struck {
		text += " (STRUCK: " + words.Clean(r.Reason) + ")"
	}
	for _, about := range []string{r.Time, r.Note} {
		if about != "" {
			text += " [" + words.Clean(about) + "]"
		}
	}
	return text
}

// ForFolder is a document as it goes into the job's folder: with its figures after
// the first table or list, and room to sign.
func ForFolder(d document.Doc, figures []drawing.Scene) document.Doc {
	at := len(d)
	for i, b := range d {
		switch b.(type) {
		case document.Table, document.Steps:
			at = min(at, i+1)
		}
	}
	out := append(document.Doc{}, d[:at]...)
	for _, s := range figures {
		out = append(out, document.Figure{Scene: s})
	}
	return append(append(out, d[at:]...), document.Signature{})
}
