package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Audit turns the audit of one sheet into a document: the answer first, then
// what to do, the check before scribing, how it was found, doubts, cautions.
func Audit(r audit.Result, next []audit.Next, o document.Options) document.Doc {
	v := newVoice(r, next)
	var d document.Doc
	add := func(blocks ...document.Block) { d = append(d, blocks...) }

	add(document.Heading{Text: v.Title(o.Path)})
	add(v.answer()...)
	add(document.Space{}, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: v.steps()})
	add(v.groups()...)
	add(said("BETWEEN THE CYLINDERS", v.betweenCylinders())...)
	add(v.dividers()...)
	add(v.spacings()...)
	add(v.setTo()...)
	add(document.Space{}, document.Sentence{Lead: "HOW IT WAS FOUND"})
	add(v.found()...)
	add(said("METHODS COMPARED", v.methodsCompared())...)
	add(said("TWO STOP DEPTHS", v.stopDepths())...)
	add(said("THE STOP AS REFERENCE", v.blockedArcs()...)...)
	if o.Budget {
		add(v.budgets()...)
	}
	if doubts := v.doubts(); len(doubts) > 0 {
		add(document.Space{}, document.Sentence{Lead: "DOUBTS"}, document.Steps{Items: doubts})
	}
	add(document.Space{}, document.Sentence{Lead: "CAUTION", Text: strings.Join(Cautions(), " ")})
	if o.Software != "" {
		add(document.Space{}, document.Sentence{Text: v.madeBy(o.Software)})
	}
	return d
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

// Title names the job: what it is of, its number and its day; else the sheet by
// its path.
func (v voice) Title(path string) string {
	s := v.r.Sheet
	var parts []string
	for _, p := range []string{s.Title, s.Part.Name} {
		if p != "" && !strings.Contains(strings.Join(parts, " "), p) {
			parts = append(parts, clean(p))
		}
	}
	for _, p := range [][2]string{{"job ", s.Job}, {"engine ", s.Engine.Number}, {"part ", s.Part.Number}, {"", s.Date}} {
		if p[1] != "" {
			parts = append(parts, p[0]+clean(p[1]))
		}
	}
	if len(parts) == 0 {
		return "Sheet " + clean(path)
	}
	return strings.Join(parts, ", ")
}

// madeBy says what made a report, and from which sheet.
func (v voice) madeBy(software string) string {
	return fmt.Sprintf("%s; sheet digest %.12s", software, v.r.Sheet.Digest)
}

// answer is one line a mark.
func (v voice) answer() []document.Block {
	marks := v.r.Marks
	if len(marks) == 0 {
		return []document.Block{document.Sentence{Text: v.meaning(false)}}
	}
	same := true
	for _, m := range marks {
		same = same && allowed(m.Mark) == allowed(marks[0].Mark)
	}
	t := document.Table{Header: []string{"line", "belongs at", "comes up at", "off by", "verdict"}}
	if same {
		t.Header[4] = "within " + allowed(marks[0].Mark) + "?"
	}
	asFitted := false
	for _, m := range marks {
		row := []string{clean(m.Name), m.AtText, "-", "not read", "undecided"}
		if v.r.TDC == nil {
			row[3] = "no TDC"
		}
		if m.Offset != nil {
			row[2], row[3], row[4] = comesUp(m), offset(m.Offset), verdict(m)
			if !same {
				row[4] += " " + allowed(m.Mark)
			}
			row[4] += fitted(m)
			asFitted = asFitted || fitted(m) != ""
		}
		t.Rows = append(t.Rows, row)
	}
	return []document.Block{t, document.Sentence{Text: v.meaning(asFitted)}}
}

// meaning says what the ± and the verdicts stand for.
func (v voice) meaning(asFitted bool) string {
	if len(v.r.Marks) == 0 {
		return "The sheet declares no marks."
	}
	if v.r.TDC == nil {
		return "No pair of stop contacts can be used, so there is no TDC and no offset."
	}
	var b strings.Builder
	sure, unsure := 0, 0
	for _, m := range v.r.Marks {
		switch {
		case m.Offset == nil:
		case m.Offset.Known:
			sure++
		default:
			unsure++
		}
	}
	taken := v.taken()
	if sure > 0 {
		if v.r.Moved || v.r.Differ {
			fmt.Fprintf(&b, "± would hold the true offset in %s of cases if nothing had moved or changed in between: %s.", v.confidence(), taken)
		} else {
			fmt.Fprintf(&b, "± holds the true offset in %s of cases: %s.", v.confidence(), taken)
		}
		if asFitted {
			b.WriteString(" \"As fitted\": it covers repeating the readings, not taking the readout off and fitting it again.")
		} else {
			b.WriteString(" Remounting is included.")
		}
		if slices.ContainsFunc(v.r.Marks, func(m audit.Mark) bool { return len(m.NotIncluded) > 0 }) {
			b.WriteString(" What the doubts below call not included comes on top.")
		}
	} else {
		fmt.Fprintf(&b, "Taken: %s.", taken)
	}
	if unsure > 0 {
		b.WriteString(" \"± ?\": nothing was repeated that would show how sure it is.")
	}
	b.WriteString(" Late: the line comes up after its place.")
	return b.String()
}

// scribes reports whether any instruction is given.
func (v voice) scribes() bool {
	for _, m := range v.r.Marks {
		if m.Scribe.Worthwhile {
			return true
		}
	}
	return v.r.Shift.Scribe.Worthwhile
}

// steps is what to do, most important first.
func (v voice) steps() []string {
	var out []string
	if v.scribes() {
		for _, w := range v.r.Warnings {
			if w.Code == audit.DirectionUnchecked {
				out = append(out, "Settle which way the readout counts: "+dot(v.warning(w)))
			}
		}
		out = append(out, "Before anything is scribed or moved, check by eye: "+dot(v.check()))
	}
	for _, w := range v.r.Warnings {
		if first(w.Code) {
			out = append(out, sentence(v.warning(w)))
		}
	}
	if slices.ContainsFunc(v.r.Marks, func(m audit.Mark) bool { return m.Scribe.Withheld == audit.WithheldDwell }) {
		out = append(out, "Scribe nothing before that: "+dot(v.withheld(audit.WithheldDwell)))
	}
	together := v.together()
	if v.r.TDC == nil || len(v.r.Shift.Lines) == 0 {
		together = ""
	}
	// What shifts all lines comes before any line; so does the advice of one mark
	// to read a second.
	ahead := v.r.Shift.Act || len(v.r.Shift.Lines) == 1 || v.r.Slip == audit.RingSlipped || v.r.Slip == audit.Apart
	if ahead && together != "" {
		out = append(out, together)
	}
	for _, m := range v.r.Marks {
		if m.Verdict == uncertainty.Outside && !toldFirst(m.Scribe.Withheld) {
			out = append(out, v.outside(m))
		}
	}
	out = append(out, v.undecided()...)
	if len(v.r.Marks) == 0 {
		for _, c := range v.r.Centrings {
			out = append(out, v.offCentre(c))
		}
	}
	if len(out) == 0 && len(v.r.Marks) == 0 {
		out = append(out, "Nothing can be judged: no line is declared.")
	} else if len(out) == 0 {
		out = append(out, "Nothing: every line is within.")
	}
	if !ahead && together != "" {
		out = append(out, together)
	}
	return out
}

// undecided says what would decide the lines that are not decided, lines with
// the same advice together.
func (v voice) undecided() []string {
	type advice struct {
		text  string
		names []string // none where it goes for the whole sheet
	}
	var all []advice
	for i, m := range v.r.Marks {
		text := v.toDecide(m, v.next[i])
		if text == "" {
			continue
		}
		var names []string
		if w := v.next[i].Way; w != audit.Repeat && w != audit.ThirdSetup && !(w == audit.NoScatter && m.RepeatsLine()) {
			names = []string{clean(m.Name)}
		}
		if j := slices.IndexFunc(all, func(a advice) bool { return a.text == text }); j >= 0 {
			all[j].names = append(all[j].names, names...)
		} else {
			all = append(all, advice{text, names})
		}
	}
	var out []string
	for _, a := range all {
		if len(a.names) == 0 {
			out = append(out, sentence(a.text))
		} else {
			out = append(out, strings.Join(a.names, ", ")+": "+dot(a.text))
		}
	}
	return out
}

// first reports whether a doubt is the first thing to do, and so not repeated
// among the doubts.
func first(c audit.Code) bool {
	return c == audit.DeclarationSuspect || c == audit.ReadoutMoved || c == audit.StopInDwell
}

// toldFirst reports whether the reason for withholding a line's instruction has
// been said for all lines.
func toldFirst(w audit.Withheld) bool {
	switch w {
	case audit.NotWithheld, audit.WithheldLostMotion:
		return false
	}
	return true
}

// aboutDistances says what distances between lines are good for: the second check
// before scribing, and one of the readings in any case. Lead is its heading.
func (v voice) aboutDistances() (lead, text string) {
	lead, text = "DIVIDERS", "Straight across from line to line, as the readings have it. A distance that disagrees by more than its ± means a wrong reading or a wrong sheet."
	if v.scribes() {
		lead, text = "CHECK BEFORE YOU SCRIBE", "By eye, as said above. Then with dividers, straight across from line to line: a distance that disagrees by more than its ± means a wrong reading or a wrong sheet."
	}
	if len(v.r.Distances) == 0 {
		return lead, "By eye, as said above."
	}
	if slices.ContainsFunc(v.r.Distances, func(d audit.Distance) bool { return d.U == 0 }) {
		text += " One without ± cannot be judged so: its lines were not read in the same setups, or not often enough."
	}
	return lead, text
}

// dividers lists the chords between neighbouring lines.
func (v voice) dividers() []document.Block {
	if len(v.r.Distances) == 0 && !v.scribes() {
		return nil
	}
	lead, text := v.aboutDistances()
	if len(v.r.Distances) == 0 {
		return []document.Block{document.Space{}, document.Sentence{Lead: lead, Text: text}}
	}
	scribes := false
	for _, m := range v.r.Marks {
		scribes = scribes || m.Scribe.Worthwhile
	}
	t := document.Table{Header: []string{"from", "to", "now"}, Right: []bool{false, false, true}}
	if scribes {
		t.Header, t.Right = append(t.Header, "after scribing"), append(t.Right, true)
	}
	for _, d := range v.r.Distances {
		row := []string{clean(d.From), clean(d.To), v.Of(d.Now)}
		if d.U > 0 {
			row[2] = v.Sure(d.Now, d.U)
		}
		if scribes {
			row = append(row, v.Of(d.After))
		}
		t.Rows = append(t.Rows, row)
	}
	return []document.Block{
		document.Space{},
		document.Sentence{Lead: lead, Text: text},
		t,
	}
}

// aboutSetTo leads to what setting the engine by a line as it is would give.
const aboutSetTo = "as it is now, the engine stands here:"

// setTo tells what setting the engine by a line as it is would give.
func (v voice) setTo() []document.Block {
	t := document.Table{Header: []string{"line", "you want", "you get", "sure to", "what is timed by it comes"}}
	for _, m := range v.r.Marks {
		if m.Offset == nil || m.Verdict != uncertainty.Outside || m.Scribe.Withheld != audit.NotWithheld && m.Scribe.Withheld != audit.WithheldCommon {
			continue
		}
		n := markPlaces(m)
		comes := strings.NewReplacer("late", "late (retarded)", "early", "early (advanced)").Replace(rounding.OffBy(m.Offset.Value, n))
		t.Rows = append(t.Rows, []string{clean(m.Name), m.AtText, comesUp(m), "± " + rounding.Degrees(m.Offset.Expanded, n), comes})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "SET TO A LINE THAT IS OUTSIDE", Text: aboutSetTo}, t}
}

// found says where TDC was and what was taken into account.
func (v voice) found() []document.Block {
	tdc := v.r.TDC
	var out []document.Block
	if tdc != nil {
		if v.plainSetups() {
			out = append(out, v.stopTable())
		} else {
			out = append(out, v.setupTable())
		}
	}
	return append(out, document.Sentence{Text: v.circumstances()})
}

// stopTable is one row a setup, each of pairs of stop contacts.
func (v voice) stopTable() document.Table {
	t := document.Table{
		Header: []string{"setup", "by", "pairs", "TDC where it shows", "half arc", "middles repeat to"},
		Right:  []bool{false, false, true, true, true, true},
	}
	n := v.stepDecimals() + 1
	for _, s := range v.r.TDC.Setups {
		repeats := "-"
		if len(s.Middles) > 1 {
			repeats = rounding.Degrees(s.MiddleSD, n+1)
		}
		t.Rows = append(t.Rows, []string{
			clean(s.Name), clean(s.By), fmt.Sprint(len(s.Middles)), v.shows(s.Reading, n), rounding.Degrees(s.HalfArc, n), repeats,
		})
	}
	return t
}

// circumstances says which way things turn and what was corrected.
func (v voice) circumstances() string {
	s, tdc := v.r.Sheet, v.r.TDC
	var b strings.Builder
	say := func(format string, args ...any) {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, format, args...)
	}
	if s.Part.HalfSpeed {
		say("The part runs %s, %s, once in two turns of the crank: angles are the crank's, lengths along the rim and teeth are half of what a part on the crank would have.", s.Engine.Turns, v.viewpoint())
	} else {
		say("The engine runs %s, %s.", s.Engine.Turns, v.viewpoint())
	}
	if s.Part.Moves != "" {
		say("In the window it is seen moving %s.", s.Part.Moves)
	}
	if s.Part.MarksOn == sheet.OnEngine {
		say("The scale is fixed to the engine; one line turns.")
	} else {
		say("The lines turn; the pointer is fixed to the engine.")
	}
	say("%s", v.counts())
	if text := v.inDegrees(); text != "" {
		say("%s", text)
	}
	if pin := s.Engine.PinOffset; pin.Value != 0 || pin.Limit.Half != 0 {
		say("Piston pin %s.", pin.PinText())
	}
	if bore := s.Engine.BoreOffset; bore.Value != 0 || bore.Limit.Half != 0 {
		say("Bore %s.", bore.BoreText())
	}
	if tdc != nil {
		if c := tdc.Setups[0].Correction; c != 0 {
			say("So the middle of the contacts lies %s the piston's top; that is corrected.", rounding.Beside(c))
		}
		if s.Engine.RefersToThrow && tdc.ThrowToTDC != 0 {
			say("The marks count from the throw's top; the piston's top comes %s it.", rounding.Beside(tdc.ThrowToTDC))
		} else if s.Engine.RefersToThrow {
			say("The marks count from the throw's top.")
		}
	}
	if s.Readout.HasLostMotion {
		say("Lost motion of %s° in all: lines read from one side are corrected by half of it.", rounding.Plain(s.Readout.LostMotion.Degrees()))
	}
	if text := v.corrected(); text != "" {
		say("%s", text)
	}
	if text := v.approaches(); text != "" {
		say("%s", text)
	}
	if tdc != nil {
		pairs, furthest := 0, geometry.Angle(0)
		for _, setup := range tdc.Setups {
			if setup.Closing != nil {
				pairs++
				furthest = max(furthest, setup.Closing.Abs())
			}
		}
		if pairs > 0 {
			say("After the marks, %s put TDC at most %s from where the contacts had it.", rounding.Count(pairs, "closing pair", "closing pairs"), rounding.Degrees(furthest, rounding.Unsure))
		}
	}
	for _, setup := range s.Setups {
		if about := strings.Trim(clean(setup.Date)+": "+clean(setup.Note), ": "); about != "" {
			say("Setup %s, %s.", clean(setup.Name), about)
		}
		for _, line := range v.struck(setup) {
			say("%s", line)
		}
	}
	return b.String()
}

// readout names the readout, to begin a sentence.
func (v voice) readout() string {
	kind := [...]string{"The wheel", "The encoder", "The rim"}[v.r.Sheet.Readout.Kind]
	if n := v.r.Sheet.Readout.Name; n != "" {
		kind += " (" + clean(n) + ")"
	}
	return kind
}

// struck shows every struck reading of a setup with its reason.
func (v voice) struck(setup sheet.Setup) []string {
	var out []string
	say := func(what string, r *sheet.Reading) {
		if r != nil && r.Struck {
			out = append(out, fmt.Sprintf("Struck in setup %s: %s %s, %s.", clean(setup.Name), what, r.Written(), clean(r.Reason)))
		}
	}
	for i, t := range setup.Trials {
		say(fmt.Sprintf("forward contact %d,", i+1), t.Forward)
		say(fmt.Sprintf("backward contact %d,", i+1), t.Backward)
	}
	for _, d := range setup.Drops {
		for i, t := range d.Trials() {
			say(fmt.Sprintf("drop of %v, before %d,", d.Drop, i+1), t.Forward)
			say(fmt.Sprintf("drop of %v, after %d,", d.Drop, i+1), t.Backward)
		}
	}
	if setup.Sweep != nil {
		for i := range setup.Sweep.Points {
			say(fmt.Sprintf("point %d of the sweep,", i+1), &setup.Sweep.Points[i].Reading)
		}
	}
	if c := setup.Closing; c != nil {
		say("closing contact, forward,", c.Forward)
		say("closing contact, backward,", c.Backward)
	}
	for _, m := range v.r.Marks {
		for i := range setup.Marks[m.Name] {
			say(clean(m.Name)+",", &setup.Marks[m.Name][i])
		}
	}
	return out
}

// budgets shows every row of every line.
func (v voice) budgets() []document.Block {
	var out []document.Block
	for _, m := range v.r.Marks {
		if m.Offset == nil {
			continue
		}
		out = append(out, document.Space{}, document.Sentence{Lead: "BUDGET OF " + clean(m.Name), Text: v.summary(m.Offset)}, budget(m.Offset.Budget))
	}
	return out
}

// summary says an estimate in full: standard uncertainty, interval, factor.
func (v voice) summary(e *audit.Estimate) string {
	if !e.Known {
		return "The readings hold no scatter, so there is no ±."
	}
	n := rounding.Places(e.Expanded.Degrees())
	dof := "infinite"
	if !math.IsInf(e.DOF, 1) {
		dof = rounding.Fixed(e.DOF, 1)
	}
	return fmt.Sprintf("Combined standard uncertainty %s, expanded %s at %s (k = %s, from the whole distribution of the sum). Effective degrees of freedom, for information: %s.",
		rounding.Degrees(e.Standard, n+1), rounding.TwoDigits(e.Expanded), v.confidence(), rounding.Fixed(float64(e.Expanded/e.Standard), 2), dof)
}

// aboutBudget says what the columns of a budget are.
const aboutBudget = "size, of each: half width, or standard deviation of the mean, in degrees; u: standard uncertainty; by A: from the scatter of readings, B: otherwise. A scatter or step row at 0 % beside the other describes the same doubt and is not counted twice."

// budget is one row a source of doubt; sources that are alike share one.
func budget(rows uncertainty.Budget) document.Table {
	t := document.Table{
		Header: []string{"source", "by", "shape", "size", "n", "dof", "times", "u", "share"},
		Right:  []bool{false, false, false, true, true, true, true, true, true},
		Note:   aboutBudget,
	}
	shares := rows.Shares()
	for i := 0; i < len(rows); i++ {
		r, name, alike := rows[i], rows[i].Source, 1
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
		if !math.IsInf(r.DOF, 1) {
			dof = rounding.Fixed(r.DOF, 0)
		}
		t.Rows = append(t.Rows, []string{
			name, r.Evaluation.String(), r.Shape.String(), rounding.Fixed(r.Scale.Degrees(), 4), n, dof,
			rounding.Fixed(r.Sensitivity, 3), rounding.Fixed(r.Standard().Degrees(), 4), rounding.Percent(float64(alike) * shares[i]),
		})
	}
	return t
}

// doubts is every warning as a sentence, but for those that were the first thing
// to do. Lines whose uncertainty is too large for them are named together, and
// not where they are outside all the same.
func (v voice) doubts() []string {
	var out, large []string
	for _, w := range v.r.Warnings {
		switch {
		case first(w.Code):
		case w.Code == audit.UAboveTolerance:
			if !slices.ContainsFunc(v.r.Marks, func(m audit.Mark) bool { return m.Name == w.Mark && m.Verdict == uncertainty.Outside }) {
				large = append(large, clean(w.Mark))
			}
		default:
			out = append(out, dot(v.warning(w)))
		}
	}
	if len(large) > 0 {
		out = append([]string{strings.Join(large, ", ") + ": the uncertainty is larger than the tolerance, so this measurement cannot show the line to be within."}, out...)
	}
	return out
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[0])) + dot(string(r[1:]))
}

// dot ends a sentence with a full stop, unless it has one.
func dot(s string) string {
	if strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}
