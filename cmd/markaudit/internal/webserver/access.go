package webserver

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"markaudit/cmd/markaudit/internal/devices"
)

// access decides who may use the page: a device that has brought a code from the
// terminal, and no other.
type access struct {
	mu      sync.Mutex
	hosts   map[string]bool // by which the page may be called
	renew   func() map[string]bool
	renewed time.Time
	code    string // for the next device
	until   time.Time
	devices map[string]*device // by the hash of their key
	store   *devices.Store
	cookie  string // the name of the cookie: another for each port and computer
	paths   map[string]*bucket
	tries   map[string]*try // of codes, by address
	all     bucket          // of codes, from everywhere
	now     func() time.Time
	issued  func(code string) // says a new code in the terminal
}

// device is a browser that was let in. Its key is in its cookie, and here only
// as a hash.
type device struct {
	form string // goes with every change that its forms send
	rate bucket
}

// try is how an address has guessed at codes: each wrong one makes it wait longer.
type try struct {
	next  time.Time
	delay time.Duration
}

const (
	mostDevices = 20
	mostPaths   = 256 // addresses of which the rate is remembered
	codeLasts   = 10 * time.Minute
	firstDelay  = time.Second
	mostDelay   = time.Minute
	triesMinute = 60 // of codes, from everywhere
)

// codeLetters are those of a code: 31 that cannot be taken for one another.
const codeLetters = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"

func newAccess(store *devices.Store, port string, now func() time.Time, issued func(code string)) *access {
	sum := sha256.Sum256([]byte(store.Secret()))
	a := &access{
		hosts: map[string]bool{}, devices: map[string]*device{}, store: store, cookie: "markaudit_" + port + "_" + hex.EncodeToString(sum[:3]),
		paths: map[string]*bucket{}, tries: map[string]*try{}, now: now, issued: issued,
	}
	for _, d := range store.Known(now()) {
		a.devices[d.Key] = &device{form: a.token(d.Key)}
	}
	return a
}

// token goes with every form of a device. It is made from the secret, so that a
// form outlives a restart.
func (a *access) token(key string) string {
	h := hmac.New(sha256.New, []byte(a.store.Secret()))
	_, _ = h.Write([]byte(key)) // writing into a hash cannot go wrong
	return hex.EncodeToString(h.Sum(nil))
}

// issue makes the code for the next device: 8 of 31 letters, 39.6 bits.
func (a *access) issue() {
	var b strings.Builder
	var one [1]byte
	for b.Len() < 8 {
		_, _ = rand.Read(one[:]) // it does not return when it cannot
		if i := int(one[0]); i < 256/len(codeLetters)*len(codeLetters) {
			b.WriteByte(codeLetters[i%len(codeLetters)])
		}
	}
	a.code, a.until = b.String(), a.now().Add(codeLasts)
	a.issued(shownCode(a.code))
}

// shownCode is a code in two halves, as a person reads it.
func shownCode(code string) string { return code[:4] + "-" + code[4:] }

// plainCode is a code as it was made, of what a person types: case, hyphens,
// blanks and a slash at the end do not matter.
func plainCode(typed string) string {
	return strings.NewReplacer("-", "", " ", "", "/", "").Replace(strings.ToUpper(typed))
}

// enter swaps a code for the key of a device. A code serves once. Who guesses waits
// longer after each wrong one; devices that are in are never slowed, and no number
// of wrong codes shuts the door for good.
func (a *access) enter(code, from string) (key string, wait time.Duration, ok bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	now := a.now()
	t := a.tries[from]
	if t == nil {
		if len(a.tries) >= mostPaths {
			clear(a.tries)
		}
		t = &try{}
		a.tries[from] = t
	}
	if left := t.next.Sub(now); left > 0 {
		return "", left, false
	}
	if !a.all.takeOf(now, triesMinute, triesMinute/60.0) {
		return "", firstDelay, false
	}
	if now.After(a.until) {
		a.issue()
	}
	if len(a.devices) >= mostDevices || subtle.ConstantTimeCompare([]byte(plainCode(code)), []byte(a.code)) != 1 {
		t.delay = min(max(2*t.delay, firstDelay), mostDelay)
		t.next = now.Add(t.delay)
		return "", t.delay, false
	}
	delete(a.tries, from)
	key = rand.Text() + rand.Text()
	a.devices[hashed(key)] = &device{form: a.token(hashed(key))}
	_ = a.store.Seen(hashed(key), now) // else it is in for this run
	a.issue()
	return key, 0, true
}

func hashed(key string) string {
	sum := sha256.Sum256([]byte(key))
	return hex.EncodeToString(sum[:])
}

// known returns the device that sent a request, or nil.
func (a *access) known(r *http.Request) *device {
	c, err := r.Cookie(a.cookie)
	if err != nil {
		return nil
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	d := a.devices[hashed(c.Value)]
	if d != nil {
		_ = a.store.Seen(hashed(c.Value), a.now()) // it writes once a day
	}
	return d
}

// forget shuts out every device.
func (a *access) forget() {
	a.mu.Lock()
	defer a.mu.Unlock()
	clear(a.devices)
	_ = a.store.Forget()
}

// called reports whether the page may be called by this name. The addresses of the
// computer may change while it runs: for a name that is not known they are looked
// up anew, at most once in ten seconds.
func (a *access) called(host string) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.hosts[host] {
		return true
	}
	if now := a.now(); a.renew != nil && now.Sub(a.renewed) >= 10*time.Second {
		a.renewed = now
		a.hosts = a.renew()
	}
	return a.hosts[host]
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

func (b *bucket) take(now time.Time) bool { return b.takeOf(now, atOnce, perSecond) }

// takeOf takes one of so many at once, and so many a second after that.
func (b *bucket) takeOf(now time.Time, most, second float64) bool {
	if b.at.IsZero() {
		b.left = most
	}
	b.left = min(most, b.left+second*max(0, now.Sub(b.at).Seconds()))
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
	from := address(r)
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

// address is where a request comes from.
func address(r *http.Request) string {
	from, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return from
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
		case !a.called(r.Host):
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
