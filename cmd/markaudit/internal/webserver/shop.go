package webserver

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"markaudit/audit/report/document"
	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/world"
)

// ShopOptions say, beside those of a page, which folder a shop shows.
type ShopOptions struct {
	Options
	Folder string   // empty where the page shall ask for it
	Places []string // that it then offers
	Make   func(folder string) error
	Open   bool // open the page in the browser of this computer
}

// Shop serves the page of the jobs of a folder until the context ends, or until it is
// ended on the page.
func Shop(ctx context.Context, env world.World, out io.Writer, o ShopOptions) error {
	return serveShop(ctx, env, out, o, time.Now, patient)
}

// shop is the page of many jobs. Each job that somebody works on has a server of its
// own, with its own lock; all share the devices that were let in.
type shop struct {
	gate
	env     world.World
	options ShopOptions
	port    string
	server  *http.Server
	end     context.CancelFunc

	mu     sync.Mutex
	folder *folder.Folder // nil until one is chosen
	lock   *recorder.FolderLock
	open   map[string]*bench // by the ID of the job
	wide   bool              // it was opened to the network

	room classroom
}

// bench is a job that somebody works on.
type bench struct {
	*server
	used time.Time
}

// letGo is when a job that nobody looks at is let go, so that another program can
// take it.
const letGo = 30 * time.Minute

func serveShop(ctx context.Context, env world.World, out io.Writer, o ShopOptions, now func() time.Time, p patience) error {
	s, l, err := newShop(env, out, o, now, p)
	var held *recorder.FolderHeld
	switch {
	case errors.As(err, &held) && held.Address() != "":
		return goThere(env, out, o, held)
	case err != nil:
		return err
	}
	return s.run(ctx, out, l)
}

// newShop takes the folder and an address, and answers nobody yet.
func newShop(env world.World, out io.Writer, o ShopOptions, now func() time.Time, p patience) (*shop, net.Listener, error) {
	s := &shop{env: env, options: o, open: map[string]*bench{}, wide: o.LAN}
	if o.Folder != "" {
		if err := s.choose(o.Folder); err != nil {
			return nil, nil, err
		}
	}
	opened, err := open(out, o.Options, now, p, nil)
	if err != nil {
		s.close()
		return nil, nil, err
	}
	s.gate, s.port = opened.gate, opened.port
	s.lock.Serving(s.own(""))
	s.server = s.http(s.page)
	return s, opened.listener, nil
}

// run answers until the context ends, or until the page is ended.
func (s *shop) run(ctx context.Context, out io.Writer, l net.Listener) error {
	defer s.close()
	ctx, s.end = context.WithCancel(ctx)
	defer s.end()
	if s.folder != nil {
		printTo(out, document.Sentence{Text: fmt.Sprintf("The jobs in %s are on a page. Ctrl-C ends it, and so does closing this window; every reading is kept.", phrase.Shown(s.folder.Path()))})
	}
	s.access.mu.Lock()
	s.access.issue()
	code := s.access.code
	s.access.mu.Unlock()
	if s.options.Open && s.env.Browse != nil && s.env.Browse(s.own("/enter/"+shownCode(code))) == nil {
		printTo(out, document.Space{}, document.Sentence{Text: "It opens in your browser. If it does not, type the address above there."})
	}
	if err := serveOn(ctx, s.server, l); err != nil {
		return fmt.Errorf("the page ended: %w", err)
	}
	printTo(out, document.Space{})
	for _, text := range s.stopsIn() {
		printTo(out, document.Sentence{Lead: "LOOK", Text: text})
	}
	printTo(out, document.Sentence{Text: "Ended. Every reading is kept beside its sheet."})
	return nil
}

// own is an address of the page for this computer itself.
func (s *shop) own(path string) string {
	return "http://" + net.JoinHostPort("127.0.0.1", s.port) + path
}

// goThere opens the page that serves the folder already.
func goThere(env world.World, out io.Writer, o ShopOptions, held *recorder.FolderHeld) error {
	printTo(out, document.Sentence{Text: fmt.Sprintf("%s is open already: %s. Go on there. A browser that was not let in needs the code from there.", phrase.Shown(held.Folder), held.Holder)})
	if o.Open && env.Browse != nil {
		_ = env.Browse(held.Address()) // else the address stands there
	}
	return nil
}

// choose takes a folder for the jobs.
func (s *shop) choose(path string) error {
	f, err := folder.Open(s.env, path)
	if err != nil {
		return err
	}
	lock, err := recorder.HoldFolder(f.World(), f.Path())
	if err != nil {
		return err
	}
	s.folder, s.lock = f, lock
	if s.options.Devices != nil {
		_ = s.options.Devices.Jobs(f.Path()) // else it is asked again next time
	}
	return nil
}

// close lets every job go.
func (s *shop) close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id, b := range s.open {
		b.close()
		delete(s.open, id)
	}
	s.lock.Close()
}

// close ends the work on a job. Every reading is on the disk.
func (b *bench) close() {
	b.server.mu.Lock()
	defer b.server.mu.Unlock()
	if !b.closed {
		b.closed = true
		b.rec.Close()
	}
}

// stopsIn says of every job that is open where the stop was left.
func (s *shop) stopsIn() (all []string) {
	if s.folder == nil {
		return nil
	}
	list, err := s.folder.List()
	if err != nil {
		return nil
	}
	for _, j := range list.Jobs {
		if j.Standing.StopIn {
			all = append(all, j.Name()+": the stop is IN. Ease off, and take it out before anyone turns the engine past TDC.")
		}
	}
	return all
}

// at returns the server of a job, and opens the job where nobody works on it yet. One
// whose sheet or readings were changed by another hand is opened anew.
func (s *shop) at(id, file string) (*bench, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.access.now()
	for other, b := range s.open {
		if other != id && now.Sub(b.used) > letGo {
			b.close()
			delete(s.open, other)
		}
	}
	if b := s.open[id]; b != nil {
		b.server.mu.Lock()
		stale := b.rec.Stale() && !b.held
		b.server.mu.Unlock()
		if !stale {
			b.used = now
			return b, nil
		}
		b.close()
		delete(s.open, id)
	}
	r, err := recorder.Open(s.folder.World(), s.folder.At(file))
	if err != nil {
		return nil, err
	}
	r.Hold(s.own(""))
	b := &bench{used: now, server: &server{
		gate: s.gate, base: jobPath(id) + "engine", job: jobPath(id), live: s.options.Live, software: s.options.Software, paper: s.options.Paper, rec: r,
	}}
	s.open[id] = b
	return b, nil
}

// leave lets a job go, so that its sheet can be written.
func (s *shop) leave(id string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if b := s.open[id]; b != nil {
		b.close()
		delete(s.open, id)
	}
}

func jobPath(id string) string { return "/job/" + id + "/" }

// here reports whether a request comes from this computer.
func here(r *http.Request) bool {
	ip := net.ParseIP(address(r))
	return ip != nil && ip.IsLoopback()
}

// page answers a device that was let in. A path names a job by its ID and nothing
// else; no name of a file comes from one.
func (s *shop) page(w http.ResponseWriter, r *http.Request, d *device) {
	path := r.URL.Path
	s.mu.Lock()
	chosen := s.folder != nil
	s.mu.Unlock()
	post := r.Method == http.MethodPost
	switch {
	case path == "/style.css" || path == "/shop.css":
		file(w, path[1:], "text/css; charset=utf-8")
	case path == "/page.js":
		file(w, "page.js", "text/javascript; charset=utf-8")
	case post && path == "/forget":
		s.forget(w, r, d)
	case post && path == "/devices":
		s.widen(w, r, d)
	case path == "/devices":
		s.showShopDevices(w, r, d, "")
	case path == "/end":
		s.endIt(w, r, d)
	case strings.HasPrefix(path, "/enter/"): // it is in already
		http.Redirect(w, r, "/", http.StatusSeeOther)
	case path == "/folder" && post && !chosen:
		s.takeFolder(w, r, d)
	case !chosen && path == "/":
		s.askFolder(w, http.StatusOK, d, "")
	case !chosen:
		http.Redirect(w, r, "/", http.StatusSeeOther)
	case path == "/" && !post:
		showJobs(s, w, d)
	case path == "/lessons":
		s.lessons(w, r, d)
	case strings.HasPrefix(path, "/lesson/"):
		s.lessonAt(w, r, d, strings.TrimPrefix(path, "/lesson/"))
	case path == "/class", strings.HasPrefix(path, "/class/"):
		serveClass(s, w, r, d, strings.TrimPrefix(strings.TrimPrefix(path, "/class"), "/"))
	case path == "/new":
		beginJob(s, w, r, d)
	case strings.HasPrefix(path, "/job/"):
		id, rest, _ := strings.Cut(strings.TrimPrefix(path, "/job/"), "/")
		name, ok := s.folder.Find(id)
		switch {
		case !ok:
			s.tell(w, http.StatusNotFound, "No such job here", "It may have been renamed or taken away.", "/")
		case !strings.HasPrefix(path, jobPath(id)):
			http.Redirect(w, r, jobPath(id), http.StatusSeeOther)
		default:
			s.jobPage(w, r, d, id, name, rest)
		}
	default:
		http.NotFound(w, r)
	}
}

// tellPage says one thing, and where to go on.
type tellPage struct{ Title, Text, Back string }

func (s *shop) tell(w http.ResponseWriter, status int, title, text, back string) {
	writePage(w, status, "tell.html", tellPage{title, text, back})
}

// widen opens the page to the network, once somebody at this computer has said so.
func (s *shop) widen(w http.ResponseWriter, r *http.Request, d *device) {
	if !ours(w, r, d) {
		return
	}
	if !here(r) {
		s.showShopDevices(w, r, d, "Only somebody at the computer itself can open the page to the network.")
		return
	}
	s.mu.Lock()
	already := s.wide
	s.mu.Unlock()
	if !already {
		if err := s.listenWide(); err != nil {
			s.showShopDevices(w, r, d, err.Error())
			return
		}
	}
	http.Redirect(w, r, "/devices", http.StatusSeeOther)
}

// listenWide listens on the addresses by which the network knows this computer.
func (s *shop) listenWide() error {
	names, err := hosts(true)
	if err != nil {
		return fmt.Errorf("cannot find the addresses of this computer: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	some := false
	for _, name := range names[3:] {
		l, err := net.Listen("tcp", net.JoinHostPort(name, s.port))
		if err != nil {
			continue // another program has the port there
		}
		some = true
		go func() { _ = s.server.Serve(l) }() // it ends with the page
	}
	if !some {
		return errors.New("this computer is on no network, or other programs have the port there")
	}
	s.wide = true
	s.names.set(names)
	s.access.mu.Lock()
	s.access.hosts = namesOf(names, s.port)
	s.access.renew = func() map[string]bool { return renewed(s.access.hosts, s.port) }
	s.access.mu.Unlock()
	return nil
}

// shopDevices shows the code for the next device.
type shopDevices struct {
	devicesPage
	Trouble     string
	Shop, Here  bool
	OpenToWhole string
}

func (s *shop) showShopDevices(w http.ResponseWriter, r *http.Request, d *device, trouble string) {
	p := s.devices(d, frame{Screen: "more"})
	writePage(w, http.StatusOK, "devices.html", shopDevices{p, trouble, true, here(r), openToAll})
}

// endIt ends the program, after a second tap.
func (s *shop) endIt(w http.ResponseWriter, r *http.Request, d *device) {
	switch {
	case !here(r):
		s.tell(w, http.StatusForbidden, "Not from here", "Only somebody at the computer itself can end the page.", "/")
	case r.Method != http.MethodPost:
		var stops []string
		if s.folder != nil {
			stops = s.stopsIn()
		}
		writePage(w, http.StatusOK, "end.html", struct {
			Token string
			Stops []string
		}{d.form, stops})
	case ours(w, r, d):
		s.tell(w, http.StatusOK, "Ended", "Every reading is kept beside its sheet. Close this window; start the program again to go on.", "")
		if f, ok := w.(http.Flusher); ok {
			f.Flush()
		}
		s.end()
	}
}

// folderPage asks where the jobs shall be kept.
type folderPage struct {
	Token, Trouble string
	Places         []string
	Here           bool
}

func (s *shop) askFolder(w http.ResponseWriter, status int, d *device, trouble string) {
	writePage(w, status, "folder.html", folderPage{Token: d.form, Trouble: trouble, Places: s.options.Places})
}

// takeFolder takes the folder that was chosen. Only this computer may choose: before
// that nothing of it is shown or written.
func (s *shop) takeFolder(w http.ResponseWriter, r *http.Request, d *device) {
	if !ours(w, r, d) {
		return
	}
	path := r.PostForm.Get("place")
	if path == "" {
		path = strings.TrimSpace(r.PostForm.Get("typed"))
	}
	s.mu.Lock()
	err := func() error {
		switch {
		case !here(r):
			return errors.New("only somebody at the computer itself can choose the folder")
		case path == "":
			return errors.New("found no folder, expected one of the list or the name of one")
		case s.folder != nil:
			return nil // another window was first
		}
		if s.options.Make != nil {
			if err := s.options.Make(path); err != nil {
				return err
			}
		}
		if err := s.choose(path); err != nil {
			return err
		}
		s.lock.Serving(s.own(""))
		return nil
	}()
	s.mu.Unlock()
	if err != nil {
		s.askFolder(w, http.StatusUnprocessableEntity, d, err.Error())
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
