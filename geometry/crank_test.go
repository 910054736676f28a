package geometry_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

func crankOf(radius, rod, offset float64) geometry.Crank {
	return geometry.Crank{Stroke: geometry.Length(2 * radius), Rod: geometry.Length(rod), Offset: geometry.Length(offset)}
}

func TestContactsAgainstBisection(t *testing.T) {
	for _, row := range reference(t, "slider-crank-contacts.csv", 7) {
		c, name := crankOf(row[0], row[1], row[2]), fmt.Sprint(row[:4])
		within(t, name+" throw to top", float64(c.ThrowToTDC()), row[4], 1e-14)
		before, after, err := c.Contacts(geometry.Length(row[3]))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		within(t, name+" before", float64(before), row[5], 1e-11) // as the comment of Contacts promises
		within(t, name+" after", float64(after), row[6], 1e-11)
	}
}

func TestHalfArcsAgainstBisection(t *testing.T) {
	for _, row := range reference(t, "slider-crank-half-arcs.csv", 7) {
		c, halfArc, name := crankOf(row[0], row[1], row[2]), geometry.Angle(row[3]), fmt.Sprint(row[:4])
		beta, err := c.MidCorrection(halfArc)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		within(t, name+" correction", float64(beta), row[4], 1e-12) // as the comment promises
		within(t, name+" drop", float64(c.Drop(beta+halfArc)), row[5], 1e-12*row[1])
		within(t, name+" drop", float64(c.Drop(beta-halfArc)), row[5], 1e-12*row[1])
		before, after, err := c.Contacts(geometry.Length(row[5]))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		within(t, name+" half arc", float64(after-before)/2, row[3], 1e-11) // as the comment of Contacts promises
		within(t, name+" middle", float64(after+before)/2, row[4], 1e-11)
		within(t, name+" drop per degree", float64(c.DropPerDegree(halfArc)), row[6], 1e-12*row[6])
	}
}

func TestHeightAgainstPublishedCases(t *testing.T) {
	for _, row := range reference(t, "slider-crank-published.csv", 8) {
		c, name := crankOf(row[1], row[2], row[3]), fmt.Sprint(row[1:5])
		got := float64(c.Height(geometry.Angle(row[4])))
		within(t, name+" as printed", got, row[5], math.Pow(10, -row[6])/2)
		within(t, name+" recomputed", got, row[7], 5.1e-6) // it was noted to five decimals or more
	}
}

// The article (slider-crank-published.csv) prints 1078 in/s for the piston's
// greatest speed at 6000 rev/min, at 75.6 degrees; recomputed 1077.5402 in/s
// at 75.623523. In line, speed follows drop per degree. The greatest speed of
// r = 2, l = 6 in lies at 73.175297 degrees (recomputed; an encyclopedia's
// "piston motion equations" has 73.17615).
func TestDropPerDegreePeaksWherePublished(t *testing.T) {
	article := crankOf(1.6535, 6.024, 0)
	const degreesPerSecond = 6000.0 / 60 * 360
	within(t, "speed", float64(article.DropPerDegree(75.623523))*degreesPerSecond, 1077.5402, 5e-5)
	for _, c := range []struct {
		crank geometry.Crank
		at    geometry.Angle
	}{{article, 75.623523}, {crankOf(2, 6, 0), 73.175297}} {
		peak := c.crank.DropPerDegree(c.at)
		// The peak is flat: 0.01 degrees to a side lose 1e-8 of it, far above rounding.
		if peak <= c.crank.DropPerDegree(c.at-0.01) || peak <= c.crank.DropPerDegree(c.at+0.01) {
			t.Errorf("%v: no peak at %v", c.crank, c.at)
		}
	}
}

func TestMethodCheckValues(t *testing.T) { // docs/method.md, Check values, to the printed digit
	for _, c := range []struct {
		radius, rod, offset float64
		halfArc             geometry.Angle
		want                float64
	}{
		{40, 140, 1.5, 15, 0.004678}, {40, 140, 1.5, 45, 0.042156}, {45, 144, 12, 15, 0.039088}, {45, 144, 12, 30, 0.156874},
	} {
		beta, err := crankOf(c.radius, c.rod, c.offset).MidCorrection(c.halfArc)
		if err != nil {
			t.Error(err)
		}
		within(t, "correction", float64(beta), c.want, 5e-7)
	}
	desaxe := crankOf(45, 144, 12)
	within(t, "throw to top", float64(desaxe.ThrowToTDC()), 3.640, 5e-4)
	travel := math.Sqrt(189*189-12*12) - math.Sqrt(99*99-12*12)
	_, bottom, err := desaxe.Contacts(geometry.Length(travel * (1 - 1e-15)))
	if err != nil {
		t.Error(err)
	}
	within(t, "bottom after the piston's top", float64(bottom), 183.3, 0.05)

	saw := crankOf(46, 152, 0)
	for _, c := range []struct {
		halfArc     geometry.Angle
		drop, slope float64
	}{{5, 0.23, 0.091}, {10, 0.91, 0.181}, {15, 2.03, 0.269}, {20, 3.59, 0.353}, {30, 7.91, 0.508}, {45, 16.99, 0.692}, {60, 28.31, 0.804}} {
		within(t, "drop", float64(saw.Drop(c.halfArc)), c.drop, 0.005)
		within(t, "slope", float64(saw.DropPerDegree(c.halfArc)), c.slope, 0.0005)
	}
	for drop, want := range map[geometry.Length]float64{0.01: 1.05, 0.02: 1.48} {
		_, after, err := saw.Contacts(drop)
		if err != nil {
			t.Error(err)
		}
		within(t, "dwell", float64(after), want, 0.005)
	}
	// A height difference h moves the middle by h/(2·slope).
	for halfArc, want := range map[geometry.Angle]float64{8: 0.069, 15: 0.037, 30: 0.020} {
		within(t, "rock", 0.02/(2*float64(saw.DropPerDegree(halfArc))), want, 0.0005)
	}
	for _, row := range reference(t, "piston-drops.csv", 4) {
		before, after, err := crankOf(row[0]/2, row[1], 0).Contacts(geometry.Length(row[2]))
		if err != nil {
			t.Error(err)
		}
		within(t, fmt.Sprint(row[:3]), float64(after), row[3], 0.005)
		within(t, fmt.Sprint(row[:3]), float64(before), -row[3], 0.005)
	}
}

// anyCrank draws a crank of an engine: rod 1.25 to 4 strokes, offset up to a
// quarter of the stroke.
func anyCrank(t *rapid.T) geometry.Crank {
	stroke := rapid.Float64Range(20, 500).Draw(t, "stroke")
	return geometry.Crank{
		Stroke: geometry.Length(stroke),
		Rod:    geometry.Length(stroke * rapid.Float64Range(1.25, 4).Draw(t, "rod ratio")),
		Offset: geometry.Length(stroke * rapid.Float64Range(-0.25, 0.25).Draw(t, "offset ratio")),
	}
}

func near(t *rapid.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Fatalf("%s: got %.17g, want %.17g within %g", what, got, want, tolerance)
	}
}

func TestContactsAndDropAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCrank(t)
		if err := c.Check(); err != nil {
			t.Fatal(err)
		}
		drop := c.Stroke * geometry.Length(rapid.Float64Range(0, 0.999999).Draw(t, "part of the stroke"))
		before, after, err := c.Contacts(drop)
		if err != nil {
			t.Fatal(err)
		}
		if before > 0 || after < 0 {
			t.Fatalf("contacts %v and %v are not about the top", before, after)
		}
		// Drop is a difference of lengths up to rod and stroke together, and promised to 1e-12 of the rod.
		near(t, "before", float64(c.Drop(before)), float64(drop), 1e-12*float64(c.Rod))
		near(t, "after", float64(c.Drop(after)), float64(drop), 1e-12*float64(c.Rod))
		halfArc := (after - before) / 2
		if halfArc <= 0 || halfArc >= 180 {
			return
		}
		beta, err := c.MidCorrection(halfArc)
		if err != nil {
			t.Fatal(err)
		}
		// beta moves by at most a few times a change of the half arc, and that is rounded at 180 degrees.
		near(t, "middle", float64(before+after)/2, float64(beta), 1e-11)
	})
}

func TestDropPerDegreeAgainstCentralDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCrank(t)
		halfArc := geometry.Angle(rapid.Float64Range(1, 175).Draw(t, "half arc"))
		const h = 1e-3
		dropAt := func(a geometry.Angle) float64 {
			beta, err := c.MidCorrection(a)
			if err != nil {
				t.Fatal(err)
			}
			return float64(c.Drop(beta + a))
		}
		got := float64(c.DropPerDegree(halfArc))
		// Truncation h²/6 times the third derivative in radians, rounding 1e-16 of the rod over h: both below 1e-9 of the stroke.
		near(t, "slope", got, (dropAt(halfArc+h)-dropAt(halfArc-h))/(2*h), 1e-9*float64(c.Stroke))

		// And it is the harmonic mean of the slopes at the two contacts.
		beta, _ := c.MidCorrection(halfArc)
		slope := func(a geometry.Angle) float64 { return math.Abs(float64(c.Drop(a+h)-c.Drop(a-h))) / (2 * h) }
		fall, rise := slope(beta+halfArc), slope(beta-halfArc)
		near(t, "harmonic mean", got, 2/(1/fall+1/rise), 1e-8*float64(c.Stroke))
	})
}

func TestCrankSymmetries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCrank(t)
		halfArc := geometry.Angle(rapid.Float64Range(0.1, 179.9).Draw(t, "half arc"))
		mirrored := geometry.Crank{Stroke: c.Stroke, Rod: c.Rod, Offset: -c.Offset}
		inches := geometry.Crank{Stroke: c.Stroke / 25.4, Rod: c.Rod / 25.4, Offset: c.Offset / 25.4}
		straight := geometry.Crank{Stroke: c.Stroke, Rod: c.Rod}
		beta, err := c.MidCorrection(halfArc)
		if err != nil {
			t.Fatal(err)
		}
		for _, other := range []struct {
			name  string
			crank geometry.Crank
			want  geometry.Angle
		}{{"mirrored", mirrored, -beta}, {"in inches", inches, beta}, {"straight", straight, 0}} {
			got, err := other.crank.MidCorrection(halfArc)
			if err != nil && !strings.Contains(err.Error(), "stroke") { // in inches a stroke may be too small for an engine's
				t.Fatal(err)
			}
			near(t, other.name, float64(got), float64(other.want), 1e-12)
		}
		if beta*geometry.Angle(c.Offset) < 0 {
			t.Fatalf("offset %v moves the middle by %v", c.Offset, beta)
		}
		if c.Drop(0) != 0 && float64(c.Drop(0)) > 1e-13*float64(c.Rod) {
			t.Fatalf("the top lies %v below itself", c.Drop(0))
		}
		near(t, "whole turn", float64(c.Height(halfArc+360)), float64(c.Height(halfArc)), 1e-13*float64(c.Rod))
	})
}

// With an offset or without, before the top and after it: the slope of the drop by
// differences. At the top itself there is none.
func TestSlopeAgainstCentralDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCrank(t)
		a := geometry.Angle(rapid.Float64Range(-175, 175).Draw(t, "angle"))
		const h = 1e-3
		// Height and not drop, which is never below zero: at the top the difference would be halved.
		want := float64(c.Height(a-h+c.ThrowToTDC())-c.Height(a+h+c.ThrowToTDC())) / (2 * h)
		near(t, "slope", float64(c.SlopeAt(a)), want, 1e-9*float64(c.Stroke))
		near(t, "slope at the top", float64(c.SlopeAt(0)), 0, 1e-15*float64(c.Stroke))
	})
}

// In line the slope at a contact is that of the half arc (docs/method.md, Check values:
// 0.353 mm a degree at 20 degrees of a stroke of 92 mm and a rod of 152 mm).
func TestSlopeAtCheckValue(t *testing.T) {
	saw := crankOf(46, 152, 0)
	within(t, "after", float64(saw.SlopeAt(20)), 0.353, 0.0005)
	within(t, "before", float64(saw.SlopeAt(-20)), -0.353, 0.0005)
	within(t, "half arc", float64(saw.SlopeAt(20)), float64(saw.DropPerDegree(20)), 1e-15)
	within(t, "drop of a half arc", float64(saw.DropOfHalfArc(20)), 3.59, 0.005)
	within(t, "drop of a half arc", float64(saw.DropOfHalfArc(20)), float64(saw.Drop(20)), 1e-12)
	// Where the blocked arc is the dwell's, half of it to either side, 0.02 mm of rock
	// move the middle by 0.02/(2·46·sin 4°·(1 + 46/152 cos 4°)·π/180), by hand 0.137.
	within(t, "rock at the dwell arc", 0.02/(2*float64(saw.DropPerDegree(geometry.DwellArc/2))), 0.137, 0.0005)
}

// Sizes of an engine at their bounds: 10 m, a rod of one stroke, and of three and a half.
func TestSizesOfACrank(t *testing.T) {
	for _, c := range []struct {
		crank geometry.Crank
		fault string
	}{
		{geometry.Crank{Stroke: 10_000, Rod: 10_000}, ""},
		{geometry.Crank{Stroke: 10_000.1, Rod: 10_000}, "found a stroke of 10000.1 mm"},
		{geometry.Crank{Stroke: -92, Rod: 152}, "found a stroke of -92 mm"},
		{geometry.Crank{Stroke: 0, Rod: 152}, "found a stroke of 0 mm"},
		{geometry.Crank{Stroke: 92, Rod: 10_000}, ""},
		{geometry.Crank{Stroke: 92, Rod: 10_000.1}, "found a rod of 10000.1 mm"},
		{geometry.Crank{Stroke: 92, Rod: -152}, "found a rod of -152 mm"},
		{geometry.Crank{Stroke: 92, Rod: 0}, "found a rod of 0 mm"},
		{geometry.Crank{Stroke: 0.5, Rod: 0.75}, ""},
		{geometry.Crank{Stroke: 92, Rod: 152, Offset: -45.9}, ""},
		{geometry.Crank{Stroke: 92, Rod: 152, Offset: -46}, "found an offset of 46 mm, expected less than half the stroke of 92 mm"},
		{geometry.Crank{Stroke: 92, Rod: 50.1, Offset: -4}, ""},
		{geometry.Crank{Stroke: 92, Rod: 50, Offset: -4}, "found a rod of 50 mm, too short for half the stroke and the offset together, 50 mm"},
	} {
		switch err := c.crank.Check(); {
		case c.fault == "" && err != nil:
			t.Errorf("%+v: %v", c.crank, err)
		case c.fault != "" && (err == nil || !strings.HasPrefix(err.Error(), c.fault)):
			t.Errorf("%+v: got %v, want %s", c.crank, err, c.fault)
		}
	}
	for rod, want := range map[geometry.Length][2]bool{99: {true, false}, 100: {}, 350: {}, 351: {false, true}} {
		c := geometry.Crank{Stroke: 100, Rod: rod}
		if c.LongStroke() != want[0] || c.LongRod() != want[1] {
			t.Errorf("rod of %v on a stroke of 100 mm: long stroke %v, long rod %v", rod, c.LongStroke(), c.LongRod())
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("a drop on no side: no panic")
		}
	}()
	_, _ = geometry.Crank{Stroke: 92, Rod: 152}.AngleOfDrop(1, geometry.NoLetters)
}

func TestCrankRefuses(t *testing.T) {
	nan, inf := geometry.Length(math.NaN()), geometry.Length(math.Inf(1))
	for _, c := range []struct {
		name, sentence string
		crank          geometry.Crank
	}{
		{"no stroke", "stroke", geometry.Crank{Rod: 152}},
		{"negative stroke", "stroke", geometry.Crank{Stroke: -92, Rod: 152}},
		{"unknown stroke", "stroke", geometry.Crank{Stroke: nan, Rod: 152}},
		{"endless stroke", "stroke", geometry.Crank{Stroke: inf, Rod: 152}},
		{"no rod", "rod", geometry.Crank{Stroke: 92}},
		{"unknown rod", "rod", geometry.Crank{Stroke: 92, Rod: nan}},
		{"endless rod", "rod", geometry.Crank{Stroke: 92, Rod: inf}},
		{"rod as short as the throw", "too short", geometry.Crank{Stroke: 92, Rod: 46}},
		{"rod too short for the offset", "too short", geometry.Crank{Stroke: 92, Rod: 50, Offset: 4}},
		{"unknown offset", "offset", geometry.Crank{Stroke: 92, Rod: 152, Offset: nan}},
		{"offset beyond the throw", "found an offset of 46 mm", geometry.Crank{Stroke: 92, Rod: 152, Offset: -46}},
	} {
		err := c.crank.Check()
		if err == nil || !strings.Contains(err.Error(), c.sentence) {
			t.Errorf("%s: got %v, want %q in it", c.name, err, c.sentence)
		}
		if _, _, err := c.crank.Contacts(1); err == nil {
			t.Errorf("%s: contacts were computed", c.name)
		}
		if _, err := c.crank.MidCorrection(15); err == nil {
			t.Errorf("%s: a correction was computed", c.name)
		}
	}
	good := geometry.Crank{Stroke: 92, Rod: 152}
	if err := good.Check(); err != nil {
		t.Error(err)
	}
	for _, drop := range []geometry.Length{-0.1, 92.1, nan, inf} {
		if before, after, err := good.Contacts(drop); err == nil || before != 0 || after != 0 {
			t.Errorf("drop %v: got %v, %v, %v, want an error", drop, before, after, err)
		}
	}
	for _, halfArc := range []geometry.Angle{0, -15, 180, 200, geometry.Angle(nan)} {
		if beta, err := good.MidCorrection(halfArc); err == nil || beta != 0 {
			t.Errorf("half arc %v: got %v, %v, want an error", halfArc, beta, err)
		}
	}
}
