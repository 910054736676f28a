package webserver

import (
	"context"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// shopPage is the page of a shop as the command serves it, with one device that is
// in.
type shopPage struct {
	testPage
	shop *shop
	at   string // the page that is shown
	page string
}

func openShop(t *testing.T, o ShopOptions) *shopPage {
	t.Helper()
	env := world.System()
	var ticks atomic.Int64
	env.Clock = func() time.Time { // the order of readings counts
		return testsheet.Noon().Add(time.Duration(ticks.Add(1)) * time.Second)
	}
	s := &shopPage{testPage: testPage{said: &shownCodes{first: make(chan struct{})}, ended: make(chan error, 1)}}
	o.Software, o.Paper = "markaudit", 0.1
	one, l, err := newShop(env, s.said, o, s.clock.now, endless)
	if err != nil {
		t.Fatal(err)
	}
	s.shop = one
	var ctx context.Context
	ctx, s.cancel = context.WithCancel(context.Background())
	gone := make(chan struct{})
	go func() {
		defer close(gone)
		s.ended <- one.run(ctx, s.said, l)
	}()
	t.Cleanup(func() { s.cancel(); <-gone })
	<-s.said.first
	s.base = shownAddress.FindStringSubmatch(s.said.String())[1]
	s.client = s.device(t)
	return s
}

// get shows a page.
func (s *shopPage) get(t *testing.T, path string) int {
	t.Helper()
	r, err := http.NewRequest(http.MethodGet, s.base+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", "text/html")
	return s.do(t, r)
}

func (s *shopPage) do(t *testing.T, r *http.Request) int {
	t.Helper()
	answer, err := s.client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	s.page = bodyOf(t, answer)
	s.at = answer.Request.URL.Path
	return answer.StatusCode
}

var aForm = regexp.MustCompile(`(?s)<form([^>]*)>(.*?)</form>`)

// send sends the form of the page that is shown whose action is that one, with what
// is pressed and typed: names and values in turn.
func (s *shopPage) send(t *testing.T, action string, pairs ...string) int {
	t.Helper()
	form := url.Values{}
	found := false
	for _, f := range aForm.FindAllStringSubmatch(s.page, -1) {
		if !strings.Contains(f[1], `action="`+action+`"`) || found {
			continue
		}
		found = true
		for _, h := range hiddenField.FindAllStringSubmatch(f[2], -1) {
			form.Set(h[1], h[2])
		}
	}
	if !found {
		t.Fatalf("%s has no form to %s:\n%s", s.at, action, s.page)
	}
	for n := 0; n < len(pairs); n += 2 {
		form.Set(pairs[n], pairs[n+1])
	}
	return s.postTo(t, action, form)
}

func (s *shopPage) postTo(t *testing.T, action string, form url.Values) int {
	t.Helper()
	r, err := http.NewRequest(http.MethodPost, s.base+action, strings.NewReader(form.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.do(t, r)
}

func (s *shopPage) shows(t *testing.T, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if !strings.Contains(s.page, part) {
			t.Errorf("%s does not show %q:\n%s", s.at, part, s.page)
		}
	}
}

func (s *shopPage) hides(t *testing.T, parts ...string) {
	t.Helper()
	for _, part := range parts {
		if strings.Contains(s.page, part) {
			t.Errorf("%s shows %q:\n%s", s.at, part, s.page)
		}
	}
}

// pump is a job that orders a new line: inject 23, towards TDC. Its numbers are made
// up.
const pump = `title: Brickworks pump
engine:
  turns: anticlockwise
part:
  name: flywheel
  marks_on: part
  btdc_lines: anticlockwise
  seen_from: flywheel end
  diameter: 520 ± 1 mm
readout:
  step: 0.5
  counts: up
  quarter_turn: [31, 120.5]
limits:
  tolerance: 1.0
marks:
  - name: TDC
    at: 0
  - name: inject 23
    at: 23 BTDC
readings: pump.csv
`

const pumpRows = `setup,by,trial,item,approach,reading,time,note,struck
1,Ruth,1,stop,forward,342,2026-03-14T09:00:00Z,,
1,Ruth,1,stop,backward,31,2026-03-14T09:01:00Z,,
1,Ruth,2,stop,forward,342,2026-03-14T09:02:00Z,,
1,Ruth,2,stop,backward,30.5,2026-03-14T09:03:00Z,,
1,Ruth,3,stop,forward,342,2026-03-14T09:04:00Z,,
1,Ruth,3,stop,backward,31,2026-03-14T09:05:00Z,,
1,Ruth,,TDC,forward,6.5,2026-03-14T09:06:00Z,,
1,Ruth,,inject 23,forward,341.5,2026-03-14T09:07:00Z,,
1,Ruth,,TDC,forward,6.5,2026-03-14T09:08:00Z,,
1,Ruth,,inject 23,forward,341,2026-03-14T09:09:00Z,,
1,Ruth,,TDC,forward,6,2026-03-14T09:10:00Z,,
1,Ruth,,inject 23,forward,341,2026-03-14T09:11:00Z,,
1,Ruth,1,closing,forward,342,2026-03-14T09:12:00Z,,
1,Ruth,1,closing,backward,31,2026-03-14T09:13:00Z,,
`

func pumpFolder(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	testsheet.Write(t, filepath.Join(folder, "pump.yaml"), pump)
	testsheet.Write(t, filepath.Join(folder, "pump.csv"), pumpRows)
	return folder
}

// What says to which side or how far a new line lies, on any page.
var tellsSide = []string{"TOWARDS", "CLOCKWISE", "10.0", "9.9", "class=\"newline\""}

// Side and millimetres of a new line stay hidden until the metal was looked at, on
// every page; a no ends the job with what to do; then scribing and the proof.
func TestEyeCheckFirst(t *testing.T) {
	s := openShop(t, ShopOptions{Folder: pumpFolder(t)})
	job := jobPath(folder.ID("pump.yaml"))
	hidden := func() {
		t.Helper()
		for _, path := range []string{"/", job, job + "report", job + "strip", job + "record", job + "compare", job + "engine/", job + "engine/report", job + "engine/strip", job + "engine/more", job + "engine/readings"} {
			if s.get(t, path) != http.StatusOK {
				t.Errorf("%s: %s", path, s.page)
			}
			s.hides(t, tellsSide...)
		}
	}
	hidden()
	s.get(t, "/")
	s.shows(t, "1 of 2 lines is off by too much", "Look at the metal")
	s.get(t, job)
	s.shows(t, `aria-current="step">Look at the metal`, "Which way does the finger go?", "Lay a tape once round the rim")

	// Half an answer is none.
	if code := s.send(t, job+"eye", "way", "", "rim", "yes"); code != http.StatusUnprocessableEntity {
		t.Errorf("no way: status %d", code)
	}
	if code := s.send(t, job+"eye", "way", "clockwise"); code != http.StatusUnprocessableEntity {
		t.Errorf("no tape: status %d", code)
	}
	hiddenIn := hiddenField.FindAllStringSubmatch(s.page, -1)
	form := url.Values{"answer": {"yes"}}
	for _, h := range hiddenIn {
		form.Set(h[1], h[2])
	}
	if code := s.postTo(t, job+"scribed", form); code != http.StatusUnprocessableEntity {
		t.Errorf("scribed before the metal was looked at: status %d", code)
	}
	hidden()

	// Not as the sheet says: the job ends, with what to do.
	s.get(t, job)
	if code := s.send(t, job+"eye", "way", "anticlockwise", "rim", "yes", "who", "Ruth"); code != http.StatusOK {
		t.Fatalf("status %d: %s", code, s.page)
	}
	s.shows(t, "STOP. The sheet is not as the metal.", "Scribe nothing", "Put the sheet right", "Ruth, 2026-03-14 12:00")
	hidden()
	s.get(t, job)
	s.send(t, job+"eye", "again", "1")
	s.shows(t, "Which way does the finger go?")
	s.send(t, job+"eye", "way", "clockwise", "rim", "no")
	s.shows(t, "STOP. The sheet is not as the metal.")
	hidden()
	s.get(t, job)
	s.send(t, job+"eye", "again", "1")

	// As the sheet says.
	s.send(t, job+"eye", "way", "clockwise", "rim", "yes", "who", "Ruth")
	s.shows(t, "The metal is as the sheet says, Ruth", "TOWARDS line “TDC”", "that is CLOCKWISE of the old one", `class="newline"`, "after scribing", `value="Ruth"`)
	// One mounting says nothing of remounting, and what its ± leaves out is listed.
	s.shows(t, "As fitted", "<h3>Doubts</h3>", "was not taken off and refitted often enough")
	s.hides(t, "Remounting is included")
	for _, what := range []string{"report", "record"} {
		s.get(t, job+what)
		s.shows(t, "TOWARDS line “TDC”", "as the sheet says, Ruth, 2026-03-14 12:00")
	}
	if s.get(t, job+"strip"); !strings.HasPrefix(s.page, "%PDF") || !strings.Contains(s.page, "/PrintScaling /None") {
		t.Errorf("the strip is %.40q, expected a PDF that no printer scales", s.page)
	}

	// A distance is wrong: the job ends.
	s.get(t, job)
	s.send(t, job+"scribed", "answer", "no", "who", "Ruth")
	s.shows(t, "STOP. The sheet is not as the metal.", "a distance was wrong")
	s.hides(t, "TOWARDS")
	s.send(t, job+"scribed", "answer", "again")

	// Scribed: the proof is a job of its own, with the same lines.
	s.send(t, job+"scribed", "answer", "yes", "who", "Ruth")
	s.shows(t, "Scribed: prove it", "Begin the proof")
	s.hides(t, ">Paper strip<") // laid to the new line it would have another one scribed
	s.get(t, job+"strip")
	s.shows(t, "its strip has done its work")
	s.get(t, job)
	if code := s.send(t, job+"proof"); code != http.StatusOK || !strings.Contains(s.at, folder.ID("brickworks-pump.yaml")+"/ask") {
		t.Fatalf("status %d at %s", code, s.at)
	}
	text := testsheet.Contents(t, filepath.Join(s.shop.folder.Path(), "brickworks-pump.yaml"))
	if !strings.Contains(text, "inject 23") || strings.Contains(text, "31, 120.5") || strings.Contains(text, "turns: anticlockwise") {
		t.Errorf("the sheet of the proof is\n%s", text)
	}
	s.get(t, job)
	s.shows(t, "Go to the proof")
	s.get(t, jobPath(folder.ID("brickworks-pump.yaml")))
	s.shows(t, "This job reads the new lines of", "Answers are still open")

	// After a restart all that was said is known.
	s.end()
	again := openShop(t, ShopOptions{Folder: s.shop.folder.Path()})
	again.get(t, job)
	again.shows(t, "Scribed: prove it", "Go to the proof", "Ruth, 2026-03-14 12:00")
}

// An answer about the metal that was given for other readings, or sent from another
// page, does not count.
func TestEyeCheckOfAnotherState(t *testing.T) {
	dir := pumpFolder(t)
	s := openShop(t, ShopOptions{Folder: dir})
	job := jobPath(folder.ID("pump.yaml"))
	s.get(t, job)
	shown := s.page
	testsheet.Write(t, filepath.Join(dir, "pump.csv"), strings.Replace(pumpRows, "inject 23,forward,341,", "inject 23,forward,340.5,", 1))
	if code := s.send(t, job+"eye", "way", "clockwise", "rim", "yes"); code != http.StatusConflict || !strings.Contains(s.page, "changed meanwhile") {
		t.Errorf("status %d:\n%s", code, s.page)
	}
	s.hides(t, tellsSide...)
	s.page = strings.ReplaceAll(shown, `name="t" value="`, `name="t" value="0`)
	if code := s.send(t, job+"eye", "way", "clockwise", "rim", "yes"); code != http.StatusForbidden {
		t.Errorf("a wrong token: status %d", code)
	}
	// The sheet turned round by hand after a yes: the question is asked again.
	s.get(t, job)
	s.send(t, job+"eye", "way", "clockwise", "rim", "yes")
	s.shows(t, "TOWARDS")
	turned := strings.NewReplacer("turns: anticlockwise", "turns: clockwise", "btdc_lines: anticlockwise", "btdc_lines: clockwise").Replace(pump)
	testsheet.Write(t, filepath.Join(dir, "pump.yaml"), turned)
	s.get(t, job)
	s.shows(t, "Which way does the finger go?")
	s.hides(t, tellsSide...)
}

// Nobody gets in who was not let in, no path leads to a file, and nothing that is sent
// from outside changes anything.
func TestShopAttacks(t *testing.T) {
	dir := pumpFolder(t)
	evil := "<img src=x onerror=alert(1)>.yaml"
	testsheet.Write(t, filepath.Join(dir, "nasty.yaml"), "title: \"<img src=x onerror=alert(1)>\"\n"+testsheet.Unfinished)
	if err := os.WriteFile(filepath.Join(dir, evil), []byte("x: 1\n"), 0o666); err != nil {
		testsheet.Write(t, filepath.Join(dir, "other.yaml"), "x: 1\n") // a system that takes no such name
	}
	s := openShop(t, ShopOptions{Folder: dir})
	id := folder.ID("pump.yaml")
	job := jobPath(id)
	s.get(t, job)
	token := hiddenField.FindStringSubmatch(s.page)[2]
	before := contentsOf(t, dir)
	u, _ := url.Parse(s.base)
	cookie := s.client.Jar.Cookies(u)[0]
	good := "t=" + token + "&name=x&answer=yes&way=clockwise&rim=yes&place=/tmp"
	stranger := func(r *http.Request) { r.Header.Del("Cookie") }
	for _, tt := range []struct {
		name, method, path, body string
		change                   func(r *http.Request)
		want                     int
	}{
		{"the list without a cookie", "GET", "/", "", stranger, 403},
		{"a job without a cookie", "GET", job, "", stranger, 403},
		{"a sheet without a cookie", "GET", job + "sheet", "", stranger, 403},
		{"a new job without a cookie", "POST", "/new", good, stranger, 403},
		{"the end without a cookie", "POST", "/end", good, stranger, 403},
		{"wrong host", "GET", job, "", func(r *http.Request) { r.Host = "evil.example" }, 421},
		{"another site", "POST", "/new", good, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"another origin", "POST", job + "eye", good, func(r *http.Request) { r.Header.Set("Origin", "http://evil.example") }, 403},
		{"no token", "POST", "/new", "name=x", nil, 403},
		{"no token to the questions", "POST", job + "answer", "key=title&text=x", nil, 403},
		{"no token to what was found", "POST", job + "after/who-1", "name=x", nil, 403},
		{"no token at the engine", "POST", job + "engine/do", "do=in", nil, 403},
		{"no token to the end", "POST", "/end", "", nil, 403},
		{"no token to the network", "POST", "/devices", "", nil, 403},
		{"no token to export", "POST", job + "export", "", nil, 403},
		{"a change by address", "GET", job + "eye?" + good, "", nil, 404},
		{"a folder when there is one", "POST", "/folder", good, nil, 404},
		{"no such change", "POST", job + "rename", good, nil, 404},
		{"an eye check about nothing", "POST", job + "eye", good, nil, 409},
		{"a file by its name", "GET", "/job/pump.yaml/", "", nil, 404},
		{"a file of the folder", "GET", "/pump.csv", "", nil, 404},
		{"traversal", "GET", "/job/../../../etc/passwd", "", nil, 404},
		{"traversal, escaped", "GET", "/job/%2e%2e%2fpump.yaml/", "", nil, 404},
		{"traversal in a job", "GET", job + "../../pump.csv", "", nil, 404},
		{"traversal in a job, escaped", "GET", job + "%2e%2e/pump.csv", "", nil, 404},
		{"the engine's readings by name", "GET", job + "engine/pump.csv", "", nil, 404},
		{"a name with a zero", "GET", "/job/%00/", "", nil, 404},
		{"a very long ID", "GET", "/job/" + strings.Repeat("a", 10000) + "/", "", nil, 404},
		{"an ID in capitals", "GET", "/job/" + strings.ToUpper(id) + "X/", "", nil, 404},
		{"oversize", "POST", "/new", good + strings.Repeat("a", 1<<20), nil, 413},
		{"a copy of no job", "POST", "/new", "t=" + token + "&name=x&like=../pump.yaml", nil, 422},
		{"a name that cannot be seen", "POST", "/new", "t=" + token + "&name=%00%1b", nil, 422},
		{"no name", "POST", "/new", "t=" + token + "&name=+", nil, 422},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := http.NewRequest(tt.method, s.base+tt.path, strings.NewReader(tt.body))
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.AddCookie(cookie)
			if tt.change != nil {
				tt.change(r)
			}
			answer, err := (&http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}).Do(r)
			if err != nil {
				t.Fatal(err)
			}
			body := bodyOf(t, answer)
			if answer.StatusCode != tt.want {
				t.Errorf("got status %d, want %d: %s", answer.StatusCode, tt.want, body)
			}
			if answer.StatusCode == 403 && (strings.Contains(body, "Brickworks") || strings.Contains(body, "inject")) {
				t.Error("a stranger sees a job")
			}
		})
	}
	for _, path := range []string{"/", "/new", jobPath(folder.ID("nasty.yaml")), job + "compare?with=<img", job + "ask/check?said=<img", job + "ask/<img"} {
		s.get(t, path)
		s.hides(t, "<img")
	}
	after := contentsOf(t, dir)
	delete(after, ".markaudit.lock")
	delete(before, ".markaudit.lock")
	for name, text := range before {
		if after[name] != text {
			t.Errorf("%s became\n%s", name, after[name])
		}
	}
	// Names of new jobs become names of files that stay in the folder.
	for _, name := range []string{"../../evil", "/etc/passwd", `..\..\evil`, "<script>", "pump", "con", "a/b"} {
		s.get(t, "/new")
		if code := s.send(t, "/new", "name", name); code != http.StatusOK {
			t.Errorf("%s: status %d", name, code)
		}
		s.hides(t, "<script>")
	}
	if testsheet.Contents(t, filepath.Join(dir, "pump.yaml")) != pump {
		t.Error("the sheet of another job was written over")
	}
	if entries, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(entries) != 1 {
		t.Errorf("beside the folder lie %v", entries)
	}
}

func contentsOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		out[e.Name()] = testsheet.Contents(t, filepath.Join(dir, e.Name()))
	}
	return out
}
