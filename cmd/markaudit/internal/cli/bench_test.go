package cli

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/world"
)

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
	env := world.System()
	env.Stdout = io.Discard
	return func() {
		if status := Run(env, args); status != 0 {
			tb.Fatalf("status %d", status)
		}
	}
}

// Wanted in docs/validation.md: 1,500 sheets a second, on two processors.
func BenchmarkManySheets(b *testing.B) {
	const n = 10_000
	audit := auditMany(b, n)
	b.ReportAllocs()
	for b.Loop() {
		audit()
	}
	b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "sheets/s")
}

// The work grows no faster than the sheets: twice as many take at most 2.2 times as
// much. Work is counted in allocations, which are the same on a busy machine. One
// sheet of five lines and three setups takes few enough for the speed that
// docs/validation.md tells; a table asks for nothing that it does not print.
func TestWorkGrowsWithTheSheets(t *testing.T) {
	const n, most, each = 20, 2.2, 6500
	once := testing.AllocsPerRun(3, auditMany(t, n))
	twice := testing.AllocsPerRun(3, auditMany(t, 2*n))
	t.Logf("%.0f allocations for %d sheets, %.0f for %d", once, n, twice, 2*n)
	if twice > most*once {
		t.Errorf("%.0f allocations for %d sheets, %.0f for %d, want at most %g times as many", once, n, twice, 2*n, most)
	}
	if one := (twice - once) / n; one > each {
		t.Errorf("%.0f allocations for one sheet more, want at most %d", one, each)
	}
}

// BenchmarkProcess runs the built program. Wanted: the audit of a sheet below
// three times the version, as whole processes.
func BenchmarkProcess(b *testing.B) {
	dir := b.TempDir()
	program := filepath.Join(dir, "markaudit.exe") // the name of every system
	build := exec.Command("go", "build", "-buildvcs=false", "-trimpath", "-ldflags", "-s -w", "-o", program, "markaudit/cmd/markaudit")
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
