package webserver

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"testing"
	"time"

	"markaudit/cmd/markaudit/internal/devices"
	"markaudit/cmd/markaudit/internal/testsheet"
)

// So many requests may come at once, and then so many a second. A device that was
// let in is not slowed by a stranger at the same address.
func TestRate(t *testing.T) {
	now := testsheet.Noon()
	a := newAccess(devices.New(), "1", func() time.Time { return now }, func(string) {})
	stranger := &http.Request{RemoteAddr: "192.0.2.1:4000"}
	passed := func(d *device) int {
		n := 0
		for !a.hurried(stranger, d) {
			n++
		}
		return n
	}
	if n := passed(nil); n != atOnce {
		t.Errorf("%d pass at once, want %d", n, atOnce)
	}
	now = now.Add(time.Second)
	if n := passed(nil); n != perSecond {
		t.Errorf("%d pass a second later, want %d", n, perSecond)
	}
	now = now.Add(-time.Hour) // the clock was put back
	if n := passed(nil); n != 0 {
		t.Errorf("%d pass when the clock was put back, want none", n)
	}
	if n := passed(&device{}); n != atOnce {
		t.Errorf("%d of a device that is in pass at once, want %d", n, atOnce)
	}
}

// A device that does not finish what it sends is cut off.
func TestSlowDeviceIsCutOff(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := &server{gate: gate{access: newAccess(devices.New(), "1", time.Now, func(string) {}), patience: patience{read: time.Millisecond, write: hang, idle: hang}}}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.serve(ctx, l, s.page) }()
	c, err := net.Dial("tcp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if err := c.SetDeadline(time.Now().Add(hang)); err != nil {
		t.Fatal(err)
	}
	_, _ = io.WriteString(c, "POST /do HTTP/1.1\r\n") // may find itself cut off already
	if _, err := io.Copy(io.Discard, c); errors.Is(err, os.ErrDeadlineExceeded) {
		t.Error("a device that sends half a request is still waited for")
	}
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
