package webserver

import (
	"errors"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"markaudit/audit/guide"
	"markaudit/cmd/markaudit/internal/devices"
	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// millsFolder is a folder with jobs that are ready to be measured.
func millsFolder(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range names {
		testsheet.Write(t, filepath.Join(dir, name+".yaml"), testsheet.Unfinished)
	}
	return dir
}

// at sends a form to the engine of a job as one device.
func (s *shopPage) engineForm(t testing.TB, c *http.Client, job string, form url.Values) (int, string) {
	t.Helper()
	_, page := fetch(t, c, s.base, job+"engine/more")
	m := hidden.FindStringSubmatch(page)
	if m == nil {
		t.Fatalf("no form:\n%s", page)
	}
	form.Set("step", m[1])
	form.Set("t", m[2])
	answer, err := c.PostForm(s.base+job+"engine/do", form)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, bodyOf(t, answer)
}

// Several jobs and several devices at once, all on one server: every reading lands in
// the file of its job, once, and an answer that comes too late changes nothing.
func TestManyAtOnce(t *testing.T) {
	names := []string{"one", "two", "three"}
	dir := millsFolder(t, names...)
	s := openShop(t, ShopOptions{Folder: dir})
	clients := []*http.Client{s.client, s.device(t)}
	var wg sync.WaitGroup
	kept := make([]int, len(names)*len(clients))
	for n, name := range names {
		job := jobPath(folder.ID(name + ".yaml"))
		if status, body := s.engineForm(t, s.client, job, url.Values{"do": {"in"}}); status != http.StatusOK {
			t.Fatalf("%s: %d: %s", name, status, body)
		}
		for k, c := range clients {
			wg.Go(func() {
				for range 6 {
					text := "338"
					if _, page := fetch(t, c, s.base, job+"engine/"); strings.Contains(page, "Turn backward –") {
						text = "22"
					}
					status, body := s.engineForm(t, c, job, url.Values{"do": {"read"}, "text": {text}})
					switch status {
					case http.StatusOK:
						if strings.Contains(body, "KEPT ✓") {
							kept[n*len(clients)+k]++
						}
					case http.StatusConflict, http.StatusUnprocessableEntity: // the other device was first, and the number is none of this side
					default:
						t.Errorf("%s: status %d: %s", name, status, body)
					}
				}
			})
		}
	}
	wg.Wait()
	s.end()
	for n, name := range names {
		lines := strings.Split(strings.TrimSpace(testsheet.Contents(t, filepath.Join(dir, name+".csv"))), "\n")
		seen := map[string]bool{}
		for _, line := range lines[1:] {
			id := line[strings.LastIndexByte(line, ',')+1:]
			if id == "" || seen[id] {
				t.Errorf("%s: a step was answered twice:\n%s", name, strings.Join(lines, "\n"))
			}
			seen[id] = true
		}
		if told := kept[2*n] + kept[2*n+1]; len(seen) == 0 || len(seen) > told {
			t.Errorf("%s: %d readings in the file, %d were told to be kept", name, len(seen), told)
		}
	}
}

// A form of one job does nothing in another.
func TestFormOfAnotherJob(t *testing.T) {
	dir := millsFolder(t, "one", "two")
	s := openShop(t, ShopOptions{Folder: dir})
	one, two := jobPath(folder.ID("one.yaml")), jobPath(folder.ID("two.yaml"))
	for _, job := range []string{one, two} {
		_, _ = s.engineForm(t, s.client, job, url.Values{"do": {"in"}})
	}
	_, page := fetch(t, s.client, s.base, one+"engine/more")
	m := hidden.FindStringSubmatch(page)
	answer, err := s.client.PostForm(s.base+two+"engine/do", url.Values{"step": {m[1]}, "t": {m[2]}, "do": {"read"}, "text": {"338"}})
	if err != nil {
		t.Fatal(err)
	}
	if body := bodyOf(t, answer); answer.StatusCode != http.StatusConflict || !strings.Contains(body, "NOT taken") {
		t.Errorf("status %d:\n%s", answer.StatusCode, body)
	}
}

// What another hand changes while a job is open counts at once: sheet and readings
// are read anew, and nothing is written over.
func TestChangedByHand(t *testing.T) {
	dir := millsFolder(t, "one")
	s := openShop(t, ShopOptions{Folder: dir})
	job := jobPath(folder.ID("one.yaml"))
	_, _ = s.engineForm(t, s.client, job, url.Values{"do": {"in"}})
	_, _ = s.engineForm(t, s.client, job, url.Values{"do": {"read"}, "text": {"338"}})
	at := filepath.Join(dir, "one.yaml")
	testsheet.Write(t, at, strings.Replace(testsheet.Contents(t, at), "tolerance: 1.5", "tolerance: 2.5 # changed by hand", 1))
	if status, body := s.engineForm(t, s.client, job, url.Values{"do": {"answer"}, "text": {"no"}}); status != http.StatusOK {
		t.Fatalf("status %d: %s", status, body)
	}
	if text := testsheet.Contents(t, at); !strings.Contains(text, "changed by hand") {
		t.Errorf("the sheet became\n%s", text)
	}
	s.get(t, job)
	s.shows(t, "The stop is IN", "1 reading is kept")
	// By the questions too: who measures goes on from the new sheet.
	s.get(t, job+"ask/tolerance")
	s.send(t, strings.TrimSuffix(job, "/")+"/answer", "text", "2.0")
	if text := testsheet.Contents(t, at); !strings.Contains(text, "tolerance: 2.0") {
		t.Errorf("the sheet is\n%s\nand the page\n%s", text, s.page)
	}
	if status, body := s.engineForm(t, s.client, job, url.Values{"do": {"answer"}, "text": {"no"}}); status != http.StatusOK {
		t.Fatalf("status %d: %s", status, body)
	}
	if rows := strings.Count(testsheet.Contents(t, filepath.Join(dir, "one.csv")), "\n"); rows != 2 {
		t.Errorf("%d lines in the readings", rows)
	}
}

// A job that a terminal has open is told so, with where; one that nobody looks at is
// let go.
func TestLockedJobs(t *testing.T) {
	dir := millsFolder(t, "one", "two")
	env := world.System()
	env.Clock = testsheet.Noon
	r, err := recorder.Open(env, filepath.Join(dir, "one.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	s := openShop(t, ShopOptions{Folder: dir})
	one, two := jobPath(folder.ID("one.yaml")), jobPath(folder.ID("two.yaml"))
	if code := s.get(t, one+"engine/"); code != http.StatusConflict {
		t.Errorf("status %d", code)
	}
	s.shows(t, "another recorder has it open", "since 2026-03-14 12:00")
	if code := s.get(t, one); code != http.StatusOK { // looking is no trouble
		t.Errorf("status %d", code)
	}
	r.Close()
	if code := s.get(t, one+"engine/"); code != http.StatusOK {
		t.Errorf("once it is free: status %d", code)
	}
	s.clock.seconds.Add(int64((letGo + time.Minute).Seconds()))
	s.get(t, two+"engine/")
	if r, err = recorder.Open(env, filepath.Join(dir, "one.yaml")); err != nil {
		t.Errorf("after half an hour: %v", err)
	} else {
		r.Close()
	}
}

// Who reads is asked once: the device brings the name to its next job, and what is
// typed there counts over it.
func TestNameIsRemembered(t *testing.T) {
	dir := millsFolder(t, "one", "two")
	s := openShop(t, ShopOptions{Folder: dir})
	one, two := jobPath(folder.ID("one.yaml")), jobPath(folder.ID("two.yaml"))
	_, _ = s.engineForm(t, s.client, one, url.Values{"do": {"by"}, "text": {"Ruth <b>"}})
	other := s.device(t)
	if _, page := fetch(t, other, s.base, two+"engine/"); strings.Contains(page, "reads</span>") {
		t.Error("another device has the name too")
	}
	s.get(t, two+"engine/")
	s.shows(t, "Ruth &lt;b&gt; reads")
	_, _ = s.engineForm(t, s.client, two, url.Values{"do": {"in"}})
	_, _ = s.engineForm(t, s.client, two, url.Values{"do": {"read"}, "text": {"338"}})
	if rows := testsheet.Contents(t, filepath.Join(dir, "two.csv")); !strings.Contains(rows, "Ruth <b>") {
		t.Errorf("the readings are\n%s", rows)
	}
}

// A second start on the folder opens the page that runs, and only one on this
// computer; a lock file cannot send a browser elsewhere.
func TestSecondStart(t *testing.T) {
	dir := pumpFolder(t)
	s := openShop(t, ShopOptions{Folder: dir})
	var out strings.Builder
	var opened []string
	env := world.System()
	env.Clock = testsheet.Noon
	env.Browse = func(address string) error { opened = append(opened, address); return nil }
	second := func() error {
		return serveShop(t.Context(), env, &out, ShopOptions{Folder: dir, Open: true}, s.clock.now, endless)
	}
	if err := second(); err != nil {
		t.Fatal(err)
	}
	if len(opened) != 1 || opened[0] != s.base || !strings.Contains(strings.Join(strings.Fields(out.String()), " "), "is open already: since 2026-03-14 12:00 on ") {
		t.Errorf("opened %v and said %s", opened, out.String())
	}
	for _, evil := range []string{"since today on x, process 1, http://evil.example/", "http://127.0.0.1:80@evil.example", "http://127.0.0.1:8417/enter/x", ""} {
		testsheet.Write(t, filepath.Join(dir, ".markaudit.lock"), evil+"\n")
		opened = nil
		var held *recorder.FolderHeld
		if err := second(); !errors.As(err, &held) || len(opened) > 0 {
			t.Errorf("%q: got %v, and opened %v", evil, err, opened)
		}
	}
}

// The browser is opened with a code of its own, and without one that can be opened
// the address stands there.
func TestBrowserIsOpened(t *testing.T) {
	var opened []string
	for _, fails := range []error{nil, errors.New("no browser")} {
		env := world.System()
		env.Browse = func(address string) error { opened = append(opened, address); return fails }
		said := &shownCodes{first: make(chan struct{})}
		s, l, err := newShop(env, said, ShopOptions{Folder: pumpFolder(t), Open: true}, time.Now, endless)
		if err != nil {
			t.Fatal(err)
		}
		ended := make(chan error)
		go func() { ended <- s.run(t.Context(), said, l) }()
		<-said.first
		base := shownAddress.FindStringSubmatch(said.String())[1]
		status, page := fetch(t, http.DefaultClient, base, "/")
		if status != http.StatusForbidden {
			t.Errorf("status %d: %s", status, page)
		}
		s.end()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if got := strings.Contains(said.String(), "It opens in your browser"); got != (fails == nil) {
			t.Errorf("said\n%s", said.String())
		}
	}
	if len(opened) != 2 || !strings.Contains(opened[0], "/enter/") || !strings.HasPrefix(opened[0], "http://127.0.0.1:") {
		t.Errorf("opened %v", opened)
	}
}

// Without a folder the page asks for it, once, and makes nothing before the answer.
func TestFolderIsAsked(t *testing.T) {
	top := t.TempDir()
	place := filepath.Join(top, "Documents", "markaudit")
	store := devices.New()
	s := openShop(t, ShopOptions{Options: Options{Devices: store}, Places: []string{place}, Make: func(p string) error {
		if !filepath.IsAbs(p) {
			return errors.New("found a name, expected a folder typed in full")
		}
		return os.MkdirAll(p, 0o777)
	}})
	for _, path := range []string{"/", "/new", "/job/aaaaaaaaaa/"} {
		s.get(t, path)
		s.shows(t, "Where shall the jobs be kept?", place)
	}
	for _, bad := range []string{"", "jobs", "../jobs"} {
		if code := s.send(t, "/folder", "typed", bad); code != http.StatusUnprocessableEntity {
			t.Errorf("%q: status %d", bad, code)
		}
	}
	if entries, _ := os.ReadDir(top); len(entries) > 0 {
		t.Errorf("before the answer lie there %v", entries)
	}
	if code := s.send(t, "/folder", "place", place); code != http.StatusOK || s.at != "/" {
		t.Errorf("status %d at %s", code, s.at)
	}
	s.shows(t, "No job lies in this folder yet")
	if store.Folder() != s.shop.folder.Path() {
		t.Errorf("remembered %s", store.Folder())
	}
	s.get(t, "/new")
	s.send(t, "/new", "name", "First")
	if _, err := os.Stat(filepath.Join(place, "first.yaml")); err != nil {
		t.Error(err)
	}
}

// The page ends by a button, after a second tap, and says which stop is still in.
func TestEnd(t *testing.T) {
	dir := millsFolder(t, "one")
	s := openShop(t, ShopOptions{Folder: dir})
	_, _ = s.engineForm(t, s.client, jobPath(folder.ID("one.yaml")), url.Values{"do": {"in"}})
	s.get(t, "/end")
	s.shows(t, "End the program?", "the stop is IN")
	if code := s.send(t, "/end"); code != http.StatusOK {
		t.Errorf("status %d", code)
	}
	s.shows(t, "Every reading is kept")
	if err := <-s.ended; err != nil {
		t.Error(err)
	}
	if said := s.said.String(); !strings.Contains(said, "LOOK: one: the stop is IN.") {
		t.Errorf("said\n%s", said)
	}
	r, err := recorder.Open(world.System(), filepath.Join(dir, "one.yaml"))
	if err != nil {
		t.Fatalf("the job is still held: %v", err)
	}
	defer r.Close()
	if told := r.State().View().Told; !strings.HasPrefix(told, guide.In.String()) {
		t.Errorf("the next sitting knows %q", told)
	}
}

// An inline sheet is shown, and its readings move into a file when somebody wants to
// answer for it.
func TestInlineSheet(t *testing.T) {
	dir := t.TempDir()
	inline := strings.Replace(pump, "readings: pump.csv\n", `setups:
  - by: Ruth
    stop: {forward: [342, 342, 342], backward: [31, 30.5, 31]}
    marks: {TDC: [6.5, 6.5, 6], inject 23: [341.5, 341, 341]}
    closing: {forward: 342, backward: 31}
`, 1)
	testsheet.Write(t, filepath.Join(dir, "pump.yaml"), inline)
	s := openShop(t, ShopOptions{Folder: dir})
	job := jobPath(folder.ID("pump.yaml"))
	s.get(t, job)
	s.shows(t, "1 of 2 lines is off by too much", "Move the readings")
	s.hides(t, append(tellsSide, "Which way does the finger go?")...)
	if text := testsheet.Contents(t, filepath.Join(dir, "pump.yaml")); text != inline {
		t.Errorf("looking changed the sheet:\n%s", text)
	}
	if code := s.send(t, job+"export"); code != http.StatusOK {
		t.Fatalf("status %d: %s", code, s.page)
	}
	s.shows(t, "Which way does the finger go?")
	s.send(t, job+"eye", "way", "clockwise", "rim", "yes")
	s.shows(t, "TOWARDS line “TDC”")
}
