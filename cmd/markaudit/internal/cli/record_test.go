package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// recording starts the program itself, as a process of its own.
func recording(t *testing.T, sheet string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self, "record", sheet)
	c.Args[0] = "markaudit" // what TestMain looks at
	return c
}

// The program is killed at many points while readings pour in, at 200 of them with
// MARKAUDIT_LONG=1. Whatever it had acknowledged is in the file, in order, and no
// half row is.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 20
	if os.Getenv("MARKAUDIT_LONG") != "" {
		kills = 200
	}
	path := testsheet.New(t)
	file := testsheet.Readings(path)
	var acknowledged []string
	number := 0
	for k := range kills {
		c := recording(t, path)
		in, err := c.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		c.Stderr = os.Stderr
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		var lines strings.Builder
		if k > 0 {
			lines.WriteString("no\nout\n")
		} else {
			lines.WriteString("out\n")
		}
		for range 40 { // each reading tells its own number
			number++
			fmt.Fprintf(&lines, "next TDC\n%d.5 note %d\n", number%7, number)
		}
		go func() {
			_, _ = io.WriteString(in, lines.String()) // ends with the process
		}()
		die := time.Duration(k%40) * 500 * time.Microsecond
		reader := bufio.NewReader(out)
		first := true
		for {
			line, err := reader.ReadString('\n')
			if _, kept, ok := strings.Cut(line, "kept: setup 1, TDC, forward: "); ok && err == nil {
				acknowledged = append(acknowledged, strings.TrimSpace(kept))
				if first {
					first = false
					time.AfterFunc(die, func() { _ = c.Process.Kill() })
				}
			}
			if err != nil {
				break
			}
			if len(acknowledged) == 0 && k == 0 && strings.Contains(line, "not taken") {
				t.Fatal(line)
			}
		}
		_ = c.Wait() // killed, or at the end of its input
	}
	var got []string
	for i, l := range strings.Split(strings.TrimSuffix(testsheet.Contents(t, file), "\n"), "\n") {
		f := strings.Split(l, ",")
		if len(f) != 15 {
			t.Fatalf("line %d is no row: %s", i+1, l)
		}
		if i > 0 {
			got = append(got, fmt.Sprintf("%s (%s)", f[5], f[7]))
		}
	}
	at := 0
	for _, want := range acknowledged {
		for at < len(got) && got[at] != want {
			at++ // kept, and killed before it could say so
		}
		if at == len(got) {
			t.Fatalf("%s was acknowledged and is not in the file", want)
		}
		at++
	}
	if len(acknowledged) < kills {
		t.Errorf("only %d readings were acknowledged in %d runs: the test kills too early", len(acknowledged), kills)
	}
	t.Logf("%d kills, %d readings acknowledged, %d kept", kills, len(acknowledged), len(got))
	if _, stderr, status := call(t, "", "audit", path); status != 0 {
		t.Errorf("the readings cannot be audited: %s", stderr)
	}
}

func TestSecondRecorder(t *testing.T) {
	path := testsheet.New(t)
	first, err := recorder.Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	_, stderr, got := call(t, "", "record", path)
	if got != statusBad || !strings.Contains(stderr, "another recorder has it open") {
		t.Errorf("got status %d: %s", got, stderr)
	}
	first.Close()
	if _, stderr, got := call(t, "", "record", path); got != 0 {
		t.Errorf("after the first ended: status %d: %s", got, stderr)
	}
}

// In a folder without the right to write, the program says so and leaves the
// sheet alone.
func TestReadOnlyFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("folders have other rights there")
	}
	path := testsheet.New(t)
	folder := filepath.Dir(path)
	c := recording(t, path)
	asNobody(t, c)
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(folder, 0o755) })
	out, err := c.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != statusUnwritten {
		t.Errorf("got %v, want status %d", err, statusUnwritten)
	}
	if !strings.Contains(string(out), "mill.csv.lock: not allowed") || !strings.Contains(string(out), "copy the sheet to a folder") {
		t.Errorf("got %s", out)
	}
	if got := testsheet.Contents(t, path); got != testsheet.Unfinished {
		t.Errorf("the sheet became\n%s", got)
	}
}

// Struck readings and a foreign layout: the file is written anew, whole, with
// every reading.
func TestForeignLayout(t *testing.T) {
	path := testsheet.New(t)
	file := testsheet.Readings(path)
	foreign := "\ufeffsep=;\r\nitem;setup;reading;approach;trial\r\nstop;A;338,5;forward;1\r\nstop;A;22,5;backward;1\r\n;;;;\r\n"
	testsheet.Write(t, file, foreign)
	testsheet.Write(t, path, testsheet.Unfinished+"readings: mill.csv\n")
	stdout, stderr, got := call(t, "no\nin\n338\nby Ben\n338.0 struck let go\n", "record", path)
	if got != 0 {
		t.Fatalf("status %d: %s", got, stderr)
	}
	if !strings.Contains(stdout, "mill.csv holds 2 readings") {
		t.Errorf("got %s", stdout)
	}
	for _, want := range []string{readings.Header(), "\nA,,1,stop,forward,338.5,,,,,,,,,\n", "\nA,,1,stop,backward,22.5,,,,,,,,,\n", "\nA,,2,stop,forward,338,2"} {
		if !strings.Contains(testsheet.Contents(t, file), want) {
			t.Errorf("the file lacks %q:\n%s", want, testsheet.Contents(t, file))
		}
	}
}

// Sheets with their readings in them can be turned to a file, and then say the
// same.
func TestExport(t *testing.T) {
	data := testsheet.Contents(t, top+"testdata/sheets/good/pump.yaml")
	path := filepath.Join(t.TempDir(), "pump.yaml")
	testsheet.Write(t, path, data)
	before, _, _ := call(t, "", "audit", "--format", "csv", path)
	_, stderr, got := call(t, "", "record", path)
	if got != statusBad || !strings.Contains(stderr, "record --export") {
		t.Errorf("record: status %d, said %s", got, stderr)
	}
	if _, stderr, got = call(t, "", "record", "--export", path); got != 0 {
		t.Fatalf("export: status %d, said %s", got, stderr)
	}
	if after, _, _ := call(t, "", "audit", "--format", "csv", path); after != before || before == "" {
		t.Errorf("the audit was\n%sand became\n%s", before, after)
	}
	if _, stderr, got = call(t, "", "record", path); got != 0 {
		t.Errorf("record afterwards: status %d, said %s", got, stderr)
	}
}
