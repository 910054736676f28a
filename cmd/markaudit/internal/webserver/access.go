package webserver

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"net"
	"net/http"
	"sync"
	"time"
)

// access decides who may use the page: a device that has brought a code from the
// terminal, and no other.
type access struct {
	mu      sync.Mutex
	hosts   map[string]bool // by which the page may be called
	code    string          // for the next device
	wrong   int             // codes tried
	devices map[string]*device
	paths   map[string]*bucket
	now     func() time.Time
	issued  func(code string) // says a new code in the terminal
}

// device is a browser that was let in. Its key is in its cookie, and here only
// as a hash.
type device struct {
	form string // goes with every change that its forms send
	rate bucket
}

const (
	cookieName  = "markaudit_bench"
	mostWrong   = 10 // codes before the door stays shut
	mostDevices = 20
	mostPaths   = 256 // addresses of which the rate is remembered
)

func newAccess(now func() time.Time, issued func(code string)) *access {
	return &access{hosts: map[string]bool{}, devices: map[string]*device{}, paths: map[string]*bucket{}, now: now, issued: issued}
}

// issue makes the code for the next device.
func (a *access) issue() {
	a.code = rand.Text()[:12] // 60 bits
	a.issued(a.code)
}

// enter swaps a code for the key of a device. A code serves once.
func (a *access) enter(code string) (key string, ok bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.wrong >= mostWrong || len(a.devices) >= mostDevices || a.code == "" {
		return "", false
	}
	if subtle.ConstantTimeCompare([]byte(code), []byte(a.code)) != 1 {
		a.wrong++
		return "", false
	}
	key = rand.Text() + rand.Text()
	a.devices[hashed(key)] = &device{form: rand.Text()}
	a.issue()
	return key, true
}

// locked reports whether too many wrong codes were tried.
func (a *access) locked() bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.wrong >= mostWrong
}

func hashed(key string) string {
	sum := sha256.Sum256([]byte(key))
	return hex.EncodeToString(sum[:])
}

// known returns the device that sent a request, or nil.
func (a *access) known(r *http.Request) *device {
	c, err := r.Cookie(cookieName)
	if err != nil {
		return nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.devices[hashed(c.Value)]
}

// bucket limits how often requests come.
type bucket struct {
	left float64
	at   time.Time
}

const (
	perSecond = 20
	atOnce    = 60
)

func (b *bucket) take(now time.Time) bool {
	if b.at.IsZero() {
		b.left = atOnce
	}
	b.left = min(atOnce, b.left+perSecond*max(0, now.Sub(b.at).Seconds()))
	b.at = now
	if b.left < 1 {
		return false
	}
	b.left--
	return true
}

// hurried reports whether a request comes too soon after others. A device that
// was let in is not slowed by one that was not.
func (a *access) hurried(r *http.Request, d *device) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	if d != nil {
		return !d.rate.take(a.now())
	}
	from, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		from = r.RemoteAddr
	}
	b := a.paths[from]
	if b == nil {
		if len(a.paths) >= mostPaths {
			clear(a.paths)
		}
		b = &bucket{}
		a.paths[from] = b
	}
	return !b.take(a.now())
}

// headers keep a page from being framed, sniffed, cached, or made to call out.
// The referrer is kept to the page itself, not left out: without it browsers
// send no origin with a form over plain HTTP.
func headers(h http.Header) {
	h.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
	h.Set("Cache-Control", "no-store")
}

// guarded lets through what may reach the page.
func (a *access) guarded(page func(w http.ResponseWriter, r *http.Request, d *device), door http.HandlerFunc) http.Handler {
	origin := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		headers(w.Header())
		d := a.known(r)
		switch {
		case !a.hosts[r.Host]:
			http.Error(w, "this address is not the one that the terminal shows", http.StatusMisdirectedRequest)
		case a.hurried(r, d):
			w.Header().Set("Retry-After", "1")
			http.Error(w, "too many requests, wait a moment", http.StatusTooManyRequests)
		case r.Method != http.MethodGet && r.Method != http.MethodHead && r.Method != http.MethodPost:
			w.Header().Set("Allow", "GET, HEAD, POST")
			http.Error(w, "this page knows GET and POST only", http.StatusMethodNotAllowed)
		case origin.Check(r) != nil:
			http.Error(w, "this form comes from another page", http.StatusForbidden)
		case d == nil:
			door(w, r)
		default:
			page(w, r, d)
		}
	})
}
