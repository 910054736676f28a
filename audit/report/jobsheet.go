package report

import (
	"path/filepath"
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
	v.ByDividers = true
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
	add(document.Sentence{Lead: "READINGS AS ENTERED"})
	add(enteredTables(v)...)
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
	v.ByDividers = true
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
		add(document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: plainly(words.Steps(v))})
	}
	add(afterScribing(v)...)
	add(said("WHAT WAS FOUND", strings.Join(words.Findings(v), " "))...)
	if first.ChecksCut {
		add(document.Sentence{Lead: "MORE DISTANCES", Text: "By dividers, straight across from line to line, as they should be. The first stand on page 1."}, first.Distances())
	}
	add(roundTheRim(v)...)
	add(document.Heading{Text: "Annex A  Uncertainty"})
	budget := figure.Budget(r)
	draw(budget)
	switch risks := riskTable(v); {
	case !first.LinesCut && len(risks) > 0:
		add(risks...)
	case len(budget) == 0:
		add(document.Sentence{Text: "There is nothing to list: no line has a ± that is known."})
	}
	add(document.Heading{Text: "Annex B  Readings as they were written"})
	add(enteredTables(v)...)
	add(statedSizes(v)...)
	add(document.Heading{Text: "Annex C  Contacts, offsets, comparisons"})
	draw(figure.Trials(r))
	add(document.Sentence{Lead: "HOW IT WAS FOUND"})
	add(howFound(v)...)
	add(said("METHODS COMPARED", words.InPlainWords(words.MethodsCompared(v)))...)
	add(said("TWO STOP DEPTHS", words.InPlainWords(words.StopDepths(v)))...)
	add(said("THE STOP AS REFERENCE", words.BlockedArcs(v)...)...)
	if first.DoubtsCut {
		add(document.Sentence{Lead: "DOUBTS"}, document.Steps{Items: plainly(words.Warnings(v))})
	}
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
	add(document.Sentence{Lead: "ORIGIN", Text: v.Origin(o.Software, filepath.Base(o.Path))})
	return d
}

// plainly is texts without the keys of the sheet, each begun as a sentence.
func plainly(texts []string) []string {
	out := make([]string, len(texts))
	for i, text := range texts {
		out[i] = words.InPlainWords(words.Sentence(text))
	}
	return out
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

// entered is a row of readings as they were written down, of one setup.
type entered struct{ setup, what, approach, readings string }

// enteredTables list every reading as it was written down: a row for each place and way
// of coming to it, a column for each setup, three setups abreast.
func enteredTables(v words.Audit) (out []document.Block) {
	const abreast = 3
	all := enteredRows(v)
	var setups []string
	for _, x := range all {
		if !slices.Contains(setups, x.setup) {
			setups = append(setups, x.setup)
		}
	}
	for block := range slices.Chunk(setups, abreast) {
		t := document.Table{Header: []string{"what", "approach"}}
		index := map[string]int{} // only looked up
		for _, name := range block {
			t.Header = append(t.Header, "setup "+name)
		}
		for _, x := range all {
			column := slices.Index(block, x.setup)
			if column < 0 {
				continue
			}
			key := x.what + "\n" + x.approach
			row, known := index[key]
			if !known {
				row = len(t.Rows)
				index[key] = row
				t.Rows = append(t.Rows, append([]string{x.what, x.approach}, make([]string, len(block))...))
			}
			if cell := &t.Rows[row][2+column]; *cell == "" {
				*cell = x.readings
			} else { // two lines of one name, or one taken in two goes
				*cell += "; " + x.readings
			}
		}
		out = append(out, t)
	}
	return out
}

// enteredRows are the readings in the order of the sheet.
func enteredRows(v words.Audit) (rows []entered) {
	for _, setup := range v.Result.Sheet.Setups {
		name := words.Clean(setup.Name)
		if setup.By != "" {
			name += ", " + words.Clean(setup.By)
		}
		add := func(what, approach string, readings []string) {
			if len(readings) > 0 {
				rows = append(rows, entered{name, what, approach, strings.Join(readings, ", ")})
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
	return rows
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
