package uncertainty

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

// Other programs read keys, people read names: each has its own. Every source that
// readings can make smaller scatters or is a matter of setups, and every one has a cure.
func TestTableOfSources(t *testing.T) {
	all := Sources()
	if all[0] != StopContacts || all[len(all)-1] != CountingTeeth || len(all) != int(CountingTeeth) {
		t.Errorf("%d sources, from %v to %v", len(all), all[0], all[len(all)-1])
	}
	keys, names := map[string]bool{}, map[string]bool{}
	for _, s := range all {
		if s.Key() == "" || keys[s.Key()] || s.String() == "" || s.String() == "no source" || names[s.String()] || s.Cure() == "" {
			t.Errorf("source %d: key %q, name %q, cure %q", s, s.Key(), s, s.Cure())
		}
		keys[s.Key()], names[s.String()] = true, true
		text, err := s.MarshalText()
		var back Source
		if err != nil || string(text) != s.Key() || back.UnmarshalText(text) != nil || back != s {
			t.Errorf("%v: written as %s, read as %v", s, text, back)
		}
		if more := s.Smaller(); more != Nothing && !s.Scatters() && s != Remounting || (s.Scatters() && more == Nothing) != (s == SweepFit) {
			t.Errorf("%v: scatters %v, and %v make it smaller", s, s.Scatters(), more)
		}
	}
	var none Source
	if none.String() != "no source" || endOfSources.String() != "no source" || none.UnmarshalText([]byte("luck")) == nil {
		t.Error("what is no source has a name or a key")
	}
	for s, want := range map[Source]More{StopContacts: MorePairs, LineReadings: MoreReadings, BetweenSetups: MoreSetups, Sighting: Nothing} {
		if s.Smaller() != want {
			t.Errorf("%v: %v", s, s.Smaller())
		}
	}
	for m, want := range map[More]string{Nothing: "nothing", MorePairs: "pairs", MoreReadings: "readings", MoreSetups: "setups"} {
		if m.String() != want {
			t.Errorf("got %q, want %q", m, want)
		}
	}
	if LineReadings.Shared() || StepAtLine.Shared() || !StopContacts.Shared() || !OffCentre.Shared() {
		t.Error("what one line has alone is shared, or what all have is not")
	}
	for _, s := range OfReadout() {
		if s.Scatters() || !s.Shared() || s < OffCentre || s > RimDiameter {
			t.Errorf("%v is none of the readout's", s)
		}
	}
}

// Infinity has no number in JSON.
func TestDOFInJSON(t *testing.T) {
	for dof, want := range map[DOF]string{Known(): "null", 3: "3", 4.5: "4.5", 0: "0"} {
		text, err := json.Marshal(dof)
		if err != nil || string(text) != want {
			t.Errorf("%v: written %s, %v", dof, text, err)
		}
		back := DOF(99)
		if err := json.Unmarshal(text, &back); err != nil || back != dof {
			t.Errorf("%s: read %v, %v", text, back, err)
		}
	}
	var none struct{ N DOF }
	if err := json.Unmarshal([]byte(`{"N": "three"}`), &none); err == nil {
		t.Error("a word was read as degrees of freedom")
	}
	if DOF(math.Inf(-1)).Infinite() || DOF(1e9).Infinite() {
		t.Error("a number is infinite")
	}
}

func TestShapeInWords(t *testing.T) {
	for s, want := range map[Shape]string{Normal: "normal", StudentT: "t", Rectangular: "rectangular", Triangular: "triangular", Arcsine: "arcsine"} {
		text, err := s.MarshalText()
		back := Shape(99)
		if err != nil || string(text) != want || back.UnmarshalText(text) != nil || back != s {
			t.Errorf("%v: written %s, read %v", s, text, back)
		}
	}
	var s Shape
	if s.UnmarshalText([]byte("square")) == nil {
		t.Error("a square was read as a shape")
	}
}

func TestEstimateInWords(t *testing.T) {
	e := Estimate{Value: -1.234, Expanded: 0.567, Known: true}
	if e.String() != "-1.23° ± 0.57°" {
		t.Errorf("got %q", e)
	}
	if e.Known = false; e.String() != "-1.23°, without an interval" {
		t.Errorf("got %q", e)
	}
}

// A is from readings that scatter, B from anything else (JCGM 100, 4.2 and 4.3); the
// scatter of a budget is what counts of A.
func TestEvaluationOfRows(t *testing.T) {
	b := Budget{
		{Source: StopContacts, Shape: StudentT, Scale: 3, DOF: 4, Sensitivity: 1},
		{Source: StepAtTDC, Shape: Triangular, Scale: 1, DOF: Known(), Sensitivity: 1},
		{Source: LineReadings, Shape: StudentT, Scale: 2, DOF: 4, Sensitivity: -2},
		{Source: LineReadingsPooled, Shape: StudentT, Scale: 2, DOF: 4, Sensitivity: 1, Idle: true},
	}
	for i, want := range []string{"A", "B", "A", "A"} {
		if got := b[i].Evaluation(); got != want {
			t.Errorf("%v: %s", b[i].Source, got)
		}
	}
	scatter := b.Scatter()
	if len(scatter) != 2 || scatter[0] != b[0] || scatter[1] != b[2] || len(b) != 4 || b[1].Source != StepAtTDC {
		t.Errorf("scatter %+v of %+v", scatter, b)
	}
	// 3² + 4² = 25, and (3⁴ + 4⁴)/4 = 84.25.
	if u, dof := scatter.Combined(); !(math.Abs(u.Degrees()-5) <= 1e-15) || !(math.Abs(float64(dof)-625/84.25) <= 1e-12) {
		t.Errorf("%v on %v", u, dof)
	}
	if got := b[2].Term(); got != (Term{Shape: StudentT, Scale: 4, DOF: 4}) {
		t.Errorf("term %+v", got)
	}
	// A million degrees of freedom are as good as infinitely many.
	for dof, want := range map[DOF]bool{0.99e6: false, 1.01e6: true} {
		if _, got := (Budget{{Shape: StudentT, Scale: 2, DOF: dof, Sensitivity: 1}}).Combined(); got.Infinite() != want || !want && !(math.Abs(float64(got/dof)-1) <= 1e-12) {
			t.Errorf("%v degrees of freedom came to %v", dof, got)
		}
	}
	if u, dof := (Budget{}).Combined(); u != 0 || !dof.Infinite() {
		t.Errorf("nothing: %v on %v", u, dof)
	}
}

// A limit is rectangular, one with a factor normal at limit over factor (JCGM 100,
// 4.3.7 and 4.3.3); millimetres stand where degrees do.
func TestLimitedInputs(t *testing.T) {
	got := LimitedLength(Rod, "engine", geometry.Limit[geometry.Length]{Half: 0.3})
	if got.ID != (ID{Rod, "engine"}) || got.Shape != Rectangular || got.Scale != 0.3 {
		t.Errorf("limit: %+v", got)
	}
	got = LimitedLength(Rod, "engine", geometry.Limit[geometry.Length]{Half: 0.3, K: 2})
	if got.Shape != Normal || !(math.Abs(got.Scale-0.15) <= 1e-16) {
		t.Errorf("limit with a factor: %+v", got)
	}
	row := LimitRow(Placement, geometry.Limit[geometry.Angle]{Half: 0.2, K: 0.5})
	if want := (Row{Source: Placement, Shape: Normal, Scale: 0.4, DOF: Known(), Sensitivity: 1}); row != want {
		t.Errorf("row: %+v, want %+v", row, want)
	}
	if in := Rounded(StepAtLine, "T", Rectangular, 0.05); in.ID != (ID{StepAtLine, "T"}) || in.Shape != Rectangular || in.Scale != 0.05 || in.DOF != 0 {
		t.Errorf("rounding: %+v", in)
	}
}

// Rows by hand: a vector with its covariance, a folded source, a side that lost motion
// keeps, and two or three coordinates.
func TestRowOfAnInput(t *testing.T) {
	for name, c := range map[string]struct {
		of   Contribution
		want Row
	}{
		"folded: limit times sensitivity": {
			By(Input{ID: ID{Source: ContactHeight}, Shape: Rectangular, Scale: 0.2}, -3),
			Row{Source: ContactHeight, Shape: Rectangular, Scale: 0.6, DOF: Known(), Sensitivity: 1},
		},
		"lost motion from the other side": {
			By(Input{ID: ID{Source: LostMotion}, Shape: Rectangular, Scale: 0.2}, -0.5),
			Row{Source: LostMotion, Shape: Rectangular, Scale: 0.2, DOF: Known(), Sensitivity: -0.5},
		},
		"one coordinate": {
			By(Input{ID: ID{Source: Sighting}, Shape: Rectangular, Scale: 0.2}, -0.5),
			Row{Source: Sighting, Shape: Rectangular, Scale: 0.2, DOF: Known(), Sensitivity: 0.5},
		},
		"two coordinates": {
			Contribution{Input{ID: ID{Source: OffCentre}, Shape: Arcsine, Scale: 0.2}, []float64{3, -4}},
			Row{Source: OffCentre, Shape: Arcsine, Scale: 0.2, DOF: Known(), Sensitivity: 5},
		},
		"three coordinates": {
			Contribution{Input{ID: ID{Source: OffCentre}, Shape: Arcsine, Scale: 0.2}, []float64{2, -3, 6}},
			Row{Source: OffCentre, Shape: Arcsine, Scale: 0.2, DOF: Known(), Sensitivity: 7},
		},
		"a covariance": {
			Contribution{Input{ID: ID{Source: Correction}, Shape: StudentT, Scale: 7, DOF: 11.9, Covariance: [][]float64{{4, 1}, {1, 9}}}, []float64{1, -1}},
			Row{Source: Correction, Shape: StudentT, Scale: geometry.Angle(math.Sqrt(11)), DOF: 11, Sensitivity: 1},
		},
		"a covariance of nothing": {
			Contribution{Input{ID: ID{Source: Correction}, Shape: StudentT, DOF: 11, Covariance: [][]float64{{1, -1}, {-1, 1}}}, []float64{1, 1}},
			Row{Source: Correction, Shape: StudentT, DOF: 11, Sensitivity: 1},
		},
	} {
		if got := c.of.row(); (got.Scale-c.want.Scale).Abs() > 1e-15 || got.Sensitivity != c.want.Sensitivity || got.Source != c.want.Source || got.Shape != c.want.Shape || got.DOF != c.want.DOF {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
	// Inputs stand in the order of the table, whatever theirs.
	rows, known := Combination{}.With(By(Input{ID: ID{Source: Stroke}, Scale: 1}, 1), By(Input{ID: ID{Source: Sighting}, Scale: 2}, 1), By(Input{ID: ID{Source: Slack}, Scale: 3}, 1)).Budget()
	var got []Source
	for _, r := range rows {
		got = append(got, r.Source)
	}
	if !known || !slices.Equal(got, []Source{Sighting, Slack, Stroke}) {
		t.Errorf("rows of %v", got)
	}
}
