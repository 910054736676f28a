package readout_test

import (
	"math"
	"slices"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// bent is a readout with a correction of two harmonics.
func bent(counts geometry.Sense) sheet.Sheet {
	return sheet.Sheet{Readout: sheet.Readout{
		Name: "wheel 4", Step: 0.5, Counts: counts, Diameter: 280,
		Correction: &sheet.Correction{
			Name: "wheel 4", Sine: []geometry.Angle{0.3, -0.1}, Cosine: []geometry.Angle{-0.2, 0.05}, DOF: 20,
			Covariance: [][]float64{{4e-4, 0, 0, 0}, {0, 4e-4, 0, 0}, {0, 0, 1e-4, 0}, {0, 0, 0, 1e-4}},
		},
	}}
}

func reading(at geometry.Angle) *sheet.Reading { return &sheet.Reading{Value: at} }

// A correction e(R) = 0.3 sin R - 0.2 cos R - 0.1 sin 2R + 0.05 cos 2R by hand:
// at 90° it is 0.3 - 0.05, at 180° it is 0.2 + 0.05.
func TestCorrectionIsTakenOff(t *testing.T) {
	r := readout.New(bent(geometry.CountsUp))
	testkit.Near(t, "at 90", r.Value(reading(90)), 90-0.25, 1e-12)
	testkit.Near(t, "at 180", r.Value(reading(180)), 180-0.25, 1e-12)
	for at := geometry.Angle(-400); at < 400; at += 17 {
		shown := r.Shown(at)
		testkit.Near(t, "shown and read again", r.Value(reading(shown)), at, 1e-8)
	}
	if !r.Corrected() || readout.New(sheet.Sheet{}).Corrected() {
		t.Error("whether a correction is applied comes out wrong")
	}
	testkit.Near(t, "without a correction", readout.New(sheet.Sheet{}).Shown(77), 77, 0)
}

// A wheel that was taken off and may sit off centre keeps the higher harmonics of
// its graduation alone.
func TestFirstHarmonicBelongsToTheMounting(t *testing.T) {
	s := bent(geometry.CountsUp)
	s.Readout.OffCentre = 0.2
	testkit.Near(t, "at 90", readout.New(s).Value(reading(90)), 90+0.05, 1e-12)
	if s.Readout.Correction.From != 0 {
		t.Error("the sheet's own correction is changed")
	}
}

// Sensitivities to the correction against a central difference: every coefficient is
// changed one way and the other. The sign is that of the running direction.
func TestSensitivityToTheCorrection(t *testing.T) {
	const step = 1e-4
	trial := sheet.Trial{Forward: reading(-40), Backward: reading(75)}
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		if counts == geometry.CountsDown {
			trial.Forward, trial.Backward = trial.Backward, trial.Forward
		}
		moved := func(of func(r readout.Readout) geometry.Angle, k int) float64 {
			both := [2]geometry.Angle{}
			for i, by := range []geometry.Angle{-step, step} {
				s := bent(counts)
				table := [][]geometry.Angle{s.Readout.Correction.Sine, s.Readout.Correction.Cosine}[k%2]
				table[k/2] += by
				both[i] = of(readout.New(s))
			}
			return float64(counts) * (both[1] - both[0]).Degrees() / (2 * step)
		}
		r := readout.New(bent(counts))
		middle, one := r.Middle(trial), r.Reading(trial.Forward)
		for k := range 4 {
			testkit.Near(t, "reading", one.Table[k], moved(func(r readout.Readout) geometry.Angle { return r.Value(trial.Forward) }, k), 1e-9)
			testkit.Near(t, "middle", middle.Table[k], moved(func(r readout.Readout) geometry.Angle {
				m, _ := r.Pair(trial)
				return m
			}, k), 1e-9)
		}
		middleAt, half := r.Pair(trial)
		arc := float64(counts) * (r.Value(trial.Backward) - r.Value(trial.Forward)).Degrees()
		testkit.Near(t, "half arc", half.Degrees(), arc/2, 1e-9)
		testkit.Near(t, "middle", middleAt, (r.Value(trial.Forward)+r.Value(trial.Backward))/2, 1e-9)
		// All of the correction, by its coefficients: what it takes off one reading.
		inputs := uncertainty.Combination{Inputs: r.Inputs(one)}
		testkit.Near(t, "later", r.Later(inputs), geometry.Angle(counts)*(r.Value(trial.Forward)-trial.Forward.Value), 1e-9)
	}
}

// A rim whose diameter is larger by a share makes every reading smaller: along a
// tape R·D/D', across a chord 2·asin(sin(R/2)·D/D'), by exact geometry.
func TestSensitivityToTheRimsDiameter(t *testing.T) {
	const share = 1e-6
	half := func(at, turned geometry.Angle) float64 { // central difference
		by := func(share float64) geometry.Angle {
			return at - turned*geometry.AngleFromRadians(2*math.Asin(math.Sin((at/turned).Radians()/2)/(1+share)))
		}
		return (by(share) - by(-share)).Degrees() / (2 * share)
	}
	s := sheet.Sheet{
		Part:    sheet.Part{Diameter: 200, DiameterLimit: geometry.Limit[geometry.Length]{Half: 0.5, K: 2}},
		Readout: sheet.Readout{Kind: sheet.Rim, Counts: geometry.CountsUp},
	}
	for _, at := range []geometry.Angle{-100, -20, 10, 60, 140} {
		tape := at - at/(1+share)
		testkit.Near(t, "tape", readout.New(s).Reading(reading(at)).Rim, tape.Degrees()/share, 1e-3)
		chord := s
		chord.Readout.Chord = true
		testkit.Near(t, "chord", readout.New(chord).Reading(reading(at)).Rim, half(at, 1), 1e-5)
		chord.Part.HalfSpeed = true // R degrees of crank are R/2 on the part
		testkit.Near(t, "chord at half speed", readout.New(chord).Reading(reading(at)).Rim, half(at, 2), 1e-5)
	}
	if got := readout.New(s).RimLimit(); got.Half != 0.0025 || got.K != 2 {
		t.Errorf("the limit of the diameter: %v, want 0.5 of 200, k = 2", got)
	}
	wheel := s
	wheel.Readout.Kind, wheel.Readout.Chord = sheet.Wheel, true
	testkit.Near(t, "wheel", readout.New(wheel).Reading(reading(60)).Rim, 60, 0)
	if got := readout.New(wheel).RimLimit(); got.Half != 0 {
		t.Errorf("a wheel has a limit of the rim's diameter: %v", got)
	}
	s.Part.Diameter = 0
	if got := readout.New(s).RimLimit(); got.Half != 0 {
		t.Errorf("a rim without a diameter has a limit: %v", got)
	}
}

// Lost motion by the pairs of turning: a middle read turning forward only is off by
// half of it; where the sheet does not say, half of it is doubt, and adds to what
// the other result may have lost.
func TestLostMotion(t *testing.T) {
	s := sheet.Sheet{Readout: sheet.Readout{
		Name: "wheel", Counts: geometry.CountsUp, HasLostMotion: true, LostMotion: 0.4,
		LostLimit: geometry.Limit[geometry.Angle]{Half: 0.05},
	}}
	r := readout.New(s)
	testkit.Near(t, "what is lost", r.Lost(), 0.4, 0)
	for _, c := range []struct {
		taken sheet.Taken
		line  float64
		by    geometry.Angle
		want  readout.Sensitivity
	}{
		{sheet.OneWay, 0, 0.2, readout.Sensitivity{Lost: 0.5}},
		{sheet.Rising, 0, 0, readout.Sensitivity{}},
		{sheet.OneWay, 0.5, 0, readout.Sensitivity{}},
		{sheet.Unknown, 0, 0, readout.Sensitivity{Unsaid: -0.5}},
		{sheet.Unknown, 0.5, 0, readout.Sensitivity{Unsaid: 0}},
		{sheet.Unknown, -0.5, 0, readout.Sensitivity{Unsaid: 0}},
	} {
		by, left := r.LostMotion(readout.OneWay(c.taken).Plus(readout.Sensitivity{Lost: c.line}, -1))
		if c.taken == sheet.Unknown && c.line != 0 { // half of each
			testkit.Near(t, "half and half", math.Abs(left.Unsaid), math.Abs(-0.5+0.5), 1e-12)
		}
		testkit.Near(t, "corrected by", by, c.by, 1e-12)
		if left.Lost != c.want.Lost || left.Unsaid != c.want.Unsaid {
			t.Errorf("%v, line %v: left %+v, want %+v", c.taken, c.line, left, c.want)
		}
	}
	inputs := r.Inputs(readout.Sensitivity{Lost: 0.5, Unsaid: -0.5})
	if len(inputs) != 2 || inputs[0].Source != uncertainty.LostMotion || inputs[1].Source != uncertainty.LostMotionUnsaid {
		t.Fatalf("inputs %+v", inputs)
	}
	testkit.Near(t, "all that may be lost", inputs[1].Scale, 0.45, 1e-12)
	testkit.Near(t, "its doubt", inputs[0].Scale, 0.05, 1e-12)
	if n := len(r.Inputs(readout.Sensitivity{Lost: 0.5})); n != 1 {
		t.Errorf("%d inputs where the approach is stated", n)
	}
	both := readout.ByLostMotion(uncertainty.Combination{Inputs: inputs})
	if both.Lost != 0.5 || both.Unsaid != -0.5 {
		t.Errorf("read again: %+v", both)
	}
}

// A wheel off centre by e errs by (180/π)·e/ρ at most, once round the wheel.
func TestWheelOffCentre(t *testing.T) {
	s := sheet.Sheet{Readout: sheet.Readout{Name: "wheel", Diameter: 300, OffCentre: 0.3, Counts: geometry.CountsUp}}
	inputs := readout.New(s).Inputs(readout.Sensitivity{Wheel: 2 * readout.Phase(60)})
	if len(inputs) != 1 || inputs[0].Source != uncertainty.OffCentre || inputs[0].Shape != uncertainty.Arcsine {
		t.Fatalf("inputs %+v", inputs)
	}
	testkit.Near(t, "largest error", inputs[0].Scale, 180/math.Pi*0.3/150, 1e-12)
	testkit.Near(t, "cosine", inputs[0].Sensitivity[0], 1, 1e-12)
	testkit.Near(t, "sine", inputs[0].Sensitivity[1], math.Sqrt(3), 1e-12)
}

// The shape of a correction's doubt is Student's where scatter was estimated, else
// normal.
func TestInputsOfACorrection(t *testing.T) {
	for dof, want := range map[float64]uncertainty.Shape{20: uncertainty.StudentT, math.Inf(1): uncertainty.Normal} {
		s := bent(geometry.CountsUp)
		s.Readout.Correction.DOF = dof
		r := readout.New(s)
		inputs := r.Inputs(r.Reading(reading(30)))
		if len(inputs) != 1 || inputs[0].Source != uncertainty.Correction || inputs[0].Shape != want || inputs[0].Scale != 1 {
			t.Errorf("%v degrees of freedom: %+v", dof, inputs)
		}
		if n := len(r.Inputs(readout.Sensitivity{})); n != 0 {
			t.Errorf("%d inputs of what no reading reaches", n)
		}
	}
}

// Sums and means of sensitivities, number by number.
func TestSensitivitiesAreLinear(t *testing.T) {
	a := readout.Sensitivity{Lost: 1, Unsaid: 2, Rim: 3, Wheel: 4 + 5i, Table: []float64{6, 7}}
	b := readout.Sensitivity{Lost: 10, Unsaid: 20, Rim: 30, Wheel: 40 + 50i, Table: []float64{60, 70}}
	same := func(what string, got, want readout.Sensitivity) {
		t.Helper()
		if got.Lost != want.Lost || got.Unsaid != want.Unsaid || got.Rim != want.Rim || got.Wheel != want.Wheel || !slices.Equal(got.Table, want.Table) {
			t.Errorf("%s: got %+v, want %+v", what, got, want)
		}
	}
	same("a + 2b", a.Plus(b, 2), readout.Sensitivity{Lost: 21, Unsaid: 42, Rim: 63, Wheel: 84 + 105i, Table: []float64{126, 147}})
	same("b / 2", b.Over(2), readout.Sensitivity{Lost: 5, Unsaid: 10, Rim: 15, Wheel: 20 + 25i, Table: []float64{30, 35}})
	same("a + nothing", a.Plus(readout.Sensitivity{}, 3), a)
	same("nothing + a", readout.Sensitivity{}.Plus(a, 1), a)
}

// Limits of less than a degree, and of a relative size, are inputs as any others; a
// lost motion on the minus side is doubted by as much as one on the plus side.
func TestSmallLimitsAreInputs(t *testing.T) {
	s := bent(geometry.CountsUp)
	s.Readout.Correction.Origin = &sheet.CorrectionOrigin{}
	s.Readout.Correction.Origin.Reference.Limit = 0.02
	s.Readout.HasLostMotion, s.Readout.LostMotion, s.Readout.LostLimit.Half = true, -0.4, 0.1
	s.Readout.Kind, s.Part.Diameter, s.Part.DiameterLimit.Half = sheet.Rim, 300, 3
	r := readout.New(s)
	all := r.Inputs(readout.Sensitivity{Wheel: complex(0.6, 0.8), Unsaid: -0.5, Rim: 25})
	for source, want := range map[uncertainty.Source]struct {
		scale       float64
		sensitivity []float64
	}{
		uncertainty.ReadoutReference: {0.02, []float64{0.6, 0.8}},
		uncertainty.LostMotionUnsaid: {0.5, []float64{-0.5}},
		uncertainty.RimDiameter:      {0.01, []float64{25}},
	} {
		i := slices.IndexFunc(all, func(c uncertainty.Contribution) bool { return c.Source == source })
		if i < 0 {
			t.Errorf("no %v", source)
			continue
		}
		testkit.Near(t, source.String(), all[i].Scale, want.scale, 1e-12)
		if !slices.Equal(all[i].Sensitivity, want.sensitivity) {
			t.Errorf("%v: %v", source, all[i].Sensitivity)
		}
	}
	s.Readout.Correction.Origin.Reference.Limit, s.Part.DiameterLimit.Half = 0, 0
	for _, c := range readout.New(s).Inputs(readout.Sensitivity{Wheel: 1, Rim: 25}) {
		if c.Source == uncertainty.ReadoutReference || c.Source == uncertainty.RimDiameter {
			t.Errorf("nothing is stated of %v", c.Source)
		}
	}
}
