package webserver

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A rehearsal is begun, measured reading by reading, answered and marked on the page;
// what was handed in stays.
func TestRehearsalOnThePage(t *testing.T) {
	folder := t.TempDir()
	s := openShop(t, ShopOptions{Folder: folder})
	s.get(t, "/")
	s.shows(t, "Rehearse without an engine")
	s.get(t, "/lessons")
	if status := s.send(t, "/lessons", "scenario", "one-line", "number", "seven"); status != http.StatusOK {
		t.Errorf("a number in letters: %d", status)
	}
	s.shows(t, "expected the number of a stand")
	s.send(t, "/lessons", "scenario", "one-line", "number", "7")
	s.shows(t, "Take the next reading", "Is any line in the wrong place")
	base := s.at
	s.get(t, base+"?n=1")
	s.shows(t, "setup 1, stop, pair 1, forward", "Take all")
	s.hides(t, "pair 1, backward", "Write down your answers", "stamped")
	s.get(t, base+"marked")
	s.hides(t, "stamped", "POINTS")
	s.get(t, base+"?n=9999")
	s.shows(t, "Write down your answers", "What the audit says")
	s.get(t, base+"answers")
	s.send(t, base+"answers")
	s.shows(t, "Nothing is answered yet")
	s.send(t, base+"answers", "off0", "0.1 later", "verdict0", "within")
	s.shows(t, "off_by: found", "0.1 later")
	s.send(t, base+"answers", "off0", "0.1 late", "verdict0", "within", "cause", "line", "confirm", "none")
	s.shows(t, "WHAT WAS SO", "stamped wrong", "POINTS", "that was it", "RECORD", "one-line-7-answers.csv, 5 rows, SHA-256", "one point an item")
	s.get(t, base+"answers")
	s.shows(t, "POINTS")
	form, err := os.ReadFile(filepath.Join(folder, "one-line-7-answers.csv"))
	if err != nil || !strings.Contains(string(form), "1-6,0.1 late,within,none,line\n") {
		t.Errorf("handed in: %s, %v", form, err)
	}
	s.get(t, "/lessons")
	s.shows(t, "one-line-7", "marked")
	s.send(t, "/lessons", "scenario", "one-line", "number", "7")
	s.shows(t, "was begun already")
	s.send(t, "/lessons", "scenario", "class", "number", "2")
	s.get(t, s.at+"answers")
	s.shows(t, "Ada: scatters?")
	s.send(t, s.at, "scatters0", "no", "sits2", "yes", "advice2", "sight")
	s.shows(t, "POINTS", "what this hand needs")
	if status := s.get(t, "/lesson/0123456789/"); status != http.StatusNotFound {
		t.Errorf("no such rehearsal: %d", status)
	}
}

// In a class each device is one person's, and sees the own values and the own slip
// alone; the computer itself sees all.
func TestClassOnThePage(t *testing.T) {
	s := openShop(t, ShopOptions{Folder: t.TempDir()})
	// from calls the page as one device, at the computer itself or elsewhere.
	from := func(who, address, method, path string, pairs ...string) (int, string) {
		t.Helper()
		form := url.Values{"t": {who}}
		for n := 0; n < len(pairs); n += 2 {
			form.Set(pairs[n], pairs[n+1])
		}
		r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.RemoteAddr = address
		w := httptest.NewRecorder()
		s.shop.page(w, r, &device{form: form.Get("t")})
		return w.Code, w.Body.String()
	}
	const computer, away = "127.0.0.1:5000", "192.0.2.7:5000"
	shows := func(page string, parts ...string) {
		t.Helper()
		for _, part := range parts {
			if !strings.Contains(page, part) {
				t.Errorf("no %q in:\n%s", part, page)
			}
		}
	}
	if _, page := from("ana", away, http.MethodGet, "/class"); !strings.Contains(page, "No class yet") {
		t.Errorf("before it is begun:\n%s", page)
	}
	if status, _ := from("ana", away, http.MethodPost, "/class/begin", "lines", "T", "times", "2"); status != http.StatusOK {
		t.Errorf("begun from elsewhere: %d", status)
	}
	_, page := from("desk", computer, http.MethodPost, "/class/begin", "lines", "T, 10 BTDC", "times", "none")
	shows(page, "found none times")
	if status, _ := from("desk", computer, http.MethodPost, "/class/begin", "lines", "T, 10 BTDC", "times", "2"); status != http.StatusSeeOther {
		t.Fatalf("begin: %d", status)
	}
	_, page = from("ana", away, http.MethodPost, "/class/keep", "value", "0.5")
	shows(page, "say first who measures")
	from("ana", away, http.MethodPost, "/class/join", "name", "Ana")
	_, page = from("bo", away, http.MethodPost, "/class/join", "name", "ana")
	shows(page, "sits at another device")
	from("bo", away, http.MethodPost, "/class/join", "name", "Bo")
	_, page = from("ana", away, http.MethodGet, "/class")
	shows(page, "T, round 1 of 2", "Class: Ana")
	_, page = from("ana", away, http.MethodPost, "/class/keep", "value", "half a degree")
	shows(page, "found half a degree")
	for i, value := range []string{"0.35 late", "0.31 late", "9 late"} {
		if status, page := from("ana", away, http.MethodPost, "/class/keep", "value", value); status != http.StatusSeeOther {
			t.Fatalf("value %d: %d\n%s", i, status, page)
		}
	}
	from("ana", away, http.MethodPost, "/class/back")
	_, page = from("ana", away, http.MethodGet, "/class")
	shows(page, "10 BTDC, round 2 of 2", "0.35° late")
	if strings.Contains(page, "9.00") {
		t.Error("what was taken back is there")
	}
	for _, value := range []string{"0.33 late", "0.36 late"} {
		from("ana", away, http.MethodPost, "/class/keep", "value", value)
	}
	_, page = from("ana", away, http.MethodGet, "/class")
	shows(page, "All is measured", "Take the last one back")
	for _, value := range []string{"0.81 late", "0.84 late", "0.8 late", "0.77 late"} {
		from("bo", away, http.MethodPost, "/class/keep", "value", value)
	}
	_, page = from("ana", away, http.MethodGet, "/class")
	shows(page, "Your slip", "Ana", "0.35° late")
	if strings.Contains(page, "Bo") || strings.Contains(page, "0.81") {
		t.Errorf("Ana sees of Bo:\n%s", page)
	}
	if status, page := from("ana", away, http.MethodGet, "/class/all"); status != http.StatusForbidden || strings.Contains(page, "Bo") {
		t.Errorf("all of the class from elsewhere: %d\n%s", status, page)
	}
	_, page = from("desk", computer, http.MethodGet, "/class/all")
	shows(page, "Ana", "Bo", "RECORD", "class.csv, 9 rows, SHA-256", "5 % for all people together")
	_, page = from("desk", computer, http.MethodGet, "/class")
	shows(page, "<b>Bo</b>: 4 of 4")
	if status, _ := from("ana", away, http.MethodPost, "/class/keep", "value", "0.5"); status != http.StatusUnprocessableEntity {
		t.Errorf("one value too many: %d", status)
	}
}
