package export

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/csvfile"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
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
	return c.writeRow(w, columnsCSV)
}

// Audit writes one row a mark, in full precision; what is not known is empty.
func (c CSV) Audit(w io.Writer, r audit.Result, next []advise.Next, o document.Options) error {
	j := auditJSON(r, next, o)
	number := func(x *float64) string {
		if x == nil {
			return ""
		}
		return c.decimal(strconv.FormatFloat(*x, 'g', -1, 64))
	}
	clean := func(text string) string { return csvfile.Harmless(words.Clean(text)) }
	s := r.Sheet
	for i, m := range j.Marks {
		var codes []string
		for _, w := range r.Warnings {
			if w.Mark == "" || w.Mark == m.Name {
				codes = append(codes, string(w.Code))
			}
		}
		decide := ""
		if m.ToDecide != nil {
			decide = *m.ToDecide
		}
		row := []string{
			clean(o.Path), clean(s.Title), clean(s.Job), clean(s.Date), clean(s.Engine.Number), clean(s.Part.Name), clean(m.Name),
			number(&m.Nominal), number(m.ComesUpAt), number(m.Offset), number(m.Standard), number(m.Expanded),
			number(&j.Confidence), number(&m.Tolerance), number(m.Conformity), m.Verdict, m.Covers,
			number(m.Arc), number(m.ArcExpanded), m.Scribe.Direction, strconv.FormatBool(r.Advice.Lines[i].Worthwhile),
			j.CommonShift.Finding, decide,
			number(m.Early), number(m.Late), number(m.Risk), strings.Join(codes, " "),
		}
		if err := c.writeRow(w, row); err != nil {
			return err
		}
	}
	return nil
}

func (c CSV) writeRow(w io.Writer, row []string) error {
	out := csv.NewWriter(w)
	if c.DecimalComma {
		out.Comma = ';'
	}
	if err := out.Write(row); err != nil {
		return err
	}
	out.Flush()
	return out.Error()
}
