package crosscheck

import (
	"markaudit/audit/lines"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// lineOrder warns of neighbouring lines that come up in the wrong order.
func lineOrder(in input) (out []warning.Warning) {
	part := in.sheet.Part
	for _, n := range lines.Neighbours(part, in.lines) {
		first, second := in.lines[n[0]], in.lines[n[1]]
		gap := part.Round(second.Place - first.Place)
		found := gap + second.Offset.Value - first.Offset.Value
		if gap > 0 && found <= geometry.Tie || gap < 0 && part.Turned(gap) > -180 && found >= -geometry.Tie {
			out = append(out, warning.Warning{Code: warning.LineOrder, Names: []string{first.Name, second.Name}})
		}
	}
	return out
}
