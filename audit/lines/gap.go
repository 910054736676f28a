package lines

import (
	"cmp"
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Gap is the crank angle from one line to another as they were read, over the
// mountings in which both were where they share some: what a mounting adds to both
// drops out.
func Gap(s sheet.Sheet, top tdc.Found, first, second Line) geometry.Angle {
	var shared []geometry.Angle
	for _, f := range first.Seen {
		for _, o := range second.Seen {
			if f.At.Mounting == o.At.Mounting {
				apart := tdc.Apart(s, top.At(f.At), top.At(o.At))
				shared = append(shared, (o.Offset-f.Offset).Wrap()+apart+o.Later-f.Later)
			}
		}
	}
	if len(shared) == 0 {
		return second.Place - first.Place + second.Offset.Value - first.Offset.Value
	}
	return second.At - first.At + stats.MeanAngle(geometry.Unwrap(shared, shared[0]))
}

// GapFrom is that angle with everything that it depends on, which hangs on no TDC.
// It reports false where the two lines were not read in the same setups.
func GapFrom(first, second Line) (uncertainty.Combination, bool) {
	if !slices.Equal(first.Mountings(), second.Mountings()) {
		return uncertainty.Combination{}, false
	}
	c := uncertainty.Add(second.Alone, first.Alone.Times(-1))
	c.Groups[0].Values = geometry.Unwrap(c.Groups[0].Values, c.Groups[0].Values[0])
	return c, true
}

// ByPlace returns the lines that were read, in the order in which they come up
// from TDC on.
func ByPlace(part sheet.Part, all []Line) []int {
	var order []int
	for i, l := range all {
		if l.Read() {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Compare(part.Onwards(all[i].Place), part.Onwards(all[j].Place))
	})
	return order
}

// Neighbours returns the pairs of lines that follow each other round the part.
func Neighbours(part sheet.Part, all []Line) [][2]int {
	order := ByPlace(part, all)
	var out [][2]int
	for i := range order {
		j := (i + 1) % len(order)
		if j == i || len(order) == 2 && j == 0 {
			continue
		}
		out = append(out, [2]int{order[i], order[j]})
	}
	return out
}

// Chord is the straight distance between two lines on a part, the crank angle
// between them given.
func Chord(part sheet.Part, gap geometry.Angle) geometry.Length {
	c := geometry.Rim{Diameter: part.Diameter}.Chord(part.Turned(part.Round(gap)))
	return max(c, -c)
}

// ChordFrom is Chord with its uncertainty: the angle between the lines with
// everything it depends on, the diameter's own doubt in it, and the millimetres by
// which the chord grows for a degree.
func ChordFrom(part sheet.Part, first, second Line, gap geometry.Angle) (c uncertainty.Combination, perDegree float64, known bool) {
	c, known = GapFrom(first, second)
	if !known {
		return c, 0, false
	}
	rim := geometry.Rim{Diameter: part.Diameter}
	// Millimetres that the chord grows by for a degree; none across the diameter,
	// where only its own doubt counts.
	perDegree = max(math.Abs(rim.Arc(part.Turned(1)).Millimetres()*math.Cos(part.Turned(gap).Radians()/2)), 1e-6*rim.Diameter.Millimetres())
	if l := part.DiameterLimit; l.Half > 0 { // the chord grows with the diameter
		half := math.Abs(rim.Chord(part.Turned(gap)).Millimetres()) * float64(l.Half/rim.Diameter) / perDegree
		c = c.With(uncertainty.By(uncertainty.Limited(uncertainty.Diameter, "part", geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: l.K}), 1))
	}
	return c, perDegree, true
}
