package figure

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// placesAround is a part with lines in places all round, a few in each.
func placesAround(t *testing.T, places, lines int, gap float64, turns, on string) audit.Result {
	t.Helper()
	var marks, readings strings.Builder
	for p := range places {
		for i := range lines {
			at := math.Mod(float64(p)*360/float64(places)+float64(i)*gap+11, 360)
			name := fmt.Sprintf("%c%d", 'k'+p, i+1)
			fmt.Fprintf(&marks, "  - {name: %s, at: %g}\n", name, at)
			fmt.Fprintf(&readings, "      %s: [%g, %g, %g]\n", name, at, at+0.1, at)
		}
	}
	s, _, err := sheet.Read("job.yaml", []byte(fmt.Sprintf("engine: {turns: %s, stroke: 92 mm, rod: 152 mm}\npart: {marks_on: %s, diameter: 158 mm}\nreadout: {step: 0.1, counts: up, quarter_turn: [10, 100]}\nlimits: {tolerance: 0.5}\nmarks:\n%ssetups:\n  - stop: {forward: [338.0, 338.1, 338.0], backward: [22.0, 22.0, 22.1]}\n    marks:\n%s", turns, on, &marks, &readings)), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A name on the disc stands nearer to its own mark than to any other, and the names of a
// place have the order of their marks, whichever way the engine runs and wherever round
// the part they are. Where each line stands is reckoned here by hand: a line of the part
// that comes up later lies further back against the running direction, one of a fixed
// scale further on. Lines without a name on the disc are listed clockwise, or from the
// left where their strip stands beside it.
func TestNamesOnTheDiscStandAtTheirMarks(t *testing.T) {
	named, listed := 0, 0
	cases := map[string]audit.Result{"banks": reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["banks.yaml"]}
	for _, turns := range []string{"clockwise", "anticlockwise"} {
		for _, on := range []string{"part", "engine"} {
			for _, places := range []int{1, 2, 3, 4, 5, 7, 8} {
				for _, lines := range []int{1, 2, 3, 4, 5} {
					for _, gap := range []float64{3, 9, 16, 25} {
						if float64(lines-1)*gap+30 <= 360/float64(places) {
							cases[fmt.Sprint(turns, on, places, lines, gap)] = placesAround(t, places, lines, gap, turns, on)
						}
					}
				}
			}
		}
	}
	for name, r := range cases {
		at := map[string]geometry.Angle{} // clockwise from the top
		for _, m := range r.ByLine() {
			a := m.Place + m.Offset.Value
			if (r.Sheet.Engine.Turns == geometry.Clockwise) == (r.Sheet.Part.MarksOn != sheet.OnEngine) {
				a = -a
			}
			at[m.Name] = a.Turn()
		}
		for _, s := range slices.Concat(Where(r, 40), Part(r)[:1]) {
			var d disc
			for _, item := range s.Items {
				if c, ok := item.(drawing.Circle); ok && c.Radius > d.radius {
					d = disc{centre: c.Centre, radius: c.Radius}
				}
			}
			for _, item := range s.Items {
				x, ok := item.(drawing.Text)
				if !ok {
					continue
				}
				if _, list, cut := strings.Cut(x.Text, ", clockwise: "); cut {
					listed++
					inOrder(t, name, list, at)
				}
				own, line := at[x.Text]
				if !line || math.Hypot(float64(x.At.X-d.centre.X), float64(x.At.Y-d.centre.Y)) > float64(d.radius) {
					continue
				}
				named++
				nearest, best := "", geometry.Length(math.Inf(1))
				for other, a := range at {
					if dist := away(x, d.at(d.low(), a)); dist < best {
						nearest, best = other, dist
					}
				}
				if nearest != x.Text {
					t.Errorf("%s: %q stands nearest to the mark of %q; its own is at %v", name, x.Text, nearest, own)
				}
			}
		}
	}
	if named < 500 || listed < 20 {
		t.Errorf("%d names on discs, %d lists", named, listed)
	}
}

// inOrder fails where the next line of a list is not the next one clockwise.
func inOrder(t *testing.T, name, list string, at map[string]geometry.Angle) {
	t.Helper()
	var before string
	for _, quoted := range strings.Split(list, ", ") {
		line := strings.Trim(quoted, "“”")
		a, ok := at[line]
		if !ok {
			t.Errorf("%s: %q is no line", name, line)
		}
		if gap := (a - at[before]).Turn(); before != "" && gap > 90 {
			t.Errorf("%s: %q comes %v clockwise of %q, listed behind it", name, line, gap, before)
		}
		before = line
	}
}
