package paper

import (
	"bytes"
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
)

// The form asks in the order of the sheet, for keys that the sheet has, and for
// everything that a sheet is refused without. A page in place of the one before begins
// again with the setup.
func TestPaperFormFollowsTheSheet(t *testing.T) {
	key := regexp.MustCompile(`(?m)^[ #-]*([a-z_]+):`)
	var keys []string
	for _, m := range key.FindAllStringSubmatch(sheet.Blank(), -1) {
		keys = append(keys, m[1])
	}
	at, asked := 0, map[string]bool{}
	for _, f := range forms() {
		if f.instead {
			at = slices.Index(keys, "setups")
		}
		for _, k := range f.keys {
			i := slices.Index(keys[at:], k)
			if i < 0 {
				t.Errorf("%s is out of the sheet's order", k)
				continue
			}
			at += i + 1
			asked[k] = true
		}
	}
	for _, k := range []string{"turns", "marks_on", "step", "counts", "tolerance", "marks", "setups", "stop", "closing", "quarter_turn", "btdc_lines", "equal_drop", "sweep", "cylinder", "approach", "number", "teeth", "remount", "placement"} {
		if !asked[k] {
			t.Errorf("the form does not ask for %s", k)
		}
	}
	var page bytes.Buffer
	if err := FormHTML(&page); err != nil {
		t.Fatal(err)
	}
	reporttest.WellFormed(t, page.Bytes())
}

// writable fails for a form that a greasy hand cannot fill in: boxes and cells are 10
// mm at least, hints 2.0, questions 3.0; nothing is clipped or overlaps, and 14 mm stay
// free on A4 and on Letter, at both ends of a text.
func writable(t *testing.T, pages []drawing.Scene, on document.Paper) {
	t.Helper()
	for _, s := range pages {
		reporttest.CheckScene(t, s)
		if s.Width != on.Width || s.Height != on.Height {
			t.Errorf("%s: %v by %v", s.Title, s.Width, s.Height)
		}
		inside := func(p drawing.Point) bool {
			const m = document.Margin - 1e-9
			return p.X >= m && p.X <= on.Width-m && p.Y >= m && p.Y <= on.Height-m
		}
		for _, item := range s.Items {
			switch x := item.(type) {
			case drawing.Polygon:
				if w, h := x.Points[1].X-x.Points[0].X, x.Points[2].Y-x.Points[1].Y; w < 10-1e-9 || h < 10-1e-9 {
					t.Errorf("%s: a box of %v by %v", s.Title, w, h)
				}
				if !inside(x.Points[0]) || !inside(x.Points[2]) {
					t.Errorf("%s: a box in the margin, at %v", s.Title, x.Points[0])
				}
			case drawing.Text:
				if x.Size < 2 || x.Bold && x.Size < 2.9 {
					t.Errorf("%s: %q in %v", s.Title, x.Text, x.Size)
				}
				left, right := x.At, x.At
				switch x.Anchor {
				case drawing.Start:
					right = right.Plus(x.Extent(), 0)
				case drawing.Middle:
					left, right = left.Plus(-x.Extent()/2, 0), right.Plus(x.Extent()/2, 0)
				case drawing.End:
					left = left.Plus(-x.Extent(), 0)
				}
				if !inside(left) || !inside(right) {
					t.Errorf("%s: %q in the margin", s.Title, x.Text)
				}
			}
		}
	}
}

// Beside every length that is asked for stand its two units, one of which is ringed,
// and no other unit of length is printed.
func TestFormCanBeFilledIn(t *testing.T) {
	lengths := []int{5, 4, 0, 2} // stroke, rod, pin, rim, sighting; wheel, off centre, rock, placing; drops, indicator
	units := []string{"mm", "cm", "m", "in", "inch", "thou"}
	for _, on := range []document.Paper{document.A4, document.Letter} {
		pages := FormPages(on)
		writable(t, pages, on)
		for i, s := range pages {
			var printed []string
			for _, item := range s.Items {
				if x, ok := item.(drawing.Text); ok && slices.Contains(units, strings.TrimSpace(x.Text)) {
					printed = append(printed, x.Text)
				}
			}
			if want := slices.Repeat([]string{"mm", "in"}, lengths[i]); !slices.Equal(printed, want) {
				t.Errorf("page %d prints the units %q, want %q", i+1, printed, want)
			}
		}
	}
}

// Before every fitting of the stop the piston is brought down, and the last step is to
// take the stop out.
func TestFormKeepsTheStopSafe(t *testing.T) {
	var said []string
	for _, item := range formStop().scene.Items {
		if x, ok := item.(drawing.Text); ok {
			said = append(said, x.Text)
		}
	}
	text := strings.Join(said, "|")
	order := []string{"STOP IN|piston well down first|then the stop", "STOP OUT|it is out", "STOP IN AGAIN|piston well down first", "LAST STEP: STOP OUT|I have looked, the hole is empty"}
	at := -1
	for _, want := range order {
		i := strings.Index(text, want)
		if i <= at {
			t.Fatalf("%q does not come in its turn: %s", want, text)
		}
		at = i
	}
	if strings.Contains(text[at+len(order[3]):], "STOP") {
		t.Error("the stop is not out at the end")
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
