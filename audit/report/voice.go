package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// voice says one result in sentences. The same sentence serves the terminal,
// the Markdown page and the JSON record.
type voice struct {
	r    audit.Result
	next []audit.Next
	rounding.Lengths
	lettered bool // readings carry BTDC or ATDC
}

func newVoice(r audit.Result, next []audit.Next) voice {
	return voice{r: r, next: next, Lengths: rounding.Lengths{Unit: r.Sheet.Part.Unit}, lettered: lettered(r.Sheet)}
}

// confidence is how often an interval holds: "95 %".
func (v voice) confidence() string {
	return rounding.Confidence(v.r.Sheet.Limits.Confidence)
}

// viewpoint follows every clockwise.
func (v voice) viewpoint() string {
	if s := v.r.Sheet.Part.SeenFrom; s != "" {
		return "as you look at the marks (" + clean(s) + ")"
	}
	return "as you look at the marks"
}

// comesUp says where a line really comes up: "9.07 BTDC".
func comesUp(m audit.Mark) string {
	return m.ComesUpAt.Crank(markPlaces(m)) + dropAt(m)
}

func markPlaces(m audit.Mark) int {
	if m.Offset != nil && m.Offset.Known {
		return rounding.Places(m.Offset.Expanded.Degrees())
	}
	return rounding.Unsure
}

// offset says how far off a line is, and how sure that is.
func offset(e *audit.Estimate) string {
	if e == nil {
		return "not read"
	}
	if !e.Known {
		return rounding.OffBy(e.Value, rounding.Unsure) + " ± ?"
	}
	n := rounding.Places(e.Expanded.Degrees())
	return rounding.OffBy(e.Value, n) + " ± " + rounding.TwoDigits(e.Expanded)
}

// verdict is one word, loud when something must be done.
func verdict(m audit.Mark) string {
	s := m.Verdict.String()
	if s == "outside" {
		s = "OUTSIDE"
	}
	return s
}

// fitted marks a verdict that answers only for the setups taken.
func fitted(m audit.Mark) string {
	if m.Offset != nil && m.Offset.Known && m.Covers == audit.Repeatability {
		return ", as fitted"
	}
	return ""
}

func (v voice) edges() string {
	switch at := v.r.Sheet.Part.ReadAt; at {
	case "leading edge", "trailing edge":
		return at + " of the old line to " + at + " of the new"
	}
	return "centre of the old line to centre of the new"
}

// check is what to look at before the scriber touches the metal.
func (v voice) check() string {
	c, part := v.r.Check, v.r.Sheet.Part
	view := v.viewpoint()
	switch {
	case c.BTDC:
		return fmt.Sprintf("%s, the BTDC lines lie %s of the TDC line; if not, stop: the sheet is wrong", view, c.Rotation)
	case c.From != "":
		return fmt.Sprintf("%s, going from line %s less than half way round to line %s is going %s; if not, stop: the sheet is wrong",
			view, clean(c.From), clean(c.To), c.Rotation)
	}
	moving := c.Rotation.String()
	if part.Moves != "" {
		moving += ", " + part.Moves + " in the window"
	}
	if part.MarksOn == sheet.OnEngine {
		return fmt.Sprintf("%s, turn the engine the way it runs: the turning line passes the scale moving %s, and the scale stands still; if not, stop: the sheet is wrong", view, moving)
	}
	return fmt.Sprintf("%s, turn the engine the way it runs: the line passes the pointer moving %s, and the pointer stands still; if not, stop: the sheet is wrong", view, moving)
}

// withheld says why an instruction is not given.
func (v voice) withheld(w audit.Withheld) string {
	switch w {
	case audit.WithheldSuspect:
		return "one mistake on the sheet would explain the offsets; settle that first"
	case audit.WithheldMoved:
		return "the closing pair says that the readout moved; take contacts and marks again"
	case audit.WithheldSetups:
		return "the two setups disagree; take a third first"
	case audit.WithheldDwell:
		return "the stop sat where the piston hardly moves, and nothing covers what that does; fit it deeper and take everything again"
	case audit.WithheldLostMotion:
		return "lines read from both sides show lost motion that the sheet does not state, and this line, read from one side, carries half of it; put lost_motion right on the sheet, or read the line from both sides"
	case audit.WithheldCommon:
		return "the lines are off together; settle first what shifts them, then read this line again"
	case audit.WithheldRing:
		return "the outer ring has slipped; it is replaced, not re-marked"
	case audit.WithheldRingUntold:
		return "these lines are on a ring bonded to rubber, and no line on the hub tells whether it slipped; a slipped ring is replaced, not re-marked"
	case audit.WithheldGroup:
		return "the lines on this part are off alike and those on another are not; look at the part and its pointer first"
	}
	return ""
}

// farOff is an offset that is more often a slip of the pen than a wrong line.
// Common practice, no source.
const farOff geometry.Angle = 5

// scribe is the instruction for one line.
func (v voice) scribe(m audit.Mark) string {
	s, e := m.Scribe, m.Offset
	name := clean(m.Name)
	what := fmt.Sprintf("%s: scribe a new line", name)
	if s.Move == audit.MoveScale {
		what = fmt.Sprintf("%s: scribe a new line on the fixed scale,", name)
	}
	var b strings.Builder
	if s.HasLengths {
		fmt.Fprintf(&b, "%s %s along the rim %s of the old one, %s: %s, %s", what, v.Sure(s.Arc, e.ArcU),
			strings.ToUpper(s.Rotation.String()), v.viewpoint(), v.along(s.Along), v.edges())
		if chord := v.Of(s.Chord); chord != v.Of(s.Arc) {
			fmt.Fprintf(&b, "; %s straight across with dividers", chord)
		}
		if s.HasTeeth {
			fmt.Fprintf(&b, "; %s teeth", rounding.Fixed(s.Teeth, 2))
		}
		fmt.Fprintf(&b, ". The new line is then known to ± %s, placing it within %s included.", rounding.TwoDigits(s.Then), v.Of(v.r.Sheet.Limits.Placement))
	} else {
		fmt.Fprintf(&b, "%s %s %s of the old one, %s: %s. Add part.diameter to the sheet and it is said in millimetres.",
			what, rounding.SureDegrees(s.Angle, e.Expanded), strings.ToUpper(s.Rotation.String()), v.viewpoint(), v.along(s.Along))
	}
	if s.Angle > farOff {
		b.WriteString(" That is far: read the line once more before you believe it.")
	}
	fmt.Fprintf(&b, " Until then, setting to it gives %s.", comesUp(m))
	return b.String()
}

// outside says what to do about a line that is outside.
func (v voice) outside(m audit.Mark) string {
	name, s := clean(m.Name), m.Scribe
	switch {
	case s.Worthwhile:
		return v.scribe(m)
	case s.Withheld != audit.NotWithheld:
		return name + ": outside, but no instruction: " + v.withheld(s.Withheld) + "."
	case s.HasLengths && m.Offset.Expanded < m.Offset.Value.Abs():
		return fmt.Sprintf("%s: outside, but a new line placed within %s would be known only to ± %s, no better than the old one is wrong. Find a way to place it more closely, and say so in limits.placement.",
			name, v.Of(v.r.Sheet.Limits.Placement), rounding.TwoDigits(s.Then))
	}
	return fmt.Sprintf("%s: outside, but do not scribe yet: a new line would be known only to ± %s, no better than the old one is wrong. Measure more surely first.",
		name, rounding.TwoDigits(m.Offset.Expanded))
}

// toDecide says what would decide a line, or nothing where nothing is to be
// decided.
func (v voice) toDecide(m audit.Mark, next audit.Next) string {
	name := clean(m.Name)
	switch next.Way {
	case audit.ReadIt:
		if v.r.TDC == nil {
			return "find TDC first: three pairs of stop contacts, then read " + name + " three times"
		}
		return "read " + name + " three times, approached forward"
	case audit.Repeat:
		return "the readout moved: begin a new setup with new stop contacts, read the marks again, and strike the contacts of the setup that moved, with the reason"
	case audit.ThirdSetup:
		return "the two setups disagree: take a third, with the readout off and on again"
	case audit.NoScatter:
		if v.r.TDC.DOF == 0 {
			if m.RepeatsLine() {
				return "one pair shows no scatter: take two more pairs of stop contacts"
			}
			return "one pair shows no scatter: take two more pairs of stop contacts, and read " + name + " three times"
		}
		return "one reading shows no scatter: read " + name + " twice more"
	case audit.MoreReadings:
		var parts []string
		if next.Trials > 0 {
			parts = append(parts, v.morePairs(next.Trials))
		}
		if next.Readings > 0 {
			parts = append(parts, rounding.Count(next.Readings, "more reading of ", "more readings of ")+name)
		}
		return strings.Join(parts, " and ") + ", nothing moved or zeroed in between, " + decides(next.Chance)
	case audit.MoreSetups:
		return rounding.Count(next.Setups, "more setup like those before", "more setups like those before") + " " + decides(next.Chance)
	case audit.Blocked:
		return v.blocked(next)
	}
	return ""
}

// decides says a chance as people do.
func decides(p float64) string {
	switch {
	case p >= 0.895:
		return "will decide it nine times in ten"
	case p >= 0.8:
		return "will decide it four times in five"
	}
	return "may decide it, " + rounding.Fixed(10*p, 0) + " times in ten; nothing affordable promises more"
}

// blocked names what stands in the way and what would clear it.
func (v voice) blocked(next audit.Next) string {
	if next.Largest == "" || next.LargestShare < 0.1 {
		return "more readings will hardly decide it: the line lies too close to its tolerance"
	}
	cure := "take more setups, or a finer readout"
	switch {
	case strings.HasPrefix(next.Largest, "wheel"):
		cure = "centre the wheel more closely, or check how far it is off"
	case strings.HasPrefix(next.Largest, "step"):
		cure = "use a readout with a finer step"
	case strings.HasPrefix(next.Largest, "lost motion"):
		cure = "read the line from both sides"
	case strings.HasPrefix(next.Largest, "sighting"):
		cure = "sight the line more finely: a sharp pointer close to the rim, the eye in line with pointer and shaft centre"
	case strings.HasPrefix(next.Largest, "contact"):
		cure = "fit the stop nearer the pin's axis, or deeper, so that rock matters less"
	case strings.HasPrefix(next.Largest, "pin"), strings.HasPrefix(next.Largest, "bore"):
		cure = "find out to which side the " + next.Largest + " goes"
	case strings.HasPrefix(next.Largest, "remount"):
		cure = "take three setups or more, so that remounting is seen and not assumed"
	}
	return fmt.Sprintf("more readings will hardly decide it; with all of them %s of the doubt would be %s: %s", rounding.Most(next.LargestShare), next.Largest, cure)
}

var gaps = map[audit.Code]string{ // only looked up
	audit.SightingMissing:   "sighting not included (part.sighting)",
	audit.RockMissing:       "piston rock not included (limits.contact, with stroke and rod)",
	audit.LostMotionMissing: "what the encoder loses when the engine is reversed not included (readout.lost_motion)",
	audit.SlackMissing:      "bearing slack, which heights taken in one turning direction do not cancel, not included (limits.slack)",
	audit.CentringMissing:   "how far the wheel sits off centre not included (readout.off_centre)",
}

func (v voice) notIncluded(m audit.Mark) []string {
	out := []string{}
	for _, c := range m.NotIncluded {
		out = append(out, gaps[c])
	}
	return out
}

// shift says what the lines tell together.
func (v voice) shift() string {
	s := v.r.Shift
	var b strings.Builder
	say := func(format string, args ...any) {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, format, args...)
	}
	if v.r.Differ {
		return "The two setups disagree, so what the lines say together must wait for a third."
	}
	one := len(s.Lines) == 1
	switch s.Finding {
	case audit.Unknown:
		switch {
		case v.r.Moved:
			say("The readout moved, so what the lines say together means nothing.")
		case !one:
			say("Whether the lines are off together cannot be told: the readings hold too little scatter to judge by.")
		}
	case audit.None:
		switch {
		case one:
			say("%s shows no offset that its own doubt does not cover.", clean(s.Lines[0]))
		case v.anyOutside():
			say("Taken together the lines show no common shift, and they differ no more than their doubts allow; a line that is outside stands on its own reading.")
		default:
			say("The lines agree and show no common shift: no sign of %s. A shift under %s could hide.", v.slip(), v.hides())
		}
	case audit.Common:
		say("All lines are off alike, by %s.", offset(s.Common))
		if s.Small {
			say("Real, but below a quarter of the tolerance.")
			break
		}
		say("Do not scribe %d new lines. Check, cheapest first: %s.", len(s.Lines), v.suspects())
		say("%s", v.moveOne())
	case audit.SingleMark:
		name := clean(s.StandsOut[0])
		switch {
		case s.Act:
			say("%s stands out; the other lines are shifted alike, by %s. Settle that first. Check, cheapest first: %s.", name, offset(s.Common), v.suspects())
			say("%s", v.moveOne())
		case s.Shifted && s.Common != nil:
			say("%s stands out; the other lines are shifted alike, by %s.", name, offset(s.Common))
		case v.spoilt(s.StandsOut[0]):
			say("%s stands out, but lost motion may be all that it is; the other lines agree.", name)
		default:
			say("%s stands out; the other lines agree.", name)
		}
	case audit.Individual:
		switch {
		case one:
			say("%s is off by %s.", clean(s.Lines[0]), offset(s.Common))
		case s.Act:
			say("All lines are off the same way, each by a little more or less: about %s. So it looks like %s, with a part that runs out of true. Scribe nothing yet; check, cheapest first: %s.", offset(s.Common), v.slip(), v.suspects())
		case len(s.Lines) == 2:
			say("The two lines are not off alike: %s alone does not explain them.", v.slip())
		default:
			say("The lines are off each in its own way: no single line and no common shift explains them.")
		}
		if s.Small {
			say("Real, but below a quarter of the tolerance.")
		}
	}
	if one {
		say("One mark cannot tell %s from a wrong line: read a second one.", v.slip())
	}
	if len(s.LeftOut) > 0 {
		names := make([]string, len(s.LeftOut))
		for i, n := range s.LeftOut {
			names[i] = clean(n)
		}
		say("Not compared, for they were read in other setups: %s.", strings.Join(names, ", "))
	}
	return b.String()
}

// spoilt reports whether lost motion that the sheet does not state may explain a
// line's offset.
func (v voice) spoilt(name string) bool {
	return slices.ContainsFunc(v.r.Marks, func(m audit.Mark) bool {
		return m.Name == name && m.Scribe.Withheld == audit.WithheldLostMotion
	})
}

func (v voice) anyOutside() bool {
	return slices.ContainsFunc(v.r.Marks, func(m audit.Mark) bool { return m.Verdict == uncertainty.Outside })
}

// slip is what shifts all lines without any of them being wrong.
func (v voice) slip() string {
	if v.r.Sheet.Part.MarksOn == sheet.OnEngine {
		return "a shifted scale or a slipped part"
	}
	return "a slipped ring or a bent engine pointer"
}

// suspects are what shifts all lines alike, the cheapest to check first.
// Common practice, no source.
func (v voice) suspects() string {
	if v.r.Slip == audit.Together {
		return "the readout moved (take a closing pair); the engine pointer or its tab is bent or loose; parts of another engine; the key"
	}
	if v.r.Sheet.Part.MarksOn == sheet.OnEngine {
		return "the readout moved (take a closing pair); the scale is bent, loose or fitted wrong; the part with the turning line slipped; parts of another engine; the key"
	}
	return "the readout moved (take a closing pair); the engine pointer or its tab is bent or loose; the outer ring slipped on its rubber; parts of another engine; the key"
}

// hides is the largest common shift that the interval still allows.
func (v voice) hides() string {
	c := v.r.Shift.Common
	return rounding.Degrees(c.Value.Abs()+c.Expanded, rounding.Places(c.Expanded.Degrees()))
}

// moveOne is the one instruction for a common shift.
func (v voice) moveOne() string {
	s, e := v.r.Shift.Scribe, v.r.Shift.Common
	if s.Withheld != audit.NotWithheld {
		return "No instruction: " + v.withheld(s.Withheld) + "."
	}
	if s.Along == audit.NoWay {
		return ""
	}
	if !s.Worthwhile {
		return "Nothing is to be moved yet: no line is shown to be outside, or the move would be known no better than the lines are wrong."
	}
	how := rounding.SureDegrees(s.Angle, e.Expanded)
	if s.HasLengths {
		how = v.Sure(s.Arc, e.ArcU) + " along the rim"
	}
	way := strings.ToUpper(s.Rotation.String()) + ", " + v.viewpoint() + ": " + v.along(s.Along)
	if s.Move != audit.MoveLine {
		return fmt.Sprintf("If it is the pointer, move it %s %s. Then read the lines again.", how, way)
	}
	then := ""
	if s.HasLengths {
		then = fmt.Sprintf(", %s (%s straight across). The new line is then known to ± %s", v.edges(), v.Of(s.Chord), rounding.TwoDigits(s.Then))
	}
	return fmt.Sprintf("If it is the turning line, scribe it anew %s %s%s. Or move the whole scale as far the other way, %s. Then read the lines again.",
		how, way, then, s.Rotation.Opposite())
}

// warning says one doubt, and what to do about it.
func (v voice) warning(w audit.Warning) string {
	val := func(i int) string { return rounding.Degrees(geometry.Angle(math.Abs(w.Values[i])), rounding.Unsure) }
	in := ""
	if w.Setup != "" {
		in = "setup " + clean(w.Setup) + ": "
	}
	name := clean(w.Mark)
	names := make([]string, len(w.Names))
	for i, n := range w.Names {
		names[i] = clean(n)
	}
	switch w.Code {
	case audit.StopInDwell:
		return in + "the stop blocks only " + val(0) + ", where the piston hardly moves and a hair of height is a degree; screw it deeper, for a half arc of 20 to 35°"
	case audit.HalfArcCreeps:
		return in + "the half arc creeps, by " + val(0) + " from first pair to last: the stop is working loose; lock it and take the pairs again"
	case audit.HalfArcJumps:
		return in + "the half arc jumps, by " + val(0) + " in all, more than the middles scatter: the stop or the touch changed between pairs; the middles hold only if each pair was taken alike"
	case audit.OneTrial:
		return "no setup has a second pair of contacts: one pair shows no scatter, so there is no ±; take three pairs or more"
	case audit.TwoTrials:
		return "the pairs of stop contacts repeat only once: a third pair divides their share of every ± by about three"
	case audit.NoPair:
		return in + "no usable pair of stop contacts, so its marks are not used"
	case audit.NoRemounting:
		return "the readout was not taken off and refitted often enough to see what that adds: three setups, or a limits.remount, would cover it"
	case audit.SetupsDiffer:
		return "the two setups differ by " + val(0) + ", more than their own scatter explains: something changed when the readout was refitted; take a third setup"
	case audit.RemountExceeded:
		return "the setups scatter by " + val(0) + ", more than limits.remount allows (standard uncertainty " + val(1) + "); the scatter seen is what counts here"
	case audit.StandsOut:
		what := "a middle of "
		if w.Mark != "" {
			what = name + ": a reading of "
		}
		return fmt.Sprintf("%s%s%s stands out: the others have %s on average; take it again, and strike it with a reason if you know one (it was used)",
			in, what, v.dial(w.Values[0]), v.dial(w.Values[1]))
	case audit.ScattersDiffer:
		return name + ": its readings scatter by " + val(0) + ", those of the other lines by " + val(1) + "; look for a blurred line or a changed light, and read it more often"
	case audit.StepCoarse:
		return "the step of " + v.step() + " is coarser than the scatter: readings that round alike look surer than they are, so the step is counted in full"
	case audit.LostMotionSeen:
		if w.Values[0] < 0 {
			return "lines read from both sides differ by " + val(0) + ", the wrong way round for lost motion: check which readings were approached forward"
		}
		return fmt.Sprintf("lines read from both sides show lost motion of %s; if it is the readout's, add `lost_motion: %s ± %s` under readout, for lines read from one side are off by half of it",
			val(0), rounding.Fixed(w.Values[0], rounding.Unsure), rounding.NotNothing(w.Values[1], rounding.Unsure))
	case audit.LostMotionDiffers:
		return "lines read from both sides show lost motion of " + val(0) + ", the sheet says " + val(1) + "; measure it again"
	case audit.SightingMissing, audit.RockMissing, audit.CentringMissing, audit.LostMotionMissing:
		return gaps[w.Code]
	case audit.UAboveTolerance:
		return name + ": the uncertainty, ± " + val(0) + ", is larger than the tolerance, " + rounding.Plain(w.Values[1]) + "°: this measurement cannot show the line to be within"
	case audit.NotRead:
		return name + ": declared, but not read"
	case audit.NoPartner:
		if len(names) > 0 {
			return in + "the closing contact has no partner, so it shows nothing; take the other side too"
		}
		return in + "a stop contact has no partner, so its pair is not used; take the other side, or strike it with a reason"
	case audit.ReadOnce:
		return name + ": read once, and no other line lends its scatter, so there is no ±; read it three times"
	case audit.ReadTwice:
		return name + ": read twice; a third reading divides its ± by about three"
	case audit.SameDiameters:
		return "part.diameter and readout.diameter are both " + v.Of(geometry.Length(w.Values[0])) + ": check that the rim's was not put for the wheel's"
	case audit.OddDiameter:
		return names[0] + " is " + v.Of(geometry.Length(w.Values[0])) + ", out of the usual range: check number and unit"
	case audit.DirectionUnchecked:
		if len(w.Values) > 0 {
			return "these lines do not rule out a readout that counts the other way: give readout.quarter_turn"
		}
		return "all lines stand at 0 or 180, so a readout that counts the other way, or an engine turned the other way, would look the same: give readout.quarter_turn"
	case audit.SideUnchecked:
		return "nothing on the sheet confirms engine.turns and part.marks_on, and no reading can: give part.btdc_lines, or make the check before scribing"
	case audit.DeclarationSuspect:
		mistakes := make([]string, len(w.Suspicions))
		for i, m := range w.Suspicions {
			mistakes[i] = mistake(m)
		}
		return "one mistake on the sheet would explain the offsets: " + strings.Join(mistakes, "; or ") + ". No line is to be scribed before that is settled"
	case audit.ReadoutMoved:
		return in + "the closing pair puts TDC " + val(0) + " from where the contacts had it: the readout moved, which looks exactly like a slipped ring; nothing is decided until contacts and marks are taken again"
	case audit.LineOrder:
		return names[0] + " and " + names[1] + " come up in the wrong order: check their names and readout.counts"
	}
	if text := v.caseWarning(w, in, name, names); text != "" {
		return text
	}
	return string(w.Code)
}

// mistake says what may have been written wrongly.
func mistake(s audit.Suspicion) string {
	lines := make([]string, len(s.Lines))
	for i, n := range s.Lines {
		lines[i] = clean(n)
	}
	switch s.Mistake {
	case audit.LettersSwapped:
		return "BTDC and ATDC swapped for " + strings.Join(lines, ", ")
	case audit.AllLettersSwapped:
		return "BTDC and ATDC swapped for every line"
	case audit.NamesSwapped:
		return "the names " + strings.Join(lines, " and ") + " swapped"
	case audit.CountsMirrored:
		return "readout.counts the wrong way round"
	case audit.OtherCylinder:
		return "the stop in another cylinder, " + rounding.Fixed(s.Angle.Degrees(), 0) + " degrees away"
	}
	return "another cylinder, another line's readings or a zero pressed in between, for no line is scribed " + rounding.Fixed(s.Angle.Degrees(), 0) + " degrees off"
}

// dial is a reading as the readout shows it, to a tenth of its step.
func (v voice) dial(x float64) string {
	return v.shows(geometry.Angle(x), v.stepDecimals()+1)
}

// shows prints what the readout shows: 0 to 360, or with letters where readings
// were entered with them.
func (v voice) shows(a geometry.Angle, n int) string {
	switch {
	case v.r.Sheet.Readout.Kind == sheet.Rim:
		return v.onRim(a)
	case v.lettered:
		return a.Wrap().Crank(n)
	}
	return rounding.Round(a, n)
}

// lettered reports whether any reading was entered with BTDC or ATDC.
func lettered(s sheet.Sheet) bool {
	is := func(r sheet.Reading) bool { return r.Lettered }
	for _, setup := range s.Setups {
		for _, t := range setup.Trials {
			if t.Forward != nil && t.Forward.Lettered || t.Backward != nil && t.Backward.Lettered {
				return true
			}
		}
		for _, m := range s.Marks {
			if slices.ContainsFunc(setup.Marks[m.Name], is) {
				return true
			}
		}
	}
	return false
}
