package audit

import (
	"math"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Rock is what two stop depths say of piston rock: a difference in height
// between the two contacts moves the middle more at the shallow depth.
type Rock struct {
	Height geometry.Length // between the contacts, positive: the middle comes later at a shallow stop
	U      geometry.Length // expanded, 95 %
	Shift  geometry.Angle  // what Height moves the middle by, deep stop against shallow
	Limit  geometry.Length // that Height and U leave open, to either side
	Seen   bool            // Height is beyond its uncertainty
	Used   bool            // Height is more than limits.contact, and Limit has taken its place
	Setups []string
}

// clearlyDeeper is the ratio of effects from which two depths tell rock from
// scatter. Common practice, no source.
const clearlyDeeper = 1.5

// findRock fits the middles of one mounting against 1/(2 dx/dα), where the stop
// sat at two clearly different depths in it. The slope is common to all
// mountings, what is left in each its own.
func (a *analysis) findRock() {
	s := geometry.Angle(a.sheet.Readout.Counts)
	type point struct {
		name         string
		gain, middle float64 // degrees a millimetre; degrees
		trials       float64
		scatter      geometry.Angle
		dof          float64
	}
	var points []point
	var sxx, sxy, low, high float64
	for _, st := range a.stations {
		for _, t := range st.tops {
			var here []point
			for _, f := range t.found {
				found := a.result.TDC.Setups[f]
				if found.Method != sheet.Stop || found.perDegree == 0 {
					continue
				}
				at := s*geometry.Angle((found.Middle-t.middle).Wrap()) - found.Correction
				here = append(here, point{
					found.Name, found.middleFor(1), at.Degrees(), float64(len(found.Middles)), found.scatter, found.scatterDOF,
				})
			}
			var gain, middle, least, most float64
			for i, p := range here {
				gain, middle = gain+p.gain/float64(len(here)), middle+p.middle/float64(len(here))
				if i == 0 {
					least, most = p.gain, p.gain
				}
				least, most = math.Min(least, p.gain), math.Max(most, p.gain)
			}
			if len(here) < 2 || most < clearlyDeeper*least {
				continue
			}
			low, high = math.Max(low, least), math.Max(high, most)
			for _, p := range here {
				p.gain -= gain
				sxx, sxy = sxx+p.gain*p.gain, sxy+p.gain*(p.middle-middle)
				points = append(points, p)
			}
		}
	}
	if len(points) == 0 || points[0].dof == 0 {
		return
	}
	rock := &Rock{Height: geometry.Length(sxy / sxx)}
	var per float64
	var step uncertainty.Budget
	for _, p := range points {
		per += square(p.gain/sxx) / p.trials
		step = append(step, repeats{}.stepAt(stepAtTDC, uncertainty.Triangular, a.sheet.Readout.Step/2*geometry.Angle(math.Abs(p.gain)/sxx), true))
		rock.Setups = append(rock.Setups, p.name)
	}
	rows := uncertainty.Budget{{
		Source: sourceOf(sheet.Stop), Evaluation: uncertainty.TypeA, Shape: uncertainty.StudentT,
		Scale: points[0].scatter * geometry.Angle(math.Sqrt(per)), N: len(points), DOF: points[0].dof, Sensitivity: 1,
	}}
	scatter, _ := rows.Combined()
	if rounding, _ := step.Combined(); rounding > scatter {
		rows = step
	}
	rock.U = geometry.Length(uncertainty.NewSum(rows.Terms()).HalfWidth(sheet.DefaultConfidence))
	size := geometry.Length(math.Abs(float64(rock.Height)))
	rock.Seen = size > rock.U
	rock.Shift = geometry.Angle(rock.Height.Millimetres() * (high - low))
	rock.Limit = size + rock.U
	rock.Used = rock.Seen && size > a.sheet.Limits.Contact.Half
	a.result.Rock = rock
	if rock.Seen {
		a.warn(Warning{Code: RockSeen, Values: []float64{rock.Shift.Degrees(), rock.Height.Millimetres(), rock.U.Millimetres()}})
	}
}

// contactLimit is how far the two contacts may differ in height: as stated, or as
// two stop depths show where that is more.
func (a *analysis) contactLimit() geometry.Limit[geometry.Length] {
	if r := a.result.Rock; r != nil && r.Used {
		return geometry.Limit[geometry.Length]{Half: r.Limit}
	}
	return a.sheet.Limits.Contact
}
