package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"markaudit/audit/sheet"
)

// BenchmarkManySheets audits 10,000 sheets in one call, as files. Wanted: 1,000
// sheets a second or more on two processors.
func BenchmarkManySheets(b *testing.B) {
	const n = 10_000
	dir := b.TempDir()
	args := []string{"audit", "--format", "csv"}
	for i := range n {
		path := filepath.Join(dir, fmt.Sprintf("%05d.yaml", i))
		if err := os.WriteFile(path, []byte(sheet.Demo()), 0o666); err != nil {
			b.Fatal(err)
		}
		args = append(args, path)
	}
	env := system()
	env.Stdout = io.Discard
	b.ReportAllocs()
	for b.Loop() {
		if status := run(env, args); status != 0 {
			b.Fatalf("status %d", status)
		}
	}
	b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "sheets/s")
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
