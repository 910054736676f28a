package paper

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// What is asked before the engine is turned comes page by page in the order of the sheet,
// but that from which end one looks comes before which way it runs;
// a page of a setup has keys of a setup only. All are keys that the sheet has, and what a
// sheet is refused without is asked for.
func TestPaperFormFollowsTheSheet(t *testing.T) {
	key := regexp.MustCompile(`(?m)^[ #-]*([a-z_]+):`)
	var keys []string
	for _, m := range key.FindAllStringSubmatch(sheet.Blank(), -1) {
		keys = append(keys, m[1])
	}
	setups := slices.Index(keys, "setups")
	asked := map[string]bool{}
	for i, f := range forms(formHeight) {
		at, last := 0, ""
		for n, k := range f.keys {
			k = k[strings.LastIndex(k, ".")+1:]
			asked[k] = true
			switch {
			case k == "seen_from":
				if f.keys[n+1] != "engine.turns" {
					t.Errorf("page %d: after the end from which one looks comes %s", i+1, f.keys[n+1])
				}
			case i+1 == limitsPage && k == "measured": // what few have begins anew, below what any engine has
				at, last = slices.Index(keys, k), k
				continue
			case k == last || k == "job" || k == "struck": // in a further column of a table; on top of every page; written behind a reading
			case i+1 >= stopPage && i+1 <= sweepEndPage && !slices.Contains(keys[setups:], k):
				t.Errorf("page %d: %s is no key of a setup", i+1, k)
			case i+1 < stopPage || i+1 > sweepEndPage:
				next := slices.Index(keys[at:], k)
				if next < 0 {
					t.Errorf("page %d: %s is out of the sheet's order", i+1, k)
					continue
				}
				at += next + 1
			}
			last = k
		}
	}
	for _, k := range []string{
		"title", "job", "number", "turns", "name", "stroke", "rod", "pin_offset", "bore_offset", "cylinders",
		"seen_from", "marks_on", "btdc_lines", "diameter", "circumference", "sighting", "read_at", "teeth", "build", "moves", "spacings",
		"name", "kind", "measured", "step", "counts", "numbered", "quarter_turn", "off_centre", "lost_motion",
		"tolerance", "remount", "contact", "slack", "placement", "at", "on", "cylinder",
		"by", "date", "note", "mounting", "forward", "backward", "marks", "closing",
		"drop", "before", "after", "approach", "probe_angle", "height", "points",
	} {
		if !asked[k] {
			t.Errorf("the form does not ask for %s", k)
		}
	}
	for _, required := range []string{"engine.turns", "part.marks_on", "readout.step", "readout.counts", "limits.tolerance", "marks.name", "marks.at", "marks.tolerance"} {
		times := 0
		for _, f := range forms(formHeight) {
			for _, k := range f.keys {
				if k == required {
					times++
				}
			}
		}
		if times != 1 {
			t.Errorf("the form asks %d times for %s", times, required)
		}
	}
	for _, s := range Form() {
		for _, item := range s.Items {
			x, grey := item.(drawing.Text)
			if !grey || x.Ink != drawing.Grey {
				continue
			}
			names, _, _ := strings.Cut(x.Text, ":")
			for name := range strings.SplitSeq(names, ", ") {
				for part := range strings.SplitSeq(name, ".") {
					if !slices.Contains(keys, part) && part != "struck" {
						t.Errorf("%q is no key of the sheet", x.Text)
					}
				}
			}
		}
	}
	var page bytes.Buffer
	if err := FormHTML(&page); err != nil {
		t.Fatal(err)
	}
	reporttest.WellFormed(t, page.Bytes())
}

// area is what a box or a text covers.
type area struct {
	left, top, right, bottom geometry.Length
	text                     string
}

// areas are the boxes of a page to write in, which have a frame, and its texts. Letters stand from 0.72 of their size
// above the baseline to 0.21 below it, as in the type's tables; a degree sign is raised.
func areas(s drawing.Scene) (boxes, texts []area) {
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Polygon:
			if len(x.Points) != 4 || x.Open || x.Stroke == (drawing.Stroke{}) {
				continue
			}
			boxes = append(boxes, area{x.Points[0].X, x.Points[0].Y, x.Points[2].X, x.Points[2].Y, ""})
		case drawing.Text:
			a := area{x.At.X, x.At.Y - 0.72*x.Size, x.At.X + x.Extent(), x.At.Y + 0.21*x.Size, x.Text}
			switch x.Anchor {
			case drawing.Middle:
				a.left, a.right = a.left-x.Extent()/2, a.right-x.Extent()/2
			case drawing.End:
				a.left, a.right = a.left-x.Extent(), a.right-x.Extent()
			}
			texts = append(texts, a)
		}
	}
	return boxes, texts
}

func (a area) holds(b area) bool {
	return b.left >= a.left && b.right <= a.right && b.top >= a.top && b.bottom <= a.bottom
}

func (a area) meets(b area) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

// writable fails for a form that a greasy hand cannot fill in: boxes and cells are 10
// mm at least, all type 9 points (3.175 mm) and black, but keys of the sheet 2 mm and
// grey; no text is clipped, overlaps
// another or stands on the frame of a box; 14 mm stay free on A4 and on Letter.
func writable(t *testing.T, pages []drawing.Scene, on document.Paper) {
	t.Helper()
	for _, s := range pages {
		reporttest.CheckScene(t, s)
		if s.Width != on.Width || s.Height != on.Height {
			t.Errorf("%s: %v by %v", s.Title, s.Width, s.Height)
		}
		const m = document.Margin - 1e-9
		paper := area{m, m, min(on.Width-m, on.Left()+drawing.PageWidth+1e-6), on.Height - m, ""}
		for _, item := range s.Items {
			x, ok := item.(drawing.Text)
			if key := x.Ink == drawing.Grey && x.Size == 2; ok && !key && (x.Size < 3.175 || x.Ink != drawing.None && x.Ink != drawing.Black) {
				t.Errorf("%s: %q in %v, ink %v", s.Title, x.Text, x.Size, x.Ink)
			}
		}
		boxes, texts := areas(s)
		for i, b := range boxes {
			if w, h := b.right-b.left, b.bottom-b.top; w < 10-1e-9 || h < 10-1e-9 {
				t.Errorf("%s: a box of %v by %v", s.Title, w, h)
			}
			if !paper.holds(b) {
				t.Errorf("%s: a box in the margin, at %v, %v", s.Title, b.left, b.top)
			}
			inner := area{b.left + 1e-6, b.top + 1e-6, b.right - 1e-6, b.bottom - 1e-6, ""}
			for _, c := range boxes[:i] {
				if c.meets(inner) {
					t.Errorf("%s: boxes overlap at %v, %v", s.Title, b.left, b.top)
				}
			}
			for _, x := range texts {
				if b.meets(x) && !b.holds(x) {
					t.Errorf("%s: %q stands on the frame of a box at %v, %v", s.Title, x.text, b.left, b.top)
				}
			}
		}
		for _, x := range texts {
			if !paper.holds(x) {
				t.Errorf("%s: %q in the margin", s.Title, x.text)
			}
		}
	}
}

// between reports whether a box stands between a text and a box to the right of it.
func between(x, b area, boxes []area) bool {
	gap := area{x.right, b.top + 1, b.left - 1e-6, b.bottom - 1, ""}
	return slices.ContainsFunc(boxes, gap.meets)
}

// named reports whether a box has a name: words in it or at one of its sides, or, for one
// of several in a row or in a table, at that side of the next box.
func named(b area, boxes, texts []area) bool {
	const near = 4.5
	for _, x := range texts {
		beside := x.top < b.bottom && x.bottom > b.top
		over := x.left < b.right && x.right > b.left
		switch {
		case x.text == "°" || x.text == "±": // a unit is no name
		case b.holds(x), beside && x.right <= b.left && !between(x, b, boxes), beside && x.left >= b.right && x.left-b.right < near, over && x.bottom <= b.top && b.top-x.bottom < near:
			return true
		}
	}
	for _, c := range boxes {
		same := math.Abs((c.left-b.left).Millimetres()) < 1e-6 && math.Abs((c.bottom-b.top).Millimetres()) < 1e-6
		before := math.Abs((c.top-b.top).Millimetres()) < 1e-6 && math.Abs((c.right-b.left).Millimetres()) < 1e-6
		if (same || before) && named(c, boxes, texts) {
			return true
		}
	}
	return false
}

// Every box says what it is for. By hand: how many cells of each page carry a degree
// sign, and how many lengths its two units, of which one is ringed; no other unit of
// length is printed. A thick frame stands about what a sheet is refused without, see
// TestThickFramesAreWhatASheetIsRefusedWithout, about the side of TDC, which a sheet takes
// for after where none is said, about the way of turning, see TestWayOfTurningIsAMust,
// about each answer to a caution and each step that makes safe, and once in the legend.
func TestFormCanBeFilledIn(t *testing.T) {
	degrees := []int{
		0,
		0,
		1 + 2 + 1 + 6*2,   // step, quarter turn, tolerance; a line's place and tolerance
		5*2 + 6*5 + 2,     // pairs, lines, closing pair
		3*6 + 1 + 6*5 + 2, // drops, slant, lines, the first drop again
		21,                // points
		6*5 + 12,          // lines, points again
		8,                 // cylinders
		1 + 2,             // remounting, lost motion
	}
	lengths := []int{1, 3, 2, 0, 3, 1, 0, 2 + 3, 4} // legend; stroke, rod, rim; wheel, off centre; drops; indicator; offsets, distances; eye, rock, slack, placing
	thick := []int{
		1 + 14 + 2 + 3,            // legend, cautions, turning back, what goes in
		2 + 2,                     // turns, marks_on
		1 + 3 + 1 + 4,             // step, counts, tolerance, a line's name, place and side
		6 + 2 + 1,                 // steps, a pair, the crank bolt
		6 + 3 + 2 + 2,             // steps, a drop and its unit, a pair, which way it was turned
		3 + 2 + 2 + 2*leastPoints, // steps, the unit of heights, which way it was turned, points
		3, 0, 0,                   // steps
	}
	units := []string{"mm", "cm", "m", "in", "inch", "thou"}
	for _, on := range []document.Paper{document.A4, document.Letter} {
		pages := FormPages(on)
		writable(t, pages, on)
		if len(pages) != len(degrees) {
			t.Fatalf("%d pages", len(pages))
		}
		for i, s := range pages {
			boxes, texts := areas(s)
			var printed []string
			signs := 0
			for _, x := range texts {
				if strings.HasSuffix(x.text, "…") {
					t.Errorf("page %d: %q is cut", i+1, x.text)
				}
				if slices.Contains(units, strings.TrimSpace(x.text)) {
					printed = append(printed, x.text)
				}
				if x.text == "°" {
					signs++
				}
			}
			if want := slices.Repeat([]string{"mm", "in"}, lengths[i]); !slices.Equal(printed, want) {
				t.Errorf("page %d prints the units %q, want %q", i+1, printed, want)
			}
			if signs != degrees[i] {
				t.Errorf("page %d: %d cells in degrees, want %d", i+1, signs, degrees[i])
			}
			must := 0
			for _, item := range s.Items {
				if x, ok := item.(drawing.Polygon); ok && x.Stroke == mustStroke {
					must++
				}
			}
			if must != thick[i] {
				t.Errorf("page %d: %d thick frames, want %d", i+1, must, thick[i])
			}
			for _, b := range boxes {
				if !named(b, boxes, texts) {
					t.Errorf("page %d: a box without a name at %v, %v", i+1, b.left, b.top)
				}
			}
		}
	}
}

// said is all that a page says, from top to bottom and from left to right.
func said(s drawing.Scene) string {
	_, texts := areas(s)
	slices.SortStableFunc(texts, func(a, b area) int {
		if c := cmp.Compare(a.bottom.Millimetres(), b.bottom.Millimetres()); math.Abs((a.bottom - b.bottom).Millimetres()) > 2 {
			return c
		}
		return cmp.Compare(a.left.Millimetres(), b.left.Millimetres())
	})
	var out []string
	for _, x := range texts {
		out = append(out, x.text)
	}
	return strings.Join(out, "|")
}

// inTurn fails where words do not come one after the other; it returns what comes after
// the last.
func inTurn(t *testing.T, text string, order ...string) string {
	t.Helper()
	for _, want := range order {
		_, after, ok := strings.Cut(text, want)
		if !ok {
			t.Fatalf("%q does not come in its turn: %s", want, text)
		}
		text = after
	}
	return text
}

// Every page has the job and its own number, every page of a setup the setup's. A line
// has the same number in the same number of rows wherever lines are.
func TestFormPagesBelongTogether(t *testing.T) {
	pages := Form()
	for i, s := range pages {
		text := said(s)
		if !strings.Contains(text, fmt.Sprintf("page %d of %d", i+1, len(pages))) || !strings.Contains(text, "|Job|") {
			t.Errorf("page %d has no job or no number", i+1)
		}
		if i+1 >= stopPage && i+1 <= sweepEndPage && !strings.Contains(text, "|Setup|") {
			t.Errorf("page %d has no number of its setup", i+1)
		}
		boxes, texts := areas(s)
		var rows []string // the numbers in boxes as narrow as those of lines, at the left edge
		for _, b := range boxes {
			for _, x := range texts {
				if b.left == 0 && b.right == numberWide && b.holds(x) {
					rows = append(rows, x.text)
				}
			}
		}
		want := strings.Fields("1 2 3 4 5 6")
		if !slices.Contains([]int{readoutPage, stopPage, dropsPage, sweepEndPage}, i+1) {
			want = nil
		}
		if !slices.Equal(rows, want) {
			t.Errorf("page %d: lines %q, want %q", i+1, rows, want)
		}
	}
}

// The steps at the engine stand in the order of the work. Before every fitting of stop or
// indicator the piston is brought down, by a step of its own; the last step is that it is
// out. Where turning back is forbidden the form says so with a box for NO.
func TestFormKeepsTheStopSafe(t *testing.T) {
	pages := Form()
	for _, c := range []struct {
		from, to int
		order    []string
		never    string
	}{
		{stopPage, stopPage, []string{"BY HAND ONLY", "1  PISTON WELL DOWN", "2  STOP IN", "3  CONTACTS", "DO NOT TOUCH wheel or pointer. Its 0 need not be at TDC.", "FORWARD", "BACKWARD", "4  STOP OUT", "5  LINES", "6  PISTON WELL DOWN", "7  STOP IN AGAIN", "8  CLOSING PAIR", "Still the same setup", "FORWARD", "BACKWARD", "9  STOP OUT: the hole is empty", "Next setup", "OFF and ON"}, "STOP"},
		{dropsPage, dropsPage, []string{"BY HAND ONLY", "1  PISTON WELL DOWN", "2  INDICATOR IN", "3  DROPS", "DO NOT TOUCH wheel or pointer. Its 0 need not be at TDC.", "BEFORE 1st", "AFTER 1st", "4  INDICATOR OUT", "5  LINES", "6  PISTON WELL DOWN", "7  INDICATOR IN AGAIN", "8  THE FIRST DROP AGAIN", "Still the same setup", "9  INDICATOR OUT: the hole is empty", "Next setup", "OFF and ON"}, "INDICATOR"},
		{sweepPage, sweepEndPage, []string{"BY HAND ONLY", "1  PISTON WELL DOWN", "2  INDICATOR IN", "3  SWEEP", "DO NOT TOUCH wheel or pointer. Its 0 need not be at TDC.", "4  INDICATOR OUT", "DO NOT TOUCH wheel or pointer. Its 0 need not be at TDC.", "5  LINES", "6  PISTON WELL DOWN", "7  INDICATOR IN AGAIN", "8  THE SWEEP AGAIN", "Still the same setup", "9  INDICATOR OUT: the hole is empty", "Next setup", "OFF and ON"}, "INDICATOR"},
	} {
		text := ""
		for _, page := range pages[c.from-1 : c.to] {
			text += said(page)
		}
		if rest := inTurn(t, text, c.order...); strings.Contains(rest, c.never) {
			t.Errorf("page %d: the hole is not empty at the end: %s", c.to, rest)
		}
	}
	inTurn(t, said(pages[0]), "DO NOT START", "Cam drive on and in time", "NOT SURE of the timing: DO NOT TURN", "allow turning backward", "YES", "NO, or not sure", "never a STOP", "Backward NO: never turn back", "A stop is not clear? An indicator, if its tip clears", "NOT SURE: nothing", "Stop OUT before TDC is passed", "Which pages", "after the cautions, readout fitted", "Setups")
}

// An engine that must not be turned back is never turned back by this form: the pages of
// drops and of a sweep say so large, above their first step, and leave the column of
// readings come to backward empty; so does the box of the bearing slack, which is found by
// turning back. A stop takes turning back, so its page has no such words.
func TestFormNeverTurnsBackWhatMustNot(t *testing.T) {
	pages := Form()
	for i, s := range pages {
		text, page := said(s), i+1
		if want := page >= dropsPage && page <= sweepEndPage; strings.Contains(text, "|NO TURNING BACK (page 1)? Only FORWARD.") != want {
			t.Errorf("page %d: no turning back is said: %v, want %v", page, !want, want)
		}
		if want := page == dropsPage || page == sweepEndPage; strings.Contains(text, "leave this column EMPTY") != want {
			t.Errorf("page %d: an empty column is said: %v, want %v", page, !want, want)
		}
		largest := geometry.Length(0) // of what the page says below its title
		for _, item := range s.Items {
			if x, ok := item.(drawing.Text); ok && x.Bold && x.At.Y > titleAt && strings.Contains(x.Text, "TURNING BACK") {
				largest = max(largest, x.Size)
			}
		}
		if page >= dropsPage && page <= sweepEndPage && largest <= ruleSize {
			t.Errorf("page %d: no turning back is said in %v", page, largest)
		}
	}
	for _, page := range []int{dropsPage, sweepPage} {
		inTurn(t, said(pages[page-1]), "NO TURNING BACK", "1  PISTON WELL DOWN")
	}
	inTurn(t, said(pages[sweepEndPage-1]), "NO TURNING BACK", "5  LINES")
	inTurn(t, said(pages[limitsPage-1]), "Bearing slack", "then backward;", "what the heights differ by", "No turning back: never try this; write only clearances measured, else EMPTY", "A new line")
}

// What a stranger who had only the pages asked for: which place of a line meets the
// pointer, how the stop is met, what is rightly not here.
func TestFormSaysHow(t *testing.T) {
	pages := Form()
	for _, page := range []int{stopPage, dropsPage, sweepEndPage} {
		inTurn(t, said(pages[page-1]), "5  LINES", "THE WAY IT RUNS", "MIDDLE of the line", "ENGINE", "scale: turning line")
	}
	inTurn(t, said(pages[stopPage-1]), "9  STOP OUT", "crank bolt checked", "or no bolt")
	inTurn(t, said(pages[stopPage-1]), "met gently", "2  STOP IN", "or both contacts 40 to 70° apart", "piston down again, off the stop", "3  CONTACTS", "gently", "never force it with the bar")
	inTurn(t, said(pages[enginePage-1]), "You look at the marks from", "Which way does it run, as you look from there?", "No TDC line?", "near enough by torch; nothing in the hole", "Draw", "with its name")
	inTurn(t, said(pages[dropsPage-1]), "FORWARD: if it must not turn back", "a pass is every drop BEFORE, then AFTER", "tip left in", "the first pass only sets 0; holder against a shoulder", "Three passes; look at 0 each time", "strike that pass; two will do", "FORWARD after each pass: tip OUT, turn on until the piston is down, tip in", "slants by", "4  INDICATOR OUT")
	inTurn(t, said(pages[sweepPage-1]), "a tenth of the stroke", "Slanting hole: take", "one scale", "count on", "minus")
	inTurn(t, said(pages[rarePartPage-1]), "All lines of one cylinder: leave it", "Wide line read at one edge")
	inTurn(t, said(pages[limitsPage-1]), "a dial alone in the plug hole, without drops or sweep")
}

// On a screen nothing of the form is cut at the picture's edge, where the outer half of a
// thick frame lies, and words stand as far apart as on paper.
func TestFormOnAScreen(t *testing.T) {
	over, apart := false, false
	for _, s := range Form() {
		for _, item := range s.Items {
			switch x := item.(type) {
			case drawing.Polygon:
				over = over || bounds(x).left < x.Stroke.Width/2
			case drawing.Text:
				apart = apart || strings.Contains(x.Text, "  ")
			}
		}
	}
	var page bytes.Buffer
	if err := FormHTML(&page); err != nil {
		t.Fatal(err)
	}
	for rule, needed := range map[string]bool{"overflow: visible;": over, "white-space: pre;": apart} {
		if needed && !strings.Contains(page.String(), rule) {
			t.Errorf("the page lacks %s", rule)
		}
	}
}

// A form of a study has every row of its CSV, once and in its order, on pages that can
// be filled in.
func TestStudyForms(t *testing.T) {
	stops := [][]string{{"tool", "setup", "trial", "approach", "reading", "by", "note", "struck"}}
	for i := range 5 * 20 {
		stops = append(stops, []string{"reference", fmt.Sprint(i/20 + 1), fmt.Sprint(i % 20), "forward", "", "", "", ""})
	}
	class := [][]string{{"by", "mark", "value", "trial"}}
	for i := range 50 {
		class = append(class, []string{fmt.Sprintf("Ana %d", i), reporttest.LongName, "", "1"})
	}
	wheel := [][]string{{"reference", "reading", "approach"}, {"14.4", "", "forward"}}
	for _, c := range []struct {
		form  StudyForm
		pages int
	}{{StudyForm{"stop", stops}, 6}, {StudyForm{"class", class}, 4}, {StudyForm{"wheel", wheel}, 2}} {
		for _, on := range []document.Paper{document.A4, document.Letter} {
			pages := c.form.Pages(on)
			writable(t, pages, on)
			if len(pages) != c.pages {
				t.Errorf("%s: %d pages, want %d", c.form.Kind, len(pages), c.pages)
			}
			for _, s := range pages[1:] {
				if c.form.Kind == "stop" {
					inTurn(t, said(s), "BY HAND ONLY", "PISTON DOWN", "STOP OUT: the hole is empty")
				}
			}
			cells := 0
			for _, s := range pages[1:] {
				for _, item := range s.Items {
					if x, ok := item.(drawing.Polygon); ok && math.Abs((x.Points[2].Y-x.Points[1].Y-boxSide).Millimetres()) < 1e-6 {
						cells++
					}
				}
			}
			if least := (len(c.form.Rows) - 1) * len(c.form.Rows[0]); cells < least {
				t.Errorf("%s: %d cells, want %d", c.form.Kind, cells, least)
			}
		}
		var page bytes.Buffer
		if err := c.form.HTML(&page); err != nil {
			t.Fatal(err)
		}
		reporttest.WellFormed(t, page.Bytes())
	}
}
