package repeatability_test

import (
	"errors"
	"math"
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
