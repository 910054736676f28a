package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit/report/rounding"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Wheel says the sentences about a readout.
type Wheel struct{ wheel.Result }

// Places shows the errors of the readout to a digit that their doubt leaves,
// two or three decimals.
func (v Wheel) Places() int {
	if !v.Known {
		return rounding.Unsure
	}
	return min(max(rounding.Places(v.Expanded(v.LargestAt).Degrees()), rounding.Unsure), 3)
}

// angle prints an angle with the places of the errors.
func (v Wheel) angle(a geometry.Angle) string {
	return rounding.Degrees(a, v.Places())
}

// Sure is an angle with its uncertainty, which is never rounded to nothing.
func (v Wheel) Sure(a, u geometry.Angle) string {
	if !v.Known {
		return v.angle(a)
	}
	n := v.Places()
	return rounding.Fixed(a.Degrees(), n) + " ± " + rounding.NotNothing(u.Degrees(), n) + "°"
}

// ofCurve is the error at a reading; where rounding is alike all round it has no ±.
func (v Wheel) ofCurve(e, at geometry.Angle) string {
	if !v.CurveKnown() {
		return v.angle(e)
	}
	return v.Sure(e, v.Expanded(at))
}

// OfCurve is the error where the readout shows an angle.
func (v Wheel) OfCurve(at geometry.Angle) string { return v.ofCurve(v.ErrorAt(at), at) }

// Graduation names one, to whole degrees.
func Graduation(a geometry.Angle) string {
	return rounding.Round(a, 0)
}

// slid prints a length to be slid by: three digits, so that what rounding leaves
// is nothing beside what is slid away.
func (v Wheel) slid(l geometry.Length) string {
	digits := func(x float64, least int) string {
		if x <= 0 {
			return rounding.Fixed(x, least)
		}
		return rounding.Fixed(x, min(max(2-int(math.Floor(math.Log10(x))), least), 4))
	}
	mm := digits(l.Millimetres(), 2) + " mm"
	if v.Unit.Imperial() {
		return digits(l.In(geometry.Inch), 3) + " in (" + mm + ")"
	}
	return mm
}

// Title names the table, and how much was read.
func (v Wheel) Title(path string) string {
	parts := []string{Clean(path)}
	if v.Diameter > 0 {
		parts = append(parts, rounding.Lengths{Unit: v.Unit}.Of(v.Diameter)+" across")
	}
	what := rounding.Count(v.Stations, "station", "stations")
	if v.Binned {
		what = rounding.Count(v.Rows, "row", "rows") + " in " + rounding.Count(v.Stations, "tenth of a degree", "tenths of a degree")
	}
	switch {
	case v.Opposite:
		what += ", two opposite pointers"
	case v.BothWays:
		what += ", both directions"
	}
	if n := len(v.Mountings); n > 1 {
		what += fmt.Sprintf(", %d mountings", n)
	}
	return strings.Join(append(parts, what), ", ")
}

// Answer says how wrong the readout reads.
func (v Wheel) Answer() string {
	what := "The readout reads wrong by up to "
	if v.Opposite {
		what = "By its odd harmonics, all that opposite pointers show, the readout reads wrong by up to "
	}
	if !v.Known && v.Largest < geometry.Tie {
		return "No error of the readout shows: the readings agree with each other and with the curve to the last digit. How far that is from the truth is not known."
	}
	text := what + v.ofCurve(v.Largest, v.LargestAt) + ", where it shows " + Graduation(v.LargestAt) +
		". From its lowest error to its highest it is " + v.angle(v.PeakToPeak) + "."
	switch {
	case v.Lattice != nil:
		return text + " This is only what the step shows. All stations are rounded alike, and this may hide an amplitude of up to " + v.angle(v.Lattice.Limit) + "."
	case v.Opposite:
		return text
	}
	return text + " A line can seem off by as much as that, " + v.angle(v.PeakToPeak) + ", with nothing wrong but the readout."
}

// Because says what the first harmonic is.
func (v Wheel) Because() string {
	first, o := v.Harmonics[0], v.OffCentre
	switch o.Worth {
	case wheel.ColumnsDoubted:
		return "The columns may be exchanged. Whether it sits off centre is not said before that is clear."
	case wheel.StepRules:
		return "Whether it sits off centre does not show. The step may make as much of it by itself."
	case wheel.NotSeen:
		return "Whether it sits off centre does not show above the scatter."
	}
	var all float64
	for _, h := range v.Harmonics {
		all += h.Amplitude.Degrees() * h.Amplitude.Degrees()
	}
	share := first.Amplitude.Degrees() * first.Amplitude.Degrees() / all
	part := "Part of that"
	switch {
	case share > 0.95:
		part = "Nearly all of that"
	case share > 0.5:
		part = "Most of that"
	}
	where := "off centre"
	if v.Diameter > 0 {
		where = v.slidSure(o) + " off centre"
	}
	return part + " is because it sits " + where + ", towards its " + Graduation(o.Toward) + " graduation."
}

// slidSure is how far off centre it sits, with the uncertainty.
func (v Wheel) slidSure(o wheel.OffCentre) string {
	if !v.Known {
		return v.slid(o.By)
	}
	n := func(x float64) int { return min(max(rounding.Places(x), rounding.Unsure), 3) }
	u := geometry.Length(v.ExpandedAmplitude(v.Harmonics[0]).Radians() * (v.Diameter / 2).Millimetres()).Millimetres()
	mm := rounding.Fixed(o.By.Millimetres(), n(u)) + " ± " + rounding.NotNothing(u, n(u)) + " mm"
	if v.Unit.Imperial() {
		u := geometry.Length(u).In(geometry.Inch)
		return rounding.Fixed(o.By.In(geometry.Inch), 4) + " ± " + rounding.NotNothing(u, 4) + " in (" + mm + ")"
	}
	return mm
}

// ToDo is what to do, most important first.
func (v Wheel) ToDo() []string {
	var out []string
	if v.Swapped {
		out = append(out, v.Doubt())
	}
	if s := v.StandsOut; s != nil {
		out = append(out, v.standsOut())
	}
	if v.Lattice != nil {
		out = append(out, v.lattice())
	}
	out = append(out, v.Recentre())
	switch {
	case v.Swapped, v.Lattice != nil:
	case v.Opposite:
		out = append(out, "At the engine read both pointers. Take the mean of the first and of the second less 180. The odd harmonics, off centre with them, are then gone without any sliding.")
	case !v.Known:
		out = append(out, "Take more stations, or each twice, or state the step with --step. Nothing here shows how sure these figures are.")
	case v.OffCentre.Worth != wheel.WorthDoing && slices.ContainsFunc(v.Harmonics, wheel.Harmonic.Seen):
		out = append(out, "Or let the computer take it off. Run `markaudit wheel` with --write FILE --name NAME: it saves a correction. Name that file on the sheet under readout.correction.")
	}
	if c := v.Closure; c != nil && c.Missing != nil {
		out = append(out, v.Missing())
	}
	return out
}

// standsOut says which station does not fit the others.
func (v Wheel) standsOut() string {
	s := v.StandsOut
	at := "where the reference shows " + rounding.Plain(rounding.To(s.Reference, 4))
	if v.Opposite {
		at = "where the pointer shows " + rounding.Plain(rounding.To(s.Reading, 4))
	}
	if s.Mounting != "" {
		at += " in mounting " + Clean(s.Mounting)
	}
	lead := "One station stands out: "
	if len(s.Rows) > 0 {
		lead += rows(s.Rows) + ", "
	}
	return lead + at + " the reading is " + v.angle(s.By.Abs()) + " too " + highLow(s.By) +
		" for what the others say. " + v.used()
}

// used says whether a station that stands out is in the figures.
func (v Wheel) used() string {
	switch {
	case v.AsRead:
		return "It counts as it was read."
	case v.StandsOut.LeftOut:
		return "All figures here are without it. Read it again, and run this again. With --as-read it counts."
	}
	return "Without it too few are left, and it is used all the same. Read it again, and run this again."
}

// Doubt says that it is not clear which column is which.
func (v Wheel) Doubt() string {
	return "The readings lie on whole graduations, the reference does not. If you set the wheel and read the reference, say --set wheel. If not, the columns are swapped and every sign with them."
}

// lattice says what rounding may make by itself, and what to do.
func (v Wheel) lattice() string {
	text := "Your stations lie on the graduations, and all are rounded alike. The step of " + rounding.Plain(rounding.Trimmed(v.Step.Degrees())) +
		"° may make up to " + rounding.TwoDigits(v.Lattice.Limit) + " of an amplitude by itself."
	if n := v.Lattice.Stations; n > 0 {
		text += fmt.Sprintf(" Read %d stations instead of %d, every %s°. Or set the wheel to its graduations and read the finer instrument.", n, v.Stations, rounding.Plain(rounding.To(geometry.Angle(360/float64(n)), 2)))
	} else {
		text += " Spread the stations unevenly. Or set the wheel to its graduations and read the finer instrument."
	}
	return text
}

// Recentre says whether and how to centre the wheel.
func (v Wheel) Recentre() string {
	o := v.OffCentre
	move := ""
	if v.Diameter > 0 {
		move = " " + v.slid(o.By)
	}
	how := "slide the wheel on its shaft so that its " + Graduation(o.Slide) + " graduation moves" + move + " AWAY from the shaft's centre"
	left := "about " + v.angle(o.Left) + " would be left"
	switch o.Worth {
	case wheel.NotSeen:
		return "Leave the wheel where it sits. What centring could gain does not show above the scatter."
	case wheel.TooSmall:
		return "Leave the wheel where it sits. To centre it, its " + Graduation(o.Slide) + " graduation would have to move" + move + ". Nobody can slide it by so little."
	case wheel.ColumnsDoubted:
		return "Do not centre it by this. Which way is not clear before the columns are."
	case wheel.StepRules:
		return "Leave the wheel where it sits. What centring could gain is less than the step."
	case wheel.NotSure:
		return "Leave the wheel where it sits. Slid by this it would sit better with a chance of " + v.chance() + " only. Take more stations, and read each more often."
	case wheel.LittleGained:
		return "Centring gains little. Of the error " + left + ". To do it all the same, " + how + "."
	}
	text := "Centring is worth doing. " + Sentence(how) + " Then " + left
	if !math.IsNaN(o.Chance) {
		text += ". It then sits better than now with a chance of " + v.chance()
	}
	text += ". Take the table again to see it."
	if v.Diameter == 0 {
		text += " How far, in millimetres, comes with --diameter."
	}
	return text
}

// chance is how likely it sits better when slid, never said to be certain.
func (v Wheel) chance() string {
	return rounding.Percent(min(0.99, math.Floor(100*v.OffCentre.Chance)/100))
}

// AboutCurve says what ± stands for in the curve; empty where there is none.
func (v Wheel) AboutCurve() string {
	switch {
	case v.Lattice != nil:
		return "There is no ±. How much of this is rounding is not known."
	case !v.Known:
		return ""
	case v.FromStep:
		return "The true curve lies within ± in 95 of 100 cases. The ± comes from the step of the readings. They scatter by less."
	}
	return "The true curve lies within ± in 95 of 100 cases."
}

// AboutHarmonics says how harmonics make the error.
const AboutHarmonics = "The error is the sum of amplitude × sin(harmonic × reading − phase)."

// HarmonicSeen says whether a harmonic shows above the scatter.
func HarmonicSeen(known bool, h wheel.Harmonic) string {
	switch {
	case !known || math.IsNaN(h.P) && h.Standard > 0:
		return "can't be told"
	case h.Seen() || h.Standard == 0:
		return "clearly"
	}
	return "hardly"
}

// HarmonicCause is what most often makes a harmonic of an order. Common practice, no source.
func HarmonicCause(order int) string {
	switch order {
	case 1:
		return "off centre"
	case 2:
		return "oval, bent or tilted"
	case 3:
		return "three jaws, three screws"
	}
	return "how it was divided"
}

// Above says what the stations cannot carry.
func (v Wheel) Above() string {
	kept := v.Harmonics[len(v.Harmonics)-1].Order
	text := "Orders above the " + ordinal(kept) + ", and errors between the stations, are not seen here."
	if len(v.Refused) == 0 || v.Refused[0].Order-kept > 2 {
		return text
	}
	text = ""
	for _, x := range v.Refused {
		text += " " + v.AboutRefused(x) + "."
	}
	return strings.TrimSpace(text)
}

// AboutRefused says why an order is not given.
func (v Wheel) AboutRefused(x wheel.Refused) string {
	where := "These stations"
	if v.Spacing > 0 && len(v.Mountings) == 1 {
		where = "Stations at every " + rounding.Plain(rounding.To(v.Spacing, 2)) + " degrees"
	}
	order := "the " + ordinal(x.Order) + " harmonic"
	switch x.Reason {
	case wheel.LikeReference:
		return "These mountings can't tell " + order + " from the reference's own"
	case wheel.HalfSeen:
		return where + " show only one of the two parts of " + order
	case wheel.LooksLike:
		if x.Like == 0 {
			return where + " can't tell " + order + " from where the readout has its zero"
		}
		return where + " can't tell the " + ordinal(x.Like) + " harmonic from the " + ordinal(x.Order) +
			": what is given as the " + ordinal(x.Like) + " may be the " + ordinal(x.Order)
	}
	return "There are too few stations for " + order
}

// ordinal is a number as in "the third".
func ordinal(n int) string {
	names := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth"}
	switch {
	case n < len(names):
		return names[n]
	case n%10 == 1 && n != 11:
		return fmt.Sprintf("%dst", n)
	case n%10 == 2 && n != 12:
		return fmt.Sprintf("%dnd", n)
	case n%10 == 3 && n != 13:
		return fmt.Sprintf("%drd", n)
	}
	return fmt.Sprintf("%dth", n)
}

// Scatter says how the readings lie about the curve.
func (v Wheel) Scatter() string {
	if v.Residual == 0 {
		return "none to be seen: the table has no more readings than the curve has unknowns, or they agree to the last digit."
	}
	return "readings lie " + rounding.Fixed(v.Residual.Degrees(), min(max(rounding.Places(v.Residual.Degrees()), rounding.Unsure), 4)) + "° about the curve (standard deviation)."
}

// AboutLostMotion says what reversing loses, and how to write it on a sheet.
func (v Wheel) AboutLostMotion() string {
	l := v.LostMotion
	u := geometry.Angle(wheel.Result{DOF: l.DOF}.Coverage()) * l.Standard
	text := v.Sure(l.Value, u) + " between the two directions."
	if !v.Known {
		return text + " Nothing here shows how sure that is."
	}
	if v.Known && l.Value <= u {
		return text + " That is no more than scatter."
	}
	return text + " On a sheet: lost_motion: " + rounding.Fixed(l.Value.Degrees(), v.Places()) + " ± " + rounding.NotNothing(u.Degrees(), v.Places()) + "."
}

// AboutCounts says which way the readout counts.
func (v Wheel) AboutCounts() string {
	if v.Counts == geometry.CountsUp {
		return "the same way as the reference."
	}
	return "the other way round than the reference."
}

// AboutMountings says what the mountings tell of readout and reference.
func (v Wheel) AboutMountings() string {
	c := v.Closure
	switch {
	case c.Complete:
		text := "they tell the readout from the reference: what is above is the readout's own. Graduation by graduation:"
		if !c.Known {
			text += " (no ±: there is not one reading more than unknowns)"
		}
		return text
	case c.Separated:
		return "they tell the readout's harmonics above from the reference's, but not yet each graduation's error."
	}
	return "they do not tell the readout from the reference: what is above is the errors of both."
}

// Missing says which mounting would complete the closure.
func (v Wheel) Missing() string {
	m := v.Closure.Missing
	if m.Turn == 0 {
		return "Read the stations that mounting " + Clean(m.Mounting) + " lacks. Then every graduation's error can be told from the reference's."
	}
	return "A mounting is missing. Turn the readout on the reference by " + rounding.Plain(rounding.To(m.Turn, 2)) + " degrees from where it sits in mounting " +
		Clean(m.Mounting) + ", and read all stations once more. Then every graduation's error can be told from the reference's."
}

// AboutGraduations says what the errors of graduations leave open.
const AboutGraduations = "Round the circle each column of errors sums to zero."

// AboutAxis says what the figures of a rotary axis rest on.
func (v Wheel) AboutAxis() string {
	return fmt.Sprintf("%d targets, %d runs. Readings less reference. The standard asks for five runs.", v.Axis.Targets, v.Axis.Runs)
}

// NotSeen says what such a table cannot show.
func (v Wheel) NotSeen() []string {
	var out []string
	switch c := v.Closure; {
	case v.Opposite:
		out = append(
			out, "All even harmonics. An oval or tilted wheel shows both pointers the same.",
			"Where the second pointer sits. It only has to stay there.",
		)
	case c != nil && c.Separated:
		out = append(
			out, "What each mounting does to the wheel. If it sits off centre differently each time, this is in the scatter and not in the curve.",
			"Where readout and reference have their zeros.",
		)
	case v.Reference.Limit > 0:
		out = append(out, "Which part of the error is the reference's. By its certificate it may be "+rounding.TwoDigits(v.Reference.Limit)+". This is in every ± here.")
	default:
		out = append(out, "An error that the reference has too. Turn the readout on the reference, read again, and give each mounting a name in a column mounting.")
	}
	out = append(out, "What changes when the wheel goes onto the engine. Its first harmonic holds for this mounting only. The others stay with the wheel.")
	if v.Reference.Limit > 0 && (v.Opposite || v.Closure != nil && v.Closure.Separated) {
		out = append(out, "The reference's stated limit plays no part here. Its errors are taken out in another way.")
	}
	if !v.BothWays && !v.Opposite {
		out = append(out, "Lost motion. The stations were read from one direction only.")
	}
	return out
}

// highLow says which way a reading is off.
func highLow(a geometry.Angle) string {
	if a < 0 {
		return "low"
	}
	return "high"
}

// Centring says below the picture of a wheel what to do about its centre, in two
// short lines; the second may be empty.
func (v Wheel) Centring() (first, second string) {
	o := v.OffCentre
	sits := "It sits off centre"
	if v.Diameter > 0 {
		sits = "It sits " + v.slid(o.By) + " off centre"
	}
	switch o.Worth {
	case wheel.WorthDoing:
		move := ""
		if v.Diameter > 0 {
			move = v.slid(o.By) + " "
		}
		return "Slide it so that its " + Graduation(o.Slide) + " graduation", "moves " + move + "AWAY from the shaft's centre."
	case wheel.LittleGained:
		return sits + ",", "but centring gains little."
	case wheel.ColumnsDoubted:
		return "Do not centre it by this:", "the columns may be exchanged."
	case wheel.NotSeen, wheel.StepRules:
		return "Leave it where it sits: off centre", "by no more than readings scatter or round."
	}
	return sits + ".", "Leave it there: too little, or not sure."
}

// OffCentreSeen reports whether it shows at all which way the wheel sits off.
func (v Wheel) OffCentreSeen() bool {
	switch v.OffCentre.Worth {
	case wheel.NotSeen, wheel.StepRules, wheel.ColumnsDoubted:
		return false
	}
	return true
}

// Range is how far the reading error goes from its least to its most.
func (v Wheel) Range(low, high float64) string { return rounding.Fixed(high-low, v.Places()) + "°" }
