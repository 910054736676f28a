package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// Circumstances says which way things turn and what was corrected.
func Circumstances(v Audit) string {
	s, tdc := v.Result.Sheet, v.Result.TDC
	var b strings.Builder
	say := func(format string, args ...any) {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, format, args...)
	}
	if s.Part.HalfSpeed {
		say("The part runs %s, %s, once in two turns of the crank. Angles are the crank's. Lengths along the rim and teeth are half of what a part on the crank would have.", s.Engine.Turns, v.viewpoint())
	} else {
		say("The engine runs %s, %s.", s.Engine.Turns, v.viewpoint())
	}
	if s.Part.Moves != "" {
		say("In the window it is seen moving %s.", s.Part.Moves)
	}
	if s.Part.MarksOn == sheet.OnEngine {
		say("The scale is fixed to the engine, and one line turns.")
	} else {
		say("The lines turn, and the pointer is fixed to the engine.")
	}
	say("%s", v.counts())
	if text := v.inDegrees(); text != "" {
		say("%s", text)
	}
	if pin := s.Engine.PinOffset; pin.Value != 0 || pin.Limit.Half != 0 {
		say("Piston pin %s.", asEntered(v.Result.Sheet.Said("engine.pin_offset"), pin.PinText()))
	}
	if bore := s.Engine.BoreOffset; bore.Value != 0 || bore.Limit.Half != 0 {
		say("Bore %s.", asEntered(v.Result.Sheet.Said("engine.bore_offset"), bore.BoreText()))
	}
	if tdc.Any() {
		if c := tdc.Setups[0].Correction - tdc.Setups[0].Slack; c != 0 {
			say("By that the middle of the contacts lies %s the piston's top. It is corrected.", rounding.Beside(c))
		}
		if s.Engine.RefersToThrow && tdc.ThrowToTDC != 0 {
			say("The lines count from the throw's top. The piston's top comes %s it.", rounding.Beside(tdc.ThrowToTDC))
		} else if s.Engine.RefersToThrow {
			say("The lines count from the throw's top.")
		}
	}
	if v.onDial() {
		for _, text := range dialCircumstances(v) {
			say("%s", text)
		}
	} else if s.Readout.HasLostMotion {
		say("Lost motion of %s° in all: lines read from one side are corrected by half of it.", rounding.Plain(s.Readout.LostMotion.Degrees()))
	}
	if text := v.corrected(); text != "" {
		say("%s", text)
	}
	if text := heightApproaches(v); text != "" {
		say("%s", text)
	}
	if text := aboutHistory(v); text != "" {
		say("%s", text)
	}
	if text := lentScatter(v); text != "" {
		say("%s", text)
	}
	if tdc.Any() {
		pairs, furthest := 0, geometry.Angle(0)
		for _, setup := range tdc.Setups {
			if setup.Closing != nil {
				pairs++
				furthest = max(furthest, setup.Closing.Abs())
			}
		}
		if pairs > 0 {
			say("After the lines, %s put TDC at most %s from where the contacts had it.", rounding.Count(pairs, "closing pair", "closing pairs"), rounding.Degrees(furthest, rounding.Unsure))
		}
	}
	for _, setup := range s.Setups {
		if about := strings.Trim(Clean(setup.Date)+": "+Clean(setup.Note), ": "); about != "" {
			say("Setup %s, %s.", Clean(setup.Name), about)
		}
		for _, line := range struckReadings(v, setup) {
			say("%s", line)
		}
	}
	return b.String()
}

// takenForTDC counts what TDC rests on: "3 setups, 15 pairs of stop contacts".
func takenForTDC(v Audit) string {
	var pairs, drops, sweeps int
	mountings := map[string]bool{} // only counted
	shared := 0
	for _, s := range v.Result.TDC.Setups {
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
	parts := []string{rounding.Count(len(v.Result.TDC.Setups), "setup", "setups")}
	if v.onDial() {
		return parts[0] + ", " + topsRead(v)
	}
	if shared > len(mountings) {
		parts[0] += " in " + rounding.Count(len(v.Result.TDC.Setups)-shared+len(mountings), "mounting", "mountings")
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

// struckReadings shows every struck reading of a setup with its reason.
func struckReadings(v Audit, setup sheet.Setup) []string {
	var out []string
	say := func(what string, r *sheet.Reading) {
		if r != nil && r.Struck {
			out = append(out, fmt.Sprintf("Struck in setup %s: %s %s, %s.", Clean(setup.Name), what, Entered(r), Clean(r.Reason)))
		}
	}
	for i, t := range setup.Trials {
		say(fmt.Sprintf("forward contact %d,", i+1), t.Forward)
		say(fmt.Sprintf("backward contact %d,", i+1), t.Backward)
	}
	for _, d := range setup.Drops {
		for i, t := range d.Trials() {
			say(fmt.Sprintf("drop of %s, before %d,", EnteredDrop(d), i+1), t.Forward)
			say(fmt.Sprintf("drop of %s, after %d,", EnteredDrop(d), i+1), t.Backward)
		}
	}
	if setup.Sweep != nil {
		for i := range setup.Sweep.Points {
			say(fmt.Sprintf("point %d of the sweep,", i+1), &setup.Sweep.Points[i].Reading)
		}
	}
	for i := range setup.Top {
		say(fmt.Sprintf("reading %d of the top,", i+1), &setup.Top[i])
	}
	say("closing reading of the top,", setup.ClosingTop)
	if c := setup.Closing; c != nil {
		say("closing contact, forward,", c.Forward)
		say("closing contact, backward,", c.Backward)
	}
	for _, m := range v.Result.ByLine() {
		for i := range setup.Marks[m.Name] {
			say(Quoted(m.Name)+",", &setup.Marks[m.Name][i])
		}
	}
	return out
}

// PlainSetups reports whether every setup is one mounting with a stop in the same
// cylinder.
func PlainSetups(v Audit) bool {
	return !slices.ContainsFunc(v.Result.TDC.Setups, func(s tdc.Setup) bool {
		return s.Method != sheet.Stop || s.Mounting != "" || s.Cylinder != v.Result.TDC.Setups[0].Cylinder
	})
}

// heightApproaches says which way the piston went where no stop was used.
func heightApproaches(v Audit) string {
	var one, open bool
	for _, s := range v.Result.Sheet.Setups {
		for _, d := range s.Drops {
			one, open = one || d.Taken == sheet.OneWay, open || d.Taken == sheet.Unknown
		}
		if s.Sweep != nil {
			one, open = one || s.Sweep.Taken == sheet.OneWay, open || s.Sweep.Taken == sheet.Unknown
		}
	}
	var b strings.Builder
	if one {
		b.WriteString("Heights were taken turning forward only. Lost motion is in TDC by half of it, and cancels against lines read forward. Bearing slack does not cancel.")
		if v.Result.Sheet.Limits.Slack.Half > 0 {
			b.WriteString(" Slack makes TDC early, by up to its limit. Half of that is corrected, half is in the ±.")
		}
	}
	if open {
		b.WriteString(strings.Repeat(" ", min(1, b.Len())) + "The sheet does not say how the heights were approached. Nothing was corrected for it, and lost motion and slack count in full.")
	}
	return b.String()
}

// byMethod is a method as the report names it.
func byMethod(m sheet.Method) string {
	return [...]string{"the stop", "equal drops", "the sweep"}[m]
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

// Method says in a few sentences how offsets and intervals come about. The
// formulas stand in docs/method.md with their sources.
func Method(v Audit) string {
	var b strings.Builder
	if v.onDial() {
		b.WriteString(methodOfDial)
		fmt.Fprintf(&b, "Every source of uncertainty is a row of a budget with its own distribution (JCGM 100:2008). The interval holds %s of the distribution of their sum. ", v.Confidence())
		b.WriteString(v.DecisionRule())
		return b.String()
	}
	b.WriteString("Top dead centre is half way between two readings at which the piston stands equally high, one on either side of it. With a sweep it is the top of a fitted slider-crank curve. ")
	b.WriteString("A line's offset is the crank angle at which it comes up, counted from there, less the angle at which it belongs. ")
	fmt.Fprintf(&b, "Every source of uncertainty is a row of a budget with its own distribution (JCGM 100:2008). The interval holds %s of the distribution of their sum. ", v.Confidence())
	b.WriteString(v.DecisionRule())
	return b.String()
}

// byIndicator is how TDC was found where no setup used a stop: by equal drops or by a
// sweep of an indicator. Nothing may then tell anybody to fit a stop: the valves may
// meet it, or the engine may not be turned backward onto it.
func byIndicator(v Audit) (way string, without bool) {
	var ways []sheet.Method
	for _, s := range v.Result.TDC.Setups {
		ways = append(ways, s.Method)
	}
	if len(ways) == 0 { // none found TDC, though that was tried
		for _, s := range v.Result.Sheet.Setups {
			ways = append(ways, s.Method)
		}
	}
	switch {
	case len(ways) == 0 || v.onDial() || slices.Contains(ways, sheet.Stop):
		return "", false
	case ways[len(ways)-1] == sheet.Sweep:
		return "sweep", true
	}
	return "equal drops", true
}

// pairOfTDC is a pair that finds it, and pairsOfTDC several, in the words of the method.
func pairOfTDC(v Audit) string {
	if _, without := byIndicator(v); without {
		return "pair of readings at equal drop"
	}
	return "pair of stop contacts"
}

func pairsOfTDC(v Audit) string {
	return strings.Replace(pairOfTDC(v), "pair", "pairs", 1)
}

// observeIndicator says what to measure where an indicator finds TDC; empty where the
// words for a stop do as well.
func observeIndicator(v Audit, o diagnosis.Observation) string {
	way, without := byIndicator(v)
	if !without {
		return ""
	}
	anew := "readout off and on again, the " + way + ", the lines, and the " + way + " once more."
	switch {
	case o.Kind == diagnosis.ClosingPair:
		n := v.StepDecimals() + 1
		text := "Take the " + way + " once more, the readout left as it is: a further setup of the same mounting. TDC must come at " + mustShowAgain(v, o, n)
		if o.Instead != o.Expect {
			text += ". " + v.Shows(o.Instead, n) + " would mean that the readout moved"
		}
		return text + ". If the readout was taken off or touched since, take a second setup instead: " + anew
	case o.Kind == diagnosis.SecondSetup:
		return "Take another setup: " + anew
	case o.Kind == diagnosis.ReadAgain && o.On == "" && len(o.Lines) == 0:
		of := max(o.Mounting, 0)
		if of < len(v.Result.TDC.Mountings)-1 { // the readout has been off since
			return "Take another setup in place of " + mountingName(v, of) + ": " + anew
		}
		return "Take the " + way + " of " + mountingName(v, of) + " again, without touching the readout. If it has been off since, take another setup instead."
	case o.Kind == diagnosis.OtherBankContacts:
		return "Find TDC of cylinder " + Clean(o.Cylinder) + " too, by " + oneOf(way) + ", the readout untouched."
	}
	return ""
}

// oneOf is a way with the word that stands before it in a sentence.
func oneOf(way string) string {
	if way == "sweep" {
		return "a sweep"
	}
	return way
}
