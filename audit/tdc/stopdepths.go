package tdc

import (
	"math"

	"markaudit/audit/internal/stats"
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

// stopDepths fits the middles of one mounting against 1/(2 dx/dα), where the stop
// sat at two clearly different depths in it. The slope is common to all
// mountings, what is left in each its own.
func stopDepths(in input, f Found) *Rock {
	s := in.readout.Counts()
	type point struct {
		name         string
		gain, middle float64 // degrees a millimetre; degrees
		trials       float64
		scatter      geometry.Angle
		dof          float64
	}
	var points []point
	var sxx, sxy, low, high float64
	for _, m := range f.Mountings {
		for _, t := range m.Tops {
			var here []point
			for _, i := range t.Setups {
				found := f.Setups[i]
				if found.Method != sheet.Stop || found.PerDegree == 0 {
					continue
				}
				at := s*(found.Middle-t.Middle).Wrap() - found.Correction
				here = append(here, point{
					found.Name, found.PerHeight(), at.Degrees(), float64(len(found.Middles)), found.Scatter, found.ScatterDOF,
				})
			}
			var gain, least, most float64
			for i, p := range here {
				gain += p.gain / float64(len(here))
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
				p.gain -= gain // and so the mean of the middles drops out
				sxx, sxy = sxx+p.gain*p.gain, sxy+p.gain*p.middle
				points = append(points, p)
			}
		}
	}
	if len(points) == 0 || points[0].dof == 0 {
		return nil
	}
	rock := &Rock{Height: geometry.Length(sxy / sxx)}
	var per float64
	var step uncertainty.Budget
	for _, p := range points {
		per += stats.Square(p.gain/sxx) / p.trials
		step = append(step, uncertainty.Row{Source: uncertainty.StepAtTDC, Shape: uncertainty.Triangular, Scale: in.readout.Step() / 2 * geometry.Angle(math.Abs(p.gain)/sxx), DOF: uncertainty.Known(), Sensitivity: 1})
		rock.Setups = append(rock.Setups, p.name)
	}
	rows := uncertainty.Budget{{
		Source: uncertainty.StopContacts, Shape: uncertainty.StudentT,
		Scale: points[0].scatter * geometry.Angle(math.Sqrt(per)), N: len(points), DOF: uncertainty.DOF(points[0].dof), Sensitivity: 1,
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
	rock.Used = rock.Seen && size > in.sheet.Limits.Contact.Half
	return rock
}
