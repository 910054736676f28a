package words

import (
	"fmt"

	"markaudit/audit/calculate"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// WhereTDC says where the readout stands at TDC, and what its step leaves open.
func WhereTDC(t calculate.PairTop) string {
	top := topText(t)
	onRim := t.Forward.Measured
	l := rounding.Lengths{Unit: t.Rim.Diameter.Unit}
	where := "TDC is where the readout shows " + top
	if onRim {
		where = "TDC is where the pointer stands " + top + " from the chalk line"
		if t.Chord {
			where += ", straight across"
		}
	}
	switch {
	case onRim && t.StepLength > 0:
		where += ", ± " + l.Of(geometry.Rim{Diameter: t.Rim.Diameter.Value}.Arc(t.StepLimit)) + " along the rim from the step of " + l.Entered(t.StepLength) + " alone"
	case t.Step > 0:
		where += ", ± " + rounding.Fixed(t.StepLimit.Degrees(), rounding.StepPlaces(t.StepLimit)) + " from its step of " + rounding.Plain(t.Step.Degrees()) + " alone"
	}
	return where + "."
}

// topText is the reading at TDC, with one decimal more than the contacts have.
func topText(t calculate.PairTop) string {
	return dialText(t.Pair, t.Reading, contactPlaces(t.Pair)+1)
}

// PairBlocks says how far the stop blocks the crank.
func PairBlocks(t calculate.PairTop) string {
	n, half := contactPlaces(t.Pair), contactPlaces(t.Pair)+1
	if t.Forward.Measured {
		n, half = rounding.Unsure, rounding.Unsure
	}
	return fmt.Sprintf("The stop blocks %s degrees, half of it %s.", rounding.Fixed(2*t.HalfArc.Degrees(), n), rounding.Fixed(t.HalfArc.Degrees(), half))
}

// WherePairsPutTDC says where the readout stands at TDC by several pairs, and how
// sure that is.
func WherePairsPutTDC(p calculate.Pairs) string {
	t := p.Mean
	where := "TDC is where the readout shows " + topText(t)
	if t.Forward.Measured {
		where = "TDC is where the pointer stands " + topText(t) + " from the chalk line"
		if t.Chord {
			where += ", straight across"
		}
	}
	switch {
	case p.Expanded == 0:
		return where + ", the mean of " + rounding.Count(len(p.Tops), "pair", "pairs") + " that read alike. How sure that is depends on the step: give it as --step."
	case t.Forward.Measured:
		where += ", ± " + rounding.Lengths{Unit: t.Rim.Diameter.Unit}.Of(geometry.Rim{Diameter: t.Rim.Diameter.Value}.Arc(p.Expanded)) + " along the rim"
	default:
		where += ", ± " + rounding.Fixed(p.Expanded.Degrees(), rounding.Places(p.Expanded.Degrees()))
	}
	text := where + " by " + rounding.Count(len(p.Tops), "pair", "pairs") + ", in 95 of 100 such cases"
	if t.Step == 0 {
		text += ". No step was given, and none is in it"
	}
	return text + "."
}

// PairRow is one of several pairs in a table.
func PairRow(p calculate.Pairs, i int) []string {
	t := p.Tops[i]
	n := contactPlaces(t.Pair)
	half := n + 1
	if t.Forward.Measured {
		half = rounding.Unsure
	}
	return []string{
		fmt.Sprint(i + 1), dialText(t.Pair, t.Forward.Value, n), dialText(t.Pair, t.Backward.Value, n), topText(t), rounding.Fixed(t.HalfArc.Degrees(), half),
	}
}

// allAlike is said of values of which the step shows no scatter: no number is zero.
const allAlike = "all alike"

// RepeatTo is the standard deviation of middles with n decimals.
func RepeatTo(sd geometry.Angle, n int) string {
	if sd < geometry.Tie {
		return allAlike
	}
	return rounding.Degrees(sd, n)
}

// PairsRepeat says how well the middles of several pairs repeat.
func PairsRepeat(p calculate.Pairs) string {
	sd := p.Repeats.Degrees()
	if p.Repeats < geometry.Tie {
		return "The middles are " + allAlike + "."
	}
	return "The middles repeat to " + rounding.Fixed(sd, rounding.Places(sd)) + " degrees (standard deviation of one)."
}

// PairsNotTold says what several pairs in one mounting cannot tell.
func PairsNotTold(t calculate.PairTop) string {
	untold := "whether the wheel sits off centre"
	if t.Forward.Measured {
		untold = "whether the rim runs true"
	}
	return "Not told by pairs alone: " + untold + ", what a pin or bore offset adds."
}

// PairMoves says how to get from the contact to TDC.
func PairMoves(t calculate.PairTop) []string {
	n, top := contactPlaces(t.Pair), topText(t)
	back := dialText(t.Pair, t.Again, 0)
	by := func(m calculate.CrankMove) string { return rounding.Fixed(m.By.Degrees(), 0) + " degrees" }
	if t.Forward.Measured {
		l := rounding.Lengths{Unit: t.Rim.Diameter.Unit}
		back = l.About(t.Shown(t.Again))
		by = func(m calculate.CrankMove) string {
			return rounding.Fixed(m.By.Degrees(), 0) + " degrees (" + l.About(geometry.Rim{Diameter: t.Rim.Diameter.Value}.Arc(m.By)) + " of rim)"
		}
	}
	if t.Standing == sheet.Forward {
		return []string{
			fmt.Sprintf("You stand at the forward contact, %s, before TDC. Turn the engine THE WAY IT RUNS, by about %s, up to %s, and stop there.",
				dialText(t.Pair, t.Forward.Value, n), by(t.Moves[0]), top),
			fmt.Sprintf("Gone past it? Turn back to about %s and come up to %s again.", back, top),
		}
	}
	first, second := t.Moves[0], t.Moves[1]
	return []string{
		fmt.Sprintf("You stand at the backward contact, %s, past TDC. Turn the engine AGAINST the way it runs, by about %s: past %s, on to about %s.",
			dialText(t.Pair, t.Backward.Value, n), by(first), top, back),
		fmt.Sprintf("Turn it THE WAY IT RUNS, by about %s, up to %s, and stop there. Gone past it? Turn back to about %s and come up again.", by(second), top, back),
	}
}

// PairDoubts says what of a pair of contacts may be wrong.
func PairDoubts(t calculate.PairTop) []string {
	var out []string
	if t.InDwell {
		out = append(out, "the arc is so small that it lies in the dwell. The piston hardly moves there, and a hair of height is a degree. Fit the stop deeper, for a half arc of 20 to 35, and take the pair again.")
	}
	if t.HalfTurn {
		other := (t.Reading + 180).Turn()
		out = append(out, "the stop blocks half a turn, and the two contacts lie alike to both dead centres. The other middle is "+dialText(t.Pair, other, contactPlaces(t.Pair)+1)+". Which of them is TDC depends on the way the readout counts, and on which contact is the forward one. Look whether the piston is at its top there, not at its bottom. Fit the stop higher: as deep as this it may meet a valve.")
	}
	if t.Guessed {
		out = append(out, "no --counts was given. The lengths are taken to "+growOrFall(t.Counts)+" while the engine turns the way it runs: otherwise the stop would block more than half a turn. If they do not, the two contacts are swapped. TDC stays where it is, and the ways to turn change places.")
	}
	return out
}

// PairNotTold says what one pair cannot tell.
func PairNotTold(t calculate.PairTop) string {
	untold := "whether the wheel sits off centre"
	if t.Forward.Measured {
		untold = "whether the rim runs true"
	}
	return "Not told by one pair: how well it repeats (take three or more), " + untold + ", what a pin or bore offset adds."
}

// FromContact leads to the distances from either contact to TDC.
func FromContact(t calculate.PairTop) string {
	rim := rounding.Lengths{Unit: t.Rim.Diameter.Unit}.Quantity(t.Rim.Diameter)
	if t.Forward.Measured {
		return "From either contact's line to TDC, between the two, on a rim of " + rim
	}
	return "From either contact to TDC on a rim of " + rim
}

// StepOff says which way to go from either contact's line.
func StepOff(t calculate.PairTop) string {
	return fmt.Sprintf("Step it off from the forward line where the lengths %s, and from the backward line where they %s: both must meet at TDC.", growOrFall(t.Counts), growOrFall(-t.Counts))
}

// growOrFall says what lengths do while the engine turns the way it runs.
func growOrFall(s geometry.Sense) string {
	if s == geometry.CountsDown {
		return "fall"
	}
	return "grow"
}

// contactPlaces is the number of decimals of a contact: those of the step, and
// of what was read more finely.
func contactPlaces(p calculate.Pair) int {
	return max(rounding.StepPlaces(p.Step), rounding.StepPlaces(p.Forward.Value), rounding.StepPlaces(p.Backward.Value))
}

// dialText is a reading as the readout shows it, 0 to 360; with letters as well
// where a contact was read with them; a length on a rim.
func dialText(p calculate.Pair, a geometry.Angle, n int) string {
	if p.Forward.Measured {
		return rounding.Lengths{Unit: p.Rim.Diameter.Unit}.Of(p.Shown(a))
	}
	a = geometry.Angle(rounding.To(a, n))
	text := rounding.Round(a, n)
	if p.Forward.Lettered || p.Backward.Lettered {
		return a.Wrap().Crank(n) + " (" + text + ")"
	}
	return text
}

// PistonDrop says where the crank stands when the piston is so far down, a
// sentence each.
func PistonDrop(m calculate.PistonMeasure, r calculate.PistonDrop) []string {
	l := rounding.Lengths{Unit: m.Unit}
	worth := "There a degree is worth " + l.PerDegree(r.Before.PerDegree) + "."
	if before, after := l.PerDegree(r.Before.PerDegree), l.PerDegree(r.After.PerDegree); before != after {
		worth = "There a degree is worth " + before + " before and " + after + " after TDC."
	}
	out := []string{"The piston is " + l.Entered(r.Drop) + " below its top at " + bothSides(r) + ".", worth}
	if m.Diameter > 0 {
		where := l.Of(-r.Before.Arc) + " before TDC and " + l.Of(r.After.Arc) + " after"
		if l.Of(-r.Before.Arc) == l.Of(r.After.Arc) {
			where = l.Of(r.After.Arc) + " to either side of TDC"
		}
		out = append(out, "Along a rim of "+l.Of(m.Diameter)+" that is "+where+".")
	}
	if r.Shown != nil {
		out = append(out, fmt.Sprintf("An indicator slanting %s to the cylinder shows %s there, on a flat crown. Where it shows %s itself, the piston is %s below its top, at %s.",
			rounding.EnteredAngle(m.Probe), l.Of(r.Indicator), l.Entered(r.Drop), l.Of(r.Shown.Drop), bothSides(*r.Shown)))
	}
	return append(out, fromTop(r.ThrowToTDC)...)
}

// PistonAngle says how far down the piston is at a crank angle, a sentence
// each.
func PistonAngle(m calculate.PistonMeasure, r calculate.PistonAngle) []string {
	l := rounding.Lengths{Unit: m.Unit}
	a := r.Angle.Value
	at := a.Crank(max(rounding.Unsure, rounding.StepPlaces(a)))
	if a == 0 {
		at = "TDC"
	}
	out := []string{
		"At " + at + " the piston is " + l.Sized(r.Drop) + " below its top.",
		"There a degree is worth " + l.PerDegree(r.PerDegree) + ".",
	}
	if m.Diameter > 0 && a != 0 {
		way := "after"
		if a < 0 {
			way = "before"
		}
		out = append(out, "Along a rim of "+l.Of(m.Diameter)+" that is "+l.Of(max(r.Arc, -r.Arc))+" "+way+" TDC.")
	}
	if m.Probe > 0 {
		out = append(out, "An indicator slanting "+rounding.EnteredAngle(m.Probe)+" to the cylinder shows "+l.Sized(r.Indicator)+" there, on a flat crown.")
	}
	return append(out, fromTop(r.ThrowToTDC)...)
}

// bothSides says where the crank stands before TDC and after it.
func bothSides(r calculate.PistonDrop) string {
	if r.Drop == 0 {
		return "TDC itself"
	}
	return rounding.SizedCrank(r.Before.Angle) + " and " + rounding.SizedCrank(r.After.Angle)
}

// fromTop says what the angles count from, where there are two tops.
func fromTop(t calculate.Sized[geometry.Angle]) []string {
	open := t.Limit.Half.Degrees()
	switch {
	case t.Value == 0 && open == 0:
		return nil
	case open == 0:
		return []string{"Angles count from the piston's top, which comes " + rounding.Beside(t.Value) + " the throw's."}
	case t.Value == 0:
		return []string{"Angles count from the piston's top, which comes up to " + rounding.Fixed(open, 3) + "° before or after the throw's: to which side the offset lies is not known. The ± is what it leaves open."}
	}
	return []string{"Angles count from the piston's top, which comes " + rounding.Beside(t.Value) + " the throw's, ± " + rounding.Fixed(open, 3) + "°. The ± is what the offset leaves open."}
}

// RimTitle leads to what an angle or a length is on a rim.
func RimTitle(what string, m calculate.RimMeasure) string {
	return what + " on a rim of " + rounding.Lengths{Unit: m.Diameter.Unit}.Quantity(m.Diameter)
}

// AboutRimLimit says what the ± of lengths on a rim stands for.
const AboutRimLimit = "The ± is what the diameter leaves open. How finely you can mark and measure adds to it."
