package paper

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"markaudit/audit/readout"
	"markaudit/audit/report/drawing"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// boxesOf counts the boxes of each frame in a band of a page, from where one text stands
// to where another does.
func boxesOf(t *testing.T, s drawing.Scene, from, to string) (thin, thick int) {
	t.Helper()
	top, bottom := geometry.Length(-1), geometry.Length(-1)
	for _, item := range s.Items {
		if x, ok := item.(drawing.Text); ok && strings.HasPrefix(x.Text, from) {
			top = x.At.Y
		} else if ok && strings.HasPrefix(x.Text, to) {
			bottom = x.At.Y
		}
	}
	if top < 0 || bottom < top {
		t.Fatalf("%q at %v, %q at %v", from, top, to, bottom)
	}
	for _, item := range s.Items {
		x, ok := item.(drawing.Polygon)
		if !ok || len(x.Points) != 4 || x.Points[2].Y < top || x.Points[2].Y > bottom {
			continue
		}
		switch x.Stroke {
		case cellStroke:
			thin++
		case mustStroke:
			thick++
		}
	}
	return thin, thick
}

// What goes into the hole is one question with three answers, of which one is true: who
// works without a stop has one box, and no way past NOT SURE. A piston that may meet a
// valve is a caution that nobody can cross as not there, on the forms of the studies too.
func TestFormAsksWhatGoesIn(t *testing.T) {
	start := Form()[startPage-1]
	if thin, thick := boxesOf(t, start, "What goes in the hole, clear", "Backward NO"); thin != 0 || thick != 3 {
		t.Errorf("%d thin and %d thick boxes for what goes in", thin, thick)
	}
	for _, answer := range []string{"|a STOP:|", "|an INDICATOR:|", "|NOT SURE, or not|", "|clear: DO NOT START|"} {
		if strings.Count(said(start), answer) != 1 {
			t.Errorf("%q is not there once", answer)
		}
	}
	for _, s := range []drawing.Scene{start, StudyForm{"stop", [][]string{{"tool", "setup"}}}.forms()[0].scene, StudyForm{"wheel", [][]string{{"reference"}}}.forms()[0].scene} {
		boxes, texts := areas(s)
		beside := 0
		for _, x := range texts {
			if !strings.HasPrefix(x.text, "Cam drive on") {
				continue
			}
			for _, b := range boxes {
				if b.top < x.bottom && b.bottom > x.top && b.right < x.left && b.left > x.left-40 {
					beside++
				}
			}
		}
		if beside != 1 || !strings.Contains(said(s), "NOT SURE of the timing: DO NOT TURN") {
			t.Errorf("%s: %d boxes beside the piston and the valves", s.Title, beside)
		}
	}
}

// A step that makes safe has a thick frame beside its name: 1, 2, 4, 6, 7 and 9.
func TestStepsAreThick(t *testing.T) {
	name := regexp.MustCompile(`^([1-9])  [A-Z ]*(DOWN|IN|OUT|AGAIN)(:.*)?$`)
	steps := ""
	for i, s := range Form() {
		for _, item := range s.Items {
			x, ok := item.(drawing.Text)
			if !ok || i+1 < stopPage || i+1 > sweepEndPage || x.Size != 3.8 {
				continue
			}
			m := name.FindStringSubmatch(x.Text)
			if m == nil {
				continue
			}
			steps += m[1]
			thick := false
			for _, item := range s.Items {
				b, ok := item.(drawing.Polygon)
				thick = thick || ok && b.Stroke == mustStroke && b.Points[0].Y < x.At.Y && b.Points[2].Y > x.At.Y && math.Abs((x.At.X-b.Points[2].X).Millimetres()) < 2
			}
			if !thick {
				t.Errorf("page %d: %q has no thick frame", i+1, x.Text)
			}
		}
	}
	if steps != "124679"+"124679"+"124"+"679" {
		t.Errorf("steps %s", steps)
	}
}

// In a sweep nobody takes the tip out for a point that was gone past: half of the points
// would be of another seat. Once more round is for lines. The indicator has travel left,
// and a number counts only while it touches; the better way to turn is said where it is
// asked (rising, bearing slack drops out: docs/method.md).
func TestFormOfASweepIsOnePass(t *testing.T) {
	pages := Form()
	text := said(pages[sweepPage-1])
	inTurn(t, text, "NO TURNING BACK", "Gone past a point: read where you stand. One pass, tip stays in.", "1  PISTON WELL DOWN", "After a trial, good or not: tip OUT, turn on until the piston is down, tip in.", "or by a trial over", "every 3 to 4", "16 to 21 points", "only while the tip touches the", "piston")
	if strings.Contains(strings.ToLower(text), "round, tip") || strings.Contains(text, "once more round") {
		t.Error("a sweep is told to go round again")
	}
	inTurn(t, said(pages[sweepEndPage-1]), "Gone past a line: once more round", "8  THE SWEEP AGAIN", "one pass", "read where you stand", "Tip lost: strike all", "on a copy of this page", "Remarks")
	for _, page := range []int{dropsPage, sweepPage} {
		inTurn(t, said(pages[page-1]), "Turn on", "till it touches. Travel LEFT at top?", "Try gently; runs out: halt, lift the tip", "Turned:", "RISING: better, if it may turn back")
	}
	inTurn(t, said(pages[dropsPage-1]), "Gone past: leave that pair empty", "The tip must touch", "0.1 mm (0.004 in)", "Gone past? Once more round, or 10° back if allowed")
}

// The count of points and their spacing fit each other and the cells: 60 degrees, every 3
// or 4, by hand.
func TestPointsOfASweep(t *testing.T) {
	cells := len(regexp.MustCompile(`°`).FindAllString(said(Form()[sweepPage-1]), -1))
	if few, many := 60/4+1, 60/3+1; few != 16 || many != 21 || many > cells {
		t.Errorf("%d to %d points in %d cells", few, many, cells)
	}
}

// A fortieth and a fifteenth of the stroke are half arcs between those that the bench
// page calls poor (10 degrees) and 30, whatever the size. The example is of 80 mm.
func TestDropsGrowWithTheStroke(t *testing.T) {
	inTurn(t, said(Form()[dropsPage-1]), "1/40, 1/15 of the stroke (80 mm: 2, 5 mm)")
	for _, stroke := range []geometry.Length{50, 80, 300} {
		for _, rod := range []geometry.Length{1.3, 1.65, 3.5} {
			c := geometry.Crank{Stroke: stroke, Rod: rod * stroke}
			for _, part := range []geometry.Length{40, 15} {
				before, after, err := c.Contacts(stroke / part)
				if err != nil {
					t.Fatal(err)
				}
				if half := (after - before).Abs() / 2; half < 14 || half > 30 {
					t.Errorf("stroke %v, rod %v, 1/%v: half arc %v", stroke, c.Rod, part, half)
				}
			}
		}
	}
	if 80.0/40 != 2 || math.Round(80.0/15) != 5 {
		t.Error("the example")
	}
}

// What makes the ± honest on any engine stands above, and apart from, what few have.
func TestLimitsStandApart(t *testing.T) {
	pages := Form()
	text := said(pages[limitsPage-1])
	inTurn(t, text, "on ANY engine. Empty: counts as nothing, ± too small", "How far may your eye misread", "part.sighting", "limits.contact", "Head on: usual are ± 0.04 mm in a sound bore, ± 0.1 mm in a loose one", "limits.slack", "0.2 mm", "Only if it applies", "readout.measured")
	if title, _, _ := strings.Cut(text, "page 9 of 9"); strings.Contains(title, "applies") || strings.Contains(title, "leave it empty") {
		t.Errorf("the page is headed %q", title)
	}
	if rare := said(pages[rarePartPage-1]); strings.Contains(rare, "any engine") || strings.Contains(rare, "sighting") {
		t.Error("what any engine has stands among what few have")
	}
}

// A place without a side is taken for after TDC, so the form wants the side of each. A
// cylinder alone is refused where the page of cylinders is empty and the lines name none,
// so it is typed in as a note there.
func TestFormIsReadAsItSays(t *testing.T) {
	const head = "engine:\n  turns: clockwise\npart:\n  marks_on: part\nreadout:\n  step: 0.5\n  counts: up\nlimits:\n  tolerance: 1\nmarks:\n  - name: T\n    at: "
	const tail = "\nsetups:\n  - stop:\n      forward: [338]\n      backward: [22]\n"
	read := func(at, setup string) (sheet.Sheet, error) {
		s, _, err := sheet.Read("form", []byte(head+at+tail+setup), nil)
		return s, err
	}
	plain, err := read("10", "")
	if err != nil {
		t.Fatal(err)
	}
	after, err := read("10 ATDC", "")
	if err != nil {
		t.Fatal(err)
	}
	if plain.Marks[0].At != after.Marks[0].At {
		t.Errorf("10 is read as %v, 10 ATDC as %v", plain.Marks[0].At, after.Marks[0].At)
	}
	if _, err := read("0", "    cylinder: 3\n"); err == nil {
		t.Error("a cylinder of a setup alone is read")
	}
	if _, err := read("0", "    note: in cylinder 3\n"); err != nil {
		t.Error(err)
	}
	pages := Form()
	inTurn(t, said(pages[readoutPage-1]), "MUST, if not TDC:", "Before or after: every line, or it counts as after")
	for _, page := range []int{stopPage, dropsPage, sweepPage} {
		inTurn(t, said(pages[page-1]), "In cylinder", "cylinder, note: page 8 empty")
	}
	for _, page := range []int{stopPage, dropsPage, sweepEndPage} {
		inTurn(t, said(pages[page-1]), "Next setup", "off centre again")
	}
}

// Only with approach rising do lost motion and slack drop out of a drop and a sweep, and
// left open they count in full (docs/method.md), though a sheet is not refused: so one of
// the two ways has to be crossed. After a stop, which takes turning back, the crank bolt is
// checked always; after an indicator only where the engine was turned back.
func TestWayOfTurningIsAMust(t *testing.T) {
	pages := Form()
	for page, next := range map[int]string{dropsPage: "Three passes", sweepPage: "Write all numbers"} {
		if thin, thick := boxesOf(t, pages[page-1], "Turned:", next); thin != 0 || thick != 2 {
			t.Errorf("page %d: %d thin and %d thick boxes for the way of turning", page, thin, thick)
		}
	}
	for _, page := range []int{stopPage, dropsPage, sweepEndPage} {
		want := [2]int{1, 1}
		if page == stopPage {
			want = [2]int{0, 2}
		}
		if thin, thick := boxesOf(t, pages[page-1], "9  ", "Next setup"); [2]int{thin, thick} != want {
			t.Errorf("page %d: %d thin and %d thick boxes at the end, want %v", page, thin, thick, want)
		}
		inTurn(t, said(pages[page-1]), "9  ", "crank bolt checked", "Last setup:", "after the readout is off")
	}
}

// A copy that is given up asks for none of its further steps, so what is in the hole
// comes out before it is crossed out. The new one has the same number: crossed out, it is
// no setup of the sheet, for a sweep with every point struck is refused.
func TestFormOfACopyGivenUp(t *testing.T) {
	pages := Form()
	for page, what := range map[int]string{stopPage: "STOP", dropsPage: "TIP", sweepPage: "TIP"} {
		inTurn(t, said(pages[page-1]), "3  ", "Knocked? "+what+" OUT, cross this out; new copy, same number.", "4  ")
	}
	inTurn(t, said(pages[sweepPage-1]), "Tip lost in the sweep", "cross this", "new copy, same number, same answers above", "3  SWEEP")
	const sweep = "engine:\n  turns: clockwise\n  stroke: 92 mm\n  rod: 152 mm\npart:\n  marks_on: part\nreadout:\n  step: 0.5\n  counts: up\nlimits:\n  tolerance: 1\nmarks:\n  - name: T\n    at: 0\nsetups:\n  - sweep:\n      height: mm\n      points: [[335%, -1.1], [345%, 4.2], [0%, 7.3], [15%, 4.1], [25%, -1.2]]\n"
	for reason, want := range map[string]bool{"": false, " struck tip lost": true} {
		if _, _, err := sheet.Read("sweep", []byte(strings.ReplaceAll(sweep, "%", reason)), nil); (err != nil) != want {
			t.Errorf("points%s: %v", reason, err)
		}
	}
}

// The readout stays on from one setup to the next for the cylinders of page 8 alone, on
// whichever page that is told. How to choose between drops and a sweep is told before
// either page is taken.
func TestFormAgreesAboutSetups(t *testing.T) {
	pages := Form()
	inTurn(t, said(pages[startPage-1]), "a new one when a day or a shift lies between", "Equal drops of an indicator: slanting hole, or short travel", "straight hole, travel a tenth of the stroke; easier if it must not turn back", "A setup is steps 1 to 9 once", "Next setup: readout", "OFF and ON", "Only for several cylinders (page 8) it is left alone")
	for _, page := range []int{stopPage, dropsPage, sweepPage} {
		inTurn(t, said(pages[page-1]), "left alone: other", "cylinder (page 8)", "1  PISTON WELL DOWN")
	}
	inTurn(t, said(pages[rarePartPage-1]), "Each cylinder takes a setup", "the readout is left", "if knocked: readout off and on, all of them again.")
}

// Where a sheet with a stop takes stroke and rod all the same, the form says so beside
// them: a line in millimetres of piston and an offset are refused without.
func TestFormSaysWhereAStopTakesStrokeAndRod(t *testing.T) {
	inTurn(t, said(Form()[enginePage-1]), "engine.rod", "Page 5 or 6: MUST. Stop: if known; MUST for a line in mm of piston, or an offset on page 8.")
	const head, tail = "engine:\n  turns: clockwise\n", "part:\n  marks_on: part\nreadout:\n  step: 0.5\n  counts: up\nlimits:\n  tolerance: 1\nsetups:\n  - stop:\n      forward: [338]\n      backward: [22]\nmarks:\n  - name: T\n    at: "
	const crank, offset = "  stroke: 92 mm\n  rod: 152 mm\n", "  pin_offset: ± 1.0 mm\n"
	for text, want := range map[string]bool{
		head + tail + "0\n":                          false,
		head + tail + "1.8 mm piston BTDC\n":         true,
		head + crank + tail + "1.8 mm piston BTDC\n": false,
		head + offset + tail + "0\n":                 true,
		head + crank + offset + tail + "0\n":         false,
	} {
		if _, _, err := sheet.Read("stop", []byte(text), nil); (err != nil) != want {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// The sweep again needs neither the depth nor the 0 of the first: a sheet with two sweeps
// of one mounting is read and both give one TDC, though each is on a scale of its own, for
// the height at the top is found too (docs/method.md). Drops again need their 0, for
// a drop is below the top.
func TestSweepAgainOnAScaleOfItsOwn(t *testing.T) {
	pages := Form()
	inTurn(t, said(pages[sweepEndPage-1]), "travel LEFT at", "top; depth and 0", "may be another")
	inTurn(t, said(pages[dropsPage-1]), "7  INDICATOR IN AGAIN", "set to 0 at", "the top again")
	const head = "engine:\n  turns: clockwise\n  stroke: 92 mm\n  rod: 152 mm\npart:\n  marks_on: part\nreadout:\n  step: 0.5\n  counts: up\nlimits:\n  tolerance: 1\nmarks:\n  - name: T\n    at: 0\nsetups:\n"
	const first = "  - mounting: A\n    sweep:\n      height: mm\n      points: [[335, -1.1], [345, 4.2], [0, 7.3], [15, 4.1], [25, -1.2]]\n    marks:\n      T: [1.0, 1.0]\n"
	const again = "  - mounting: A\n    sweep:\n      height: mm\n      points: [[335, 8.9], [345, 14.2], [0, 17.3], [15, 14.1], [25, 8.8]]\n"
	s, _, err := sheet.Read("sweeps", []byte(head+first+again), nil)
	if err != nil {
		t.Fatal(err)
	}
	found, err := tdc.Find(s, readout.New(s))
	if err != nil {
		t.Fatal(err)
	}
	if len(found.Setups) != 2 {
		t.Fatalf("%d setups", len(found.Setups))
	}
	if apart := (found.Setups[0].Middle - found.Setups[1].Middle).Abs(); apart > 1e-6 {
		t.Errorf("the two TDCs are %v apart", apart)
	}
}
