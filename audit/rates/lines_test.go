package rates

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// reading is how a line is read: in what, how often, how finely.
type reading struct {
	trials, readings, setups int
	step                     float64 // in standard deviations of a reading
	wheel                    bool    // at the limit of its centring
	lines                    int
	alike                    bool // zeroed alike
}

func (c reading) String() string {
	text := fmt.Sprintf("%d trials, %d readings, %d setups, step %v scatters, %d lines", c.trials, c.readings, c.setups, c.step, c.lines)
	if c.wheel {
		text += ", wheel at its limit"
	}
	if c.alike {
		text += ", zeroed alike"
	}
	return text
}

func (c reading) stand(rng *rand.Rand, tolerance geometry.Angle, at ...geometry.Angle) simulate.Rig {
	r := drawn(rng, tolerance, at[:c.lines]...)
	first := &r.Setups[0]
	first.Trials, first.Readings, r.ZeroAlike = c.trials, c.readings, c.alike
	r.Readout.Step = geometry.Angle(c.step) * first.Hand.ReadSD
	if c.wheel {
		r = onWheel(r, 0.4)
	}
	r = repeated(r, c.setups)
	if c.alike {
		r = r.Each(func(s *simulate.Setup) { s.Hand.RemountSD = 0.03 })
	}
	return r
}

// The degrees of freedom of small samples are approximate: half a percent less
// than 95.
const nearly95 = 0.945

func coverageCells() (cells []cell) {
	var all []reading
	for _, wheel := range []bool{false, true} {
		for _, setups := range []int{1, 4} {
			for _, trials := range []int{3, 5, 10} {
				for _, step := range []float64{0.05, 1, 3} {
					all = append(all, reading{trials: trials, readings: trials, setups: setups, step: step, wheel: wheel, lines: 3})
				}
			}
		}
	}
	for _, step := range []float64{0.05, 1, 3} {
		all = append(all,
			reading{trials: 3, readings: 2, setups: 1, step: step, lines: 1}, // one degree of freedom
			reading{trials: 3, readings: 1, setups: 4, step: step, lines: 1},
			reading{trials: 1, readings: 1, setups: 4, step: step, lines: 1},
			reading{trials: 3, readings: 3, setups: 4, step: step, lines: 3, alike: true},
			reading{trials: 3, readings: 3, setups: 2, step: step, lines: 3},
		)
	}
	for _, c := range all {
		cells = append(cells, cell{
			name: c.String(), draws: 1000,
			asks: []ask{
				atLeast(nearly95, "the interval holds the truth", coverage),
				atLeast(1, "there is an interval", promise),
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := offLattice(c.stand(rng, 1, 120, -30, 240), rng)
				e := audited(t, r, rng).ByLine()[0].Offset
				return answers(holds(e, r.Lines[0].Offset), e.Known)
			},
		})
	}
	return cells
}

// limited is a stand with limits, on the rim, in height, degrees, degrees and the
// wheel's millimetres.
type limited struct {
	name     string
	sighting geometry.Length
	rock     geometry.Length
	lost     geometry.Angle
	remount  geometry.Angle
	wheel    geometry.Length
	setups   int
	corner   float64 // how often the 95 % interval alone holds the truth at the corner, as docs/validation.md has it
}

var limits = []limited{
	{name: "sighting", sighting: 0.8, setups: 1, corner: 0.72},
	{name: "rock", rock: 0.15, setups: 1, corner: 0.90},
	{name: "lost motion", lost: 1.2, setups: 1, corner: 0.70},
	{name: "remounting, one setup", remount: 0.5, setups: 1, corner: 0.74},
	{name: "remounting, two setups", remount: 0.5, setups: 2, corner: 0.24},
	{name: "all", sighting: 0.3, rock: 0.05, lost: 0.3, remount: 0.2, wheel: 0.3, setups: 2, corner: 0.22},
	{name: "all, three setups", sighting: 0.3, rock: 0.05, lost: 0.3, remount: 0.2, wheel: 0.3, setups: 3},
}

// stand declares the limits, and uses each of them by its part of what use
// returns, from -1 to 1, but for the wheel's, whose direction is drawn. Added says
// whether mounting adds the same to every setup or is drawn for each.
func (c limited) stand(rng *rand.Rand, use func() float64, sameMounting bool) simulate.Rig {
	r := drawn(rng, 1, 120, -30)
	r.Readout.Step = 0.01
	r.Told.Sighting, r.Told.Contact, r.Told.Remount = c.sighting, c.rock, c.remount
	hand := &r.Setups[0].Hand
	hand.Squint, r.Engine.Rock = c.sighting*geometry.Length(use()), c.rock*geometry.Length(use())
	if c.lost > 0 {
		r.Told.Lost, r.Told.LostLimit = 0.4, c.lost
		r.Readout.Lost = 0.4 - c.lost*geometry.Angle(use())
	}
	if sameMounting {
		r.Setups[0].Added = c.remount * geometry.Angle(use())
	} else {
		hand.RemountWithin = c.remount
	}
	if c.wheel > 0 {
		r = onWheel(r, c.wheel)
	}
	return offLattice(r.Repeated(c.setups), rng)
}

// Rows that no reading shows must hold the truth too: what is stated as a limit
// lies anywhere within it, evenly, which is what a rectangular row says
// (JCGM 100, 4.3.7).
func limitCells() (cells []cell) {
	for _, c := range limits {
		cells = append(cells, cell{
			name: c.name + " within its limit", draws: 1000,
			asks: []ask{atLeast(nearly95, "the interval holds the truth", coverage)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := c.stand(rng, func() float64 { return within(rng, 1.0) }, false)
				return answers(holds(audited(t, r, rng).ByLine()[0].Offset, r.Lines[0].Offset))
			},
		})
	}
	// With every limit used up in full, all in the same sense, 95 % is not promised
	// and not asked: a coverage probability is one over everything that the rows
	// say may be (JCGM 100, 6.2.2 and 4.3.7), and one corner of the limits is no
	// draw from them. What holds at a corner, because a limit is never exceeded, is
	// the limits laid end to end with the interval of the rest beside them: that is
	// asked, and fails when a row is narrower than what it stands for. From three
	// setups on what mountings add is taken from their scatter, and what all of them
	// add alike is in no reading, so only one and two setups have such a corner.
	for _, c := range limits {
		if c.setups > 2 {
			continue
		}
		cells = append(cells, cell{
			name: c.name + " at its corner", draws: 1000,
			// Half of what the interval of the rest may miss, for the corner is on one
			// side.
			asks: []ask{
				atLeast(1-(1-nearly95)/2, "the limits end to end, with the interval of the rest, hold the truth", "JCGM 100, 4.3.7"),
				about(c.corner-0.02, c.corner+0.02, "the 95 % interval alone holds the truth, which is not promised", promise),
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				// Each of these makes a line seem late, or each early.
				side := []float64{1, -1}[rng.IntN(2)]
				r := c.stand(rng, func() float64 { return side }, true)
				e := audited(t, r, rng).ByLine()[0].Offset
				ends := 0.0
				var rest []uncertainty.Term
				for _, row := range e.Budget {
					switch {
					case row.Idle:
					case row.Evaluation() == "B" && row.Source != uncertainty.StepAtTDC && row.Source != uncertainty.StepAtLine:
						ends += row.Term().Scale
					default:
						rest = append(rest, row.Term())
					}
				}
				widest := geometry.Angle(ends + uncertainty.NewSum(rest).HalfWidth(0.95))
				return answers(e.Known && (e.Value-r.Lines[0].Offset).Abs() <= widest, holds(e, r.Lines[0].Offset))
			},
		})
	}
	return cells
}

// With the truth exactly at the border of the tolerance, within and outside are
// both wrong.
func borderCells() (cells []cell) {
	asks := []ask{atMost(0.05, "called within", decision), atMost(0.05, "called outside", decision)}
	for _, c := range []reading{
		{trials: 3, readings: 3, setups: 1, step: 0.05, lines: 3},
		{trials: 3, readings: 3, setups: 1, step: 1, lines: 3},
		{trials: 3, readings: 3, setups: 4, step: 3, lines: 3},
		{trials: 5, readings: 5, setups: 4, step: 0.05, lines: 3},
		{trials: 10, readings: 10, setups: 1, step: 1, lines: 3, wheel: true},
		{trials: 3, readings: 2, setups: 1, step: 1, lines: 1},
	} {
		cells = append(cells, cell{
			name: "at the tolerance: " + c.String(), draws: 4000, asks: asks,
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := c.stand(rng, 1, 120, -30, 240)
				r.Lines[0].Tolerance = geometry.Angle(0.6 + 0.4*rng.Float64()) // off the lattice
				r.Lines[0].Offset = r.Lines[0].Tolerance
				result := audited(t, r, rng)
				return answers(verdict(result, 0, diagnosis.Within), verdict(result, 0, diagnosis.Outside))
			},
		})
	}
	// A tolerance in piston millimetres is another angle on each side. The
	// probability of conformity is as often above a half as below: its distribution
	// is symmetric about the border, all but for the other limit, which is far away.
	for _, letters := range []string{"BTDC", "ATDC"} {
		for _, drop := range []geometry.Length{2.2, 1.4} {
			for _, setups := range []int{1, 3} {
				cells = append(cells, cell{
					name: fmt.Sprintf("1.8 mm piston %s at %v, %d setups", letters, drop, setups), draws: 600,
					asks: append(asks, about(0.5, 0.5, "the probability of conformity is above a half", decision)),
					draw: func(t *testing.T, rng *rand.Rand) []answer {
						r := drawn(rng, 1, 0)
						r.Engine.Stroke, r.Engine.Rod, r.Engine.Pin, r.Readout.Step = 54, 110, 0.8, 0.05
						at := r.Engine.After(drop)
						if letters == "BTDC" {
							at = r.Engine.Before(drop)
						}
						r.Lines = append(r.Lines, simulate.Line{Name: "spark", At: at, Written: "1.8 mm piston " + letters, DropTolerance: 0.4})
						m := read(t, r.Repeated(setups), rng).ByLine()[1]
						return answers(m.Verdict == diagnosis.Within, m.Verdict == diagnosis.Outside, m.Conformity.Within > 0.5)
					},
				})
			}
		}
	}
	return cells
}

// A single with a flywheel of about 600 mm and no degree wheel, the true diameter
// anywhere within its limit. A chord is read within half a turn.
func spoked(rng *rand.Rand, chord bool, limit geometry.Length) simulate.Rig {
	r := drawn(rng, 1, 0, -12.4, 110)
	r.Readout.Kind, r.Readout.Step, r.Readout.Chord, r.Readout.StepLength = sheet.Rim, 0, chord, 0.5
	r.Told.Diameter, r.Told.DiameterLimit = 600, limit
	r.Part.Diameter = 600 + within(rng, limit)
	if chord {
		r.Readout.Chalk = 20
	}
	for i := range r.Lines {
		r.Lines[i].Offset = within(rng, geometry.Angle(0.5))
	}
	return r
}

func rimCells() (cells []cell) {
	held := atLeast(0.95, "the interval holds the truth", coverage)
	for _, chord := range []bool{false, true} {
		for _, setups := range []int{1, 3} {
			for _, half := range []bool{false, true} {
				for _, limit := range []geometry.Length{0.2, 4} {
					cells = append(cells, cell{
						name:  fmt.Sprintf("rim, chord %v, %d setups, half speed %v, diameter ± %v", chord, setups, half, limit),
						draws: 300, asks: each(3, held),
						draw: func(t *testing.T, rng *rand.Rand) []answer {
							r := spoked(rng, chord, limit)
							r.Part.HalfSpeed, r.Setups[0].Trials = half, 4
							r = repeated(r, setups)
							return linesHeld(r, read(t, r, rng))
						},
					})
				}
			}
		}
	}
	return append(cells, cell{
		// What is squinted at the rim of a part at half speed is twice as many
		// degrees of crank.
		name: "sighting on a part at half speed", draws: 300, asks: each(2, held),
		draw: func(t *testing.T, rng *rand.Rand) []answer {
			r := drawn(rng, 1, 0, -24)
			r.Part.HalfSpeed, r.Readout.Kind, r.Readout.Step, r.Readout.StepLength = true, sheet.Rim, 0, 0.05
			r.Told.Sighting = 0.6
			r.Setups[0].Hand.Squint = within(rng, geometry.Length(0.6))
			for i := range r.Lines {
				r.Lines[i].Offset = within(rng, geometry.Angle(0.5))
			}
			return linesHeld(r, read(t, r, rng))
		},
	}, cell{
		name: "a tape beyond a full turn", draws: 300, asks: []ask{held},
		draw: func(t *testing.T, rng *rand.Rand) []answer {
			r := spoked(rng, false, 1)
			s, _ := r.Measure(rng)
			for _, l := range r.Lines {
				readings := s.Setups[0].Marks[l.Name]
				for i := range readings {
					readings[i].Length += r.Part.Diameter * math.Pi
				}
			}
			text := sheet.Write(s)
			again, _, err := sheet.Read("stand.yaml", []byte(text), nil)
			if err != nil {
				t.Fatalf("a true sheet is refused: %v\n%s", err, text)
			}
			return answers(holds(judged(t, again).ByLine()[2].Offset, r.Lines[2].Offset))
		},
	})
}

// The intervals hold the truth when the correction errs as its covariance says,
// in lines and in what they have in common (JCGM 100, 5.2).
func correctionCells() []cell {
	const u = 0.15 // degrees, of each coefficient: far more than all else
	return []cell{{
		name: "readout's correction", draws: 400,
		asks: append(each(4, atLeast(0.95, "the interval holds the truth", coverage)),
			atLeast(0.95, "lines off alike are not called different for what the correction does to each", claims)),
		draw: func(t *testing.T, rng *rand.Rand) []answer {
			r := off(onWheel(drawn(rng, 0.5, 0, 120, -30, 240), 0.3), 0.4)
			r.Readout.Step, r.Told.OffCentre = 0, 0
			r.Setups[0].Hand = simulate.Hand{MiddleSD: 0.02, ReadSD: 0.02}
			s, truth := r.Measure(rng)
			c := firstOrder(r, truth)
			c.Sine[0] += geometry.Angle(u * rng.NormFloat64())
			c.Cosine[0] += geometry.Angle(u * rng.NormFloat64())
			c.Covariance = [][]float64{{u * u, 0}, {0, u * u}}
			s.Readout.Name, s.Readout.Correction = "wheel", &c
			result := judged(t, s)
			return append(linesHeld(r, result), answered(result.Together.Finding == lines.Common))
		},
	}}
}

// firstOrder is the correction of a stand's wheel as it sits in its first
// mounting: the first order of the eccentricity (a circle's graduations seen from
// a point beside its centre; plane geometry).
func firstOrder(r simulate.Rig, truth simulate.Truth) sheet.Correction {
	e := 2 * float64(r.Readout.OffCentre/r.Readout.Diameter)
	psi := rad(float64(truth.Setups[0].Reading + r.Readout.Towards))
	return sheet.Correction{
		Name: "wheel", Sine: []geometry.Angle{geometry.Angle(deg(e * math.Cos(psi)))}, Cosine: []geometry.Angle{geometry.Angle(-deg(e * math.Sin(psi)))},
		Covariance: [][]float64{{0, 0}, {0, 0}}, DOF: math.Inf(1), Stations: 24, Counts: geometry.CountsUp,
	}
}

// TestLines is where each line comes up: intervals and verdicts.
func TestLines(t *testing.T) {
	measure(t, coverageCells())
	measure(t, limitCells())
	measure(t, borderCells())
	measure(t, rimCells())
	measure(t, correctionCells())
}
