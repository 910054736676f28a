package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

// codes reads the warning codes from the source of package audit, so that a new
// one cannot be forgotten here.
func codes(t *testing.T) []warning.Code {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "../../warning/warning.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []warning.Code
	ast.Inspect(f, func(n ast.Node) bool {
		if v, ok := n.(*ast.ValueSpec); ok {
			for _, x := range v.Values {
				if lit, ok := x.(*ast.BasicLit); ok {
					s, err := strconv.Unquote(lit.Value)
					if err != nil {
						t.Fatal(err)
					}
					out = append(out, warning.Code(s))
				}
			}
		}
		return true
	})
	if len(out) < 25 {
		t.Fatalf("found %d codes, expected them all", len(out))
	}
	return out
}

// avoided are words that the bench misunderstands (docs/words.md).
var avoided = regexp.MustCompile(`(?i)\b(error|accuracy|precision|pass|fail|ok|good|bad|exact|perfect|certain|calibrated|safe|ccw|sigma|outlier|dial in|move the mark)\b`)

func TestEveryWarningHasASentence(t *testing.T) {
	var r audit.Result
	r.Sheet.Readout.Step = 0.5
	r.Sheet.Part.MarksOn = sheet.OnPart
	v := NewAudit(r, nil)
	seen := map[string]warning.Code{}
	for _, c := range codes(t) {
		text := Warning(v, warning.Warning{
			Code: c, Setup: "S-9", Mark: "M-7", Values: []float64{1.25, 2.5, 0.75}, Names: []string{"part.diameter", "N-2"},
		})
		if text == string(c) || len(text) < 20 {
			t.Errorf("%s: got %q, expected a sentence", c, text)
		}
		if other, ok := seen[text]; ok {
			t.Errorf("%s and %s say the same: %q", c, other, text)
		}
		seen[text] = c
		if w := avoided.FindString(text); w != "" {
			t.Errorf("%s: %q says %q", c, text, w)
		}
		if strings.HasSuffix(text, ".") {
			t.Errorf("%s: %q ends with a full stop", c, text)
		}
	}
}
