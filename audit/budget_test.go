package audit_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// zener reads the ten daily means of JCGM 100, table H.9, as microvolts above
// 10 V.
func zener(t *testing.T) []float64 {
	t.Helper()
	var out []float64
	for _, r := range testkit.Reference(t, "gum-h5.csv") {
		out = append(out, (r.Number("mean_V")-10)*1e6)
	}
	if len(out) != 10 {
		t.Fatalf("got %d days, want 10", len(out))
	}
	return out
}

// JCGM 100, H.5.2.5: ten days as ten setups, a microvolt as a thousandth of a
// degree: u of the mean is 57 µV/√10 = 18 µV with nine degrees of freedom.
func TestSetupsAgainstGUMH5(t *testing.T) {
	s := plainSheet()
	s.Readout.Step = 1e-6
	s.Readout.OffCentre, s.Part.Sighting, s.Limits.Contact = 0, lengthLimit(0), lengthLimit(0)
	s.Limits.Remount = angleLimit(0)
	s.Setups = nil
	var mean float64
	for i, microvolts := range zener(t) {
		zero := 36.7 * float64(i)
		mean += microvolts / 10
		s.Setups = append(s.Setups, sheet.Setup{
			Name: strconv.Itoa(i + 1), Trials: trials(zero-20, zero+20),
			Marks: map[string][]sheet.Reading{"TDC": readings(sheet.Forward, zero+microvolts/1000)},
		})
	}
	result, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	m := result.ByLine()[0]
	scatter := oneRow(t, m, "setups against each other")
	if u := scatter.Scale.Degrees() * 1000; math.Abs(u-18.0533) > 5e-5 || scatter.DOF != 9 || scatter.N != 10 {
		t.Errorf("got %.4f with %v degrees of freedom from %d, want 18.0533, 9, 10", u, scatter.DOF, scatter.N)
	}
	if got := m.Offset.Value.Degrees() * 1000; math.Abs(got-mean) > 1e-9 || math.Abs(got-97.1) > 0.05 {
		t.Errorf("got a mean of %.4f, want 97.1", got)
	}
	if n := len(rows(m.Offset.Budget, "stop contacts")) + len(rows(m.Offset.Budget, "line readings")); n > 0 {
		t.Errorf("got %d rows of scatter within setups, want none beside the one between them", n)
	}
	// t at 9 degrees of freedom, two-sided 95 %: 2.26 (JCGM 100, table G.2).
	if k := m.Offset.Expanded.Degrees() * 1000 / 18.0533; math.Abs(k-2.26) > 0.005 {
		t.Errorf("got k = %.4f, want 2.26", k)
	}
	if m.Covers != lines.Remounting || !m.Offset.Known {
		t.Errorf("got %v, known %v, want an interval that covers remounting", m.Covers, m.Offset.Known)
	}
}

// From three setups on the step stands beside the scatter: a row of each kind a
// setup, or one of each in full when the setups were zeroed alike (method 4).
func TestStepRowsOfSetups(t *testing.T) {
	for _, c := range []struct {
		name  string
		zeros []float64
		n     int
		half  float64
	}{
		{"zeroed apart", []float64{0, 100.3, 200.7, 13.1}, 4, 0.1 / 8},
		{"zeroed alike", []float64{0, 0, 0, 0}, 1, 0.05},
		{"a step apart", []float64{0, 0.1, 0, 360}, 1, 0.05},
		{"two steps apart", []float64{0, 0.2, 0, 0}, 4, 0.1 / 8},
	} {
		s := plainSheet()
		s.Limits.Remount = angleLimit(0.05)
		s.Setups = nil
		for i, z := range c.zeros {
			s.Setups = append(s.Setups, plainSetup(strconv.Itoa(i+1), z))
		}
		result, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range result.ByLine() {
			line, tdc := rows(m.Offset.Budget, "step, at the line"), rows(m.Offset.Budget, "step, at TDC")
			if len(line) != c.n || len(tdc) != c.n {
				t.Fatalf("%s: got %d and %d step rows, want %d each", c.name, len(line), len(tdc), c.n)
			}
			for i := range line {
				if line[i].Shape != uncertainty.Rectangular || tdc[i].Shape != uncertainty.Triangular ||
					math.Abs(line[i].Scale.Degrees()-c.half) > 1e-12 || math.Abs(tdc[i].Scale.Degrees()-c.half) > 1e-12 {
					t.Errorf("%s: got %+v and %+v, want half widths of %v", c.name, line[i], tdc[i], c.half)
				}
			}
			if n := len(rows(m.Offset.Budget, "remounting")); n > 0 {
				t.Errorf("%s: got %d remounting rows, want the limit only compared", c.name, n)
			}
		}
	}
}

// With one or two setups the scatter is that of all readings taken together,
// and a stated remounting limit enters once a setup (method 4).
func TestOneAndTwoSetups(t *testing.T) {
	for _, k := range []int{1, 2} {
		for _, limit := range []geometry.Limit[geometry.Angle]{{}, {Half: 0.12}, {Half: 0.12, K: 2}} {
			s := plainSheet()
			s.Readout.Step = 0.01
			s.Limits.Remount = limit
			s.Setups = nil
			for i := range k {
				s.Setups = append(s.Setups, plainSetup(strconv.Itoa(i+1), 77.7*float64(i)))
			}
			result, err := audit.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			m := result.ByLine()[0]
			// Middles of plainSetup: 0.05, 0.05, -0.1, 0; readings 0.2, 0.3, 0.4.
			source := "line readings, pooled"
			if k == 2 { // four degrees of freedom: the line's own scatter
				source = "line readings"
			}
			stop, line := oneRow(t, m, "stop contacts"), oneRow(t, m, source)
			variance := (0.05*0.05*2 + 0.1*0.1) / 3 // about their mean of 0
			if want := math.Sqrt(variance / float64(4*k)); math.Abs(stop.Scale.Degrees()-want) > 1e-12 || stop.DOF != uncertainty.DOF(3*k) || stop.N != 4*k || !stop.Source.Shared() {
				t.Errorf("%d setups: got %+v, want a scale of %v", k, stop, want)
			}
			if want := 0.1 / math.Sqrt(float64(3*k)); math.Abs(line.Scale.Degrees()-want) > 1e-12 || line.N != 3*k || line.Source.Shared() {
				t.Errorf("%d setups: got %+v, want a scale of %v", k, line, want)
			}
			remount := rows(m.Offset.Budget, "remounting")
			if want := k; (limit.Half > 0) != (len(remount) == want) {
				t.Fatalf("%d setups: got %d remounting rows, want %d", k, len(remount), want)
			}
			for _, row := range remount {
				scale, shape := 0.12/float64(k), uncertainty.Rectangular
				if limit.K > 0 {
					scale, shape = 0.06/float64(k), uncertainty.Normal
				}
				if math.Abs(row.Term().Scale-scale) > 1e-12 || row.Shape != shape {
					t.Errorf("%d setups: got %+v, want %v with %v", k, row, shape, scale)
				}
			}
			if want := limit.Half > 0; (m.Covers == lines.Remounting) != want {
				t.Errorf("%d setups, limit %v: got %v", k, limit, m.Covers)
			}
		}
	}
}

// Of scatter and step the larger row is taken. Where the variance of the scatter is
// between 0.80 and 1.25 of that of the step both are, by a weight that goes from
// nothing to one: then the last digit of a sum does not choose (method 3).
func TestStepAgainstScatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		zero := rapid.Float64Range(-1000, 1000).Draw(t, "zero")
		// Three readings half a step apart: s = q/2, so s/√3 is exactly q/√12.
		ratio := rapid.SampledFrom([]float64{0.7, 0.799, 0.81, 1, 1.24, 1.251, 1.4}).Draw(t, "ratio of variances")
		s := plainSheet()
		s.Readout.Step = 0.5
		s.Marks = s.Marks[:1]
		s.Setups = []sheet.Setup{plainSetup("1", zero)}
		apart := 0.25 * math.Sqrt(ratio)
		s.Setups[0].Marks["TDC"] = readings(sheet.Forward, zero-apart, zero, zero+apart)
		result, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		step := rows(result.ByLine()[0].Offset.Budget, "step, at the line")
		scatter := rows(result.ByLine()[0].Offset.Budget, "line readings")
		if len(step) != 1 || len(scatter) != 1 {
			t.Fatalf("got %+v", result.ByLine()[0].Offset.Budget)
		}
		weight := math.Min(1, math.Max(0, (ratio-0.8)/0.45))
		for _, x := range []struct {
			name  string
			row   uncertainty.Row
			share float64 // of its variance
			full  float64
		}{{"scatter", scatter[0], weight, apart / math.Sqrt(3)}, {"step", step[0], 1 - weight, 0.25}} {
			if x.row.Idle != (x.share == 0) {
				t.Errorf("ratio %v, %s: idle %v at a weight of %v", ratio, x.name, x.row.Idle, x.share)
			}
			want := x.full
			if x.share > 0 {
				want *= math.Sqrt(x.share)
			}
			if math.Abs(x.row.Scale.Degrees()-want) > 1e-9 {
				t.Errorf("ratio %v, %s: got a scale of %v, want %v", ratio, x.name, x.row.Scale, want)
			}
		}
	})
}

// Two readings of one line alone have one degree of freedom: both rows, and the
// step with its full width (method 3).
func TestOneDegreeOfFreedom(t *testing.T) {
	s := plainSheet()
	s.Marks = s.Marks[:1]
	s.Setups[0].Marks["TDC"] = readings(sheet.Forward, 0.3, 0.3)
	result, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	step, scatter := oneRow(t, result.ByLine()[0], "step, at the line"), oneRow(t, result.ByLine()[0], "line readings")
	if step.Idle || scatter.Idle || math.Abs(step.Scale.Degrees()-0.1) > 1e-12 || scatter.DOF != 1 {
		t.Errorf("got %+v and %+v, want both, the step with half width 0.1", step, scatter)
	}
}

// The shares of the variance make up the whole, for lines and for TDC.
func TestSharesMakeTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		result := run(t, anyRig(t, true).sheet())
		for _, m := range result.ByLine() {
			var sum float64
			u := m.Offset.Standard.Degrees()
			for i, share := range m.Offset.Budget.Shares() {
				sum += share
				// The share is the row's part of the variance: scale times
				// sensitivity, by hand, over 1, √3, √6 or √2 (JCGM 100, 4.3).
				row := m.Offset.Budget[i]
				v := math.Pow(row.Scale.Degrees()*row.Sensitivity, 2) / map[uncertainty.Shape]float64{
					uncertainty.Normal: 1, uncertainty.StudentT: 1, uncertainty.Rectangular: 3, uncertainty.Triangular: 6, uncertainty.Arcsine: 2,
				}[row.Shape]
				if row.Idle {
					v = 0
				}
				if math.Abs(share-v/(u*u)) > 1e-12 { // a dozen roundings
					t.Errorf("%s, %s: got a share of %v, want %v", m.Name, row.Source, share, v/(u*u))
				}
			}
			if math.Abs(sum-1) > 1e-12 {
				t.Errorf("%s: the shares make %v", m.Name, sum)
			}
		}
	})
}

// What the marks share counts once in the common shift, and what each has of
// its own shrinks with their number.
func TestCommonShiftSharesItsRows(t *testing.T) {
	r := newRig(rand.New(rand.NewPCG(20261125, 901))).withLines(0.5, 0, -10, 120, -120, 30) // lines of which none scatters more than the others
	r.Readout.Step, r.Told.Sighting, r.Told.Contact = 0.01, 0.3, 0.04
	result, err := audit.Run(r.sheet())
	if err != nil {
		t.Fatal(err)
	}
	common := audit.LineResult{Line: lines.Line{Mark: sheet.Mark{Name: "common shift"}, Offset: result.Together.Common}}
	for _, source := range []string{"stop contacts", "sighting, engine pointer", "contact height (rock)"} {
		one, all := oneRow(t, result.ByLine()[0], source), oneRow(t, common, source)
		if a, b := one.Term(), all.Term(); a.Shape != b.Shape || math.Abs(a.Scale-b.Scale) > 1e-12 { // two orders of one sum
			t.Errorf("%s: got %+v for all together, want %+v as for one", source, all.Term(), one.Term())
		}
	}
	one, all := oneRow(t, result.ByLine()[0], "line readings, pooled"), oneRow(t, common, "line readings, pooled")
	if got, want := all.Term().Scale, one.Term().Scale/math.Sqrt(5); math.Abs(got-want) > 1e-12 || all.DOF != one.DOF {
		t.Errorf("got own scatter of %v with %v degrees of freedom, want %v with %v", got, all.DOF, want, one.DOF)
	}
	var mean float64
	for _, m := range result.ByLine() {
		mean += m.Offset.Value.Degrees() / 5
	}
	if got := result.Together.Common.Value.Degrees(); math.Abs(got-mean) > 1e-12 {
		t.Errorf("got a common shift of %v, want the plain mean %v of lines that scatter alike", got, mean)
	}
}
