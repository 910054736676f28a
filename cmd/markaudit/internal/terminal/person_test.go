package terminal

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/stream"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// person types lines at a terminal, each so long after the one before.
func person(t *testing.T, path string, ends string, gap time.Duration, lines ...string) string {
	t.Helper()
	r, err := recorder.Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	now := testsheet.Noon()
	var out bytes.Buffer
	err = Run(r, strings.NewReader(strings.Join(lines, ends)+ends), &out, Options{Person: true, Width: 60, Now: func() time.Time { now = now.Add(gap); return now }})
	if err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// A readout that types: at any speed and with any line end no number is lost, and
// none goes to a step that it was not typed for.
func TestReadoutThatTypes(t *testing.T) {
	for _, ends := range []string{"\r", "\n", "\r\n"} {
		for _, gap := range []time.Duration{0, 100 * time.Millisecond, 300 * time.Millisecond, time.Second} {
			t.Run(fmt.Sprintf("%q %v", ends, gap), func(t *testing.T) {
				path := testsheet.New(t)
				printed := person(t, path, ends, gap, "in", "338.5", "22", "yes", "21.9", "no")
				rows := testsheet.Contents(t, testsheet.Readings(path))
				for _, number := range []string{"338.5", "22", "21.9"} {
					if kept := strings.Contains(rows, ","+number+","); !kept && !strings.Contains(printed, number+" came at once") {
						t.Errorf("%s is neither kept nor asked about:\n%s\n%s", number, rows, printed)
					}
				}
				if gap < atOnce && (strings.Contains(rows, ",21.9,") || !strings.Contains(rows, "backward,22,")) {
					t.Errorf("a number went to a step that it was not typed for:\n%s", rows)
				}
			})
		}
	}
}

// The first step of a kind is printed in full, the next ones as two short lines,
// within the width of the terminal, the number just kept first.
func TestTwoShortLines(t *testing.T) {
	printed := person(t, testsheet.New(t), "\n", time.Minute, "in", "338", "22", "338.5", "22.5", "how")
	if !strings.Contains(printed, "\n> 338 kept: setup 1, pair 1, forward: 338\n") {
		t.Errorf("the number kept does not come first:\n%s", printed)
	}
	const short = "\npair 3, forward contact | stop in | 2 pairs ± 3.2°, goal\n0.38°\nTURN THE WAY IT RUNS, ~316, to the stop\n> "
	if !strings.Contains(printed, short) {
		t.Errorf("no short step in\n%s", printed)
	}
	for line := range strings.Lines(printed) {
		if len([]rune(line)) > 61 {
			t.Errorf("wider than the terminal: %q", line)
		}
	}
	if n := strings.Count(strings.Join(strings.Fields(printed), " "), "Light touch"); n != 2 {
		t.Errorf("the long text is printed %d times, want the first and after how", n)
	}
}

// Whoever stops while the stop is in is told so.
func TestEndSaysWhereTheStopIs(t *testing.T) {
	printed := person(t, testsheet.New(t), "\n", time.Minute, "in", "338", "pause")
	if !strings.Contains(printed, "The stop is IN. Ease off, and take it out before") {
		t.Errorf("got\n%s", printed)
	}
}

// A readout that streams: an empty entry keeps what stands there, and nothing is
// kept while it moves.
func TestReadoutThatStreams(t *testing.T) {
	path := testsheet.New(t)
	r, err := recorder.Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	from, box := io.Pipe()
	live := stream.Follow(from, nil, testsheet.Noon)
	defer live.Close()
	_, _ = io.WriteString(box, "338.52\n338.48\n338.50\n")
	waitFor := func(want string) {
		for {
			if now, _ := live.Now(); now == want {
				return
			}
			time.Sleep(time.Millisecond)
		}
	}
	waitFor("338.50")
	var out bytes.Buffer
	err = Run(r, io.MultiReader(strings.NewReader("in\n\n"), meanwhile(func() {
		_, _ = io.WriteString(box, "12\n")
		waitFor("12")
	}), strings.NewReader("\n")), &out, Options{Live: live})
	if err != nil {
		t.Fatal(err)
	}
	if rows := testsheet.Contents(t, testsheet.Readings(path)); strings.Count(rows, "\n") != 2 || !strings.Contains(rows, ",forward,338.50,") {
		t.Errorf("the file is\n%s", rows)
	}
	if !strings.Contains(out.String(), "not taken: still moving, from ") {
		t.Errorf("printed\n%s", out.String())
	}
}
