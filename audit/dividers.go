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
	rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
	scribed := map[string]bool{} // only looked up
	for _, m := range a.result.Marks {
		scribed[m.Name] = m.Scribe.Worthwhile
	}
	chord := func(gap geometry.Angle) geometry.Length {
		return geometry.Length(math.Abs(rim.Chord(gap.Wrap()).Millimetres()))
	}
	a.neighbours(func(first, second *line) {
		gap := second.mark.At - first.mark.At + offsetsApart(first, second)
		after := gap // a new line takes its offset out
		if scribed[first.mark.Name] {
			after += first.offset()
		}
		if scribed[second.mark.Name] {
			after -= second.offset()
		}
		a.result.Distances = append(a.result.Distances, Distance{
			From: first.mark.Name, To: second.mark.Name,
			Now: chord(gap), After: chord(after),
			U: a.chordU(first, second, gap),
		})
	})
}

// offsetsApart is the difference of two lines' offsets, over the setups in which
// both were read where they share some: what a setup adds to both drops out.
func offsetsApart(first, second *line) geometry.Angle {
	var shared []geometry.Angle
	for _, f := range first.seen {
		for _, s := range second.seen {
			if f.station == s.station {
				shared = append(shared, (s.offset - f.offset).Wrap())
			}
		}
	}
	if len(shared) == 0 {
		return second.offset() - first.offset()
	}
	return mean(geometry.Unwrap(shared, shared[0]))
}

// chordU is the expanded uncertainty of the distance between two lines, zero
// where their readings do not tell.
func (a *analysis) chordU(first, second *line, gap geometry.Angle) geometry.Length {
	rows, known := a.gapRows(first, second)
	rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
	// Millimetres that the chord grows by for a degree; none across the diameter.
	perDegree := math.Abs(rim.Arc(1).Millimetres() * math.Cos(gap.Radians()/2))
	if !known {
		return 0
	}
	perDegree = max(perDegree, 1e-6*rim.Diameter.Millimetres()) // across the diameter only its own doubt counts
	if l := a.sheet.Part.DiameterLimit; l.Half > 0 {            // the chord grows with the diameter
		half := math.Abs(rim.Chord(gap).Millimetres()) * float64(l.Half/rim.Diameter) / perDegree
		rows = append(rows, limitRow("diameter", geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: l.K}, 1))
	}
	return geometry.Length(uncertainty.NewSum(rows.Terms()).HalfWidth(a.sheet.Limits.Confidence) * perDegree)
}

// gapRows is the budget of the angle between two lines read in the same setups:
// what reaches both alike drops out.
func (a *analysis) gapRows(first, second *line) (uncertainty.Budget, bool) {
	if !slices.Equal(first.stations(), second.stations()) {
		return nil, false
	}
	var rows uncertainty.Budget
	lines := []*line{first, second}
	if r := a.repeats(first); r.setups >= enough {
		gaps := second.offsets()
		for i, x := range first.offsets() {
			gaps[i] -= x
		}
		ss, dof := spread(gaps)
		r.between = geometry.Angle(math.Sqrt(ss / dof))
		rows = append(rows, r.setupRows()[0])
		for range lines {
			for _, row := range r.setupRows() {
				if row.Source == stepAtLine {
					rows = append(rows, row)
				}
			}
		}
	} else {
		for _, l := range lines {
			r := a.repeats(l)
			if r.lineDOF == 0 {
				return nil, false
			}
			for _, row := range r.lineRows() {
				if !row.Idle {
					rows = merge(rows, row, l.scatter.source)
				}
			}
		}
	}
	return append(rows, a.readoutRows(second.lost()-first.lost(), second.wheel()-first.wheel())...), true
}
