package webserver

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"markaudit/cmd/markaudit/internal/devices"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// testPage is the page as the command serves it, with one device that is in.
type testPage struct {
	client *http.Client
	base   string // http://127.0.0.1:port
	said   *shownCodes
	clock  testClock
	cancel context.CancelFunc
	ended  chan error
}

// shownCodes is what the terminal shows. Several goroutines may use it.
type shownCodes struct {
	mu    sync.Mutex
	b     bytes.Buffer
	first chan struct{} // closed once a code is shown
}

func (s *shownCodes) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	before := shownAddress.Match(s.b.Bytes())
	n, err := s.b.Write(p)
	if !before && shownAddress.Match(s.b.Bytes()) {
		close(s.first)
	}
	return n, err
}

func (s *shownCodes) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

var shownAddress = regexp.MustCompile(`(http://127\.0\.0\.1:\d+)/enter/([\w-]+)\n`)

// code is the latest that the terminal shows.
func (s *testPage) code() string {
	all := shownAddress.FindAllStringSubmatch(s.said.String(), -1)
	return all[len(all)-1][2]
}

// testClock is what the access goes by. At each look a second has gone by, so that
// no request comes too soon, unless it stands.
type testClock struct {
	seconds atomic.Int64
	stands  atomic.Bool
}

func (c *testClock) now() time.Time {
	if !c.stands.Load() {
		c.seconds.Add(1)
	}
	return testsheet.Noon().Add(time.Duration(c.seconds.Load()) * time.Second)
}

// hang is when a test gives up on what never comes.
const hang = time.Minute

// endless patience keeps a slow device for as long as a test may take.
var endless = patience{read: time.Hour, write: time.Hour, idle: time.Hour}

func openPage(t testing.TB, path string) *testPage {
	t.Helper()
	return openPageOf(t, path, nil)
}

// openPageOf serves the page with what earlier runs remember of devices.
func openPageOf(t testing.TB, path string, store *devices.Store) *testPage {
	t.Helper()
	return openPageWith(t, path, Options{Devices: store})
}

// openPageWith serves the page with options.
func openPageWith(t testing.TB, path string, o Options) *testPage {
	t.Helper()
	o.Software, o.Paper = "markaudit", 0.1
	env := world.System()
	env.Clock = testsheet.Noon
	r, err := recorder.Open(env, path)
	if err != nil {
		t.Fatal(err)
	}
	s := &testPage{said: &shownCodes{first: make(chan struct{})}, ended: make(chan error, 1)}
	var ctx context.Context
	ctx, s.cancel = context.WithCancel(context.Background())
	go func() {
		err := serve(ctx, r, s.said, o, s.clock.now, endless)
		r.Close()
		s.ended <- err
	}()
	t.Cleanup(s.cancel)
	select {
	case <-s.said.first:
	case err := <-s.ended:
		t.Fatalf("the page ended before it showed a code: %v", err)
	case <-time.After(hang):
		t.Fatal("no code is shown")
	}
	s.base = shownAddress.FindStringSubmatch(s.said.String())[1]
	s.client = s.device(t)
	return s
}

// end stops the page as Ctrl-C does.
func (s *testPage) end() {
	s.cancel()
	<-s.ended
}

// device is another browser that enters with the code of the moment.
func (s *testPage) device(t testing.TB) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &http.Client{Jar: jar, Timeout: hang}
	if status, _ := fetch(t, c, s.base, "/enter/"+s.code()); status != http.StatusOK {
		t.Fatalf("the code does not let in: status %d", status)
	}
	return c
}

func fetch(t testing.TB, c *http.Client, base, path string) (int, string) {
	t.Helper()
	r, err := http.NewRequest(http.MethodGet, base+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", "text/html") // as a browser that opens a page
	answer, err := c.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, bodyOf(t, answer)
}

func bodyOf(t testing.TB, answer *http.Response) string {
	t.Helper()
	body, err := io.ReadAll(answer.Body)
	_ = answer.Body.Close()
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

var hidden = regexp.MustCompile(`name="step" value="([\w-]+)"><input type="hidden" name="t" value="(\w+)"`)

// press fills in a form of the page and sends it.
func (s *testPage) press(t testing.TB, form url.Values) (int, string) {
	t.Helper()
	_, page := fetch(t, s.client, s.base, "/more") // it has forms at every step
	m := hidden.FindStringSubmatch(page)
	if m == nil {
		t.Fatalf("the page has no form:\n%s", page)
	}
	form.Set("step", m[1])
	form.Set("t", m[2])
	return s.post(t, s.client, form)
}

// post sends a form, and follows to the page where it was taken.
func (s *testPage) post(t testing.TB, c *http.Client, form url.Values) (int, string) {
	t.Helper()
	answer, err := c.PostForm(s.base+"/do", form)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, bodyOf(t, answer)
}

// Nobody gets in who was not let in, and nothing that is sent from outside
// changes a reading.
func TestAttacks(t *testing.T) {
	path := testsheet.New(t)
	s := openPage(t, path)
	for _, form := range []string{"do=in", "do=read&text=338"} {
		v, _ := url.ParseQuery(form)
		if status, body := s.press(t, v); status != http.StatusOK {
			t.Fatalf("%s: status %d: %s", form, status, body)
		}
	}
	file := testsheet.Readings(path)
	before := testsheet.Contents(t, file)
	_, page := fetch(t, s.client, s.base, "/")
	m := hidden.FindStringSubmatch(page)
	host := strings.TrimPrefix(s.base, "http://")
	cookies := s.client.Jar.Cookies(&url.URL{Scheme: "http", Host: host, Path: "/"})
	if len(cookies) != 1 {
		t.Fatalf("got %d cookies", len(cookies))
	}
	good := "step=" + m[1] + "&t=" + m[2] + "&do=read&text=22"
	tests := []struct {
		name, method, path, body string
		change                   func(r *http.Request)
		want                     int
	}{
		{"no code", "GET", "/", "", func(r *http.Request) { r.Header.Del("Cookie") }, 403},
		{"no code, a change", "POST", "/do", good, func(r *http.Request) { r.Header.Del("Cookie") }, 403},
		{"wrong cookie", "POST", "/do", good, func(r *http.Request) { r.Header.Set("Cookie", cookies[0].Name+"=AAAA") }, 403},
		{"wrong host", "GET", "/", "", func(r *http.Request) { r.Host = "evil.example" }, 421},
		{"wrong host, a change", "POST", "/do", good, func(r *http.Request) { r.Host = "evil.example:80" }, 421},
		{"host without its port", "GET", "/", "", func(r *http.Request) { r.Host = "127.0.0.1" }, 421},
		{"form of another page", "POST", "/do", good, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"form of another origin", "POST", "/do", good, func(r *http.Request) { r.Header.Set("Origin", "http://evil.example") }, 403},
		{"form of no origin", "POST", "/do", good, func(r *http.Request) { r.Header.Set("Origin", "null") }, 403},
		{"no token", "POST", "/do", "step=" + m[1] + "&do=read&text=22", nil, 403},
		{"wrong token", "POST", "/do", "step=" + m[1] + "&t=AAAA&do=read&text=22", nil, 403},
		{"token in the address", "POST", "/do?" + good, "", nil, 403},
		{"stale form", "POST", "/do", strings.Replace(good, "step="+m[1], "step=0", 1), nil, 409},
		{"no identity", "POST", "/do", "t=" + m[2] + "&do=read&text=22", nil, 409},
		{"change by address", "GET", "/do?" + good, "", nil, 404},
		{"traversal", "GET", "/../../../../etc/passwd", "", nil, 404},
		{"traversal, escaped", "GET", "/%2e%2e/%2e%2e/mill.yaml", "", nil, 404},
		{"the file itself", "GET", "/mill.csv", "", nil, 404},
		{"program's files", "GET", "/web/page.html", "", nil, 404},
		{"oversize", "POST", "/do", good + "&note=" + strings.Repeat("a", 1<<20), nil, 413},
		{"broken form", "POST", "/do", "%zz", nil, 400},
		{"nothing to do", "POST", "/do", "step=" + m[1] + "&t=" + m[2] + "&do=format", nil, 422},
		{"no number", "POST", "/do", "step=" + m[1] + "&t=" + m[2] + "&do=read&text=<script>", nil, 422},
		{"other method", "DELETE", "/", "", nil, 405},
		{"trace", "TRACE", "/", "", nil, 405},
		{"long header", "GET", "/", "", func(r *http.Request) { r.Header.Set("X-A", strings.Repeat("a", 100<<10)) }, 431},
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r, err := http.NewRequest(tt.method, s.base+tt.path, strings.NewReader(tt.body))
			if err != nil {
				t.Fatal(err)
			}
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.AddCookie(cookies[0])
			if tt.change != nil {
				tt.change(r)
			}
			answer, err := client.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			body, _ := io.ReadAll(answer.Body)
			_ = answer.Body.Close()
			if answer.StatusCode != tt.want {
				t.Errorf("got status %d, want %d: %s", answer.StatusCode, tt.want, body)
			}
			if strings.Contains(string(body), "<script>") {
				t.Error("what was typed comes back unescaped")
			}
			if answer.StatusCode == 403 && strings.Contains(string(body), "338") {
				t.Error("a stranger sees a reading")
			}
		})
	}
	if got := testsheet.Contents(t, file); got != before {
		t.Errorf("the readings became\n%s", got)
	}

	t.Run("a used code", func(t *testing.T) {
		first := shownAddress.FindStringSubmatch(s.said.String())[2]
		if status, _ := fetch(t, http.DefaultClient, s.base, "/enter/"+first); status != http.StatusForbidden {
			t.Errorf("got status %d, want 403", status)
		}
	})
	t.Run("guessed codes", func(t *testing.T) {
		s.clock.stands.Store(true)
		for range 200 {
			_, _ = fetch(t, http.DefaultClient, s.base, "/enter/AAAA-BBBB")
		}
		if status, body := fetch(t, http.DefaultClient, s.base, "/enter/"+s.code()); status != http.StatusForbidden && status != http.StatusTooManyRequests {
			t.Errorf("the right code at once after wrong ones: status %d: %s", status, body)
		}
		s.clock.stands.Store(false)
		s.clock.seconds.Add(60)
		s.client = s.device(t) // the door is not shut for good
		if status, _ := fetch(t, s.client, s.base, "/"); status != http.StatusOK {
			t.Errorf("the device that was in is out: status %d", status)
		}
	})
	t.Run("pictures on foreign pages", func(t *testing.T) {
		for range 30 {
			r, _ := http.NewRequest("GET", s.base+"/enter/AAAA-BBBB", nil)
			r.Header.Set("Accept", "image/*,*/*;q=0.8")
			answer, err := http.DefaultClient.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			_ = answer.Body.Close()
		}
		s.client = s.device(t) // at once: none of them was a try
	})
	t.Run("a code as a person types it", func(t *testing.T) {
		for _, typed := range []func(string) string{
			strings.ToLower, func(c string) string { return strings.ReplaceAll(c, "-", "") + "/" }, func(c string) string { return " " + strings.Replace(c, "-", " ", 1) },
		} {
			r, _ := http.NewRequest("POST", s.base+"/enter", strings.NewReader(url.Values{"code": {typed(s.code())}}.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.Header.Set("Accept", "text/html")
			answer, err := http.DefaultClient.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			if body := bodyOf(t, answer); answer.StatusCode != http.StatusOK || !strings.Contains(body, "This device is in") {
				t.Errorf("status %d: %s", answer.StatusCode, body)
			}
		}
	})
	t.Run("slow clients", func(t *testing.T) {
		for range 200 {
			c, err := net.Dial("tcp", host)
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close()
			_, _ = io.WriteString(c, "POST /do HTTP/1.1\r\nHost: "+host+"\r\nContent-Length: 1000\r\n")
		}
		// None of them is given up meanwhile: the page has endless patience.
		if status, _ := fetch(t, s.client, s.base, "/"); status != http.StatusOK {
			t.Errorf("beside 200 slow ones: status %d", status)
		}
	})
	t.Run("ten thousand requests", func(t *testing.T) {
		s.clock.stands.Store(true) // all come within a moment
		defer s.clock.stands.Store(false)
		var in, strange, hurried atomic.Int64
		var wg sync.WaitGroup
		for range 8 {
			wg.Go(func() {
				c := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 8}}
				for i := range 1250 {
					r, _ := http.NewRequest("POST", s.base+"/do", strings.NewReader(good))
					r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
					r.AddCookie(&http.Cookie{Name: cookies[0].Name, Value: strconv.Itoa(i)})
					answer, err := c.Do(r)
					if err != nil {
						continue
					}
					_, _ = io.Copy(io.Discard, answer.Body)
					_ = answer.Body.Close()
					switch answer.StatusCode {
					case http.StatusForbidden:
						strange.Add(1)
					case http.StatusTooManyRequests:
						hurried.Add(1)
					default:
						in.Add(1)
					}
				}
			})
		}
		wg.Wait()
		if in.Load() > 0 || strange.Load() > atOnce || hurried.Load() < 9000 {
			t.Errorf("%d got in, %d were looked at, %d came too soon", in.Load(), strange.Load(), hurried.Load())
		}
		if status, _ := fetch(t, s.client, s.base, "/"); status != http.StatusOK {
			t.Errorf("afterwards the device that is in gets status %d", status)
		}
	})
	if got := testsheet.Contents(t, file); got != before {
		t.Errorf("the readings became\n%s", got)
	}
	if status, _ := s.press(t, url.Values{"do": {"read"}, "text": {"22"}}); status != http.StatusOK {
		t.Errorf("work does not go on: status %d", status)
	}
	s.end()
	if got := testsheet.Contents(t, file); strings.Count(got, "\n") != 3 {
		t.Errorf("at the end the readings are\n%s", got)
	}
}

// Two devices see one state, and neither can overwrite what the other did.
func TestTwoDevices(t *testing.T) {
	s := openPage(t, testsheet.New(t))
	tablet, phone := s.client, s.device(t)
	_, _ = s.press(t, url.Values{"do": {"in"}})
	_, old := fetch(t, phone, s.base, "/")
	if _, body := s.press(t, url.Values{"do": {"read"}, "text": {"338"}}); !strings.Contains(body, "KEPT ✓ 338 contact 1, THE WAY IT RUNS") {
		t.Errorf("the tablet is not told:\n%s", body)
	}
	m := hidden.FindStringSubmatch(old)
	stale := url.Values{"do": {"read"}, "text": {"337.5"}, "step": {m[1]}, "t": {m[2]}, "what": {"Pair 1, forward contact"}}
	status, body := s.post(t, phone, stale)
	if status != http.StatusConflict || !strings.Contains(body, "337.5 for Pair 1, forward contact was NOT taken") || !strings.Contains(body, "pair 1, forward: 338") {
		t.Errorf("the stale form of the phone: status %d:\n%s", status, body)
	}
	if strings.Contains(body, `value="337.5"`) {
		t.Error("the number waits in the field of the next step")
	}
	if other := hidden.FindStringSubmatch(body); other[2] == hidden.FindStringSubmatch(mustPage(t, tablet, s.base))[2] {
		t.Error("two devices have one token")
	}
	if status, _ = s.post(t, tablet, url.Values{"do": {"undo"}, "step": {m[1]}, "t": {m[2]}}); status != http.StatusForbidden {
		t.Errorf("the phone's token from the tablet: status %d, want 403", status)
	}
}

func mustPage(t *testing.T, c *http.Client, base string) string {
	_, body := fetch(t, c, base, "/")
	return body
}

// What destroys takes two taps: striking and a new setup show first what they do, and
// do nothing by themselves.
func TestTwoTaps(t *testing.T) {
	s := openPage(t, testsheet.New(t))
	for _, form := range []url.Values{{"do": {"in"}}, {"do": {"read"}, "text": {"338"}}} {
		_, _ = s.press(t, form)
	}
	for path, want := range map[string]string{
		"/strike?row=1&text=hand+slipped": "Strike reading 1?", "/strike?row=2&text=x": "No such reading", "/strike?row=x": "No such reading", "/strike?row=1": "Why is reading 1 not to be trusted?",
		"/newsetup": "Begin a new setup?",
	} {
		if status, body := fetch(t, s.client, s.base, path); status != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("%s: status %d:\n%s", path, status, body)
		}
	}
	if _, body := fetch(t, s.client, s.base, "/readings"); strings.Contains(body, "struck") || !strings.Contains(body, "338") {
		t.Errorf("it was struck by the first tap:\n%s", body)
	}
	for _, list := range []string{"/readings", "/more"} { // the first tap is on its number
		if _, body := fetch(t, s.client, s.base, list); !strings.Contains(body, `href="/strike?row=1"`) {
			t.Errorf("%s offers no row to strike:\n%s", list, body)
		}
	}
	if status, body := s.press(t, url.Values{"do": {"strike"}, "row": {"1"}, "text": {"hand slipped"}}); status != http.StatusOK || !strings.Contains(body, "TAKEN BACK ↶ struck") {
		t.Errorf("the second tap: status %d:\n%s", status, body)
	}
}

// Names and notes are text, whatever they hold.
func TestHostileTexts(t *testing.T) {
	path := testsheet.New(t)
	s := openPage(t, path)
	evil := "<img src=x onerror=alert(1)>\r\n1,B,9,stop,forward,1,,,"
	for _, form := range []url.Values{
		{"do": {"by"}, "text": {evil}},
		{"do": {"in"}},
		{"do": {"read"}, "text": {"338"}, "note": {evil}},
		{"do": {"strike"}, "row": {"1"}, "text": {evil}},
	} {
		if status, body := s.press(t, form); status != http.StatusOK {
			t.Errorf("%v: status %d: %s", form, status, body)
		}
	}
	for _, page := range []string{"/", "/readings", "/report", "/more", "/undo"} {
		if _, body := fetch(t, s.client, s.base, page); strings.Contains(body, "<img") {
			t.Errorf("%s carries the text as HTML", page)
		}
	}
	s.end()
	if file := testsheet.Contents(t, testsheet.Readings(path)); strings.Count(file, "\n") != 2 {
		t.Errorf("a text became a row:\n%s", file)
	}
}
