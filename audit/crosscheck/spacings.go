package crosscheck

import (
	"math"
	"slices"

	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Spacing is a distance between two lines as measured on the part, against what
// the readings make of it.
type Spacing struct {
	sheet.Spacing
	Measured float64 // mm of chord, or teeth
	Expected float64 // from the readings, in the same unit
	Nominal  float64 // with both lines where they belong
	U        float64 // expanded, of Measured less Expected; zero where it is not known
	Differs  bool
}

// countedTeeth is how well teeth between two lines are counted: to half a tooth.
// Common practice, no source.
const countedTeeth = 0.5

// spacings holds the distances stated on the sheet against the readings. They
// share no error: dividers know nothing of wheel and stop.
func spacings(in input, c *Checks) {
	part := in.sheet.Part
	for _, s := range part.Spacings {
		first, second := named(in, s.From), named(in, s.To)
		if first < 0 || second < 0 || !in.lines[first].Read() || !in.lines[second].Read() {
			continue
		}
		one, other := in.lines[first], in.lines[second]
		gap := lines.Gap(*in.sheet, in.top, one, other)
		found := Spacing{Spacing: s}
		var from uncertainty.Combination
		var perDegree float64
		var known bool
		if s.Teeth > 0 {
			perDegree = geometry.Teeth(part.Turned(1), part.Teeth)
			from, known = lines.GapFrom(one, other)
			limit := geometry.Limit[geometry.Angle]{Half: geometry.Angle(countedTeeth / perDegree)}
			from = from.With(uncertainty.By(uncertainty.Limited(uncertainty.CountingTeeth, s.From, limit), 1))
			found.Measured = s.Teeth
			found.Expected = teethBetween(in, gap, s.Teeth)
			found.Nominal = teethBetween(in, other.Place-one.Place, s.Teeth)
		} else {
			from, perDegree, known = lines.ChordFrom(part, one, other, gap)
			if s.Limit.Half > 0 && known {
				limit := geometry.Limit[geometry.Angle]{Half: geometry.Angle(s.Limit.Half.Millimetres() / perDegree), K: s.Limit.K}
				from = from.With(uncertainty.By(uncertainty.Limited(uncertainty.Dividers, s.From, limit), 1))
			}
			found.Measured = s.Chord.Millimetres()
			found.Expected = lines.Chord(part, gap).Millimetres()
			found.Nominal = lines.Chord(part, other.Place-one.Place).Millimetres()
		}
		if known {
			if e, _ := from.Evaluate(in.sheet.Limits.Confidence); e.Known {
				found.U = e.Expanded.Degrees() * perDegree
				found.Differs = math.Abs(found.Measured-found.Expected) > found.U
			}
		}
		c.Spacings = append(c.Spacings, found)
		if found.Differs {
			c.warn(warning.Warning{Code: warning.SpacingDiffers, Names: []string{s.From, s.To}, Values: []float64{found.Measured, found.Expected, found.U}})
		}
	}
}

// named is the index of a line, -1 where there is none of that name.
func named(in input, name string) int {
	return slices.IndexFunc(in.lines, func(l lines.Line) bool { return l.Name == name })
}

// teethBetween counts the teeth between two lines the way round that comes nearer
// to what was counted.
func teethBetween(in input, gap geometry.Angle, counted float64) float64 {
	part := in.sheet.Part
	one := geometry.Teeth(part.Turned(part.Onwards(gap)), part.Teeth)
	other := float64(part.Teeth) - one
	if math.Abs(other-counted) < math.Abs(one-counted) {
		return other
	}
	return one
}
