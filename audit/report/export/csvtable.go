package export

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"markaudit/audit/report/rounding"
)

// table is a CSV for scripts and spreadsheets.
type table struct {
	buffer bytes.Buffer
	csv    *csv.Writer
}

func newTable(header ...string) *table {
	t := &table{}
	t.csv = csv.NewWriter(&t.buffer)
	_ = t.csv.Write(header) // into memory
	return t
}

// row takes texts, numbers, and pointers to numbers, of which nil is an empty cell.
func (t *table) row(cells ...any) {
	out := make([]string, len(cells))
	for i, cell := range cells {
		switch x := cell.(type) {
		case string:
			out[i] = Harmless(x)
		case float64:
			out[i] = rounding.Plain(x)
		case *float64:
			if x != nil {
				out[i] = rounding.Plain(*x)
			}
		default:
			out[i] = fmt.Sprint(x)
		}
	}
	_ = t.csv.Write(out)
}

func (t *table) write(w io.Writer) error {
	t.csv.Flush()
	_, err := w.Write(t.buffer.Bytes())
	return err
}

// Harmless puts an apostrophe before a text that a spreadsheet would carry out as a
// formula. Numbers are written otherwise, and keep their sign.
func Harmless(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}
