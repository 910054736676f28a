package webserver

import (
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"markaudit/cmd/markaudit/internal/stream"
	"markaudit/cmd/markaudit/internal/testsheet"
)

// streaming is a page with a readout that streams, as its box sends it.
type streaming struct {
	*testPage
	t    *testing.T
	path string
	live *stream.Live
	box  io.Writer
	ms   atomic.Int64 // what its clock shows
}

func openStreaming(t *testing.T) *streaming {
	t.Helper()
	s := &streaming{t: t, path: testsheet.New(t)}
	from, box := io.Pipe()
	s.box = box
	s.live = stream.Follow(from, nil, func() time.Time { return time.UnixMilli(s.ms.Load()) })
	t.Cleanup(s.live.Close)
	s.testPage = openPageWith(t, s.path, Options{Live: s.live})
	for _, form := range []string{"do=answer&text=out", "do=answer&text=yes", "do=answer&text=yes", "do=answer&text=yes", "do=down", "do=in", "do=read&text=338.5", "do=read&text=22"} {
		v, err := url.ParseQuery(form)
		if err != nil {
			t.Fatal(err)
		}
		if status, body := s.press(t, v); status != http.StatusOK {
			t.Fatalf("%s: status %d: %s", form, status, body)
		}
	}
	return s
}

// sends lets the box send numbers, a tenth of a second each.
func (s *streaming) sends(numbers ...float64) {
	for _, n := range numbers {
		s.ms.Add(100)
		text := fmt.Sprintf("%.2f", n)
		_, _ = io.WriteString(s.box, text+"\n")
		for now, _ := s.live.Now(); now != text; now, _ = s.live.Now() {
			time.Sleep(time.Millisecond)
		}
	}
}

// contact turns to a place, stands there for a second, and turns away.
func (s *streaming) contact(from, at, away float64) {
	s.sends(from, (from+at)/2, at)
	for range 12 {
		s.sends(at)
	}
	s.sends((at+away)/2, away)
}

// What the page's script is told: the number, and a contact once the engine was turned
// away from it, but for the first pair, which a hand keeps. Nothing is kept by telling it.
func TestLiveTellsContacts(t *testing.T) {
	s := openStreaming(t)
	tells := func(want string) {
		t.Helper()
		if _, got := fetch(t, s.client, s.base, "/live"); strings.TrimSpace(got) != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
	s.sends(22.04)
	tells(`{"now":"22.04","ended":false,"free":true,"stood":"","against":false}`)
	s.sends(40)
	s.contact(300, 338.46, 310)
	tells(`{"now":"310.00","ended":false,"free":true,"stood":"338.46","against":false}`)
	if n := strings.Count(testsheet.Contents(t, testsheet.Readings(s.path)), "\n") - 1; n != 2 {
		t.Errorf("%d readings: telling keeps nothing", n)
	}
	for _, form := range []string{"do=undo", "do=answer&text=with", "do=read&text=22.5", "do=undo"} {
		v, _ := url.ParseQuery(form)
		s.press(t, v)
	}
	tells(`{"now":"310.00","ended":false,"free":false,"stood":"","against":false}`)
}

// Hands-free in a browser: turned away from the stop, what stood there is kept once, and
// said; turned the wrong way, that is said.
func handsFreeInBrowser(t *testing.T, b *browser) {
	t.Helper()
	s := openStreaming(t)
	b.size(390, 844)
	b.call("Page.navigate", map[string]any{"url": s.base + "/enter/" + s.code()})
	b.until(`location.origin === ` + fmt.Sprintf("%q", s.base) + ` && location.pathname === "/"`)
	b.leavesNameOut()
	s.sends(22.04)
	b.until(`document.getElementById("live").textContent.includes("It shows 22.04. Stand at the stop for a second, then turn away")`)
	s.sends(10, 355)
	b.until(`document.getElementById("live").textContent.includes("LOOK: 355.00, turned the other way")`)
	s.contact(300, 338.46, 310)
	b.until(`(document.querySelector("[data-kept]") || {}).textContent === "KEPT ✓ 338.46 contact 2, THE WAY IT RUNS"`)
	b.until(awake)
	b.until(`document.getElementById("live").textContent.includes("It shows 310.00")`)
	if n := strings.Count(testsheet.Contents(t, testsheet.Readings(s.path)), "\n") - 1; n != 3 {
		t.Errorf("%d readings, want the contact kept once", n)
	}
	s.end()
}
