package report

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Audit turns the audit of one sheet into a document: the answer first, then
// what to do, the check before scribing, how it was found, doubts, cautions.
func Audit(r audit.Result, next []advise.Next, o document.Options) document.Doc {
	v := spoken(r, next, o)
	var d document.Doc
	add := func(blocks ...document.Block) { d = append(d, blocks...) }

	add(document.Heading{Text: v.Title(o.Path)})
	add(answerTable(v)...)
	add(pistonTable(v)...)
	add(riskTable(v)...)
	add(document.Space{}, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: words.Steps(v)})
	add(afterScribing(v)...)
	add(said("WHAT WAS FOUND", strings.Join(words.Findings(v), " "))...)
	add(groupTable(v)...)
	add(said("BETWEEN THE CYLINDERS", words.BetweenCylinders(v))...)
	add(Distances(v)...)
	add(spacingTable(v)...)
	add(settings(v)...)
	add(document.Space{}, document.Sentence{Lead: "HOW IT WAS FOUND"})
	add(howFound(v)...)
	add(said("METHODS COMPARED", words.MethodsCompared(v))...)
	add(said("TWO STOP DEPTHS", words.StopDepths(v))...)
	add(said("THE STOP AS REFERENCE", words.BlockedArcs(v)...)...)
	if o.Budget {
		add(budgets(v)...)
	}
	add(paperwork(v)...)
	if doubts := words.Warnings(v); len(doubts) > 0 {
		add(document.Space{}, document.Sentence{Lead: "DOUBTS"}, document.Steps{Items: doubts})
	}
	add(document.Space{}, document.Sentence{Lead: "CAUTION", Text: words.Caution})
	if o.Software != "" {
		add(document.Space{}, document.Sentence{Text: v.MadeBy(o.Software)})
	}
	return d
}

// spoken speaks for an audit, with what was said outside its sheet.
func spoken(r audit.Result, next []advise.Next, o document.Options) words.Audit {
	v := words.NewAudit(r, next)
	v.Scribed = v.Scribed || o.Scribed
	return v
}

// said is texts under one heading each; an empty one is left out.
func said(lead string, texts ...string) []document.Block {
	var out []document.Block
	for _, text := range texts {
		if text != "" {
			out = append(out, document.Space{}, document.Sentence{Lead: lead, Text: text})
		}
	}
	return out
}

// answerTable is one line a mark.
func answerTable(v words.Audit) []document.Block {
	marks := v.Result.ByLine()
	if len(marks) == 0 {
		return []document.Block{document.Sentence{Text: v.Meaning()}}
	}
	same := v.SameTolerance()
	t := document.Table{Header: []string{"line", "belongs at", "comes up at", "off by", "verdict"}}
	if same {
		t.Header[4] = "within " + v.Allowed(marks[0].Mark) + "?"
	}
	for _, m := range marks {
		row := []string{words.Clean(m.Name), m.AtText, "-", "not read", "undecided"}
		if !v.Result.TDC.Any() {
			row[3] = "no TDC"
		}
		if m.Offset != nil {
			row[2], row[3], row[4] = words.ComesUp(m), words.OffBy(m), v.VerdictInRow(m)
			if ends := words.Ends(m); ends != nil { // the rest in a table of its own
				row[3] = ends[0]
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return append([]document.Block{t, document.Sentence{Text: v.Meaning()}}, endsTable(v)...)
}

// endsTable is between what a line may be off where that reaches further to one side.
func endsTable(v words.Audit) []document.Block {
	t := document.Table{Header: []string{"line", "off by", "between", "and"}}
	for _, m := range v.Result.ByLine() {
		if ends := words.Ends(m); ends != nil {
			t.Rows = append(t.Rows, append([]string{words.Clean(m.Name)}, ends...))
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []document.Block{t}
}

// pistonTable is one line a mark in millimetres of the piston, where a dial is the
// readout.
func pistonTable(v words.Audit) []document.Block {
	t := document.Table{
		Header: []string{"line", "belongs", "found", "off by", "±", "a degree is", "side of TDC"},
		Right:  []bool{false, true, true, true, true, true, false},
	}
	for _, m := range v.Result.ByLine() {
		if m.ByDial != nil {
			t.Rows = append(t.Rows, words.ByPiston(m))
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "BY THE PISTON", Text: words.AboutPiston}, t}
}

// riskTable is how sure each verdict is; nothing where no line has an interval.
func riskTable(v words.Audit) []document.Block {
	t := document.Table{
		Header: []string{"line", "too early", "within", "too late", "risk of the verdict"},
		Right:  []bool{false, true, true, true, true},
	}
	for _, m := range v.Result.ByLine() {
		if m.Offset != nil && m.Offset.Known {
			t.Rows = append(t.Rows, append([]string{words.Clean(m.Name)}, words.Risks(m)...))
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "HOW SURE THE VERDICTS ARE", Text: v.AboutRisks()}, t}
}

// Distances lists what dividers, or a tape, should find between lines.
func Distances(v words.Audit) []document.Block {
	if len(v.Distances()) == 0 && !v.Scribes() {
		return nil
	}
	var out []document.Block
	if lead, text := v.AboutDistances(); text != "" {
		out = append(out, document.Space{}, document.Sentence{Lead: lead, Text: text})
	}
	if t := distanceTable(v, false); len(t.Rows) > 0 {
		out = append(out, t)
	}
	return append(out, roundTheRim(v)...)
}

// roundTheRim lists what only a tape along the rim tells.
func roundTheRim(v words.Audit) []document.Block {
	t := distanceTable(v, true)
	if len(t.Rows) == 0 {
		return nil
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "ROUND THE RIM", Text: words.AboutRound}, t}
}

// distanceTable lists the distances by dividers, or those round the rim.
func distanceTable(v words.Audit, round bool) document.Table {
	scribes := slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return m.Scribe.Worthwhile })
	t := document.Table{Header: []string{"from", "to", "now"}, Right: []bool{false, false, true}}
	if scribes {
		t.Header, t.Right = append(t.Header, "after scribing"), append(t.Right, true)
	}
	for _, d := range v.Distances() {
		if round != (d.NowRound > 0) {
			continue
		}
		now, after := v.Distance(d)
		row := []string{words.Clean(d.From), words.Clean(d.To), now}
		if scribes {
			row = append(row, after)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// settings tells what setting the engine by a line as it is would give.
func settings(v words.Audit) []document.Block {
	t := document.Table{Header: []string{"line", "you want", "you get", "sure to", "what is timed by it comes"}}
	for _, m := range v.Result.ByLine() {
		if m.Offset == nil || m.Verdict != diagnosis.Outside || m.Scribe.Withheld != advise.NotWithheld && m.Scribe.Withheld != advise.WithheldCommon {
			continue
		}
		if v.Scribed && (m.Scribe.Worthwhile || v.Result.Advice.Together.Worthwhile) { // nobody sets by what is struck through
			continue
		}
		n := words.MarkPlaces(m)
		comes := strings.NewReplacer("late", "late (retarded)", "early", "early (advanced)").Replace(rounding.OffBy(m.Offset.Value, n))
		t.Rows = append(t.Rows, []string{words.Clean(m.Name), m.AtText, words.ComesUp(m), "± " + rounding.Degrees(m.Offset.Expanded, n), comes})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "SET TO A LINE THAT IS OUTSIDE", Text: words.AboutSetTo}, t}
}

// howFound says where TDC was and what was taken into account.
func howFound(v words.Audit) []document.Block {
	tdc := v.Result.TDC
	var out []document.Block
	if tdc.Any() {
		if words.PlainSetups(v) {
			out = append(out, stopTable(v))
		} else {
			out = append(out, setupTable(v))
		}
	}
	return append(out, document.Sentence{Text: words.Circumstances(v)})
}

// stopTable is one row a setup, each of pairs of stop contacts.
func stopTable(v words.Audit) document.Table {
	t := document.Table{
		Header: []string{"setup", "by", "pairs", "TDC where it shows", "half arc", "middles repeat to"},
		Right:  []bool{false, false, true, true, true, true},
	}
	n := v.StepDecimals() + 1
	for _, s := range v.Result.TDC.Setups {
		repeats := "-"
		if len(s.Middles) > 1 {
			repeats = words.RepeatTo(s.MiddleSD, n+1)
		}
		t.Rows = append(t.Rows, []string{
			words.Clean(s.Name), words.Clean(s.By), fmt.Sprint(len(s.Middles)), v.Shows(s.Reading, n), rounding.Degrees(s.HalfArc, n), repeats,
		})
	}
	return t
}

// budgets shows every row of every line.
func budgets(v words.Audit) []document.Block {
	var out []document.Block
	for _, m := range v.Result.ByLine() {
		if m.Offset == nil {
			continue
		}
		out = append(out, document.Space{}, document.Sentence{Lead: "BUDGET OF " + words.Clean(m.Name), Text: v.Summary(m.Offset)}, budget(m.Offset.Budget))
	}
	return out
}

// budget is one row a source of doubt; sources that are alike share one.
func budget(rows uncertainty.Budget) document.Table {
	t := document.Table{
		Header: []string{"source", "by", "shape", "size", "n", "dof", "times", "u", "share"},
		Right:  []bool{false, false, false, true, true, true, true, true, true},
		Note:   words.AboutBudget,
	}
	shares := rows.Shares()
	for i := 0; i < len(rows); i++ {
		r, name, alike := rows[i], rows[i].Source.String(), 1
		for ; i+1 < len(rows) && rows[i+1] == r; i++ {
			alike++
		}
		if alike > 1 {
			name = fmt.Sprintf("%s (%d alike)", name, alike)
		}
		n, dof := "", ""
		if r.N > 0 {
			n = fmt.Sprint(r.N)
		}
		if !r.DOF.Infinite() {
			dof = rounding.Fixed(float64(r.DOF), 0)
		}
		t.Rows = append(t.Rows, []string{
			name, r.Evaluation(), r.Shape.String(), rounding.Fixed(r.Scale.Degrees(), 4), n, dof,
			rounding.Fixed(r.Sensitivity, 3), rounding.Fixed(r.Standard().Degrees(), 4), rounding.Percent(float64(alike) * shares[i]),
		})
	}
	return t
}

// setupTable is the table of the setups where they differ in more than pairs of
// stop contacts.
func setupTable(v words.Audit) document.Table {
	n := v.StepDecimals() + 1
	setups := v.Result.TDC.Setups
	has := func(of func(s tdc.Setup) bool) bool { return slices.ContainsFunc(setups, of) }
	mounting := has(func(s tdc.Setup) bool { return s.Mounting != "" })
	cylinder := has(func(s tdc.Setup) bool { return s.Cylinder != setups[0].Cylinder })
	by := has(func(s tdc.Setup) bool { return s.By != "" })
	var t document.Table
	column := func(used, right bool, header string, of func(s tdc.Setup) string) {
		if !used {
			return
		}
		t.Header, t.Right = append(t.Header, header), append(t.Right, right)
		for i, s := range setups {
			if len(t.Rows) <= i {
				t.Rows = append(t.Rows, nil)
			}
			t.Rows[i] = append(t.Rows[i], of(s))
		}
	}
	column(true, false, "setup", func(s tdc.Setup) string { return words.Clean(s.Name) })
	column(by, false, "by", func(s tdc.Setup) string { return words.Clean(s.By) })
	column(mounting, false, "mounting", func(s tdc.Setup) string { return words.Clean(s.Mounting) })
	column(cylinder, false, "cylinder", func(s tdc.Setup) string { return words.Clean(s.Cylinder) })
	column(true, false, "taken", func(s tdc.Setup) string {
		switch s.Method {
		case sheet.EqualDrop:
			return rounding.Count(len(s.Middles), "drop pair", "drop pairs")
		case sheet.Sweep:
			return fmt.Sprintf("sweep, %d points", s.Points)
		case sheet.AtTop:
			taken, _, _ := words.TopOf(v, s)
			return taken
		}
		return rounding.Count(len(s.Middles), "pair", "pairs")
	})
	onDial := v.Result.Sheet.Readout.Kind == sheet.Dial
	column(onDial, true, "top at", func(s tdc.Setup) string { _, at, _ := words.TopOf(v, s); return at })
	column(onDial, true, "repeats to", func(s tdc.Setup) string { _, _, repeats := words.TopOf(v, s); return repeats })
	if onDial {
		return t
	}
	column(true, true, "TDC at", func(s tdc.Setup) string { return v.Shows(s.Reading, n) })
	column(true, true, "half arc", func(s tdc.Setup) string { return rounding.Degrees(s.HalfArc, min(n, 2)) })
	column(true, true, "repeats to", func(s tdc.Setup) string {
		switch {
		case s.Method == sheet.Sweep:
			return rounding.Degrees(s.MiddleSD, min(n+1, 3))
		case len(s.Middles) > 1:
			return words.RepeatTo(s.MiddleSD, min(n+1, 3))
		}
		return "-"
	})
	return t
}

// groupTable is one row a part.
func groupTable(v words.Audit) []document.Block {
	if len(v.Result.Together.Groups) < 2 {
		return nil
	}
	t := document.Table{Header: []string{"part", "lines", "off together by", "they are"}}
	for _, g := range v.Result.Together.Groups {
		together := "?"
		if g.Common != nil {
			together = words.Offset(g.Common)
		}
		t.Rows = append(t.Rows, []string{words.Clean(g.Name), strings.Join(words.CleanAll(g.Lines), ", "), together, words.TheyAre(g)})
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "PART BY PART"}, t}
}

// spacingTable holds measured distances against the readings.
func spacingTable(v words.Audit) []document.Block {
	if len(v.Result.Checks.Spacings) == 0 {
		return nil
	}
	t := document.Table{Header: []string{"from", "to", "measured", "by the readings", "they", "where they belong"}, Right: []bool{false, false, true, true, false, true}}
	for _, s := range v.Result.Checks.Spacings {
		show := func(x float64) string {
			if s.Teeth > 0 {
				return rounding.Fixed(x, 2) + " teeth"
			}
			return v.Fine().Of(geometry.Length(x))
		}
		expected, verdict := show(s.Expected), "?"
		if s.U > 0 {
			verdict = "agree"
			if s.Differs {
				verdict = "DIFFER"
			}
			if s.Teeth > 0 {
				expected = rounding.Fixed(s.Expected, 2) + " ± " + rounding.Fixed(s.U, 2) + " teeth"
			} else {
				expected = v.Fine().Sure(geometry.Length(s.Expected), geometry.Length(s.U))
			}
		}
		t.Rows = append(t.Rows, []string{words.Clean(s.From), words.Clean(s.To), show(s.Measured), expected, verdict, show(s.Nominal)})
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "MEASURED DISTANCES", Text: words.AboutSpacings}, t}
}
