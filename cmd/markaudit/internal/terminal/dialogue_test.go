package terminal

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// record holds a dialogue over a sheet and returns what it printed.
func record(t *testing.T, path string, typed io.Reader) (printed string, lost error) {
	t.Helper()
	r, err := recorder.Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	var out bytes.Buffer
	err = Run(r, typed, &out, Options{Software: "markaudit"})
	return out.String(), err
}

// meanwhile is an input without a byte, at which something else happens.
type meanwhile func()

func (m meanwhile) Read([]byte) (int, error) {
	m()
	return 0, io.EOF
}

// A reading that could not be written down is not acknowledged, and the caller
// hears of it. One that could be, later, mends that.
func TestNotKept(t *testing.T) {
	for _, tt := range []struct {
		name, after string
		lost        bool
	}{{"to the end", "", true}, {"mended", "22.5\n", false}} {
		t.Run(tt.name, func(t *testing.T) {
			path := testsheet.New(t)
			file := testsheet.Readings(path)
			ours := ""
			printed, err := record(t, path, io.MultiReader(
				strings.NewReader("in\n338\n"),
				meanwhile(func() {
					ours = testsheet.Contents(t, file)
					testsheet.Write(t, file, ours+"1,,,TDC,forward,0,,,\n")
				}),
				strings.NewReader("22\n"),
				meanwhile(func() { testsheet.Write(t, file, ours) }),
				strings.NewReader(tt.after),
			))
			var output *world.Unwritten
			if lost := errors.As(err, &output); lost != tt.lost {
				t.Errorf("got %v, want the reading lost: %v", err, tt.lost)
			}
			if !strings.Contains(printed, "this was NOT kept") || strings.Contains(printed, "backward: 22\n") {
				t.Errorf("the trouble was not said, or the reading acknowledged:\n%s", printed)
			}
			if got := strings.Contains(printed, "backward: 22.5\n"); got == tt.lost {
				t.Errorf("the later reading acknowledged: %v\n%s", got, printed)
			}
		})
	}
}

// The end of the input is no answer, and a line without its end is no reading.
func TestInputEnds(t *testing.T) {
	path := testsheet.New(t)
	printed, err := record(t, path, strings.NewReader("in\n338\n22"))
	if err != nil || !strings.Contains(printed, "The input ended within a line, which was not taken: 22") {
		t.Errorf("got %v, printed\n%s", err, printed)
	}
	if file := testsheet.Contents(t, testsheet.Readings(path)); strings.Count(file, "\n") != 2 {
		t.Errorf("the file is\n%s", file)
	}
}
