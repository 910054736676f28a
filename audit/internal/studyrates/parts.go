package studyrates

import (
	"fmt"
	"math/rand/v2"

	"markaudit/audit/compare"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// moved is what was done to a pulley with lines on its ring and on its hub between
// two audits. Angles in degrees, late above zero.
type moved struct {
	ring, pointer, hub float64
	bumped             float64 // by which the readout was moved in the later audit, after its contacts
}

// pulley is what is audited, and how.
type pulley struct {
	setups  int
	closing bool
	hubs    int // lines on the hub that are read
}

// twice is the audit before and the audit after.
func (p pulley) twice(rng *rand.Rand, m moved) []sheet.Sheet {
	nominals := []geometry.Angle{0, 120, 240, 60, 200}
	r := simulate.Steady(1, nominals[:3+p.hubs]...)
	r.Part.Bonded = true
	for i := range r.Lines {
		r.Lines[i].Offset, r.Lines[i].On = geometry.Angle(0.3*rng.NormFloat64()), simulate.Ring
		if i >= 3 {
			r.Lines[i].On = "hub"
		}
	}
	r.Readout = simulate.Readout{Kind: sheet.Wheel, Step: 0.1, Counts: geometry.CountsUp, Diameter: 280, OffCentre: 0.05, Towards: geometry.Angle(360 * rng.Float64())}
	r.Told.OffCentre, r.Told.Remount, r.Told.Side, r.Told.QuarterTurn = 0.1, 0.1, true, true
	r.Setups[0] = simulate.Setup{
		By: "hand", HalfArc: geometry.Angle(22 + 9*rng.Float64()), Trials: 4, Readings: 3, Closing: p.closing,
		Hand: simulate.Hand{MiddleSD: 0.05, ReadSD: 0.06, RemountSD: 0.04},
	}
	r = r.Repeated(p.setups)
	before, _ := r.Measure(rng)
	r.Part.RingSlip, r.Part.Bent = geometry.Angle(m.ring), geometry.Angle(m.pointer)
	for i := 3; i < len(r.Lines); i++ {
		r.Lines[i].Offset += geometry.Angle(m.hub)
	}
	after, _ := r.Each(func(s *simulate.Setup) { s.Bumped = geometry.Angle(m.bumped) }).Measure(rng)
	before.Date, after.Date = "2022-05-01", "2024-05-01"
	return []sheet.Sheet{before, after}
}

// Parts ask how often the part that moved is named, and how often another one is.
func Parts() (cells []Cell) {
	closed := pulley{setups: 2, closing: true, hubs: 2}
	oneHub, noHub, open, three, single := closed, closed, closed, closed, closed
	oneHub.hubs, noHub.hubs = 1, 0
	open.closing, three.closing, three.setups = false, false, 3
	single.setups = 1
	for _, c := range []struct {
		what  string
		p     pulley
		m     moved
		want  compare.Cause
		named float64 // at least
		wrong float64 // at most: another part is named
	}{
		{"nothing moved", closed, moved{}, compare.Unmoved, 0.9, 0.05},
		{"nothing moved, no closing pair", open, moved{}, compare.Unmoved, 0.9, 0.05},
		{"the ring, 1 later", closed, moved{ring: 1}, compare.Ring, 0.95, 0.02},
		{"the ring, 1 earlier", closed, moved{ring: -1}, compare.Ring, 0.95, 0.02},
		{"the ring, 0.5 later", closed, moved{ring: 0.5}, compare.Ring, 0.35, 0.05},
		{"the ring, 1 later, one line on the hub", oneHub, moved{ring: 1}, compare.Ring, 0.9, 0.05},
		{"the pointer, 1 later", closed, moved{pointer: 1}, compare.Pointer, 0.95, 0.02},
		{"the pointer, 1 earlier", closed, moved{pointer: -1}, compare.Pointer, 0.95, 0.02},
		{"the pointer, 1 later, three setups and no closing pair", three, moved{pointer: 1}, compare.Pointer, 0.9, 0.05},
		{"the hub's line, 1 later", oneHub, moved{hub: 1}, compare.HubLine, 0.9, 0.05},
		{"the hub's lines, 1 earlier", closed, moved{hub: -1}, compare.HubLine, 0.9, 0.05},
		{"the ring, 1 later, no line on the hub", noHub, moved{ring: 1}, compare.RingOrPointer, 0.95, 0.02},
		{"the pointer, 1 later, no closing pair", open, moved{pointer: 1}, compare.Open, 0.95, 0.02},
		{"the readout, 1 in one setup, no closing pair", pulley{setups: 1, hubs: 2}, moved{bumped: 1}, compare.Open, 0.95, 0.02},
		{"the pointer, 1 later, one setup and a closing pair", single, moved{pointer: 1}, compare.Pointer, 0.8, 0.05},
	} {
		cells = append(cells, Cell{
			Name: fmt.Sprint("compared: ", c.what), Draws: 300,
			Asks: []Ask{atLeast(c.named, "named "+c.want.String()), atMost(c.wrong, "another part is named")},
			Draw: func(rng *rand.Rand) ([]Answer, error) {
				found, err := compare.Sheets(c.p.twice(rng, c.m))
				if err != nil {
					return nil, err
				}
				cause := found.Steps[0].Cause
				return []Answer{answered(cause == c.want), answered(cause != c.want && cause != compare.Unmoved && cause != compare.Open)}, nil
			},
		})
	}
	return cells
}
