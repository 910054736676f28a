package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/world"

	"github.com/google/go-cmp/cmp"
	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// Every command line that README and docs show is run, and prints what they
// show.
func TestDocumentsShowRealOutput(t *testing.T) {
	if _, err := exec.LookPath("sh"); err != nil {
		t.Skip("needs a shell")
	}
	pages, err := filepath.Glob(top + "docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	run := 0
	for _, page := range append(pages, top+"README.md") {
		was, err := os.ReadFile(page)
		if err != nil {
			t.Error(err)
			continue
		}
		var commands int
		now, err := rerun(string(was), bench(t), &commands)
		run += commands
		if err != nil {
			t.Errorf("%s: %v", page, err)
			continue
		}
		settle(t, page, string(was), now)
	}
	if run == 0 {
		t.Error("no page shows a command: the test looks in the wrong place")
	}
}

// bench returns a folder with the sheets and tables that the pages speak of.
func bench(t *testing.T) string {
	dir := t.TempDir()
	for _, folder := range []string{"sheets/good", "history", "past", "wheel", "study", "qualify"} {
		if err := os.CopyFS(dir, os.DirFS(top+"testdata/"+folder)); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

const (
	prompt = "$ "
	dots   = "…\n" // the output goes on
)

// rerun returns a page with what its command lines print now. A block is run
// where its first line is a prompt and markaudit; the lines up to the next
// prompt are the output, errors included. Where they end with dots, as many
// lines are shown as there were.
func rerun(page, dir string, commands *int) (string, error) {
	var out strings.Builder
	fenced, running := false, false
	var command string
	var shown []string
	finish := func() error {
		if command == "" {
			return nil
		}
		*commands++
		printed, err := shell(command, dir)
		if n := len(shown); n > 0 && shown[n-1] == dots {
			lines := strings.SplitAfter(printed, "\n")
			printed = strings.Join(lines[:min(n-1, len(lines))], "") + dots
		}
		out.WriteString(prompt + command + printed)
		command, shown = "", nil
		return err
	}
	lines := strings.SplitAfter(page, "\n")
	for i, line := range lines {
		typed, isCommand := strings.CutPrefix(line, prompt)
		switch fence := strings.HasPrefix(line, "```"); {
		case fence:
			if err := finish(); err != nil {
				return "", err
			}
			fenced = !fenced
			running = fenced && i+1 < len(lines) && strings.HasPrefix(lines[i+1], prompt+"markaudit")
			out.WriteString(line)
		case !running:
			out.WriteString(line)
		case isCommand:
			if err := finish(); err != nil {
				return "", err
			}
			command = typed
		default:
			shown = append(shown, line)
		}
	}
	if fenced {
		return "", errors.New("a block does not end")
	}
	return out.String(), nil
}

// shell runs a command line as a person would. Statuses are the program's own.
func shell(command, dir string) (string, error) {
	c := exec.Command("sh", "-c", command)
	c.Dir = dir
	printed, err := c.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !(errors.As(err, &exit) && 0 < exit.ExitCode() && exit.ExitCode() <= statusUnwritten) {
		return "", fmt.Errorf("%s: %w", command, err)
	}
	if len(printed) > 0 && !bytes.HasSuffix(printed, []byte("\n")) {
		printed = append(printed, '\n')
	}
	return string(printed), nil
}

// settle compares a page with what it should be, or rewrites it.
func settle(t *testing.T, page, was, want string) {
	t.Helper()
	if was == want {
		return
	}
	if *update {
		if err := os.WriteFile(page, []byte(want), 0o666); err != nil {
			t.Error(err)
		}
		return
	}
	t.Errorf("%s is out of date; go test ./cmd/markaudit/internal/cli -update rewrites it (- is, + should be)\n%s", page, cmp.Diff(was, want))
}

// docs/cli holds a page a command, as the command tree has it.
func TestCommandPages(t *testing.T) {
	dir := top + "docs/cli/"
	root := newRoot(world.World{})
	pages := map[string]string{}
	var visit func(c *cobra.Command)
	visit = func(c *cobra.Command) {
		var page bytes.Buffer
		if err := doc.GenMarkdown(c, &page); err != nil {
			t.Fatal(err)
		}
		// The generator leaves a blank line at the end.
		pages[strings.ReplaceAll(c.CommandPath(), " ", "_")+".md"] = strings.TrimRight(page.String(), "\n") + "\n"
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit(root)
	if *update {
		if err := os.MkdirAll(dir, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range pages {
		was, err := os.ReadFile(dir + name)
		if err != nil && !*update {
			t.Error(err)
		}
		settle(t, dir+name, string(was), want)
	}
	there, err := filepath.Glob(dir + "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range there {
		if pages[filepath.Base(path)] == "" {
			t.Errorf("%s belongs to no command", path)
		}
	}
}

// Every command and option is explained, in lines that fit a terminal, and
// every command refuses arguments that mean nothing to it.
func TestCommandsAreExplained(t *testing.T) {
	root := newRoot(world.World{})
	for _, c := range root.Commands() {
		if c.Short == "" || c.Long == "" || c.Example == "" || c.GroupID == "" {
			t.Errorf("%s lacks a sentence, an explanation, an example or its group", c.CommandPath())
		}
		if c.Args == nil && c.Name() != "help" {
			t.Errorf("%s takes any arguments", c.CommandPath())
		}
		for line := range strings.Lines(c.Long) {
			if n := len([]rune(strings.TrimSpace(line))); n > 82 {
				t.Errorf("%s: a line of %d columns: %s", c.CommandPath(), n, line)
			}
		}
	}
}

func TestRerun(t *testing.T) {
	tests := []struct{ name, page, want string }{
		{"no block", "text\n", "text\n"},
		{"another block", "```\n$ ls\nx\n```\n", "```\n$ ls\nx\n```\n"},
		{"stale", "```console\n$ markaudit version\nold\n```\nmore\n", "```console\n$ markaudit version\n" + software + "\n```\nmore\n"},
		{"two", "```\n$ markaudit version\n$ markaudit version\n```\n", "```\n$ markaudit version\n" + software + "\n$ markaudit version\n" + software + "\n```\n"},
		{"dots", "```\n$ markaudit help\n1\n2\n…\n```\n", "```\n$ markaudit help\nmarkaudit tells, from contacts against a positive stop and readings of the\nmarks, how far each timing mark is off, how sure that is, what to measure next,\n…\n```\n"},
		{"trouble", "```\n$ markaudit tdc; true\n```\n", "```\n$ markaudit tdc; true\nmarkaudit: found 0 readings, expected two: the forward and the backward contact\n  hint: such as markaudit tdc 338.0 22.0 --counts up --step 0.5\n```\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var commands int
			got, err := rerun(tt.page, t.TempDir(), &commands)
			if err != nil || got != tt.want {
				t.Errorf("got %q, %v, want %q", got, err, tt.want)
			}
		})
	}
	for _, page := range []string{"```\n$ markaudit version\n", "```\n$ markaudit-of-another-name\n```\n"} {
		if _, err := rerun(page, t.TempDir(), new(int)); err == nil {
			t.Errorf("%q: no error", page)
		}
	}
}
