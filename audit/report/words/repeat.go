package words

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"markaudit/audit/repeatability"
	"markaudit/audit/report/rounding"
	"markaudit/geometry"
)

// PeopleTitle names what was studied: how many people, marks and values.
func PeopleTitle(r repeatability.Result) string {
	return rounding.Count(len(r.People), "person", "people") + ", " + rounding.Count(len(r.Marks), "mark", "marks") + ", " + rounding.Count(len(r.Data.Values), "value", "values")
}

// NobodyNeeds says why nothing is asked of anybody.
func NobodyNeeds(r repeatability.Result) string {
	if !r.Components.Repeatability.Known {
		return "Too little was measured to tell. Let everybody measure every mark at least twice."
	}
	if r.Components.Repeatability.Value == 0 {
		return "Nobody stands out, as far as values without any scatter can show it. Read finer, if the readout allows it."
	}
	return "Nobody stands out. Nothing has to change."
}

// FiguresOf says a person's own figures.
func FiguresOf(p repeatability.Person) string {
	var numbers []string
	if p.Deviation.Known {
		numbers = append(numbers, "Against the class as a whole: "+SideOf(p.Deviation.Value)+".")
	}
	if p.SD.Known {
		numbers = append(numbers, Sentence(tries(p.SD)))
	}
	return strings.Join(append(numbers, rounding.Count(p.N, "value.", "values.")), " ")
}

// NeedsOf says all that was found of a person, each with what to do.
func NeedsOf(r repeatability.Result, p repeatability.Person) []string {
	var needs []string
	for _, f := range r.Flags {
		if f.By == p.By && !tooSmall(r, f) {
			needs = append(needs, Sentence(AboutFlag(f)))
		}
	}
	return needs
}

// AboutFlag says what was found of a person, and what to do.
func AboutFlag(f repeatability.Flag) string { return findingOf(f) + ". " + Sentence(cures[f.Code]) }

// cures says what to do about a finding, to the person.
var cures = map[repeatability.Code]string{
	repeatability.StandsOut:    "if you know what happened, strike the value and give that as the reason. If not, keep it and measure this line once more",
	repeatability.SitsOff:      "look along the engine pointer at the shaft's centre. Compare at one line with somebody else, without moving the crank",
	repeatability.Scatters:     "take five pairs with the same light touch, until their middles agree within 0.2°, before reading a line",
	repeatability.StopCreeps:   "lock the stop, and meet it with the same light touch each time",
	repeatability.StopWanders:  "meet the stop with the same light touch each time, and see that it is locked",
	repeatability.Drifts:       "tighten the readout and its pointer, and end each setup with a closing pair",
	repeatability.SidesDiffer:  "come to every line the way the engine runs, and stop the moment it meets the engine pointer",
	repeatability.Digit:        "say the nearest graduation, whatever its number. Let somebody else write it down",
	repeatability.Disagreement: "look at this line together and agree which edge is read, and from where",
}

// flagOrder orders the findings: what is said of a person is the first.
var flagOrder = []repeatability.Code{
	repeatability.StandsOut, repeatability.SitsOff, repeatability.Scatters, repeatability.StopCreeps, repeatability.StopWanders,
	repeatability.Drifts, repeatability.SidesDiffer, repeatability.Digit, repeatability.Disagreement,
}

// AboutPerson is one sentence that somebody can act on.
func AboutPerson(r repeatability.Result, p repeatability.Person) string {
	var small *repeatability.Flag
	for _, code := range flagOrder {
		for _, f := range r.Flags {
			switch {
			case f.By != p.By || f.Code != code:
			case tooSmall(r, f):
				small = &f
			default:
				return AboutFlag(f)
			}
		}
	}
	switch {
	case small != nil:
		return findingOf(*small) + ". This is real but small beside the tolerance. Nothing has to change."
	case p.SD.Known && p.SD.Value == 0:
		return tries(p.SD) + ". Such readings are too coarse to show how well this hand repeats. Read finer, if the readout allows it."
	case !p.SD.Known:
		return "one value of each mark does not show how well a hand repeats. Take two more."
	case r.Steadiest == p.By:
		return "a second try lands within " + again(p.SD) + " of the first, 19 times in 20. This hand is steadier than the rest by more than chance. Let the others watch."
	case len(r.People) == 1:
		return "a second try lands within " + again(p.SD) + " of the first, 19 times in 20. Let somebody else measure the same marks, to compare."
	}
	return "a second try lands within " + again(p.SD) + " of the first, 19 times in 20. Nothing sets this hand apart. Carry on like this."
}

// mostQuiet is how many people with nothing to do get a sentence each.
const mostQuiet = 8

// Quiet are the people of a large class who have nothing to do, and one sentence about
// all of them. Nobody where there are few.
func Quiet(r repeatability.Result) (who map[string]bool, text string) {
	who = map[string]bool{} // only looked up
	var each []string
	for _, p := range r.People {
		flagged := slices.ContainsFunc(r.Flags, func(f repeatability.Flag) bool { return f.By == p.By })
		if !flagged && p.SD.Known && r.Steadiest != p.By {
			who[p.By] = true
			reach := again(p.SD)
			if p.SD.Value == 0 {
				reach = "(not seen: all equal)"
			}
			each = append(each, Clean(p.By)+" "+reach)
		}
	}
	if len(each) <= mostQuiet {
		return nil, ""
	}
	return who, "Nothing sets these hands apart. Carry on like this. A second try lands within so much of the first, 19 times in 20: " + strings.Join(each, ", ") + "."
}

// tooSmall reports whether somebody sits off by less than a quarter of the
// tolerance, from where on the audit too calls an effect small.
func tooSmall(r repeatability.Result, f repeatability.Flag) bool {
	return f.Code == repeatability.SitsOff && math.Abs(f.Values[0]) < r.Data.Tolerance.Degrees()/4
}

// AboutSlip says which value a slip of the pen explains.
func AboutSlip(r repeatability.Result, s repeatability.Slip) string {
	where := "Trial " + strconv.Itoa(s.Trial)
	if s.Line > 0 {
		where = "Row " + strconv.Itoa(s.Line)
	}
	text := where + " (" + Clean(s.By) + ", " + Clean(s.Mark) + "): " + rounding.Plain(rounding.To(s.Value, 6))
	if math.IsNaN(s.Fits.Degrees()) {
		text += " lies far from every other value"
	} else {
		text += " where " + rounding.Plain(rounding.To(s.Fits, 6)) + " would fit"
	}
	if r.Data.AsRead {
		return text + ". It counts as it was read."
	}
	return text + ". It is left out of all figures here. Look it up in the notebook. If it was written wrongly, correct the row or take it out. If the notebook says the same, run this again with --as-read."
}

// LookFirst are the sentences about what was written down: slips of the pen, names
// written in two ways, names that are nearly the same, who is absent.
func LookFirst(r repeatability.Result) (out []string) {
	for _, s := range r.Slips {
		out = append(out, AboutSlip(r, s))
	}
	for _, list := range [][]repeatability.Alias{r.Data.People, r.Data.Marks} {
		for _, a := range list {
			out = append(out, Clean(a.Also)+" and "+Clean(a.Name)+" are taken as one.")
		}
	}
	for _, pair := range r.Near {
		out = append(out, Clean(pair[0])+" and "+Clean(pair[1])+" are one letter apart and have no trial in common. Are they one person, written in two ways?")
	}
	if len(r.Data.Absent) > 0 {
		out = append(out, "Absent: "+strings.Join(CleanAll(r.Data.Absent), ", ")+".")
	}
	return out
}

// findingOf says what was found of a person, without what to do.
func findingOf(f repeatability.Flag) string {
	v := f.Values
	switch f.Code {
	case repeatability.SitsOff:
		return "finds the marks " + rounding.TwoDigits(geometry.Angle(v[0])) + " " + laterOrEarlier(v[0]) + " than the class as a whole, time after time"
	case repeatability.Scatters:
		others := "those of the others within " + rounding.TwoDigits(geometry.Angle(repeatLimit*v[1]))
		if v[1] == 0 {
			others = "where those of the others showed the same as the first"
		}
		return "a second try lands only within " + rounding.TwoDigits(geometry.Angle(repeatLimit*v[0])) + " of the first, " + others
	case repeatability.StandsOut:
		n := max(rounding.Unsure, rounding.Places(math.Abs(v[0]-v[1])))
		return "one value of " + Clean(f.Mark) + " stands out, " + rounding.Fixed(v[0], n) + "° at trial " + strconv.Itoa(f.Trial) + " against " + rounding.Fixed(v[1], n) + "°"
	case repeatability.Drifts:
		return "the values wander " + laterOrEarlier(v[0]) + " by " + rounding.TwoDigits(geometry.Angle(v[0])) + " from the first trial to the last"
	case repeatability.SidesDiffer:
		return "finds a line " + laterOrEarlier(v[0]) + " by " + rounding.TwoDigits(geometry.Angle(v[0])) + " when it is approached forward instead of backward, the others " + laterOrEarlier(v[1]) + " by " + rounding.TwoDigits(geometry.Angle(v[1]))
	case repeatability.StopCreeps:
		way := "shrinks"
		if v[0] > 0 {
			way = "grows"
		}
		return "the half arc of the stop " + way + " by " + rounding.TwoDigits(geometry.Angle(v[0])) + " from the first pair to the last"
	case repeatability.StopWanders:
		return "the half arcs of the stop scatter by " + rounding.TwoDigits(geometry.Angle(v[0])) + ", those of the others by " + rounding.TwoDigits(geometry.Angle(v[1]))
	case repeatability.Digit:
		what := "multiples of " + rounding.Plain(rounding.To(geometry.Angle(v[0]), 6)) + "°"
		if v[0] == 1 {
			what = "whole degrees"
		}
		return fmt.Sprintf("all %.0f readings are %s, while the readout shows steps of %s°", v[1], what, rounding.Plain(rounding.To(geometry.Angle(v[2]), 6)))
	case repeatability.Disagreement:
		return "finds " + Clean(f.Mark) + " " + SideOf(v[0]) + " of where the rest of the values puts it, while people do not see all marks alike"
	}
	return string(f.Code)
}

// repeatLimit is what two values are within, 19 times in 20, over their
// standard deviation: 1.96 √2 (ISO 5725-6, 4.1).
const repeatLimit = 2.8

// tries says how far a second try of one hand lands from the first.
func tries(sd repeatability.Estimate) string {
	if sd.Value == 0 {
		return "every second try showed the same as the first"
	}
	return "a second try within " + again(sd) + " of the first, 19 times in 20"
}

// again is how far apart two tries of one hand are, 19 times in 20.
func again(sd repeatability.Estimate) string {
	return rounding.TwoDigits(geometry.Angle(repeatLimit * sd.Value))
}

// laterOrEarlier says which way a difference in degrees goes.
func laterOrEarlier(x float64) string {
	if x < 0 {
		return "earlier"
	}
	return "later"
}

// mostPlaces are the decimals of a mean of readings: no wheel is read finer.
const mostPlaces = 3

// SideOf says how far, in degrees, and which way.
func SideOf(x float64) string {
	a := geometry.Angle(x)
	text := rounding.OffBy(a, min(rounding.Places(a.Abs().Degrees()), mostPlaces))
	if text == "0°" {
		return "neither early nor late"
	}
	return text
}

// WhoNeeds lists what has to be done and by whom, the same for several said
// once.
func WhoNeeds(r repeatability.Result) []string {
	var out []string
	for _, code := range flagOrder {
		var who []string
		for _, f := range r.Flags {
			if f.Code == code && !tooSmall(r, f) {
				name := Clean(f.By)
				if f.Mark != "" {
					name += " (" + Clean(f.Mark) + ")"
				}
				who = append(who, name)
			}
		}
		if len(who) > 0 {
			out = append(out, strings.Join(who, ", ")+": "+cures[code]+".")
		}
	}
	return out
}

// AboutMethod says what the method as a whole can do, in plain words.
func AboutMethod(r repeatability.Result) []string {
	c := r.Components
	// Where nobody's scatter is seen, nothing is said of it, and the rest is a least.
	seen := c.Repeatability.Known && c.Repeatability.Value > 0
	atLeast, atMost := "", ""
	if c.Repeatability.Known && !seen {
		atLeast, atMost = "at least ", "at most "
	}
	var out []string
	if seen {
		out = append(out, "One person who measures a mark twice finds it again within "+withLimits(c.Repeatability)+", 19 times in 20.")
	}
	if c.Reproducibility.Known && c.Reproducibility.Value > 0 {
		s := "Two people find it within " + withLimits(c.Reproducibility) + " of each other."
		if !seen && c.Repeatability.Known {
			s += " Each hand's own scatter comes on top of that."
		}
		if c.Person.Known && c.Repeatability.Known {
			between := 1 - math.Pow(c.Repeatability.Value/c.Reproducibility.Value, 2)
			switch {
			case !r.BetweenChance.Known || r.BetweenChance.Value >= 0.05:
				s += " Nothing shows that people differ. Chance alone may make it look so."
			case !seen: // how much of it lies between people is not known
			case between < 0.2:
				s += " Nearly all of that is each hand's own scatter. Practice helps, comparing does not."
			case between > 0.8:
				s += " Nearly all of that is between people. They need to agree on how they look, not to practise."
			default:
				s += " Part of that is each hand's own scatter, part lies between people."
			}
		}
		out = append(out, s)
	}
	if x := r.Reference; x != nil {
		text := "Against what is known of the marks the class finds them " + SideOf(x.Bias.Value)
		if x.Bias.Bounded {
			text += ", between " + SideOf(x.Bias.Low) + " and " + SideOf(x.Bias.High) + " with 95 %"
		}
		for i, p := range r.People {
			if e := x.People[i]; e.Bounded && (e.Low > 0 || e.High < 0) {
				text += "; " + Clean(p.By) + " " + SideOf(e.Value)
			}
		}
		text += "."
		if x.OfMark.Known {
			text += " By ISO 5725-4 the bias of one mark, what is known of it taken as exact, is found to ± " + rounding.TwoDigits(geometry.Angle(x.OfMark.Value)) + "."
		}
		out = append(out, text)
	}
	// Without anybody's scatter a small share is not known to be small.
	if t := r.ShareOfTolerance; t.Known && (atLeast == "" || t.Value > 0.3) {
		say := "is more than measuring should take. The method is too coarse for this tolerance"
		switch {
		case t.Value <= 0.1:
			say = "leaves nearly all of it to the engine"
		case t.Value <= 0.3:
			say = "is usable where a wrong verdict costs little"
		}
		out = append(out, fmt.Sprintf("Measuring takes %s%s of the tolerance of ±%s° (six standard deviations over its whole width), which %s. A tenth or less is wanted. Three tenths is the most.", atLeast, rounding.Percent(t.Value), rounding.Plain(r.Data.Tolerance.Degrees()), say))
	}
	if k := r.Categories; k.Known {
		n := Categories(k)
		if n < 2 {
			out = append(out, "So measured, these marks can't be told from each other by how far they are off.")
		} else {
			out = append(out, "So measured, how far marks like these are off can be sorted into "+atMost+strconv.Itoa(n)+" groups. Five are wanted.")
		}
	}
	for _, s := range r.Anova {
		if s.Name != "interaction" || !s.P.Known {
			continue
		}
		p := rounding.Fixed(s.P.Value, 2)
		if s.P.Value < 0.005 {
			p = "below 0.01"
		}
		if r.Pooled {
			out = append(out, "People see all marks alike (chance of such differences "+p+"). What is left of that was pooled with the repeatability.")
		} else {
			out = append(out, "People see some marks differently from others, and this was kept apart (chance of such differences if they did not: "+p+").")
		}
	}
	if r.Method == repeatability.REML && (seen || c.Interaction.Value > 0) {
		out = append(out, "Not everybody measured every mark equally often. The parts come from restricted maximum likelihood, and their limits are approximate"+byMeans(r)+".")
	}
	if r.SharedSetups {
		out = append(out, "Values of one trial go together, as those of one setup do. Each hand is judged by its trials, not by its values.")
	}
	for _, g := range r.Gaps {
		if s := AboutGap(r, g); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// byMeans says where one of the limits comes from instead.
func byMeans(r repeatability.Result) string {
	if r.ByMeans {
		return ", but for those of two people, which come from the means of the cells"
	}
	return ""
}

// withLimits is the reach of a standard deviation with its interval.
func withLimits(e repeatability.Estimate) string {
	s := rounding.TwoDigits(geometry.Angle(repeatLimit * e.Value))
	if e.Bounded {
		s += " (that figure itself lies between " + rounding.TwoDigits(geometry.Angle(repeatLimit*e.Low)) + " and " + rounding.TwoDigits(geometry.Angle(repeatLimit*e.High)) + ")"
	}
	return s
}

// Categories cuts to a whole number, at least one, as the automotive measurement
// systems handbook does.
func Categories(k repeatability.Estimate) int {
	return int(math.Max(1, math.Min(k.Value, 1e6)))
}

// AboutGap says what the values cannot tell.
func AboutGap(r repeatability.Result, g repeatability.Gap) string {
	switch g {
	case repeatability.OnePerson:
		return "One person alone shows nothing of the differences between people."
	case repeatability.OneMark:
		return "One mark alone does not show whether people see all marks alike."
	case repeatability.OneRepeat:
		return "Everybody measured each mark once. What is called repeatability here holds a hand's own scatter and seeing marks differently. Measure twice to tell them apart."
	case repeatability.NoRepeat:
		return "Nothing was measured twice. How well anybody repeats is not known. Measure twice."
	case repeatability.NoInteraction:
		return "Too few people share too few marks to show whether they see all marks alike."
	case repeatability.NotConnected:
		return "Some people share no marks with the others, not even through a third. They can't be compared. Let all of them measure one mark."
	case repeatability.SomeNameless:
		return rounding.Count(r.Data.Nameless, "setup says", "setups say") + " nothing of who took them and took no part."
	case repeatability.ReadingsOnly:
		return "Each person took one setup, and the values are single readings. Fitting the readout again is not in anybody's scatter. It is in the differences between people."
	case repeatability.StepTooFine:
		return "Everybody reads a coarser step than the " + rounding.Plain(rounding.Trimmed(r.Data.Step.Degrees())) + "° on the sheet. Is that the readout's?"
	case repeatability.NoTolerance:
		return "No tolerance was stated. How much of it measuring takes is not known."
	case repeatability.StepHides:
		return "The step of " + rounding.Plain(rounding.Trimmed(r.Data.Step.Degrees())) + "° is coarser than the scatter. Readings that round alike look surer than they are."
	case repeatability.Rounded:
		if slices.Contains(r.Gaps, repeatability.OneRepeat) {
			return "Person and mark alone give every value exactly. The readout is too coarse to show anybody's scatter."
		}
		return "No two values of one person and mark differ. The readout is too coarse to show anybody's scatter."
	}
	return ""
}

// AboutMandel says from where on h and k are unusual; empty where there are none.
func AboutMandel(r repeatability.Result) string {
	var note []string
	if r.H1.Known {
		note = append(note, "h beyond ±"+rounding.Fixed(r.H1.Value, 2))
	}
	if r.K1.Known {
		note = append(note, "k above "+rounding.Fixed(r.K1.Value, 2))
	}
	if len(note) == 0 {
		return ""
	}
	return "Where nobody differs, one hand in a hundred has " + strings.Join(note, ", one ") + " (Mandel)."
}

// OfHand is where a person sits and how far a second try lands, for beside a
// picture.
func OfHand(p repeatability.Person) (sits, second string) {
	sits, second = "not known", "one value a line"
	if p.Deviation.Known {
		sits = SideOf(p.Deviation.Value)
	}
	if p.SD.Known {
		second = "a second try within " + again(p.SD)
		if p.SD.Value == 0 {
			second = "every second try the same"
		}
	}
	return sits, second
}
