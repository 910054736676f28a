package diagnosis

import (
	"math"
	"slices"
)

// plus is the offsets with a number added to one line, or to all where line is -1.
func (w *weigher) plus(line int, x float64) func() [][]float64 {
	return w.shifted(w.used, func(_, j int) float64 {
		if line < 0 || j == line {
			return -x
		}
		return 0
	})
}

// only puts a number in one place of a row of zeros.
func (w *weigher) only(line int, x float64) []float64 {
	row := make([]float64, len(w.mean))
	row[line] = x
	return row
}

// looked reports whether somebody went back to a line, so that no mistake is
// sought in it.
func (w *weigher) looked(j int) bool { return w.evidence.Lines[j].Checked || w.reads[j] == 0 }

// proposeLetters: BTDC and ATDC were exchanged, of one line or of all. What was
// written for the nominal is then its mirror image.
func proposeLetters(w *weigher, price float64) (out []claim) {
	if w.evidence.Checked.Letters {
		return nil
	}
	mirrored := make([]float64, len(w.mean))
	several := 0
	for j, l := range w.evidence.Lines {
		twice := 2 * l.At.Degrees()
		if w.looked(j) || l.SideProven || math.Abs(wrap(twice)) <= tiny {
			continue
		}
		mirrored[j] = twice
		several++
		out = append(out, claim{code: Letters, lines: []int{j}, price: price, late: w.plus(j, twice), renamed: w.only(j, -twice)})
	}
	if several > 1 {
		renamed := make([]float64, len(mirrored))
		for j, x := range mirrored {
			renamed[j] = -x
		}
		out = append(out, claim{
			code: Letters, price: price, renamed: renamed,
			late: w.shifted(w.used, func(_, j int) float64 { return -mirrored[j] }),
		})
	}
	return out
}

// manyLines is the number above which only lines that are both off are taken for
// each other: the pairs would be too many.
const manyLines = 24

// proposeNames: two lines were taken for each other.
func proposeNames(w *weigher, price float64) (out []claim) {
	lines := w.evidence.Lines
	if w.evidence.Checked.Names {
		return nil
	}
	for j := range lines {
		for i := range j {
			if w.looked(i) || w.looked(j) || len(lines) > manyLines && !(w.off(i) && w.off(j)) {
				continue
			}
			apart := lines[j].belongs().Degrees() - lines[i].belongs().Degrees()
			if math.Abs(wrap(apart)) <= tiny {
				continue
			}
			c := claim{code: Names, lines: []int{i, j}, price: price}
			c.late = w.changed(w.used, func(m, k int) float64 {
				switch k {
				case i:
					return wrap(w.late[m][j] + apart)
				case j:
					return wrap(w.late[m][i] - apart)
				}
				return w.late[m][k]
			})
			out = append(out, c)
		}
	}
	return out
}

// off reports whether a line is beyond its tolerance as measured.
func (w *weigher) off(j int) bool {
	return math.Abs(w.mean[j]) > w.evidence.Lines[j].tolerance().Degrees()+tiny
}

// proposeCounts: the readout counts the other way round, so that every line lies
// mirrored about the TDC it counts from. A quarter turn settles it.
func proposeCounts(w *weigher, price float64) []claim {
	e := w.evidence
	if e.QuarterTurn {
		return nil
	}
	c := claim{code: Counts, price: price, pairs: make([]float64, len(e.Pairs))}
	twice := func(i, j int) float64 { return 2 * (e.Lines[j].At.Degrees() + w.later(i, j)) }
	c.late = w.changed(w.used, func(i, j int) float64 { return wrap(-w.late[i][j] - twice(i, j)) })
	differs := false
	for _, i := range w.used {
		for j := range e.Lines {
			differs = differs || math.Abs(wrap(twice(i, j))) > tiny
		}
	}
	if !differs {
		return nil
	}
	for q, p := range e.Pairs {
		if p.Kind == OtherBank { // which then lies on the other side too
			c.pairs[q] = wrap(-2 * p.Declared.Degrees())
		}
	}
	return []claim{c}
}

// tenDegrees is what a wheel is misread by where the wrong tens are taken.
const tenDegrees = 10.0

// proposeDecade: one line was misread by ten every time.
func proposeDecade(w *weigher, price float64) (out []claim) {
	ten := tenDegrees
	if w.evidence.Decade > 0 {
		ten = w.evidence.Decade.Degrees()
	}
	for j := range w.evidence.Lines {
		if w.looked(j) {
			continue
		}
		for _, x := range []float64{ten, -ten} {
			out = append(out, claim{code: Decade, lines: []int{j}, shift: x, price: price, late: w.plus(j, -x)})
		}
	}
	return out
}

// firings is by how many degrees cylinders stand apart on engines of 2 to 16
// cylinders that fire evenly, and on those that do not: 720/n, and 240, 270, 300.
var firings = []float64{360, 240, 180, 144, 120, 90, 72, 60, 45, 270, 300}

// proposeStopCylinder: the stop sat in another cylinder than was written, in one
// mounting or in all.
func proposeStopCylinder(w *weigher, price float64) (out []claim) {
	e := w.evidence
	if e.Checked.Cylinders {
		return nil
	}
	var angles []float64
	for _, a := range e.Cylinders {
		for _, b := range e.Cylinders {
			angles = append(angles, wrap((b.TDC - a.TDC).Degrees()))
		}
	}
	if len(e.Cylinders) < 2 {
		angles = nil
		for _, f := range firings {
			angles = append(angles, wrap(f), wrap(-f))
		}
	}
	sets := [][]int{w.used}
	if len(w.used) > 1 {
		sets = w.where()
	}
	angles = distinct(angles, leastMove)
	out = make([]claim, 0, len(sets)*len(angles))
	for _, set := range sets {
		for _, t := range angles {
			c := claim{code: StopCylinder, shift: t, price: price, late: w.shifted(set, func(int, int) float64 { return t })}
			if len(set) < len(w.used) {
				c.mountings = set
			}
			out = append(out, c)
		}
	}
	return out
}

// proposeMarkCylinder: a line belongs to another cylinder than was written.
func proposeMarkCylinder(w *weigher, price float64) (out []claim) {
	e := w.evidence
	if e.Checked.Cylinders {
		return nil
	}
	for j, l := range e.Lines {
		if w.looked(j) {
			continue
		}
		var angles []float64
		for _, c := range e.Cylinders {
			angles = append(angles, wrap((c.TDC - l.CylinderTDC).Degrees()))
		}
		// A cylinder as found differs a little from the same as declared.
		for _, t := range distinct(angles, noCylinder) {
			out = append(out, claim{code: MarkCylinder, lines: []int{j}, shift: t, price: price, late: w.plus(j, -t), renamed: w.only(j, t)})
		}
	}
	return out
}

// noCylinder is the angle below which no two cylinders stand apart.
const noCylinder = 5.0

// proposeBankAngle: the angle of a cylinder whose TDC was taken from the sheet is
// wrong, by any shift.
func proposeBankAngle(w *weigher, price float64) (out []claim) {
	e := w.evidence
	if e.Checked.Cylinders {
		return nil
	}
	var done []string
	for _, l := range e.Lines {
		if slices.Contains(done, l.Cylinder) {
			continue
		}
		done = append(done, l.Cylinder)
		fromSheet := func(i, j int) bool { return e.Lines[j].Cylinder == l.Cylinder && w.later(i, j) != 0 }
		var lines []int
		var late []float64
		for j := range e.Lines {
			counted := make([][]float64, 0, len(w.used)) // in the mountings that did not find it
			for _, i := range w.used {
				if fromSheet(i, j) {
					counted = append(counted, w.late[i])
				}
			}
			if len(counted) > 0 {
				lines, late = append(lines, j), append(late, w.means(w.then, counted)[j])
			}
		}
		for _, x := range distinct(withMedian(late), leastMove) {
			c := claim{code: BankAngle, lines: lines, shift: x, price: price, renamed: make([]float64, len(w.mean))}
			c.late = w.shifted(w.used, func(i, j int) float64 {
				if fromSheet(i, j) {
					return x
				}
				return 0
			})
			for j, d := range w.means(w.then, c.late()) {
				if slices.Contains(lines, j) {
					c.renamed[j] = near(w.mean[j] - d)
				}
			}
			out = append(out, c)
		}
	}
	return out
}

// later is how far the TDC of a line's cylinder comes after the one that it counts
// from in a mounting, by the sheet.
func (w *weigher) later(i, j int) float64 {
	if w.evidence.Later == nil {
		return 0
	}
	return w.evidence.Later[i][j].Degrees()
}

// proposeBankAngleDiffers: the sheet's angle between two cylinders is not what was
// found. The lines count from what was found, so nothing else changes.
func proposeBankAngleDiffers(w *weigher, price float64) (out []claim) {
	e := w.evidence
	if e.Checked.Cylinders {
		return nil
	}
	var done []string
	for q, p := range e.Pairs {
		if p.Kind != OtherBank || math.Abs(w.shown[q]) < leastMove || slices.Contains(done, p.Cylinder) {
			continue
		}
		done = append(done, p.Cylinder)
		c := claim{code: BankAngleDiffers, shift: w.shown[q], price: price, pairs: make([]float64, len(e.Pairs))}
		for r, other := range e.Pairs {
			if other.Kind == OtherBank && other.Cylinder == p.Cylinder {
				c.pairs[r] = w.shown[q]
			}
		}
		out = append(out, c)
	}
	return out
}

// proposeCopied: what was written down as two setups is one and its copy. The copy
// takes no part in the evidence, so that it backs nothing.
func proposeCopied(w *weigher, price float64) (out []claim) {
	for _, i := range w.evidence.Copied {
		out = append(out, claim{code: Copied, mountings: []int{i}, price: price})
	}
	return out
}

// proposeUnnamed: a mistake that nobody has thought of, in one line or in all.
// Whatever it is, what was measured then says nothing of where those lines are: one
// line may be at its place, or as far off as the others are.
func proposeUnnamed(w *weigher, price float64) (out []claim) {
	c := w.evidence.Checked
	if c.Letters && c.Names && c.Nominals && c.Cylinders {
		return nil
	}
	free := 0
	for j := range w.evidence.Lines {
		if w.looked(j) {
			continue
		}
		free++
		others := slices.Clone(w.mean)
		others[j] = math.NaN()
		places := []float64{0}
		if rest := withMedian(others); len(rest) > 2 { // two others, and their median
			places = append(places, distinct(rest[len(rest)-1:], leastMove)...)
		}
		for _, place := range places {
			one := claim{code: Unnamed, lines: []int{j}, price: price}
			one.late = w.changed(w.used, func(i, k int) float64 {
				if d := w.late[i][k]; k != j || math.IsNaN(d) {
					return d
				}
				return place
			})
			out = append(out, one)
		}
	}
	if free < 2 {
		return out
	}
	for _, x := range distinct(withMedian(w.mean), leastMove) {
		out = append(out, claim{code: Unnamed, shift: x, price: price, late: w.plus(-1, -x)})
	}
	return out
}
