package export

import (
	"markaudit/audit"
	"markaudit/audit/past"
)

// pastUseJSON is what became of the history that the sheet names.
func pastUseJSON(r audit.Result) optional[jsonPastUse] {
	h := r.Sheet.Readout.History
	if h == nil {
		return optional[jsonPastUse]{}
	}
	use := func(u past.Use) jsonUse {
		return jsonUse{u.Used, u.Objected, when(u.Sheets > 0, u.Then.Degrees()), when(u.Today > 0, u.Today.Degrees()), u.Sheets}
	}
	out := jsonPastUse{Readout: h.Readout, Digest: h.Digest, Sheets: len(h.Sheets), Middles: use(r.TDC.Before), Lines: []jsonLineUse{}}
	for _, l := range r.Lines {
		if l.Read() {
			out.Lines = append(out.Lines, jsonLineUse{l.Name, use(l.Before), use(l.Remounted)})
		}
	}
	return some(true, out)
}
