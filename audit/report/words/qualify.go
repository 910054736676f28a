package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit/qualify"
	"markaudit/audit/report/rounding"
	"markaudit/geometry"
)

// Tools name the stops of a comparison, for the report and the tag.
type Tools struct{ New, Reference, Date, Readout string }

// Qualify says the comparison of two stops in sentences.
type Qualify struct {
	qualify.Result
	Tools Tools
}

// newer names the new stop.
func (v Qualify) newer() string {
	if v.Tools.New != "" {
		return "stop " + Clean(v.Tools.New)
	}
	return "the new stop"
}

// trusted names the trusted stop.
func (v Qualify) trusted() string {
	if v.Tools.Reference != "" {
		return "stop " + Clean(v.Tools.Reference)
	}
	return "the trusted stop"
}

// Title names the two stops.
func (v Qualify) Title() string {
	return strings.ToUpper(v.newer()[:1]) + v.newer()[1:] + " against " + v.trusted()
}

// loudVerdict is a verdict in capitals.
var loudVerdict = map[qualify.Verdict]string{ // only looked up
	qualify.Qualified: "QUALIFIED", qualify.Rejected: "REJECTED", qualify.NotProven: "NOT PROVEN",
}

// allowed is the bias that is allowed: "±0.2°".
func (v Qualify) allowed() string {
	return "±" + rounding.Plain(rounding.Trimmed(v.AllowedBias.Degrees())) + "°"
}

// Heading is the verdict in capitals; where a reading is to be looked up, that.
func (v Qualify) Heading() string {
	if slices.Contains(v.Reasons, qualify.LookFirst) {
		return "LOOK FIRST"
	}
	return loudVerdict[v.Verdict]
}

// Answer is the answer with its reason.
func (v Qualify) Answer() string {
	reasons := make([]string, len(v.Reasons))
	for i, r := range v.Reasons {
		reasons[i] = Sentence(v.reason(r))
	}
	if slices.Contains(v.Reasons, qualify.LookFirst) {
		return v.Heading() + ". " + strings.Join(reasons, " ")
	}
	return v.Heading() + " for an allowed bias of " + v.allowed() + ". " + strings.Join(reasons, " ")
}

// reason says one reason of the verdict.
func (v Qualify) reason(r qualify.Reason) string {
	switch r {
	case qualify.BiasExcluded:
		return "a bias of more than that, early or late, is ruled out at 5 % each"
	case qualify.BiasBeyond:
		return "the whole interval of its bias is beyond what is allowed, however well it repeats"
	case qualify.ScattersMore:
		return fmt.Sprintf("it scatters more than %s times as much as %s, by more than chance", v.allowedScatter(), v.trusted())
	case qualify.Creeps:
		return fmt.Sprintf("its half arc creeps by %s within one fitting of %s, more than is allowed. Its lock does not hold", v.fittingCreep(), v.pairs())
	case qualify.LookFirst:
		return "a value cannot be right as it is written. No verdict is given before it is looked up"
	case qualify.TooFewSetups:
		return fmt.Sprintf("%s is too few. At least three with both tools are needed", rounding.Count(v.BiasSetups, "setup", "setups"))
	case qualify.StepHides:
		return fmt.Sprintf("both middles together may hide up to %s in the step, as much as is allowed or more", v.hidden())
	case qualify.EarlyNotRuled:
		return "a bias of more than that, early, is not ruled out"
	case qualify.LateNotRuled:
		return "a bias of more than that, late, is not ruled out"
	case qualify.ScatterUnseen:
		return "no setup has two pairs of either stop. How much the new stop scatters is not seen"
	case qualify.StepHidesScatter:
		return fmt.Sprintf("the step hides how much %s scatters. Nothing can be compared with it", v.trusted())
	case qualify.ScatterNotShown:
		return fmt.Sprintf("it is allowed to scatter %s times as much as %s. Only at most %s times was shown", v.allowedScatter(), v.trusted(), rounding.Ratio(math.Sqrt(v.Ratio.Upper)))
	case qualify.CreepNotRuled:
		if !v.CreepFitting.Known {
			return "whether its half arc creeps is not seen"
		}
		return "a creep of its half arc by too much within one fitting is not ruled out"
	case qualify.OneToolOnly:
		return "one of the two tools was not read"
	}
	return string(r)
}

// allowedScatter is how many times as much the new stop may scatter: "2".
func (v Qualify) allowedScatter() string {
	return rounding.Plain(rounding.Trimmed(math.Sqrt(v.AllowedRatio)))
}

// hidden prints what the step may hide, with two digits.
func (v Qualify) hidden() string { return rounding.TwoDigits(v.Hidden) }

// pairs are those of one fitting: "five pairs" as a number.
func (v Qualify) pairs() string { return rounding.Count(v.CreepFitting.Trials, "pair", "pairs") }

// fittingCreep prints how far the half arc creeps within a fitting, with two digits
// but none that is beyond a hundredth of the step.
func (v Qualify) fittingCreep() string {
	creep := v.CreepFitting.Change.Abs()
	return rounding.Degrees(creep, rounding.Places(math.Max(creep.Degrees(), v.Step.Degrees()/100)))
}

// Found are the figures in sentences.
func (v Qualify) Found() []string {
	var out []string
	if b := v.Bias; b != nil {
		out = append(out, v.bias(*b))
		if v.Trusted != nil {
			out = append(out, v.chain()...)
		}
	}
	out = append(out, v.repeats())
	if v.Creep.Known() {
		out = append(out, v.lock())
	}
	if v.Cg != nil {
		text := fmt.Sprintf("Cg %s", rounding.Fixed(*v.Cg, 2))
		if v.Cgk != nil {
			text += fmt.Sprintf(", Cgk %s", rounding.Fixed(*v.Cgk, 2))
		}
		out = append(out, text+fmt.Sprintf(" (ISO 22514-7, six standard deviations, width of the tolerance %s°). These are for the record. The verdict does not use them.", rounding.Plain(rounding.Trimmed(2*v.Tolerance.Degrees()))))
	}
	return out
}

// bias says how far the new stop's TDC lies from the trusted one's.
func (v Qualify) bias(b qualify.Bias) string {
	n := rounding.Unsure
	if b.Known {
		n = rounding.Places((b.High - b.Low).Degrees() / 2)
	}
	text := fmt.Sprintf("By %s TDC is %s than by %s", v.newer(), rounding.Later(b.Value, n), v.trusted())
	if v.Trusted != nil {
		text = fmt.Sprintf("By %s TDC is %s than by what %s was qualified by (%s than by %s itself)", v.newer(), rounding.Later(b.Value, n), v.trusted(), rounding.Later(b.OfTrusted, n), v.trusted())
	}
	if !b.Known {
		return text + ". Nothing was repeated, so it is not known how sure that is."
	}
	text += fmt.Sprintf(", between %s and %s with 95 %%", rounding.Later(b.Low, n), rounding.Later(b.High, n))
	if v.PerDegree != nil {
		text += fmt.Sprintf(". This is as if its contacts differed by %s mm in height", rounding.Fixed(v.ContactHeight(b.Value).Millimetres(), 3))
	}
	text += fmt.Sprintf(". Test against a bias beyond the allowed one: p is %s early and %s late.", rounding.Chance(b.PLower), rounding.Chance(b.PUpper))
	if v.Hidden.Degrees() > worthSaying*(b.High-b.Low).Degrees()/2 {
		text += fmt.Sprintf(" The step may hide %s of that.", v.hidden())
	}
	if b.Fitting > 0 {
		text += fmt.Sprintf(" The next fitting lies within %s of it in 95 of 100 cases.", rounding.Degrees(b.Fitting, n))
	}
	return text
}

// chain says what each study behind the trusted stop brings in, nearest first.
func (v Qualify) chain() (out []string) {
	for _, l := range v.Trusted.Chain {
		against, from := "what it was qualified by", "as it was stated"
		if l.Against != "" {
			against = Clean(l.Against)
		}
		if l.Digest != "" {
			from = "by the study " + Clean(l.Digest[:min(12, len(l.Digest))])
		}
		n := rounding.Places(l.Expanded().Degrees())
		out = append(out, fmt.Sprintf("Carried on from before: by %s TDC is %s than by %s, ± %s, %s.", Clean(l.Stop), rounding.Later(l.Bias, n), against, rounding.Degrees(l.Expanded(), n), from))
	}
	return out
}

// worthSaying is the part of a half width from which a limit in it is told apart.
const worthSaying = 0.05

// repeats says how well either stop repeats.
func (v Qualify) repeats() string {
	sd := func(s qualify.Scatter) string {
		if s.DOF == 0 {
			return "is not known: nothing was repeated"
		}
		if s.SD < geometry.Tie {
			return "less than the step lets see"
		}
		return rounding.TwoDigits(s.SD)
	}
	ref, other := v.Scatter[0], v.Scatter[1]
	text := fmt.Sprintf("Its middles repeat to %s", sd(other))
	if other.DOF == 0 {
		text = "How well its middles repeat " + sd(other)
	}
	switch {
	case ref.DOF == 0:
		text += fmt.Sprintf(". How well those of %s do %s", v.trusted(), sd(ref))
	default:
		text += fmt.Sprintf(", those of %s to %s", v.trusted(), sd(ref))
	}
	if v.Ratio.Known {
		text += fmt.Sprintf(". The ratio of the variances is %s, between %s and %s", rounding.Ratio(v.Ratio.Value), rounding.Ratio(v.Ratio.Low), rounding.Ratio(v.Ratio.High))
	}
	if v.Ratio.Shown {
		text += fmt.Sprintf(". It scatters at most %s times as much, with 95 %%. Allowed is %s", rounding.Ratio(math.Sqrt(v.Ratio.Upper)), v.allowedScatter())
	}
	return text + "."
}

// lock says whether the stop's lock holds.
func (v Qualify) lock() string {
	c, f := v.Creep, v.CreepFitting
	if c.Known() && c.Slope == 0 && c.Half == 0 {
		return "Its half arc changes by less than the step lets see. No creep is seen."
	}
	text := fmt.Sprintf("Its half arc changes by %s a trial", rounding.SureDegrees(c.Slope, c.Half))
	switch {
	case !c.Significant():
		return text + ". No creep is seen."
	case c.Slope > 0:
		text += ". The stop works its way in"
	default:
		text += ". The stop is pushed out"
	}
	return text + fmt.Sprintf(". Within one fitting of %s that is %s. A pair that catches all of it puts TDC off by %s. Allowed is %s. See to the lock.",
		v.pairs(), rounding.SureDegrees(f.Change.Abs(), f.Half), rounding.TwoDigits(f.Change.Abs()/2), rounding.Plain(rounding.Trimmed(v.AllowedBias.Degrees()))+"°")
}

// ToDo says what to do.
func (v Qualify) ToDo() []string {
	var out []string
	switch v.Verdict {
	case qualify.NotProven:
		out = v.prove()
	case qualify.Rejected:
		for _, r := range v.Reasons {
			switch r {
			case qualify.BiasBeyond:
				way := "late"
				if v.Bias.Value < 0 {
					way = "early"
				}
				out = append(out, fmt.Sprintf("It puts TDC too %s. Look at the tip: is it bent, or worn to one side? Look at where it meets the crown. A tip off the pin's axis meets the rocking piston at two heights.", way))
			case qualify.ScattersMore:
				out = append(out, "It repeats worse. Look for play in the thread, for a soft or mushroomed tip, and for a body that does not seat.")
			case qualify.Creeps:
				out = append(out, "Its lock does not hold. Tighten it, or make a better one. Then take the study again.")
			}
		}
	}
	return out
}

// prove says what would bring a verdict.
func (v Qualify) prove() (out []string) {
	has := func(r qualify.Reason) bool { return slices.Contains(v.Reasons, r) }
	switch {
	case has(qualify.LookFirst):
		return []string{"Look up in the notebook what the doubts name. If it was written wrongly, correct it, or strike it with its reason in the column struck. If the notebook says the same, run this again with --as-read."}
	case has(qualify.OneToolOnly):
		return []string{"Read both tools in every setup, in the order reference, new, new, reference."}
	case has(qualify.StepHides), has(qualify.StepHidesScatter):
		out = append(out, "Take a finer readout. Or meet the stop in such a way that readings vary over half a step.")
	}
	if has(qualify.ScatterUnseen) {
		out = append(out, "Take at least three pairs of each stop in every setup.")
	}
	if v.Scatter[qualify.ReferenceTool].SD < geometry.Tie && has(qualify.StepHidesScatter) {
		return out // more setups that read alike settle nothing
	}
	chances := v.Further()
	if len(chances) == 0 {
		return append(out, "Take five setups of five pairs of each stop, in the order reference, new, new, reference.")
	}
	if best := chances[len(chances)-1]; best.Settled < hardlyEver {
		return append(out, fmt.Sprintf("Its bias may lie at the border. More setups alone may not settle it: eight more do so with %s at least.", rounding.Percent(best.Settled)))
	}
	var parts []string
	for _, c := range chances {
		if c.Settled >= 0.005 {
			parts = append(parts, fmt.Sprintf("%s with %s", inWords[c.Setups], rounding.Percent(c.Settled)))
		}
	}
	text := strings.Join(parts, ", ")
	return append(out, "Take more setups with both tools, in the order reference, new, new, reference. They settle it with at least about this chance: "+text+".")
}

const hardlyEver = 0.3 // below it, with eight setups more, the bias may lie at the border

var inWords = map[int]string{2: "two", 4: "four", 8: "eight"} // only looked up

// rows names lines of a file: "rows 5 to 8", "rows 5, 9 and 12".
func rows(lines []int) string {
	if len(lines) == 0 {
		return ""
	}
	if len(lines) == 1 {
		return fmt.Sprintf("row %d", lines[0])
	}
	var runs []string
	for i := 0; i < len(lines); {
		j := i
		for j+1 < len(lines) && lines[j+1] == lines[j]+1 {
			j++
		}
		switch {
		case j > i+1:
			runs = append(runs, fmt.Sprintf("%d to %d", lines[i], lines[j]))
		case j == i+1:
			runs = append(runs, fmt.Sprint(lines[i]), fmt.Sprint(lines[j]))
		default:
			runs = append(runs, fmt.Sprint(lines[i]))
		}
		i = j + 1
	}
	if len(runs) == 1 {
		return "rows " + runs[0]
	}
	return "rows " + strings.Join(runs[:len(runs)-1], ", ") + " and " + runs[len(runs)-1]
}

// Doubts are the warnings in sentences.
func (v Qualify) Doubts() []string {
	var out []string
	way := "up"
	if v.Counts == geometry.CountsDown {
		way = "down"
	}
	for _, w := range v.Warnings {
		out = append(out, Sentence(v.Warning(w)))
	}
	if v.CountsFound {
		out = append(out, "The readout counts "+way+", as the contacts forward and backward show.")
	}
	return out
}

// Warning says one doubt.
func (v Qualify) Warning(w qualify.Warning) string {
	deg := func(i int) string { return rounding.Degrees(geometry.Angle(math.Abs(w.Values[i])), 3) }
	in := ""
	if w.Setup != "" {
		in = "setup " + Clean(w.Setup) + ": "
	}
	of := ""
	if w.Trial != "" {
		of = " of trial " + Clean(w.Trial)
	}
	if w.Tool != "" {
		of += " of the " + w.Tool + " stop"
	}
	switch w.Code {
	case qualify.NoPartner:
		return in + "a contact" + of + " has no partner and is not used"
	case qualify.Struck:
		return in + "a contact" + of + " is struck. Its pair is not used"
	case qualify.StopInDwell:
		return in + "the stop" + of + " blocks only " + deg(0) + ", where the piston hardly moves. Fit it deeper"
	case qualify.HalfArcsDiffer:
		return "the two stops sit at different depths, half arcs of " + deg(0) + " and " + deg(1) + ". Pin offset and rock act differently there, and without stroke and rod nothing is corrected"
	case qualify.StepCoarser:
		return "the step of " + rounding.Plain(w.Values[0]) + "° is coarser than the scatter. Middles that round alike look steadier than they are"
	case qualify.ReferenceNoNoise:
		return "the trusted stop scatters less than its step alone makes it. In the ratio the scatter of the step, " + deg(0) + ", is used"
	case qualify.Drift:
		return "the readings drift, by " + deg(0) + " a trial. The readout or the mounting gives way. This explains " + deg(1) + " of the bias"
	case qualify.Unbalanced:
		return fmt.Sprintf("the new stop was read %s trials after the trusted one on average. A drift then looks like bias. Take them in the order reference, new, new, reference", rounding.Fixed(math.Abs(w.Values[0]), 1))
	case qualify.LeftOut:
		return in + "read with one tool only. It is left out"
	case qualify.Unpaired:
		return "no setup has both tools. What each mounting of the stop does is in the difference. Read both in every setup"
	case qualify.OneSetup:
		return "there is one setup only. What fitting the stop again does is not seen"
	case qualify.ReferenceCreeps:
		return "the trusted stop creeps too, by " + deg(0) + " a trial. Lock it, and take the study again"
	case qualify.OffsetOpen:
		return "the offset of unknown side or size leaves " + deg(0) + " open in the bias"
	case qualify.MiddlesFar:
		return in + "the middles" + of + " lie up to " + deg(0) + " apart. Were they all read on one zero?"
	case qualify.StandsOut:
		text := in + "what was read" + of + " lies " + deg(0) + " from where the other pairs put it"
		if len(w.Lines) > 0 {
			text = rows(w.Lines) + ": " + text
		}
		return text + v.lookUp()
	case qualify.LabelsExchanged:
		return v.exchanged(w)
	case qualify.LabelsUnchecked:
		return "both stops sit equally deep. Names written the wrong way round would not be seen"
	}
	return string(w.Code)
}

// lookUp is what a slip asks for.
func (v Qualify) lookUp() string {
	if v.AsRead {
		return ". It counts as it was read"
	}
	return ". Look it up"
}

// exchanged says which rows seem to have the other stop's name.
func (v Qualify) exchanged(w qualify.Warning) string {
	arc := func(i int) string { return rounding.Fixed(w.Values[i], rounding.StepPlaces(v.Step)) }
	text := "trusted and new seem written down the wrong way round"
	if len(w.Lines) > 0 {
		text = rows(w.Lines) + ": " + text
	}
	var found, others []string
	for i := range 2 {
		if !math.IsNaN(w.Values[i]) {
			found, others = append(found, arc(i)), append(others, arc(i+2))
		}
	}
	noun := "half arcs "
	if len(found) == 1 {
		noun = "a half arc of "
	}
	return text + ": " + noun + strings.Join(found, " and ") + " where the others have " + strings.Join(others, " and ") + v.lookUp()
}

// Tag is what hangs on the tool.
func (v Qualify) Tag() string {
	name := "NEW STOP"
	if v.Tools.New != "" {
		name = "STOP " + Clean(v.Tools.New)
	}
	text := name + ": " + v.Heading()
	if v.Verdict == qualify.Qualified {
		text += ", TDC within " + v.allowed() + " of "
		if v.Tools.Reference != "" {
			text += "stop " + Clean(v.Tools.Reference)
		} else {
			text += "the trusted stop"
		}
	}
	if v.Tools.Readout != "" {
		text += ", with " + Clean(v.Tools.Readout)
	}
	if v.Tools.Date != "" {
		text += ", " + Clean(v.Tools.Date)
	}
	text += ". "
	switch v.Verdict {
	case qualify.Qualified:
		return text + "Qualify again after a repair, a fall or a bent tip. Stop OUT to pass TDC, never the starter with it in."
	case qualify.Rejected:
		return text + "Not for finding TDC."
	}
	return text + "Not for finding TDC alone until proven."
}
