package cli

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"testing/fstest"

	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/world"
)

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
			env := world.World{Stdin: strings.NewReader(""), Stdout: io.Discard, Stderr: &trouble, Open: sheets.Open, IsTerminal: tt.terminal}
			Run(env, append([]string{"audit"}, tt.args...))
			if trouble.String() != tt.want {
				t.Errorf("got %q, want %q", trouble.String(), tt.want)
			}
		})
	}
}
