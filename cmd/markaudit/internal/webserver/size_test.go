package webserver

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// longSession writes a sheet with so many readings, 100 a setup, and returns its
// path.
func longSession(t testing.TB, size int) string {
	t.Helper()
	var rows []readings.Row
	for k := range size / 100 {
		setup := strconv.Itoa(k + 1)
		for i := range 20 {
			trial := strconv.Itoa(i + 1)
			rows = append(rows,
				readings.Row{Setup: setup, By: "Ana", Trial: trial, Item: "stop", Approach: "forward", Reading: "338", Time: "2026-03-14T12:00:00Z"},
				readings.Row{Setup: setup, By: "Ana", Trial: trial, Item: "stop", Approach: "backward", Reading: fmt.Sprint(22 + float64(i%3)/2), Time: "2026-03-14T12:00:00Z"})
		}
		for i := range 60 {
			rows = append(rows, readings.Row{Setup: setup, By: "Ana", Item: []string{"TDC", "fire 10"}[i%2], Approach: "forward", Reading: fmt.Sprint([]float64{0, 350}[i%2] + float64(i%3)/2), Note: "with the lamp"})
		}
	}
	path := testsheet.New(t)
	testsheet.Write(t, path, guide.Attach(testsheet.Unfinished, "mill.csv"))
	testsheet.Write(t, testsheet.Readings(path), string(readings.Write(rows)))
	return path
}

// A page of a long session stays small: below 100 kB with all that it loads.
func TestPageIsSmall(t *testing.T) {
	s := openPage(t, longSession(t, 1000))
	total := 0
	for _, part := range []string{"/", "/style.css", "/page.js"} {
		_, body := fetch(t, s.client, s.base, part)
		total += len(body)
	}
	_, list := fetch(t, s.client, s.base, "/readings")
	t.Logf("the page has %d bytes in all, the list %d", total, len(list))
	if total > 100_000 || len(list) > 100_000 {
		t.Errorf("the page has %d bytes in all, the list %d; want below 100 kB", total, len(list))
	}
}

// direct is the page without a network, for one device.
type direct struct {
	server *server
	device *device
}

func openDirect(t testing.TB, readings int) *direct {
	t.Helper()
	r, err := recorder.Open(world.System(), longSession(t, readings))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(r.Close)
	d := &direct{&server{rec: r}, &device{form: "form"}}
	for _, text := range []string{"no", "out", "yes"} { // nothing was touched, and the stop is out
		d.press(t, url.Values{"do": {"answer"}, "text": {text}})
	}
	return d
}

func (d *direct) look(t testing.TB) {
	w := httptest.NewRecorder()
	d.server.page(w, httptest.NewRequest(http.MethodGet, "/", nil), d.device)
	if w.Code != http.StatusOK {
		t.Fatalf("status %d: %s", w.Code, w.Body)
	}
}

func (d *direct) press(t testing.TB, form url.Values) {
	form.Set("step", d.server.rec.StepID())
	form.Set("t", d.device.form)
	r := httptest.NewRequest(http.MethodPost, "/do", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	d.server.page(w, r, d.device)
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%v: status %d: %s", form, w.Code, w.Body)
	}
}

// read takes a reading of a line.
func (d *direct) read(t testing.TB) {
	d.press(t, url.Values{"do": {"next"}, "item": {"TDC"}})
	d.press(t, url.Values{"do": {"read"}, "text": {"0.5"}})
}

// The work for a page, and for a reading, grows no faster than the session: with
// twice the readings it is at most 2.2 times as much. Work is counted in
// allocations, which are the same on a busy machine.
func TestWorkGrowsWithTheSession(t *testing.T) {
	const n, most = 500, 2.2
	once, twice := openDirect(t, n), openDirect(t, 2*n)
	for _, tt := range []struct {
		name string
		work func(*direct)
	}{
		{"a page", func(d *direct) { d.look(t) }},
		{"a reading", func(d *direct) { d.read(t) }},
	} {
		a := testing.AllocsPerRun(3, func() { tt.work(once) })
		b := testing.AllocsPerRun(3, func() { tt.work(twice) })
		t.Logf("%s: %.0f allocations with %d readings, %.0f with %d", tt.name, a, n, b, 2*n)
		if b > most*a {
			t.Errorf("%s: %.0f allocations with %d readings, %.0f with %d, want at most %g times as many", tt.name, a, n, b, 2*n, most)
		}
	}
}

// Wanted: 50 ms for each answer, with 1,000 readings.
func BenchmarkPage(b *testing.B) {
	d := openDirect(b, 1000)
	for b.Loop() {
		d.look(b)
	}
}

// Wanted: 100 ms, for it is two answers.
func BenchmarkReading(b *testing.B) {
	d := openDirect(b, 1000)
	for b.Loop() {
		d.read(b)
	}
}
