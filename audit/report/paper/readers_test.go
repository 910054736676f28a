package paper

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// What people misread who were given a strip and nothing else.

// The heading names the line ahead of the new one and the line behind it: both can be
// seen on the metal. Where one other line is both, it is named once. By hand: on the
// demonstration the new line of inject 14 goes from static 4 towards 3-4.
func TestHeadingNamesTheLinesOnBothSides(t *testing.T) {
	audits := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, c := range []struct{ sheet, line, says, never string }{
		{"demo", "inject 14", "1.9 mm TOWARDS line 3-4, AWAY FROM line static 4: anticlockwise", ""},
		{"pump.yaml", "inject 23", "10.0 mm TOWARDS line TDC: clockwise", "AWAY FROM"},
	} {
		r := audits[c.sheet]
		i := slices.IndexFunc(r.ByLine(), func(m audit.LineResult) bool { return m.Name == c.line })
		heading := stripperFor(r, StripOptions{}).single(r.ByLine()[i]).heading
		if !strings.Contains(heading, c.says) || c.never != "" && strings.Contains(heading, c.never) {
			t.Errorf("%s: %q, want %q", c.sheet, heading, c.says)
		}
	}
}

// Where nothing on the sheet confirms the running direction, LOOK says STOP for that
// too: a strip cannot see it. Where it is confirmed, nothing of the kind is said.
func TestLookStopsWhereTheRunningWayIsNotConfirmed(t *testing.T) {
	asked := 0
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../../testdata")) {
		if len(r.Advice.Check.From+r.Advice.Check.Passes) == 0 && r.Sheet.Part.Diameter == 0 {
			continue
		}
		want := slices.ContainsFunc(r.Warnings, func(w warning.Warning) bool { return w.Code == warning.SideUnchecked })
		if want {
			asked++
		}
		if got := strings.Contains(stripperFor(r, StripOptions{}).look(), "see it turn, or STOP"); got != want {
			t.Errorf("%s: LOOK stops %v, want %v", name, got, want)
		}
	}
	if asked == 0 {
		t.Error("no sheet leaves the running direction open")
	}
}

// A ring stands about the foot of either flagstaff and never crosses the other line,
// however near the two stand: it shows where the line of the part belongs, which is not
// under the middle of the triangle.
func TestARingStandsAboutEachFoot(t *testing.T) {
	for _, off := range []float64{0.15, 0.8, 3} {
		r := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: off}.Audit(t)
		strip := stripperFor(r, StripOptions{}).single(r.ByLine()[1]).build(40, 0, "")
		items, _, _ := strip.draw(0, strip.length, 0, 1)
		for i, f := range strip.flags {
			other := strip.flags[1-i].x
			found := false
			for _, item := range items {
				p, ok := item.(drawing.Polygon)
				if !ok || !p.Open || len(p.Points) < 20 {
					continue
				}
				about := true
				for _, at := range p.Points {
					about = about && near(math.Hypot(float64(at.X-f.x), float64(at.Y)), float64(ringRadius), 1e-9)
				}
				if !about {
					continue
				}
				found = true
				for _, at := range p.Points {
					if side := (at.X - other) * (f.x - other); side < -1e-9 {
						t.Errorf("off by %g: the ring about %v crosses the line at %v", off, f.x, other)
						break
					}
				}
			}
			if !found {
				t.Errorf("off by %g: no ring about the foot at %v", off, f.x)
			}
		}
	}
}

// The pictures of how it lies stand on the sheet with the steps, on a rim, a chamfer and
// a face: whoever reads the steps looks at them.
func TestPicturesStandWithTheSteps(t *testing.T) {
	audits := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, name := range []string{"demo", "pump.yaml", "mill.yaml", "window.yaml", "banks.yaml"} {
		for _, slope := range []geometry.Angle{0, 45, 90} {
			d, err := Strip(audits[name], StripOptions{Thickness: 0.1, Slope: slope})
			if err != nil {
				t.Fatal(err)
			}
			has := func(words string) bool {
				return slices.ContainsFunc(d.Pages[0].Items, func(item drawing.Item) bool {
					x, ok := item.(drawing.Text)
					return ok && strings.HasPrefix(x.Text, words)
				})
			}
			if !has("LOOK") || !has("How it lies") || !has("The foot of the flagstaff") {
				t.Errorf("%s on %v: page 1 has steps %v, pictures %v", name, slope, has("LOOK"), has("How it lies"))
			}
		}
	}
}

// A strip that came out wider says what it is wider than: the width that was asked for,
// or the usual one where nobody asked.
func TestAWiderStripSaysWhy(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["pump.yaml"]
	for _, c := range []struct {
		o    StripOptions
		says string
	}{
		{StripOptions{Full: true}, "mm wide, a strip is mostly 18.0 mm: all that"},
		{StripOptions{Full: true, Width: 16}, "mm wide, more than --width asked for, 16.0 mm: all that"},
	} {
		c.o.Thickness = 0.1
		d, err := Strip(r, c.o)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(d.Pages[0].Items, func(item drawing.Item) bool {
			x, ok := item.(drawing.Text)
			return ok && strings.Contains(x.Text, c.says)
		}) {
			t.Errorf("%+v: found no %q", c.o, c.says)
		}
	}
}
