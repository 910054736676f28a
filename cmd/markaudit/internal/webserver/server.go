// Package webserver is recording on a web page, for a tablet or phone beside the
// engine: the other face of a recorder. It decides who gets in, takes what forms
// say and shows where things stand. It is the only place that knows the network.
package webserver

import (
	"bytes"
	"context"
	"crypto/subtle"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"log"
	"math"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"

	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/stream"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

//go:embed web
var web embed.FS

var pages = template.Must(template.New("").Funcs(template.FuncMap{
	"width": func(s span) float64 { return math.Round(10*(s.To-s.From)) / 10 },
}).ParseFS(web, "web/*.html"))

// gate lets devices in, or leaves them at the door.
type gate struct {
	access    *access
	addresses func(code string) []string // of the page, with a code
	names     *shownNames
	patience  patience
}

// server serves the page at one engine. Every device sees the one session.
type server struct {
	gate
	base     string          // what stands before its paths: nothing, or where a shop has it
	job      string          // the page of the job in a shop; empty without one
	live     *stream.Live    // a readout that streams; nil for none
	software string          // that made the reports
	paper    geometry.Length // how thick that of the strips is

	mu     sync.Mutex
	rec    *recorder.Recorder
	kept   string          // what was kept last, its number first
	undone string          // what was taken back last
	named  map[string]bool // devices that were asked who reads, by their token
	held   bool            // the folder is gone: the readings are offered elsewhere
	closed bool            // the sheet is let go: nothing is kept here any more
}

// What a form may hold.
const (
	mostForm    = 8 << 10
	mostHeaders = 16 << 10
)

// patience is how long a device may take: to send a request, to receive the
// answer, and to say nothing.
type patience struct{ read, write, idle time.Duration }

var patient = patience{read: 5 * time.Second, write: 15 * time.Second, idle: time.Minute}

// lastAnswers is how long the end waits for answers under way.
const lastAnswers = 5 * time.Second

// http returns the page as a server. What goes wrong with a connection is the
// other side's affair.
func (g gate) http(page func(w http.ResponseWriter, r *http.Request, d *device)) *http.Server {
	return &http.Server{
		Handler:           g.access.guarded(page, g.door),
		ReadHeaderTimeout: g.patience.read, ReadTimeout: g.patience.read, WriteTimeout: g.patience.write, IdleTimeout: g.patience.idle,
		MaxHeaderBytes: mostHeaders,
		ErrorLog:       log.New(io.Discard, "", 0),
	}
}

// serve answers until the context ends.
func (g gate) serve(ctx context.Context, l net.Listener, page func(w http.ResponseWriter, r *http.Request, d *device)) error {
	return serveOn(ctx, g.http(page), l)
}

func serveOn(ctx context.Context, server *http.Server, l net.Listener) error {
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	last, cancel := context.WithTimeout(context.Background(), lastAnswers)
	defer cancel()
	_ = server.Shutdown(last) // every reading is kept before it is answered
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// door is what a device sees that was not let in. Style and words only. A code is
// looked at only where a person opens a page: a picture on a foreign page that
// names this address does not count as a try.
func (g gate) door(w http.ResponseWriter, r *http.Request) {
	if r.URL.Path == "/style.css" {
		file(w, "style.css", "text/css; charset=utf-8")
		return
	}
	code, ok := strings.CutPrefix(r.URL.Path, "/enter/")
	if r.Method == http.MethodPost && r.URL.Path == "/enter" {
		r.Body = http.MaxBytesReader(w, r.Body, mostForm)
		code, ok = r.PostFormValue("code"), true
	}
	told := doorPage{}
	status := http.StatusForbidden
	if ok && code != "" && strings.Contains(r.Header.Get("Accept"), "text/html") {
		key, wait, in := g.access.enter(code, address(r))
		if in {
			http.SetCookie(w, &http.Cookie{
				Name: g.access.cookie, Value: key, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 30 * 24 * 60 * 60,
			})
			// Not a redirect: after one from elsewhere the strict cookie would not be
			// sent.
			writePage(w, http.StatusOK, "door.html", doorPage{In: true})
			return
		}
		told.Wrong, told.Wait = true, int(wait.Round(time.Second).Seconds())
		if wait > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(max(1, told.Wait)))
		}
	}
	writePage(w, status, "door.html", told)
}

// doorPage is what door.html shows.
type doorPage struct {
	In, Wrong bool
	Wait      int // seconds until the next try counts
}

// devicesPage shows the code for the next device.
type devicesPage struct {
	frame
	Code      string
	Addresses []string
	Square    squareCode
	Local     bool
}

func (s *server) showDevices(w http.ResponseWriter, d *device) {
	s.mu.Lock()
	f := s.frame("more")
	s.mu.Unlock()
	writePage(w, http.StatusOK, "devices.html", shopDevices{devicesPage: s.devices(d, f)})
}

// devices is the page with the code for the next device.
func (g gate) devices(d *device, f frame) devicesPage {
	p := devicesPage{frame: f}
	g.access.mu.Lock()
	if g.access.now().After(g.access.until) {
		g.access.issue()
	}
	code := g.access.code
	g.access.mu.Unlock()
	p.Token, p.Code, p.Addresses = d.form, shownCode(code), g.addresses("")
	p.Square = newSquare(g.addresses(shownCode(code))[0])
	p.Local = strings.HasPrefix(p.Addresses[0], "http://127.")
	return p
}

// page answers a device that was let in.
func (s *server) page(w http.ResponseWriter, r *http.Request, d *device) {
	s.answer(w, r, d, r.URL.Path)
}

// answer answers for a path behind the base. Paths are compared, never followed.
func (s *server) answer(w http.ResponseWriter, r *http.Request, d *device, path string) {
	if r.Method == http.MethodPost {
		if path == "/forget" {
			s.forget(w, r, d)
			return
		}
		if path != "/do" {
			http.NotFound(w, r)
			return
		}
		s.change(w, r, d)
		return
	}
	switch path {
	case "/":
		s.takeName(r)
		if !s.showSafe(w, d) && !s.showWho(w, r, d) {
			s.show(w, http.StatusOK, d, shown{})
		}
	case "/at":
		s.mu.Lock()
		id := s.rec.StepID()
		s.mu.Unlock()
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		_, _ = io.WriteString(w, id)
	case "/more":
		s.showMore(w, d)
	case "/live":
		showLive(s, w)
	case "/devices":
		s.showDevices(w, d)
	case "/undo", "/knocked", "/strike", "/newsetup":
		showSure(s, w, r, d, path[1:])
	case "/readings.csv":
		s.giveReadings(w)
	case "/readings":
		s.showReadings(w, r, d)
	case "/report", "/strip":
		switch {
		case s.job != "": // where the check by eye comes before
			http.Redirect(w, r, s.job, http.StatusSeeOther)
		case path == "/report":
			s.showReport(w)
		default:
			s.showStrip(w)
		}
	case "/style.css":
		file(w, "style.css", "text/css; charset=utf-8")
	case "/page.js":
		file(w, "page.js", "text/javascript; charset=utf-8")
	default:
		if strings.HasPrefix(path, "/enter/") { // it is in already
			http.Redirect(w, r, s.base+"/", http.StatusSeeOther)
			return
		}
		http.NotFound(w, r)
	}
}

// forget shuts out every device.
func (g gate) forget(w http.ResponseWriter, r *http.Request, d *device) {
	if ours(w, r, d) {
		g.access.forget()
		writePage(w, http.StatusOK, "door.html", doorPage{})
	}
}

// file answers with one of the files that are part of the program.
func file(w http.ResponseWriter, name, kind string) {
	data, err := web.ReadFile("web/" + name)
	if err != nil {
		panic("markaudit: a part of the program is not there: " + err.Error())
	}
	w.Header().Set("Content-Type", kind)
	_, _ = w.Write(data)
}

// writePage renders a page whole before anything of it is sent.
func writePage(w http.ResponseWriter, status int, name string, data any) {
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, data); err != nil {
		http.Error(w, "a fault of markaudit, please report it: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes())
}

// ours reads a form, and reports whether this page made it for this device.
func ours(w http.ResponseWriter, r *http.Request, d *device) bool {
	r.Body = http.MaxBytesReader(w, r.Body, mostForm)
	if err := r.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			http.Error(w, "the form is too large", http.StatusRequestEntityTooLarge)
			return false
		}
		http.Error(w, "the form cannot be read", http.StatusBadRequest)
		return false
	}
	if subtle.ConstantTimeCompare([]byte(r.PostForm.Get("t")), []byte(d.form)) != 1 {
		http.Error(w, "this form was not made by this page; load it again", http.StatusForbidden)
		return false
	}
	return true
}

// change takes what a form says.
func (s *server) change(w http.ResponseWriter, r *http.Request, d *device) {
	if !ours(w, r, d) {
		return
	}
	form := r.PostForm
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		http.Redirect(w, r, s.base+"/", http.StatusSeeOther) // which opens it anew
		return
	}
	if form.Get("do") == "begin" { // no step is answered by it
		s.rec.Begin()
		s.mu.Unlock()
		http.Redirect(w, r, s.base+"/", http.StatusSeeOther)
		return
	}
	if form.Get("do") == "nobody" { // nor by this
		s.hasNamed(d)
		s.mu.Unlock()
		http.Redirect(w, r, s.base+"/", http.StatusSeeOther)
		return
	}
	id := form.Get("step")
	if id != s.rec.StepID() {
		tell, status := s.notThisStep(form, id)
		s.mu.Unlock()
		if status == http.StatusSeeOther {
			http.Redirect(w, r, s.base+"/", status)
			return
		}
		s.show(w, status, d, tell)
		return
	}
	e, err := formEvent(form)
	var done guide.Change
	undo := s.rec.Words().Undo()
	if v := s.rec.State().View(); err == nil && e.Kind == guide.Read && e.Text == "" && s.live != nil && v.WaitsForNumber() {
		e.Text, err = s.live.Standing(v.Sheet.Readout.Step)
	}
	if err == nil {
		done, err = s.rec.Do(e)
	}
	var gone *recorder.FolderGone
	s.held = errors.As(err, &gone)
	if err == nil {
		s.kept, s.undone = s.said(e, done, undo)
		if e.Kind == guide.Operator || e.Kind == guide.Read {
			s.hasNamed(d)
		}
		if e.Kind == guide.Operator {
			s.rememberName(w, e.Text)
		}
	}
	s.mu.Unlock()
	var output *world.Unwritten
	switch {
	case errors.As(err, &output):
		s.show(w, http.StatusInternalServerError, d, shown{trouble: recorder.NotKept(err)})
	case err != nil:
		s.show(w, http.StatusUnprocessableEntity, d, shown{trouble: "Not taken: " + onPage(err.Error())})
	default:
		http.Redirect(w, r, s.base+"/", http.StatusSeeOther)
	}
}

// notThisStep answers a form that was made for another step. Sent again, as after
// a reply that was lost, it is told to be kept already; else it is not taken, and
// the field of the present step stays empty.
func (s *server) notThisStep(form url.Values, id string) (shown, int) {
	what, typed := words.Clean(form.Get("what")), form.Get("text")
	if done, ok := s.rec.Done(id); ok {
		if s.sameAnswer(form, done) {
			s.kept, s.undone = "Already kept: "+done.Said, ""
			return shown{}, http.StatusSeeOther
		}
		return shown{other: fmt.Sprintf("%s for %s was NOT taken: meanwhile this step was answered, here or on another device, with %s.", orThis(typed), what, done.Said)}, http.StatusConflict
	}
	return shown{other: fmt.Sprintf("%s was for %s and was NOT taken. Look at the step that stands here now.", orThis(typed), orElse(what, "another step"))}, http.StatusConflict
}

// sameAnswer reports whether a form says what its step was answered with.
func (s *server) sameAnswer(form url.Values, done recorder.Answer) bool {
	e, err := formEvent(form)
	if err != nil || e.Kind != done.Kind {
		return false
	}
	if s.live != nil && e.Kind == guide.Read && e.Text == "" {
		return true // the number that stood there was taken
	}
	return e.Text == done.Text || e.Kind == guide.Read && s.rec.State().Spelled(e.Text) == s.rec.State().Spelled(done.Text)
}

func orThis(text string) string {
	if text == "" {
		return "What was pressed"
	}
	return words.Clean(text)
}

func orElse(text, or string) string {
	if text == "" {
		return or
	}
	return text
}

// giveReadings answers with the readings as a file: where the folder is gone, they
// can be kept elsewhere.
func (s *server) giveReadings(w http.ResponseWriter) {
	s.mu.Lock()
	data := readings.Write(s.rec.State().Rows())
	s.mu.Unlock()
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="readings.csv"`)
	_, _ = w.Write(data)
}

// said says what was done: what was kept, or what was taken back.
func (s *server) said(e guide.Event, done guide.Change, undo string) (kept, undone string) {
	r := s.rec.Words()
	switch {
	case e.Kind == guide.Undo:
		return "", undo
	case done.Add != nil:
		return words.Kept(*done.Add), ""
	case done.Sheet != nil:
		return "on the sheet", ""
	case e.Kind == guide.Strike:
		return "", "struck: " + r.Saved(s.rec.State().Rows()[e.Row-1])
	case e.Kind == guide.Bumped, e.Kind == guide.NewSetup:
		return "setup " + inputerror.Visible(s.rec.State().View().Setup) + " begins", ""
	}
	return "", ""
}

// formEvent reads a form.
func formEvent(form url.Values) (guide.Event, error) {
	get := form.Get
	what := get("do")
	e := guide.Event{Kind: recorder.BareKind(what), Text: get("text")}
	switch what {
	case "read":
		e.Kind, e.Note, e.Height = guide.Read, get("note"), get("height")
		if unit := get("unit"); unit != "" && e.Text != "" {
			e.Text += " " + unit
		}
		if unit := get("heightunit"); unit != "" && e.Height != "" {
			e.Height += " " + unit
		}
		if side := get("side"); side != "" && e.Text != "" {
			e.Text += " " + side
		}
	case "answer":
		e.Kind = guide.Answer
	case "by":
		e.Kind = guide.Operator
	case "next":
		e.Kind, e.Item, e.Sure = guide.Choose, get("item"), get("sure") == "in"
		if e.Item == "" {
			e.Item = get("text")
		}
		if get("approach") == sheet.Backward.String() {
			e.Approach = sheet.Backward
		}
	case "strike":
		e.Kind = guide.Strike
		n, err := strconv.Atoi(strings.TrimSpace(get("row")))
		if err != nil {
			return e, errors.New("found no number of a reading, expected one from the list")
		}
		e.Row = n
	}
	if e.Kind == 0 {
		return e, errors.New("found nothing to do")
	}
	return e, nil
}
