package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"markaudit/audit/sheet"
)

// sheetsInASecond is promised in docs/validation.md, on two processors.
const sheetsInASecond = 1000

// auditMany audits n sheets in one call, as files.
func auditMany(tb testing.TB, n int) func() {
	dir := tb.TempDir()
	args := []string{"audit", "--format", "csv"}
	for i := range n {
		path := filepath.Join(dir, fmt.Sprintf("%05d.yaml", i))
		if err := os.WriteFile(path, []byte(sheet.Demo()), 0o666); err != nil {
			tb.Fatal(err)
		}
		args = append(args, path)
	}
	env := system()
	env.Stdout = io.Discard
	return func() {
		if status := run(env, args); status != 0 {
			tb.Fatalf("status %d", status)
		}
	}
}

func BenchmarkManySheets(b *testing.B) {
	const n = 10_000
	audit := auditMany(b, n)
	b.ReportAllocs()
	for b.Loop() {
		audit()
	}
	b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "sheets/s")
}

// The promise with a factor of three for a busy machine, such as one that tests
// other packages meanwhile, and the best of five, for a busy moment says nothing
// of the program.
func TestManySheetsAreQuick(t *testing.T) {
	if testing.Short() {
		t.Skip("takes the time")
	}
	const n, most = sheetsInASecond, 3 * time.Second
	audit := auditMany(t, n)
	best := time.Duration(math.MaxInt64)
	for i := 0; i < 5 && best > most; i++ {
		start := time.Now()
		audit()
		best = min(best, time.Since(start))
	}
	t.Logf("%d sheets take %v", n, best)
	if best > most {
		t.Errorf("%d sheets take %v, want at most %v", n, best, most)
	}
}

// BenchmarkProcess runs the built program. Wanted: the audit of a sheet below
// three times the version, as whole processes.
func BenchmarkProcess(b *testing.B) {
	dir := b.TempDir()
	program := filepath.Join(dir, "markaudit.exe") // the name of every system
	build := exec.Command("go", "build", "-buildvcs=false", "-trimpath", "-ldflags", "-s -w", "-o", program, ".")
	if out, err := build.CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	path := filepath.Join(dir, "demo.yaml")
	if err := os.WriteFile(path, []byte(sheet.Demo()), 0o666); err != nil {
		b.Fatal(err)
	}
	took := func(b *testing.B, args ...string) time.Duration {
		start := time.Now()
		if out, err := exec.Command(program, args...).CombinedOutput(); err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
		return time.Since(start)
	}
	var version, audit time.Duration
	b.ResetTimer()
	for range b.N { // by turns, so that a busy moment meets both
		version += took(b, "version")
		audit += took(b, "audit", path)
	}
	b.ReportMetric(float64(version.Microseconds())/float64(b.N), "µs/version")
	b.ReportMetric(float64(audit.Microseconds())/float64(b.N), "µs/audit")
	b.ReportMetric(float64(audit)/float64(version), "audit/version")
}
