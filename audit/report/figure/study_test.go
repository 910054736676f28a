package figure

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"markaudit/audit/compare"
	"markaudit/audit/repeatability"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// dredger are the audits of one part over five years, or on other days; of an empty
// day none is known.
func dredger(t *testing.T, dates ...string) compare.Comparison {
	t.Helper()
	var sheets []sheet.Sheet
	for _, year := range []string{"2021", "2023", "2025", "2026"} {
		path := "../../../testdata/history/dredger-" + year + ".yaml"
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s, _, err := sheet.Read(path, data, nil)
		if err != nil {
			t.Fatal(err)
		}
		sheets = append(sheets, s)
	}
	c, err := compare.Sheets(sheets)
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range dates {
		if c.Taken[i], err = time.Parse(time.DateOnly, d); err != nil {
			c.Taken[i] = time.Time{}
		}
	}
	return c
}

// ticksAt are the places on the paper of the audits, by the strokes below the last
// panel.
func ticksAt(s drawing.Scene) (at []float64) {
	for _, item := range s.Items {
		if x, ok := item.(drawing.Line); ok && x.Stroke == drawing.Thick && x.From.X == x.To.X && x.From.Y > s.Height-12 {
			at = append(at, x.From.X.Millimetres())
		}
	}
	return at
}

// Audits stand as far apart as their days, to a tenth of a millimetre; those of one
// day stand side by side.
func TestHistoryIsToTime(t *testing.T) {
	for _, dates := range [][]string{
		{"2021-05-12", "2023-06-03", "2025-05-20", "2026-09-02"},
		{"2026-01-01", "2026-01-02", "2026-01-02", "2026-03-01"},
		{"2026-01-01", "2026-01-01", "2026-01-01", "2026-01-01"},
	} {
		s := History(dredger(t, dates...), []string{"a", "b", "c", "d"})[0]
		reporttest.CheckScene(t, s)
		checkLegible(t, s)
		at := ticksAt(s)
		if len(at) != 4 {
			t.Fatalf("%v: ticks at %v", dates, at)
		}
		var days []float64
		drawn, same := slices.Clone(at), 0
		for i, d := range dates {
			day, err := time.Parse(time.DateOnly, d)
			if err != nil {
				t.Fatal(err)
			}
			days = append(days, day.Sub(time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)).Hours()/24)
			if i > 0 && d == dates[i-1] {
				same++
				if gap := drawn[i] - drawn[i-1]; math.Abs(gap-historyAside.Millimetres()) > 1e-6 {
					t.Errorf("%v: audits of one day are %.3f mm apart", dates, gap)
				}
				at[i] -= historyAside.Millimetres() * float64(same) // back onto its day
			} else {
				same = 0
			}
		}
		for i := 1; i < 4; i++ {
			want := 0.0
			if days[3] > days[0] {
				want = (at[3] - at[0]) * (days[i] - days[0]) / (days[3] - days[0])
			}
			if math.Abs(at[i]-at[0]-want) > 0.1 {
				t.Errorf("%v: the audit of %s stands %.3f mm from the first, want %.3f", dates, dates[i], at[i]-at[0], want)
			}
		}
	}
	undated := History(dredger(t, "", "", "", ""), []string{"a", "b", "c", "d"})[0]
	reporttest.CheckScene(t, undated)
	if at := ticksAt(undated); len(at) != 4 || math.Abs((at[1]-at[0])-(at[3]-at[2])) > 1e-6 || !strings.Contains(undated.Description, "Equally far apart") {
		t.Errorf("without days: ticks at %v, %s", at, undated.Description)
	}
}

// Each verdict of each audit is a sign in the panel of its line, and its offset is
// in the words.
func TestHistoryShowsEveryOffset(t *testing.T) {
	c := dredger(t)
	s := History(c, []string{"a", "b", "c", "d"})[0]
	signs, lines := 0, 0
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Circle:
			signs++
		case drawing.Polygon:
			if len(x.Points) == 4 && x.Points[0].X != x.Points[3].X { // a diamond
				signs++
			} else if x.Fill == drawing.Black {
				signs++
			}
		}
	}
	for _, r := range c.Audits {
		for _, m := range r.ByLine() {
			lines++
			if says := words.Offset(m.Offset); !strings.Contains(s.Description, says) {
				t.Errorf("the text alternative lacks %q", says)
			}
		}
	}
	if signs != lines {
		t.Errorf("%d signs for %d offsets", signs, lines)
	}
}

// Every value of a study is one tick, at its distance from the mean of its line on
// the scale that all people share.
func TestEveryReadingIsATick(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/study/class.csv")
	if err != nil {
		t.Fatal(err)
	}
	d, err := repeatability.ReadStudy("class.csv", data)
	if err != nil {
		t.Fatal(err)
	}
	r := repeatability.Analyse(d, repeatability.PoolAuto)
	// As many of each person on each line, so the mean of all is that of the people.
	sum, n := map[string]float64{}, map[string]float64{} // only looked up
	for _, v := range r.Data.Values {
		sum[v.Mark] += v.Value.Degrees()
		n[v.Mark]++
	}
	axis := newClassroom(r).axis
	var want, got []float64
	for _, v := range r.Data.Values {
		want = append(want, axis.at(v.Value.Degrees()-sum[v.Mark]/n[v.Mark]).Millimetres())
	}
	for _, s := range Repeat(r) {
		reporttest.CheckScene(t, s)
		checkLegible(t, s)
		got = append(got, verticals(s, readingStroke)...)
	}
	slices.Sort(want)
	slices.Sort(got)
	if len(got) != len(want) {
		t.Fatalf("%d ticks for %d values", len(got), len(want))
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-6 {
			t.Errorf("a tick stands at %.4f mm, want %.4f", got[i], want[i])
		}
	}
}

var drawnRatio = regexp.MustCompile(`drawn (\d+) : 1`)

// The arrow of a wheel goes from its centre to that of the shaft: towards the
// graduation that is to move away, as far as the stated scale says.
func TestWheelArrow(t *testing.T) {
	for _, table := range []string{"wheel-4", "opposite", "remounted", "quarters"} {
		for _, diameter := range []geometry.Length{0, 280, 1200} {
			t.Run(fmt.Sprint(table, " ", diameter), func(t *testing.T) {
				var a wheel.Accumulator
				if err := readTable(t, "../../../testdata/wheel/"+table+".csv", &a); err != nil {
					t.Fatal(err)
				}
				r, err := a.Audit(wheel.Options{Diameter: diameter})
				if err != nil {
					t.Fatal(err)
				}
				s := Wheel(r)[0]
				reporttest.CheckScene(t, s)
				checkLegible(t, s)
				var tip *drawing.Point
				for _, item := range s.Items {
					if x, ok := item.(drawing.Polygon); ok && x.Fill == drawing.Black && len(x.Points) == 3 && tip == nil {
						tip = &x.Points[0]
					}
				}
				if seen := (words.Wheel{Result: r}).OffCentreSeen(); seen == (tip == nil) {
					t.Fatalf("an arrow is there: %v, off centre is seen: %v", tip != nil, seen)
				} else if !seen {
					return
				}
				dx, dy := (tip.X - wheelX).Millimetres(), (tip.Y - wheelY).Millimetres()
				if way := geometry.AngleFromRadians(math.Atan2(dx, -dy)); (way - r.OffCentre.Slide).Wrap().Abs() > 0.5 {
					t.Errorf("the arrow goes towards %v, want %v", way.Turn(), r.OffCentre.Slide)
				}
				m := drawnRatio.FindStringSubmatch(s.Description)
				if (m == nil) != (diameter == 0) {
					t.Fatalf("a scale is stated: %v, for a diameter of %v", m != nil, diameter)
				}
				if m != nil {
					ratio, _ := strconv.ParseFloat(m[1], 64)
					if long := math.Hypot(dx, dy); math.Abs(long-ratio*r.OffCentre.By.Millimetres()) > 0.01 {
						t.Errorf("the arrow is %.3f mm long, want %.3f", long, ratio*r.OffCentre.By.Millimetres())
					}
				}
			})
		}
	}
}
