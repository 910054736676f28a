package geometry_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"markaudit/geometry"
)

// reference reads a table of testdata/reference, whose comment lines name the
// source of its figures. A cell that is not a number reads as NaN.
func reference(t *testing.T, name string, columns int) [][]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment, r.FieldsPerRecord = '#', columns
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 {
		t.Fatalf("%s: no rows", name)
	}
	out := make([][]float64, 0, len(rows)-1)
	for _, row := range rows[1:] {
		values := make([]float64, len(row))
		for i, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				v = math.NaN()
			}
			values[i] = v
		}
		out = append(out, values)
	}
	return out
}

// within fails unless |got − want| is at most tolerance. A NaN fails.
func within(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.17g, want %.17g within %g", what, got, want, tolerance)
	}
}

// refused fails unless err is a refusal with the sentence in it, written as
// errors are for the bench: lower case, no full stop, nothing unprintable.
func refused(t testing.TB, text string, err error, sentence string) {
	t.Helper()
	var r *geometry.Refusal
	if !errors.As(err, &r) {
		t.Errorf("%q: got error %v, want a refusal", text, err)
		return
	}
	if !strings.Contains(err.Error(), sentence) {
		t.Errorf("%q: got %q, want %q in it", text, err, sentence)
	}
	for _, part := range []string{r.Text, r.Hint} {
		if part == "" {
			continue
		}
		if strings.HasSuffix(part, ".") || unicode.IsUpper([]rune(part)[0]) {
			t.Errorf("%q: %q is not lower case without a full stop", text, part)
		}
		if strings.ContainsFunc(part, func(r rune) bool { return !unicode.IsPrint(r) }) || len(part) > 300 {
			t.Errorf("%q: %q cannot be shown on one line", text, part)
		}
	}
}

// circularSets reads the data of testdata/reference/circular.csv by name.
func circularSets(t *testing.T) map[string][]geometry.Angle {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "reference", "circular.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	sets := map[string][]geometry.Angle{}
	for _, row := range rows[1:] {
		angle, errAngle := strconv.ParseFloat(row[1], 64)
		count, errCount := strconv.Atoi(row[2])
		if errAngle != nil || errCount != nil {
			t.Fatalf("circular.csv: %v", row)
		}
		for range count {
			sets[row[0]] = append(sets[row[0]], geometry.Angle(angle))
		}
	}
	return sets
}
