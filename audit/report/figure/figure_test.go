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
	"markaudit/audit/internal/testkit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
)

func allFigures(r audit.Result) []drawing.Scene {
	return slices.Concat(Part(r), Offsets(r), Trials(r), Budget(r))
}

func TestFiguresAreNotClippedAndDoNotOverlap(t *testing.T) {
	cases := 0
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
						if cases++; testkit.Drawn(cases) {
							results[key] = reporttest.ManyLines(t, n, name, turns, on, off)
						}
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
				checkLegible(t, s)
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
