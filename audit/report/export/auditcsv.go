package export

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/csvfile"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/uncertainty"
)

// columnsCSV are the columns of one row a mark, for many sheets.
var columnsCSV = []string{
	"sheet", "title", "job", "date", "engine", "part", "mark", "nominal_deg", "comes_up_at_deg", "offset_deg",
	"standard_uncertainty_deg", "expanded_uncertainty_deg", "confidence", "tolerance_deg", "conformity_probability",
	"verdict", "covers", "arc_mm", "arc_expanded_mm", "direction", "worthwhile", "finding", "to_decide",
	"early_probability", "late_probability", "risk", "warnings",
}

// AuditHeader writes the header row, with a decimal comma the line before it that
// names the separator.
func (c CSV) AuditHeader(w io.Writer) error {
	if c.DecimalComma {
		if _, err := io.WriteString(w, separatorLine); err != nil {
			return err
		}
	}
	return c.writeRows(w, columnsCSV)
}

// Audit writes one row a mark, in full precision; what is not known is empty.
func (c CSV) Audit(w io.Writer, r audit.Result, next []advise.Next, o document.Options) error {
	number := func(known bool, x float64) string {
		if !known || math.IsNaN(x) || math.IsInf(x, 0) {
			return ""
		}
		return c.decimal(strconv.FormatFloat(x, 'g', -1, 64))
	}
	clean := func(text string) string { return csvfile.Harmless(words.Clean(text)) }
	v, s := words.NewAudit(r, next), r.Sheet
	rows := make([][]string, len(r.Lines))
	for i, m := range r.ByLine() {
		var e uncertainty.Estimate
		if m.Offset != nil {
			e = *m.Offset
		}
		read, known := m.Offset != nil, e.Known
		hasArc := read && s.Part.Diameter > 0
		risk, decided := m.Risk()
		var codes []string
		for _, w := range r.Warnings {
			if w.Mark == "" || w.Mark == m.Name {
				codes = append(codes, string(w.Code))
			}
		}
		rows[i] = []string{
			clean(o.Path), clean(s.Title), clean(s.Job), clean(s.Date), clean(s.Engine.Number), clean(s.Part.Name), clean(m.Name),
			number(true, m.At.Degrees()), number(read, m.ComesUpAt.Degrees()), number(read, e.Value.Degrees()),
			number(known, e.Standard.Degrees()), number(known, e.Expanded.Degrees()), number(true, s.Limits.Confidence), number(true, m.Tolerance.Degrees()),
			number(known, m.Conformity.Within), m.Verdict.String(), m.Covers.String(),
			number(hasArc, m.OnRim.Arc.Millimetres()), number(hasArc && known, m.OnRim.ArcU.Millimetres()),
			directionOf(m.Scribe), strconv.FormatBool(m.Scribe.Worthwhile), r.Together.Finding.String(), words.ToDecide(v, m, next[i]),
			number(known, m.Conformity.Early), number(known, m.Conformity.Late), number(known && decided, risk), strings.Join(codes, " "),
		}
	}
	return c.writeRows(w, rows...)
}

// directionOf is the way in which an instruction moves, as seen on the part.
func directionOf(s advise.Scribe) string {
	if s.Along == advise.NoWay {
		return "none"
	}
	return s.Rotation.String()
}

func (c CSV) writeRows(w io.Writer, rows ...[]string) error {
	out := csv.NewWriter(w)
	if c.DecimalComma {
		out.Comma = ';'
	}
	return out.WriteAll(rows)
}
