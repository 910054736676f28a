package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

func TestInOrder(t *testing.T) {
	const n = 1000
	var running, most atomic.Int64
	var got []int
	err := inOrder(n, func(i int) int {
		most.Store(max(most.Load(), running.Add(1)))
		defer running.Add(-1)
		if i%97 == 0 {
			time.Sleep(time.Millisecond) // falls behind the others
		}
		return i * i
	}, func(i, square int) error {
		if square != i*i {
			t.Fatalf("the turn of %d came with %d", i, square)
		}
		got = append(got, i)
		return nil
	})
	if err != nil || len(got) != n || !slices.IsSorted(got) {
		t.Errorf("took %d in order %v, %v; want all %d", len(got), slices.IsSorted(got), err, n)
	}
	if workers := int64(runtime.GOMAXPROCS(0)); most.Load() > workers {
		t.Errorf("%d worked at a time, want at most %d", most.Load(), workers)
	}
}

func TestInOrderStops(t *testing.T) {
	before := runtime.NumGoroutine()
	var worked atomic.Int64
	full := errors.New("full")
	err := inOrder(1_000_000, func(i int) int { worked.Add(1); return i }, func(i, _ int) error {
		if i == 10 {
			return full
		}
		return nil
	})
	if !errors.Is(err, full) {
		t.Errorf("got %v, want the error of take", err)
	}
	if n := worked.Load(); n > 1000 {
		t.Errorf("%d were worked on after the end, want only what was under way", n)
	}
	for range 100 { // the workers see the end a little later
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines are left", runtime.NumGoroutine()-before)
}

// refusing fails from the given number of writes on.
type refusing struct {
	left int
	err  error
}

func (r *refusing) Write(p []byte) (int, error) {
	if r.left--; r.left < 0 {
		return 0, r.err
	}
	return len(p), nil
}

func TestTroubleWithStandardOutput(t *testing.T) {
	tests := []struct {
		name string
		err  error
		want string
	}{
		{"full", syscall.ENOSPC, "markaudit: cannot write standard output: no space left on device\n"},
		{"closed", &fs.PathError{Op: "write", Path: "|1", Err: syscall.EPIPE}, ""},
		{"closed inside", io.ErrClosedPipe, ""},
	}
	for _, tt := range tests {
		for _, args := range [][]string{{"demo"}, {"help"}, {"version"}, {"completion", "zsh"}} {
			t.Run(tt.name+" "+args[0], func(t *testing.T) {
				var trouble bytes.Buffer
				env := system()
				env.Stdout, env.Stderr = &refusing{0, tt.err}, &trouble
				if status := run(env, args); status != statusUnwritten {
					t.Errorf("got status %d, want %d", status, statusUnwritten)
				}
				if trouble.String() != tt.want {
					t.Errorf("got %q, want %q", trouble.String(), tt.want)
				}
			})
		}
	}
}

// A fault of the program in one sheet is told, with where it happened, and the
// others are still audited.
func TestPanicIsTold(t *testing.T) {
	var out, trouble bytes.Buffer
	j := job{
		env: Env{Stdout: &out, Stderr: &trouble}, format: "csv",
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
	for _, want := range []string{"markaudit: b: a fault of markaudit", "a slip", "run_test.go"} {
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

// Progress is for a person who waits: on a terminal, and for more than one
// sheet; it leaves the line empty.
func TestProgress(t *testing.T) {
	sheets := fstest.MapFS{"a": {Data: []byte(sheet.Demo())}, "b": {Data: []byte("engine: [")}}
	tests := []struct {
		name     string
		terminal bool
		args     []string
		want     string
	}{
		{"terminal", true, []string{"a", "a"}, "\r1 of 2 sheets\r2 of 2 sheets\r             \r"},
		{"one sheet", true, []string{"a"}, ""},
		{"no terminal", false, []string{"a", "a"}, ""},
		{"with trouble", true, []string{"b", "a"}, "\r1 of 2 sheets\r             \rb:1:9: found a bracket that is not closed, in: engine: [\n\r2 of 2 sheets\r             \r"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var trouble bytes.Buffer
			env := Env{Stdin: strings.NewReader(""), Stdout: io.Discard, Stderr: &trouble, Open: sheets.Open, IsTerminal: tt.terminal}
			run(env, append([]string{"audit"}, tt.args...))
			if trouble.String() != tt.want {
				t.Errorf("got %q, want %q", trouble.String(), tt.want)
			}
		})
	}
}

// Many sheets take no more memory than a few: what lives after each hundredth
// does not grow.
func TestMemoryIsBounded(t *testing.T) {
	live := &liveHeap{every: 100}
	env := Env{
		Stdin: strings.NewReader(strings.Repeat("a\n", 2000)), Stdout: live, Stderr: io.Discard,
		Open: fstest.MapFS{"a": {Data: []byte(sheet.Demo())}}.Open,
	}
	if status := run(env, []string{"audit", "--format", "json", "--files-from", "-"}); status != 0 {
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

func TestWithoutMinus(t *testing.T) {
	tests := []struct{ args, want string }{
		{"tdc -22 22 --counts up", "tdc −22 22 --counts up"},
		{"tdc --step -0.5 -22 22", "tdc --step -0.5 −22 22"},
		{"tdc --step=-0.5 -.5", "tdc --step=-0.5 −.5"},
		{"arc -- -2.5", "arc -- -2.5"},
		{"arc -h -2.5", "arc -h −2.5"},
		{"audit -2.5", "audit -2.5"},
		{"nothing -2.5", "nothing -2.5"},
	}
	for _, tt := range tests {
		args := strings.Fields(tt.args)
		got := strings.Join(withoutMinus(newRoot(Env{}), args), " ")
		if got != tt.want {
			t.Errorf("%s: got %s, want %s", tt.args, got, tt.want)
		}
		if strings.Join(args, " ") != tt.args {
			t.Errorf("%s: the caller's arguments changed", tt.args)
		}
	}
}

func ExampleEnv() {
	env := system()
	env.Stdin = strings.NewReader("")
	fmt.Println(run(env, []string{"arc", "1", "--diameter", "360 mm"}))
	// Output:
	// 1° on a rim of 360.00 mm:
	//
	// along the rim                   3.14 mm
	// straight across, with dividers  3.14 mm
	// 0
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
