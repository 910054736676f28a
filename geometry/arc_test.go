package geometry_test

import (
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

// What a stop blocks. Contacts 329 apart by the readout leave 31 (common
// practice, no source); decimal readings that are half a turn or a whole turn
// apart are that to the person who wrote them, whatever their last binary digit.
func TestArc(t *testing.T) {
	for _, c := range []struct {
		counts   geometry.Sense
		from, to geometry.Angle
		want     geometry.Angle
	}{
		{geometry.CountsUp, 344.5, 15.5, 31},
		{geometry.CountsDown, 15.5, 344.5, 31},
		{geometry.CountsUp, 15.5, 344.5, 329},
		{geometry.CountsUp, 338, 22, 44},
		{geometry.CountsUp, 152.3, 512.3, 0},
		{geometry.CountsUp, 152.2, 512.2, 0},
		{geometry.CountsUp, 76.1, 256.1, 180},
		{geometry.CountsDown, 256.1, 76.1, 180},
		{geometry.CountsUp, 720, -360, 0},
	} {
		if got := c.counts.Arc(c.from, c.to); (got-c.want).Abs() > 1e-12 || c.want == 0 && got != 0 || c.want == 180 && got != 180 {
			t.Errorf("from %v to %v counting %v: got %v, want %v", c.from, c.to, c.counts, got, c.want)
		}
	}
}

func TestArcsOfBothSensesMakeATurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := geometry.Angle(rapid.Float64Range(-1e6, 1e6).Draw(t, "from"))
		to := geometry.Angle(rapid.Float64Range(-1e6, 1e6).Draw(t, "to"))
		up, down := geometry.CountsUp.Arc(from, to), geometry.CountsDown.Arc(from, to)
		if up < 0 || up >= 360 {
			t.Fatalf("got %v, want [0°, 360°)", up)
		}
		// Readings of a million degrees carry 1e-10; the snap adds 1e-9.
		if sum := up + down; sum != 0 && (sum-360).Abs() > 3e-9 {
			t.Fatalf("up %v and down %v make %v", up, down, sum)
		}
	})
}
