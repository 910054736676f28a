package audit

import (
	"math"
	"slices"

	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// measureDistances lists what dividers should find between neighbouring lines,
// now and once the worthwhile instructions are carried out.
func (a *analysis) measureDistances() {
	if a.sheet.Part.Diameter == 0 || a.result.TDC == nil {
		return
	}
	scribed := map[string]bool{} // only looked up
	for _, m := range a.result.Marks {
		scribed[m.Name] = m.Scribe.Worthwhile
	}
	a.neighbours(func(i, j int) {
		first, second := &a.lines[i], &a.lines[j]
		gap := a.between(first, second)
		after := gap // a new line takes its offset out
		if scribed[first.mark.Name] {
			after += first.offset()
		}
		if scribed[second.mark.Name] {
			after -= second.offset()
		}
		a.result.Distances = append(a.result.Distances, Distance{
			From: first.mark.Name, To: second.mark.Name,
			Now: a.chord(gap), After: a.chord(after),
			U: a.chordU(i, j, gap),
		})
	})
}

// chord is the straight distance between two lines on the part, the crank angle
// between them given.
func (a *analysis) chord(gap geometry.Angle) geometry.Length {
	rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
	return geometry.Length(math.Abs(rim.Chord(a.onPart(a.round(gap))).Millimetres()))
}

// between is the crank angle from one line to another as they were read, over
// the mountings in which both were where they share some: what a mounting adds
// to both drops out.
func (a *analysis) between(first, second *line) geometry.Angle {
	shared := a.gaps(first, second)
	if len(shared) == 0 {
		return second.place() - first.place() + second.offset() - first.offset()
	}
	return second.mark.At - first.mark.At + mean(shared)
}

// gaps is what between is in each mounting that read both lines, less what it
// would be of lines of one cylinder that are where they belong.
func (a *analysis) gaps(first, second *line) []geometry.Angle {
	var shared []geometry.Angle
	for _, f := range first.seen {
		for _, s := range second.seen {
			if f.at == s.at {
				shared = append(shared, (s.offset-f.offset).Wrap()+a.apart(f.top, s.top)+s.later-f.later)
			}
		}
	}
	if len(shared) == 0 {
		return nil
	}
	return geometry.Unwrap(shared, shared[0])
}

// chordU is the expanded uncertainty of the distance between two lines, zero
// where their readings do not tell.
func (a *analysis) chordU(first, second int, gap geometry.Angle) geometry.Length {
	rows, perDegree, known := a.chordRows(first, second, gap)
	if !known {
		return 0
	}
	return geometry.Length(uncertainty.NewSum(rows.Terms()).HalfWidth(a.sheet.Limits.Confidence) * perDegree)
}

// chordRows is the budget of the distance between two lines, in crank degrees,
// and the millimetres that the chord grows by for one of them.
func (a *analysis) chordRows(first, second int, gap geometry.Angle) (rows uncertainty.Budget, perDegree float64, known bool) {
	rows, known = a.gapRows(first, second)
	rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
	// Millimetres that the chord grows by for a degree; none across the diameter.
	perDegree = math.Abs(rim.Arc(a.onPart(1)).Millimetres() * math.Cos(a.onPart(gap).Radians()/2))
	if !known {
		return nil, 0, false
	}
	perDegree = max(perDegree, 1e-6*rim.Diameter.Millimetres()) // across the diameter only its own doubt counts
	if l := a.sheet.Part.DiameterLimit; l.Half > 0 {            // the chord grows with the diameter
		half := math.Abs(rim.Chord(a.onPart(gap)).Millimetres()) * float64(l.Half/rim.Diameter) / perDegree
		rows = append(rows, limitRow("diameter", geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: l.K}, 1))
	}
	return rows, perDegree, true
}

// gapRows is the budget of the angle between two lines read in the same setups:
// what reaches both alike drops out. Lines of two cylinders count from two TDCs,
// but the way from one line to the other hangs on neither.
func (a *analysis) gapRows(first, second int) (uncertainty.Budget, bool) {
	one, other := &a.lines[first], &a.lines[second]
	switch {
	case !slices.Equal(one.stations(), other.stations()):
		return nil, false
	case slices.Equal(one.tops(), other.tops()):
		return a.contrastRows([]int{first, second}, []float64{-1, 1})
	}
	var rows uncertainty.Budget
	k := len(one.seen)
	if k >= enough {
		ss, dof := spread(a.gaps(one, other))
		gap := repeats{setups: k, between: geometry.Angle(math.Sqrt(ss / dof))}
		rows = append(rows, gap.setupRows()[0])
	}
	var r reach
	for _, end := range []struct {
		*line
		weight float64
	}{{one, -1}, {other, 1}} {
		if k < enough && end.scatter.dof == 0 {
			return nil, false
		}
		rows = a.ownRows(rows, end.line, end.weight)
		for _, s := range end.seen {
			r = r.plus(s.own, end.weight/float64(k))
		}
	}
	return append(rows, a.readoutRows(r)...), true
}
