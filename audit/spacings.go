package audit

import (
	"math"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
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

// testSpacings holds the distances stated on the sheet against the readings. They
// share no error: dividers know nothing of wheel and stop.
func (a *analysis) testSpacings() {
	for _, s := range a.sheet.Part.Spacings {
		first, second := a.lineNamed(s.From), a.lineNamed(s.To)
		if first < 0 || second < 0 {
			continue
		}
		one, other := &a.lines[first], &a.lines[second]
		if len(one.seen) == 0 || len(other.seen) == 0 {
			continue
		}
		gap := a.between(one, other)
		found := Spacing{Spacing: s}
		var rows uncertainty.Budget
		var perDegree float64
		var known bool
		if s.Teeth > 0 {
			perDegree = geometry.Teeth(a.onPart(1), a.sheet.Part.Teeth)
			rows, known = a.gapRows(first, second)
			rows = append(rows, limitRow("counting teeth", geometry.Limit[geometry.Angle]{Half: geometry.Angle(countedTeeth / perDegree)}, 1))
			found.Measured = s.Teeth
			found.Expected = a.teethBetween(gap, s.Teeth)
			found.Nominal = a.teethBetween(other.place()-one.place(), s.Teeth)
		} else {
			rows, perDegree, known = a.chordRows(first, second, gap)
			if s.Limit.Half > 0 {
				rows = append(rows, limitRow("dividers", geometry.Limit[geometry.Angle]{Half: geometry.Angle(s.Limit.Half.Millimetres() / perDegree), K: s.Limit.K}, 1))
			}
			found.Measured = s.Chord.Millimetres()
			found.Expected = a.chord(gap).Millimetres()
			found.Nominal = a.chord(other.place() - one.place()).Millimetres()
		}
		if known {
			found.U = uncertainty.NewSum(rows.Terms()).HalfWidth(a.sheet.Limits.Confidence) * perDegree
			found.Differs = math.Abs(found.Measured-found.Expected) > found.U
		}
		a.result.Spacings = append(a.result.Spacings, found)
		if found.Differs {
			a.warn(Warning{Code: SpacingDiffers, Names: []string{s.From, s.To}, Values: []float64{found.Measured, found.Expected, found.U}})
		}
	}
}

func (a *analysis) lineNamed(name string) int {
	for i := range a.lines {
		if a.lines[i].mark.Name == name {
			return i
		}
	}
	return -1
}

// teethBetween counts the teeth between two lines the way round that comes nearer
// to what was counted.
func (a *analysis) teethBetween(gap geometry.Angle, counted float64) float64 {
	n := a.sheet.Part.Teeth
	one := geometry.Teeth(a.onPart(a.onwards(gap)), n)
	other := float64(n) - one
	if math.Abs(other-counted) < math.Abs(one-counted) {
		return other
	}
	return one
}
