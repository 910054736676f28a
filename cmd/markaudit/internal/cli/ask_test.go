package cli

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/world"
)

// typing runs the program with somebody at its terminal.
func typing(t *testing.T, typed string, args ...string) (status int, out string) {
	t.Helper()
	env := world.System()
	var stdout, stderr bytes.Buffer
	env.Stdin, env.Stdout, env.Stderr, env.Typed, env.Width = strings.NewReader(typed), &stdout, &stderr, true, 80
	status = Run(env, args)
	return status, stdout.String() + stderr.String()
}

const pumpAnswers = "Pump\nb\nb\nb\na\nb\n0.5\na\n31 120.5\nTDC\nall\n1.0\nopen\na\na\na\nyes\na\ndone\n"

// On a sheet that is not there, record asks for one and goes on at once with the
// readings. Where the answers do not suffice, nothing is recorded, and the next call
// goes on with the questions.
func TestRecordBeginsASheet(t *testing.T) {
	t.Chdir(t.TempDir())
	const path = "pump.yaml"
	if status, out := typing(t, "no\n", "record", path); status != 0 || !strings.Contains(out, "Nothing was begun.") {
		t.Errorf("got %d:\n%s", status, out)
	}
	if _, err := os.Stat(path); err == nil {
		t.Fatal("a sheet was begun all the same")
	}
	if status, out := typing(t, "yes\nPump\nb\npause\n", "record", path); status != 0 || !strings.Contains(out, "Begin it? (yes, no)") || !strings.Contains(out, "Before anything is recorded") {
		t.Errorf("got %d:\n%s", status, out)
	}
	rest := strings.TrimPrefix(pumpAnswers, "Pump\nb\n")
	status, out := typing(t, rest+"out\ndown\nin\n338.5\n", "record", path)
	if status != 0 || strings.Contains(out, "What is this job called?") || !strings.Contains(out, "kept: setup 1, pair 1, forward: 338.5") {
		t.Errorf("got %d:\n%s", status, out)
	}
	text, err := os.ReadFile(path)
	if err != nil || !strings.HasSuffix(string(text), "readings: pump.csv\n") {
		t.Errorf("%v:\n%s", err, text)
	}
}

// A sheet that somebody else changes while it is asked is not written over.
func TestAskedSheetChangedMeanwhile(t *testing.T) {
	t.Chdir(t.TempDir())
	const path = "pump.yaml"
	typing(t, "Pump\n", "new", "--ask", path)
	env := world.System()
	var out bytes.Buffer
	env.Stdout, env.Stderr = &out, &out
	env.Stdin = &meanwhile{lines: []string{"b\n", "b\n"}, before: func(n int) {
		if n == 1 {
			if err := os.WriteFile(path, []byte("title: by hand\n"), 0o666); err != nil {
				t.Error(err)
			}
		}
	}}
	if status := Run(env, []string{"new", "--ask", path}); status != 3 || !strings.Contains(out.String(), "changed meanwhile") {
		t.Errorf("got %d:\n%s", status, &out)
	}
	if text, err := os.ReadFile(path); err != nil || string(text) != "title: by hand\n" {
		t.Errorf("%v: %q", err, text)
	}
}

// meanwhile gives one line a read, and lets something happen before each.
type meanwhile struct {
	lines  []string
	before func(n int)
	n      int
}

func (m *meanwhile) Read(p []byte) (int, error) {
	if m.n == len(m.lines) {
		return 0, os.ErrClosed
	}
	m.before(m.n)
	m.n++
	return copy(p, m.lines[m.n-1]), nil
}
