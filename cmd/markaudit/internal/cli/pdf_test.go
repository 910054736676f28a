package cli

import (
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"strings"
	"testing"
	"time"

	"markaudit/cmd/markaudit/internal/world"
)

// A page is nothing to show on a terminal.
func TestNoPDFOnATerminal(t *testing.T) {
	var out, errs bytes.Buffer
	env := world.World{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &errs, OnScreen: true}
	if got := Run(env, []string{"demo", "--format", "pdf"}); got != 2 || out.Len() > 0 {
		t.Errorf("status %d, %d bytes", got, out.Len())
	}
	if !strings.Contains(errs.String(), "expected the name of a file: a terminal can't show a page") {
		t.Errorf("got %q", errs.String())
	}
}

// textOf is the text of a PDF as a reader of such files finds it, page by page.
func textOf(t *testing.T, pdf []byte) []string {
	t.Helper()
	program, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("no pdftotext here")
	}
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	c := exec.CommandContext(ctx, program, "-layout", "-", "-")
	c.Stdin = bytes.NewReader(pdf)
	text, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
}

// Every sheet of a record says which job it belongs to, which sheet it was made
// from, and which of how many it is; a reader of PDF finds it.
func TestEverySheetOfARecordIsKnown(t *testing.T) {
	var out, errs bytes.Buffer
	env := world.World{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &errs}
	if got := Run(env, []string{"demo", "--format", "pdf"}); got != 0 {
		t.Fatalf("status %d: %s", got, &errs)
	}
	pages := textOf(t, out.Bytes())
	for i, page := range pages {
		page = strings.Join(strings.Fields(page), " ")
		for _, want := range []string{"W-0588", "928d650a9701", fmt.Sprintf("%d of %d", i+1, len(pages))} {
			if !strings.Contains(page, want) {
				t.Errorf("sheet %d does not say %s", i+1, want)
			}
		}
		if strings.Contains(page, "?") && !strings.Contains(page, "±0.6°?") {
			t.Errorf("sheet %d prints a question mark for a letter: %s", i+1, page)
		}
	}
}
