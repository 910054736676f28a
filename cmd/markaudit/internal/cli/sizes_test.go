package cli

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What a reader has to keep in mind stays small: the files of a folder, the lines of
// a file, the places where a type is told.
const (
	mostSources = 30  // files of a folder, tests not counted
	mostLines   = 500 // of a file, tests too
	mostHomes   = 4   // files in which a type has methods, tests not counted
)

func TestSizes(t *testing.T) {
	sources := map[string]int{}    // files, by folder
	homes := map[string][]string{} // files with methods, by folder and type
	for _, room := range []string{"geometry", "audit", "cmd"} {
		err := filepath.WalkDir(top+room, func(file string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() || !strings.HasSuffix(file, ".go") {
				return err
			}
			rel, err := filepath.Rel(top, file)
			if err != nil {
				return err
			}
			rel = filepath.ToSlash(rel)
			text, err := os.ReadFile(file)
			if err != nil {
				return err
			}
			if n := bytes.Count(text, []byte("\n")); n > mostLines {
				t.Errorf("%s has %d lines, expected at most %d", rel, n, mostLines)
			}
			if strings.HasSuffix(file, "_test.go") {
				return nil
			}
			parsed, err := parser.ParseFile(token.NewFileSet(), file, text, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			folder, name := path.Dir(rel), path.Base(rel)
			sources[folder]++
			for _, declared := range parsed.Decls {
				method, ok := declared.(*ast.FuncDecl)
				if !ok || method.Recv == nil {
					continue
				}
				of := folder + "." + receiver(method.Recv.List[0].Type)
				if !slices.Contains(homes[of], name) {
					homes[of] = append(homes[of], name)
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(sources) == 0 || len(homes) == 0 {
		t.Fatal("no folder and no method found: nothing was looked at")
	}
	for folder, n := range sources {
		if n > mostSources {
			t.Errorf("%s has %d files beside its tests, expected at most %d", folder, n, mostSources)
		}
	}
	for of, files := range homes {
		if len(files) > mostHomes {
			t.Errorf("%s has methods in %d files, expected at most %d: %s", of, len(files), mostHomes, strings.Join(files, ", "))
		}
	}
}

// receiver is the name of the type that a method is of, without pointer and type
// parameters.
func receiver(of ast.Expr) string {
	switch x := of.(type) {
	case *ast.StarExpr:
		return receiver(x.X)
	case *ast.IndexExpr:
		return receiver(x.X)
	case *ast.IndexListExpr:
		return receiver(x.X)
	case *ast.Ident:
		return x.Name
	}
	return ""
}
