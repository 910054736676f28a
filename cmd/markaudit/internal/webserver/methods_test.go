package webserver

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

var rods = strings.Replace(testsheet.Unfinished, "turns: clockwise", "turns: clockwise\n  stroke: 120 mm\n  rod: 230 mm", 1)

const dialed = `engine: {turns: clockwise, stroke: 120 mm, rod: 230 mm}
part: {marks_on: part, btdc_lines: clockwise}
readout:
  kind: dial
  step: 0.01 mm
limits:
  tolerance: 2
marks:
  - name: spark
    at: 20 BTDC
`

var (
	tagsOf = regexp.MustCompile(`<[^>]*>`)
	drawn  = regexp.MustCompile(`(?s)<svg.*?</svg>`)
)

// page is what a person reads at an address.
func (d *direct) reads(t *testing.T, path string) (html, text string) {
	t.Helper()
	w := httptest.NewRecorder()
	d.server.page(w, httptest.NewRequest(http.MethodGet, path, nil), d.device)
	if w.Code != http.StatusOK {
		t.Fatalf("%s: status %d: %s", path, w.Code, w.Body)
	}
	html = w.Body.String()
	return html, tagsOf.ReplaceAllString(drawn.ReplaceAllString(html, ""), " ")
}

// Where TDC is found without a stop, no step speaks of one: not its plate, not a
// button, not the hole's words. Wherever the engine is turned, it can be said that it
// does not move. Where turning back is forbidden, nothing offers it.
func TestStepsWithoutAStop(t *testing.T) {
	for _, job := range []struct{ name, sheet, valves, back, never string }{
		{"dial", dialed, "", "no", `\bstop\b|[Bb]ackward|plug hole`},
		{"drops", rods, "no", "yes", `stop is OUT|the stop|[Cc]ontact|plug hole|refitted`},
		{"sweep", rods, "yes", "no", `stop is OUT|[Cc]ontact|plug hole|[Bb]ackward`},
	} {
		t.Run(job.name, func(t *testing.T) {
			path := testsheet.New(t)
			testsheet.Write(t, path, job.sheet)
			r, err := recorder.Open(world.System(), path)
			if err != nil {
				t.Fatal(err)
			}
			defer r.Close()
			d := &direct{&server{rec: r}, &device{form: "form"}}
			r.Begin()
			d.press(t, url.Values{"do": {"nobody"}}) // who reads is asked of every device
			never := regexp.MustCompile(job.never)
			turned, looked := 0, false
			for range 60 {
				v := r.State().View()
				step := v.Step
				form := url.Values{"do": {"answer"}, "text": {"yes"}}
				asked := step.Question == guide.WhereStop || step.Question == guide.HoleEmpty || step.Question == guide.Valves || step.Question == guide.TurnBack
				switch {
				case step.Question == guide.WhereStop:
					form.Set("text", "out")
				case step.Question == guide.Valves:
					form.Set("text", job.valves)
				case step.Question == guide.TurnBack:
					form.Set("text", job.back)
				case step.Question == guide.HowDeep:
					form = url.Values{"do": {"read"}, "text": {"4"}, "unit": {"mm"}}
				case step.Question == guide.FurtherOn:
					form = url.Values{"do": {"read"}, "text": {"4.00"}}
				case step.Kind == guide.Take:
					form = url.Values{"do": {"read"}, "text": {map[string]string{"before": "348", "after": "25.5"}[step.Side]}}
					switch step.Item {
					case "top", "closing":
						form.Set("text", "0.01")
					case "sweep":
						n := step.Number
						form.Set("text", []string{"340", "345", "350", "0", "10", "15", "20", "25", "30"}[n-1])
						form.Set("height", []string{"46.5", "47.5", "48.4", "49.5", "49.3", "48.8", "47.9", "47.0", "45.9"}[n-1]+" mm")
					case "TDC":
						form.Set("text", "7")
					case "fire 10":
						form.Set("text", "354")
					case "spark":
						form.Set("text", "4.40")
					}
				}
				html, text := d.reads(t, "/")
				if !asked && step.Kind != guide.Decide {
					if bad := never.FindString(text); bad != "" {
						t.Errorf("%+v says %q:\n%s", step, bad, text)
					}
				}
				if strings.Contains(html, `class="plate out"`) && !asked {
					t.Errorf("%+v shows the plate of a stop that is out", step)
				}
				if strings.Contains(html, `<h1 id="task" tabindex="-1"></h1>`) {
					t.Errorf("%+v has no headline", step)
				}
				if step.Kind == guide.Take || step.Question == guide.FurtherOn {
					turned++
					if !strings.Contains(html, `value="stuck"`) {
						t.Errorf("%+v lacks the button for an engine that does not move", step)
					}
				}
				if !looked && step.Kind == guide.Take {
					looked = true
					for _, other := range []string{"/more", "/knocked", "/newsetup"} {
						html, text := d.reads(t, other)
						if _, after, ok := strings.Cut(text, "<main"); ok {
							text = after
						}
						if other == "/more" {
							html, _, _ = strings.Cut(html, "<h2>Cautions")
							if job.back == "no" && strings.Contains(html, `value="backward"`) {
								t.Errorf("%s offers turning back", other)
							}
							if strings.Contains(html, `<option value="stop">`) {
								t.Errorf("%s offers a contact", other)
							}
						} else if bad := never.FindString(text); bad != "" {
							t.Errorf("%s says %q:\n%s", other, bad, text)
						}
					}
				}
				if step.Kind == guide.Decide {
					if turned < 7 {
						t.Errorf("the engine was turned %d times only", turned)
					}
					return
				}
				d.press(t, form)
			}
			t.Fatalf("the job does not end, at %+v", r.State().View().Step)
		})
	}
}

// Who has read the cautions and then lost the program does not read them again; the
// engine's page opens at its first step.
func TestCautionsAreReadOnce(t *testing.T) {
	path := testsheet.New(t)
	for n, want := range []bool{true, false} {
		r, err := recorder.Open(world.System(), path)
		if err != nil {
			t.Fatal(err)
		}
		d := &direct{&server{rec: r}, &device{form: "form"}}
		html, _ := d.reads(t, "/")
		if got := strings.Contains(html, `value="begin"`); got != want {
			t.Errorf("opened %d times: cautions %v, want %v", n+1, got, want)
		}
		if want {
			d.press(t, url.Values{"do": {"begin"}})
		}
		r.Close() // as a kill would: nothing else was said
	}
}

// What is refused or looks odd is said in the words of the page, not in those of the
// terminal.
func TestRefusalsInWordsOfThePage(t *testing.T) {
	s := openPage(t, testsheet.New(t))
	for _, form := range []string{"do=answer&text=in", "do=answer&text=neither"} {
		v, err := url.ParseQuery(form)
		if err != nil {
			t.Fatal(err)
		}
		if _, page := s.press(t, v); strings.Contains(form, "neither") && (!strings.Contains(page, "say under More that it is out") || strings.Contains(page, "`") || strings.Contains(page, "hint:")) {
			t.Errorf("got\n%s", page)
		}
	}
}

// Enough is a state of the screen: where the stop comes out because the contacts are
// enough, the doubt is shown with its goal.
func TestEnoughShowsTheDoubt(t *testing.T) {
	s := openPage(t, testsheet.New(t))
	page := ""
	for _, form := range []string{"do=answer&text=in", "do=answer&text=both", "do=read&text=338", "do=read&text=22", "do=read&text=338", "do=read&text=22", "do=read&text=338", "do=read&text=22"} {
		v, err := url.ParseQuery(form)
		if err != nil {
			t.Fatal(err)
		}
		_, page = s.press(t, v)
	}
	for _, want := range []string{"Enough. Take the stop out", "3 contacts each way: TDC ±", `class="P"`} {
		if !strings.Contains(page, want) {
			t.Errorf("no %s in\n%s", want, page)
		}
	}
}
