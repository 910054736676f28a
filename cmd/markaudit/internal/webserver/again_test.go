package webserver

import (
	"net/http"
	"net/url"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"markaudit/cmd/markaudit/internal/devices"
	"markaudit/cmd/markaudit/internal/testsheet"
)

// A form that is sent again, because its reply was lost, because of a second tap,
// by a reload or after a restart, has one effect, and its sender is told so.
func TestSentAgain(t *testing.T) {
	path := testsheet.New(t)
	s := openPage(t, path)
	_, _ = s.press(t, url.Values{"do": {"in"}})
	m := hidden.FindStringSubmatch(mustPage(t, s.client, s.base))
	form := url.Values{"do": {"read"}, "text": {"338,50"}, "step": {m[1]}, "t": {m[2]}, "what": {"Pair 1, forward contact"}}
	for i := range 3 {
		status, body := s.post(t, s.client, form)
		want := "KEPT ✓ 338.50 contact 1"
		if i > 0 {
			want = "Already kept: pair 1, forward: 338.50 (reading 1)"
		}
		if status != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("sent %d times: status %d, want %q:\n%s", i+1, status, want, body)
		}
		if strings.Contains(body, `value="338`) {
			t.Error("the number waits in the field of the next step")
		}
	}
	s.end()
	// Killed before the journal was written: the row itself knows its identity.
	if err := os.Remove(strings.TrimSuffix(path, ".yaml") + ".journal"); err != nil {
		t.Fatal(err)
	}
	after := openPage(t, path) // another process as far as identities go
	form.Set("t", hidden.FindStringSubmatch(mustPage(t, after.client, after.base))[2])
	if _, body := after.post(t, after.client, form); !strings.Contains(body, "Already kept: pair 1, forward: 338.50 (reading 1)") {
		t.Errorf("after a restart:\n%s", body)
	}
	form.Set("step", "nosuchid-7")
	if status, body := after.post(t, after.client, form); status != http.StatusConflict || !strings.Contains(body, "was for Pair 1, forward contact and was NOT taken") {
		t.Errorf("an identity of nobody: status %d:\n%s", status, body)
	}
	after.end()
	if got := testsheet.Contents(t, testsheet.Readings(path)); strings.Count(got, "\n") != 2 {
		t.Errorf("the readings are\n%s", got)
	}
}

// Undo pressed twice takes one thing back.
func TestDoubleTapOnUndo(t *testing.T) {
	path := testsheet.New(t)
	s := openPage(t, path)
	for _, form := range []string{"do=in", "do=read&text=338", "do=read&text=22"} {
		v, _ := url.ParseQuery(form)
		_, _ = s.press(t, v)
	}
	m := hidden.FindStringSubmatch(mustPage(t, s.client, s.base+"/undo?"))
	form := url.Values{"do": {"undo"}, "step": {m[1]}, "t": {m[2]}}
	for range 2 {
		if status, body := s.post(t, s.client, form); status != http.StatusOK {
			t.Errorf("status %d:\n%s", status, body)
		}
	}
	s.end()
	if got := testsheet.Contents(t, testsheet.Readings(path)); strings.Count(got, "\n") != 2 {
		t.Errorf("the readings are\n%s", got)
	}
}

// A restart has the same port and lets in the devices that were in, with forms made
// before. A second page at the same time has another port, and neither puts the
// devices of the other out.
func TestDevicesSurviveARestart(t *testing.T) {
	path, store := testsheet.New(t), devices.New()
	first := openPageOf(t, path, store)
	_, _ = first.press(t, url.Values{"do": {"in"}})
	m := hidden.FindStringSubmatch(mustPage(t, first.client, first.base))
	other := openPageOf(t, testsheet.New(t), store)
	if other.base == first.base {
		t.Fatal("two pages have one address")
	}
	other.client.Jar.SetCookies(mustURL(t, other.base), first.client.Jar.Cookies(mustURL(t, first.base)))
	for _, s := range []*testPage{first, other} {
		if status, _ := fetch(t, s.client, s.base, "/"); status != http.StatusOK {
			t.Errorf("beside the other page: status %d", status)
		}
	}
	other.end()
	first.end()
	again := openPageOf(t, path, store)
	if again.base != first.base {
		t.Errorf("after a restart at %s, want %s", again.base, first.base)
	}
	if status, _ := fetch(t, first.client, again.base, "/"); status != http.StatusOK {
		t.Errorf("the device is outside: status %d", status)
	}
	form := url.Values{"do": {"read"}, "text": {"338"}, "step": {m[1]}, "t": {m[2]}, "what": {"Pair 1, forward contact"}}
	if status, body := again.post(t, first.client, form); status != http.StatusConflict || !strings.Contains(body, "338 was for Pair 1, forward contact and was NOT taken") {
		t.Errorf("a form from before: status %d:\n%s", status, body)
	}
	_, _ = again.post(t, first.client, url.Values{"t": {m[2]}})
	answer, err := first.client.PostForm(again.base+"/forget", url.Values{"t": {m[2]}})
	if err != nil {
		t.Fatal(err)
	}
	_ = answer.Body.Close()
	if status, _ := fetch(t, first.client, again.base, "/"); status != http.StatusForbidden {
		t.Errorf("a device that was forgotten is in: status %d", status)
	}
}

func mustURL(t *testing.T, text string) *url.URL {
	u, err := url.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// The square code holds the address with the code, and both faces draw it.
func TestSquareCode(t *testing.T) {
	const text = "http://192.0.2.7:8417/enter/7K2M-QX4P"
	if s := newSquare(text); s.Size < 21+2*quiet || !strings.HasPrefix(s.Path, "M4 4h1v1h-1z") {
		t.Errorf("got a square of %d modules: %.40s", s.Size, s.Path)
	}
	lines := strings.Split(strings.TrimSuffix(halfBlocks(text), "\n"), "\n")
	for _, l := range lines {
		if n := utf8.RuneCountInString(l); n != utf8.RuneCountInString(lines[0]) || n > 80 {
			t.Errorf("a line of %d characters", n)
		}
	}
}
