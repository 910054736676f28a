package cli

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
	"geometry":                           {},
	"audit/internal/stats":               {"geometry"},
	"audit/inputerror":                   {"geometry"},
	"audit/csvfile":                      {"audit/inputerror"},
	"audit/sheet/readings":               {"audit/csvfile"},
	"audit/sheet":                        {"geometry", "audit/inputerror", "audit/csvfile", "audit/sheet/readings"},
	"audit/uncertainty":                  {"geometry", "audit/internal/stats"},
	"audit/readout":                      {"geometry", "audit/sheet", "audit/uncertainty"},
	"audit/warning":                      {"geometry", "audit/internal/stats"},
	"audit/tdc":                          {"geometry", "audit/internal/stats", "audit/inputerror", "audit/sheet", "audit/uncertainty", "audit/readout", "audit/warning"},
	"audit/lines":                        {"geometry", "audit/internal/stats", "audit/inputerror", "audit/sheet", "audit/uncertainty", "audit/readout", "audit/warning", "audit/tdc"},
	"audit/crosscheck":                   {"geometry", "audit/internal/stats", "audit/sheet", "audit/uncertainty", "audit/readout", "audit/warning", "audit/tdc", "audit/lines"},
	"audit/diagnosis":                    {"geometry", "audit/internal/stats", "audit/sheet", "audit/uncertainty", "audit/warning", "audit/tdc", "audit/lines", "audit/crosscheck"},
	"audit/advise":                       {"geometry", "audit/internal/stats", "audit/sheet", "audit/uncertainty", "audit/tdc", "audit/lines", "audit/crosscheck", "audit/diagnosis"},
	"audit":                              {"audit/sheet", "audit/uncertainty", "audit/readout", "audit/warning", "audit/tdc", "audit/lines", "audit/crosscheck", "audit/diagnosis", "audit/advise"},
	"audit/calculate":                    {"geometry", "audit/sheet"},
	"audit/compare":                      {"geometry", "audit/internal/stats", "audit/sheet", "audit/uncertainty", "audit/lines", "audit"},
	"audit/guide":                        {"geometry", "audit/internal/enum", "audit/inputerror", "audit/sheet/readings", "audit/sheet", "audit/uncertainty", "audit/warning", "audit/tdc", "audit/advise", "audit"},
	"audit/plan":                         {"geometry", "audit/internal/stats", "audit/sheet", "audit/uncertainty", "audit/readout", "audit/tdc", "audit/lines", "audit/advise", "audit"},
	"audit/qualify":                      {"geometry", "audit/internal/stats", "audit/inputerror", "audit/csvfile", "audit/sheet"},
	"audit/simulate":                     {"geometry", "audit/inputerror", "audit/sheet"},
	"audit/rehearse":                     {"geometry", "audit/inputerror", "audit/csvfile", "audit/sheet", "audit/uncertainty", "audit", "audit/simulate"},
	"audit/repeatability":                {"geometry", "audit/internal/stats", "audit/inputerror", "audit/csvfile", "audit/sheet", "audit/readout", "audit/tdc", "audit/lines"},
	"audit/report/drawing":               {"geometry"},
	"audit/report/document":              {"audit/report/drawing"},
	"audit/report/rounding":              {"geometry", "audit/calculate"},
	"audit/wheel":                        {"geometry", "audit/internal/stats", "audit/inputerror", "audit/csvfile", "audit/sheet"},
	"audit/report/words":                 {"geometry", "audit/inputerror", "audit/sheet/readings", "audit/sheet", "audit/uncertainty", "audit/warning", "audit/tdc", "audit/lines", "audit/crosscheck", "audit/diagnosis", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/guide", "audit/plan", "audit/qualify", "audit/rehearse", "audit/repeatability", "audit/report/rounding", "audit/wheel"},
	"audit/report/figure":                {"geometry", "audit/sheet", "audit/uncertainty", "audit/tdc", "audit/advise", "audit", "audit/compare", "audit/repeatability", "audit/report/drawing", "audit/report/rounding", "audit/wheel", "audit/report/words"},
	"audit/report":                       {"geometry", "audit/sheet/readings", "audit/sheet", "audit/uncertainty", "audit/tdc", "audit/lines", "audit/diagnosis", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/plan", "audit/qualify", "audit/simulate", "audit/rehearse", "audit/repeatability", "audit/report/drawing", "audit/report/document", "audit/report/rounding", "audit/wheel", "audit/report/words", "audit/report/figure"},
	"audit/report/export":                {"geometry", "audit/sheet", "audit/uncertainty", "audit/tdc", "audit/diagnosis", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/plan", "audit/qualify", "audit/simulate", "audit/rehearse", "audit/repeatability", "audit/report/document", "audit/wheel", "audit/report/words"},
	"audit/report/internal/reporttest":   {"geometry", "audit/sheet", "audit", "audit/report/drawing"},
	"audit/report/paper":                 {"geometry", "audit/sheet", "audit/uncertainty", "audit/diagnosis", "audit/advise", "audit", "audit/report/drawing", "audit/report/document", "audit/report/rounding", "audit/report/words"},
	"cmd/markaudit/internal/phrase":      {"audit/inputerror"},
	"cmd/markaudit/internal/world":       {"cmd/markaudit/internal/phrase"},
	"cmd/markaudit/internal/atomicwrite": {"cmd/markaudit/internal/world"},
	"cmd/markaudit/internal/recorder":    {"audit/csvfile", "audit/sheet/readings", "audit/sheet", "audit/guide", "audit/report/words", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite"},
	"cmd/markaudit/internal/stream":      {"geometry", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world"},
	"cmd/markaudit/internal/terminal":    {"cmd/markaudit/internal/stream", "audit/inputerror", "audit/sheet", "audit", "audit/guide", "audit/report/document", "audit/report/words", "audit/report", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/recorder"},
	"cmd/markaudit/internal/devices":     {"cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite"},
	"cmd/markaudit/internal/webserver":   {"cmd/markaudit/internal/stream", "geometry", "audit/sheet/readings", "cmd/markaudit/internal/devices", "audit/inputerror", "audit/sheet", "audit/guide", "audit/report/drawing", "audit/report/document", "audit/report/words", "audit/report", "audit/report/paper", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/recorder"},
	"cmd/markaudit/internal/cli":         {"cmd/markaudit/internal/stream", "cmd/markaudit/internal/devices", "geometry", "audit/inputerror", "audit/csvfile", "audit/sheet/readings", "audit/sheet", "audit/uncertainty", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/guide", "audit/plan", "audit/qualify", "audit/simulate", "audit/rehearse", "audit/repeatability", "audit/report/drawing", "audit/report/document", "audit/wheel", "audit/report/words", "audit/report/figure", "audit/report", "audit/report/export", "audit/report/paper", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite", "cmd/markaudit/internal/recorder", "cmd/markaudit/internal/terminal", "cmd/markaudit/internal/webserver"},
	"cmd/markaudit":                      {"cmd/markaudit/internal/world", "cmd/markaudit/internal/cli"},
	"cmd/markaudit/internal/testsheet":   {},
}

// The rooms of the command.
const (
	command     = "cmd/markaudit/main.go"
	rooms       = "cmd/markaudit/internal/"
	roomOfTests = rooms + "testsheet"
)

// The files outside which a package is not to be seen. A folder stands for its
// files. A package without any is for tests alone.
var kept = map[string][]string{
	"os":                                    {command, rooms + "cli", rooms + "world", rooms + "atomicwrite", rooms + "recorder", rooms + "devices", rooms + "stream", roomOfTests},
	"os/exec":                               {},
	"testing":                               {roomOfTests, "audit/report/internal/reporttest", "audit/internal/testkit"},
	"net":                                   {rooms + "webserver"},
	"net/http":                              {rooms + "webserver"},
	"github.com/gofrs/flock":                {rooms + "recorder"},
	"github.com/spf13/cobra":                {rooms + "cli"},
	"github.com/spf13/pflag":                {rooms + "cli"},
	"github.com/olekukonko/tablewriter":     {"audit/report/document/table.go"},
	"go.yaml.in/yaml/v3":                    {"audit/sheet/yaml.go"},
	"gonum.org/v1/gonum/...":                {"audit"},
	"golang.org/x/term":                     {rooms + "world"},
	"go.bug.st/serial":                      {rooms + "stream"},
	"github.com/piglig/go-qr":               {rooms + "webserver/square.go"},
	"codeberg.org/go-pdf/fpdf":              {"audit/report/drawing/pdf.go"},
	"codeberg.org/go-fonts/liberation/...":  {"audit/report/drawing"},
	"github.com/olekukonko/tablewriter/...": {"audit/report/document/table.go"},
}

// keptIn reports whether a file is, or lies in, one of the homes.
func keptIn(file string, homes []string) bool {
	return slices.ContainsFunc(homes, func(home string) bool { return file == home || strings.HasPrefix(file, home+"/") })
}

// The clock is looked at for the time of a reading, and for who asks the page too
// often.
var clock = []string{rooms + "world", rooms + "webserver"}

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
		for guarded, homes := range kept {
			base, tree := strings.CutSuffix(guarded, "/...")
			within := imported == base || tree && strings.HasPrefix(imported, base+"/")
			if within && !keptIn(file, homes) {
				t.Errorf("%s imports %s, which belongs to %q", file, imported, homes)
			}
		}
		// The virtual stand draws from a generator that its caller seeds.
		if unrepeatable[imported] == "*" && !strings.HasPrefix(file, "cmd/") && path.Dir(file) != "audit/simulate" {
			t.Errorf("%s imports %s", file, imported)
		}
	}
	if keptIn(file, clock) {
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
