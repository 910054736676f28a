package webserver

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/testsheet"
)

// standEngine is an engine with a person who does what the page says. Its numbers are
// made up; what counts is that one line is scribed wrong by a known amount.
type standEngine struct {
	name      string
	answers   map[string][]string // what is typed and pressed at a question: names and values
	lines     [][]string          // of the lines, in turn
	places    map[string]float64  // where each line is really, in degrees ATDC
	clockwise bool
	fixed     bool    // the scale stands still
	round     float64 // what the readout shows a turn: 360, or the way round the rim
	unit      string
	step      float64
	wrong     string  // the line that is to be scribed anew, and
	off       float64 // by how much it comes up late, in degrees
	proof     bool
	pairs     int // that are taken; zero for what the page asks for
}

const (
	standStroke = 120.0
	standRod    = 230.0
	standArc    = 25.0 // half of what the stop blocks, in degrees
	standZero   = 7.0  // what the readout shows at TDC, in degrees
)

// shows is the readout at a crank angle; n jitters it by less than the step, as a hand
// does.
func (e standEngine) shows(at float64, n int) string {
	x := (standZero + at + []float64{0, 0.12, -0.1, 0.05, -0.14}[n%5]) * e.round / 360
	x = math.Round(x/e.step) * e.step
	x = math.Mod(math.Mod(x, e.round)+e.round, e.round)
	text := strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", x), "0"), ".")
	if e.unit != "" {
		text += " " + e.unit
	}
	return text
}

// below is how far the piston stands below its top, in millimetres.
func below(at float64) float64 {
	a, r := at*math.Pi/180, standStroke/2
	return r + standRod - r*math.Cos(a) - math.Sqrt(standRod*standRod-r*r*math.Sin(a)*math.Sin(a))
}

// dropAt is the angle at which it stands that far below.
func dropAt(drop float64) float64 {
	low, high := 0.0, 90.0
	for range 60 {
		if mid := (low + high) / 2; below(mid) < drop {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// common are answers that most engines share.
func answersWith(more map[string][]string) map[string][]string {
	all := map[string][]string{
		"carries": {"choice", "flywheel"}, "seen-from": {"choice", "flywheel end"}, "turns": {"choice", "clockwise"}, "btdc-lines": {"choice", "clockwise"},
		"readout": {"choice", "wheel"}, "step": {"choice", "0.5"}, "numbered": {"choice", "round"}, "tolerance": {"text", "1.0"},
		"rim": {"way", "across", "text", "520", "limit", "1", "unit", "mm"}, "ring": {"choice", "no"}, "cylinders": {"choice", "one"}, "window": {"choice", "no"},
		"backward": {"choice", "yes"}, "stop": {"choice", "yes"}, "stroke": {"text", "120", "unit", "mm"}, "rod": {"text", "230", "unit", "mm"}, "same": {"choice", "yes"},
	}
	for key, pairs := range more {
		all[key] = pairs
	}
	return all
}

var standEngines = []standEngine{
	{
		name: "a flywheel and a wheel", answers: answersWith(nil), clockwise: true, round: 360, step: 0.5, wrong: "inject 23", off: -3, proof: true,
		lines: [][]string{{"name", "TDC", "side", "TDC"}, {"name", "inject 23", "text", "23", "side", "BTDC"}}, places: map[string]float64{"TDC": 0, "inject 23": -26},
	},
	{
		name: "a scale that stands still", answers: answersWith(map[string][]string{"carries": {"choice", "scale"}, "btdc-lines": {"choice", "anticlockwise"}}),
		clockwise: true, fixed: true, round: 360, step: 0.5, wrong: "spark 15", off: 3,
		lines: [][]string{{"name", "T", "side", "TDC"}, {"name", "spark 15", "text", "15", "side", "BTDC"}}, places: map[string]float64{"T": 0, "spark 15": -12},
	},
	{
		name: "a tape along the rim", answers: answersWith(map[string][]string{
			"readout": {"choice", "tape"}, "step": {"choice", "0.5 mm"}, "turns": {"choice", "anticlockwise"}, "btdc-lines": {"choice", "anticlockwise"},
		}),
		round: 520 * math.Pi, unit: "mm", step: 0.5, wrong: "fire 20", off: -6,
		lines: [][]string{{"name", "TDC", "side", "TDC"}, {"name", "fire 20", "text", "20", "side", "BTDC"}}, places: map[string]float64{"TDC": 0, "fire 20": -26},
	},
	{
		name: "valves that meet a stop: equal drops", answers: answersWith(map[string][]string{"stop": {"choice", "no"}}),
		clockwise: true, round: 360, step: 0.5, wrong: "inject 20", off: 4,
		lines: [][]string{{"name", "TDC", "side", "TDC"}, {"name", "inject 20", "text", "20", "side", "BTDC"}}, places: map[string]float64{"TDC": 0, "inject 20": -16},
	},
	{
		name: "never backward: a sweep", answers: answersWith(map[string][]string{"backward": {"choice", "no"}}),
		clockwise: true, round: 360, step: 0.5, wrong: "inject 20", off: 4,
		lines: [][]string{{"name", "TDC", "side", "TDC"}, {"name", "inject 20", "text", "20", "side", "BTDC"}}, places: map[string]float64{"TDC": 0, "inject 20": -16},
	},
}

// walker leads a job through the page, and counts what is pressed and typed.
type walker struct {
	*shopPage
	e          standEngine
	taps, keys int
	queue      [][]string
	n          int  // readings so far
	in         bool // the stop is in
}

// pressed counts a form: a tap for each choice and one for the button, a key for each
// letter.
func (w *walker) pressed(pairs []string) {
	w.taps++
	for n := 0; n < len(pairs); n += 2 {
		switch pairs[n] {
		case "choice", "do", "answer", "again", "sure":
			continue
		case "text", "text2", "height":
			number := pairs[n+1]
			if pairs[0] == "do" && pairs[1] != "read" {
				continue // a word on a button
			}
			if _, fraction, ok := strings.Cut(number, "."); ok {
				w.keys -= len(fraction) // the fraction has a key of its own
			}
			w.keys += len([]rune(number))
		case "way", "side", "unit", "rim", "heightunit":
			w.taps++
		default:
			w.keys += len([]rune(pairs[n+1]))
		}
	}
}

// ask answers questions until all are answered, and begins to measure.
func (w *walker) ask(t *testing.T) {
	t.Helper()
	for range 80 {
		_, rest, _ := strings.Cut(w.at, "/ask/")
		base, _, _ := strings.Cut(w.at, "/ask")
		if rest == "check" {
			link := regexp.MustCompile(`<a class="btn go keepit" href="([^"]+)">All right`).FindStringSubmatch(w.page)
			if link == nil {
				t.Fatalf("not all is answered:\n%s", w.page)
			}
			w.taps++
			w.get(t, link[1])
			return
		}
		pairs, ok := w.e.answers[rest]
		switch {
		case rest == "quarter-turn":
			pairs, ok = []string{"text", w.e.shows(20, 0), "text2", w.e.shows(110, 0)}, true
		case rest == "lines" && len(w.queue) > 0:
			pairs, ok = w.queue[0], true
			w.queue = w.queue[1:]
		case rest == "lines":
			pairs, ok = []string{"choice", "all"}, true
		}
		if !ok {
			t.Fatalf("nobody knows %s:\n%s", w.at, w.page)
		}
		w.pressed(pairs)
		if code := w.send(t, base+"/answer", pairs...); code != http.StatusOK {
			t.Fatalf("%s: status %d:\n%s", rest, code, w.page)
		}
	}
	t.Fatal("the questions never end")
}

// measure does what the page at the engine says until all is read.
func (w *walker) measure(t *testing.T, id string) {
	t.Helper()
	base := jobPath(id) + "engine"
	for range 200 {
		if code := w.get(t, base+"/"); code != http.StatusOK {
			t.Fatalf("status %d:\n%s", code, w.page)
		}
		w.shop.mu.Lock()
		v := w.shop.open[id].rec.State().View()
		w.shop.mu.Unlock()
		if v.Step.Kind == guide.Decide {
			return
		}
		if strings.Contains(w.page, `value="nobody"`) { // who reads: once a sitting
			w.taps++
			w.do1(t, base, []string{"do", "nobody"})
			continue
		}
		pairs := w.obeys(t, v)
		w.pressed(pairs)
		w.do1(t, base, pairs)
	}
	t.Fatal("the readings never end")
}

func (w *walker) do1(t *testing.T, base string, pairs []string) {
	t.Helper()
	form := url.Values{}
	for _, h := range hiddenField.FindAllStringSubmatch(w.page, -1) {
		if h[1] == "step" || h[1] == "t" || h[1] == "what" {
			form.Set(h[1], h[2])
		}
	}
	for n := 0; n < len(pairs); n += 2 {
		form.Set(pairs[n], pairs[n+1])
	}
	if code := w.postTo(t, base+"/do", form); code != http.StatusOK {
		t.Fatalf("%v: status %d:\n%s", pairs, code, w.page)
	}
}

// obeys is what answers a step.
func (w *walker) obeys(t *testing.T, v guide.View) []string {
	t.Helper()
	step := v.Step
	w.n++
	says := func(word string) []string { return []string{"do", "answer", "text", word} }
	reads := func(at float64, more ...string) []string {
		return append([]string{"do", "read", "text", w.e.shows(at, w.n)}, more...)
	}
	switch step.Kind {
	case guide.Lower:
		return []string{"do", "down"}
	case guide.Fit:
		w.in = true
		return []string{"do", "in"}
	case guide.TakeOut:
		if v.Pairs < w.e.pairs && step.Item != "" && step.Item != "quarter turn" {
			return []string{"do", "next", "text", "stop", "sure", "in"}
		}
		w.in = false
		return []string{"do", "out"}
	case guide.Ask:
		switch step.Question {
		case guide.Touched:
			return says("no")
		case guide.WhereStop:
			if w.in {
				return says("in")
			}
			return says("out")
		case guide.Where: // the last contact was backward
			return says("with")
		case guide.HoleEmpty, guide.LastLook, guide.LookedAgain:
			return says("yes")
		case guide.HowDeep:
			return []string{"do", "read", "text", "4", "unit", "mm"}
		}
		t.Fatalf("nobody knows question %d:\n%s", step.Question, w.page)
	}
	way := -1.0
	if step.Approach == sheet.Backward {
		way = 1
	}
	switch {
	case step.Item == "stop" || step.Item == "closing":
		return reads(way * standArc)
	case step.Item == "drop":
		at := dropAt(4)
		if step.Side == "before" {
			at = -at
		}
		return reads(at)
	case step.Item == "sweep":
		if step.Number > 13 {
			return []string{"do", "skip"}
		}
		at := -30 + 5*float64(step.Number-1)
		pairs := reads(at, "height", fmt.Sprintf("%.2f", 50-below(at)))
		if strings.Contains(w.page, `name="heightunit"`) {
			pairs = append(pairs, "heightunit", "mm")
		}
		return pairs
	}
	return reads(w.e.places[step.Item])
}

var fingers = regexp.MustCompile(`finger on line (.+?)\. Go from it to line (.+?), the shorter way`)

// way is what the metal shows: which way the finger goes, or the line passes.
func (w *walker) way() string {
	running := w.e.clockwise
	along := true
	if m := fingers.FindStringSubmatch(w.page); m != nil {
		// What comes up later lies behind on a part that turns, ahead on a scale.
		gap := math.Remainder(w.e.places[m[2]]-w.e.places[m[1]], 360)
		along = gap < 0 != w.e.fixed
	}
	if running == along {
		return "clockwise"
	}
	return "anticlockwise"
}

// looks answers the check by eye from the metal.
func (w *walker) looks(t *testing.T, job string) {
	t.Helper()
	pairs := []string{"way", w.way(), "rim", "yes", "who", "Ruth"}
	w.pressed(pairs)
	if code := w.send(t, job+"eye", pairs...); code != http.StatusOK {
		t.Fatalf("status %d:\n%s", code, w.page)
	}
}

// From the empty folder to the strip, for five kinds of engine, without a script; the
// first goes on to its proof and to the comparison of both. The quick set has that one
// alone.
func TestFromNothingToTheStrip(t *testing.T) {
	for n, e := range standEngines {
		t.Run(e.name, func(t *testing.T) {
			if n > 0 && os.Getenv("MARKAUDIT_LONG") == "" {
				t.Skip("MARKAUDIT_LONG=1 walks through all kinds of engine")
			}
			dir := t.TempDir()
			w := &walker{shopPage: openShop(t, ShopOptions{Folder: dir}), e: e, queue: e.lines}
			w.get(t, "/")
			w.shows(t, "No job lies in this folder yet", "Begin a new job")
			w.get(t, "/new")
			w.send(t, "/new", "name", "Test engine")
			file := "test-engine.yaml"
			id := folder.ID(file)
			job := jobPath(id)
			w.get(t, job)
			w.shows(t, `aria-current="step">Questions`, "Answers are still open")
			w.get(t, job+"ask")
			w.ask(t)
			w.measure(t, id)
			if w.get(t, job); strings.Contains(w.page, "Take more readings</a></p>") { // there is no closing pair, so that TDC is found once more
				w.hides(t, "stop back in", "closing pair") // the valves may meet it
				w.shows(t, "once more, the readout left as it is")
				w.get(t, job+"engine/")
				w.shows(t, "once more, the readout left alone</button>")
				w.do1(t, job+"engine", []string{"do", "bumped", "text", guide.Refitted})
				w.measure(t, id)
			}
			w.get(t, "/")
			w.shows(t, "Test engine", "1 of 2 lines is off by too much", "Look at the metal")
			w.hides(t, "TOWARDS")
			w.get(t, job)
			w.looks(t, job)
			w.shows(t, "The metal is as the sheet says", e.wrong+": ", "cribe a new line", `class="newline"`)
			// A line that comes up late is scribed further on in the running direction, an
			// early one back; on a scale that stands still it is the other way.
			along := (e.off > 0) != e.fixed
			side := "ANTICLOCKWISE of the old one"
			if along == e.clockwise {
				side = " CLOCKWISE of the old one"
			}
			w.shows(t, side)
			if w.get(t, job+"strip"); !strings.HasPrefix(w.page, "%PDF") {
				t.Fatalf("no strip: %.300s", w.page)
			}
			if !e.proof {
				return
			}
			w.get(t, job)
			w.send(t, job+"scribed", "answer", "yes", "who", "Ruth")
			w.send(t, job+"proof")
			w.e.places = map[string]float64{"TDC": 0, "inject 23": -23.1} // it was scribed
			w.ask(t)
			second := folder.ID("test-engine-2.yaml")
			w.measure(t, second)
			w.get(t, jobPath(second))
			w.shows(t, "All lines are within", "reads the new lines of")
			w.get(t, jobPath(second)+"compare")
			w.shows(t, "LINE BY LINE", "inject 23", "CHANGED")
			w.get(t, job)
			w.shows(t, "Scribed and proven")
			w.get(t, "/")
			w.shows(t, "Scribed and proven", "All lines are within")
			if text := testsheet.Contents(t, filepath.Join(dir, file)); !strings.Contains(text, "readings: test-engine.csv") {
				t.Errorf("the sheet is\n%s", text)
			}
		})
	}
}

// What six lines, five pairs and three rounds cost from nothing to the strip: taps of
// choices and buttons, and keys of names and numbers. The bounds are what was counted;
// a change that asks for more must say so.
func TestCountsFromNothingToTheStrip(t *testing.T) {
	if os.Getenv("MARKAUDIT_LONG") == "" {
		t.Skip("MARKAUDIT_LONG=1 counts")
	}
	e := standEngines[0]
	e.lines, e.places, e.pairs = nil, map[string]float64{}, 5
	for n, at := range []string{"TDC", "10", "14", "18", "23", "30"} {
		name := []string{"TDC", "A", "B", "C", "D", "E"}[n]
		line := []string{"name", name, "text", at, "side", "BTDC"}
		if at == "TDC" {
			line = []string{"name", name, "side", "TDC"}
			at = "0"
		}
		e.lines = append(e.lines, line)
		place := 0.0
		_, _ = fmt.Sscan(at, &place)
		e.places[name] = -place
	}
	e.places["D"] -= 3
	w := &walker{shopPage: openShop(t, ShopOptions{Folder: t.TempDir()}), e: e, queue: e.lines}
	w.taps, w.keys = 2, len("Test engine") // begin a new job, its name, go on
	w.get(t, "/new")
	w.send(t, "/new", "name", "Test engine")
	w.ask(t)
	before := [2]int{w.taps, w.keys}
	id := folder.ID("test-engine.yaml")
	if w.get(t, jobPath(id)+"engine/"); strings.Contains(w.page, `value="begin"`) {
		w.taps++ // the cautions
	}
	w.measure(t, id)
	engine := [2]int{w.taps - before[0], w.keys - before[1]}
	w.taps++ // the result
	w.get(t, jobPath(id))
	w.looks(t, jobPath(id))
	w.taps++
	if w.get(t, jobPath(id)+"strip"); !strings.HasPrefix(w.page, "%PDF") {
		t.Fatalf("no strip: %.300s", w.page)
	}
	readings := strings.Count(testsheet.Contents(t, filepath.Join(w.shop.folder.Path(), "test-engine.csv")), "\n") - 1
	t.Logf("questions %d taps, %d keys; engine %d taps, %d keys for %d readings; in all %d taps, %d keys", before[0], before[1], engine[0], engine[1], readings, w.taps, w.keys)
	if readings != 30 || w.taps > 85 || w.keys > 125 {
		t.Errorf("%d readings, %d taps, %d keys", readings, w.taps, w.keys)
	}
}
