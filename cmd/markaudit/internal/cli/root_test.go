package cli

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"syscall"
	"testing"

	"markaudit/cmd/markaudit/internal/world"
)

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
				env := world.System()
				env.Stdout, env.Stderr = &refusing{0, tt.err}, &trouble
				if status := Run(env, args); status != statusUnwritten {
					t.Errorf("got status %d, want %d", status, statusUnwritten)
				}
				if trouble.String() != tt.want {
					t.Errorf("got %q, want %q", trouble.String(), tt.want)
				}
			})
		}
	}
}

func ExampleRun() {
	env := world.System()
	env.Stdin = strings.NewReader("")
	fmt.Println(Run(env, []string{"arc", "1", "--diameter", "360 mm"}))
	// Output:
	// 1° on a rim of 360.00 mm:
	//
	// along the rim                   3.14 mm
	// straight across, with dividers  3.14 mm
	// 0
}
