package simulate

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

// The simulator knows the types in which a sheet is written and no formula of the
// project: a mistake in one cannot hide in the other. Of geometry and sheet it
// may convert to a type and name a constant; of their methods it calls only those
// that turn a word round.
func TestNoFormulaIsShared(t *testing.T) {
	mayCall := []string{"Opposite"}
	methods := map[string]bool{}
	types := map[string]bool{}
	for _, folder := range []string{"../../geometry", "../sheet"} {
		for _, file := range sources(t, folder) {
			for _, d := range file.Decls {
				switch d := d.(type) {
				case *ast.FuncDecl:
					if d.Recv != nil {
						methods[d.Name.Name] = true
					}
				case *ast.GenDecl:
					for _, s := range d.Specs {
						if s, ok := s.(*ast.TypeSpec); ok {
							types[s.Name.Name] = true
						}
					}
				}
			}
		}
	}
	if !methods["Wrap"] || !types["Angle"] || !types["Reading"] {
		t.Fatal("the types of geometry and sheet are not found: the test shows nothing")
	}
	own, conversions := map[string]bool{}, 0
	files := sources(t, ".")
	for _, file := range files {
		for _, d := range file.Decls {
			if d, ok := d.(*ast.FuncDecl); ok {
				own[d.Name.Name] = true
			}
		}
	}
	for _, file := range files {
		for _, spec := range file.Imports {
			if path, _ := strconv.Unquote(spec.Path.Value); strings.HasPrefix(path, "markaudit/") && path != "markaudit/geometry" && path != "markaudit/audit/sheet" && path != "markaudit/audit/inputerror" {
				t.Errorf("imports %s", path)
			}
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			fn, ok := call.Fun.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			name := fn.Sel.Name
			switch pkg, ok := fn.X.(*ast.Ident); {
			case ok && pkg.Name == "math":
			case ok && (pkg.Name == "geometry" || pkg.Name == "sheet"):
				if conversions++; !types[name] {
					t.Errorf("calls %s.%s", pkg.Name, name)
				}
			case methods[name] && !own[name] && !slices.Contains(mayCall, name):
				t.Errorf("calls the method %s of geometry or sheet", name)
			}
			return true
		})
	}
	if conversions == 0 {
		t.Error("no conversion is found: the test shows nothing")
	}
}

// sources parses the files of a package but its tests.
func sources(t *testing.T, folder string) (all []*ast.File) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), folder+"/"+e.Name(), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, file)
	}
	return all
}
