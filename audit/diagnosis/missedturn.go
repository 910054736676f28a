package diagnosis

import (
	"maps"
	"math"
	"slices"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// proposeRevolution: at one line a turn of the dial's hand was missed, or counted once
// too often, in every reading. The readings are then a turn further from the top, or
// closer to it, and the sheet is read again with them.
func proposeRevolution(w *weigher, price float64) (out []claim) {
	if w.reread == nil || w.evidence.Revolution == 0 {
		return nil
	}
	for j := range w.mean {
		if w.looked(j) {
			continue
		}
		for _, by := range []geometry.Length{w.evidence.Revolution, -w.evidence.Revolution} {
			late, ok := w.reread(aTurnMore(j, by))
			if !ok || len(late) != len(w.late) {
				continue
			}
			c := claim{code: Revolution, lines: []int{j}, price: price}
			c.late = w.changed(w.used, func(i, k int) float64 {
				if d := w.late[i][k]; k != j || math.IsNaN(d) {
					return d
				}
				return late[i][j].Degrees()
			})
			told := !slices.ContainsFunc(w.used, func(i int) bool {
				return !math.IsNaN(w.late[i][j]) && math.IsNaN(late[i][j].Degrees())
			})
			// Else it would lie so close to TDC that its side is open, or it would be off
			// all the same: a wrong line and a wrong reading at once are not sought.
			if told && !beyond(geometry.Angle(w.means(w.then, c.late())[j]), w.evidence.Lines[j]) {
				out = append(out, c)
			}
		}
	}
	return out
}

// aTurnMore is the edit that puts the readings of one line so much higher.
func aTurnMore(line int, by geometry.Length) Edit {
	return func(s sheet.Sheet) (sheet.Sheet, bool) {
		name, changed := s.Marks[line].Name, false
		s.Setups = slices.Clone(s.Setups)
		for i := range s.Setups {
			readings := slices.Clone(s.Setups[i].Marks[name])
			if len(readings) == 0 {
				continue
			}
			for k := range readings {
				readings[k].Length += by
			}
			s.Setups[i].Marks = maps.Clone(s.Setups[i].Marks)
			s.Setups[i].Marks[name], changed = readings, true
		}
		return s, changed
	}
}
