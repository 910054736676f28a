package webserver

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/websocket"

	"markaudit/cmd/markaudit/internal/testsheet"
)

// browser is a page in a browser without a window, led by its debugging protocol.
type browser struct {
	t    *testing.T
	ws   *websocket.Conn
	next int
}

var devTools = regexp.MustCompile(`ws://(127\.0\.0\.1:\d+)/`)

// openBrowser starts a browser; the test is skipped where there is none, and in the
// quick set: a browser makes one wait.
func openBrowser(t *testing.T) *browser {
	if os.Getenv("MARKAUDIT_LONG") == "" {
		t.Skip("MARKAUDIT_LONG=1 opens a browser")
	}
	var name string
	for _, n := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(n); err == nil {
			name = path
		}
	}
	if name == "" {
		t.Skip("needs a browser")
	}
	profile, err := os.MkdirTemp("", "browser")
	if err != nil {
		t.Fatal(err)
	}
	// Its children may still write there for a moment after it was killed.
	t.Cleanup(func() { _ = os.RemoveAll(profile) })
	c := exec.Command(name, "--headless", "--no-sandbox", "--disable-gpu", "--remote-allow-origins=*", "--remote-debugging-port=0", "--user-data-dir="+profile, "about:blank")
	out, err := c.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Skip("the browser does not start:", err)
	}
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
	})
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		m := devTools.FindStringSubmatch(lines.Text())
		if m == nil {
			continue
		}
		go func() {
			for lines.Scan() { // it may go on talking
			}
		}()
		answer, err := http.Get("http://" + m[1] + "/json/list")
		if err != nil {
			t.Fatal(err)
		}
		var pages []struct {
			Type string `json:"type"`
			URL  string `json:"webSocketDebuggerUrl"`
		}
		err = json.NewDecoder(answer.Body).Decode(&pages)
		_ = answer.Body.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pages {
			if p.Type == "page" {
				ws, err := websocket.Dial(p.URL, "", "http://127.0.0.1")
				if err != nil {
					t.Fatal(err)
				}
				return &browser{t: t, ws: ws}
			}
		}
	}
	t.Skip("the browser says no address")
	return nil
}

// call calls a method of the protocol.
func (b *browser) call(method string, params map[string]any) json.RawMessage {
	b.t.Helper()
	b.next++
	if err := websocket.JSON.Send(b.ws, map[string]any{"id": b.next, "method": method, "params": params}); err != nil {
		b.t.Fatal(err)
	}
	for {
		var answer struct {
			ID     int             `json:"id"`
			Result json.RawMessage `json:"result"`
			Error  json.RawMessage `json:"error"`
		}
		if err := websocket.JSON.Receive(b.ws, &answer); err != nil {
			b.t.Fatal(err)
		}
		if answer.ID == b.next {
			if strings.Contains(string(answer.Error), "navigated") {
				return nil // the page goes on to another one
			}
			if answer.Error != nil {
				b.t.Fatalf("%s: %s", method, answer.Error)
			}
			return answer.Result
		}
	}
}

// eval returns what an expression gives on the page.
func (b *browser) eval(expression string) any {
	b.t.Helper()
	var answer struct {
		Result    struct{ Value any }
		Exception json.RawMessage `json:"exceptionDetails"`
	}
	data := b.call("Runtime.evaluate", map[string]any{"expression": expression, "awaitPromise": true, "returnByValue": true})
	if data == nil {
		return nil
	}
	if err := json.Unmarshal(data, &answer); err != nil {
		b.t.Fatal(err)
	}
	if answer.Exception != nil {
		b.t.Fatalf("%s: %s", expression, answer.Exception)
	}
	return answer.Result.Value
}

// until waits on the page for something to be so.
func (b *browser) until(condition string) {
	b.t.Helper()
	for range 1500 { // half a minute of a page that does nothing
		if b.eval(`!!(`+condition+`)`) == true {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	b.t.Fatalf("%v waits in vain for %s:\n%v", b.eval(`location.pathname`), condition, b.eval(`document.body.innerText`))
}

const awake = `document.body && document.body.dataset.step && document.readyState === "complete" && !document.body.classList.contains("asleep") && document.documentElement.classList.contains("js")`

func (b *browser) open(address string) {
	b.t.Helper()
	b.call("Page.navigate", map[string]any{"url": address})
	b.until(`location.href === ` + fmt.Sprintf("%q", address) + ` && document.readyState === "complete"`)
}

// leavesNameOut answers who reads, which a device is asked before its first number.
func (b *browser) leavesNameOut() {
	b.t.Helper()
	b.until(awake)
	b.until(`document.querySelector('button[value="nobody"]')`)
	b.eval(`document.querySelector('button[value="nobody"]').click()`)
	b.until(`document.getElementById("go")`)
	b.until(awake)
}

func (b *browser) size(width, height int) {
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false})
}

// types presses keys as a keyboard does, without a pause.
func (b *browser) types(text string) {
	for _, r := range text {
		key, typed := string(r), string(r)
		if r == '\n' {
			key, typed = "Enter", "\r"
		}
		b.call("Input.dispatchKeyEvent", map[string]any{"type": "keyDown", "key": key, "text": typed})
		b.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": key})
	}
}

// atKeep tells what lies at five points of where Keep was.
const atKeep = `(() => { const r = window.keepWas; return [[.5,.5],[.1,.2],[.9,.2],[.1,.8],[.9,.8]].map(([x, y]) => { const e = document.elementFromPoint(r.x + x * r.width, r.y + y * r.height); const c = e && e.closest("button, a, input, select, summary"); return c ? c.textContent.trim() || c.id : ""; }).join("|"); })()`

// A browser at the engine: the keypad, a second tap on Keep, a computer that does
// not answer, a readout that types, in three sizes. Then the questions of a new job.
func TestBrowser(t *testing.T) {
	b := openBrowser(t)
	path := testsheet.New(t)
	s := openPage(t, path)
	b.call("Page.enable", nil)
	b.call("Network.enable", nil)
	b.call("Page.navigate", map[string]any{"url": s.base + "/enter/" + s.code()}) // which goes on by itself
	b.until(`location.pathname === "/"`)
	b.until(awake)
	press := func(form string) {
		v, err := url.ParseQuery(form)
		if err != nil {
			t.Fatal(err)
		}
		if status, body := s.press(t, v); status != http.StatusOK {
			t.Fatalf("%s: status %d: %s", form, status, body)
		}
	}
	rows := func() int { return strings.Count(testsheet.Contents(t, testsheet.Readings(path)), "\n") - 1 }
	for _, form := range []string{"do=answer&text=out", "do=answer&text=yes", "do=answer&text=yes", "do=answer&text=yes", "do=down", "do=in"} {
		press(form)
	}
	b.open(s.base + "/")
	b.leavesNameOut()
	for _, size := range [][2]int{{390, 844}, {390, 664}, {800, 1280}, {1280, 800}} {
		b.size(size[0], size[1])
		if got := b.eval(`(() => { const r = document.getElementById("go").getBoundingClientRect(); window.keepWas = r; return r.bottom <= innerHeight && r.right <= innerWidth && document.documentElement.scrollWidth <= innerWidth && document.getElementById("task").getBoundingClientRect().bottom <= innerHeight; })()`); got != true {
			t.Errorf("%v: Keep or the task is out of sight", size)
		}
		if got := b.eval(atKeep); got != "Keep|Keep|Keep|Keep|Keep" {
			t.Errorf("%v: where Keep is lies %v", size, got)
		}
		if got := b.eval(`document.getElementById("text").value`); got != "" {
			t.Errorf("%v: the field holds %v, which nobody typed", size, got)
		}
	}

	// The keypad, and two taps on Keep at once.
	b.eval(`for (const k of ["3", "3", "8", ".5"]) document.querySelector('[data-key="' + k + '"]').click()`)
	b.eval(`document.getElementById("go").click(); document.getElementById("go").click()`)
	b.until(`document.querySelector("[data-kept]")`)
	if got := b.eval(`document.querySelector("[data-kept]").textContent`); got != "KEPT ✓ 338.5 contact 1, THE WAY IT RUNS" || rows() != 1 {
		t.Errorf("got %v and %d readings", got, rows())
	}

	b.reads(t, "a number", "KEPT ✓ 338.5 contact 1, THE WAY IT RUNS")

	// A computer that does not answer.
	b.until(awake)
	b.call("Network.emulateNetworkConditions", map[string]any{"offline": true, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1})
	b.types("22\n")
	b.until(`document.querySelector(".waits")`)
	if got := b.eval(`document.querySelector(".waits").textContent`); !strings.Contains(got.(string), "WAIT HERE") || !strings.Contains(got.(string), "22 is not kept yet") {
		t.Errorf("it says %v", got)
	}
	b.call("Network.emulateNetworkConditions", map[string]any{"offline": false, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1})
	b.until(`document.querySelector("[data-kept]") && !document.querySelector(".waits")`)
	if rows() != 2 {
		t.Errorf("%d readings, want the one that was held kept once", rows())
	}

	// A readout that types two numbers at once: the second is a card.
	b.until(awake)
	b.types("338\n21.9\n")
	b.until(`document.querySelector(".card")`)
	b.until(`document.querySelector("[data-kept]").textContent.includes("338 contact 2")`)
	if got := b.eval(`document.querySelector(".card p").textContent`); got != "21.9 came at once after 338." || rows() != 3 {
		t.Errorf("got %v and %d readings", got, rows())
	}
	b.until(awake)
	b.eval(`document.querySelector('[data-card="take"]').click()`)
	if got := b.eval(`document.getElementById("text").value`); got != "21.9" {
		t.Errorf("the card gave %v", got)
	}
	b.types("\n")
	b.until(`document.querySelector("[data-kept]").textContent.includes("21.9 contact 2")`)

	// Where Keep was, no step that is answered by a button has anything to press.
	for _, size := range [][2]int{{390, 844}, {800, 1280}, {1280, 800}} {
		b.size(size[0], size[1])
		b.eval(`(() => { window.keepWas = document.getElementById("go").getBoundingClientRect(); return 1; })()`)
		b.eval(`fetch("/undo").then((r) => r.text()).then((html) => { const was = window.keepWas; document.body.replaceWith(new DOMParser().parseFromString(html, "text/html").body); window.keepWas = was; return 1; })`)
		if got := b.eval(atKeep); got != "||||" {
			t.Errorf("%v: where Keep was lies %v", size, got)
		}
		b.open(s.base + "/")
		b.until(awake)
	}
	if n := rows(); n != 4 {
		t.Errorf("got %d readings, want 4", n)
	}
	// What is refused is said; every page can be read aloud and left again.
	b.types("1.2.3\n")
	b.until(`document.querySelector("[data-refused]")`)
	b.reads(t, "a refusal", "Not taken: ")
	for _, path := range []string{"/", "/more", "/undo", "/knocked", "/newsetup", "/readings", "/devices", "/strike?row=1&text=slipped"} {
		b.open(s.base + path)
		b.reads(t, path, "")
		b.size(320, 640)
		if b.eval(`document.documentElement.scrollWidth <= innerWidth`) != true {
			t.Errorf("%s scrolls sideways at 320", path)
		}
		b.size(390, 844)
	}
	handsFreeInBrowser(t, b)
	manyLinesInBrowser(t, b)
	asksInBrowser(t, b)
	byKeyboard(t, b, false)
}
