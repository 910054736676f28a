package webserver

import (
	"net/http"
	"net/url"
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
