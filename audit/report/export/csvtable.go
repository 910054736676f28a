package export

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"

	"markaudit/audit/csvfile"
	"markaudit/audit/report/rounding"
)

// table is a CSV for scripts and spreadsheets.
type table struct {
	CSV
	header []string
	rows   [][]string
}

func newTable(header ...string) *table { return &table{header: header} }

// row takes texts, numbers, and pointers to numbers, of which nil is an empty cell.
func (t *table) row(cells ...any) {
	number := func(x float64) string {
		return t.decimal(rounding.Plain(x))
	}
	out := make([]string, len(cells))
	for i, cell := range cells {
		switch x := cell.(type) {
		case string:
			out[i] = csvfile.Harmless(x)
		case float64:
			out[i] = number(x)
		case *float64:
			if x != nil {
				out[i] = number(*x)
			}
		default:
			out[i] = fmt.Sprint(x)
		}
	}
	t.rows = append(t.rows, out)
}

// write writes header and rows. With a decimal comma the first line tells
// spreadsheets that semicolons stand between the cells.
func (t *table) write(w io.Writer) error {
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	rows := t.rows
	if !t.NoHeader {
		rows = append([][]string{t.header}, rows...)
	}
	if t.DecimalComma {
		out.Comma = ';'
		if !t.NoHeader {
			b.WriteString(separatorLine)
		}
	}
	if err := out.WriteAll(rows); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// separatorLine tells spreadsheets that semicolons stand between the cells.
const separatorLine = "sep=;\n"
