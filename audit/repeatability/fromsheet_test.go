package repeatability_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/repeatability"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

func classSheet(t *testing.T) sheet.Sheet {
	t.Helper()
	s, _, err := sheet.Read("class.yaml", testkit.Read(t, "study/class.yaml"), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A sheet with a fault makes no study, and the fault is told where it stands.
func TestFromSheetRefusesAFaultySheet(t *testing.T) {
	s := classSheet(t)
	s.Readout.Step = -1
	var faults inputerror.List
	if _, err := repeatability.FromSheet(s); !errors.As(err, &faults) || faults[0].Path != "readout.step" {
		t.Errorf("got %v", err)
	}
}

// Each value is the offset that the audit finds from that setup alone.
func TestFromSheetTakesOffsetsOfSetups(t *testing.T) {
	s := classSheet(t)
	d, err := repeatability.FromSheet(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Values) != len(s.Setups)*len(s.Marks) || d.Each != repeatability.PerSetup || d.Tolerance != 1 || d.Step != 0.25 {
		t.Fatalf("%d values, each %v, tolerance %v, step %v", len(d.Values), d.Each, d.Tolerance, d.Step)
	}
	i := 0
	for _, setup := range s.Setups {
		alone := s
		alone.Setups = []sheet.Setup{setup}
		r, err := audit.Run(alone)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range r.Lines {
			v := d.Values[i]
			i++
			if v.By != setup.By || v.Mark != m.Name || math.Abs((v.Value-m.Offset.Value).Degrees()) > 1e-9 {
				t.Errorf("got %+v, want %s %s %v", v, setup.By, m.Name, m.Offset.Value)
			}
		}
	}
	// Nora's first setup: forward less backward of each mark, by hand.
	for j, m := range s.Marks {
		var sum [3]geometry.Angle
		for _, r := range s.Setups[0].Marks[m.Name] {
			sum[r.Approach] += r.Value / 2
		}
		if got, want := d.Setups[0].Sides[j], (sum[sheet.Forward] - sum[sheet.Backward]).Wrap(); math.Abs((got - want).Degrees()) > 1e-9 {
			t.Errorf("%s: sides differ by %v, want %v", m.Name, got, want)
		}
	}
}

// One setup a person leaves single readings; their mean is the setup's offset.
func TestFromSheetTakesReadingsOfSingleSetups(t *testing.T) {
	s := classSheet(t)
	s.Setups = s.Setups[:4]
	s.Setups[3].By = ""
	d, err := repeatability.FromSheet(s)
	if err != nil {
		t.Fatal(err)
	}
	if d.Each != repeatability.PerReading || d.Nameless != 1 || len(d.Values) != 3*3*4 {
		t.Fatalf("each %v, nameless %d, %d values", d.Each, d.Nameless, len(d.Values))
	}
	alone := s
	alone.Setups = s.Setups[:1]
	r, err := audit.Run(alone)
	if err != nil {
		t.Fatal(err)
	}
	var mean geometry.Angle
	for _, v := range d.Values[:4] {
		mean += v.Value / 4
	}
	if math.Abs((mean - r.Lines[0].Offset.Value).Degrees()) > 1e-9 {
		t.Errorf("mean of the readings %v, want %v", mean, r.Lines[0].Offset.Value)
	}
	for _, f := range repeatability.Analyse(d, repeatability.PoolAuto).Flags {
		if f.Code == repeatability.SitsOff {
			t.Errorf("%s is said to sit off after a single setup", f.By)
		}
	}
}

func TestFromSheetNeedsNames(t *testing.T) {
	s := classSheet(t)
	for i := range s.Setups {
		s.Setups[i].By = ""
	}
	var faults inputerror.List
	if _, err := repeatability.FromSheet(s); !errors.As(err, &faults) || faults[0].Path != "setups" {
		t.Errorf("got %v", err)
	}
}

const twoPeople = `
engine: {turns: clockwise}
part: {marks_on: part}
readout: {step: 0.1, counts: up}
limits: {tolerance: 1}
marks: [{name: T, at: 0}, {name: U, at: 90, tolerance: 0.5}]
setups:
  - {by: Ana, stop: {forward: [338, 338.2], backward: [22, 22.4]}, marks: {T: [0.5, 0.6], U: [90]}}
  - {by: ana, stop: {forward: [338, 338], backward: [22, 22]}, marks: {T: [0.7, 0.6]}}
  - {stop: {forward: [338], backward: [22]}, marks: {T: [0.1], U: [90]}}
  - {by: Bo, stop: {forward: [338, 338], backward: [22, 22]}, marks: {T: [0.7, 0.6], U: [90.5]}}
`

func readSheet(t *testing.T, text string) sheet.Sheet {
	t.Helper()
	s, _, err := sheet.Read("a.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A second setup of a mark makes values of setups; its pairs of contacts, and the first
// reading of each thing, go with it.
func TestFromSheetBySetups(t *testing.T) {
	d, err := repeatability.FromSheet(readSheet(t, twoPeople))
	if err != nil {
		t.Fatal(err)
	}
	type value struct {
		by, mark string
		off      float64
		trial    int
	}
	var got []value
	for _, v := range d.Values {
		got = append(got, value{v.By, v.Mark, math.Round(v.Value.Degrees()*1e6) / 1e6, v.Trial})
	}
	// TDC of the first setup lies at (180 + 180.3)/2 - 180 = 0.15.
	want := []value{{"Ana", "T", 0.4, 1}, {"Ana", "U", -0.15, 1}, {"Ana", "T", 0.65, 2}, {"Bo", "T", 0.65, 1}, {"Bo", "U", 0.5, 1}}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if d.Each != repeatability.PerSetup || d.Nameless != 1 || d.Tolerance != 0.5 || len(d.People) != 1 || d.People[0] != (repeatability.Alias{Name: "Ana", Also: "ana"}) {
		t.Errorf("each %v, %d nameless, tolerance %v, %v", d.Each, d.Nameless, d.Tolerance, d.People)
	}
	if len(d.Setups) != 3 {
		t.Fatalf("setups %+v", d.Setups)
	}
	first := d.Setups[0]
	if !first.Stop || first.By != "Ana" || !slices.Equal(first.Places, []geometry.Angle{338, 22, 0.5, 90}) || len(first.HalfArcs) != 2 || math.Abs(first.HalfArcs[1].Degrees()-22.1) > 1e-9 || math.Abs(first.Top.Degrees()-0.15) > 1e-9 {
		t.Errorf("the first: %+v", first)
	}
	if !slices.Equal(d.Setups[1].Places, []geometry.Angle{338, 22, 0.7}) {
		t.Errorf("the second: %+v", d.Setups[1])
	}
}

// What was struck is no place, and neither are lengths along a rim.
func TestFromSheetPlaces(t *testing.T) {
	s := readSheet(t, twoPeople)
	s.Setups[0].Trials[0].Forward.Struck, s.Setups[0].Trials[0].Forward.Reason = true, "slipped"
	s.Setups[0].Marks["T"][0].Struck, s.Setups[0].Marks["T"][0].Reason = true, "slipped"
	d, err := repeatability.FromSheet(s)
	if err != nil || !slices.Equal(d.Setups[0].Places, []geometry.Angle{338.2, 22.4, 0.6, 90}) {
		t.Errorf("%+v, %v", d.Setups[0].Places, err)
	}
}

// No study comes of a dial, nor of setups in which nobody found a mark.
func TestFromSheetRefuses(t *testing.T) {
	var faults inputerror.List
	s := readSheet(t, twoPeople)
	for i := range s.Setups {
		if s.Setups[i].By != "" {
			s.Setups[i].Marks = nil
		}
	}
	if _, err := repeatability.FromSheet(s); !errors.As(err, &faults) || faults[0].Path != "setups" || !strings.HasPrefix(faults[0].Text, "found no setup with a name, a usable pair of contacts and a mark read") {
		t.Errorf("no mark: %v", err)
	}
	for i := range s.Setups {
		s.Setups[i].By = ""
	}
	if _, err := repeatability.FromSheet(s); !errors.As(err, &faults) || !strings.HasPrefix(faults[0].Text, "found no setup that says by whom it was taken") {
		t.Errorf("no name: %v", err)
	}
}
