package audit_test

import (
	"math"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Lost motion is the difference of the means of two sides of a line, with a
// variance of s²·(1/4 + 1/4) where four readings were taken from each (two
// samples; JCGM 100, 5.1.2). What both sides scatter has six degrees of freedom.
func TestLostMotionIsSeenBeyondItsUncertainty(t *testing.T) {
	const sd = 0.1
	limit := t95(6) * sd * math.Sqrt(1.0/4+1.0/4)
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		for _, c := range []struct {
			times float64
			seen  bool
		}{{0.97, false}, {1.03, true}, {-0.97, false}, {-1.03, true}} {
			s := handSheet(0)
			if counts < 0 {
				s = mirrored(s)
			}
			lost := c.times * limit
			s.Setups[0].Marks["line 1"] = append(
				readings(sheet.Forward, around(4, float64(counts)*(47-lost/2), sd)...),
				readings(sheet.Backward, around(4, float64(counts)*(47+lost/2), sd)...)...)
			v, seen := values(audited(t, s), warning.LostMotionSeen)
			if seen != c.seen {
				t.Errorf("counts %v, lost motion at %v of its uncertainty: got seen %v, want %v", counts, c.times, seen, c.seen)
			}
			if seen && (math.Abs(v[0]-lost) > 1e-9 || math.Abs(v[1]-limit) > 1e-6) {
				t.Errorf("counts %v: got %.9f ± %.9f, want %.9f ± %.9f", counts, v[0], v[1], lost, limit)
			}
		}
	}
}

// mirrored is the sheet of a readout that counts the other way round.
func mirrored(s sheet.Sheet) sheet.Sheet {
	s = simulate.EveryReading(s, func(_ int, r sheet.Reading) sheet.Reading {
		r.Value = -r.Value
		return r
	})
	s.Readout.Counts = -s.Readout.Counts
	turn := *s.Readout.QuarterTurn
	turn[0].Value, turn[1].Value = -turn[0].Value, -turn[1].Value
	s.Readout.QuarterTurn = &turn
	return s
}
