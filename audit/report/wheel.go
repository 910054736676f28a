package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Wheel turns the audit of a readout into a document, for who wants to know
// whether the mark is wrong or the wheel: the answer first, then what to do,
// how it reads round the circle, and what this table cannot show.
func Wheel(r wheel.Result, o document.Options) document.Doc {
	v := dialVoice{r}
	d := document.Doc{document.Heading{Text: v.title(o.Path)}, document.Sentence{Text: v.answer()}, document.Sentence{Text: v.because()}, document.Space{}}
	d = append(d, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: v.toDo()}, document.Space{})
	d = append(d, document.Sentence{Lead: "HOW IT READS"}, v.curve(), document.Space{}, v.orders(), document.Sentence{Text: v.above()})
	d = append(d, document.Space{}, document.Sentence{Lead: "SCATTER", Text: v.scatter()})
	if r.LostMotion != nil {
		d = append(d, document.Sentence{Lead: "LOST MOTION", Text: v.lostMotion()})
	}
	if r.Counts != 0 {
		d = append(d, document.Sentence{Lead: "COUNTS", Text: v.counts()})
	}
	if c := r.Closure; c != nil {
		d = append(d, document.Sentence{Lead: "MOUNTINGS", Text: v.mountings()})
		if c.Complete {
			d = append(d, v.graduations())
		}
	}
	if r.Axis != nil {
		d = append(d, document.Space{}, document.Sentence{Lead: "AS A ROTARY AXIS"}, v.axis())
	}
	return append(d, document.Space{}, document.Sentence{Lead: "NOT SEEN HERE", Text: strings.Join(v.notSeen(), " ")})
}

// dialVoice says the sentences about a readout.
type dialVoice struct{ wheel.Result }

// places shows the errors of the readout to a digit that their doubt leaves,
// two or three decimals.
func (v dialVoice) places() int {
	if !v.Known {
		return rounding.Unsure
	}
	return min(max(rounding.Places(v.Expanded(v.LargestAt).Degrees()), rounding.Unsure), 3)
}

// angle prints an angle with the places of the errors.
func (v dialVoice) angle(a geometry.Angle) string {
	return rounding.Degrees(a, v.places())
}

// sureAngle is an angle with its uncertainty, which is never rounded to nothing.
func (v dialVoice) sureAngle(a, u geometry.Angle) string {
	if !v.Known {
		return v.angle(a)
	}
	n := v.places()
	return rounding.Fixed(a.Degrees(), n) + " ± " + rounding.NotNothing(u.Degrees(), n) + "°"
}

// graduation names one, to whole degrees.
func graduation(a geometry.Angle) string {
	return rounding.Round(a, 0)
}

// slid prints a length to be slid by: three digits, so that what rounding leaves
// is nothing beside what is slid away.
func (v dialVoice) slid(l geometry.Length) string {
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

// title names the table, and how much was read.
func (v dialVoice) title(path string) string {
	parts := []string{clean(path)}
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

// answer says how wrong the readout reads.
func (v dialVoice) answer() string {
	what := "The readout reads wrong by up to "
	if v.Opposite {
		what = "By its odd harmonics, all that opposite pointers show, the readout reads wrong by up to "
	}
	text := what + v.sureAngle(v.Largest, v.Expanded(v.LargestAt)) + ", where it shows " + graduation(v.LargestAt) +
		"; from its lowest error to its highest it is " + v.angle(v.PeakToPeak) + "."
	if v.Opposite {
		return text
	}
	return text + " A line can seem off by as much as that, " + v.angle(v.PeakToPeak) + ", with nothing wrong but the readout."
}

// because says what the first harmonic is.
func (v dialVoice) because() string {
	first, o := v.Harmonics[0], v.OffCentre
	if o.Worth == wheel.NotSeen {
		return "That it sits off centre does not show above the scatter."
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
	return part + " is because it sits " + where + ", towards its " + graduation(o.Toward) + " graduation."
}

// slidSure is how far off centre it sits, with the uncertainty.
func (v dialVoice) slidSure(o wheel.OffCentre) string {
	if !v.Known {
		return v.slid(o.By)
	}
	n := func(x float64) int { return min(max(rounding.Places(x), rounding.Unsure), 3) }
	u := v.Coverage() * o.Standard.Millimetres()
	mm := rounding.Fixed(o.By.Millimetres(), n(u)) + " ± " + rounding.NotNothing(u, n(u)) + " mm"
	if v.Unit.Imperial() {
		u := geometry.Length(u).In(geometry.Inch)
		return rounding.Fixed(o.By.In(geometry.Inch), 4) + " ± " + rounding.NotNothing(u, 4) + " in (" + mm + ")"
	}
	return mm
}

// toDo is what to do, most important first.
func (v dialVoice) toDo() []string {
	var out []string
	if s := v.StandsOut; s != nil {
		out = append(out, v.standsOut())
	}
	out = append(out, v.recentre())
	switch {
	case v.Opposite:
		out = append(out, "At the engine read both pointers, and take the mean of the first and of the second less 180: the odd harmonics, off centre with them, are then gone without any sliding.")
	case !v.Known:
		out = append(out, "Take more stations, or each twice: nothing here shows how sure these figures are.")
	case v.OffCentre.Worth != wheel.WorthDoing && slices.ContainsFunc(v.Harmonics, wheel.Harmonic.Seen):
		out = append(out, "Or let the computer take it off: `markaudit wheel` with --write FILE --name NAME saves a correction, which a sheet names under readout.correction.")
	}
	if c := v.Closure; c != nil && c.Missing != nil {
		out = append(out, v.missing())
	}
	return out
}

// standsOut says which station does not fit the others.
func (v dialVoice) standsOut() string {
	s := v.StandsOut
	at := "where the reference shows " + rounding.Plain(rounding.To(s.Reference, 4))
	if v.Opposite {
		at = "where the pointer shows " + rounding.Plain(rounding.To(s.Reading, 4))
	}
	if s.Mounting != "" {
		at += " in mounting " + clean(s.Mounting)
	}
	return "One station stands out: " + at + " the reading is " + v.angle(s.By.Abs()) + " too " + highLow(s.By) +
		" for what the others say. It is used all the same. Read it again, and run this again."
}

// highLow says which way a reading is off.
func highLow(a geometry.Angle) string {
	if a < 0 {
		return "low"
	}
	return "high"
}

// recentre says whether and how to centre the wheel.
func (v dialVoice) recentre() string {
	o := v.OffCentre
	move := ""
	if v.Diameter > 0 {
		move = " " + v.slid(o.By)
	}
	how := "slide the wheel on its shaft so that its " + graduation(o.Slide) + " graduation moves" + move + " AWAY from the shaft's centre"
	left := "about " + v.angle(o.Left) + " would be left"
	switch o.Worth {
	case wheel.NotSeen:
		return "Leave the wheel where it sits: what centring could gain does not show above the scatter."
	case wheel.TooSmall:
		return "Leave the wheel where it sits: to centre it, its " + graduation(o.Slide) + " graduation would have to move" + move + ", less than anyone can slide with any purpose."
	case wheel.LittleGained:
		return "Centring gains little: " + left + ". To do it all the same, " + how + "."
	}
	text := "Centring is worth doing: " + how + ". Then " + left + ", and the table taken again shows it."
	if v.Diameter == 0 {
		text += " How far, in millimetres, comes with --diameter."
	}
	return text
}

// curve is what to take off a reading, at twelve places.
func (v dialVoice) curve() document.Table {
	t := document.Table{Header: []string{"it shows", "too much by", "it shows", "too much by", "it shows", "too much by"}, Right: []bool{true, true, true, true, true, true}}
	for row := range 4 {
		var cells []string
		for column := range 3 {
			at := geometry.Angle(30 * (4*column + row))
			cells = append(cells, rounding.Fixed(at.Degrees(), 0), v.sureAngle(v.ErrorAt(at), v.Expanded(at)))
		}
		t.Rows = append(t.Rows, cells)
	}
	t.Note = v.aboutCurve()
	return t
}

// aboutCurve says what ± stands for in the curve; empty where there is none.
func (v dialVoice) aboutCurve() string {
	switch {
	case !v.Known:
		return ""
	case v.FromStep:
		return "± holds the true curve in 95 % of cases. It comes from the step of the readings: they scatter by less."
	}
	return "± holds the true curve in 95 % of cases."
}

// aboutHarmonics says how harmonics make the error.
const aboutHarmonics = "The error is the sum of amplitude × sin(harmonic × reading − phase)."

// orders lists the harmonics.
func (v dialVoice) orders() document.Table {
	t := document.Table{Header: []string{"harmonic", "amplitude", "phase", "seen", "such as"}, Right: []bool{true, true, true, false, false}}
	for _, h := range v.Harmonics {
		t.Rows = append(t.Rows, []string{
			rounding.Fixed(float64(h.Order), 0), v.sureAngle(h.Amplitude, geometry.Angle(v.Coverage())*h.Standard),
			graduation(h.Phase), seen(v.Known, h), cause(h.Order),
		})
	}
	t.Note = aboutHarmonics
	return t
}

// seen says whether a harmonic shows above the scatter.
func seen(known bool, h wheel.Harmonic) string {
	switch {
	case !known || math.IsNaN(h.P) && h.Standard > 0:
		return "can't be told"
	case h.Seen() || h.Standard == 0:
		return "clearly"
	}
	return "hardly"
}

// cause is what most often makes a harmonic of an order. Common practice, no source.
func cause(order int) string {
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

// above says what the stations cannot carry.
func (v dialVoice) above() string {
	kept := v.Harmonics[len(v.Harmonics)-1].Order
	text := "Above the " + ordinal(kept) + " nothing shows that is more than scatter."
	if len(v.Refused) == 0 || v.Refused[0].Order-kept > 2 {
		return text
	}
	text = ""
	for _, x := range v.Refused {
		text += " " + v.refused(x) + "."
	}
	return strings.TrimSpace(text)
}

// refused says why an order is not given.
func (v dialVoice) refused(x wheel.Refused) string {
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

// scatter says how the readings lie about the curve.
func (v dialVoice) scatter() string {
	if v.Residual == 0 {
		return "none to be seen: the table has no more readings than the curve has unknowns, or they agree to the last digit."
	}
	return "readings lie " + rounding.Fixed(v.Residual.Degrees(), min(max(rounding.Places(v.Residual.Degrees()), rounding.Unsure), 4)) + "° about the curve (standard deviation)."
}

// lostMotion says what reversing loses, and how to write it on a sheet.
func (v dialVoice) lostMotion() string {
	l := v.LostMotion
	u := geometry.Angle(wheel.Result{DOF: l.DOF}.Coverage()) * l.Standard
	text := v.sureAngle(l.Value, u) + " between the two directions."
	if v.Known && l.Value <= u {
		return text + " That is no more than scatter."
	}
	return text + " On a sheet: lost_motion: " + rounding.Fixed(l.Value.Degrees(), v.places()) + " ± " + rounding.NotNothing(u.Degrees(), v.places()) + "."
}

// counts says which way the readout counts.
func (v dialVoice) counts() string {
	if v.Counts == geometry.CountsUp {
		return "the same way as the reference."
	}
	return "the other way round than the reference."
}

// mountings says what the mountings tell of readout and reference.
func (v dialVoice) mountings() string {
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

// missing says which mounting would complete the closure.
func (v dialVoice) missing() string {
	m := v.Closure.Missing
	if m.Turn == 0 {
		return "Read the stations that mounting " + clean(m.Mounting) + " lacks: then every graduation's error can be told from the reference's."
	}
	return "A mounting is missing: turn the readout on the reference by " + rounding.Plain(rounding.To(m.Turn, 2)) + " degrees from where it sits in mounting " +
		clean(m.Mounting) + ", and read all stations once more. Then every graduation's error can be told from the reference's."
}

// aboutGraduations says what the errors of graduations leave open.
const aboutGraduations = "Round the circle each column of errors sums to zero."

// graduations lists the errors of readout and reference side by side.
func (v dialVoice) graduations() document.Table {
	c := v.Closure
	t := document.Table{Header: []string{"it shows", "too much by", "reference shows", "stands too far by"}, Right: []bool{true, true, true, true}}
	cell := func(of []wheel.Graduation, i int) []string {
		if i >= len(of) {
			return []string{"", ""}
		}
		g, n := of[i], v.places()
		text := rounding.Fixed(g.Error.Degrees(), n)
		if c.Known {
			text += " ± " + rounding.NotNothing(c.Expanded(g).Degrees(), n)
		}
		return []string{rounding.Fixed(rounding.To(g.At, 1), 1), text + "°"}
	}
	for i := range max(len(c.Wheel), len(c.Reference)) {
		t.Rows = append(t.Rows, append(cell(c.Wheel, i), cell(c.Reference, i)...))
	}
	t.Note = aboutGraduations
	return t
}

// aboutAxis says what the figures of a rotary axis rest on.
func (v dialVoice) aboutAxis() string {
	return fmt.Sprintf("%d targets, %d runs. Readings less reference; the standard asks for five runs.", v.Axis.Targets, v.Axis.Runs)
}

// axis is the figures of ISO 230-2.
func (v dialVoice) axis() document.Table {
	a := v.Axis
	n := max(v.places(), 3)
	shown := func(x geometry.Angle) string {
		if math.IsNaN(x.Degrees()) {
			return "-"
		}
		return rounding.Degrees(x, n)
	}
	return document.Table{
		Header: []string{"ISO 230-2", "forward", "backward", "both"}, Right: []bool{false, true, true, true},
		Rows: [][]string{
			{"positioning (A)", shown(a.AccuracyForward), shown(a.AccuracyBackward), shown(a.Accuracy)},
			{"systematic positioning (E)", shown(a.SystematicForward), shown(a.SystematicBackward), shown(a.Systematic)},
			{"repeatability (R)", shown(a.RepeatForward), shown(a.RepeatBackward), shown(a.Repeat)},
			{"mean positioning (M)", "-", "-", shown(a.MeanSystematic)},
			{"reversal (B), its mean", "-", "-", shown(a.Reversal) + ", " + shown(a.MeanReversal)},
		},
		Note: v.aboutAxis(),
	}
}

// notSeen says what such a table cannot show.
func (v dialVoice) notSeen() []string {
	var out []string
	switch c := v.Closure; {
	case v.Opposite:
		out = append(
			out, "All even harmonics: an oval or tilted wheel shows both pointers the same.",
			"Where the second pointer sits: only that it stays there counts.",
		)
	case c != nil && c.Separated:
		out = append(
			out, "What each mounting does to the wheel: if it sits off centre otherwise every time, that is in the scatter and not in the curve.",
			"Where readout and reference have their zeros.",
		)
	default:
		out = append(out, "An error that the reference has too. Turn the readout on the reference, read again, and give each mounting a name in a column mounting.")
	}
	out = append(out, "What changes when the wheel goes onto the engine: its first harmonic holds for this mounting, the others stay with the wheel.")
	if !v.BothWays && !v.Opposite {
		out = append(out, "Lost motion: read from one direction only.")
	}
	return out
}

// WheelJSON writes the same as one object and a newline: degrees and
// millimetres in full precision.
func WheelJSON(w io.Writer, r wheel.Result, table sheet.Table, o document.Options) error {
	return indented(w, wheelJSON(r, table, o))
}
