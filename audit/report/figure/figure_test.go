package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

func allFigures(r audit.Result) []drawing.Scene {
	return slices.Concat(Part(r), Offsets(r), Trials(r), Budget(r))
}

func TestFiguresAreNotClippedAndDoNotOverlap(t *testing.T) {
	results := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, n := range []int{1, 5, 24, 60} {
		for _, off := range []float64{0.01, 0.8, 40} {
			for _, name := range []string{"", reporttest.LongName, strings.Repeat("unbroken", 60)} {
				for _, turns := range []string{"clockwise", "anticlockwise"} {
					for _, on := range []string{"part", "engine"} {
						key := fmt.Sprintf("%d lines %.10q off by %g, %s, on %s", n, name, off, turns, on)
						if n == 60 && (turns != "clockwise" || on != "part") {
							continue
						}
						results[key] = reporttest.ManyLines(t, n, name, turns, on, off)
					}
				}
			}
		}
	}
	for name, r := range results {
		t.Run(name, func(t *testing.T) {
			scenes := allFigures(r)
			if len(r.ByLine()) > 0 && len(scenes) < 2 {
				t.Errorf("only %d figures", len(scenes))
			}
			for _, s := range scenes {
				reporttest.CheckScene(t, s)
				if s.Width != drawing.PageWidth || s.Height > 250 {
					t.Errorf("%s is %v by %v and would be cut on Letter", s.Title, s.Width, s.Height)
				}
				checkXML(t, s)
			}
		})
	}
}

func checkXML(t *testing.T, s drawing.Scene) {
	t.Helper()
	var b bytes.Buffer
	if err := drawing.SVG(&b, s); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(&b)
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%s: %v", s.Title, err)
		}
	}
}

// From the line as found to where it belongs a figure goes the way that the
// audit says; the two lines of the audit's check lie as it says.
func TestPartFigureGoesTheAuditsWay(t *testing.T) {
	for _, turns := range []string{"clockwise", "anticlockwise"} {
		for _, on := range []string{"part", "engine"} {
			for _, half := range []bool{false, true} {
				for _, late := range []float64{3, -3} {
					r := reporttest.Job{Diameter: 158, Turns: turns, MarksOn: on, Half: half, Late: late}.Audit(t)
					m := r.ByLine()[1]
					c := newCallout(words.NewAudit(r, nil), m, 1)
					if way := c.belongs - c.found; (way > 0) != (m.Scribe.Rotation == geometry.Clockwise) {
						t.Errorf("%s, on %s, late %g: goes %v, the audit says %v", turns, on, late, way, m.Scribe.Rotation)
					}
					drawn := map[string]geometry.Angle{} // only looked up
					for _, l := range r.ByLine() {
						drawn[l.Name] = newCallout(words.NewAudit(r, nil), l, 1).found
					}
					check := r.Advice.Check
					if half && check.From == "" {
						continue // at half speed these lines do not tell the side
					}
					if goes := (drawn[check.To] - drawn[check.From]).Wrap(); goes == 0 || (goes > 0) != (check.Rotation == geometry.Clockwise) {
						t.Errorf("%s, on %s: from %s to %s the figure goes by %v, the check says %v", turns, on, check.From, check.To, goes, check.Rotation)
					}
				}
			}
		}
	}
}

func TestExaggeration(t *testing.T) {
	for _, tt := range []struct {
		off  float64
		want float64
	}{{0.01, 100}, {0.8, 10}, {40, 1}} {
		if got := exaggeration(reporttest.ManyLines(t, 1, "", "clockwise", "part", tt.off)); got != tt.want {
			t.Errorf("one line off by %g: drawn %g times as large, want %g", tt.off, got, tt.want)
		}
	}
}
