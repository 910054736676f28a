package lines

import (
	"math"
	"testing"

	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

func bench(stroke, rod, offset geometry.Length) dial {
	crank := geometry.Crank{Stroke: stroke, Rod: rod, Offset: offset}
	s := &sheet.Sheet{Limits: sheet.Limits{Confidence: 0.95}}
	return dial{input{sheet: s}, crank, 1, crank.PistonBDC()}
}

func close1(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.10f, want %.10f", what, got, want)
	}
}

// The interval of a drop and its probabilities, with rows t 0.00333333 on 2 (top), t
// 0.00333333 on 2 (line), rectangular 0.015: computed outside the project, the angles
// by bisection with 40 digits, the sum by quadrature.
func TestIntervalOfADropAgainstQuadrature(t *testing.T) {
	d := bench(54, 110, 0)
	sum := uncertainty.NewSum([]uncertainty.Term{
		{Shape: uncertainty.StudentT, Scale: 0.00333333, DOF: 2},
		{Shape: uncertainty.StudentT, Scale: 0.00333333, DOF: 2},
		{Shape: uncertainty.Rectangular, Scale: 0.015},
	})
	u := geometry.Length(sum.HalfWidth(0.95))
	close1(t, "U", u.Millimetres(), 0.02211429, 1e-7)
	spark := sheet.Mark{At: d.at(1.8, geometry.BTDC), Tolerance: 1}
	spark.Early, spark.Late = spark.At-d.at(1.95, geometry.BTDC), d.at(1.65, geometry.BTDC)-spark.At
	close1(t, "1.74 mm", d.at(1.74, geometry.BTDC).Degrees(), -18.55742498, 1e-8)
	close1(t, "late by", (d.at(1.74, geometry.BTDC) - spark.At).Degrees(), 0.32172755, 1e-8)
	low, high, told := d.interval(1.74, u, geometry.BTDC)
	if !told {
		t.Error("the side of 1.74 mm is not told")
	}
	close1(t, "high", high.Degrees(), -18.43750826, 1e-6)
	close1(t, "low", low.Degrees(), -18.67661360, 1e-6)
	p := d.sides(spark, 1.74, sum, geometry.BTDC)
	close1(t, "late", p.Late, 0.00079588, 1e-7)
	close1(t, "early", p.Early, 0.00014150, 1e-7)
	close1(t, "within", p.Within, 0.99906261, 1e-7)

	low, high, told = d.interval(0.03, u, geometry.BTDC)
	close1(t, "0.03 mm", d.at(0.03, geometry.BTDC).Degrees(), -2.42048654, 1e-8)
	close1(t, "0.03 mm, high", high.Degrees(), -1.24086788, 2e-6) // its slope makes 80 of the last digit of U
	close1(t, "0.03 mm, low", low.Degrees(), -3.19049071, 1e-6)
	if !told {
		t.Error("the side of 0.03 mm is not told")
	}
	low, high, told = d.interval(0.02, u, geometry.ATDC)
	close1(t, "0.02 mm, high", high.Degrees(), 2.86798619, 1e-6)
	close1(t, "0.02 mm, low", low.Degrees(), -2.86798619, 1e-6)
	if told {
		t.Error("the side of 0.02 mm is told")
	}

	near := sheet.Mark{At: -2, Tolerance: 1.5}
	close1(t, "border at 0.5", d.border(0.5, geometry.BTDC).Millimetres(), 0.00128042, 1e-8)
	close1(t, "border at 3.5", d.border(3.5, geometry.BTDC).Millimetres(), 0.06271081, 1e-8)
	p = d.sides(near, 0.03, sum, geometry.BTDC)
	close1(t, "late of 2 BTDC", p.Late, 0.01117633, 1e-7)
	close1(t, "early of 2 BTDC", p.Early, 0.00783498, 1e-7)
	close1(t, "within of 2 BTDC", p.Within, 0.98098869, 1e-7)

	// At TDC itself neither side counts more: what is left is the smaller of both.
	p = d.sides(sheet.Mark{At: 0, Tolerance: 1}, 0.004, sum, geometry.ATDC)
	other := d.sides(sheet.Mark{At: 0, Tolerance: 1}, 0.004, sum, geometry.BTDC)
	if p != other || p.Early != 0 || p.Late != 0 {
		t.Errorf("at TDC: %+v on one side and %+v on the other", p, other)
	}
}

// Drops to angles and slopes, with and without offset, by bisection with 40 digits
// outside the project.
func TestPlacesByADialAgainstBisection(t *testing.T) {
	for _, c := range []struct {
		d             dial
		drop          geometry.Length
		before, after float64
		kb, ka        float64
	}{
		{bench(54, 110, 0), 0.05, 3.125075771, 3.125075771, 0.031986884, 0.031986884},
		{bench(54, 110, 0), 1.8, 18.87915253, 18.87915253, 0.188006002, 0.188006002},
		{bench(92, 152, 0.8), 0.05, 2.340828649, 2.340945597, 0.042711277, 0.042707009},
		{bench(92, 152, 0.8), 4, 21.12503181, 21.13457812, 0.37177247, 0.37143611},
		{bench(40, 80, -1), 1.8, 21.96074734, 21.93974279, 0.16072459, 0.16103215},
	} {
		b, a := c.d.at(c.drop, geometry.BTDC), c.d.at(c.drop, geometry.ATDC)
		close1(t, "before", b.Degrees(), -c.before, 1e-8)
		close1(t, "after", a.Degrees(), c.after, 1e-8)
		close1(t, "slope before", c.d.slope(b), c.kb, 1e-8)
		close1(t, "slope after", c.d.slope(a), c.ka, 1e-8)
	}
	// Stroke ± 0.1 and rod ± 0.5 at 1.8 mm of 54 and 110.
	d := bench(54, 110, 0)
	d.sheet.Engine.StrokeLimit.Half, d.sheet.Engine.RodLimit.Half = 0.1, 0.5
	rows := d.sizes(d.at(1.8, geometry.BTDC))
	close1(t, "stroke", rows[0].half, 0.00397886, 1e-8)
	close1(t, "rod", rows[1].half, 0.00158452, 1e-8)
	if rows[0].sign != 1 || rows[1].sign != -1 {
		t.Errorf("signs %v and %v: a longer stroke drops the piston further, a longer rod less", rows[0].sign, rows[1].sign)
	}
}

// On a wheel the same limits put where a line belongs into doubt, in degrees: 0.02116 of
// the stroke and 0.00843 of the rod, by bisection outside the project. A longer stroke
// brings the line closer to TDC, so that what was read is earlier than it belongs before
// TDC and later after it.
func TestNominalDropsOnAWheel(t *testing.T) {
	d := bench(54, 110, 0)
	d.sheet.Engine = sheet.Engine{Stroke: 54, Rod: 110, StrokeLimit: geometry.Limit[geometry.Length]{Half: 0.1}, RodLimit: geometry.Limit[geometry.Length]{Half: 0.5}}
	for side, sign := range map[geometry.Letters]float64{geometry.BTDC: -1, geometry.ATDC: 1} {
		l := Line{Mark: sheet.Mark{Drop: 1.8, At: d.at(1.8, side)}}
		rows := in(d).nominal(&l)
		if len(rows) != 2 || rows[0].Source != uncertainty.Stroke || rows[1].Source != uncertainty.Rod {
			t.Fatalf("got %+v", rows)
		}
		close1(t, "stroke", rows[0].Sensitivity[0]*rows[0].Scale, sign*0.02116, 1e-5)
		close1(t, "rod", rows[1].Sensitivity[0]*rows[1].Scale, -sign*0.00843, 1e-5)
		l.Drop = 0
		if rows := in(d).nominal(&l); rows != nil {
			t.Errorf("in degrees it hangs on no crank: %+v", rows)
		}
	}
	for side, sign := range map[geometry.Letters]float64{geometry.BTDC: -1, geometry.ATDC: 1} { // within a degree of the top too
		l := Line{Mark: sheet.Mark{Drop: 0.002, At: d.at(0.002, side)}}
		if rows := in(d).nominal(&l); l.At.Abs() > 1 || rows[0].Sensitivity[0]*sign <= 0 {
			t.Errorf("%v by the stroke at %v, expected the sign of %v", rows[0].Sensitivity, l.At, sign)
		}
	}
	d.sheet.Engine.BoreOffset.Limit.Half = 0.2
	l := Line{Mark: sheet.Mark{Drop: 1.8, At: d.at(1.8, geometry.BTDC)}}
	if rows := in(d).nominal(&l); len(rows) != 3 || rows[2].Source != uncertainty.BoreOffset || rows[2].Of != d.sheet.Engine.Cylinder("") {
		t.Errorf("got %+v", rows)
	}
}

func in(d dial) input { return d.input }

func readoutOf(s sheet.Sheet) readout.Readout { return readout.New(s) }

// What a slanting dial shows, on a crown that leans (plane geometry; outside the
// project).
func TestAlongTheCylinder(t *testing.T) {
	for _, c := range []struct{ probe, crown, want float64 }{
		{0, 0, 1}, {20, 0, 0.939692621}, {25, 0, 0.906307787}, {25, 5, 0.943282094}, {25, -5, 0.869333480},
	} {
		r := sheet.Readout{Probe: geometry.Angle(c.probe), Crown: geometry.Angle(c.crown)}
		close1(t, "along", r.Along().Millimetres(), c.want, 1e-9)
	}
	d := bench(54, 110, 0)
	shown := geometry.Length(1.97) * sheet.Readout{Probe: 25}.Along()
	close1(t, "drop", shown.Millimetres(), 1.78542634, 1e-8)
	close1(t, "angle", d.at(shown, geometry.BTDC).Degrees(), -18.80148478, 1e-8)
}
