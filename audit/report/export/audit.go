package export

import (
	"io"
	"slices"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/lines"
	"markaudit/audit/report/document"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
)

// Audit writes one result as one object and a newline: degrees and millimetres
// in full precision, whatever units the sheet used.
func Audit(w io.Writer, r audit.Result, next []advise.Next, o document.Options) error {
	return indented(w, auditJSON(r, next, o))
}

func auditJSON(r audit.Result, next []advise.Next, o document.Options) jsonResult {
	v := words.NewAudit(r, next)
	out := jsonResult{
		Format: 1, Software: o.Software, Commit: textOrNull(o.Commit), Digest: r.Sheet.Digest, Sheet: o.Path, Title: r.Sheet.Title,
		Confidence: r.Sheet.Limits.Confidence, Marks: []jsonMark{}, Distances: []jsonDistance{}, Warnings: []jsonWarning{},
		TDC: tdcJSON(v), CommonShift: shiftJSON(v), jsonCases: casesJSON(v), Diagnosis: diagnosisJSON(v), jsonPaperwork: paperworkJSON(v), Readings: enteredJSON(r.Sheet), Stated: statedJSON(r.Sheet), SheetAsRead: r.Sheet,
		JobRecord: auditRecordJSON(jobsheet.Record(v, o)),
	}
	marks := r.ByLine()
	for i, m := range marks {
		mark := markJSON(v, m, next[i])
		mark.jsonMarkCase = markCaseJSON(v, marks, m)
		out.Marks = append(out.Marks, mark)
	}
	for _, d := range r.Advice.Pairs(r.Sheet, r.TDC, r.Lines) {
		out.Distances = append(out.Distances, jsonDistance{
			d.From, d.To, d.Now.Millimetres(), d.After.Millimetres(), when(d.U > 0, d.U.Millimetres()),
			when(d.NowRound > 0, d.NowRound.Millimetres()), when(d.NowRound > 0, d.AfterRound.Millimetres()), when(d.RoundU > 0, d.RoundU.Millimetres()),
			d.Checks, d.Along.Millimetres(), when(d.AlongU > 0, d.AlongU.Millimetres()),
		})
	}
	for _, w := range r.Warnings {
		out.Warnings = append(out.Warnings, jsonWarning{string(w.Code), words.Warning(v, w), textOrNull(w.Setup), textOrNull(w.Mark)})
	}
	return out
}

func tdcJSON(v words.Audit) *jsonTDC {
	r, t := v.Result, v.Result.TDC
	if !t.Any() {
		return nil
	}
	_, hasCrank := r.Sheet.Engine.Crank()
	repeats, onDial := t.DOF > 0, r.Sheet.Readout.Kind == sheet.Dial
	out := &jsonTDC{
		Method: methodJSON(t), Trials: t.Trials, Setups: len(t.Setups),
		Repeatability: when(repeats && !onDial, t.Scatter.Degrees()), DOF: when(repeats, t.DOF),
		Standard: when(repeats && !onDial, t.Standard.Degrees()), ThrowToTDC: when(hasCrank, t.ThrowToTDC.Degrees()), BySetup: []jsonSetup{},
	}
	for _, s := range t.Setups {
		setup := jsonSetup{
			Setup: s.Name, By: s.By, Method: methodOf(s), Reading: when(s.Height == nil, s.Reading.Degrees()), HalfArc: when(s.Height == nil, s.HalfArc.Degrees()),
			HalfArcSD: when(len(s.HalfArcs) > 1, s.HalfArcSD.Degrees()), Correction: (s.Correction - s.Slack).Degrees(), Trials: len(s.Middles),
		}
		if !words.PlainSetups(v) {
			setup.jsonSetupCase = setupCaseJSON(s)
		}
		if s.Closing != nil {
			setup.Closing = known(s.Closing.Degrees())
		}
		out.BySetup = append(out.BySetup, setup)
	}
	return out
}

func methodJSON(t tdc.Found) string {
	first := t.Setups[0].Method
	if first == sheet.AtTop {
		return sheet.Dial.String()
	}
	if slices.ContainsFunc(t.Setups, func(s tdc.Setup) bool { return s.Method != first }) {
		return "mixed"
	}
	return first.String()
}

// methodOf is the way in which a setup found TDC; a dial's is the dial.
func methodOf(s tdc.Setup) string {
	if s.Method == sheet.AtTop {
		return sheet.Dial.String()
	}
	return s.Method.String()
}

func setupCaseJSON(s tdc.Setup) jsonSetupCase {
	out := jsonSetupCase{
		Mounting: maybe(true, textOrNull(s.Mounting)), Cylinder: maybe(true, textOrNull(s.Cylinder)),
		Points: maybe[int](true, nil), Fit: maybe[float64](true, nil),
	}
	if s.Method == sheet.Sweep {
		out.Points.value, out.Fit.value = &s.Points, known(s.MiddleSD.Degrees())
	}
	out.Slack = some(s.Slack != 0, s.Slack.Degrees())
	if h := s.Height; h != nil {
		out.Top, out.TopSD = some(true, h.Shown.Millimetres()), maybe(true, when(h.N > 1, h.SD.Millimetres()))
		out.TopMoved = optional[float64]{used: true}
		if h.Closing != nil {
			out.TopMoved.value = known(h.Closing.Millimetres())
		}
	}
	return out
}

func markJSON(v words.Audit, m audit.LineResult, next advise.Next) jsonMark {
	out := jsonMark{
		Name: m.Name, Nominal: m.At.Degrees(), NominalText: m.AtText, Tolerance: m.Tolerance.Degrees(),
		Verdict: m.Verdict.String(), Covers: m.Covers.String(), NotIncluded: words.NotIncluded(v, m), Budget: []jsonRow{},
		Scribe: scribeJSON(v, m.Scribe, m.Offset), ToDecide: textOrNull(words.ToDecide(v, m, next)),
	}
	if m.Scribe.Worthwhile {
		out.Scribe.Text = textOrNull(v.Scribe(m))
	}
	if next.Way == advise.MoreReadings || next.Way == advise.MoreSetups {
		out.Next = &jsonNext{Trials: next.Trials, Readings: next.Readings, Setups: next.Setups, Chance: next.Chance}
		if f := next.First; f != (advise.First{}) {
			out.Next.First = &jsonFirst{f.Trials, f.Readings, f.Chance}
		}
	}
	e := m.Offset
	if e == nil {
		return out
	}
	d := e.Value.Degrees()
	out.Offset, out.ComesUpAt = known(d), known(m.ComesUpAt.Degrees())
	part := v.Result.Sheet.Part
	if part.Diameter > 0 {
		out.Arc, out.Chord = known(m.OnRim.Arc.Millimetres()), known(m.OnRim.Chord.Millimetres())
		out.ArcExpanded = when(e.Known, m.OnRim.ArcU.Millimetres())
	}
	if part.Teeth > 0 {
		out.Teeth = known(m.OnRim.Teeth)
	}
	if e.Known {
		u := e.Expanded.Degrees()
		out.Standard, out.DOF, out.Expanded = known(e.Standard.Degrees()), known(float64(e.DOF)), known(u)
		out.Interval, out.Conformity = &[2]float64{d - u, d + u}, known(m.Conformity.Within)
		if m.ByDial != nil {
			out.Interval = &[2]float64{m.ByDial.Low.Degrees(), m.ByDial.High.Degrees()}
		}
		out.Early, out.Late = known(m.Conformity.Early), known(m.Conformity.Late)
		if risk, ok := m.Risk(); ok {
			out.Risk = known(risk)
		}
	}
	shares := e.Budget.Shares()
	for i, row := range e.Budget {
		out.Budget = append(out.Budget, rowJSON(row, shares[i]))
	}
	return out
}

// markCaseJSON holds what a line has where any of the lines has it.
func markCaseJSON(v words.Audit, all []audit.LineResult, m audit.LineResult) jsonMarkCase {
	any := func(of func(m audit.LineResult) bool) bool { return slices.ContainsFunc(all, of) }
	drops := any(func(m audit.LineResult) bool { return m.Drop > 0 })
	limits := any(func(m audit.LineResult) bool { return m.DropLimit > 0 })
	early, late := m.Allowed()
	onDial := v.Result.Sheet.Readout.Kind == sheet.Dial
	dropped := onDial && m.ByDial != nil
	var by lines.Drop
	if dropped {
		by = *m.ByDial
	}
	return jsonMarkCase{
		On:            maybe(any(func(m audit.LineResult) bool { return m.On != "" }), textOrNull(m.On)),
		Cylinder:      maybe(len(v.Result.Sheet.Engine.Cylinders) > 0, textOrNull(m.Mark.Cylinder)),
		NominalDrop:   maybe(drops, when(m.Drop > 0, m.Drop.Millimetres())),
		Drop:          maybe(drops || onDial, when(m.DropAt > 0, m.DropAt.Millimetres())),
		DropExpanded:  maybe(onDial, when(dropped && m.Offset.Known, by.U.Millimetres())),
		DropNominal:   maybe(onDial, when(dropped, by.Belongs.Millimetres())),
		SideTold:      maybe(onDial, told(dropped && m.Offset.Known, by.SideTold)),
		DropTolerance: maybe(limits, when(m.DropLimit > 0, m.DropLimit.Millimetres())),
		Early:         maybe(limits, known(early.Degrees())),
		Late:          maybe(limits, known(late.Degrees())),
		Corrected:     maybe(v.Result.Sheet.Readout.Correction != nil, when(m.Offset != nil, m.Corrected.Degrees())),
	}
}

func rowJSON(row uncertainty.Row, share float64) jsonRow {
	out := jsonRow{
		Source: row.Source.String(), SourceKey: row.Source.Key(), Evaluation: row.Evaluation(), Distribution: row.Shape.String(),
		DOF: known(float64(row.DOF)), Sensitivity: row.Sensitivity, Standard: row.Standard().Degrees(), Share: share, Shared: row.Source.Shared(),
	}
	switch row.Shape {
	case uncertainty.Rectangular, uncertainty.Triangular, uncertainty.Arcsine:
		out.HalfWidth = known(row.Scale.Degrees())
	}
	if row.N > 0 {
		out.N = &row.N
	}
	return out
}

func scribeJSON(v words.Audit, s advise.Scribe, e *uncertainty.Estimate) jsonScribe {
	out := jsonScribe{
		Direction: directionOf(s), Along: s.Along.String(), Move: s.Move.String(),
		Worthwhile: s.Worthwhile, Withheld: textOrNull(words.Withheld(v, s.Withheld)),
		Window: optional[string]{used: v.Result.Sheet.Part.Moves != ""},
	}
	if s.Along == advise.NoWay {
		return out
	}
	out.Check, out.Window.value = textOrNull(v.Check()), textOrNull(v.InWindow(s.Along))
	out.Towards = textOrNull(s.Towards)
	if s.HasLengths {
		out.Arc, out.Chord = known(s.Arc.Millimetres()), known(s.Chord.Millimetres())
		out.Then = when(e.Known, s.Then(v.Result.Sheet).Degrees())
	}
	return out
}

func shiftJSON(v words.Audit) jsonShift {
	s := v.Result.Together
	out := jsonShift{
		Homogeneity: s.Homogeneity, Finding: s.Finding.String(), StandsOut: []string{},
		Scribe: scribeJSON(v, v.Result.Advice.Together, s.Common), Text: words.TogetherInFull(v),
	}
	out.StandsOut = append(out.StandsOut, s.StandsOut...)
	if v.Result.Advice.Together.Worthwhile {
		out.Scribe.Text = textOrNull(v.MoveOne())
	}
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine && v.Result.Advice.Together.Along == advise.NoWay {
		out.Scribe.Move = advise.MoveLine.String()
	} else if v.Result.Advice.Together.Along == advise.NoWay {
		out.Scribe.Move = advise.MovePointer.String()
	}
	if s.Common != nil {
		out.Offset, out.Expanded = known(s.Common.Value.Degrees()), known(s.Common.Expanded.Degrees())
	}
	return out
}

func casesJSON(v words.Audit) jsonCases {
	r := v.Result
	grouped := r.Slip() != audit.NoGroups
	groups, between := []jsonGroup{}, []jsonBetween{}
	for _, g := range r.Together.Groups {
		out := jsonGroup{Name: g.Name, Marks: g.Lines, Finding: g.Finding.String(), StandsOut: append([]string{}, g.StandsOut...)}
		if g.Common != nil {
			out.Offset, out.Expanded = known(g.Common.Value.Degrees()), known(g.Common.Expanded.Degrees())
		}
		groups = append(groups, out)
	}
	for _, b := range r.Together.Between {
		between = append(between, jsonBetween{b.From, b.To, b.Difference.Value.Degrees(), b.Difference.Expanded.Degrees(), b.Differ})
	}
	cylinders := []jsonCylinder{}
	for _, b := range r.Checks.Cylinders {
		e := b.Angle
		cylinders = append(cylinders, jsonCylinder{
			From: b.From, To: b.To, Declared: b.Declared.Degrees(), Angle: e.Value.Degrees(), Mountings: b.Mountings,
			Standard: when(e.Known, e.Standard.Degrees()), Expanded: when(e.Known, e.Expanded.Degrees()), Differs: told(e.Known, b.Differs),
		})
	}
	methods := []jsonMethod{}
	for _, c := range r.Checks.Ways {
		e := c.Difference
		methods = append(methods, jsonMethod{
			First: c.First.String(), Second: c.Second.String(), Later: e.Value.Degrees(), SameMounting: c.Together,
			Expanded: when(e.Known, e.Expanded.Degrees()), Differ: told(e.Known, c.Differ),
		})
	}
	spacings := []jsonSpacing{}
	for _, s := range r.Checks.Spacings {
		unit := "mm"
		if s.Teeth > 0 {
			unit = "teeth"
		}
		spacings = append(spacings, jsonSpacing{
			From: s.From, To: s.To, Unit: unit, Measured: s.Measured, Expected: s.Expected,
			Expanded: when(s.U > 0, s.U), Nominal: s.Nominal, Differs: told(s.U > 0, s.Differs),
		})
	}
	out := jsonCases{
		Groups: some(grouped, groups), Between: some(grouped, between), Slip: some(grouped, r.Slip().String()),
		Cylinders: some(len(r.Sheet.Engine.Cylinders) > 0, cylinders), Methods: some(len(methods) > 0, methods),
		Spacings: some(len(r.Sheet.Part.Spacings) > 0, spacings), History: pastUseJSON(r),
	}
	if len(r.Checks.Arcs) > 0 {
		all := []jsonCentring{}
		for _, c := range r.Checks.Arcs {
			all = append(all, jsonCentring{
				Fitting: c.Fitting, Setups: c.Setups, Range: c.Range.Degrees(), Varies: c.Varies, Seen: c.Seen,
				Amplitude: when(c.Fitted, c.Amplitude.Degrees()), Expanded: when(c.Fitted, c.U.Degrees()), Toward: when(c.Fitted, c.Toward.Degrees()),
				OffCentre: when(c.Fitted && c.OffCentre > 0, c.OffCentre.Millimetres()), OffU: when(c.Fitted && c.OffCentre > 0, c.OffU.Millimetres()),
			})
		}
		out.Centring = some(true, all)
	}
	if k := r.TDC.Rock; k != nil {
		out.Rock = some(true, jsonRock{k.Height.Millimetres(), k.U.Millimetres(), k.Shift.Degrees(), k.Seen, k.Used, k.Setups})
	}
	return out
}
