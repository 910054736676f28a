package rates

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// job is a sheet with the stand that it was written at.
type job struct {
	stand simulate.Rig
	truth simulate.Truth
	sheet sheet.Sheet
	moved bool // in the last setup the readout moved: a closing pair would show it
}

// outcome is what comes of following the words to the letter.
type outcome struct {
	refused   bool // the sheet itself
	supported bool // the readings alone prove a line outside, with a new line that would be known better
	acted     bool // metal is cut, or a pointer moved
	scribed   int  // lines
	replaced  bool // the pulley
	stopped   bool // by the check by eye, or by the closing pair that is asked for first
	harmed    bool // something good was spoilt
	result    audit.Result
}

// obeyed has the words followed by a hand that thinks nothing: it looks as the
// check says and stops where that fails, takes the closing pair that is asked for
// before metal, and then moves what it is told to, the way it is told.
func (j job) obeyed(t *testing.T) outcome {
	t.Helper()
	result, err := audit.Run(j.sheet)
	if err != nil {
		return outcome{refused: true}
	}
	out := outcome{result: result, replaced: result.Slip() == audit.RingSlipped}
	for i, c := range result.Diagnosis.Decisions[:len(result.Lines)] {
		e := result.Lines[i].Offset
		out.supported = out.supported || c.IfRight == diagnosis.Outside && e.Known && e.Expanded < e.Value.Abs() && !(j.stand.Part.Bonded && result.Lines[i].On != "")
	}
	together := result.Advice.Together
	out.acted = together.Worthwhile
	for _, m := range result.ByLine() {
		if m.Scribe.Worthwhile {
			out.scribed++
			out.acted = true
		}
	}
	if out.replaced && j.stand.Part.RingSlip == 0 {
		out.harmed = true
	}
	if !out.acted {
		return out
	}
	if !j.looksRight(result.Advice.Check) || j.moved && result.Diagnosis.CloseFirst != nil {
		out.stopped = true
		return out
	}
	all := geometry.Angle(0)
	if together.Worthwhile {
		all = -j.laidOff(together)
		var before, after, u geometry.Angle
		for _, i := range result.Diagnosis.Sharing {
			off := j.truth.Lines[i].Offset
			before, after = before+off, after+(off+all).Wrap()
			u = max(u, result.Lines[i].Offset.Expanded)
		}
		n := geometry.Angle(len(result.Diagnosis.Sharing))
		// No worse than before, or as near as a line has to be.
		spoilt := after.Abs() > before.Abs() && after.Abs()/n > 0.5+u
		out.harmed = out.harmed || spoilt
	}
	for i, m := range result.ByLine() {
		if !m.Scribe.Worthwhile {
			continue
		}
		is := (j.truth.Lines[i].Offset + all + j.laidOff(m.Scribe)).Wrap().Abs()
		if is > j.truth.Lines[i].Tolerance/2+m.Offset.Expanded {
			out.harmed = true
		}
	}
	return out
}

// way is +1 where a line that lies further clockwise comes up later: on a part
// that turns anticlockwise, and on a fixed scale past which a line runs clockwise.
func (j job) way() geometry.Angle {
	way := geometry.Angle(1)
	if j.stand.Engine.Turns == geometry.Clockwise {
		way = -1
	}
	if j.stand.Part.MarksOn == sheet.OnEngine {
		way = -way
	}
	return way
}

// laidOff is by how much later a line comes up that was laid off as told. What is
// told to move where it stands still is left alone. With a diameter the way along
// the rim is laid off, on the rim as it is.
func (j job) laidOff(s advise.Scribe) geometry.Angle {
	by := s.Angle
	if s.HasLengths && j.stand.Part.Diameter > 0 {
		by = geometry.Angle(s.Arc.Millimetres() / (math.Pi * j.stand.Part.Diameter.Millimetres()) * 360)
		if j.stand.Part.HalfSpeed {
			by *= 2
		}
	}
	if s.Rotation == geometry.Anticlockwise {
		by = -by
	}
	return by * j.way()
}

// lies is where a line lies as one looks at the part, clockwise from any place.
func (j job) lies(name string) geometry.Angle {
	for _, l := range j.stand.Lines {
		if l.Name == name {
			at := j.stand.ComesUp(l) * j.way()
			if j.stand.Part.HalfSpeed {
				at /= 2
			}
			return at
		}
	}
	return 0
}

// looksRight looks at the part as the check before scribing says.
func (j job) looksRight(c advise.EyeCheck) bool {
	clockwise := func(from, to string) bool { return (j.lies(to) - j.lies(from)).Wrap() > 0 }
	if c.From != "" {
		return clockwise(c.From, c.To) == (c.Rotation == geometry.Clockwise)
	}
	return c.Rotation == j.stand.Engine.Turns
}
