package wheel

import (
	"strconv"
	"testing"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// deviations are those of a published report, in 1e-5 mm, by position.
func deviations(t *testing.T) (forward, backward [][]float64) {
	forward, backward = make([][]float64, 5), make([][]float64, 5)
	for _, r := range testkit.Reference(t, "iso230-2-deviations.csv") {
		position, err := strconv.Atoi(r.Text("position"))
		if err != nil {
			t.Fatal(err)
		}
		into := forward
		if r.Text("direction") == "backward" {
			into = backward
		}
		into[position-1] = append(into[position-1], r.Number("deviation_1e-5mm"))
	}
	return forward, backward
}

// The figures of the report where its formulas are those of ISO 230-2:2014; its
// R (6.29) and E (2.46) are not, 6.8815 and 3.68 are recomputed from the
// definitions. Printed digits: half a unit of the last.
func published(t *testing.T, a Axis, scale float64) {
	t.Helper()
	for _, f := range []struct {
		name        string
		got         geometry.Angle
		want, digit float64
	}{
		{"B", a.Reversal, 1.22, 1e-2},
		{"mean B", a.MeanReversal, 0.54, 1e-2},
		{"R forward", a.RepeatForward, 5.03269, 1e-5},
		{"R backward", a.RepeatBackward, 6.29031, 1e-5},
		{"R", a.Repeat, 6.8815, 1e-4},
		{"E forward", a.SystematicForward, 2.46, 1e-2},
		{"E backward", a.SystematicBackward, 3.30, 1e-2},
		{"E", a.Systematic, 3.68, 1e-2},
		{"M", a.MeanSystematic, 2.77, 1e-2},
		{"A forward", a.AccuracyForward, 6.42824, 1e-5},
		{"A backward", a.AccuracyBackward, 8.88072, 1e-5},
		{"A", a.Accuracy, 8.88072, 1e-5},
	} {
		testkit.Near(t, f.name, f.got/geometry.Angle(scale), geometry.Angle(f.want), f.digit/2+1e-9)
	}
	if a.Targets != 5 || a.Runs != 5 {
		t.Errorf("got %d targets, %d runs", a.Targets, a.Runs)
	}
}

func TestAxisAgreesWithReport(t *testing.T) {
	forward, backward := deviations(t)
	var ways [2][]Runs
	for w, all := range [][][]float64{forward, backward} {
		for _, x := range all {
			mean, sd := stats.MeanStdDev(x)
			ways[w] = append(ways[w], Runs{geometry.Angle(mean), geometry.Angle(sd), len(x)})
		}
	}
	published(t, EvaluateAxis(ways[0], ways[1]), 1)
	one := EvaluateAxis(ways[0], nil)
	if one.Reversal == one.Reversal || one.Accuracy == one.Accuracy {
		t.Errorf("one direction: got %+v, want no figures of both", one)
	}
	testkit.Near(t, "A of one direction", one.AccuracyForward, 6.42824, 1e-5)
}

// The same deviations, as hundredths of degrees at five stations of a table.
func TestAxisOfTable(t *testing.T) {
	forward, backward := deviations(t)
	const scale = 0.01
	var rows []Row
	for i := range 5 {
		reference := geometry.Angle(72 * i)
		for run := range 5 {
			rows = append(rows,
				Row{Reference: reference, Reading: reference + geometry.Angle(scale*forward[i][run]), Approach: sheet.Forward},
				Row{Reference: reference, Reading: reference + geometry.Angle(scale*backward[i][run]), Approach: sheet.Backward})
		}
	}
	r := run(t, Options{}, rows)
	if r.Axis == nil {
		t.Fatal("no figures")
	}
	published(t, *r.Axis, scale)
	testkit.Near(t, "lost motion", r.LostMotion.Value, 0.54*scale, 1e-6) // the two directions are not read at quite the same graduations
	if r := run(t, Options{}, rows[:len(rows)-9]); r.Axis != nil {
		t.Errorf("a target with one run: got %+v", *r.Axis)
	}
}
