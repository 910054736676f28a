package lines

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Welch-Satterthwaite (JCGM 100, G.4.1) of two: 2 on 4 and 1 on 8 make 3 on
// 9/(4/4 + 1/8) = 8.
func TestScatterOfAChange(t *testing.T) {
	for _, c := range []struct{ a, b, want stats.Scatter }{
		{stats.Scatter{Variance: 2, DOF: 4}, stats.Scatter{Variance: 1, DOF: 8}, stats.Scatter{Variance: 3, DOF: 8}},
		{stats.Scatter{Variance: 1, DOF: 1}, stats.Scatter{DOF: 5}, stats.Scatter{Variance: 1, DOF: 1}},
		{stats.Scatter{DOF: 3}, stats.Scatter{DOF: 5}, stats.Scatter{DOF: 8}},
		{stats.Scatter{Variance: 2}, stats.Scatter{Variance: 1, DOF: 5}, stats.Scatter{}},
	} {
		for _, got := range []stats.Scatter{both(c.a, c.b), both(c.b, c.a)} {
			near(t, "variance", got.Variance, c.want.Variance)
			near(t, "dof", got.DOF, c.want.DOF)
		}
	}
}

// What two audits say of three lines adds up, each estimate by itself: 1, 1 on 6 and
// 1, 1 on 3 leave P/4 of each, with 2/ν = 2/4·(1/6 + 1/3), as for one mean square of
// two alike parts, ν = 4·... by Welch-Satterthwaite (1+1)²/(1/6 + 1/3) = 8.
func TestChangesByHand(t *testing.T) {
	audit := func(dof float64, offsets ...float64) Comparison {
		v := mat.NewSymDense(3, nil)
		for i := range 3 {
			v.SetSym(i, i, 1)
		}
		own := []stats.Scatter{{Variance: 1, DOF: dof}, {}, {Variance: 3, DOF: dof}}
		return Comparison{Lines: []int{0, 1, 2}, Offsets: offsets, v: v, own: own, parts: []stats.Part{{V: mat.NewDiagDense(3, []float64{1, 1, 1}), DOF: dof}}}
	}
	before, now := audit(6, 1, 179, 3), audit(3, 4, -179, 2.5)
	g := Changes(before, now)
	for i, want := range []float64{3, 2, -0.5} {
		near(t, "change", g.Offsets[i], want)
		near(t, "variance", g.v.At(i, i), 2)
	}
	near(t, "dof", g.DOF, 8)
	if len(g.own) != 3 {
		t.Fatalf("own: %+v", g.own)
	}
	near(t, "own", g.own[0].Variance, 2)
	near(t, "own", g.own[2].Variance, 6)
	near(t, "own dof", g.own[2].DOF, 36/(9.0/6+9.0/3))
	for _, unknown := range []func(){func() { before.own = nil }, func() { before.own, now.own = now.own, nil }} {
		unknown()
		if g := Changes(before, now); g.own != nil {
			t.Errorf("own of one audit alone: %+v", g.own)
		}
	}
}

func at(place, offset geometry.Angle, mountings ...int) Line {
	l := Line{Mark: sheet.Mark{At: place}, Place: place, Offset: &uncertainty.Estimate{Value: offset, Expanded: 0.2, Known: true}}
	for _, m := range mountings {
		l.Seen = append(l.Seen, Seen{At: tdc.Zero{Mounting: m}, Offset: offset})
	}
	return l
}

// From one line to another: by the mountings that they share, with where each counts
// from, and without any by where they belong and what they are off by.
func TestGapByHand(t *testing.T) {
	top := tdc.Found{Mountings: []tdc.Mounting{{Tops: []tdc.Top{{}}}, {Tops: []tdc.Top{{}}}}}
	first, second := at(10, 0.5, 0), at(50, -0.3, 1)
	near(t, "apart", Gap(sheet.Sheet{}, top, first, second).Degrees(), 50-0.3-10-0.5)
	second.Seen[0].At.Mounting = 0
	near(t, "shared", Gap(sheet.Sheet{}, top, first, second).Degrees(), 40-0.8)
	first.Seen[0].Later, second.Seen[0].Later = 5, 65
	near(t, "later", Gap(sheet.Sheet{}, top, first, second).Degrees(), 40-0.8+60)
}

func TestOrderRoundThePart(t *testing.T) {
	all := []Line{at(50, 0, 0), at(10, 0, 0), at(10, 0, 0), at(30, 0), at(-20, 0, 0)}
	if got := ByPlace(sheet.Part{}, all); !slices.Equal(got, []int{1, 2, 0, 4}) {
		t.Errorf("order %v", got)
	}
}

// The straight distance is D sin of half the angle, the shorter way and the longer way.
func TestChordEitherWay(t *testing.T) {
	for gap := geometry.Angle(-350); gap < 360; gap += 50 {
		near(t, "chord", Chord(sheet.Part{Diameter: 300}, gap).Millimetres(), 300*math.Abs(math.Sin(gap.Radians()/2)))
	}
}

func TestLineByHand(t *testing.T) {
	l := at(10, 0.5, 0, 1)
	l.Name = "line 1"
	l.Seen[0].Forward, l.Seen[0].Backward, l.Seen[1].Backward = make([]geometry.Angle, 3), make([]geometry.Angle, 2), make([]geometry.Angle, 1)
	if n := l.Readings(); n != 6 {
		t.Errorf("%d readings", n)
	}
	for dof, want := range map[float64]bool{0: false, 1: true} {
		l.Scatter.DOF = dof
		if l.RepeatsLine() != want {
			t.Errorf("repeats on %v: %v", dof, !want)
		}
	}
	ends := func(low, high float64) {
		t.Helper()
		a, b := l.Ends()
		near(t, "low", a.Degrees(), low)
		near(t, "high", b.Degrees(), high)
	}
	ends(0.3, 0.7)
	l.ByDial = &Drop{Low: 0.1, High: 0.8}
	ends(0.1, 0.8)
	l.Offset.Known = false
	ends(0.5, 0.5)
	if got := l.String(); got == "line 1: not read" {
		t.Error(got)
	}
	l.Offset = nil
	if got := l.String(); got != "line 1: not read" {
		t.Error(got)
	}
}

// Six degrees of 360 are two teeth of 120 and a sixtieth of one, on an arc of 300 mm
// that is 300π/60; a limit of 3 mm of the diameter turns an offset by a hundredth, and
// one of a millimetre of diameter is a diameter too.
func TestAlongTheRimByHand(t *testing.T) {
	e := uncertainty.Estimate{Value: 6}
	for teeth, want := range map[int]float64{120: 2, 1: 1.0 / 60, 0: 0} {
		out := Along(sheet.Sheet{Part: sheet.Part{Teeth: teeth, Diameter: 300}}, e)
		near(t, "teeth", out.Teeth, want)
		near(t, "arc", out.Arc.Millimetres(), 5*math.Pi)
	}
	if out := Along(sheet.Sheet{Part: sheet.Part{Teeth: 120}}, e); out.Arc != 0 || out.Teeth == 0 {
		t.Errorf("without a diameter: %+v", out)
	}
	near(t, "arc", Along(sheet.Sheet{Part: sheet.Part{Diameter: 1}}, e).Arc.Millimetres(), math.Pi/60)
	s := sheet.Sheet{Part: sheet.Part{Diameter: 300, DiameterLimit: geometry.Limit[geometry.Length]{Half: 3}}}
	near(t, "limit", DiameterLimit(s, -6).Half.Degrees(), 0.06)
	s.Part.Diameter = 1
	near(t, "limit", DiameterLimit(s, -6).Half.Degrees(), 18)
	s.Readout.Kind = sheet.Rim
	near(t, "limit on the rim", DiameterLimit(s, -6).Half.Degrees(), 0)
}

// Where a cylinder's TDC was not found its lines count from the first of the mounting,
// by what the sheet declares of both; how far one TDC comes after the reference one is
// as found where both were, else as declared.
func TestZerosOfCylinders(t *testing.T) {
	s := sheet.Sheet{
		Engine:  sheet.Engine{Cylinders: []sheet.Cylinder{{Name: "1"}, {Name: "4", TDC: 60}, {Name: "6", TDC: 100}}},
		Readout: sheet.Readout{Counts: geometry.CountsUp},
	}
	m := tdc.Mounting{Tops: []tdc.Top{{Cylinder: "4", Middle: 71}}}
	for cylinder, want := range map[string]geometry.Angle{"4": 0, "6": 40, "1": -60} {
		if top, later := zeroFor(s, m, cylinder); top.Cylinder != "4" || later != want {
			t.Errorf("%s: %v after %q, want %v", cylinder, later, top.Cylinder, want)
		}
	}
	in := input{sheet: &s, top: tdc.Found{Mountings: []tdc.Mounting{{Tops: []tdc.Top{{Cylinder: "1", Middle: 10}, {Cylinder: "4", Middle: 71, Setups: []int{1}}}}}}}
	for cylinder, want := range map[string]geometry.Angle{"1": 0, "4": 61, "6": 100} {
		near(t, cylinder, in.zero(cylinder).Degrees(), want.Degrees())
	}
	in.top.ThrowToTDC = 0.7
	near(t, "from the piston", in.fromPistonTop(5).Degrees(), 5)
	s.Engine.RefersToThrow = true
	near(t, "from the throw", in.fromPistonTop(5).Degrees(), 4.3)
}

// The other sense by hand: a reading 30 past a middle at 10, of a line at 25 whose
// cylinder comes 2 later, is off by 3 as declared, and by -30 - 27 counted the other
// way round; by 180 more where the stop may block more than half.
func TestOtherSenseByHand(t *testing.T) {
	s := sheet.Sheet{Readout: sheet.Readout{Counts: geometry.CountsUp}}
	top := tdc.Found{Mountings: []tdc.Mounting{{Tops: []tdc.Top{{Middle: 10}}}}}
	l := at(25, 3, 0)
	l.Seen[0].Reading, l.Seen[0].Later = 40, 2
	declared, mirrored := Senses(s, top, []Line{l})
	near(t, "declared", declared[0].Degrees(), 3)
	near(t, "mirrored", mirrored[0].Degrees(), -57)
	s.Limits.DeepStop = true
	_, mirrored = Senses(s, top, []Line{l}) // 123 fits worse
	near(t, "deep", mirrored[0].Degrees(), -57)
	l.At = 150
	_, mirrored = Senses(s, top, []Line{l}) // -182 = 178, and -2
	near(t, "across", mirrored[0].Degrees(), -2)
	s.Limits.DeepStop = false
	_, mirrored = Senses(s, top, []Line{l})
	near(t, "not deep", mirrored[0].Degrees(), 178)
	near(t, "rms of one", RMS([]geometry.Angle{-5}), 5)
	near(t, "rms", RMS([]geometry.Angle{3, -4, 0}), math.Sqrt(25.0/3))
	near(t, "rms of none", RMS(nil), 0)
	near(t, "apart", Apart([]geometry.Angle{5}).Degrees(), 0)
	near(t, "apart", Apart([]geometry.Angle{179, -179, 178}).Degrees(), 3)
}

func TestNearZero(t *testing.T) {
	s := sheet.Sheet{Readout: sheet.Readout{Step: 0.5}}
	for middle, want := range map[geometry.Angle]bool{0.5: true, -0.5: true, 359.5: true, -0.6: false, 0.6: false, 180: false} {
		in := input{sheet: &s, readout: readoutOf(s), top: tdc.Found{Mountings: []tdc.Mounting{{Tops: []tdc.Top{{Middle: middle}}}}}}
		if got := in.nearZero(Seen{}); got != want {
			t.Errorf("%v: %v", middle, got)
		}
	}
}

// A hidden approach: the line's own side, half of what is lost, against the share that
// is in TDC, by its size; of two mountings the mean; and what the other doubt was.
func TestApproachNotSaidByHand(t *testing.T) {
	s := sheet.Sheet{Readout: sheet.Readout{HasLostMotion: true, LostMotion: 0.4, LostLimit: geometry.Limit[geometry.Angle]{Half: 0.1}}}
	some := []geometry.Angle{1, 1}
	for _, c := range []struct {
		seen   []Seen
		lost   float64 // in TDC
		unsaid float64
		want   float64
	}{
		{[]Seen{{Forward: some}}, 0, -0.5, 1},
		{[]Seen{{Backward: some}}, 0, -0.5, 1},
		{[]Seen{{Backward: some[:1]}}, 0.25, -0.5, 0.5 + 0.75},
		{[]Seen{{Forward: some, Backward: some}}, 0.25, 0.5, 0.75},
		{[]Seen{{Forward: some[:1], Backward: some}}, 0, 0.5, 0.5},
		{[]Seen{{Forward: some}, {Forward: some, Backward: some}}, 0.1, 0.5, 0.5 + (0.4+0.1)/2},
	} {
		top := tdc.Found{Mountings: []tdc.Mounting{{Tops: []tdc.Top{{Unsaid: true, Lost: c.lost}}}, {Tops: []tdc.Top{{Unsaid: true, Lost: c.lost}}}}}
		for i := range c.seen {
			c.seen[i].At.Mounting = i
		}
		in := input{sheet: &s, readout: readoutOf(s), top: top}
		unsaid := uncertainty.By(uncertainty.Limited(uncertainty.LostMotionUnsaid, "", geometry.Limit[geometry.Angle]{Half: 0.5}), c.unsaid)
		got := uncertainty.Combination{Inputs: in.settleLostMotion([]uncertainty.Contribution{unsaid}, &Line{Seen: c.seen, Lost: 0.3})}
		near(t, "unsaid", got.Sensitivity(uncertainty.LostMotionUnsaid), c.want)
		near(t, "said", got.Sensitivity(uncertainty.LostMotion), 0.3)
	}
	// All said: the row is there, and moves nothing; one that is there stays.
	in := input{sheet: &s, readout: readoutOf(s)}
	if got := in.settleLostMotion(nil, &Line{}); len(got) != 1 || got[0].Source != uncertainty.LostMotion || got[0].Sensitivity[0] != 0 {
		t.Errorf("none: %+v", got)
	}
	own := []uncertainty.Contribution{uncertainty.By(in.readout.LostMotionInput(), 0.5)}
	if got := in.settleLostMotion(own, &Line{}); len(got) != 1 || got[0].Sensitivity[0] != 0.5 {
		t.Errorf("own: %+v", got)
	}
}

// Where a drop cannot be, the crank stands at the top or at its lowest; an interval
// that reaches over either has both sides. With an offset the lowest is not at 180.
func TestDialAtItsEnds(t *testing.T) {
	d := bench(54, 110, 4)
	d.sheet.Limits.DecideAt = 0
	lowest := d.crank.PistonBDC()
	if math.Abs(lowest.Degrees()-180) < 1 {
		t.Fatalf("lowest at %v", lowest)
	}
	near(t, "before", d.at(99, geometry.BTDC).Degrees(), lowest.Degrees()-360)
	near(t, "after", d.at(99, geometry.ATDC).Degrees(), lowest.Degrees())
	near(t, "above", d.at(-1, geometry.ATDC).Degrees(), 0)
	travel := d.travel()
	for _, c := range []struct {
		h, u      geometry.Length
		side      geometry.Letters
		low, high geometry.Angle
		told      bool
	}{
		{0.1, 0.2, geometry.BTDC, d.at(0.3, geometry.BTDC), d.at(0.3, geometry.ATDC), false},
		{1, 0.2, geometry.BTDC, d.at(1.2, geometry.BTDC), d.at(0.8, geometry.BTDC), true},
		{1, 0.2, geometry.ATDC, d.at(0.8, geometry.ATDC), d.at(1.2, geometry.ATDC), true},
		{travel - 1, 2, geometry.BTDC, d.at(travel-3, geometry.ATDC) - 360, d.at(travel-3, geometry.BTDC), false},
		{travel - 1, 2, geometry.ATDC, d.at(travel-3, geometry.ATDC), d.at(travel-3, geometry.BTDC) + 360, false},
	} {
		low, high, told := d.interval(c.h, c.u, c.side)
		if told != c.told {
			t.Errorf("%+v: told %v", c, told)
		}
		near(t, "low", low.Degrees(), c.low.Degrees())
		near(t, "high", high.Degrees(), c.high.Degrees())
	}
	for side, far := range map[geometry.Letters]geometry.Angle{geometry.ATDC: lowest, geometry.BTDC: 360 - lowest} {
		if b := d.border(far+0.1, side); !math.IsInf(b.Millimetres(), 1) {
			t.Errorf("beyond the lowest: %v", b)
		}
		if b := d.border(far-0.1, side); math.Abs((b-travel).Millimetres()) > 0.01 || b > travel {
			t.Errorf("before the lowest: %v of %v", b, travel)
		}
		if b := d.border(0, side); !math.IsInf(b.Millimetres(), -1) {
			t.Errorf("at the top: %v", b)
		}
	}
}

// A dial's doubts of its own are named where nothing covers them, by the value of each,
// and what hangs where any setup was read sinking.
func TestDialDoubtsNotIncluded(t *testing.T) {
	d := bench(54, 110, 0)
	l := &Line{Seen: []Seen{{Sinking: 0.5}, {}}}
	if got := d.notIncluded(l); len(got) != 6 {
		t.Errorf("none covered: %v", got)
	}
	l.Seen = []Seen{{}, {}}
	if got := d.notIncluded(l); len(got) != 4 {
		t.Errorf("none covered, never sinking: %v", got)
	}
	s := d.sheet
	s.Part.Sighting.Half, s.Readout.DialError.Half, s.Readout.ProbeLimit.Half, s.Limits.Contact.Half = 1, 1, 1, 1
	s.Limits.Slack.Half, s.Readout.HasLostMotion = 1, true
	l.Seen = []Seen{{Sinking: 1}}
	if got := d.notIncluded(l); len(got) != 0 {
		t.Errorf("all covered: %v", got)
	}
}

// A pin offset is taken off, a bore offset is added; a limit so wide on one side that
// there is no such crank says nothing.
func TestOffsetsOfTheEngine(t *testing.T) {
	d := bench(54, 110, 0)
	e := sheet.Engine{Stroke: 54, Rod: 110}
	e.PinOffset.Limit.Half, e.BoreOffset.Limit.Half = 1, 1
	d.sheet.Engine = e
	for i, want := range map[int]geometry.Length{2: -0.5, 3: 0.5} {
		c := d.crank
		engineSizes(e)[i].change(&c, 0.5)
		if c.Offset != want {
			t.Errorf("%d: %v", i, c.Offset)
		}
	}
	l := Line{Mark: sheet.Mark{Drop: 20, At: d.at(20, geometry.ATDC)}}
	if rows := d.input.nominal(&l); len(rows) != 2 {
		t.Errorf("got %+v", rows)
	}
	if n := len(d.sizes(40)); n != 2 {
		t.Errorf("%d sizes", n)
	}
	d.sheet.Engine.StrokeLimit.Half = 15 // 39 mm do not reach 40 mm down, 69 do
	l = Line{Mark: sheet.Mark{Drop: 40, At: d.at(40, geometry.ATDC)}}
	if rows := d.input.nominal(&l); len(rows) != 2 {
		t.Errorf("got %+v", rows)
	}
	// From the throw: what the offset moves the piston's top by comes with it.
	d.sheet.Engine.RefersToThrow, d.sheet.Engine.StrokeLimit.Half = true, 0
	rows := d.input.nominal(&l)
	at := func(by geometry.Length) float64 {
		c := geometry.Crank{Stroke: 54, Rod: 110, Offset: by}
		_, after, err := c.Contacts(40)
		if err != nil {
			t.Fatal(err)
		}
		return (after + c.ThrowToTDC()).Degrees()
	}
	near(t, "bore", rows[1].Sensitivity[0], -(at(1)-at(-1))/2)
	near(t, "pin", rows[0].Sensitivity[0], (at(1)-at(-1))/2)
}

// Below a quarter of the tightest tolerance every effect is small, with either sign; at
// a quarter it is not.
func TestSmallByHand(t *testing.T) {
	all := []Line{at(0, 0, 0), at(10, 0, 0)}
	all[0].Tolerance, all[1].Tolerance = 2, 0.8
	for off, want := range map[float64]bool{0.19: true, -0.19: true, 0.2: false, -0.2: false, 0.5: false, -0.5: false} {
		if got := small(all, Comparison{Lines: []int{0, 1}, Offsets: []float64{0, off}}, Shift{}); got != want {
			t.Errorf("off by %v: %v", off, got)
		}
		shift := Shift{Common: &uncertainty.Estimate{Value: geometry.Angle(off)}}
		if got := small(all, Comparison{Lines: []int{0, 1}, Offsets: []float64{0, 0}}, shift); got != want {
			t.Errorf("all by %v: %v", off, got)
		}
	}
}

// The variance that a step explains, a third of its square, by the step that the line's
// readings were rounded to; none for one that was not.
func TestRoundingOfALine(t *testing.T) {
	rounded := uncertainty.By(uncertainty.Rounded(uncertainty.StepAtLine, "a", uncertainty.Rectangular, 0.25), 1)
	g := &group{all: []Line{{Alone: uncertainty.Combination{Groups: []uncertainty.Group{{Rounding: []uncertainty.Contribution{rounded}}}}}, {Alone: uncertainty.Combination{Groups: []uncertainty.Group{{}}}}}}
	close1(t, "a third of the step's square", g.rounding(0), 0.25/3, 1e-6)
	if got := g.rounding(0); got <= 0.25/3 {
		t.Errorf("%v does not allow for a tie", got)
	}
	near(t, "no step", g.rounding(1), 0)
}
