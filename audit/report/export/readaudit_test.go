package export

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/geometry"
)

// What is written can be read back: the same result, which can still be asked what
// to measure next.
func TestAuditsAreReadBack(t *testing.T) {
	for name, s := range reporttest.GoodSheets(t, os.DirFS("../../../testdata")) {
		t.Run(name, func(t *testing.T) {
			want, err := audit.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			var text bytes.Buffer
			if err := Audit(&text, want, audit.Next(want), document.Options{}); err != nil {
				t.Fatal(err)
			}
			got, err := ReadAudit(&text)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got, unread); diff != "" {
				t.Errorf("the result is another (- was, + is):\n%s", diff)
			}
			if diff := cmp.Diff(audit.Next(want), audit.Next(got)); diff != "" {
				t.Errorf("what to measure next is another:\n%s", diff)
			}
		})
	}
}

// unread lets the offsets of lines that were not read be alike.
var unread = cmp.Comparer(func(a, b geometry.Angle) bool { return a == b || math.IsNaN(a.Degrees()) && math.IsNaN(b.Degrees()) })

func TestReadAuditRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                                     "no audit",
		"[]":                                   "no audit",
		`{"format": 2, "sheet_as_read": {}}`:   "format 2",
		`{"format": 1}`:                        "sheet_as_read",
		`{"format": 1, "sheet_as_read": {}}`:   "engine.turns",
		`{"format": 1, "sheet_as_read": "no"}`: "no audit",
	} {
		if _, err := ReadAudit(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want an error with %q", text, err, want)
		}
	}
}
