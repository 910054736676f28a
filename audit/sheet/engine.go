package sheet

import (
	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// Engine describes the engine. Zero lengths mean not stated.
type Engine struct {
	Number                string                          `json:",omitzero"`
	Turns                 geometry.Rotation               `json:",omitzero"`
	Stroke, Rod           geometry.Length                 `json:",omitzero"`
	StrokeLimit, RodLimit geometry.Limit[geometry.Length] `json:",omitzero"`
	PinOffset, BoreOffset geometry.Offset                 `json:",omitzero"`
	RefersToThrow         bool                            `json:",omitzero"` // marks_refer_to: throw
	Cylinders             []Cylinder                      `json:",omitzero"`
}

// Cylinder says where a cylinder's TDC lies after that of the reference
// cylinder, in the running direction. The reference cylinder stands at zero.
type Cylinder struct {
	Name string          `json:",omitzero"`
	TDC  geometry.Angle  `json:",omitzero"`
	Path inputerror.Path `json:",omitzero"`
}

// Crank returns the slider-crank with the offsets that the sheet states, and
// false when stroke or rod is missing.
func (e Engine) Crank() (geometry.Crank, bool) {
	return geometry.Crank{
		Stroke: e.Stroke, Rod: e.Rod,
		Offset: e.BoreOffset.Value - e.PinOffset.Value,
	}, e.Stroke > 0 && e.Rod > 0
}

// Cylinder names the cylinder that a sheet's word stands for: the reference one
// where nothing is said; empty where the sheet names no cylinders.
func (e Engine) Cylinder(name string) string {
	if name != "" {
		return name
	}
	for _, c := range e.Cylinders {
		if c.TDC == 0 {
			return c.Name
		}
	}
	return ""
}

// Declared is where the sheet says that a cylinder's TDC lies after that of the
// reference cylinder.
func (e Engine) Declared(cylinder string) geometry.Angle {
	for _, c := range e.Cylinders {
		if c.Name == cylinder {
			return c.TDC
		}
	}
	return 0
}

// Rank orders cylinders as the sheet does, the reference one first.
func (e Engine) Rank(cylinder string) int {
	if cylinder == e.Cylinder("") {
		return -1
	}
	for i, c := range e.Cylinders {
		if c.Name == cylinder {
			return i
		}
	}
	return len(e.Cylinders)
}
