package audit_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// sameAngle holds angles against each other. A line that was not read has none in
// an explanation, NaN.
func sameAngle(a, b geometry.Angle) bool {
	return a == b || math.IsNaN(a.Degrees()) && math.IsNaN(b.Degrees())
}

// A result is plain data: written as JSON and read again it is the same, and can
// still be asked what to measure next.
func TestResultsComeBackFromJSON(t *testing.T) {
	files, err := filepath.Glob("../testdata/sheets/good/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("found no sheets: %v", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			s, _, err := sheet.Read(file, data, func(path string) ([]byte, error) {
				return os.ReadFile(filepath.Join(filepath.Dir(file), path))
			})
			if err != nil {
				t.Fatal(err)
			}
			want, err := audit.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			text, err := json.Marshal(want)
			if err != nil {
				t.Fatal(err)
			}
			var got audit.Result
			if err := json.Unmarshal(text, &got); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got, cmp.Comparer(sameAngle)); diff != "" {
				t.Errorf("the result is another (- was, + is):\n%s", diff)
			}
			if diff := cmp.Diff(audit.Next(want), audit.Next(got)); diff != "" {
				t.Errorf("what to measure next is another (- was, + is):\n%s", diff)
			}
		})
	}
}
