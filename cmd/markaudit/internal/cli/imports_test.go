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
	"audit/internal/enum":                {},
	"audit/csvfile":                      {"audit/inputerror"},
	"audit/sheet/readings":               {"audit/csvfile"},
	"audit/sheet":                        {"geometry", "audit/inputerror", "audit/internal/enum", "audit/csvfile", "audit/jobrecord", "audit/sheet/readings"},
	"audit/warning":                      {"geometry", "audit/internal/enum"},
	"audit/past":                         {"geometry", "audit/internal/stats", "audit/sheet", "audit/warning"},
	"audit/uncertainty":                  {"geometry", "audit/internal/stats", "audit/internal/enum"},
	"audit/readout":                      {"geometry", "audit/sheet", "audit/uncertainty"},
	"audit/tdc":                          {"geometry", "audit/internal/stats", "audit/inputerror", "audit/sheet", "audit/warning", "audit/past", "audit/uncertainty", "audit/readout"},
	"audit/lines":                        {"geometry", "audit/internal/stats", "audit/inputerror", "audit/internal/enum", "audit/sheet", "audit/warning", "audit/past", "audit/uncertainty", "audit/readout", "audit/tdc"},
	"audit/crosscheck":                   {"geometry", "audit/internal/stats", "audit/sheet", "audit/warning", "audit/uncertainty", "audit/readout", "audit/tdc", "audit/lines"},
	"audit/diagnosis":                    {"geometry", "audit/sheet"},
	"audit/advise":                       {"geometry", "audit/internal/stats", "audit/internal/enum", "audit/sheet", "audit/warning", "audit/uncertainty", "audit/tdc", "audit/lines", "audit/crosscheck", "audit/diagnosis"},
	"audit":                              {"geometry", "audit/internal/stats", "audit/internal/enum", "audit/sheet", "audit/warning", "audit/uncertainty", "audit/readout", "audit/tdc", "audit/lines", "audit/crosscheck", "audit/diagnosis", "audit/advise"},
	"audit/calculate":                    {"geometry", "audit/internal/stats", "audit/sheet", "audit/uncertainty"},
	"audit/compare":                      {"geometry", "audit/internal/stats", "audit/internal/enum", "audit/sheet", "audit/uncertainty", "audit/lines", "audit/diagnosis", "audit"},
	"audit/guide":                        {"geometry", "audit/inputerror", "audit/internal/enum", "audit/sheet/readings", "audit/sheet", "audit/warning", "audit/uncertainty", "audit/tdc", "audit/diagnosis", "audit/advise", "audit"},
	"audit/history":                      {"geometry", "audit/internal/stats", "audit/inputerror", "audit/sheet", "audit/warning", "audit/uncertainty", "audit"},
	"audit/jobrecord":                    {"audit/inputerror"},
	"audit/job":                          {"geometry", "audit/internal/enum", "audit/inputerror", "audit/sheet", "audit/uncertainty", "audit/diagnosis", "audit", "audit/guide"},
	"audit/questions":                    {"geometry", "audit/inputerror", "audit/sheet"},
	"audit/qualify":                      {"geometry", "audit/internal/stats", "audit/inputerror", "audit/csvfile", "audit/sheet", "audit/uncertainty", "audit/jobrecord"},
	"audit/repeatability":                {"geometry", "audit/internal/enum", "audit/internal/stats", "audit/inputerror", "audit/csvfile", "audit/sheet", "audit/uncertainty", "audit/readout", "audit/tdc", "audit/lines", "audit/jobrecord"},
	"audit/wheel":                        {"geometry", "audit/internal/enum", "audit/internal/stats", "audit/inputerror", "audit/jobrecord", "audit/csvfile", "audit/sheet", "audit/uncertainty"},
	"audit/internal/teststand":           {"geometry", "audit/internal/testkit", "audit/sheet", "audit/simulate"},
	"audit/internal/studyrates":          {"geometry", "audit/sheet", "audit/simulate", "audit/diagnosis", "audit/compare", "audit/qualify", "audit/repeatability", "audit/wheel", "audit/simulate", "audit/rehearse"},
	"audit/plan":                         {"geometry", "audit/internal/stats", "audit/internal/enum", "audit/sheet", "audit/uncertainty", "audit/readout", "audit/tdc", "audit/lines", "audit/advise", "audit"},
	"audit/simulate":                     {"geometry", "audit/inputerror", "audit/sheet"},
	"audit/rehearse":                     {"geometry", "audit/inputerror", "audit/warning", "audit/csvfile", "audit/sheet", "audit/diagnosis", "audit", "audit/simulate"},
	"audit/report/drawing":               {"geometry"},
	"audit/report/document":              {"geometry", "audit/report/drawing"},
	"audit/report/rounding":              {"geometry", "audit/calculate"},
	"audit/report/words":                 {"geometry", "audit/inputerror", "audit/sheet/readings", "audit/sheet", "audit/warning", "audit/past", "audit/uncertainty", "audit/tdc", "audit/lines", "audit/crosscheck", "audit/diagnosis", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/guide", "audit/history", "audit/job", "audit/jobrecord", "audit/qualify", "audit/repeatability", "audit/wheel", "audit/plan", "audit/rehearse", "audit/report/rounding"},
	"audit/report/figure":                {"geometry", "audit/sheet", "audit/past", "audit/readout", "audit/tdc", "audit/lines", "audit/diagnosis", "audit/advise", "audit", "audit/compare", "audit/qualify", "audit/repeatability", "audit/wheel", "audit/plan", "audit/rehearse", "audit/report/drawing", "audit/report/rounding", "audit/report/words"},
	"audit/report":                       {"geometry", "audit/sheet/readings", "audit/sheet", "audit/past", "audit/uncertainty", "audit/tdc", "audit/lines", "audit/diagnosis", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/history", "audit/jobrecord", "audit/qualify", "audit/repeatability", "audit/wheel", "audit/plan", "audit/rehearse", "audit/report/drawing", "audit/report/document", "audit/report/rounding", "audit/report/words", "audit/report/figure", "audit/report/jobsheet"},
	"audit/report/jobsheet":              {"geometry", "audit/sheet", "audit/tdc", "audit/diagnosis", "audit/advise", "audit", "audit/jobrecord", "audit/report/drawing", "audit/report/document", "audit/report/rounding", "audit/report/words"},
	"audit/report/export":                {"geometry", "audit/inputerror", "audit/csvfile", "audit/sheet", "audit/past", "audit/uncertainty", "audit/tdc", "audit/lines", "audit/diagnosis", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/history", "audit/jobrecord", "audit/qualify", "audit/repeatability", "audit/wheel", "audit/plan", "audit/simulate", "audit/rehearse", "audit/report/document", "audit/report/rounding", "audit/report/words", "audit/report/jobsheet"},
	"audit/report/internal/reporttest":   {"geometry", "audit/sheet", "audit", "audit/report/drawing"},
	"audit/report/paper":                 {"geometry", "audit/warning", "audit/sheet", "audit/lines", "audit/diagnosis", "audit/advise", "audit", "audit/report/drawing", "audit/report/document", "audit/report/rounding", "audit/report/words"},
	"cmd/markaudit/internal/phrase":      {"audit/inputerror"},
	"cmd/markaudit/internal/world":       {"cmd/markaudit/internal/phrase"},
	"cmd/markaudit/internal/atomicwrite": {"cmd/markaudit/internal/world"},
	"cmd/markaudit/internal/devices":     {"cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite"},
	"cmd/markaudit/internal/recorder":    {"audit/questions", "audit/csvfile", "audit/sheet/readings", "audit/sheet", "audit/guide", "audit/job", "audit/report/words", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite"},
	"cmd/markaudit/internal/folder":      {"audit/csvfile", "audit/questions", "audit/inputerror", "audit/sheet", "audit/advise", "audit", "audit/guide", "audit/job", "audit/report/words", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite", "cmd/markaudit/internal/recorder"},
	"cmd/markaudit/internal/stream":      {"geometry", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world"},
	"cmd/markaudit/internal/terminal":    {"audit/inputerror", "audit/sheet", "audit", "audit/guide", "audit/questions", "audit/report/document", "audit/report/words", "audit/report", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/recorder", "cmd/markaudit/internal/stream"},
	"cmd/markaudit/internal/webserver":   {"geometry", "audit/inputerror", "audit/jobrecord", "audit/sheet/readings", "audit/sheet", "audit/guide", "audit/questions", "audit/report/drawing", "audit/report/document", "audit/report/words", "audit/report", "audit/report/paper", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/devices", "cmd/markaudit/internal/recorder", "cmd/markaudit/internal/stream", "audit/advise", "audit/diagnosis", "audit", "audit/compare", "audit/job", "audit/report/rounding", "audit/report/jobsheet", "cmd/markaudit/internal/folder", "audit/csvfile", "audit/rehearse", "audit/report/export", "cmd/markaudit/internal/atomicwrite", "cmd/markaudit/internal/lesson"},
	"cmd/markaudit/internal/cli":         {"geometry", "audit/inputerror", "audit/csvfile", "audit/sheet/readings", "audit/sheet", "audit/lines", "audit/diagnosis", "audit/advise", "audit", "audit/calculate", "audit/compare", "audit/guide", "audit/history", "audit/jobrecord", "audit/qualify", "audit/questions", "audit/repeatability", "audit/wheel", "audit/plan", "audit/simulate", "audit/rehearse", "audit/report/drawing", "audit/report/document", "audit/report/words", "audit/report/figure", "audit/report", "audit/report/export", "audit/report/jobsheet", "audit/report/paper", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite", "cmd/markaudit/internal/devices", "cmd/markaudit/internal/recorder", "cmd/markaudit/internal/stream", "cmd/markaudit/internal/terminal", "cmd/markaudit/internal/webserver", "cmd/markaudit/internal/lesson"},
	"cmd/markaudit/internal/lesson":      {"geometry", "audit/inputerror", "audit/jobrecord", "audit/csvfile", "audit/sheet", "audit/repeatability", "audit/simulate", "audit/rehearse", "audit/report/words", "audit/report/export", "cmd/markaudit/internal/phrase", "cmd/markaudit/internal/world", "cmd/markaudit/internal/atomicwrite"},
	"cmd/markaudit":                      {"cmd/markaudit/internal/world", "cmd/markaudit/internal/cli"},
	"cmd/markaudit/internal/testsheet":   {},
}

// testHelpers is what the tests under audit share. It reads files.
const testHelpers = "audit/internal/testkit"

// The rooms of the command.
const (
	command     = "cmd/markaudit/main.go"
	rooms       = "cmd/markaudit/internal/"
	roomOfTests = rooms + "testsheet"
)

// The files outside which a package is not to be seen. A folder stands for its
// files. A package without any is for tests alone.
var kept = map[string][]string{
	"os":                                    {command, rooms + "cli", rooms + "world", rooms + "atomicwrite", rooms + "recorder", rooms + "devices", rooms + "stream", rooms + "folder", roomOfTests},
	"os/exec":                               {rooms + "world/browse.go"},
	"testing":                               {roomOfTests, "audit/report/internal/reporttest"},
	"net":                                   {rooms + "webserver"},
	"net/http":                              {rooms + "webserver"},
	"github.com/gofrs/flock":                {rooms + "recorder"},
	"github.com/spf13/cobra":                {rooms + "cli"},
	"github.com/spf13/pflag":                {rooms + "cli"},
	"github.com/olekukonko/tablewriter":     {"audit/report/document/table.go"},
	"go.yaml.in/yaml/v3":                    {"audit/sheet/yaml.go", "audit/jobrecord/read.go"},
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

// The virtual stand and the studies of the tests draw from a generator that their
// caller seeds; a study to come is drawn with a seed that never changes.
var drawers = []string{"audit/simulate", "audit/internal/teststand", "audit/rehearse/scenario.go", "audit/internal/studyrates", "audit/qualify/further.go", "audit/qualify/plan.go"}

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
			if path.Dir(rel) == testHelpers {
				return nil // on no list above: only tests may import it
			}
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
		if unrepeatable[imported] == "*" && !strings.HasPrefix(file, "cmd/") && !keptIn(file, drawers) {
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
