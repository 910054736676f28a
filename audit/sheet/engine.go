package sheet

import (
	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// Engine describes the engine. Zero lengths mean not stated.
type Engine struct {
	Number                string
	Turns                 geometry.Rotation
	Stroke, Rod           geometry.Length
	PinOffset, BoreOffset geometry.Offset
	RefersToThrow         bool // marks_refer_to: throw
	Cylinders             []Cylinder
}

// Cylinder says where a cylinder's TDC lies after that of the reference
// cylinder, in the running direction. The reference cylinder stands at zero.
type Cylinder struct {
	Name string
	TDC  geometry.Angle
	Path inputerror.Path
}

// Crank returns the slider-crank with the offsets that the sheet states, and
// false when stroke or rod is missing.
func (e Engine) Crank() (geometry.Crank, bool) {
	return geometry.Crank{
		Stroke: e.Stroke, Rod: e.Rod,
		Offset: e.BoreOffset.Value - e.PinOffset.Value,
	}, e.Stroke > 0 && e.Rod > 0
}
