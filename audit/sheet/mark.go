package sheet

import (
	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// Mark is a line that the sheet declares.
type Mark struct {
	Name      string          `json:",omitzero"`
	At        geometry.Angle  `json:",omitzero"` // nominal crank angle; BTDC is negative
	AtText    string          `json:",omitzero"` // as written, always with letters: "10 BTDC", "240 ATDC", "0"
	Tolerance geometry.Angle  `json:",omitzero"` // each way; the smaller of the two where they differ
	Early     geometry.Angle  `json:",omitzero"` // how early it may come, positive; zero: Tolerance
	Late      geometry.Angle  `json:",omitzero"` // how late it may come; zero: Tolerance
	On        string          `json:",omitzero"` // group that the line belongs to: ring, hub, flywheel, tab; or empty
	Cylinder  string          `json:",omitzero"` // At counts from this cylinder's TDC; empty: the reference cylinder
	Drop      geometry.Length `json:",omitzero"` // nominal piston drop, where At was written as one
	DropLimit geometry.Length `json:",omitzero"` // tolerance in piston drop, where it was written as one
	Path      inputerror.Path `json:",omitzero"`
}

// Allowed returns how early and how late the line may come, both unsigned.
func (m Mark) Allowed() (early, late geometry.Angle) {
	if m.Early > 0 && m.Late > 0 {
		return m.Early, m.Late
	}
	return m.Tolerance, m.Tolerance
}
