package sheet

import (
	"math"
	"strings"
	"testing"

	"markaudit/geometry"
)

// A program's sheet may be unfinished, but what is there has to be usable.
func TestCheckUnfinished(t *testing.T) {
	s := Sheet{
		Engine:  Engine{Turns: geometry.Clockwise},
		Part:    Part{MarksOn: OnPart},
		Readout: Readout{Step: 0.5, Counts: geometry.CountsUp},
		Limits:  Limits{Confidence: 0.95},
		Setups:  []Setup{{Name: "1", Trials: []Trial{{Forward: &Reading{Value: 340, Approach: Forward}}}}},
	}
	if faults := s.Check(); len(faults) > 0 {
		t.Errorf("got %v, want none", faults)
	}
	if faults := (Sheet{}).Check(); len(faults) != 5 {
		t.Errorf("got %v, want turns, marks_on, counts, step and confidence", faults)
	}
}

func TestCheck(t *testing.T) {
	nan, inf := geometry.Length(math.NaN()), geometry.Length(math.Inf(1))
	contact := func(v geometry.Angle, a Approach) *Reading { return &Reading{Value: v, Approach: a} }
	pair := func(f, b geometry.Angle) func(*Sheet) {
		return func(s *Sheet) {
			s.Setups = []Setup{{Name: "1", Trials: []Trial{{contact(f, Forward), contact(b, Backward)}}}}
		}
	}
	down := func(change func(*Sheet)) func(*Sheet) {
		return func(s *Sheet) { s.Readout.Counts = geometry.CountsDown; s.Readout.QuarterTurn = nil; change(s) }
	}
	quarter := func(a, b geometry.Angle) func(*Sheet) {
		return func(s *Sheet) { s.Readout.QuarterTurn = &[2]Reading{*contact(a, Forward), *contact(b, Forward)} }
	}
	for _, c := range []struct {
		name   string
		change func(*Sheet)
		want   string // path and a part of the text, or "" for no fault
	}{
		{"as it is", func(*Sheet) {}, ""},
		{"NaN stroke", func(s *Sheet) { s.Engine.Stroke = nan }, "engine.stroke: found NaN mm"},
		{"infinite diameter", func(s *Sheet) { s.Part.Diameter = inf }, "part.diameter: found +Inf mm"},
		{"negative diameter", func(s *Sheet) { s.Part.Diameter = -1 }, "part.diameter: found -1 mm"},
		{"negative teeth", func(s *Sheet) { s.Part.Teeth = -3 }, "part.teeth: found -3"},
		{"rod too short", func(s *Sheet) { s.Engine.Rod = s.Engine.Stroke / 2 }, "engine.rod: found a rod of"},
		{"rod too short at the limits", func(s *Sheet) {
			s.Engine.Rod = s.Engine.Stroke/2 + 1
			s.Engine.PinOffset = geometry.Offset{Limit: geometry.Limit[geometry.Length]{Half: 2}}
		}, "with the offsets at their limits"},
		{"step of a quarter turn", func(s *Sheet) { s.Readout.Step = 90 }, ""},
		{"step above it", func(s *Sheet) { s.Readout.Step = 90.5 }, "readout.step: found 90.5"},
		{"confidence at its limits", func(s *Sheet) { s.Limits.Confidence = 0.8 }, ""},
		{"confidence at its limits", func(s *Sheet) { s.Limits.Confidence = 0.999 }, ""},
		{"a threshold apart", func(s *Sheet) { s.Limits.DecideAt = 0.51 }, ""},
		{"a threshold of a half", func(s *Sheet) { s.Limits.DecideAt = 0.5 }, "limits.decide_at"},
		{"a threshold of one", func(s *Sheet) { s.Limits.DecideAt = 1 }, "limits.decide_at"},
		{"threshold NaN", func(s *Sheet) { s.Limits.DecideAt = math.NaN() }, "limits.decide_at"},
		{"confidence below", func(s *Sheet) { s.Limits.Confidence = 0.79 }, "limits.confidence"},
		{"confidence NaN", func(s *Sheet) { s.Limits.Confidence = math.NaN() }, "limits.confidence"},
		{"lost motion negative", func(s *Sheet) { s.Readout.LostMotion = -0.1 }, "readout.lost_motion: found -0.1"},
		{"lost motion without limit", func(s *Sheet) { s.Readout.HasLostMotion = true }, "readout.lost_motion: found no limit"},
		{"off centre beyond the wheel", func(s *Sheet) { s.Readout.OffCentre = s.Readout.Diameter / 2 }, "readout.off_centre"},
		{"sighting without diameter", func(s *Sheet) { s.Part.Diameter, s.Part.DiameterLimit = 0, geometry.Limit[geometry.Length]{} }, "part.sighting"},
		{"btdc_lines on the part", func(s *Sheet) { s.Part.BTDCLines = s.Engine.Turns.Opposite() }, "part.btdc_lines: found clockwise, which contradicts engine.turns: anticlockwise with part.marks_on: part"},
		{"btdc_lines on the engine", func(s *Sheet) { s.Part.MarksOn = OnEngine }, "part.btdc_lines: found anticlockwise, which contradicts engine.turns: anticlockwise with part.marks_on: engine"},
		{"both other", func(s *Sheet) { s.Part.MarksOn, s.Engine.Turns = OnEngine, geometry.Clockwise }, ""},
		{"quarter turn of 45", quarter(350, 35), ""},
		{"quarter turn of 135", quarter(0, 135), ""},
		{"quarter turn of 44", quarter(0, 44), "not about a quarter turn apart"},
		{"quarter turn of 136", quarter(0, 136), "not about a quarter turn apart"},
		{"quarter turn the other way", quarter(90, 0), "contradicts readout.counts: up"},
		{"quarter turn counting down", down(func(s *Sheet) { pair(20, 340)(s); quarter(10, 280)(s) }), ""},
		{"all pairs above 180", down(func(*Sheet) {}), "so do all 17 pairs"},
		{"blocked arc of 180", pair(270, 90), ""},
		{"blocked arc above 180", pair(270, 90.5), "block 180.5 degrees"},
		{"blocked arc above 180, deep stop", func(s *Sheet) { pair(270, 90.5)(s); s.Limits.DeepStop = true }, ""},
		{"blocked arc counting down", down(pair(90.5, 270)), "block 180.5 degrees"},
		{"blocked arc over turns", pair(1043, 1081), ""},
		{"both contacts alike", pair(20, 380), "both contacts read the same"},
		{"struck pair is not judged", func(s *Sheet) { pair(20, 20)(s); s.Setups[0].Trials[0].Forward.Struck = true }, ""},
		{"closing is judged", func(s *Sheet) { s.Setups[0].Closing = &Trial{contact(20, Forward), contact(340, Backward)} }, "setups[0].closing"},
		{"reading of a million", pair(1e6, 1e6+0), "both contacts"},
		{"reading above it", pair(1e6+1, 20), "expected at most a million"},
		{"reading NaN", pair(geometry.Angle(nan), 20), "expected at most a million"},
		{"lettered with counts down", down(func(s *Sheet) {
			s.Setups = []Setup{{Marks: map[string][]Reading{"1-6": {{Value: -3, Lettered: true, Approach: Forward}}}}}
		}), "BTDC or ATDC on a readout that counts down"},
		{"mark named closing", func(s *Sheet) { s.Marks[0].Name = "closing" }, "marks[0].name: found closing"},
		{"mark without name", func(s *Sheet) { s.Marks[0].Name = "" }, "marks[0].name: missing"},
		{"marks alike", func(s *Sheet) { s.Marks[1].Name = s.Marks[0].Name }, "marks[1].name: found 1-6 a second time"},
		{"known at NaN", func(s *Sheet) { s.Marks[1].Known.Off = geometry.Angle(math.NaN()) }, "marks[1].known: found NaN"},
		{"no tolerance", func(s *Sheet) { s.Marks[1].Tolerance = 0 }, "marks[1].tolerance: missing"},
		{"tolerance of minutes", func(s *Sheet) { s.Marks[0].Tolerance = 15.5 }, "marks[0].tolerance: found 15.5 degrees each way for 1-6, expected at most 15"},
		{"tolerance of minutes, checked", func(s *Sheet) { s.Marks[0].Tolerance, s.Checked.Tolerances = 15.5, true }, ""},
		{"widest tolerance", func(s *Sheet) {
			s.Marks = []Mark{{Name: "a", Tolerance: 15}, {Name: "b", At: 30, Tolerance: 1}}
		}, ""},
		{"more than half the gap", func(s *Sheet) {
			s.Marks = []Mark{{Name: "a", Tolerance: 2.1}, {Name: "b", At: -4, Tolerance: 1}}
		}, "marks[0].tolerance: found 2.1 degrees each way for a, more than half of the 4 to the next line, b"},
		{"a usual tolerance and a close line", func(s *Sheet) {
			s.Marks = []Mark{{Name: "a", Tolerance: 2}, {Name: "b", At: 1, Tolerance: 2}}
		}, ""},
		{"half the gap", func(s *Sheet) {
			s.Marks = []Mark{{Name: "a", Tolerance: 4}, {Name: "b", At: 352, Tolerance: 4}}
		}, ""},
		{"more than half the gap late", func(s *Sheet) {
			s.Marks = []Mark{{Name: "a", Tolerance: 1}, {Name: "b", At: -4, Tolerance: 1, Early: 1, Late: 2.1}}
		}, "marks[1].tolerance: found 2.1 degrees"},
		{"lines of two groups", func(s *Sheet) {
			s.Marks = []Mark{{Name: "a", Tolerance: 3, On: "hub"}, {Name: "b", At: -1, Tolerance: 3, On: "ring"}}
		}, ""},
		{"lines at one place", func(s *Sheet) {
			s.Engine.Cylinders = []Cylinder{{Name: "1"}, {Name: "4", TDC: 360}}
			s.Marks = []Mark{{Name: "a", Tolerance: 3}, {Name: "b", Tolerance: 3, Cylinder: "4"}}
		}, ""},
		{"lines of two cylinders", func(s *Sheet) {
			s.Engine.Cylinders = []Cylinder{{Name: "1"}, {Name: "2", TDC: 90}}
			s.Marks = []Mark{{Name: "a", At: 87, Tolerance: 1}, {Name: "b", Tolerance: 2.5, Cylinder: "2"}}
		}, "marks[1].tolerance: found 2.5 degrees each way for b, more than half of the 3 to the next line, a"},
		{"half speed", func(s *Sheet) { // 360 apart on the crank is across the part
			s.Part.HalfSpeed = true
			s.Marks = []Mark{{Name: "a", Tolerance: 14}, {Name: "b", At: 360, Tolerance: 14}}
		}, ""},
		{"rod as long as the stroke", func(s *Sheet) { s.Engine.Rod = s.Engine.Stroke }, ""},
		{"rod shorter than the stroke", func(s *Sheet) { s.Engine.Stroke, s.Engine.Rod = s.Engine.Rod, s.Engine.Stroke }, "are the two exchanged: stroke "},
		{"rod shorter than the stroke, checked", func(s *Sheet) { s.Engine.Rod, s.Checked.Rod = 0.9*s.Engine.Stroke, true }, ""},
		{"rod too short, checked", func(s *Sheet) { s.Engine.Rod, s.Checked.Rod = s.Engine.Stroke/2, true }, "too short for half the stroke"},
		{"checked line", func(s *Sheet) { s.Checked.Lines = []string{s.Marks[1].Name} }, ""},
		{"checked line unknown", func(s *Sheet) { s.Checked.Lines = []string{"nowhere"} }, "checked.line nowhere: found line nowhere, no line of this name under marks"},
		{"at beyond two turns", func(s *Sheet) { s.Marks[1].At = 720.5 }, "marks[1].at: found 720.5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, _, err := Read("demo.yaml", []byte(Demo()), nil)
			if err != nil {
				t.Fatal(err)
			}
			c.change(&s)
			got := s.Check()
			switch {
			case c.want == "" && len(got) > 0:
				t.Errorf("got %v, want no fault", got)
			case c.want != "" && !strings.Contains(got.Error(), c.want):
				t.Errorf("got %v, want %s", got, c.want)
			}
		})
	}
}
