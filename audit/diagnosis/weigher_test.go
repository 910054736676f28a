package diagnosis

import (
	"math"
	"testing"

	"markaudit/geometry"
)

// Which of two lines that stand under other names would come up in the wrong order:
// places 0 and 10 with the names exchanged lie 10 apart the other way round.
func TestOrderOfRenamedLines(t *testing.T) {
	for _, c := range []struct {
		gap, meanA, meanB, blur, renamedA, renamedB float64
		half                                        bool
		first                                       int // -1: in order
	}{
		{gap: 10, first: -1},
		{gap: 10, meanB: -11, blur: 0.5, first: 0},
		{gap: 10, meanB: -11, blur: 1.5, first: -1},
		{gap: 10, meanA: 11, blur: 0.5, first: 0},
		{gap: 10, meanB: -10, first: -1},
		{gap: -10, meanA: -11, blur: 0.5, first: 1},
		{gap: 10, meanB: -11, renamedA: 10, renamedB: -10, first: -1},         // b comes 10 before a, and 11 more
		{gap: 10, meanB: 11, renamedA: 10, renamedB: -10, first: 1},           // b should come before a
		{gap: 10, meanB: -31, renamedB: 20, blur: 0.5, first: 0},              // 30 after it
		{gap: 10, meanA: 31, renamedA: -20, blur: 0.5, first: 0},              // 30 after it too
		{gap: 89, meanB: -95, first: 0},                                       // near lines
		{gap: 91, meanB: -95, first: -1},                                      // and such that have no order
		{gap: 170, renamedB: 185, meanB: 6, first: 1, blur: 0.5},              // 355 is 5 before
		{gap: 170, renamedB: 545, meanB: 6, first: 1, blur: 0.5, half: true},  // 715 too, on a part at half speed
		{gap: 170, renamedB: 185, meanB: 6, first: -1, blur: 0.5, half: true}, // 355 is far away there
	} {
		w := &weigher{evidence: &Evidence{HalfSpeed: c.half}, ordered: []pairOfLines{{0, 1, c.gap, c.blur}}}
		var renamed []float64
		if c.renamedA != 0 || c.renamedB != 0 {
			renamed = []float64{c.renamedA, c.renamedB}
		}
		got := -1
		w.orders([]float64{c.meanA, c.meanB}, renamed, func(i Item, s float64) bool {
			got = i.Line
			if s != wrongOrder || i.Kind != ItemOrder || i.Index != 1-i.Line {
				t.Errorf("%+v: %+v at %v", c, i, s)
			}
			return true
		})
		if got != c.first {
			t.Errorf("%+v: wrong order after line %d, want %d", c, got, c.first)
		}
	}
}

// A chord of 60 degrees on 200 mm is 100 mm, and 20 of 120 teeth, by either way round;
// at half speed 120 degrees of crank are. The surprise is that of how far off it lies,
// in standard deviations.
func TestDistancesAgainstPlaces(t *testing.T) {
	for _, c := range []struct {
		d    Distance
		half bool
		z    float64
	}{
		{Distance{To: 1, Chord: 100, ChordSD: 0.5, Diameter: 200}, false, 0},
		{Distance{To: 1, Chord: 101.5, ChordSD: 0.5, Diameter: 200}, false, 3},
		{Distance{To: 1, Chord: 98.5, ChordSD: 0.5, Diameter: 200}, false, -3},
		{Distance{From: 1, To: 0, Chord: 98.5, ChordSD: 0.5, Diameter: 200}, false, -3},
		{Distance{To: 1, Chord: 200 * geometry.Length(math.Sin(math.Pi/12)), ChordSD: 0.5, Diameter: 200}, true, 0},
		{Distance{To: 1, Teeth: 20, TeethSD: 0.25, TeethRound: 120}, false, 0},
		{Distance{To: 1, Teeth: 100, TeethSD: 0.25, TeethRound: 120}, false, 0},
		{Distance{To: 1, Teeth: 20.5, TeethSD: 0.25, TeethRound: 120}, false, 2},
		{Distance{To: 1, Teeth: 98.5, TeethSD: 0.25, TeethRound: 120}, false, 6},
		{Distance{To: 1, Teeth: 10, TeethSD: 0.25, TeethRound: 120}, true, 0},
	} {
		e := &Evidence{Lines: []Line{{At: -10}, {At: 48}}, Distances: []Distance{c.d}, HalfSpeed: c.half}
		w := &weigher{evidence: e}
		items := 0
		w.distances([]float64{0, 2}, nil, func(i Item, s float64) bool {
			items++
			want := seen(c.z, distanceDOF)
			if math.Abs(s-want) > 1e-9 || i.Kind != ItemDistance || i.Line != c.d.From || i.Index != 0 {
				t.Errorf("%+v: surprise %v of %+v, want %v", c.d, s, i, want)
			}
			return true
		})
		if items != 1 {
			t.Errorf("%+v: %d items", c.d, items)
		}
		w.distances([]float64{math.NaN(), 2}, nil, func(Item, float64) bool { t.Error("a line that was not read is held against a distance"); return true })
		moved := 0
		w.distances([]float64{0, 0}, []float64{-1, 1}, func(_ Item, s float64) bool { // renamed instead
			if moved++; math.Abs(s-seen(c.z, distanceDOF)) > 1e-9 {
				t.Errorf("%+v, renamed: surprise %v", c.d, s)
			}
			return true
		})
	}
}

// Within half a tolerance, U or 0.15 an explanation puts a line where it was measured.
func TestAgreementOfPlaces(t *testing.T) {
	for _, c := range []struct {
		early, late, u, slack geometry.Angle
	}{{1, 2, 0.2, 0.5}, {2, 1, 0.2, 0.5}, {1, 1, 0.8, 0.8}, {0.2, 0.2, 0.05, 0.15}} {
		w := &weigher{evidence: &Evidence{Lines: []Line{{Early: c.early, Late: c.late, U: c.u}}}}
		for _, side := range []geometry.Angle{1, -1} {
			if !w.agree(7, 7+side*(c.slack-1e-6), 0) || w.agree(7, 7+side*(c.slack+1e-6), 0) {
				t.Errorf("%+v: the slack is not %v", c, c.slack)
			}
		}
		if !w.agree(179.99, -179.99, 0) {
			t.Error("the way round is not the nearer one")
		}
	}
}
