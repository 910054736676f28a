package figure

import (
	"math"
	"os"
	"strings"
	"testing"

	"markaudit/audit/plan"
	"markaudit/audit/qualify"
	"markaudit/audit/rehearse"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// verticals are the places of vertical lines of a stroke, in millimetres.
func verticals(s drawing.Scene, stroke drawing.Stroke) (at []float64) {
	for _, item := range s.Items {
		if x, ok := item.(drawing.Line); ok && x.Stroke == stroke && x.From.X == x.To.X {
			at = append(at, x.From.X.Millimetres())
		}
	}
	return at
}

// Every middle of both stops is a tick; the long bar is the 95 % interval and the
// two ticks in it the 90 % one, which lies in the grey where the bias is proven to be
// within what is allowed, and only there.
func TestQualifyFigure(t *testing.T) {
	for _, name := range []string{"new-stop", "bent-tip", "soft-lock"} {
		data, err := os.ReadFile("../../../testdata/qualify/" + name + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		study, _, err := qualify.ReadTrials(name, data)
		if err != nil {
			t.Fatal(err)
		}
		r, err := qualify.Run(study, qualify.Options{AllowedBias: 0.1, Step: 0.05})
		if err != nil {
			t.Fatal(err)
		}
		scenes := Qualify(r, words.Tools{New: "a < b", Reference: reporttest.LongName})
		if len(scenes) != 1 {
			t.Fatalf("%s: %d figures", name, len(scenes))
		}
		s := scenes[0]
		reporttest.CheckScene(t, s)
		checkLegible(t, s)
		trusted, newer := 0, 0
		for _, setup := range r.Setups {
			trusted, newer = trusted+len(setup.Reference.Middles), newer+len(setup.New.Middles)
		}
		bias := 0
		if r.Bias.Known {
			bias = 2 // the ticks of the 90 % interval have the stroke of a reading
		}
		if got := len(verticals(s, readingStroke)); got != trusted+bias {
			t.Errorf("%s: %d ticks of the trusted stop, want %d", name, got, trusted+bias)
		}
		if got := len(verticals(s, drawing.Thick)); got != newer {
			t.Errorf("%s: %d ticks of the new stop, want %d", name, got, newer)
		}
		axis := biasScale(r)
		if r.Bias.Known && r.Bias.Low > geometry.Angle(axis.low) && r.Bias.High < geometry.Angle(axis.high) {
			ends := verticals(s, drawing.Stroke{Width: 0.6, Ink: drawing.Black})
			want := []float64{axis.at(r.Bias.Low.Degrees()).Millimetres(), axis.at(r.Bias.High.Degrees()).Millimetres()}
			if len(ends) != 2 || math.Abs(ends[0]-want[0]) > 1e-6 || math.Abs(ends[1]-want[1]) > 1e-6 {
				t.Errorf("%s: the bar ends at %v, want %v", name, ends, want)
			}
		}
		if thin := verticals(s, readingStroke); r.Bias.Known && r.Bias.High90 < geometry.Angle(axis.high) && r.Bias.Low90 > geometry.Angle(axis.low) {
			thin = thin[len(thin)-2:]
			if math.Abs(thin[0]-axis.at(r.Bias.Low90.Degrees()).Millimetres()) > 1e-6 || math.Abs(thin[1]-axis.at(r.Bias.High90.Degrees()).Millimetres()) > 1e-6 {
				t.Errorf("%s: the ticks stand at %v", name, thin)
			}
		}
		within := r.Bias.Known && r.Bias.Low90 >= -r.AllowedBias && r.Bias.High90 <= r.AllowedBias
		if proven := r.Bias.Known && r.Bias.PLower <= 0.05 && r.Bias.PUpper <= 0.05; within != proven {
			t.Errorf("%s: the ticks lie in the grey: %v; both one-sided tests at 5 %% say %v", name, within, proven)
		}
		if !strings.Contains(s.Description, words.Qualify{Result: r, Tools: words.Tools{New: "a < b", Reference: reporttest.LongName}}.Answer()) {
			t.Errorf("%s: the text alternative lacks the answer", name)
		}
	}
}

// The points of a plan are those of its table, at the height of their ±; what nobody
// can know stays missing.
func TestPlanFigure(t *testing.T) {
	s := sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise, Stroke: 92, Rod: 152},
		Part:    sheet.Part{Diameter: 158, MarksOn: sheet.OnPart},
		Readout: sheet.Readout{Step: 0.25, Counts: 1},
		Limits:  sheet.Limits{Confidence: 0.95, Placement: 0.2},
		Marks:   []sheet.Mark{{Name: "TDC", AtText: "0", Tolerance: 1}, {Name: "fire", At: -10, AtText: "10 BTDC", Tolerance: 1}},
	}
	for _, step := range []geometry.Angle{0.01, 0.25, 1} {
		s.Readout.Step = step
		p, err := plan.For(s, plan.Guess{Middle: 0.15, Reading: 0.15, Remount: 0.1}, 0, 0.4)
		if err != nil {
			t.Fatal(err)
		}
		o := newOutlook(p)
		rows := map[int][]float64{} // only looked up
		for _, row := range o.rows {
			rows[row.setups] = row.u
		}
		compared := 0
		for _, u := range p.Usual {
			if u.Readings == plannedReadings && u.Trials >= fewestPairs {
				compared++
				if got := rows[u.Setups][u.Trials-fewestPairs]; math.Abs(got-u.U.Degrees()) > 1e-12 {
					t.Errorf("step %v: ± %v of %d setups, %d pairs is drawn, the table has %v", step, got, u.Setups, u.Trials, u.U)
				}
			}
		}
		if compared < 4 {
			t.Errorf("only %d schemes of the table are in the figure", compared)
		}
		scenes := Plan(p, s)
		if len(scenes) != 1 {
			t.Fatalf("%d figures", len(scenes))
		}
		reporttest.CheckScene(t, scenes[0])
		checkLegible(t, scenes[0])
		plain := s
		plain.Engine.Stroke, plain.Engine.Rod = 0, 0
		if p, err := plan.For(plain, plan.Guess{Middle: 0.15, Reading: 0.15, Remount: 0.1}, 0, 0.4); err != nil {
			t.Error(err)
		} else {
			reporttest.CheckScene(t, Plan(p, plain)[0])
			checkLegible(t, Plan(p, plain)[0])
		}
		y := scale{0, o.top, planFoot, planTop}
		for _, row := range o.rows {
			for i, u := range row.u {
				x := scale{1, mostPairs + 0.3, planNext, planNext + planWide - 14}.at(float64(fewestPairs + i))
				if got, want := hasSign(scenes[0], drawing.Point{X: x, Y: y.at(u)}), u <= o.top; got != want {
					t.Errorf("step %v, %d setups, %d pairs: a point is there: %v, want %v", step, row.setups, fewestPairs+i, got, want)
				}
			}
		}
	}
}

// hasSign reports whether a disc or a square stands at a point.
func hasSign(s drawing.Scene, at drawing.Point) bool {
	near := func(p drawing.Point) bool {
		return math.Hypot((p.X-at.X).Millimetres(), (p.Y-at.Y).Millimetres()) < 1e-6
	}
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Circle:
			if near(x.Centre) {
				return true
			}
		case drawing.Polygon:
			if len(x.Points) == 4 && near(x.Points[0].Plus(0.9, 0.9)) {
				return true
			}
		}
	}
	return false
}

// A truth outside the bar is bold, a star stands at each truth, and an answer has a
// triangle.
func TestRehearsalFigure(t *testing.T) {
	r := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: 1}.Audit(t)
	o := rehearse.Opened{Sealed: rehearse.Sealed{Scenario: "made"}, Result: r}
	for i, m := range r.ByLine() {
		l := rehearse.Line{TrueLine: simulate.TrueLine{Name: m.Name, Offset: m.Offset.Value, Tolerance: m.Tolerance}, Mark: m, Held: true}
		if i == 1 {
			l.Offset, l.Held = m.Offset.Value+2*m.Offset.Expanded, false
			l.Answer = &rehearse.Answer{Mark: m.Name, Off: 30, HasOff: true}
		}
		o.Lines = append(o.Lines, l)
	}
	s := Rehearsal(o)[0]
	reporttest.CheckScene(t, s)
	checkLegible(t, s)
	axis := rehearsalScale(o.Lines)
	stars, triangles := 0, 0
	var bold []string
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Polygon:
			if len(x.Points) == 10 {
				if want := axis.at(o.Lines[stars].Offset.Degrees()); math.Abs(float64(x.Points[0].X-want)) > 1e-9 {
					t.Errorf("a star stands at %v, want %v", x.Points[0].X, want)
				}
				stars++
			}
			if len(x.Points) == 3 && x.Fill == drawing.White {
				triangles++
			}
		case drawing.Text:
			if x.Bold {
				bold = append(bold, x.Text)
			}
		}
	}
	if stars != len(o.Lines) || triangles != 1 {
		t.Errorf("%d stars, %d triangles for %d lines and one answer", stars, triangles, len(o.Lines))
	}
	if got := strings.Join(bold, ", "); !strings.Contains(got, words.Offset(o.Lines[1].Mark.Offset)) || strings.Contains(got, words.Offset(o.Lines[0].Mark.Offset)+", true") {
		t.Errorf("bold is %s, want the second line alone", got)
	}
}
