package audit

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Thresholds of the guards. Common practice, no source.
const (
	mirrorRMS   = 5.0 // degrees: a sense that puts the lines off by less is not ruled out
	decisive    = 4.0 // how much better one belief must fit than another
	suspectFrom = geometry.Angle(5)
	// A pulley with one wrong declaration may also have a wrong line: after the
	// declaration is put right every line must come within this, or within its
	// tolerance if that is more; after a mistake of 20° and more, within 5°.
	suspectSlack = geometry.Angle(2.5)
	noLine       = geometry.Angle(45) // further off than any slip or wrong line
)

// checkCounts refuses a sheet whose marks fit the mirrored sense of counting
// decisively better. An observed quarter turn settles the sense instead.
func (a *analysis) checkCounts() {
	if a.sheet.Readout.QuarterTurn != nil {
		return
	}
	declared, mirrored := a.senses()
	if off, other := rms(declared), rms(mirrored); worse(off, other) {
		a.faultf("readout.counts", fmt.Sprintf(
			"the marks contradict it: as declared they would be off by %.1f° on average, counted the other way round by %.1f°", off, other),
			"check readout.counts, forward and backward contacts, and the names of the lines; readout.quarter_turn settles the sense")
	}
}

// senses returns the offsets of the lines that were read, as declared and as
// they would be if the readout counted the other way round. Then the middle is
// the same where the contacts' labels are swapped too; where they are not, it
// lies opposite and the stop blocks more than half, which only passes with
// deep_stop.
func (a *analysis) senses() (declared, mirrored []geometry.Angle) {
	var across []geometry.Angle
	for i := range a.lines {
		if l := &a.lines[i]; len(l.seen) > 0 {
			declared = append(declared, l.offset())
			mirrored, across = append(mirrored, a.mirrored(l)), append(across, (a.mirrored(l)+180).Wrap())
		}
	}
	if a.sheet.Limits.DeepStop && rms(across) < rms(mirrored) {
		return declared, across
	}
	return declared, mirrored
}

// worse reports whether one belief puts the lines off by so much, and by so
// much more than the other, that it can be ruled out.
func worse(one, other float64) bool {
	return one > mirrorRMS && one > decisive*other+tie.Degrees()
}

// rms is the root mean square in degrees, zero of nothing.
func rms(angles []geometry.Angle) float64 {
	var sum float64
	for _, x := range angles {
		sum += square(x.Degrees())
	}
	return math.Sqrt(sum / math.Max(1, float64(len(angles))))
}

// apart is the range of offsets, which a shift that they share leaves alone.
func apart(offsets []geometry.Angle) geometry.Angle {
	lo, hi := extremes(geometry.Unwrap(offsets, offsets[0]))
	return hi - lo
}

// mirrored is the offset of a line if the readout counted the other way round
// from the same middle.
func (a *analysis) mirrored(l *line) geometry.Angle {
	offsets := make([]geometry.Angle, len(l.seen))
	for i, s := range l.seen {
		offsets[i] = -geometry.Angle(a.sheet.Readout.Counts)*(s.reading-s.top.middle) - (l.mark.At + s.later)
	}
	return mean(geometry.Unwrap(offsets, offsets[0])).Wrap()
}

// doubtDeclarations warns of what no reading can check.
func (a *analysis) doubtDeclarations() {
	if len(a.lines) == 0 { // a check of the wheel
		return
	}
	if a.sheet.Part.BTDCLines == 0 {
		a.warn(Warning{Code: SideUnchecked})
	}
	a.doubtSense()
	a.checkOrder()
	a.suspectDeclarations()
}

// doubtSense warns where neither a quarter turn nor the lines tell which way
// the readout counts: all at 0 or 180, or so close to it, or off by so much,
// that the mirrored sense does not fit decisively worse.
func (a *analysis) doubtSense() {
	read := slices.ContainsFunc(a.lines, func(l line) bool { return len(l.seen) > 0 })
	if a.sheet.Readout.QuarterTurn != nil || !read {
		return
	}
	blind := true
	for _, l := range a.lines {
		at := l.mark.At.Wrap()
		blind = blind && (len(l.seen) == 0 || at == 0 || at == 180)
	}
	if blind {
		a.warn(Warning{Code: DirectionUnchecked})
		return
	}
	declared, mirrored := a.senses()
	off, other := rms(declared), rms(mirrored)
	fits := worse(other, off)
	// Two lines, both off, may agree by chance when mirrored; a third does not.
	agree := len(declared) > 2 && other > off && worse(apart(mirrored).Degrees(), apart(declared).Degrees())
	if !fits && !agree {
		a.warn(Warning{Code: DirectionUnchecked, Values: []float64{off, other}})
	}
}

// byNominal returns the lines that were read, in the order in which they come
// up from TDC on.
func (a *analysis) byNominal() []int {
	var order []int
	for i, l := range a.lines {
		if len(l.seen) > 0 {
			order = append(order, i)
		}
	}
	sort.SliceStable(order, func(i, j int) bool {
		return a.onwards(a.lines[order[i]].place()) < a.onwards(a.lines[order[j]].place())
	})
	return order
}

// neighbours calls f for each two lines that follow each other round the part.
func (a *analysis) neighbours(f func(first, second int)) {
	order := a.byNominal()
	for i := range order {
		j := (i + 1) % len(order)
		if j == i || len(order) == 2 && j == 0 {
			continue
		}
		f(order[i], order[j])
	}
}

// checkOrder warns of neighbouring lines that come up in the wrong order.
func (a *analysis) checkOrder() {
	a.neighbours(func(i, j int) {
		first, second := &a.lines[i], &a.lines[j]
		gap := a.round(second.place() - first.place())
		if found := gap + second.offset() - first.offset(); gap > 0 && found <= tie || gap < 0 && a.onPart(gap) > -180 && found >= -tie {
			a.warn(Warning{Code: LineOrder, Names: []string{first.mark.Name, second.mark.Name}})
		}
	})
}

// suspectDeclarations looks for one mistake on the sheet that would explain
// large offsets, names every such mistake and marks the result as suspect.
func (a *analysis) suspectDeclarations() {
	off, mirrored := a.senses()
	var at []geometry.Angle
	var lines []*line
	for i := range a.lines {
		if l := &a.lines[i]; len(l.seen) > 0 {
			lines, at = append(lines, l), append(at, l.place())
		}
	}
	if len(lines) == 0 {
		return
	}
	var worst geometry.Angle
	for _, d := range off {
		worst = max(worst, d.Abs())
	}
	before := apart(off)
	// explains reports whether every line belongs where it came up once the
	// offsets of some are replaced; or, on a part that has slipped as a whole,
	// whether the lines then agree.
	explains := func(replaced func(i int) geometry.Angle) bool {
		then, each := make([]geometry.Angle, len(lines)), true
		for i, l := range lines {
			slack := l.mark.Tolerance
			if worst > suspectFrom {
				slack = max(slack, min(suspectFrom, max(suspectSlack, worst/decisive)))
			}
			then[i] = replaced(i)
			each = each && then[i].Abs() <= slack+tie
		}
		return each || before > suspectFrom && apart(then) <= before/decisive+tie
	}
	if explains(func(i int) geometry.Angle { return off[i] }) {
		return
	}
	var found []Suspicion
	for i := range lines {
		flipped := (2*lines[i].mark.At + off[i]).Wrap()
		if flipped != off[i] && explains(func(k int) geometry.Angle {
			if k == i {
				return flipped
			}
			return off[k]
		}) {
			found = append(found, Suspicion{Mistake: LettersSwapped, Lines: []string{lines[i].mark.Name}})
		}
		for j := range i {
			if explains(func(k int) geometry.Angle {
				switch k {
				case i:
					return (at[j] + off[j] - at[i]).Wrap()
				case j:
					return (at[i] + off[i] - at[j]).Wrap()
				}
				return off[k]
			}) {
				found = append(found, Suspicion{Mistake: NamesSwapped, Lines: []string{lines[j].mark.Name, lines[i].mark.Name}})
			}
		}
	}
	if len(lines) > 1 && explains(func(k int) geometry.Angle { return (2*lines[k].mark.At + off[k]).Wrap() }) {
		found = append(found, Suspicion{Mistake: AllLettersSwapped})
	}
	if a.sheet.Readout.QuarterTurn == nil && explains(func(k int) geometry.Angle { return mirrored[k] }) {
		found = append(found, Suspicion{Mistake: CountsMirrored})
	}
	for _, turn := range []geometry.Angle{90, -90, 120, -120, 180} {
		if explains(func(k int) geometry.Angle { return (off[k] - turn).Wrap() }) {
			found = append(found, Suspicion{Mistake: OtherCylinder, Angle: turn.Abs()})
		}
	}
	if len(found) == 0 && worst > noLine {
		found = append(found, Suspicion{Mistake: NoLine, Angle: worst})
	}
	if len(found) > 0 {
		a.suspect = true
		a.warn(Warning{Code: DeclarationSuspect, Suspicions: found})
	}
}

// checkClosing compares the closing pairs with the setups' own middles. A
// readout that moved between contacts and marks looks exactly like a slipped
// ring, so it undoes every verdict.
func (a *analysis) checkClosing() {
	tolerance := geometry.Angle(math.Inf(1))
	for _, l := range a.lines {
		tolerance = min(tolerance, l.mark.Tolerance)
	}
	for _, s := range a.result.TDC.Setups {
		if s.Closing == nil || math.IsInf(tolerance.Degrees(), 1) || s.Closing.Abs() <= tolerance/4+tie {
			continue
		}
		r := repeats{step: a.sheet.Readout.Step, rounded: 1, stops: parts{{
			source: sourceOf(s.Method), sd: s.scatter, dof: s.scatterDOF, per: 1 + 1/float64(len(s.Middles)),
		}}}
		rows := r.stopRows()
		if rows[0].Idle || rows[0].Shape != uncertainty.StudentT { // the step counts, and both middles are rounded
			step := rows[len(rows)-1]
			rows = append(rows, step)
		}
		if s.Closing.Abs().Degrees() <= uncertainty.NewSum(rows.Terms()).HalfWidth(0.95) {
			continue
		}
		a.result.Moved = true
		a.warn(Warning{Code: ReadoutMoved, Setup: s.Name, Values: []float64{s.Closing.Degrees()}})
	}
	if a.result.Moved {
		for i := range a.result.Marks {
			a.result.Marks[i].Verdict = uncertainty.Undecided
		}
	}
}

// Check is what the builder looks at before the scriber touches the metal:
// which way round the lines really lie.
type Check struct {
	BTDC     bool   // the BTDC lines lie Rotation of the TDC line
	From, To string // otherwise: To lies Rotation of From, less than half way round
	Rotation geometry.Rotation
}

// Earlier returns the way round from any line to the lines that come up before
// it: on a part that turns they lie ahead in the running direction, on a fixed
// scale behind.
func Earlier(s sheet.Sheet) geometry.Rotation {
	if s.Part.MarksOn == sheet.OnEngine {
		return s.Engine.Turns.Opposite()
	}
	return s.Engine.Turns
}

// beforeScribing finds a sentence about the part that fails when turns or
// marks_on is wrong.
func (a *analysis) beforeScribing() Check {
	check := Check{Rotation: Earlier(*a.sheet)}
	var tdc, btdc bool
	for _, m := range a.sheet.Marks {
		tdc = tdc || m.At == 0
		btdc = btdc || m.At < 0 // 240 ATDC is no BTDC line, whichever side it lies
	}
	if check.BTDC = tdc && btdc; check.BTDC {
		return check
	}
	best := geometry.Angle(180)
	for _, late := range a.lines {
		for _, early := range a.lines {
			if gap := a.onPart(a.onwards(late.place() - early.place())); gap > 0 && gap < 180 && (best == 180 || (gap-90).Abs() < (best-90).Abs()) {
				best, check.From, check.To = gap, late.mark.Name, early.mark.Name
			}
		}
	}
	if check.From == "" {
		check.Rotation = a.sheet.Engine.Turns // one line: the way it passes the pointer
	}
	return check
}

// doubtSheet warns of what the sheet leaves out or says oddly.
func (a *analysis) doubtSheet() {
	if len(a.lines) > 0 {
		for _, c := range a.notIncluded() {
			a.warn(Warning{Code: c})
		}
	}
	if a.sheet.Readout.Correction != nil {
		switch days, known := a.sheet.CorrectionAge(); {
		case !known:
			a.warn(Warning{Code: CorrectionUndated})
		case days > 365 || days < -365:
			a.warn(Warning{Code: CorrectionOld, Values: []float64{float64(days)}})
		}
	}
	if a.sheet.SameDiameters() {
		a.warn(Warning{Code: SameDiameters, Values: []float64{a.sheet.Part.Diameter.Millimetres()}})
	}
	for _, odd := range a.sheet.OddDiameters() {
		a.warn(Warning{Code: OddDiameter, Values: []float64{odd.Value.Millimetres()}, Names: []string{odd.Key}})
	}
}

func (a *analysis) faultf(path inputerror.Path, text, hint string) {
	a.faults = append(a.faults, inputerror.Fault{Path: path, Text: text, Hint: strings.TrimSpace(hint)})
}
