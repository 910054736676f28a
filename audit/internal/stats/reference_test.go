package stats

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// record is a line of a reference file by column name.
type record map[string]string

// number returns a column as a number; it panics on anything else.
func (r record) number(column string) float64 {
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		panic("reference file: " + err.Error())
	}
	return v
}

func readCSV(t *testing.T, name string) []record {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) < 2 {
		t.Fatalf("%s is empty", name)
	}
	var out []record
	for _, line := range lines[1:] {
		rec := record{}
		for i, column := range lines[0] {
			rec[column] = line[i]
		}
		out = append(out, rec)
	}
	return out
}
