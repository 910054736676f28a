package cli

import (
	"bytes"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/world"
)

// A fault of the program in one sheet is told, with where it happened, and the
// others are still audited.
func TestPanicIsTold(t *testing.T) {
	var out, trouble bytes.Buffer
	j := job{
		env: world.World{Stdout: &out, Stderr: &trouble}, format: "csv",
		read: func(name string, _ fs.FileInfo) (sheet.Sheet, inputerror.Positions, error) {
			if name == "b" {
				panic("a slip")
			}
			return sheet.Read(name, []byte(sheet.Demo()), nil)
		},
	}
	if err := j.run([]string{"a", "b", "c"}); status(err) != statusBad {
		t.Errorf("got status %d, want %d", status(err), statusBad)
	}
	for _, want := range []string{"markaudit: b: a fault of markaudit", "a slip", "sheets_test.go"} {
		if !strings.Contains(trouble.String(), want) {
			t.Errorf("standard error lacks %q: %s", want, trouble.String())
		}
	}
	for _, want := range []string{"\na,", "\nc,"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("standard output lacks %q", want)
		}
	}
}

// Many sheets take no more memory than a few: what lives after each hundredth
// does not grow.
func TestMemoryIsBounded(t *testing.T) {
	live := &liveHeap{every: 100}
	env := world.World{
		Stdin: strings.NewReader(strings.Repeat("a\n", 2000)), Stdout: live, Stderr: io.Discard,
		Open: fstest.MapFS{"a": {Data: []byte(sheet.Demo())}}.Open,
	}
	if status := Run(env, []string{"audit", "--format", "json", "--files-from", "-"}); status != 0 {
		t.Fatalf("status %d", status)
	}
	// Kept results would make 75 MB, at 50 kB each; some 16 wait at a time, and
	// what other sheets allocate while the collector runs counts as live.
	const slack = 24 << 20
	early, late := slices.Max(live.seen[:5]), slices.Max(live.seen[5:])
	t.Logf("%d kB live after 500 sheets, %d kB after 2000", early>>10, late>>10)
	if late > early+slack {
		t.Errorf("%d bytes live early, %d late: memory grows with the number of sheets", early, late)
	}
}

// liveHeap is an output that looks at the memory in use.
type liveHeap struct {
	writes, every int
	seen          []uint64
}

func (l *liveHeap) Write(p []byte) (int, error) {
	if l.writes++; l.writes%l.every == 0 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		l.seen = append(l.seen, m.HeapAlloc)
	}
	return len(p), nil
}

// Every bad sheet is refused with its golden text, and prints nothing.
func TestBadSheets(t *testing.T) {
	t.Chdir(top + "testdata/sheets/bad")
	sheets, err := filepath.Glob("*.yaml")
	if err != nil || len(sheets) == 0 {
		t.Fatalf("found %d bad sheets: %v", len(sheets), err)
	}
	for _, name := range sheets {
		want, err := os.ReadFile(strings.TrimSuffix(name, ".yaml") + ".golden")
		if err != nil {
			t.Fatal(err)
		}
		stdout, stderr, status := call(t, "", "audit", name)
		if status != statusBad || stdout != "" || strings.TrimSpace(stderr) != strings.TrimSpace(string(want)) {
			t.Errorf("%s: got status %d, printed %q, said\n%swant status %d, nothing, and\n%s", name, status, stdout, stderr, statusBad, want)
		}
	}
}
