package webserver

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/testsheet"
)

var twoCylinders = strings.Replace(strings.Replace(testsheet.Unfinished, "turns: clockwise", "turns: clockwise\n  cylinders: {1: 0, 6: 90}", 1), "at: 10 BTDC\n", "at: 10 BTDC\n  - {name: TDC 6, at: 0, cylinder: 6}\n", 1)

func (b *browser) tab() {
	for _, kind := range []string{"keyDown", "keyUp"} {
		b.call("Input.dispatchKeyEvent", map[string]any{"type": kind, "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9})
	}
}

// leads does what leads to another page, where no script runs on either.
func (b *browser) leads(what func()) {
	b.t.Helper()
	b.eval(`(() => { window.wasHere = 1; return 1; })()`)
	what()
	b.until(`!window.wasHere && document.readyState === "complete" && document.querySelector("h1")`)
}

// goes presses Tab until a button has the focus, and then Enter.
func (b *browser) goes(t *testing.T, button string) {
	t.Helper()
	for range 60 {
		if b.eval(fmt.Sprintf(`document.activeElement.matches(%q)`, button)) == true {
			if b.eval(`getComputedStyle(document.activeElement).outlineStyle`) == "none" {
				t.Errorf("%s shows no focus", button)
			}
			b.leads(func() { b.types("\n") })
			return
		}
		b.tab()
	}
	t.Fatalf("the keyboard does not reach %s on\n%v", button, b.eval(`document.body.innerText`))
}

// typedAt is what a person types at a field, by its label: made up, on an engine whose
// second cylinder comes 90 degrees later.
func typedAt(label string, n int, second bool) (text, height string) {
	at := func(first string, then int) string {
		if second {
			return fmt.Sprint(then)
		}
		return first
	}
	switch {
	case strings.Contains(label, "contact") && strings.HasSuffix(label, "RUNS"):
		return at("342", 72), ""
	case strings.Contains(label, "contact"):
		return at([]string{"32", "32.5"}[n%2], 122), ""
	case strings.HasPrefix(label, "line TDC 6"):
		return "98", ""
	case strings.HasPrefix(label, "line TDC"):
		return "7", ""
	case strings.HasPrefix(label, "line fire"):
		return "354", ""
	case strings.HasPrefix(label, "line spark"):
		return "4.40", ""
	case label == "drop":
		return "4", ""
	case strings.HasSuffix(label, "before TDC"):
		return "348", ""
	case strings.HasSuffix(label, "after TDC"):
		return "25.5", ""
	case strings.HasPrefix(label, "point"):
		var k int
		_, _ = fmt.Sscanf(label, "point %d", &k)
		return []string{"340", "345", "350", "0", "10", "15", "20", "25", "30"}[k-1], []string{"46.5", "47.5", "48.4", "49.5", "49.3", "48.8", "47.9", "47.0", "45.9"}[k-1]
	case label == "a few degrees further":
		return "4.00", ""
	}
	return "0.01", ""
}

// Whole jobs by the keyboard alone, with scripts off: by a stop, in two cylinders, by
// drops, a sweep and a dial. The quick set has the beginning of the first.
func TestByKeyboardWithoutScripts(t *testing.T) {
	if os.Getenv("MARKAUDIT_LONG") == "" {
		t.Skip("MARKAUDIT_LONG=1 goes through five jobs by the keyboard")
	}
	b := openBrowser(t)
	b.call("Page.enable", nil)
	byKeyboard(t, b, true)
}

func byKeyboard(t *testing.T, b *browser, long bool) {
	t.Helper()
	b.call("Emulation.setScriptExecutionDisabled", map[string]any{"value": true})
	b.size(390, 844)
	for _, job := range []struct{ name, sheet, valves, back string }{
		{"stop", testsheet.Unfinished, "yes", "yes"},
		{"two cylinders", twoCylinders, "yes", "yes"},
		{"drops", rods, "no", "yes"},
		{"sweep", rods, "yes", "no"},
		{"dial", dialed, "", "no"},
	} {
		if !long && job.name != "stop" {
			continue
		}
		t.Run(job.name, func(t *testing.T) {
			b.t = t
			path := testsheet.New(t)
			testsheet.Write(t, path, job.sheet)
			s := openPage(t, path)
			b.call("Page.navigate", map[string]any{"url": s.base + "/enter/" + s.code()})
			b.until(`location.origin === "` + s.base + `" && location.pathname === "/" && document.readyState === "complete"`)
			has := func(selector string) bool {
				return b.eval(fmt.Sprintf(`!!document.querySelector(%q)`, selector)) == true
			}
			says := func(word string) string {
				return fmt.Sprintf(`form:has(input[name="text"][value="%s"]) button[value="answer"]`, word)
			}
			second := false
			for steps, n := 0, 0; !has(".done"); steps++ {
				if steps > 90 {
					t.Fatal("the job does not end")
				}
				if !long && n == 4 {
					break
				}
				text, _ := b.eval(`document.querySelector("main").innerText`).(string)
				label, _ := b.eval(`(document.querySelector('label[for="text"]') || {}).textContent || ""`).(string)
				second = second || strings.Contains(text, "in cylinder 6")
				switch {
				case label != "":
					if has("[data-refused]") {
						t.Fatalf("%s: %s", label, text)
					}
					b.until(`document.activeElement.id === "text"`) // a number can be typed at once
					number, height := typedAt(label, n, second)
					n++
					b.types(number)
					if height != "" {
						b.tab()
						b.types(height)
					}
					if has(`[name="heightunit"], [name="unit"]`) {
						b.tab()
						b.types(" ") // millimetres come first
						b.goes(t, ".keep")
						break
					}
					b.leads(func() { b.types("\n") })
				case has(`button[value="begin"]`):
					b.goes(t, `button[value="begin"]`)
				case has(`button[value="nobody"]`):
					b.goes(t, `button[value="nobody"]`)
				case has(says("out")):
					b.goes(t, says("out"))
				case strings.Contains(text, "Do the valves"):
					b.goes(t, says(job.valves))
				case strings.Contains(text, "May this engine"):
					b.goes(t, says(job.back))
				case has(says("yes")):
					b.goes(t, says("yes"))
				default:
					b.goes(t, `button[value="down"], .confirm button[value="in"], button[value="out"]`)
				}
			}
			rows := strings.Count(testsheet.Contents(t, testsheet.Readings(path)), "\n") - 1
			t.Logf("%d readings", rows)
			if rows < 4 {
				t.Errorf("%d readings", rows)
			}
			s.end()
		})
	}
}
