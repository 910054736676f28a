package cli

import (
	"errors"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/words"
	"markaudit/cmd/markaudit/internal/world"
)

// customerPage writes the half page of one sheet for the customer.
func customerPage(env world.World, name, output string) error {
	return into(env, output, func(w io.Writer, replaced fs.FileInfo) error {
		s, positions, err := sheetFile(env, name, replaced)
		if err != nil {
			return err
		}
		r, err := audit.Run(s)
		var faults inputerror.List
		if errors.As(err, &faults) {
			return positions.Explain(faults)
		}
		page := jobsheet.Customer(words.NewAudit(r, audit.Next(r)), document.Options{Path: name, Software: software})
		if strings.EqualFold(filepath.Ext(output), ".svg") {
			return drawing.SVG(w, page)
		}
		return drawing.PDF(w, page.Title, []drawing.Scene{page})
	})
}
