package stream

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// A file that grows: what stood in it before is not what the readout shows now, half a
// line is no number, and a file that is begun anew is read from its head. Closing it ends
// the reading.
func TestFileThatGrows(t *testing.T) {
	path := filepath.Join(t.TempDir(), "readout.log")
	if err := os.WriteFile(path, []byte("100.00\n33"), 0o666); err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	looks := make(chan time.Time) // the file is looked at when the test says so
	waits := make(chan struct{})
	g, err := grow(file, func() <-chan time.Time { waits <- struct{}{}; return looks })
	if err != nil {
		t.Fatal(err)
	}
	l := Follow(g, nil, func() time.Time { return time.UnixMilli(0) })
	<-waits // all that there is has been read
	see := func(want string) {
		t.Helper()
		if now, ended := l.Now(); now != want || ended {
			t.Errorf("shows %q, ended %v, want %q", now, ended, want)
		}
	}
	see("")
	for _, step := range []struct{ write, want string }{
		{"8.5\n", ""},            // the end of 338.5
		{"339.0\r\n34", "339.0"}, // and the head of 340.5
		{"0.5\n", "340.5"},
		{"no number\n", "340.5"},
	} {
		log, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := log.WriteString(step.write); err != nil {
			t.Fatal(err)
		}
		if err := log.Close(); err != nil {
			t.Fatal(err)
		}
		looks <- time.Time{}
		<-waits
		see(step.want)
	}
	if err := os.WriteFile(path, []byte("21.5\n"), 0o666); err != nil { // shorter than before
		t.Fatal(err)
	}
	looks <- time.Time{}
	<-waits
	see("21.5")
	l.Close()
	for ended := false; !ended; {
		_, ended = l.Now()
	}
}

// A plain file is followed beyond its end, and not taken for a cable that was pulled.
func TestOpenFollowsAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "readout.log")
	if err := os.WriteFile(path, []byte("100.00\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	l, err := Open(path, "", func() time.Time { return time.UnixMilli(0) })
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	log, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	if _, err := log.WriteString("338.5\n"); err != nil {
		t.Fatal(err)
	}
	for now := ""; now != "338.5"; now, _ = l.Now() {
		if now != "" {
			t.Fatalf("shows %s, which stood there before", now)
		}
		time.Sleep(time.Millisecond)
	}
	if _, ended := l.Now(); ended {
		t.Error("the end of a file that grows is taken for the end of the readout")
	}
}
