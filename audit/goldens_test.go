package audit_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"path"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/audit/sheet"
)

// The results of all sheets are those of the goldens, which the program writes
// byte for byte. Here figures may differ by what another processor would round
// otherwise, and each stage answers for its own.
func TestResultsAreThoseOfTheGoldens(t *testing.T) {
	for _, file := range testkit.Files(t, "sheets/good/*.yaml") {
		t.Run(path.Base(file), func(t *testing.T) {
			s, _, err := sheet.Read(file, testkit.Read(t, file), testkit.Beside(t, "sheets/good"))
			if err != nil {
				t.Fatal(err)
			}
			if len(s.Photos) > 0 {
				t.Skip("the command looks at the photos, outside the audit")
			}
			result, err := audit.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			var text bytes.Buffer
			if err := export.Audit(&text, result, audit.Next(result), document.Options{}); err != nil {
				t.Fatal(err)
			}
			golden := strings.TrimSuffix(path.Base(file), ".yaml") + ".json"
			var got, want map[string]any
			if err := json.Unmarshal(text.Bytes(), &got); err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(testkit.Read(t, "golden/"+golden), &want); err != nil {
				t.Fatal(err)
			}
			for _, ofTheCall := range []string{"software", "commit", "sheet", "job_record"} {
				delete(got, ofTheCall)
				delete(want, ofTheCall)
			}
			for _, d := range differences("", got, want) {
				t.Error(d)
			}
		})
	}
}

// differences names what differs between two values read from JSON. Figures may
// differ by a millionth: what is found by iteration is good to 1e-7.
func differences(at string, got, want any) []string {
	switch want := want.(type) {
	case map[string]any:
		got, ok := got.(map[string]any)
		if !ok {
			break
		}
		var out []string
		keys := slices.Concat(slices.Collect(maps.Keys(got)), slices.Collect(maps.Keys(want)))
		slices.Sort(keys)
		for _, k := range slices.Compact(keys) {
			out = append(out, differences(at+"."+k, got[k], want[k])...)
		}
		return out
	case []any:
		got, ok := got.([]any)
		if !ok || len(got) != len(want) {
			break
		}
		var out []string
		for i := range want {
			out = append(out, differences(fmt.Sprintf("%s[%d]", at, i), got[i], want[i])...)
		}
		return out
	case float64:
		if got, ok := got.(float64); ok && math.Abs(got-want) <= 1e-6*math.Abs(want)+1e-9 {
			return nil
		}
	default:
		if got == want {
			return nil
		}
	}
	return []string{fmt.Sprintf("%s: got %v, want %v", at, got, want)}
}
