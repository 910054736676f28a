package warning_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Every code has an entry of its own in docs/warnings.md, once, and no entry is
// left of a code that has gone. Both are read from the files, so that neither can
// be forgotten here.
func TestEveryCodeIsDocumented(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "warning.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, decl := range file.Decls {
		group, ok := decl.(*ast.GenDecl)
		if !ok || group.Tok != token.CONST {
			continue
		}
		for _, spec := range group.Specs {
			value := spec.(*ast.ValueSpec)
			if kind, ok := value.Type.(*ast.Ident); !ok || kind.Name != "Code" {
				continue
			}
			code, err := strconv.Unquote(value.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			codes = append(codes, code)
		}
	}
	page, err := os.ReadFile("../../docs/warnings.md")
	if err != nil {
		t.Fatal(err)
	}
	var entries []string
	for line := range strings.Lines(string(page)) {
		if entry, ok := strings.CutPrefix(strings.TrimSpace(line), "### "); ok {
			entries = append(entries, entry)
		}
	}
	if len(codes) == 0 || len(entries) == 0 {
		t.Fatalf("found %d codes and %d entries, expected some of both", len(codes), len(entries))
	}
	for _, c := range codes {
		if !slices.Contains(entries, c) {
			t.Errorf("code %s: found no entry in docs/warnings.md, expected one", c)
		}
	}
	for i, e := range entries {
		switch {
		case !slices.Contains(codes, e):
			t.Errorf("entry %s: found no such code, expected one in warning.go", e)
		case slices.Contains(entries[:i], e):
			t.Errorf("entry %s: found a second time in docs/warnings.md", e)
		}
	}
}
