package audit_test

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// anySheet draws what a person may hand in: unfinished, with struck and missing
// contacts, readings all over the circle, and limits of any size.
func anySheet(t *rapid.T) sheet.Sheet {
	maybe := func(name string) bool { return rapid.Bool().Draw(t, name) }
	length := func(name string, values ...float64) geometry.Length {
		return geometry.Length(rapid.SampledFrom(append(values, 0)).Draw(t, name))
	}
	limit := func(name string, values ...float64) geometry.Limit[geometry.Length] {
		return geometry.Limit[geometry.Length]{Half: length(name, values...), K: rapid.SampledFrom([]float64{0, 2}).Draw(t, name+" k")}
	}
	s := sheet.Sheet{
		Engine: sheet.Engine{
			Turns:  rapid.SampledFrom([]geometry.Rotation{geometry.Clockwise, geometry.Anticlockwise}).Draw(t, "turns"),
			Stroke: length("stroke", 54, 92, 1e-3), Rod: length("rod", 110, 152, 5000),
			RefersToThrow: maybe("throw"),
		},
		Part: sheet.Part{
			Diameter: length("diameter", 158, 1e-3, 1e5), DiameterLimit: limit("diameter limit", 0.2, 1e-4),
			MarksOn:  rapid.SampledFrom([]sheet.MarksOn{sheet.OnPart, sheet.OnEngine}).Draw(t, "marks on"),
			Sighting: limit("sighting", 0.3, 1e-5), Teeth: rapid.SampledFrom([]int{0, 135}).Draw(t, "teeth"),
		},
		Readout: sheet.Readout{
			Kind:     rapid.SampledFrom([]sheet.Kind{sheet.Wheel, sheet.Encoder}).Draw(t, "kind"),
			Step:     geometry.Angle(rapid.SampledFrom([]float64{1e-6, 0.1, 0.5, 90}).Draw(t, "step")),
			Counts:   rapid.SampledFrom([]geometry.Sense{geometry.CountsUp, geometry.CountsDown}).Draw(t, "counts"),
			Diameter: length("wheel", 280, 1e-3), OffCentre: length("off centre", 0.3, 1e-6),
		},
		Limits: sheet.Limits{
			Confidence: rapid.SampledFrom([]float64{0.8, 0.95, 0.999}).Draw(t, "confidence"),
			Remount:    geometry.Limit[geometry.Angle]{Half: geometry.Angle(length("remount", 0.1, 90))},
			Contact:    limit("contact", 0.04, 100), Placement: length("placement", 0.2), DeepStop: maybe("deep stop"),
		},
		Checked: sheet.Checked{Tolerances: true}, // which may be of any width here
	}
	s.Engine.PinOffset.Value, s.Engine.PinOffset.Limit = length("pin", 0.8, 0, 0, 0), limit("pin limit", 0.8, 0, 0)
	s.Engine.BoreOffset.Value = length("bore", 0.8, -20, 0, 0, 0, 0)
	if maybe("lost motion") {
		s.Readout.HasLostMotion, s.Readout.LostMotion, s.Readout.LostLimit.Half = true, 0.1, 0.05
	}
	wild := rapid.IntRange(0, 4).Draw(t, "wild readings") == 4
	reading := func(around float64, approach sheet.Approach) *sheet.Reading {
		value := around + rapid.SampledFrom([]float64{0, 0, 0.1, -0.5, 0.5}).Draw(t, "off")
		if wild {
			value = rapid.Float64Range(-1e6, 1e6).Draw(t, "reading")
		}
		return &sheet.Reading{Value: geometry.Angle(value), Approach: approach, Struck: rapid.IntRange(0, 7).Draw(t, "struck") == 0}
	}
	marks := rapid.IntRange(0, 4).Draw(t, "marks")
	for i := range marks {
		s.Marks = append(s.Marks, sheet.Mark{
			Name: "line " + strconv.Itoa(i), At: geometry.Angle(rapid.SampledFrom([]float64{0, -10, 120, 180, -720, 0.001}).Draw(t, "at")),
			Tolerance: geometry.Angle(rapid.SampledFrom([]float64{1e-6, 0.5, 180}).Draw(t, "tolerance")),
		})
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "setups") {
		setup := sheet.Setup{Name: strconv.Itoa(i + 1), Path: inputerror.Path(fmt.Sprintf("setups[%d]", i)), Marks: map[string][]sheet.Reading{}}
		half := rapid.SampledFrom([]float64{20, 1e-6, 89.9, 179.9}).Draw(t, "half arc")
		counts := float64(s.Readout.Counts)
		trial := func() sheet.Trial {
			pair := sheet.Trial{Forward: reading(-half*counts, sheet.Forward), Backward: reading(half*counts, sheet.Backward)}
			switch rapid.IntRange(0, 9).Draw(t, "partner") {
			case 0:
				pair.Forward = nil
			case 1:
				pair.Backward = nil
			}
			return pair
		}
		for range rapid.IntRange(0, 4).Draw(t, "trials") {
			setup.Trials = append(setup.Trials, trial())
		}
		if maybe("closing") {
			closing := trial()
			setup.Closing = &closing
		}
		for _, m := range s.Marks {
			for range rapid.IntRange(0, 3).Draw(t, "readings") {
				approach := rapid.SampledFrom([]sheet.Approach{sheet.Forward, sheet.Backward}).Draw(t, "approach")
				setup.Marks[m.Name] = append(setup.Marks[m.Name], *reading(counts*m.At.Degrees(), approach))
			}
		}
		s.Setups = append(s.Setups, setup)
	}
	return s
}

// unsound finds a number that is none. Only a probability that there is no
// telling may be NaN, and only degrees of freedom may be infinite.
func unsound(path string, v reflect.Value) string {
	switch v.Kind() {
	case reflect.Float64:
		x := v.Float()
		if math.IsNaN(x) && !hasSuffix(path, ".Homogeneity") || math.IsInf(x, 0) && !hasSuffix(path, "DOF") {
			return fmt.Sprintf("%s is %v", path, x)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return unsound(path, v.Elem())
		}
	case reflect.Slice:
		if _, row := v.Interface().(diagnosis.Row); row { // NaN where a line was not read
			return ""
		}
		for i := range v.Len() {
			if found := unsound(fmt.Sprintf("%s[%d]", path, i), v.Index(i)); found != "" {
				return found
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if found := unsound(path+"."+v.Type().Field(i).Name, v.Field(i)); found != "" {
				return found
			}
		}
	}
	return ""
}

func hasSuffix(path, suffix string) bool {
	return len(path) >= len(suffix) && path[len(path)-len(suffix):] == suffix
}

// Whatever a sheet holds, an audit refuses it with sentences or answers with
// numbers; it never panics.
func TestRunAnswersOrRefuses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySheet(t)
		result, err := audit.Run(s)
		if err != nil {
			var faults inputerror.List
			if !errors.As(err, &faults) || len(faults) == 0 || err.Error() == "" {
				t.Errorf("got the error %#v, want faults", err)
			}
			return
		}
		if found := unsound("result", reflect.ValueOf(result)); found != "" {
			t.Error(found)
		}
		if len(result.ByLine()) != len(s.Marks) {
			t.Errorf("got %d marks, want %d", len(result.ByLine()), len(s.Marks))
		}
		for _, m := range result.ByLine() {
			if m.Conformity.Within < 0 || m.Conformity.Within > 1 {
				t.Errorf("%s: got a probability of %v", m.Name, m.Conformity.Within)
			}
		}
		for i, next := range audit.Next(result) {
			if found := unsound("next", reflect.ValueOf(next)); found != "" || next.Chance < -1 || next.Chance > 1 {
				t.Errorf("%s: got %+v for what to do next", s.Marks[i].Name, next)
			}
		}
	})
}

// The sheets of the property above are of both kinds. Those drawn here are the
// same under every seed.
func TestAnySheetIsAnsweredOrRefused(t *testing.T) {
	sheets, answered := rapid.Custom(anySheet), 0
	const drawn = 100
	for seed := range drawn {
		if _, err := audit.Run(sheets.Example(seed)); err == nil {
			answered++
		}
	}
	t.Logf("%d of %d answered", answered, drawn)
	if answered < drawn/20 || answered > drawn-drawn/20 {
		t.Errorf("%d of %d sheets are answered: the property shows nothing of one kind", answered, drawn)
	}
}

// Run never changes the sheet that it is given.
func TestRunLeavesTheSheetAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyRig(t, true).sheet()
		before := fmt.Sprintf("%+v", simulate.EveryReading(s, func(_ int, r sheet.Reading) sheet.Reading { return r }).Setups[0].Marks)
		run(t, s)
		if after := fmt.Sprintf("%+v", s.Setups[0].Marks); after != before {
			t.Errorf("got %s, was %s", after, before)
		}
	})
}

// An unfinished sheet is no error and gives no verdict.
func TestUnfinishedSheets(t *testing.T) {
	for name, edit := range map[string]func(s *sheet.Sheet){
		"no marks":  func(s *sheet.Sheet) { s.Marks = nil },
		"no setups": func(s *sheet.Sheet) { s.Setups = nil },
		"neither":   func(s *sheet.Sheet) { s.Marks, s.Setups = nil, nil },
		"no stop":   func(s *sheet.Sheet) { s.Setups[0].Trials = nil },
		"no readings": func(s *sheet.Sheet) {
			s.Setups[0].Marks = nil
		},
		"all struck": func(s *sheet.Sheet) {
			*s = simulate.EveryReading(*s, func(_ int, r sheet.Reading) sheet.Reading { r.Struck = true; return r })
		},
	} {
		s := plainSheet()
		edit(&s)
		result, err := audit.Run(s)
		if err != nil {
			t.Errorf("%s: refused: %v", name, err)
		}
		for i, next := range audit.Next(result) {
			if m := result.ByLine()[i]; m.Offset != nil || m.Verdict != 0 || m.Scribe.Along != advise.NoWay || next.Way != advise.ReadIt {
				t.Errorf("%s: got %+v", name, m)
			}
		}
		if result.Together.Finding != lines.Unknown {
			t.Errorf("%s: got the finding %v", name, result.Together.Finding)
		}
	}
}

// BenchmarkRun audits the demonstration sheet: five lines, three setups.
func BenchmarkRun(b *testing.B) {
	s, _, err := sheet.Read("demo.yaml", []byte(sheet.Demo()), nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := audit.Run(s); err != nil {
			b.Fatal(err)
		}
	}
}
