package export

import (
	"encoding/json"
	"fmt"
	"io"

	"markaudit/audit"
	"markaudit/audit/sheet"
)

// ReadAudit reads back the audit of one sheet that [Audit] wrote: the sheet as it was
// read, from which the result follows again. It can be asked what to measure next,
// and compared. The error says what is no such audit; a sheet that this version
// refuses gives an error of type inputerror.List.
func ReadAudit(r io.Reader) (audit.Result, error) {
	var in struct {
		Format int          `json:"format"`
		Sheet  *sheet.Sheet `json:"sheet_as_read"`
	}
	if err := json.NewDecoder(r).Decode(&in); err != nil {
		return audit.Result{}, fmt.Errorf("found no audit as `markaudit audit --format json` writes it: %w", err)
	}
	if in.Format != 1 || in.Sheet == nil {
		return audit.Result{}, fmt.Errorf("found format %d, expected an audit of format 1 with sheet_as_read: one that this version or a later one wrote", in.Format)
	}
	return audit.Run(*in.Sheet)
}
