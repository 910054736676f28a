package webserver

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"markaudit/audit/guide"
)

// who is the name that a device has given: it is asked once, and the device brings it
// with every request.
func (g gate) who(r *http.Request) string {
	if g.access == nil { // without a door there are no devices
		return ""
	}
	c, err := r.Cookie(g.access.cookie + "_who")
	if err != nil {
		return ""
	}
	name, err := url.QueryUnescape(c.Value)
	if err != nil {
		return ""
	}
	return plainWho(name)
}

// plainWho is a name without what cannot be seen, and no longer than a name is.
func plainWho(name string) string {
	name = strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }), " ")
	if r := []rune(name); len(r) > 60 {
		name = string(r[:60])
	}
	return strings.TrimSpace(name)
}

// rememberName lets a device keep the name of who reads.
func (g gate) rememberName(w http.ResponseWriter, name string) {
	http.SetCookie(w, &http.Cookie{
		Name: g.access.cookie + "_who", Value: url.QueryEscape(plainWho(name)), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 30 * 24 * 60 * 60,
	})
}

// takeName takes the name that the device has given for who reads, where nobody has
// said it in this sitting: it is asked once. What is typed later counts over it.
func (s *server) takeName(r *http.Request) {
	name := s.who(r)
	s.mu.Lock()
	defer s.mu.Unlock()
	if name == "" || s.closed || s.rec.State().View().By != "" {
		return
	}
	_, _ = s.rec.Do(guide.Event{Kind: guide.Operator, Text: name}) // else it is asked again
}

// whoPage asks who reads, before the first number of a sitting on a device.
type whoPage struct {
	frame
	Names []string // that were given before, that of the device first
}

const mostNames = 6

// showWho asks who reads where a device is about to give its first number, and reports
// whether it did. A device that brings the name that stands already is not asked.
func (s *server) showWho(w http.ResponseWriter, r *http.Request, d *device) bool {
	s.mu.Lock()
	v, rows := s.rec.State().View(), s.rec.State().Rows()
	own := s.who(r)
	if v.Step.Kind != guide.Take || s.named[d.form] || own != "" && own == v.By {
		s.mu.Unlock()
		return false
	}
	p := whoPage{frame: s.frame("step")}
	s.mu.Unlock()
	p.Token = d.form
	names := []string{own, v.By}
	for _, row := range slices.Backward(rows) {
		names = append(names, row.By)
	}
	for _, name := range names {
		if name != "" && !slices.Contains(p.Names, name) && len(p.Names) < mostNames {
			p.Names = append(p.Names, name)
		}
	}
	writePage(w, http.StatusOK, "who.html", p)
	return true
}

// hasNamed takes it that a device has said who reads, or does not want to. The caller
// holds the lock.
func (s *server) hasNamed(d *device) {
	if s.named == nil {
		s.named = map[string]bool{}
	}
	s.named[d.form] = true
}
