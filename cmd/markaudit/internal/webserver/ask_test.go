package webserver

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"markaudit/audit/questions"
)

// askedJob is a job whose questions stand on a page, with its sheet in memory.
type askedJob struct {
	t     *testing.T
	sheet []byte
	at    string // the page shown
	page  string
	save  error
}

func newAskedJob(t *testing.T) *askedJob {
	return &askedJob{t: t, sheet: questions.Begin().Sheet()}
}

func (j *askedJob) serve(w http.ResponseWriter, r *http.Request) {
	a := asking{
		Base: "/job/1", Done: "/job/1/", Home: "/", Token: "token",
		Load: func() (questions.Interview, error) { return questions.Read("a.yaml", j.sheet, nil) },
		Save: func(before, after []byte) error {
			switch {
			case j.save != nil:
				return j.save
			case !bytes.Equal(before, j.sheet):
				return errSheetChanged
			}
			j.sheet = after
			return nil
		},
	}
	if r.Method == http.MethodPost {
		if err := r.ParseForm(); err != nil {
			j.t.Fatal(err)
		}
	}
	if r.URL.Path == "/style.css" {
		http.ServeFileFS(w, r, web, "web/style.css")
		return
	}
	rest, ok := strings.CutPrefix(r.URL.Path, "/job/1")
	if !ok || !a.serve(w, r, rest) {
		http.NotFound(w, r)
	}
}

// get shows a page, and follows where it leads.
func (j *askedJob) get(path string) int {
	j.t.Helper()
	return j.do(httptest.NewRequest(http.MethodGet, path, nil))
}

func (j *askedJob) do(r *http.Request) int {
	j.t.Helper()
	w := httptest.NewRecorder()
	j.serve(w, r)
	if w.Code == http.StatusSeeOther {
		return j.get(w.Header().Get("Location"))
	}
	j.at, j.page = r.URL.Path, w.Body.String()
	return w.Code
}

var hiddenField = regexp.MustCompile(`<input type="hidden" name="([a-z]+)" value="([^"]*)">`)

// post sends the form of the page shown with what is pressed and typed.
func (j *askedJob) post(pairs ...string) int {
	j.t.Helper()
	form := url.Values{}
	for _, f := range hiddenField.FindAllStringSubmatch(j.page, -1) {
		form.Set(f[1], f[2])
	}
	for n := 0; n < len(pairs); n += 2 {
		form.Set(pairs[n], pairs[n+1])
	}
	r := httptest.NewRequest(http.MethodPost, "/job/1/answer", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return j.do(r)
}

func (j *askedJob) shows(parts ...string) {
	j.t.Helper()
	for _, part := range parts {
		if !strings.Contains(j.page, part) {
			j.t.Errorf("%s does not show %q:\n%s", j.at, part, j.page)
		}
	}
}

// One job from nothing to a sheet that can be recorded, without a script: every
// answer leads to the next question, and is said back there.
func TestAskPages(t *testing.T) {
	j := newAskedJob(t)
	j.get("/job/1/ask")
	for _, step := range []struct {
		at    string
		form  []string
		shows string
	}{
		{"title", []string{"text", "Brickworks pump"}, "The job is called Brickworks pump."},
		{"carries", []string{"choice", "flywheel"}, "The lines are on the flywheel"},
		{"seen-from", []string{"choice", "flywheel end"}, "You look at the lines from the flywheel end."},
		{"turns", []string{"choice", "anticlockwise"}, "It runs anticlockwise, seen from the flywheel end"},
		{"readout", []string{"choice", "wheel"}, "It is read from a degree wheel."},
		{"btdc-lines", []string{"choice", "anticlockwise"}, "The BTDC lines lie anticlockwise"},
		{"step", []string{"text", "0.5"}, "0.5°"},
		{"numbered", []string{"choice", "round"}, "numbered all round"},
		{"quarter-turn", []string{"text", "31", "text2", "120,5"}, "from 31 to 120.5: it counts up"},
		{"lines", []string{"name", "TDC", "side", "TDC"}, "Line 1 is TDC, at TDC."},
		{"lines", []string{"name", "inject 23", "text", "23", "side", "BTDC", "unit", ""}, "Line 2 is inject 23, 23 BTDC."},
		{"lines", []string{"text", "1.8", "unit", "mm piston", "side", "BTDC"}, "Line 3 is 1.8 mm piston BTDC."},
		{"lines", []string{"choice", "all"}, "These are all the lines: 3 lines."},
		{"tolerance", []string{"text", "1.0"}, "1.0° each way"},
		{"rim", []string{"way", "across", "text", "520", "limit", "1", "unit", "mm"}, "520 ± 1 mm across = 1634 mm round = 4.54 mm a degree."},
		{"ring", []string{"choice", "no"}, "No ring sits on rubber."},
		{"cylinders", []string{"choice", "one"}, "All lines count from one TDC."},
		{"window", []string{"choice", "no"}, "not seen through a window"},
		{"backward", []string{"choice", "yes"}, "may be turned backward"},
		{"stop", []string{"choice", "yes"}, "You say the valves clear the stop at overlap too."},
		{"stroke", []string{"text", "120", "unit", "mm"}, "The stroke is 120 mm."},
		{"rod", []string{"text", "9 1/16", "unit", "in"}, "The rod is 9 1/16 in"},
	} {
		if want := "/job/1/ask/" + step.at; j.at != want {
			t.Fatalf("at %s, want %s", j.at, want)
		}
		if code := j.post(step.form...); code != http.StatusOK {
			t.Fatalf("%s: got %d:\n%s", step.at, code, j.page)
		}
		j.shows(step.shows)
	}
	if j.at != "/job/1/ask/check" {
		t.Errorf("ends at %s", j.at)
	}
	j.shows("Is all of it right?", `href="/job/1/"`, "The middle of each line is read.")
	if i, err := questions.Read("a.yaml", j.sheet, nil); err != nil || !i.Ready() {
		t.Errorf("%v, not ready:\n%s", err, j.sheet)
	}
}

func TestAskPagesRefuse(t *testing.T) {
	j := newAskedJob(t)
	begun := string(j.sheet)
	j.get("/job/1/ask/title")
	if code := j.post("text", ""); code != http.StatusUnprocessableEntity {
		t.Errorf("nothing: got %d", code)
	}
	j.shows("Not taken: found nothing", "leave it open")
	j.get("/job/1/ask/turns")
	if code := j.post("choice", "sideways"); code != http.StatusUnprocessableEntity || string(j.sheet) != begun {
		t.Errorf("got %d:\n%s", code, j.sheet)
	}
	// What was typed stands in its field again, and can do no harm there.
	j.get("/job/1/ask/rim")
	j.post("way", "round", "text", `"><script>`, "unit", "mm")
	j.shows("Not taken", `value="round" checked`, `value="mm" checked`, `value="&#34;&gt;&lt;script&gt;"`)
	// The page says which button was not pressed, in words of the page.
	for _, test := range []struct {
		key  string
		form []string
		want string
	}{
		{"lines", []string{"name", "INJ", "text", "18", "unit", "", "side", ""}, "Choose before or after TDC."},
		{"rim", []string{"text", "20 1/2", "unit", "in"}, "Choose how it was measured."},
		{"rim", []string{"way", "across", "text", "20 1/2", "unit", "mm"}, "Fractions are for inches: choose inch."},
	} {
		j.get("/job/1/ask/" + test.key)
		if code := j.post(test.form...); code != http.StatusUnprocessableEntity || string(j.sheet) != begun {
			t.Errorf("%s: got %d:\n%s", test.form, code, j.sheet)
		}
		j.shows(test.want)
		if strings.Contains(j.page, "expected") {
			t.Errorf("%s: the page speaks of the file:\n%s", test.form, j.page)
		}
	}
	// A step as coarse as a turn by hand is asked back, and kept after a yes.
	j.get("/job/1/ask/step")
	if j.post("text", "50"); string(j.sheet) != begun {
		t.Errorf("a step of 50 was taken:\n%s", j.sheet)
	}
	j.shows("A step of 50° is coarse", "Is it so?", "No, answer it again")
	if j.post("choice", "50", "sure", "yes"); !strings.Contains(string(j.sheet), "step: 50") {
		t.Errorf("a step of 50 was not kept after a yes:\n%s", j.sheet)
	}
	j.sheet = []byte(begun)
	// A second tap keeps nothing and says so; what is typed is not lost by "That is all".
	j.get("/job/1/ask/lines")
	line := []string{"name", "INJ", "text", "18", "unit", "", "side", "BTDC"}
	tapped := j.page
	j.post(line...)
	once := string(j.sheet)
	j.page = tapped
	if code := j.post(line...); code != http.StatusOK || string(j.sheet) != once {
		t.Errorf("a second tap: got %d:\n%s", code, j.sheet)
	}
	j.shows("Already kept. Line 1 is INJ, 18 BTDC.")
	if code := j.post("name", "TDC", "choice", "all"); code != http.StatusUnprocessableEntity || string(j.sheet) != once {
		t.Errorf("a line typed and not kept: got %d:\n%s", code, j.sheet)
	}
	j.shows("typed and not kept yet", `value="TDC"`)
	j.sheet = []byte(begun)
	// Another hand was faster.
	j.get("/job/1/ask/turns")
	j.sheet = bytes.Replace(j.sheet, []byte("format: 1"), []byte("format: 1\ntitle: By hand"), 1)
	if code := j.post("choice", "clockwise"); code != http.StatusConflict || strings.Contains(string(j.sheet), "turns: clockwise") {
		t.Errorf("a sheet that changed: got %d:\n%s", code, j.sheet)
	}
	j.shows("changed meanwhile", "clockwise was not written")
	// The same form once more does nothing, and is no trouble.
	j.get("/job/1/ask/turns")
	first := j.page
	j.post("choice", "clockwise")
	j.page = first
	if code := j.post("choice", "clockwise"); code != http.StatusOK {
		t.Errorf("sent again: got %d", code)
	}
	// A disk that is full.
	j.get("/job/1/ask/step")
	j.save = errors.New("no space left")
	if code := j.post("text", "0.5"); code != http.StatusInternalServerError {
		t.Errorf("got %d", code)
	}
	j.shows("NOT kept: no space left")
	j.save = nil
	// Three that contradict each other are all asked again.
	j.get("/job/1/ask/carries")
	j.post("choice", "scale")
	j.get("/job/1/ask/btdc-lines")
	j.post("choice", "clockwise")
	j.shows("do not agree")
	if strings.Contains(string(j.sheet), "turns: clockwise") {
		t.Errorf("kept:\n%s", j.sheet)
	}
	for _, path := range []string{"/job/1/ask/nonsense", "/job/1/ask/line-7"} {
		if code := j.get(path); code != http.StatusOK || !strings.HasPrefix(j.at, "/job/1/ask/") || j.at == path {
			t.Errorf("%s: got %d at %s", path, code, j.at)
		}
	}
	for _, path := range []string{"/job/1/asking", "/job/1/answer", "/job/1/"} {
		if code := j.get(path); code != http.StatusNotFound {
			t.Errorf("%s: got %d, want 404: it belongs to the job", path, code)
		}
	}
}

// Left open, a question is passed and stays open; what it keeps shut is said.
func TestAskPagesLeaveOpen(t *testing.T) {
	j := newAskedJob(t)
	begun := string(j.sheet)
	j.get("/job/1/ask")
	for n := 0; !strings.HasSuffix(j.at, "check"); n++ {
		link := regexp.MustCompile(`href="(/job/1/ask\?after=[a-z0-9-]+)"`).FindStringSubmatch(j.page)
		if link == nil || n > 40 {
			t.Fatalf("no way on at %s", j.at)
		}
		j.get(link[1])
	}
	j.shows("Something is open still", "While it is open nothing is recorded.", "Which way does the engine run")
	if string(j.sheet) != begun || strings.Contains(j.page, "begin to measure") {
		t.Errorf("leaving open wrote or let through:\n%s", j.sheet)
	}
}

// A change that turns readings round wants a second word.
func TestAskPagesAfterReadings(t *testing.T) {
	j := newAskedJob(t)
	j.sheet = []byte("engine:\n  turns: clockwise\npart:\n  marks_on: part\nreadout:\n  step: 0.5\n  counts: up\nlimits:\n  tolerance: 1\nmarks:\n  - name: T\n    at: 0\nsetups:\n  - stop: {forward: [338], backward: [22]}\n    marks: {T: [0]}\n")
	before := string(j.sheet)
	j.get("/job/1/ask/turns?from=check")
	j.post("choice", "anticlockwise")
	j.shows("Readings were taken already", "taken the other way round")
	if string(j.sheet) != before {
		t.Fatalf("changed by one tap:\n%s", j.sheet)
	}
	j.post("sure", "yes", "choice", "anticlockwise")
	if want := strings.Replace(before, "clockwise", "anticlockwise", 1); string(j.sheet) != want || j.at != "/job/1/ask/check" {
		t.Errorf("at %s:\n%s", j.at, j.sheet)
	}
	j.get("/job/1/ask/more")
	j.shows("How many teeth has the ring gear?")
	j.get("/job/1/ask/teeth")
	j.post("text", "120")
	j.shows("The ring gear has 120 teeth.")
	j.get("/job/1/ask/teeth")
	j.post("choice", "remove")
	if strings.Contains(string(j.sheet), "teeth") {
		t.Errorf("not taken off:\n%s", j.sheet)
	}
}

// fits tells what is wrong with a page in a window of any size: too wide, a control
// that is too small for a thumb, a field without a label, no headline.
const fits = `(() => {
  const bad = [];
  if (document.documentElement.scrollWidth > innerWidth) bad.push("wider than the window");
  if (document.querySelectorAll("h1").length !== 1) bad.push("not one headline");
  for (const c of document.querySelectorAll("button, a:not(.jump), input:not([type=hidden]):not([type=radio]), label:has(input), summary")) {
    const r = c.getBoundingClientRect();
    if (r.width > 0 && (r.height < 44 || r.right > innerWidth + 1)) bad.push(c.textContent.trim().slice(0, 30) + " is " + Math.round(r.width) + " by " + Math.round(r.height));
  }
  for (const c of document.querySelectorAll("input:not([type=hidden])")) if (!c.labels.length) bad.push(c.name + " has no label");
  for (const c of document.querySelectorAll("svg")) if (!c.ariaHidden && !c.ariaLabel) bad.push("a picture that is read out");
  return bad.join("; ");
})()`

// key presses a key that types nothing.
func (b *browser) key(name string, code int) {
	text := ""
	if name == "Enter" {
		text = "\r"
	}
	b.call("Input.dispatchKeyEvent", map[string]any{"type": "keyDown", "key": name, "code": name, "windowsVirtualKeyCode": code, "text": text})
	b.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": name, "code": name, "windowsVirtualKeyCode": code})
}

// tabTo goes from control to control until one is reached.
func (b *browser) tabTo(selector string) {
	b.t.Helper()
	for range 40 {
		if b.eval(fmt.Sprintf(`document.activeElement.matches(%q)`, selector)) == true {
			return
		}
		b.key("Tab", 9)
	}
	b.t.Fatalf("%s cannot be reached by keyboard at %v", selector, b.eval("location.pathname"))
}

// asksInBrowser answers by keyboard alone, and looks at pages in three sizes.
func asksInBrowser(t *testing.T, b *browser) {
	j := newAskedJob(t)
	server := httptest.NewServer(http.HandlerFunc(j.serve))
	defer server.Close()
	b.open(server.URL + "/job/1/ask/title")
	for _, step := range []struct{ at, control, typed, leads string }{
		{"title", "#text", "Pump", "carries"},
		{"carries", "button[value=flywheel]", "", "seen-from"},
		{"seen-from", "#text", "pump end", "turns"},
		{"turns", "button[value=anticlockwise]", "", "readout"},
		{"readout", "button[value=wheel]", "", "btdc-lines"},
		{"btdc-lines", "a.later", "", "step"},
		{"step", "button[value='0.5']", "", "numbered"},
	} {
		b.until(fmt.Sprintf(`location.pathname === "/job/1/ask/%s" && document.readyState === "complete"`, step.at))
		b.tabTo(step.control)
		b.types(step.typed)
		b.key("Enter", 13)
		b.until(fmt.Sprintf(`location.pathname === "/job/1/ask/%s" && document.readyState === "complete"`, step.leads))
	}
	if text := string(j.sheet); !strings.Contains(text, "turns: anticlockwise") || !strings.Contains(text, "seen_from: pump end") || strings.Contains(text, "btdc_lines") {
		t.Errorf("by keyboard:\n%s", text)
	}
	i, err := questions.Read("a.yaml", j.sheet, nil)
	for _, pair := range [][2]string{{"numbered", "round"}, {"quarter-turn", "12 102"}, {"lines", "the line beside the timing cover at 14 BTDC"}, {"tolerance", "1"}, {"rim", "across 212.00 ± 0.05 mm"}, {"ring", "yes"}} {
		if err == nil {
			i, _, err = i.Answer(pair[0], pair[1])
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	j.sheet = i.Sheet()
	for _, size := range [][2]int{{390, 844}, {800, 1280}, {1280, 800}} {
		b.size(size[0], size[1])
		for _, page := range []string{"turns?said=seen-from", "readout", "step", "quarter-turn", "lines", "line-1", "tolerance", "rim?said=rim", "line-1-on", "cylinders", "window", "stop", "check", "more", "pin-offset"} {
			b.open(server.URL + "/job/1/ask/" + page)
			if got := b.eval(fits); got != "" {
				t.Errorf("%v: %s: %v", size, page, got)
			}
		}
	}
}

// Every question and every answer has a picture, and no picture stands in vain.
func TestEveryQuestionHasAPicture(t *testing.T) {
	used := map[string]bool{}
	see := func(i questions.Interview) {
		all := append(i.Open(), i.More()...)
		for _, s := range i.Statements() {
			q, ok := i.Question(s.Key)
			if all = append(all, q); !ok {
				t.Errorf("%s leads to no question", s.Key)
			}
		}
		for _, q := range all {
			seen := q.Picture != ""
			for _, name := range append([]string{q.Picture}, pictures(q.Choices, q.Ways)...) {
				if used[name] = true; name != "" && picture(name) == "" {
					t.Errorf("%s: no picture %q", q.Key, name)
				}
				seen = seen || name != ""
			}
			if !seen {
				t.Errorf("%s has no picture", q.Key)
			}
			if strings.Trim(q.Key, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
				t.Errorf("the key %q is no part of an address", q.Key)
			}
		}
	}
	i := questions.Begin()
	see(i)
	for _, pair := range [][2]string{{"carries", "other"}, {"readout", "tape"}, {"lines", "T at 0"}, {"lines", "S at 1.8 mm piston BTDC"}, {"ring", "yes"}, {"cylinders", "1 at 0; 2 at 90"}} {
		after, _, err := i.Answer(pair[0], pair[1])
		if err != nil {
			t.Fatal(err)
		}
		i = after
		see(i)
	}
	for _, way := range []string{"clockwise", "anticlockwise"} { // arrows turn as was answered
		w := questions.Begin()
		for _, key := range []string{"turns", "btdc-lines"} {
			after, _, err := w.Answer(key, way)
			if err != nil {
				t.Fatal(err)
			}
			w = after
		}
		see(w)
		if q, _ := w.Question("quarter-turn"); q.Picture != "quarter-"+way {
			t.Errorf("running %s, the quarter turn is drawn as %s", way, q.Picture)
		}
	}
	if q, _ := i.Question("quarter-turn"); q.Picture != "quarter" {
		t.Errorf("while the direction is open, the quarter turn is drawn as %s", q.Picture)
	}
	onDial, _, err := i.Answer("readout", "dial")
	if err != nil {
		t.Fatal(err)
	}
	see(onDial)
	earlier, _, err := i.Answer("title", "Earlier")
	if err != nil {
		t.Fatal(err)
	}
	see(questions.Copy(earlier))
	for name := range askDrawings {
		if !used[name] {
			t.Errorf("the picture %q is never shown", name)
		}
	}
}

func pictures(lists ...[]questions.Choice) (names []string) {
	for _, list := range lists {
		for _, c := range list {
			names = append(names, c.Picture)
		}
	}
	return names
}
