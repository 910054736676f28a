package wheel

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// curved is a table of a readout with the given harmonics of its reading.
func curved(random *rand.Rand, references []float64, counts geometry.Sense, e func(reading float64) float64, noise float64) []Row {
	var rows []Row
	for _, reference := range references {
		g := 40 + float64(counts)*reference
		reading := g
		for range 30 { // R = g + e(R)
			reading = g + e(reading)
		}
		rows = append(rows, Row{Reference: geometry.Angle(reference), Reading: geometry.Angle(reading + noise*random.NormFloat64())})
	}
	return rows
}

func even(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 360 / float64(n) * float64(i)
	}
	return out
}

func wave(amplitude, order, phase float64) func(float64) float64 {
	return func(r float64) float64 { return amplitude * math.Sin((order*r-phase)*math.Pi/180) }
}

func sum(fs ...func(float64) float64) func(float64) float64 {
	return func(r float64) (e float64) {
		for _, f := range fs {
			e += f(r)
		}
		return e
	}
}

// Harmonics of the reading come out as they went in, whichever way the readout
// counts, at even and uneven stations.
func TestHarmonics(t *testing.T) {
	e := sum(wave(0.3, 1, 35), wave(0.05, 3, 200))
	uneven := []float64{0, 7, 31, 60, 88, 101, 140, 155, 200, 222, 260, 281, 300, 345}
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		for _, references := range [][]float64{even(24), uneven} {
			r := run(t, Options{}, curved(testkit.Rand(t, 1), references, counts, e, 0))
			if r.Counts != counts || len(r.Harmonics) != min(6, (len(references)-1)/3) {
				t.Fatalf("%v: got %v, %+v", counts, r.Counts, r.Harmonics)
			}
			testkit.Near(t, "first", r.Harmonics[0].Amplitude, 0.3, 1e-6)
			nearDirection(t, "its phase", r.Harmonics[0].Phase, 35, 1e-4)
			testkit.Near(t, "second", r.Harmonics[1].Amplitude, 0, 1e-6)
			testkit.Near(t, "third", r.Harmonics[2].Amplitude, 0.05, 1e-6)
			nearDirection(t, "its phase", r.Harmonics[2].Phase, 200, 1e-3)
			for at := geometry.Angle(0); at < 360; at += 5 {
				testkit.Near(t, "curve", r.ErrorAt(at), geometry.Angle(e(at.Degrees())), 1e-6)
			}
		}
	}
}

// All orders are fitted that so many stations can give, whatever the data show; so
// the stated uncertainties hold the truth as often as stated, and so does the band
// of the curve. Which orders are there is seen: the third where it is, and one that
// is not there in few cases.
func TestOrdersAndCoverage(t *testing.T) {
	trials := 100
	if long {
		trials = 1000
	}
	random := testkit.Rand(t, 2)
	for _, tt := range []struct {
		name  string
		e     func(float64) float64
		order int
	}{
		{"off centre alone", wave(0.15, 1, 35), 1},
		{"with a third", sum(wave(0.15, 1, 35), wave(0.05, 3, 100)), 3},
	} {
		right, inside, band := 0, 0, 0
		for range trials {
			r := run(t, Options{}, curved(random, even(24), geometry.CountsUp, tt.e, 0.02))
			if len(r.Harmonics) != 6 {
				t.Fatalf("%s: got %d orders of 24 stations, want 6", tt.name, len(r.Harmonics))
			}
			for _, h := range r.Harmonics {
				if there := h.Order == 1 || h.Order == tt.order; h.Seen() == there {
					right++
				}
			}
			h := r.Harmonics[0]
			if math.Abs(float64(h.Amplitude)-0.15) <= r.Coverage()*float64(h.Standard) {
				inside++
			}
			at := geometry.Angle(360 * random.Float64())
			if math.Abs(float64(r.ErrorAt(at))-tt.e(at.Degrees())) <= float64(r.Expanded(at)) {
				band++
			}
		}
		n := float64(trials)
		// An order that is not there seems to be in 5 %.
		if float64(right) < 0.92*6*n {
			t.Errorf("%s: orders seen rightly in %d of %d", tt.name, right, 6*trials)
		}
		for what, got := range map[string]int{"amplitude": inside, "curve": band} {
			if rate := float64(got) / n; math.Abs(rate-0.95) > 4*math.Sqrt(0.95*0.05/n) {
				t.Errorf("%s: %s within its uncertainty in %.3f", tt.name, what, rate)
			}
		}
	}
}

func TestRefusedOrders(t *testing.T) {
	random := testkit.Rand(t, 3)
	quarters := run(t, Options{}, curved(random, even(4), geometry.CountsUp, wave(0.3, 1, 35), 0.02))
	want := []Refused{{2, HalfSeen, 0}, {3, LooksLike, 1}, {4, LooksLike, 0}}
	for i, w := range want {
		if i >= len(quarters.Refused) || quarters.Refused[i] != w {
			t.Errorf("quarters: got %+v, want %+v", quarters.Refused, want)
			break
		}
	}
	if quarters.Spacing != 90 || len(quarters.Harmonics) != 1 {
		t.Errorf("quarters: spacing %v, %+v", quarters.Spacing, quarters.Harmonics)
	}
	// Four stations that are not even: no order looks like another, but there are
	// too few for two.
	four := run(t, Options{}, curved(random, []float64{0, 50, 170, 260}, geometry.CountsUp, wave(0.3, 1, 35), 0.02))
	if len(four.Harmonics) != 1 || four.Refused[0].Order != 2 {
		t.Errorf("four stations: got %+v", four.Refused)
	}
	// Runs at the same stations carry no further order.
	var rows []Row
	for range 10 {
		rows = append(rows, curved(random, even(4), geometry.CountsUp, wave(0.3, 1, 35), 0.02)...)
	}
	if r := run(t, Options{}, rows); len(r.Harmonics) != 1 || r.Stations != 4 {
		t.Errorf("ten runs at four stations: got %+v", r.Harmonics)
	}
}

func TestRefusals(t *testing.T) {
	random := testkit.Rand(t, 4)
	line := wave(0.1, 1, 0)
	for _, tt := range []struct {
		name string
		rows []Row
		want string
	}{
		{"nothing", nil, "no rows"},
		{"one station", curved(random, []float64{10}, geometry.CountsUp, line, 0), "cannot be told"},
		{"opposite ends", curved(random, []float64{0, 180}, geometry.CountsUp, line, 0.01), "cannot be told"},
		{"two stations", curved(random, []float64{0, 90}, geometry.CountsUp, line, 0.01), "found 2 stations"},
		{"within ten degrees", curved(random, []float64{0, 2, 4, 6, 8, 10}, geometry.CountsUp, line, 0.001), "which lie so that"},
		{"no relation", []Row{{Reading: 10}, {Reference: 90, Reading: 200}, {Reference: 180, Reading: 20}, {Reference: 270, Reading: 100}}, "do not follow"},
		{"pointers side by side", []Row{{Reading: 0, Opposite: 10, Pointers: true}, {Reading: 90, Opposite: 100, Pointers: true}}, "opposite each other"},
	} {
		if r, err := audited(Options{}, tt.rows); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, %+v, want an error with %q", tt.name, err, r.Harmonics, tt.want)
		}
	}
}

// One slip among 24 stations is named, and nothing is where there is none.
func TestStandsOut(t *testing.T) {
	random := testkit.Rand(t, 5)
	const trials = 400
	named, false_ := 0, 0
	for range trials {
		rows := curved(random, even(24), geometry.CountsUp, wave(0.15, 1, 35), 0.01)
		if r := run(t, Options{}, rows); r.StandsOut != nil {
			false_++
		}
		rows[14].Reading += 0.15
		r := run(t, Options{}, rows)
		if s := r.StandsOut; s != nil && s.Reference == 210 {
			named++
			if math.Abs(float64(s.By)-0.15) > 0.06 {
				t.Errorf("off by %v, want 0.15", s.By)
			}
			if !s.LeftOut || r.Stations != 24 || math.Abs(float64(r.Harmonics[0].Amplitude)-0.15) > 0.02 {
				t.Errorf("left out %v, %d stations, first %v", s.LeftOut, r.Stations, r.Harmonics[0].Amplitude)
			}
			kept := run(t, Options{AsRead: true}, rows)
			if kept.StandsOut == nil || kept.StandsOut.LeftOut || kept.Residual < r.Residual*3/2 {
				t.Errorf("as read: %+v, scatter %v, without it %v", kept.StandsOut, kept.Residual, r.Residual)
			}
		}
	}
	// Fifteen standard deviations of a reading; 1 % of false names.
	if named < trials*95/100 || false_ > trials*3/100 {
		t.Errorf("named %d of %d, and %d where nothing was", named, trials, false_)
	}
}

// Two pointers show the odd harmonics, whatever the even ones and wherever the
// second pointer sits.
func TestOppositePointers(t *testing.T) {
	e := sum(wave(0.2, 1, 70), wave(0.5, 2, 10), wave(0.04, 3, 5))
	show := func(g float64) float64 {
		r := g
		for range 40 {
			r = g + e(r)
		}
		return r
	}
	var rows []Row
	for _, g := range even(20) {
		rows = append(rows, Row{Reading: geometry.Angle(show(g)), Opposite: geometry.Angle(show(g + 180.3)), Pointers: true})
	}
	r := run(t, Options{Diameter: 200}, rows)
	// The second pointer is 0.3 + up to 1 degrees off: the error changes by that
	// much along its slope.
	testkit.Near(t, "first", r.Harmonics[0].Amplitude, 0.2, 0.01)
	nearDirection(t, "its phase", r.Harmonics[0].Phase, 70, 3)
	for _, h := range r.Harmonics {
		if h.Order%2 == 0 {
			t.Errorf("got order %d", h.Order)
		}
	}
	if r.Counts != 0 {
		t.Errorf("counts %v without a reference", r.Counts)
	}
	if _, err := r.Correction("w", "", Source{}); err == nil {
		t.Error("a correction without even harmonics")
	}
}

// A log with more stations than are kept comes out as the same stations would,
// and the step of the readings bounds what can be known.
func TestLog(t *testing.T) {
	random := testkit.Rand(t, 6)
	e := sum(wave(0.15, 1, 35), wave(0.05, 2, 100))
	var a Accumulator
	for range 60_000 {
		a.Add(curved(random, []float64{360 * random.Float64()}, geometry.CountsDown, e, 0.02)[0])
	}
	r, err := a.Audit(Options{})
	if err != nil || !r.Binned || r.Rows != 60_000 || r.Counts != geometry.CountsDown {
		t.Fatalf("got %v, binned %v, %d rows, counts %v", err, r.Binned, r.Rows, r.Counts)
	}
	if len(a.groups) > binsAround {
		t.Errorf("%d groups are kept", len(a.groups))
	}
	testkit.Near(t, "first", r.Harmonics[0].Amplitude, 0.15, 0.001) // nine standard deviations
	testkit.Near(t, "second", r.Harmonics[1].Amplitude, 0.05, 0.001)
	testkit.Near(t, "scatter", r.Residual, 0.02, 0.0005)
	coarse, err := a.Audit(Options{Step: 0.5})
	if err != nil || !coarse.FromStep || !(coarse.Harmonics[0].Standard > r.Harmonics[0].Standard) {
		t.Errorf("got %v, %v", coarse.FromStep, err)
	}
}

// A correction takes the error off.
func TestCorrection(t *testing.T) {
	e := sum(wave(0.3, 1, 35), wave(0.05, 3, 200))
	r := run(t, Options{Diameter: 280}, curved(testkit.Rand(t, 7), even(24), geometry.CountsUp, e, 0.01))
	c, err := r.Correction("wheel 4", "2026-03-14", Source{})
	if err != nil {
		t.Fatal(err)
	}
	for at := geometry.Angle(0); at < 360; at += 7 {
		testkit.Near(t, "correction", c.Error(at), r.ErrorAt(at), 1e-12)
		terms := c.Terms(at)
		var variance float64
		for i, row := range c.Covariance {
			for j, x := range row {
				variance += terms[i] * x * terms[j]
			}
		}
		testkit.Near(t, "its uncertainty", geometry.Angle(r.Coverage()*math.Sqrt(variance)), r.Expanded(at), 1e-12)
	}
	if c.Stations != 24 || c.DOF != r.DOF || c.Diameter != 280 || c.Name != "wheel 4" {
		t.Errorf("got %+v", c)
	}
	if _, err := run(t, Options{}, curved(testkit.Rand(t, 7), even(3), geometry.CountsUp, e, 0.01)).Correction("w", "", Source{}); err == nil {
		t.Error("a correction from three stations, which show no scatter")
	}
}

func BenchmarkAudit(b *testing.B) {
	random := testkit.Rand(b, 8)
	rows := make([]Row, 1<<16)
	for i := range rows {
		reference := geometry.Angle(random.IntN(36000)) / 100
		rows[i] = Row{Reference: reference, Reading: reference + geometry.Angle(0.02*random.NormFloat64())}
	}
	b.ReportAllocs()
	var a Accumulator
	n := 0
	for b.Loop() {
		a.Add(rows[n%len(rows)])
		n++
	}
}
