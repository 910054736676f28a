// Package browser drives the page at the engine in a real browser. It is a
// module of its own, so that the program's stays small: `go test .` in this
// folder. Without Chromium the tests are skipped.
package browser

import (
	"bufio"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

const form = `title: Winch engine, crank pulley
engine:
  turns: clockwise
part:
  marks_on: part
  seen_from: pulley end
  diameter: 158.0 ± 0.2 mm
readout:
  step: 0.5
  counts: up
limits:
  tolerance: 1
marks:
  - name: 1-6
    at: 0
  - name: 2-5
    at: 120
  - name: fire 10
    at: 10 BTDC
`

// chromium is the browser, or the test is skipped.
func chromium(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("needs Chromium")
	return ""
}

// program builds markaudit.
func program(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "markaudit")
	build := exec.Command("go", "build", "-buildvcs=false", "-o", path, "./cmd/markaudit")
	build.Dir = "../.."
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return path
}

var address = regexp.MustCompile(`http://127\.0\.0\.1:\d+/enter/\w+`)

// bench starts the page on a new sheet and returns its address and the sheet.
func bench(t *testing.T, markaudit string) (at, sheet string) {
	t.Helper()
	sheet = filepath.Join(t.TempDir(), "winch.yaml")
	if err := os.WriteFile(sheet, []byte(form), 0o666); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(markaudit, "bench", sheet)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
	})
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if at = address.FindString(lines.Text()); at != "" {
			return at, sheet
		}
	}
	t.Fatal("the program shows no address")
	return "", ""
}

// tab opens a browser of its own.
func tab(t *testing.T, path string, flags ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("disable-background-networking", true))
	ctx, end := chromedp.NewExecAllocator(context.Background(), append(options, flags...)...)
	t.Cleanup(end)
	ctx, end = chromedp.NewContext(ctx)
	t.Cleanup(end)
	ctx, end = context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(end)
	return ctx
}

func do(t *testing.T, ctx context.Context, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, actions...); err != nil {
		t.Fatal(err)
	}
}

func text(t *testing.T, ctx context.Context, selector string) string {
	t.Helper()
	s, err := chromedp.Run(ctx, chromedp.Text(selector))
	if err != nil {
		t.Fatalf("%s: %v", selector, err)
	}
	return s
}

// press does one step of the script and waits for the page that answers. A
// number goes into the field and ends with enter, as a readout types it.
func press(t *testing.T, ctx context.Context, what string) {
	t.Helper()
	before, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.body.dataset.version`))
	if err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(what[:1], "0123456789") {
		do(t, ctx, chromedp.SendKeys("#text", what+"\r"))
	} else {
		do(t, ctx, chromedp.Click(what))
	}
	for range 200 {
		now, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.readyState === "complete" && document.body ? document.body.dataset.version : ""`))
		if err == nil && now != "" && now != before {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatalf("%s: the page did not go on from version %s: %s", what, before, text(t, ctx, "main"))
}

// shots keeps a screenshot, where the person who runs the tests asked for them.
func shot(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err != nil {
		t.Fatal(err)
	}
	if folder := os.Getenv("MARKAUDIT_SHOTS"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name+".png"), png, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// script is the whole job, from the empty sheet to the closing pair.
var script = []string{
	"button[value=clockwise]", "10", "100",
	"button[value=in]", "338", "22", "338.5", "22.5", "338", "22", "338.5", "22", "338", "22",
	"button[value=out]",
	"120.5", "353", "0.5", "120.5", "353.5", "0", "121", "353", "0.5",
	"button[value=in]", "338", "22",
}

var sizes = []struct {
	name          string
	width, height int64
}{{"phone", 390, 844}, {"phone-landscape", 844, 390}, {"tablet", 820, 1180}, {"desktop", 1440, 900}}

// The whole job on screens of every size: each step is answered, nothing is
// wider than the screen, everything to press is large enough for a glove.
func TestWholeJob(t *testing.T) {
	path, markaudit := chromium(t), program(t)
	for _, size := range sizes {
		t.Run(size.name, func(t *testing.T) {
			at, sheet := bench(t, markaudit)
			ctx := tab(t, path)
			do(t, ctx, chromedp.EmulateViewport(size.width, size.height), chromedp.Navigate(at), chromedp.WaitVisible("#task"))
			shot(t, ctx, size.name+"-0-start")
			for i, what := range script {
				press(t, ctx, what)
				switch i {
				case 3, 12, 16:
					shot(t, ctx, size.name+"-"+string(rune('a'+i))+"-step")
				}
				fits(t, ctx, what)
			}
			if got := text(t, ctx, "#task"); got != "All read" {
				t.Errorf("the job ends with %q", got)
			}
			for _, want := range []string{"fire 10", "outside", "within", "early", "late"} {
				if page := text(t, ctx, "main"); !strings.Contains(page, want) {
					t.Errorf("the page lacks %q", want)
				}
			}
			shot(t, ctx, size.name+"-y-end")
			strip, err := chromedp.Run(ctx, chromedp.Evaluate[string](`(() => {
				const ask = new XMLHttpRequest()
				ask.open("GET", document.querySelector('a[href="/strip"]').href, false)
				ask.send()
				return ask.getResponseHeader("Content-Type") + " " + ask.responseText.slice(0, 5)
			})()`))
			if err != nil || strip != "application/pdf %PDF-" {
				t.Errorf("the strip is %q (%v)", strip, err)
			}
			do(t, ctx, chromedp.Click(`a[href="/report"]`), chromedp.WaitVisible("h1"))
			if got := text(t, ctx, "main"); !strings.Contains(got, "WHAT TO DO") || !strings.Contains(got, "CAUTION") {
				t.Errorf("the report is %s", got)
			}
			shot(t, ctx, size.name+"-z-report")
			fits(t, ctx, "report")
			if rows, err := os.ReadFile(strings.TrimSuffix(sheet, ".yaml") + ".csv"); err != nil || strings.Count(string(rows), "\n") != 22 {
				t.Errorf("got %v, want the header and 21 readings:\n%s", err, rows)
			}
		})
	}
}

// fits reports what is wider than the screen, or too small to press.
func fits(t *testing.T, ctx context.Context, after string) {
	t.Helper()
	wide, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`document.documentElement.scrollWidth > innerWidth`))
	if err != nil {
		t.Fatal(err)
	}
	if wide {
		t.Errorf("after %s the page is wider than the screen", after)
	}
	// 48 pixels is some 9 mm on a phone; with gloves wanted at least that.
	small, err := chromedp.Run(ctx, chromedp.Evaluate[string](`[...document.querySelectorAll("button, summary, a.big, input:not([type=hidden]):not([type=radio]), select")]
		.filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 48).map((e) => e.outerHTML).join("\n")`))
	if err != nil {
		t.Fatal(err)
	}
	if small != "" {
		t.Errorf("after %s too small to press: %s", after, small)
	}
}

// Without scripts the job goes the same way, and with the keyboard alone.
func TestWithoutScripts(t *testing.T) {
	path, markaudit := chromium(t), program(t)
	at, sheet := bench(t, markaudit)
	ctx := tab(t, path, chromedp.Flag("blink-settings", "scriptEnabled=false"))
	do(t, ctx, chromedp.Navigate(at), chromedp.WaitVisible("#task"))
	rows := strings.TrimSuffix(sheet, ".yaml") + ".csv"
	step := func(want string, action chromedp.Action[chromedp.Void]) {
		t.Helper()
		do(t, ctx, action)
		for range 200 {
			if got, err := chromedp.Run(ctx, chromedp.Text("#task")); err == nil && got == want {
				return
			}
			time.Sleep(20 * time.Millisecond)
		}
		t.Fatalf("the page does not come to %q", want)
	}
	press := func(selector string) chromedp.Action[chromedp.Void] { return chromedp.SendKeys(selector, "\r") } // enter on a button
	do(t, ctx, press("button[value=clockwise]"), chromedp.WaitVisible("#text"))
	do(t, ctx, press("button[value=skip]"))
	step("Pair 1, forward contact", press("button[value=in]"))
	step("Pair 1, backward contact", chromedp.SendKeys("#text", "338\r"))
	step("Pair 2, forward contact", chromedp.SendKeys("#text", "22\r"))
	if data, err := os.ReadFile(rows); err != nil || strings.Count(string(data), "\n") != 3 {
		t.Errorf("got %v:\n%s", err, data)
	}
}

// What a screen reader and a keyboard need: every field has its label, the
// figure its words, the entry its focus, the page its language and headings.
func TestAccessible(t *testing.T) {
	path, markaudit := chromium(t), program(t)
	at, _ := bench(t, markaudit)
	ctx := tab(t, path)
	do(t, ctx, chromedp.Navigate(at), chromedp.WaitVisible("#task"))
	for _, what := range script[:5] {
		press(t, ctx, what)
	}
	for name, check := range map[string]string{
		"fields without a label":        `[...document.querySelectorAll("input:not([type=hidden]), select")].every((e) => e.labels.length > 0)`,
		"buttons without words":         `[...document.querySelectorAll("button")].every((e) => e.textContent.trim() !== "")`,
		"the figure has no words":       `document.querySelector("svg[role=img]").getAttribute("aria-label").includes("belongs at")`,
		"the entry has not the focus":   `document.activeElement.id === "text"`,
		"no language":                   `document.documentElement.lang === "en"`,
		"not one heading of the first":  `document.querySelectorAll("h1").length === 1`,
		"something from elsewhere":      `performance.getEntriesByType("resource").every((r) => new URL(r.name).host === location.host)`,
		"the cookie shows to scripts":   `document.cookie === ""`,
		"a double id":                   `(() => { const ids = [...document.querySelectorAll("[id]")].map((e) => e.id); return new Set(ids).size === ids.length })()`,
		"headings without their region": `[...document.querySelectorAll("section")].every((s) => document.getElementById(s.getAttribute("aria-labelledby")))`,
	} {
		good, err := chromedp.Run(ctx, chromedp.Evaluate[bool](check))
		if err != nil || !good {
			t.Errorf("%s (%v)", name, err)
		}
	}
}
