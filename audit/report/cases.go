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
	"markaudit/geometry"
)

// What reports say of engines that are more than one pulley, one wheel and one
// stop.

// along says a direction in words of the engine, and of the window where the
// marks are seen through one.
func (v voice) along(a audit.Along) string {
	runs := "the engine runs"
	if v.r.Sheet.Part.HalfSpeed {
		runs = "this part runs"
	}
	words := "ahead, the way " + runs
	if a != audit.Running {
		words = "back, against the way " + strings.Replace(runs, "the engine", "it", 1)
	}
	if side := v.inWindow(a); side != "" {
		words += ", " + strings.ToUpper(side) + " in the window"
	}
	return words
}

// inWindow is the way that something goes as seen in a window.
func (v voice) inWindow(a audit.Along) string {
	moves := v.r.Sheet.Part.Moves
	if moves == "" || a == audit.Running {
		return moves
	}
	return map[string]string{"left": "right", "right": "left", "up": "down", "down": "up"}[moves]
}

// taken counts what TDC rests on: "3 setups, 15 pairs of stop contacts".
func (v voice) taken() string {
	var pairs, drops, sweeps int
	mountings := map[string]bool{} // only counted
	shared := 0
	for _, s := range v.r.TDC.Setups {
		switch s.Method {
		case sheet.EqualDrop:
			drops += len(s.Middles)
		case sheet.Sweep:
			sweeps++
		default:
			pairs += len(s.Middles)
		}
		if s.Mounting != "" {
			shared++
			mountings[s.Mounting] = true
		}
	}
	parts := []string{rounding.Count(len(v.r.TDC.Setups), "setup", "setups")}
	if shared > len(mountings) {
		parts[0] += " in " + rounding.Count(len(v.r.TDC.Setups)-shared+len(mountings), "mounting", "mountings")
	}
	if pairs > 0 || drops+sweeps == 0 {
		parts = append(parts, rounding.Count(pairs, "pair", "pairs")+" of stop contacts")
	}
	if drops > 0 {
		parts = append(parts, rounding.Count(drops, "pair", "pairs")+" at equal drop")
	}
	if sweeps > 0 {
		parts = append(parts, rounding.Count(sweeps, "sweep", "sweeps"))
	}
	return strings.Join(parts, ", ")
}

// morePairs says further trials in the words of the method that takes them.
func (v voice) morePairs(n int) string {
	if slices.ContainsFunc(v.r.TDC.Setups, func(s audit.SetupTDC) bool { return s.Method == sheet.Stop }) {
		return rounding.Count(n, "more pair of stop contacts", "more pairs of stop contacts")
	}
	return rounding.Count(n, "more pair of readings at equal drop", "more pairs of readings at equal drop")
}

// allowed is how far a line may be off: "±1°", or "±0.3 mm" of piston travel.
func allowed(m sheet.Mark) string {
	if m.DropLimit > 0 {
		return "±" + rounding.Plain(m.DropLimit.Millimetres()) + " mm"
	}
	return "±" + rounding.Plain(rounding.Trimmed(m.Tolerance.Degrees())) + "°"
}

// dropAt follows where a line comes up, for a line given as a piston drop.
func dropAt(m audit.Mark) string {
	if m.DropAt == 0 {
		return ""
	}
	return " = " + rounding.Fixed(m.DropAt.Millimetres(), 2) + " mm"
}

// inDegrees says at which crank angle each line belongs that is not given as
// one from TDC on.
func (v voice) inDegrees() string {
	var parts []string
	for _, m := range v.r.Marks {
		if !strings.ContainsAny(m.AtText, "mp") && !strings.Contains(m.AtText, "BDC") {
			continue
		}
		text := m.AtText + " is " + m.At.Crank(2)
		if m.DropLimit > 0 {
			early, late := m.Allowed()
			text += fmt.Sprintf(", ±%s mm of it from %s early to %s late", rounding.Plain(m.DropLimit.Millimetres()), rounding.Degrees(early, 2), rounding.Degrees(late, 2))
		}
		if !slices.Contains(parts, text) {
			parts = append(parts, text)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "In degrees of the crank " + strings.Join(parts, "; ") + "."
}

// together is what all lines say, and what the parts that they are on say.
func (v voice) together() string {
	parts := v.parts()
	switch v.r.Slip {
	case audit.RingSlipped, audit.Apart:
		return parts
	}
	return strings.TrimSpace(v.shift() + " " + parts)
}

const witness = "paint a witness line: one thin straight stroke of paint across hub, rubber and ring; when it is broken, the ring has moved"

// parts tells a part that has moved against another from a bent pointer.
func (v voice) parts() string {
	r := v.r
	switch r.Slip {
	case audit.RingSlipped:
		d := v.differs(r.Between)
		return fmt.Sprintf("THE OUTER RING HAS SLIPPED on its rubber: %s. It is not re-marked: what has slipped once slips again, and a loose ring can come off. Fit a new pulley, prove its lines, and on it %s. Until then set the engine by a line on the hub, or find TDC with the stop.", d, witness)
	case audit.Apart:
		text := "One part has moved against another, or its pointer has: " + v.differs(r.Between) + "."
		for _, g := range r.Groups {
			if g.Finding == audit.Common && !g.Small {
				text += fmt.Sprintf(" All lines on the %s are off alike, by %s: look at that part and its pointer before any line on it.", clean(g.Name), offset(g.Common))
			}
		}
		return text
	case audit.Together:
		text := "The parts agree: " + v.differs(r.Between) + "."
		if r.Shift.Act && r.Shift.Finding == audit.Common {
			text += " So no part has moved against another; what moved is the engine pointer, or the whole, with its key."
		}
		return text
	case audit.Untold:
		if r.Moved || r.Differ {
			return ""
		}
		if r.Sheet.Part.BondedRing {
			return "Whether the outer ring has slipped on its rubber can't be told: only lines on one part were read, or too few readings. Read a line on the hub, such as the middle of the keyway, in the same setups; and " + witness + "."
		}
	}
	return ""
}

// differs lists how far the parts' lines are from each other.
func (v voice) differs(all []audit.Between) string {
	texts := make([]string, len(all))
	for i, b := range all {
		e := b.Difference
		n := rounding.Places(e.Expanded.Degrees())
		way := "later"
		if e.Value < 0 {
			way = "earlier"
		}
		texts[i] = fmt.Sprintf("lines on the %s come %s %s than those on the %s, ± %s",
			clean(b.To), rounding.Degrees(e.Value.Abs(), n), way, clean(b.From), rounding.TwoDigits(e.Expanded))
	}
	return strings.Join(texts, "; ")
}

// theyAre says how the lines of a part are off, to follow "they are".
func theyAre(g audit.Group) string {
	switch g.Finding {
	case audit.None:
		return "where they belong"
	case audit.Common:
		return "off alike"
	case audit.SingleMark:
		return "alike but for one, " + clean(g.StandsOut[0])
	case audit.Individual:
		if len(g.Lines) == 1 {
			return "off"
		}
		return "off each in its own way"
	}
	return "not repeated enough to tell"
}

// groups is one row a part.
func (v voice) groups() []document.Block {
	if len(v.r.Groups) < 2 {
		return nil
	}
	t := document.Table{Header: []string{"part", "lines", "off together by", "they are"}}
	for _, g := range v.r.Groups {
		together := "?"
		if g.Common != nil {
			together = offset(g.Common)
		}
		t.Rows = append(t.Rows, []string{clean(g.Name), strings.Join(cleanAll(g.Lines), ", "), together, theyAre(g)})
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "PART BY PART"}, t}
}

// betweenCylinders says how far the cylinders' TDCs lie apart; empty where that was
// not found.
func (v voice) betweenCylinders() string {
	var texts []string
	for _, b := range v.r.Banks {
		e := b.Angle
		value := rounding.SureDegrees(e.Value, e.Expanded)
		if !e.Known {
			value = rounding.Degrees(e.Value, rounding.Unsure) + " ± ?"
		}
		text := fmt.Sprintf("TDC of cylinder %s comes %s after that of cylinder %s, from %s that saw both. The sheet says %s°",
			clean(b.To), value, clean(b.From), rounding.Count(b.Mountings, "mounting", "mountings"), rounding.Plain(b.Declared.Degrees()))
		switch {
		case !e.Known:
			text += "; nothing was repeated that would show whether that agrees."
		case b.Differs:
			text += ", which differs. The lines of each cylinder were counted from its own TDC, so the sheet's angle was not used for them."
		default:
			text += ", which agrees."
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, " ")
}

// byMethod is a method as the report names it.
func byMethod(m sheet.Method) string {
	return [...]string{"the stop", "equal drops", "the sweep"}[m]
}

// methodsCompared compares the ways of finding TDC; empty where there is one.
func (v voice) methodsCompared() string {
	var texts []string
	for _, c := range v.r.Methods {
		e := c.Difference
		if !e.Known {
			texts = append(texts, fmt.Sprintf("By %s TDC is %s than by %s; nothing shows how sure that is, for what remounting adds is not known.", byMethod(c.Second), rounding.Later(e.Value, rounding.Unsure), byMethod(c.First)))
			continue
		}
		n := rounding.Places(e.Expanded.Degrees())
		where := "with the readout left alone"
		if !c.Together {
			where = "over the lines, the readout remounted in between"
		}
		verdict := "they agree"
		if c.Differ {
			verdict = "they do not agree"
		}
		texts = append(texts, fmt.Sprintf("By %s TDC is %s than by %s, ± %s, %s: %s.", byMethod(c.Second), rounding.Later(e.Value, n), byMethod(c.First), rounding.TwoDigits(e.Expanded), where, verdict))
	}
	return strings.Join(texts, " ")
}

// stopDepths says what two stop depths showed; empty where there was one.
func (v voice) stopDepths() string {
	r := v.r.Rock
	if r == nil {
		return ""
	}
	text := fmt.Sprintf("Setups %s put the stop at two clearly different depths. ", strings.Join(cleanAll(r.Setups), ", "))
	size, u := rounding.Fixed(math.Abs(r.Height.Millimetres()), 3), rounding.Fixed(r.U.Millimetres(), 3)
	switch {
	case !r.Seen:
		text += fmt.Sprintf("TDC does not depend on the depth by more than its doubt: contacts that differ in height by %s ± %s mm, so no piston rock is seen.", size, u)
	case r.Used:
		text += fmt.Sprintf("TDC depends on the depth, as piston rock of %s ± %s mm between the contacts makes it: more than limits.contact allows, so %s mm was used in its place.", size, u, rounding.Fixed(r.Limit.Millimetres(), 3))
	default:
		text += fmt.Sprintf("TDC depends on the depth, as piston rock of %s ± %s mm between the contacts makes it; limits.contact covers that.", size, u)
	}
	return text
}

// blockedArcs says what stops left in their place showed of the wheel, one text
// for each fitting of the stop.
func (v voice) blockedArcs() []string {
	var out []string
	for _, c := range v.r.Centrings {
		text := fmt.Sprintf("Setups %s were taken with the stop left alone (fitting %s), so it blocks one angle in all of them. ", strings.Join(cleanAll(c.Setups), ", "), clean(c.Fitting))
		read := fmt.Sprintf("The readout has it between values %s apart", rounding.Degrees(c.Range, 2))
		switch {
		case c.Varies:
			text += read + ", more than the contacts scatter. "
		default:
			text += read + ", no more than the contacts scatter. "
		}
		if len(v.r.Marks) > 0 { // else it is the answer, and said first
			text += v.offCentre(c)
		}
		out = append(out, text)
	}
	return out
}

// offCentre says how far off centre the wheel was seen to sit by one fitting of the
// stop, and how to slide it.
func (v voice) offCentre(c audit.Centring) string {
	if !c.Fitted {
		return "From four setups on, with the wheel turned on its shaft in steps round the circle, that tells how far it sits off centre."
	}
	size := rounding.SureDegrees(c.Amplitude, c.U)
	mm := ""
	if c.OffCentre > 0 {
		mm = v.Sure(c.OffCentre, c.OffU)
	}
	toward := rounding.Fixed(c.Toward.Degrees(), 0)
	opposite := rounding.Round(c.Toward+180, 0)
	if !c.Seen {
		if mm != "" {
			mm = ", " + mm + " at its centre"
		}
		return "No first harmonic is seen beyond its doubt: " + size + mm + "."
	}
	if mm == "" {
		return fmt.Sprintf("The wheel reads wrong by up to %s, as one does whose centre sits off the shaft towards its %s graduation. Add readout.diameter, and it is said in millimetres.", size, toward)
	}
	return fmt.Sprintf("The wheel reads wrong by up to %s: its centre sits %s off the shaft, towards its %s graduation. Slide it so that its %s graduation moves %s away from the shaft's centre. Higher harmonics, and an error that repeats every half turn, are not seen here.",
		size, mm, toward, opposite, v.Of(c.OffCentre))
}

// cleanAll is [clean] of several names.
func cleanAll(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = clean(n)
	}
	return out
}

// aboutSpacings says what measured distances are good for.
const aboutSpacings = "as the sheet states them; ± is of the difference. They know nothing of readout and stop: where they agree with the readings and not with where the lines belong, a line is off, whatever wheel and stop did."

// spacings holds measured distances against the readings.
func (v voice) spacings() []document.Block {
	if len(v.r.Spacings) == 0 {
		return nil
	}
	t := document.Table{Header: []string{"from", "to", "measured", "by the readings", "they", "where they belong"}, Right: []bool{false, false, true, true, false, true}}
	for _, s := range v.r.Spacings {
		show := func(x float64) string {
			if s.Teeth > 0 {
				return rounding.Fixed(x, 2) + " teeth"
			}
			return v.Of(geometry.Length(x))
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
				expected = v.Sure(geometry.Length(s.Expected), geometry.Length(s.U))
			}
		}
		t.Rows = append(t.Rows, []string{clean(s.From), clean(s.To), show(s.Measured), expected, verdict, show(s.Nominal)})
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "MEASURED DISTANCES", Text: aboutSpacings}, t}
}

// setupTable is the table of the setups where they differ in more than pairs of
// stop contacts.
func (v voice) setupTable() document.Table {
	n := v.stepDecimals() + 1
	setups := v.r.TDC.Setups
	has := func(of func(s audit.SetupTDC) bool) bool { return slices.ContainsFunc(setups, of) }
	mounting := has(func(s audit.SetupTDC) bool { return s.Mounting != "" })
	cylinder := has(func(s audit.SetupTDC) bool { return s.Cylinder != setups[0].Cylinder })
	by := has(func(s audit.SetupTDC) bool { return s.By != "" })
	var t document.Table
	column := func(used, right bool, header string, of func(s audit.SetupTDC) string) {
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
	column(true, false, "setup", func(s audit.SetupTDC) string { return clean(s.Name) })
	column(by, false, "by", func(s audit.SetupTDC) string { return clean(s.By) })
	column(mounting, false, "mounting", func(s audit.SetupTDC) string { return clean(s.Mounting) })
	column(cylinder, false, "cylinder", func(s audit.SetupTDC) string { return clean(s.Cylinder) })
	column(true, false, "taken", func(s audit.SetupTDC) string {
		switch s.Method {
		case sheet.EqualDrop:
			return rounding.Count(len(s.Middles), "drop pair", "drop pairs")
		case sheet.Sweep:
			return fmt.Sprintf("sweep, %d points", s.Points)
		}
		return rounding.Count(len(s.Middles), "pair", "pairs")
	})
	column(true, true, "TDC at", func(s audit.SetupTDC) string { return v.shows(s.Reading, n) })
	column(true, true, "half arc", func(s audit.SetupTDC) string { return rounding.Degrees(s.HalfArc, min(n, 2)) })
	column(true, true, "repeats to", func(s audit.SetupTDC) string {
		if s.Method == sheet.Sweep || len(s.Middles) > 1 {
			return rounding.Degrees(s.MiddleSD, min(n+1, 3))
		}
		return "-"
	})
	return t
}

// plainSetups reports whether every setup is one mounting with a stop in the same
// cylinder.
func (v voice) plainSetups() bool {
	return !slices.ContainsFunc(v.r.TDC.Setups, func(s audit.SetupTDC) bool {
		return s.Method != sheet.Stop || s.Mounting != "" || s.Cylinder != v.r.TDC.Setups[0].Cylinder
	})
}

// onRim is a reading of the rim in the unit that it was measured in.
func (v voice) onRim(a geometry.Angle) string {
	part := v.r.Sheet.Part
	rim := geometry.Rim{Diameter: part.Diameter}
	turned := a
	if part.HalfSpeed {
		turned /= 2
	}
	if v.r.Sheet.Readout.Chord {
		return v.Of(rim.Chord(turned))
	}
	return v.Of(rim.Arc(turned))
}

// stepDecimals is the number of decimals of an angle read in the readout's steps.
func (v voice) stepDecimals() int {
	if v.r.Sheet.Readout.Kind == sheet.Rim { // its step in degrees has no end of them
		return 1
	}
	return rounding.StepPlaces(v.r.Sheet.Readout.Step)
}

// step is the smallest step of the readout as it was written.
func (v voice) step() string {
	if v.r.Sheet.Readout.Kind == sheet.Rim {
		return rounding.Plain(rounding.Trimmed(v.r.Sheet.Readout.StepLength.Millimetres())) + " mm"
	}
	return rounding.Plain(v.r.Sheet.Readout.Step.Degrees()) + "°"
}

// counts says how the readout counts.
func (v voice) counts() string {
	r := v.r.Sheet.Readout
	way := "up"
	if r.Counts == geometry.CountsDown {
		way = "down"
	}
	switch {
	case r.BothWays:
		return fmt.Sprintf("%s is numbered both ways from zero; every reading carries its letters, in steps of %s.", v.readout(), v.step())
	case r.Kind == sheet.Rim:
		how := "along a tape"
		if r.Chord {
			how = "straight across"
		}
		return fmt.Sprintf("%s was measured %s from the chalk line; the lengths count %s as it runs, in steps of %s.", v.readout(), how, way, v.step())
	}
	return fmt.Sprintf("%s counts %s as it runs, in steps of %s.", v.readout(), way, v.step())
}

// corrected says what the readout's correction did.
func (v voice) corrected() string {
	c := v.r.Sheet.Readout.Correction
	if c == nil {
		return ""
	}
	orders := "all its orders"
	if v.r.Sheet.Readout.OffCentre > 0 {
		orders = "from its second order on, for readout.off_centre stands for the first"
	}
	text := fmt.Sprintf("The correction of %s (%s", clean(c.Name), rounding.Count(c.Stations, "station", "stations"))
	if c.Date != "" {
		text += ", " + clean(c.Date)
	}
	text += ") was taken off every reading, " + orders + "."
	var parts []string
	for _, m := range v.r.Marks {
		if m.Offset != nil {
			parts = append(parts, fmt.Sprintf("%s %s", clean(m.Name), rounding.Later(m.Corrected, 3)))
		}
	}
	if len(parts) > 0 {
		text += " By that the lines come up: " + strings.Join(parts, ", ") + "."
	}
	return text
}

// approaches says which way the piston went where no stop was used.
func (v voice) approaches() string {
	var one, open bool
	for _, s := range v.r.Sheet.Setups {
		for _, d := range s.Drops {
			one, open = one || d.Taken == sheet.OneWay, open || d.Taken == sheet.Unknown
		}
		if s.Sweep != nil {
			one, open = one || s.Sweep.Taken == sheet.OneWay, open || s.Sweep.Taken == sheet.Unknown
		}
	}
	var b strings.Builder
	if one {
		b.WriteString("Heights were taken turning forward only: lost motion is in TDC by half of it, and cancels against lines read forward; bearing slack does not cancel.")
	}
	if open {
		b.WriteString(strings.Repeat(" ", min(1, b.Len())) + "The sheet does not say how the heights were approached, so nothing was corrected for that and lost motion and slack count in full.")
	}
	return b.String()
}

// caseWarning says the doubts that only these engines raise; empty for others.
func (v voice) caseWarning(w audit.Warning, in, name string, names []string) string {
	deg := func(i int) string { return rounding.Degrees(geometry.Angle(math.Abs(w.Values[i])), rounding.Unsure) }
	mm := func(i, n int) string { return rounding.Fixed(math.Abs(w.Values[i]), n) + " mm" }
	switch w.Code {
	case audit.ArcsDiffer:
		return "fitting " + names[0] + ": the stop was left alone, but the arc that it blocks reads differently from setup to setup, by " + deg(0) + ": the wheel sits off centre or is unevenly graduated, unless the stop moved after all"
	case audit.OffCentreExceeded:
		return "fitting " + names[0] + ": the wheel reads wrong by up to " + deg(0) + " as it sits, more than readout.off_centre allows, " + deg(1) + ": state more, or centre the wheel"
	case audit.CorrectionUndated:
		return "the readout's correction or this measurement has no date, so nobody can see how old the correction is; date both"
	case audit.CorrectionOld:
		return "the readout's correction is " + rounding.Fixed(math.Abs(w.Values[0]), 0) + " days away from this measurement, more than a year: check the readout again"
	case audit.DropMismatch:
		return in + "a drop of " + mm(0, 2) + " was stated, but its half arc belongs to one of " + mm(1, 2) + ": check stroke, rod, the indicator's zero at the very top and probe_angle"
	case audit.DropsTrend:
		return in + "the middle follows the half arc, by " + deg(0) + " from the smallest drop to the largest: the indicator is tilted, or stroke, rod or an offset is wrong; what is left of that at the line is not in the ±"
	case audit.DropsDisagree:
		return in + "the drops put TDC " + deg(0) + " apart, more than they scatter: something moved between them; take them again"
	case audit.SweepNoTop:
		return in + "the points do not go over a top, so its marks are not used; take points well before TDC and well after it"
	case audit.SweepOneSided:
		return fmt.Sprintf("%s%s points before TDC and %s after it: such a sweep leans on one side, where a wrong stroke or rod moves TDC; take as many on either side", in, rounding.Fixed(w.Values[0], 0), rounding.Fixed(w.Values[1], 0))
	case audit.LimbsDiffer:
		return in + "the rising and the falling side lie " + mm(0, 3) + " apart in height beyond what the crank explains: slack was taken up at the top, or the indicator hung; take both sides with the piston rising"
	case audit.SweepMisfit:
		return fmt.Sprintf("%sthe sweep's curve is %s %% off the shape of this crank: check stroke and rod, and that the indicator stands along the cylinder", in, rounding.Fixed(math.Abs(w.Values[0]), 1))
	case audit.SlackMissing:
		return gaps[w.Code]
	case audit.ApproachUnsaid:
		return in + "how its heights were approached is not stated, so lost motion and bearing slack count in full; give approach: rising or forward"
	case audit.RockSeen:
		return "the deep stop puts TDC " + deg(0) + " from where the shallow one has it: piston rock of " + mm(1, 3) + " ± " + mm(2, 3) + " between the contacts"
	case audit.BankDiffers:
		return "cylinder " + names[1] + " comes " + deg(0) + " after cylinder " + names[0] + ", the sheet says " + deg(1) + ": correct engine.cylinders, or ask which cylinder the stop sat in"
	case audit.BankNotFound:
		return name + ": TDC of cylinder " + names[0] + " was not found in the same mounting, so the sheet's " + rounding.Fixed(w.Values[0], rounding.Unsure) + "° from cylinder " + names[1] + " is believed; fit the stop there too to prove it"
	case audit.MethodsDiffer:
		return "by " + methodNamed(names[1]) + " TDC is " + rounding.Later(geometry.Angle(w.Values[0]), rounding.Unsure) + " than by " + methodNamed(names[0]) + ", beyond the doubt of both (± " + deg(1) + "): one of them errs; look at the doubts of each before you trust the mean"
	case audit.SpacingDiffers:
		unit := " mm"
		for _, s := range v.r.Spacings {
			if s.From == w.Names[0] && s.To == w.Names[1] && s.Teeth > 0 {
				unit = " teeth"
			}
		}
		return fmt.Sprintf("from %s to %s the sheet has %s%s, the readings %s, ± %s: measure both again; a wrong reading, a wrong name or a wrong diameter does this", names[0], names[1],
			rounding.Fixed(w.Values[0], 2), unit, rounding.Fixed(w.Values[1], 2), rounding.Fixed(w.Values[2], 2))
	}
	return ""
}

// methodNamed is a method by its key, as the report names it.
func methodNamed(name string) string {
	for _, m := range []sheet.Method{sheet.Stop, sheet.EqualDrop, sheet.Sweep} {
		if m.String() == name {
			return byMethod(m)
		}
	}
	return name
}
