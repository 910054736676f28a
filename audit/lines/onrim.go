package lines

import (
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// OnRim is an offset as a way along the rim, with its sign: above zero late.
type OnRim struct {
	Arc, Chord geometry.Length // zero without a diameter
	ArcU       geometry.Length // expanded uncertainty of Arc, with the diameter's own doubt; zero where it is not known
	Teeth      float64         // of the ring gear; zero without teeth
}

// Along is an offset of a sheet's part along its rim.
func Along(s sheet.Sheet, e uncertainty.Estimate) OnRim {
	var out OnRim
	turned := s.Part.Turned(e.Value)
	if s.Part.Teeth > 0 {
		out.Teeth = geometry.Teeth(turned, s.Part.Teeth)
	}
	if s.Part.Diameter == 0 {
		return out
	}
	rim := geometry.Rim{Diameter: s.Part.Diameter}
	out.Arc, out.Chord = rim.Arc(turned), rim.Chord(turned)
	if !e.Known {
		return out
	}
	u := e.Expanded
	if l := DiameterLimit(s, e.Value); l.Half > 0 {
		rows := append(uncertainty.Budget{uncertainty.LimitRow(uncertainty.Diameter, l)}, e.Budget...)
		u = geometry.Angle(uncertainty.NewSum(rows.Terms()).HalfWidth(s.Limits.Confidence))
	}
	out.ArcU = rim.Arc(s.Part.Turned(u))
	return out
}

// DiameterLimit is the limit of the diameter as an angle that would change the
// arc of an offset as much. It is zero where the rim is the readout: its inputs
// hold the diameter already.
func DiameterLimit(s sheet.Sheet, offset geometry.Angle) geometry.Limit[geometry.Angle] {
	if s.Readout.Kind == sheet.Rim || s.Part.Diameter == 0 {
		return geometry.Limit[geometry.Angle]{}
	}
	return geometry.Limit[geometry.Angle]{
		Half: geometry.Angle(offset.Abs().Degrees() * float64(s.Part.DiameterLimit.Half/s.Part.Diameter)), K: s.Part.DiameterLimit.K,
	}
}
