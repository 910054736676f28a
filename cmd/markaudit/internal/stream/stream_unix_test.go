//go:build !windows

package stream

import (
	"io"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/creack/pty"
)

// A simulated encoder box on a pseudo terminal: lines that end with CR alone, a
// number that moves and then stands, and a cable that is pulled.
func TestBoxOnAPseudoTerminal(t *testing.T) {
	box, port, err := pty.Open()
	if err != nil {
		t.Skip("no pseudo terminal:", err)
	}
	defer port.Close()
	var at atomic.Int64 // of the test's own clock, in milliseconds
	l, err := Open(port.Name()+"@115200", `A=([-+0-9.]+)`, func() time.Time { return time.UnixMilli(at.Load()) })
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	send := func(text string, want string) {
		t.Helper()
		at.Add(100)
		if _, err := io.WriteString(box, text+"\r"); err != nil {
			t.Fatal(err)
		}
		for { // until it has come through
			if now, _ := l.Now(); now == want {
				return
			}
			time.Sleep(time.Millisecond)
		}
	}
	if _, err := l.Standing(0.1); err == nil || !strings.Contains(err.Error(), "sent nothing") {
		t.Errorf("before the first number: %v", err)
	}
	send("A=+330.00 N=1", "+330.00")
	send("A=334.00 N=1", "334.00")
	if _, err := l.Standing(0.1); err == nil || !strings.Contains(err.Error(), "still moving") {
		t.Errorf("while it moves: %v", err)
	}
	for _, n := range []string{"338.50", "338.55", "338.51", "338.54", "338.52", "338.53"} {
		send("A="+n, n)
	}

	if got, err := l.Standing(0.1); err != nil || got != "338.53" && got != "338.52" {
		t.Errorf("got %s, %v, want the middle of what stands", got, err)
	}
	// Turned away from where it stood, it is a contact: pressed to 338.8 first, with
	// another grip two degrees short of it.
	l.Turned("step", true, 0.1)
	for _, n := range []string{"310.00", "325.00", "336.50", "336.50", "336.51", "336.50", "336.50", "336.50", "336.50", "336.50", "336.50", "336.50", "338.80"} {
		send("A="+n, n)
	}
	for range 5 {
		for _, n := range []string{"338.50", "338.52"} {
			send("A="+n, n)
		}
	}
	for _, n := range []string{"336.00", "325.00"} {
		send("A="+n, n)
	}
	if got := l.Turned("step", true, 0.1); got.Stood != "" {
		t.Errorf("turned away by thirteen degrees: %+v", got)
	}
	send("A=318.00", "318.00")
	if got := l.Turned("step", true, 0.1); got.Stood != "338.50" && got.Stood != "338.52" || got.Against {
		t.Errorf("turned away from the stop: %+v", got)
	}
	// Across the zero a readout that stands does not jump by a turn.
	at.Add(2000)
	for _, n := range []string{"359.95", "0.00", "0.05"} {
		send("A="+n, n)
	}
	if got, err := l.Standing(0.2); err != nil || got != "0.00" {
		t.Errorf("across the zero: %s, %v", got, err)
	}
	_ = box.Close()
	for ended := false; !ended; {
		_, ended = l.Now()
		time.Sleep(time.Millisecond)
	}
	if _, err := l.Standing(0.2); err == nil || !strings.Contains(err.Error(), "type the number") {
		t.Errorf("the cable is pulled: %v", err)
	}
}

// What cannot be followed is said, with what to do instead.
func TestNoSuchReadout(t *testing.T) {
	for source, want := range map[string]string{
		t.TempDir() + "/none": "cannot follow this readout", "/dev/null@fast": "expected bauds",
	} {
		if _, err := Open(source, "", time.Now); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v", source, err)
		}
	}
	if _, err := Open(os.DevNull, "(", time.Now); err == nil || !strings.Contains(err.Error(), "regular expression") {
		t.Errorf("got %v", err)
	}
}
