package audit_test

import (
	"slices"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

func readings(approach sheet.Approach, values ...float64) []sheet.Reading {
	var out []sheet.Reading
	for _, v := range values {
		out = append(out, sheet.Reading{Value: geometry.Angle(v), Approach: approach})
	}
	return out
}

func trials(contacts ...float64) []sheet.Trial {
	var out []sheet.Trial
	for i := 0; i < len(contacts); i += 2 {
		pair := append(readings(sheet.Forward, contacts[i]), readings(sheet.Backward, contacts[i+1])...)
		out = append(out, sheet.Trial{Forward: &pair[0], Backward: &pair[1]})
	}
	return out
}

func angleLimit(half float64) geometry.Limit[geometry.Angle] {
	return geometry.Limit[geometry.Angle]{Half: geometry.Angle(half)}
}

func lengthLimit(half float64) geometry.Limit[geometry.Length] {
	return geometry.Limit[geometry.Length]{Half: geometry.Length(half)}
}

// plainSetup has its TDC at 0, a half arc of 20, one line that comes up at
// 0.3 and one at 9.8 BTDC, all moved on by zero.
func plainSetup(name string, zero float64) sheet.Setup {
	s := sheet.Setup{
		Name: name, Trials: trials(340.0, 20.1, 340.1, 20.0, 339.9, 19.9, 340.0, 20.0),
		Marks: map[string][]sheet.Reading{
			"TDC":     readings(sheet.Forward, 0.2, 0.3, 0.4),
			"fire 10": readings(sheet.Forward, 350.2, 350.3, 350.1),
		},
	}
	for _, t := range s.Trials {
		t.Forward.Value += geometry.Angle(zero)
		t.Backward.Value += geometry.Angle(zero)
	}
	for _, m := range s.Marks {
		for i := range m {
			m[i].Value += geometry.Angle(zero)
		}
	}
	return s
}

// plainSheet leaves nothing open and raises no warning.
func plainSheet() sheet.Sheet {
	return sheet.Sheet{
		Engine: sheet.Engine{Turns: geometry.Clockwise, Stroke: 92, Rod: 152},
		Part: sheet.Part{
			Diameter: 158, MarksOn: sheet.OnPart, BTDCLines: geometry.Clockwise, Sighting: lengthLimit(0.1),
		},
		Readout: sheet.Readout{Kind: sheet.Wheel, Step: 0.1, Counts: geometry.CountsUp, Diameter: 280, OffCentre: 0.1},
		Limits: sheet.Limits{
			Confidence: 0.95, Placement: sheet.DefaultPlacement, Contact: lengthLimit(0.02), Remount: angleLimit(0.05),
		},
		Marks: []sheet.Mark{
			{Name: "TDC", At: 0, Tolerance: 1},
			{Name: "fire 10", At: -10, Tolerance: 1},
		},
		Setups: []sheet.Setup{plainSetup("1", 0)},
	}
}

func TestThePlainSheetRaisesNoWarning(t *testing.T) {
	result, err := audit.Run(plainSheet())
	if err != nil {
		t.Fatal(err)
	}
	if len(result.Warnings) > 0 {
		t.Errorf("got %v, want none", result.Warnings)
	}
}

// Each doubt has a sheet that raises it and a twin, as close as can be, that
// does not.
func TestWarnings(t *testing.T) {
	setup := func(s *sheet.Sheet) *sheet.Setup { return &s.Setups[0] }
	more := func(s *sheet.Sheet, zeros ...float64) {
		for i, z := range zeros {
			s.Setups = append(s.Setups, plainSetup(string(rune('2'+i)), z))
		}
	}
	for _, c := range []struct {
		code         warning.Code
		raises, twin func(s *sheet.Sheet)
		mark         string
	}{
		{
			code:   warning.StopInDwell,
			raises: func(s *sheet.Sheet) { setup(s).Trials = trials(356.2, 3.7, 356.1, 3.8, 356.2, 3.8) },
			twin:   func(s *sheet.Sheet) { setup(s).Trials = trials(355.9, 4.0, 355.8, 4.1, 355.9, 4.1) },
		},
		{
			code:   warning.HalfArcCreeps,
			raises: func(s *sheet.Sheet) { setup(s).Trials = trials(340.0, 20, 339.8, 20.2, 339.6, 20.4, 339.5, 20.6) },
			twin:   func(s *sheet.Sheet) { setup(s).Trials = trials(339.6, 20.4, 340.0, 20, 339.5, 20.6, 339.8, 20.2) },
		},
		{
			code: warning.HalfArcJumps,
			raises: func(s *sheet.Sheet) {
				setup(s).Trials = trials(340, 20, 339, 21, 340.1, 20, 340, 20.1, 339.1, 21)
			},
			twin: func(s *sheet.Sheet) {
				setup(s).Trials = trials(340, 20, 340.1, 20, 340.1, 20, 340, 20.1, 339.9, 20)
			},
		},
		{
			code:   warning.OneTrial,
			raises: func(s *sheet.Sheet) { setup(s).Trials = trials(340, 20) },
			twin:   func(s *sheet.Sheet) { setup(s).Trials = trials(340, 20, 340.1, 20) },
		},
		{
			code:   warning.TwoTrials,
			raises: func(s *sheet.Sheet) { setup(s).Trials = trials(340, 20, 340.1, 20) },
			twin:   func(s *sheet.Sheet) { setup(s).Trials = trials(340, 20, 340.1, 20, 340, 20.1) },
		},
		{
			code: warning.OneTrial,
			raises: func(s *sheet.Sheet) {
				more(s, 100)
				s.Setups[0].Trials, s.Setups[1].Trials = s.Setups[0].Trials[:1], s.Setups[1].Trials[:1]
			},
			twin: func(s *sheet.Sheet) { // three setups have an interval
				more(s, 100, 200)
				for i := range s.Setups {
					s.Setups[i].Trials = s.Setups[i].Trials[:1]
				}
			},
		},
		{
			code: warning.OneTrial, mark: "TDC",
			raises: func(s *sheet.Sheet) {
				more(s, 100, 200)
				for i := range s.Setups {
					s.Setups[i].Trials = s.Setups[i].Trials[:1]
				}
				delete(setup(s).Marks, "TDC")
			},
			twin: func(s *sheet.Sheet) {
				more(s, 100, 200)
				delete(setup(s).Marks, "TDC")
			},
		},
		{
			code: warning.NoPair,
			raises: func(s *sheet.Sheet) {
				more(s, 100)
				for i := range s.Setups[1].Trials {
					s.Setups[1].Trials[i].Backward.Struck = true
				}
			},
			twin: func(s *sheet.Sheet) {
				more(s, 100)
				for i := range s.Setups[1].Trials[1:] {
					s.Setups[1].Trials[i].Backward.Struck = true
				}
			},
		},
		{
			code:   warning.NoRemounting,
			raises: func(s *sheet.Sheet) { s.Limits.Remount = angleLimit(0); more(s, 100) },
			twin:   func(s *sheet.Sheet) { s.Limits.Remount = angleLimit(0); more(s, 100, 200) },
		},
		{
			code: warning.SetupsDiffer,
			raises: func(s *sheet.Sheet) {
				s.Limits.Remount = angleLimit(0)
				more(s, 100)
				moveLines(&s.Setups[1], 1)
			},
			twin: func(s *sheet.Sheet) { // which remounting may do by itself
				s.Limits.Remount = angleLimit(0)
				more(s, 100)
				moveLines(&s.Setups[1], 0.3)
			},
		},
		{
			code: warning.RemountExceeded,
			raises: func(s *sheet.Sheet) {
				more(s, 100, 200)
				moveLines(&s.Setups[1], 0.5)
			},
			twin: func(s *sheet.Sheet) {
				s.Limits.Remount = angleLimit(0.5)
				more(s, 100, 200)
				moveLines(&s.Setups[1], 0.5)
			},
		},
		{
			code: warning.StandsOut, mark: "TDC",
			raises: func(s *sheet.Sheet) { setup(s).Marks["TDC"] = readings(sheet.Forward, 0.2, 0.3, 0.4, 0.3, 0.9) },
			twin:   func(s *sheet.Sheet) { setup(s).Marks["TDC"] = readings(sheet.Forward, 0.2, 0.3, 0.4, 0.3, 0.5) },
		},
		{
			code:   warning.StandsOut, // a contact typed wrong
			raises: func(s *sheet.Sheet) { setup(s).Trials[2].Backward.Value = 21.9 },
			twin:   func(s *sheet.Sheet) { setup(s).Trials[2].Backward.Value = 20.2 },
		},
		{
			code:   warning.MiddlesDrift,
			raises: func(s *sheet.Sheet) { setup(s).Trials = trials(340, 20, 340.3, 20.2, 340.5, 20.5) },
			twin:   func(s *sheet.Sheet) { setup(s).Trials = trials(340.3, 20.2, 340, 20, 340.5, 20.5) },
		},
		{
			code: warning.ScattersDiffer, mark: "TDC",
			raises: func(s *sheet.Sheet) {
				setup(s).Marks["TDC"] = readings(sheet.Forward, -0.9, 0.3, 1.3, 0.8)
				setup(s).Marks["fire 10"] = readings(sheet.Forward, 350.2, 350.3, 350.1, 350.2)
			},
			twin: func(s *sheet.Sheet) {
				setup(s).Marks["TDC"] = readings(sheet.Forward, 0.1, 0.3, 0.5, 0.4)
				setup(s).Marks["fire 10"] = readings(sheet.Forward, 350.2, 350.3, 350.1, 350.2)
			},
		},
		{
			code:   warning.StepCoarse,
			raises: func(s *sheet.Sheet) { s.Readout.Step = 0.5 },
			twin:   func(s *sheet.Sheet) { s.Readout.Step = 0.1 },
		},
		{
			code: warning.LostMotionSeen,
			raises: func(s *sheet.Sheet) {
				setup(s).Marks["TDC"] = append(readings(sheet.Forward, 0.2, 0.3, 0.2), readings(sheet.Backward, 0.8, 0.7, 0.8)...)
			},
			twin: func(s *sheet.Sheet) {
				setup(s).Marks["TDC"] = append(readings(sheet.Forward, 0.2, 0.3, 0.2), readings(sheet.Backward, 0.3, 0.2, 0.3)...)
			},
		},
		{
			code: warning.LostMotionDiffers,
			raises: func(s *sheet.Sheet) {
				s.Readout.HasLostMotion, s.Readout.LostMotion, s.Readout.LostLimit = true, 0.1, angleLimit(0.05)
				setup(s).Marks["TDC"] = append(readings(sheet.Forward, 0.2, 0.3, 0.2), readings(sheet.Backward, 0.8, 0.7, 0.8)...)
			},
			twin: func(s *sheet.Sheet) {
				s.Readout.HasLostMotion, s.Readout.LostMotion, s.Readout.LostLimit = true, 0.5, angleLimit(0.05)
				setup(s).Marks["TDC"] = append(readings(sheet.Forward, 0.2, 0.3, 0.2), readings(sheet.Backward, 0.8, 0.7, 0.8)...)
			},
		},
		{
			code:   warning.SightingMissing,
			raises: func(s *sheet.Sheet) { s.Part.Sighting = lengthLimit(0) },
			twin:   func(s *sheet.Sheet) { s.Part.Sighting = lengthLimit(0.01) },
		},
		{
			code:   warning.RockMissing,
			raises: func(s *sheet.Sheet) { s.Limits.Contact = lengthLimit(0) },
			twin:   func(s *sheet.Sheet) { s.Limits.Contact = lengthLimit(0.01) },
		},
		{
			code:   warning.RockMissing,
			raises: func(s *sheet.Sheet) { s.Engine.Stroke = 0 },
			twin:   func(s *sheet.Sheet) { s.Engine.Stroke = 90 },
		},
		{
			code:   warning.CentringMissing,
			raises: func(s *sheet.Sheet) { s.Readout.OffCentre = 0 },
			twin:   func(s *sheet.Sheet) { s.Readout.OffCentre, s.Readout.Kind = 0, sheet.Encoder },
		},
		{
			code:   warning.LostMotionMissing,
			raises: func(s *sheet.Sheet) { s.Readout.Kind = sheet.Encoder },
			twin: func(s *sheet.Sheet) {
				s.Readout.Kind = sheet.Encoder
				s.Readout.HasLostMotion, s.Readout.LostLimit = true, angleLimit(0.05)
			},
		},
		{
			code:   warning.LostMotionMissing,
			raises: func(s *sheet.Sheet) { s.Readout.Kind = sheet.Encoder },
			twin: func(s *sheet.Sheet) { // read from both sides it cancels
				s.Readout.Kind = sheet.Encoder
				for name, r := range setup(s).Marks {
					back := slices.Clone(r)
					for i := range back {
						back[i].Approach = sheet.Backward
					}
					setup(s).Marks[name] = append(r, back...)
				}
			},
		},
		{
			code: warning.UAboveTolerance, mark: "TDC",
			raises: func(s *sheet.Sheet) { s.Marks[0].Tolerance = 0.15 },
			twin:   func(s *sheet.Sheet) { s.Marks[0].Tolerance = 0.5 },
		},
		{
			code: warning.NotRead, mark: "TDC",
			raises: func(s *sheet.Sheet) {
				for i := range setup(s).Marks["TDC"] {
					setup(s).Marks["TDC"][i].Struck = true
				}
			},
			twin: func(s *sheet.Sheet) { setup(s).Marks["TDC"][0].Struck = true },
		},
		{
			code:   warning.NoPartner,
			raises: func(s *sheet.Sheet) { setup(s).Trials[0].Backward = nil },
			twin:   func(s *sheet.Sheet) { setup(s).Trials[0].Backward.Struck = true },
		},
		{
			code: warning.ReadOnce, mark: "TDC",
			raises: func(s *sheet.Sheet) {
				setup(s).Marks["TDC"] = readings(sheet.Forward, 0.3)
				setup(s).Marks["fire 10"] = readings(sheet.Forward, 350.3)
			},
			twin: func(s *sheet.Sheet) { setup(s).Marks["TDC"] = readings(sheet.Forward, 0.3) },
		},
		{
			code: warning.ReadTwice, mark: "TDC",
			raises: func(s *sheet.Sheet) {
				s.Marks = s.Marks[:1]
				setup(s).Marks["TDC"] = readings(sheet.Forward, 0.3, 0.4)
			},
			twin: func(s *sheet.Sheet) { setup(s).Marks["TDC"] = readings(sheet.Forward, 0.3, 0.4) },
		},
		{
			code:   warning.SameDiameters,
			raises: func(s *sheet.Sheet) { s.Readout.Diameter = 158 },
			twin:   func(s *sheet.Sheet) { s.Readout.Diameter = 158.1 },
		},
		{
			code:   warning.OddDiameter,
			raises: func(s *sheet.Sheet) { s.Part.Diameter = 15.8 },
			twin:   func(s *sheet.Sheet) { s.Part.Diameter = 1580 },
		},
		{
			code:   warning.DirectionUnchecked,
			raises: func(s *sheet.Sheet) { s.Marks = s.Marks[:1] },
			twin: func(s *sheet.Sheet) {
				s.Marks = s.Marks[:1]
				turn := append(readings(sheet.Forward, 12), readings(sheet.Forward, 102)...)
				s.Readout.QuarterTurn = &[2]sheet.Reading{turn[0], turn[1]}
			},
		},
		{
			code:   warning.SideUnchecked,
			raises: func(s *sheet.Sheet) { s.Part.BTDCLines = 0 },
			twin:   func(s *sheet.Sheet) {},
		},
		{
			code:   warning.DeclarationSuspect,
			raises: func(s *sheet.Sheet) { s.Marks[0].At, s.Marks[1].At = -90, -100 },
			twin:   func(s *sheet.Sheet) { s.Marks[0].At, s.Marks[1].At = 0.5, -9.5 },
		},
		{
			code:   warning.ReadoutMoved,
			raises: func(s *sheet.Sheet) { setup(s).Closing = &trials(340.8, 20.8)[0] },
			twin:   func(s *sheet.Sheet) { setup(s).Closing = &trials(338.1, 22.1)[0] },
		},
		{
			code: warning.LineOrder,
			raises: func(s *sheet.Sheet) {
				s.Marks = append(s.Marks, sheet.Mark{Name: "fire 8", At: -8, Tolerance: 1})
				setup(s).Marks["fire 8"] = readings(sheet.Forward, 350.1, 350.0, 350.1)
			},
			twin: func(s *sheet.Sheet) {
				s.Marks = append(s.Marks, sheet.Mark{Name: "fire 8", At: -8, Tolerance: 1})
				setup(s).Marks["fire 8"] = readings(sheet.Forward, 350.4, 350.5, 350.4)
			},
		},
	} {
		t.Run(string(c.code), func(t *testing.T) {
			raised := func(edit func(*sheet.Sheet)) bool {
				s := plainSheet()
				edit(&s)
				result, err := audit.Run(s)
				if err != nil {
					t.Fatal(err)
				}
				return slices.ContainsFunc(result.Warnings, func(w warning.Warning) bool { return w.Code == c.code && (c.mark == "" || w.Mark == c.mark) })
			}
			if !raised(c.raises) {
				t.Error("not raised")
			}
			if raised(c.twin) {
				t.Error("raised by the twin too")
			}
		})
	}
}

func moveLines(s *sheet.Setup, by float64) {
	for _, m := range s.Marks {
		for i := range m {
			m[i].Value += geometry.Angle(by)
		}
	}
}

// A readout that moved looks like a slipped ring: nothing is decided and no
// instruction is given (method 1).
func TestAClosingPairThatDiffersUndoesEverything(t *testing.T) {
	s := plainSheet()
	s.Limits.Remount = angleLimit(0.05)
	for i := range s.Marks {
		s.Marks[i].Tolerance = 0.5
	}
	moveLines(&s.Setups[0], 1.5)
	s.Setups[0].Closing = &trials(340, 20)[0]
	before, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	if before.Together.Finding != lines.Common || !tells(before) {
		t.Fatalf("got %v, %+v, want a common shift with an instruction", before.Together.Finding, before.Advice.Together)
	}
	s.Setups[0].Closing = &trials(341.5, 21.5)[0]
	after, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	if got := after.TDC.Setups[0].Closing; got == nil || (*got-1.5).Abs() > 1e-9+0.01 {
		t.Errorf("got a closing difference of %v, want 1.5", got)
	}
	for _, m := range after.ByLine() {
		if m.Verdict != diagnosis.Undecided || m.Scribe.Withheld != advise.WithheldMoved || m.Scribe.Along != advise.NoWay {
			t.Errorf("%s: got %v, %+v, want undecided and withheld", m.Name, m.Verdict, m.Scribe)
		}
	}
	if after.Together.Finding != lines.Unknown || after.Advice.Together.Along != advise.NoWay {
		t.Errorf("got %v, %+v of the lines together, want nothing said", after.Together.Finding, after.Advice.Together)
	}
	for i, next := range audit.Next(after) {
		if next.Way != advise.Repeat {
			t.Errorf("%s: got %v for what to do next, want everything again", after.ByLine()[i].Name, next.Way)
		}
	}
}

// Two setups that differ are no verdict (method 4): a third is asked for.
func TestTwoSetupsThatDifferDecideNothing(t *testing.T) {
	s := plainSheet()
	s.Limits.Remount = angleLimit(0)
	s.Setups = append(s.Setups, plainSetup("2", 100))
	moveLines(&s.Setups[0], 3)
	moveLines(&s.Setups[1], 4)
	result, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	for i, next := range audit.Next(result) {
		m := result.ByLine()[i]
		if m.Verdict != diagnosis.Undecided || m.Covers != lines.Repeatability || m.Scribe.Worthwhile || next.Way != advise.ThirdSetup {
			t.Errorf("%s: got %v, %v, %v, want undecided and a third setup", m.Name, m.Verdict, m.Covers, next.Way)
		}
	}
	if tells(result) {
		t.Errorf("told to move something: %+v", result.Advice.Together)
	}
}
