package wheel

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// Exact errors of a scale centred 0.1 off at radius 100, atan2(e sin t, R + e
// cos t) by textbook geometry, computed by another hand: t from the graduation
// towards which it is displaced.
func TestSimulatedWheelIsExact(t *testing.T) {
	for _, c := range []struct{ t, want float64 }{{30, 0.0286231}, {60, 0.0495948}, {90, 0.0572958}, {150, 0.0286727}} {
		// The table counts t from the centre of the scale, as readings do: find
		// the shaft angle that has this reading.
		const psi = 17.0
		e := math.Atan2(0.1*math.Sin(c.t*math.Pi/180), 100+0.1*math.Cos(c.t*math.Pi/180)) * 180 / math.Pi
		reading := displaced(psi+c.t-e, 0.1, 100, psi)
		if got := reading - (psi + c.t - e); math.Abs(got-c.want) > 5e-8 || math.Abs(reading-psi-c.t) > 1e-9 {
			t.Errorf("t = %g: reading %.9f wrong by %.8f, want %.7f", c.t, reading, got, c.want)
		}
	}
}

// offCentred is a table of a wheel 280 mm wide.
func offCentred(n int, counts geometry.Sense, e, psi, zero float64) []Row {
	var rows []Row
	for i := range n {
		reference := 360 / float64(n) * float64(i)
		g := zero + float64(counts)*reference
		rows = append(rows, Row{Reference: geometry.Angle(reference), Reading: geometry.Angle(displaced(g, e, 140, psi))})
	}
	return rows
}

// The wheel is slid exactly here.
func TestRecentring(t *testing.T) {
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		for _, n := range []int{8, 12, 24, 36, 72} {
			for _, c := range []struct{ e, psi, zero float64 }{{0.21, 35, 0}, {1, 215.3, 123.4}, {0.05, 300, 7}, {3, 90, 200}} {
				r := run(t, Options{Diameter: 280, Slide: 0.001}, offCentred(n, counts, c.e, c.psi, c.zero))
				if r.Counts != counts {
					t.Fatalf("counts %v, want %v", r.Counts, counts)
				}
				testkit.Near(t, "off centre", geometry.Angle(r.OffCentre.By), geometry.Angle(c.e), 2e-4*c.e) // the higher orders are not orthogonal at the readings
				nearDirection(t, "toward", r.OffCentre.Toward, geometry.Angle(c.psi), 1e-4)
				nearDirection(t, "slide", r.OffCentre.Slide, geometry.Angle(c.psi+180), 1e-4)
				if r.OffCentre.Worth != WorthDoing {
					t.Errorf("%d stations, %v: worth %v", n, c, r.OffCentre.Worth)
				}
				// Slide the wheel as it is printed, to whole degrees and hundredths of
				// a millimetre, or three digits.
				step := math.Min(0.01, math.Pow(10, math.Floor(math.Log10(c.e))-2))
				move := round(float64(r.OffCentre.By), step)
				slide := round(r.OffCentre.Slide.Degrees(), 1).Radians()
				x := c.e*math.Cos(c.psi*math.Pi/180) + float64(move)*math.Cos(slide)
				y := c.e*math.Sin(c.psi*math.Pi/180) + float64(move)*math.Sin(slide)
				after := run(t, Options{Diameter: 280}, offCentred(n, counts, math.Hypot(x, y), math.Atan2(y, x)*180/math.Pi, c.zero))
				if left, was := after.Harmonics[0].Amplitude, r.Harmonics[0].Amplitude; !(left < 0.02*was) {
					t.Errorf("%d stations, %v: %v is left of %v", n, c, left, was)
				}
			}
		}
	}
}
