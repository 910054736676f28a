package webserver

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/cmd/markaudit/internal/folder"
)

// pointer presses and types in a browser as a person does, and counts it.
type pointer struct {
	*browser
	walker
	first bool
}

// leads does what leads to another page.
func (p *pointer) leads(t *testing.T, what func()) {
	t.Helper()
	p.eval(`(() => { window.wasHere = 1; return 1; })()`)
	what()
	p.until(`!window.wasHere && document.readyState === "complete" && document.querySelector("h1")`)
	p.looksWell(t)
}

// looksWell checks what holds on every page of the shop: no sideways scrolling at any
// width, one heading, a name for every field, and nothing too small for a thumb.
func (p *pointer) looksWell(t *testing.T) {
	t.Helper()
	if !p.first { // once a page is enough of most
		return
	}
	for _, width := range []int{320, 390, 800, 1280} {
		p.size(width, 844)
		if got := p.eval(`document.documentElement.scrollWidth <= innerWidth`); got != true {
			t.Errorf("%v scrolls sideways at %d: %v", p.eval(`location.pathname`), width, p.eval(`[...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".wide")).map((e) => e.tagName + "." + e.className.baseVal + e.className).slice(0, 3).join(" | ")`))
		}
	}
	p.size(390, 844)
	if got := p.eval(`document.querySelectorAll("h1").length`); got != 1.0 {
		t.Errorf("%v has %v headings", p.eval(`location.pathname`), got)
	}
	if got := p.eval(`[...document.querySelectorAll("input:not([type=hidden]), select")].filter((e) => !e.labels.length && !e.getAttribute("aria-label")).map((e) => e.name).join()`); got != "" {
		t.Errorf("%v: no name for %v", p.eval(`location.pathname`), got)
	}
	if got := p.eval(`[...document.querySelectorAll("button, a.btn")].filter((e) => e.getBoundingClientRect().height < 44 && e.getBoundingClientRect().height > 0).map((e) => e.textContent).join()`); got != "" {
		t.Errorf("%v: too small for a thumb: %v", p.eval(`location.pathname`), got)
	}
	if got := p.eval(`[...document.querySelectorAll("svg[role=img]")].filter((e) => !e.getAttribute("aria-label")).length`); got != 0.0 {
		t.Errorf("%v: %v pictures without words", p.eval(`location.pathname`), got)
	}
	if got := p.eval(`performance.getEntriesByType("resource").filter((e) => !e.name.startsWith(location.origin)).map((e) => e.name).join()`); got != "" {
		t.Errorf("%v loads %v from elsewhere", p.eval(`location.pathname`), got)
	}
}

// taps presses what a selector finds.
func (p *pointer) tap(t *testing.T, selector string) {
	t.Helper()
	p.taps++
	if p.eval(fmt.Sprintf(`(() => { const e = document.querySelector(%q); if (e) e.click(); return !!e; })()`, selector)) != true {
		t.Fatalf("%v has no %s:\n%v", p.eval(`location.pathname`), selector, p.eval(`document.body.innerText`))
	}
}

// writes puts the focus into a field, and types.
func (p *pointer) writes(t *testing.T, name, text string) {
	t.Helper()
	p.keys += len([]rune(text))
	if p.eval(fmt.Sprintf(`(() => { const e = document.querySelector('input[name=%q]'); if (e) { e.focus(); e.value = ""; } return !!e; })()`, name)) != true {
		t.Fatalf("%v has no field %s", p.eval(`location.pathname`), name)
	}
	p.types(text)
}

// answersPage answers the question that is shown.
func (p *pointer) answersPage(t *testing.T) {
	t.Helper()
	at := fmt.Sprint(p.eval(`location.pathname`))
	_, rest, _ := strings.Cut(at, "/ask/")
	pairs, ok := p.e.answers[rest]
	switch {
	case rest == "quarter-turn":
		pairs, ok = []string{"text", p.e.shows(20, 0), "text2", p.e.shows(110, 0)}, true
	case rest == "lines" && len(p.queue) > 0:
		pairs, ok = p.queue[0], true
		p.queue = p.queue[1:]
	case rest == "lines":
		pairs, ok = []string{"choice", "all"}, true
	}
	if !ok {
		t.Fatalf("nobody knows %s", at)
	}
	p.leads(t, func() {
		for n := 0; n < len(pairs); n += 2 {
			name, value := pairs[n], pairs[n+1]
			switch name {
			case "choice":
				p.tap(t, fmt.Sprintf(`button[name="choice"][value="%s"]`, value))
				return
			case "way", "side", "unit":
				p.tap(t, fmt.Sprintf(`input[name="%s"][value="%s"]`, name, value))
			default:
				p.writes(t, name, value)
			}
		}
		p.tap(t, "button.keepit")
	})
}

// atEngine does what the page at the engine says, by its own keypad and buttons.
func (p *pointer) atEngine(t *testing.T, id string) {
	t.Helper()
	for range 300 {
		p.until(awake)
		p.shop.mu.Lock()
		v := p.shop.open[id].rec.State().View()
		p.shop.mu.Unlock()
		if v.Step.Kind == guide.Decide {
			return
		}
		if asks := `button[value="begin"], button[value="nobody"]`; p.eval(fmt.Sprintf(`!!document.querySelector(%q)`, asks)) == true { // the cautions, and who reads
			was := p.eval(fmt.Sprintf(`document.querySelector(%q).value`, asks))
			p.tap(t, asks)
			p.until(fmt.Sprintf(`!document.querySelector('button[value="%v"]')`, was))
			continue
		}
		p.page = fmt.Sprint(p.eval(`document.body.innerHTML`))
		pairs := p.obeys(t, v)
		step := p.eval(`document.body.dataset.step`)
		if pairs[1] == "read" {
			p.typesNumber(t, pairs[3])
			for n := 4; n < len(pairs); n += 2 { // what belongs to the reading
				if name, value := pairs[n], pairs[n+1]; strings.HasSuffix(name, "unit") {
					p.tap(t, fmt.Sprintf(`[name=%q][value=%q]`, name, value))
				} else {
					p.writes(t, name, value)
				}
			}
			p.tap(t, "#go")
		} else {
			selector := fmt.Sprintf(`button[name="do"][value="%s"]`, pairs[1])
			if len(pairs) > 2 {
				p.taps++
				p.eval(fmt.Sprintf(`[...document.querySelectorAll('form')].find((f) => f.elements["text"] && f.elements["text"].value === %q && f.elements["do"]).elements["do"].click()`, pairs[3]))
			} else {
				p.tap(t, selector)
			}
		}
		p.until(fmt.Sprintf(`document.body.dataset.step && document.body.dataset.step !== %q`, step))
	}
	t.Fatal("the readings never end")
}

// typesNumber presses the keys of the page, and takes the device's own for a unit.
func (p *pointer) typesNumber(t *testing.T, text string) {
	t.Helper()
	number, unit, _ := strings.Cut(text, " ")
	if unit != "" {
		p.writes(t, "text", text)
		return
	}
	for n, r := range number {
		if p.eval(fmt.Sprintf(`!!document.querySelector('[data-key=%q]')`, string(r))) == true {
			p.keys++
			p.eval(fmt.Sprintf(`document.querySelector('[data-key=%q]').click()`, string(r)))
		} else { // the fraction has a key of its own
			p.keys++
			p.eval(fmt.Sprintf(`document.querySelector('[data-key=%q]').click()`, number[n:]))
			break
		}
	}
	if got := p.eval(`document.getElementById("text").value`); got != text {
		t.Fatalf("the field holds %v, want %s", got, text)
	}
}

// In a real browser: from the empty folder to the strip and to the proof, by the page's
// own keys and buttons, the beginning by the keyboard alone. It takes minutes, so the
// quick set has it over HTTP.
func TestShopInBrowser(t *testing.T) {
	if os.Getenv("MARKAUDIT_LONG") == "" {
		t.Skip("MARKAUDIT_LONG=1 walks through the shop in a browser")
	}
	for n, e := range standEngines {
		t.Run(e.name, func(t *testing.T) {
			t.Parallel() // a browser each: most of a walk is waiting for a page that sleeps
			b := openBrowser(t)
			s := openShop(t, ShopOptions{Folder: t.TempDir()})
			p := &pointer{browser: b, walker: walker{shopPage: s, e: e, queue: e.lines}, first: n == 0}
			b.call("Page.enable", nil)
			b.size(390, 844)
			b.call("Page.navigate", map[string]any{"url": s.base + "/enter/" + s.code()})
			b.until(`location.pathname === "/" && document.readyState === "complete"`)
			p.looksWell(t)
			p.byKeyboard(t, "Begin a new job")
			b.until(`location.pathname === "/new" && document.readyState === "complete"`)
			p.looksWell(t)
			b.until(`document.activeElement.name === "name"`) // typing can begin at once
			p.keys += len("Test engine")
			p.leads(t, func() { b.types("Test engine\n") })
			for b.eval(`location.pathname.endsWith("/ask/check")`) != true {
				p.answersPage(t)
			}
			p.leads(t, func() { p.tap(t, "a.keepit") })
			id := folder.ID("test-engine.yaml")
			job := jobPath(id)
			p.atEngine(t, id)
			if p.findsTDCByIndicator() { // there is no closing pair, so that it is found once more
				p.takesMore(t, job)
				p.atEngine(t, id)
			}
			b.until(awake)
			if got := fmt.Sprint(b.eval(`document.body.innerText`)); strings.Contains(got, "TOWARDS") {
				t.Errorf("a side is told before the metal was looked at:\n%s", got)
			}
			p.leads(t, func() { p.tap(t, `a[href="`+job+`"].go`) })
			p.page = fmt.Sprint(b.eval(`document.body.innerHTML`))
			way := p.way()
			p.leads(t, func() {
				p.tap(t, `input[name="way"][value="`+way+`"]`)
				p.tap(t, `input[name="rim"][value="yes"]`)
				p.writes(t, "who", "Ruth")
				p.tap(t, `form[action$="/eye"] button.go`)
			})
			text := fmt.Sprint(b.eval(`document.body.innerText`))
			if !strings.Contains(text, "The metal is as the sheet says, Ruth") || !strings.Contains(text, "scribe a new line") {
				t.Fatalf("after the check by eye:\n%s", text)
			}
			if got := b.eval(`fetch("` + job + `strip").then((r) => r.text()).then((t) => t.slice(0, 4))`); got != "%PDF" {
				t.Errorf("the strip begins with %v", got)
			}
			t.Logf("%d taps and %d keys from the empty folder to the strip", p.taps, p.keys)
			if !e.proof {
				return
			}
			p.leads(t, func() { p.tap(t, `form[action$="/scribed"] button[value="yes"]`) })
			p.leads(t, func() { p.tap(t, `form[action$="/proof"] button`) })
			p.e.places = map[string]float64{"TDC": 0, "inject 23": -23.1}
			for b.eval(`location.pathname.endsWith("/ask/check")`) != true {
				p.answersPage(t)
			}
			p.leads(t, func() { p.tap(t, "a.keepit") })
			second := folder.ID("test-engine-2.yaml")
			p.atEngine(t, second)
			b.open(s.base + jobPath(second) + "compare")
			p.looksWell(t)
			if text := fmt.Sprint(b.eval(`document.body.innerText`)); !strings.Contains(text, "as meant") {
				t.Errorf("the comparison says\n%s", text)
			}
			b.open(s.base + "/")
			if text := fmt.Sprint(b.eval(`document.body.innerText`)); !strings.Contains(text, "Scribed and proven") {
				t.Errorf("the list says\n%s", text)
			}
			for _, path := range []string{"/devices", "/end", job + "report", job + "engine/more"} {
				b.open(s.base + path)
				p.looksWell(t)
			}
		})
	}
}

// findsTDCByIndicator reports whether equal drops or a sweep find TDC.
func (p *pointer) findsTDCByIndicator() bool {
	return p.e.answers["stop"][1] == "no" || p.e.answers["backward"][1] == "no"
}

// takesMore goes from the engine to the job, which says what is to be read next, and
// by its button to the readings that it asks for.
func (p *pointer) takesMore(t *testing.T, job string) {
	t.Helper()
	p.until(awake)
	p.leads(t, func() { p.tap(t, `a[href="`+job+`"].go`) })
	if text := fmt.Sprint(p.eval(`document.body.innerText`)); !strings.Contains(text, "once more, the readout left as it is") {
		t.Errorf("the job does not say what to read next:\n%s", text)
	}
	p.leads(t, func() { p.tap(t, `a[href="`+job+`engine/"].go`) })
	p.until(awake)
	step := p.eval(`document.body.dataset.step`)
	p.tap(t, `button.go[name="do"][value="bumped"]`)
	p.until(fmt.Sprintf(`document.body.dataset.step && document.body.dataset.step !== %q`, step))
}

// byKeyboard goes by Tab to a link or button of that name, and presses Enter.
func (p *pointer) byKeyboard(t *testing.T, name string) {
	t.Helper()
	for range 20 {
		p.call("Input.dispatchKeyEvent", map[string]any{"type": "keyDown", "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9})
		p.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9})
		if p.eval(fmt.Sprintf(`document.activeElement.textContent.trim() === %q`, name)) == true {
			if got := p.eval(`getComputedStyle(document.activeElement).outlineStyle`); got == "none" {
				t.Errorf("%s shows no focus", name)
			}
			p.types("\n")
			return
		}
	}
	t.Fatalf("the keyboard does not reach %s", name)
}
