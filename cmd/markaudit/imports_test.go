package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Imports point one way: what each package of ours may import of ours.
var mayImport = map[string][]string{
	"geometry":             {},
	"audit/internal/stats": {},
	"audit/uncertainty":    {"geometry", "audit/internal/stats"},
	"audit/sheet":          {"geometry"},
	"audit/diagnosis":      {"geometry", "audit/sheet"},
	"audit/figure":         {"geometry"},
	"audit/repeatability":  {"geometry", "audit/internal/stats"},
	"audit/simulate":       {"geometry", "audit/sheet"},
	"audit/rehearse":       {"geometry", "audit/uncertainty", "audit/sheet", "audit", "audit/simulate"},
	"audit/qualify":        {"geometry", "audit/internal/stats", "audit/sheet"},
	"audit/wheel":          {"geometry", "audit/internal/stats", "audit/sheet"},
	"audit":                {"geometry", "audit/internal/stats", "audit/uncertainty", "audit/sheet", "audit/repeatability"},
	"audit/guide":          {"geometry", "audit/uncertainty", "audit/sheet", "audit"},
	"audit/report":         {"geometry", "audit/uncertainty", "audit/sheet", "audit/repeatability", "audit", "audit/wheel", "audit/qualify", "audit/simulate", "audit/rehearse", "audit/figure", "audit/guide"},
	"cmd/markaudit":        {"geometry", "audit/uncertainty", "audit/sheet", "audit/repeatability", "audit", "audit/wheel", "audit/qualify", "audit/simulate", "audit/rehearse", "audit/report", "audit/figure", "audit/guide"},
}

// The files outside which a package is not to be seen. A folder stands for its
// files.
var kept = map[string]string{
	"os":                                    "cmd",
	"os/exec":                               "cmd",
	"net":                                   "cmd",
	"net/http":                              "cmd",
	"github.com/gofrs/flock":                "cmd",
	"github.com/spf13/cobra":                "cmd/markaudit",
	"github.com/olekukonko/tablewriter":     "audit/report/table.go",
	"go.yaml.in/yaml/v3":                    "audit/sheet/read.go",
	"gonum.org/v1/gonum/...":                "audit",
	"golang.org/x/term":                     "cmd",
	"codeberg.org/go-pdf/fpdf":              "audit/figure/pdf.go",
	"codeberg.org/go-fonts/liberation/...":  "audit/figure",
	"github.com/olekukonko/tablewriter/...": "audit/report/table.go",
}

// Calls that make a result depend on when or how often it is computed.
var unrepeatable = map[string]string{"time": "Now", "math/rand": "*", "math/rand/v2": "*"}

func TestImports(t *testing.T) {
	seen := map[string]bool{}
	for _, room := range []string{"geometry", "audit", "cmd"} {
		err := filepath.WalkDir(top+room, func(file string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
				return err
			}
			rel, err := filepath.Rel(top, file)
			if err != nil {
				return err
			}
			parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
			if err != nil {
				return err
			}
			rel = filepath.ToSlash(rel)
			seen[path.Dir(rel)] = true
			checkFile(t, rel, parsed)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for pkg := range mayImport {
		if !seen[pkg] {
			t.Errorf("package %s is gone: take it off the table", pkg)
		}
	}
}

func checkFile(t *testing.T, file string, parsed *ast.File) {
	allowed, known := mayImport[path.Dir(file)]
	if !known {
		t.Errorf("%s: package %s has no place in the table of imports", file, path.Dir(file))
	}
	names := map[string]string{} // by which a file calls a package
	for _, spec := range parsed.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		names[path.Base(imported)] = imported
		if ours, ok := strings.CutPrefix(imported, "markaudit/"); ok && !slices.Contains(allowed, ours) {
			t.Errorf("%s imports %s", file, ours)
		}
		for guarded, home := range kept {
			base, tree := strings.CutSuffix(guarded, "/...")
			within := imported == base || tree && strings.HasPrefix(imported, base+"/")
			if within && file != home && !strings.HasPrefix(file, home+"/") {
				t.Errorf("%s imports %s, which belongs to %s", file, imported, home)
			}
		}
		// The virtual stand draws from a generator that its caller seeds.
		if unrepeatable[imported] == "*" && !strings.HasPrefix(file, "cmd/") && path.Dir(file) != "audit/simulate" {
			t.Errorf("%s imports %s", file, imported)
		}
	}
	if strings.HasPrefix(file, "cmd/") {
		return
	}
	ast.Inspect(parsed, func(n ast.Node) bool {
		if call, ok := n.(*ast.SelectorExpr); ok {
			if pkg, ok := call.X.(*ast.Ident); ok && unrepeatable[names[pkg.Name]] == call.Sel.Name {
				t.Errorf("%s uses %s.%s", file, pkg.Name, call.Sel.Name)
			}
		}
		return true
	})
}
