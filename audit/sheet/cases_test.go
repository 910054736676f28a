package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

func mark(t *testing.T, s Sheet, name string) Mark {
	t.Helper()
	i := slices.IndexFunc(s.Marks, func(m Mark) bool { return m.Name == name })
	if i < 0 {
		t.Fatalf("no mark %s", name)
	}
	return s.Marks[i]
}

// Every word of the cases was carried over from its sheet by hand.
func TestCasesArrive(t *testing.T) {
	ring := mustRead(t, "ring.yaml")
	if !ring.Part.BondedRing || mark(t, ring, "TDC 2-5").On != "ring" || mark(t, ring, "keyway").On != "hub" {
		t.Errorf("ring.yaml: got %+v and %+v", ring.Part, ring.Marks)
	}
	if window := mustRead(t, "window.yaml"); window.Part.Moves != "left" || window.Part.BondedRing || window.Part.HalfSpeed {
		t.Errorf("window.yaml: got %+v", window.Part)
	}

	banks := mustRead(t, "banks.yaml")
	var cylinders []string
	for _, c := range banks.Engine.Cylinders {
		cylinders = append(cylinders, fmt.Sprintf("%s at %v", c.Name, c.TDC))
	}
	if got := strings.Join(cylinders, ", "); got != "1 at 0°, 2 at 90°, 3 at 180°, 4 at 270°" {
		t.Errorf("banks.yaml: got %s", got)
	}
	if s := banks.Setups; len(s) != 6 || s[1].Cylinder != "2" || s[0].Mounting != "A" || s[1].Mounting != "A" || s[2].Mounting != "B" || mark(t, banks, "10 of 2").Cylinder != "2" {
		t.Errorf("banks.yaml: got %+v", s)
	}

	both := mustRead(t, "bothways.yaml")
	if !both.Readout.BothWays || both.Readout.Counts != geometry.CountsUp {
		t.Errorf("bothways.yaml: got %+v", both.Readout)
	}
	for _, trial := range both.Setups[0].Trials {
		if f, b := trial.Forward, trial.Backward; !f.Lettered || !b.Lettered || f.Value >= 0 || b.Value <= 0 {
			t.Errorf("bothways.yaml: got contacts %v and %v, want one BTDC and one ATDC", f.Written(), b.Written())
		}
	}

	spacings := mustRead(t, "spacings.yaml").Part.Spacings
	want := []Spacing{
		{From: "1-6", To: "5-2", Chord: 156.3, Limit: geometry.Limit[geometry.Length]{Half: 0.15}},
		{From: "5-2", To: "3-4", Chord: 155.6, Limit: geometry.Limit[geometry.Length]{Half: 0.15}},
		{From: "1-6", To: "3-4", Teeth: 90},
	}
	if diff := cmp.Diff(want, spacings, cmpopts.IgnoreTypes(inputerror.Path(""))); diff != "" {
		t.Errorf("spacings.yaml differs (-want +got):\n%s", diff)
	}
	if depths := mustRead(t, "depths.yaml"); depths.Limits.Contact.Half != 0.08 {
		t.Errorf("depths.yaml: got %+v", depths.Limits)
	}
}

func TestDropsArrive(t *testing.T) {
	drops := mustRead(t, "drops.yaml")
	setup := drops.Setups[0]
	if drops.Limits.Slack.Half != 0.05 || setup.Method != EqualDrop || len(setup.Drops) != 3 || setup.Drops[1].Drop != 5 || setup.Drops[1].Taken != OneWay {
		t.Fatalf("drops.yaml: got %+v", setup)
	}
	for _, trial := range setup.Drops[1].Trials() {
		if trial.Forward.Approach != Forward || trial.Backward.Approach != Forward || !trial.Usable() {
			t.Errorf("drops.yaml: got %+v, want both approached forward", trial)
		}
	}
	piston := mustRead(t, "piston.yaml").Setups[2].Drops[0]
	if piston.Probe != 25 || piston.Taken != Rising || piston.Before[0].Approach != Forward || piston.After[0].Approach != Backward {
		t.Errorf("piston.yaml: got %+v", piston)
	}
	sweep := mustRead(t, "sweep.yaml")
	if s := sweep.Setups[0]; s.Method != Sweep || s.Sweep.Taken != OneWay || len(s.Sweep.Points) != 19 || s.Mounting != "A" {
		t.Fatalf("sweep.yaml: got %+v", s)
	}
	if sweep.Setups[1].Method != Stop || sweep.Setups[1].Mounting != "A" {
		t.Errorf("sweep.yaml: got %+v, want a stop in the same mounting", sweep.Setups[1])
	}
}

func TestStruckAndUnsaid(t *testing.T) {
	text := strings.Split(string(testkit.Read(t, "sheets/good/sweep.yaml")), "setups:")[0]
	read := func(setups string) Sheet {
		t.Helper()
		s, _, err := Read("x.yaml", []byte(text+setups), nil)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	d := read("setups:\n  - equal_drop:\n      - {drop: 0.04 in, before: [170, 171 struck bumped], after: [155, 154]}\n").Setups[0].Drops[0]
	if d.Drop != 1.016 || d.Taken != Unknown || d.Before[0].Approach != 0 || d.Trials()[1].Usable() || !d.Trials()[0].Usable() {
		t.Errorf("got %+v, want the second pair struck and no approach", d)
	}
	s := read("setups:\n  - sweep: {height: in, approach: rising, points: [[180, -0.1], [175 struck it slipped, 0], [170, 0.2], [165, 0.3], [160, 0.2], [150, -0.1]]}\n").Setups[0].Sweep
	if p := s.Points[1]; !p.Reading.Struck || p.Reading.Reason != "it slipped" || p.Reading.Value != 175 || s.Points[2].Height != 5.08 || s.Points[0].Height != -2.54 {
		t.Errorf("got %+v", s.Points)
	}
	if s.Taken != Rising || s.Points[0].Reading.Approach != 0 {
		t.Errorf("got %+v, want no approach of its own", s)
	}
}

// A tape lies along the rim: 360·L/(πD). Dividers span it: sin(a/2) = L/D.
func TestRimIsRead(t *testing.T) {
	s := mustRead(t, "rim.yaml")
	trial := s.Setups[0].Trials[0]
	f := trial.Forward
	if !s.Readout.Chord || s.Readout.Kind != Rim || !f.Measured || f.Length != -113.5 || f.Written() != "-113.5 mm" {
		t.Errorf("got %+v and %+v", s.Readout, f)
	}
	testkit.Near(t, "sine of half a chord", geometry.Angle(600*math.Sin(float64(f.Value)*math.Pi/360)), -113.5, 1e-12)
	// The longest chord that counts is 197.0 mm, the quarter turn does not: by bc, 0.5·(360/π)/√(600²−197²).
	testkit.Near(t, "step", s.Readout.Step, 0.101097624, 5e-10)
	testkit.Near(t, "65 mm rim", mark(t, s, "spark").At, -12.414085561, 5e-10) // 65·360/(600π), by bc
	testkit.Near(t, "3 mm rim", mark(t, s, "spark").Tolerance, 0.572957795, 5e-9)
	if at := mark(t, s, "spark").AtText; at != "65 mm rim BTDC" {
		t.Errorf("got %s", at)
	}

	half := mustRead(t, "half.yaml")
	if !half.Part.HalfSpeed || half.Readout.Chord {
		t.Errorf("got %+v", half)
	}
	// Twice 360/(250π) = 0.91673247 degrees a millimetre, by bc.
	testkit.Near(t, "step", half.Readout.Step, 0.45836624, 5e-8)
	testkit.Near(t, "24 mm rim", mark(t, half, "inject").At, -22.00157932, 5e-8)
	testkit.Near(t, "2 mm rim", mark(t, half, "inject").Tolerance, 1.83346494, 5e-8)
	for _, trial := range half.Setups[0].Trials {
		testkit.Near(t, "reading", trial.Backward.Value, geometry.Angle(float64(trial.Backward.Length)*0.916732472), 1e-6)
	}
}

// On a part of half the speed every length stands for twice the crank degrees.
func TestHalfSpeedDoublesLengths(t *testing.T) {
	half := testkit.Read(t, "sheets/good/half.yaml")
	full := []byte(strings.Replace(string(half), "turns: half", "# turns with the crank", 1))
	a, _, errA := Read("half.yaml", half, nil)
	b, _, errB := Read("full.yaml", full, nil)
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	for i, trial := range a.Setups[1].Trials {
		testkit.Near(t, "contact", trial.Forward.Value, 2*b.Setups[1].Trials[i].Forward.Value, 0)
	}
	testkit.Near(t, "nominal", mark(t, a, "inject").At, 2*mark(t, b, "inject").At, 0)
	testkit.Near(t, "tolerance", mark(t, a, "inject").Tolerance, 2*mark(t, b, "inject").Tolerance, 0)
	testkit.Near(t, "step", a.Readout.Step, 2*b.Readout.Step, 0)
}

func TestRimInACSV(t *testing.T) {
	sheet := strings.Split(string(testkit.Read(t, "sheets/good/rim.yaml")), "setups:")[0] + "readings: r.csv\n"
	csv := "setup;trial;item;approach;reading\n1;1;stop;forward;-113,5 mm\n1;1;stop;backward;161 mm\n1;;T;forward;0.96 in\n1;;spark;forward;0 mm\n"
	s, _, err := Read("rim.yaml", []byte(sheet), func(string) ([]byte, error) { return []byte(csv), nil })
	if err != nil {
		t.Fatal(err)
	}
	if f := s.Setups[0].Trials[0].Forward; f.Length != -113.5 || !f.Measured {
		t.Errorf("got %+v", f)
	}
	if r := s.Setups[0].Marks["T"][0]; math.Abs(float64(r.Length)-24.384) > 1e-12 {
		t.Errorf("got %+v, want 0.96 in", r)
	}
	if r := s.Setups[0].Marks["spark"][0]; r.Written() != "0 mm" {
		t.Errorf("got %s, want the chalk line itself", r.Written())
	}
}

// 40 BBDC counts from 180 after TDC, 40 piston BBDC from the piston's lowest
// point, in this engine at 183.3218 (testdata/reference/piston-bottoms.csv).
func TestEventsCountFromBottom(t *testing.T) {
	data := string(testkit.Read(t, "sheets/good/events.yaml"))
	s := mustRead(t, "events.yaml")
	for name, want := range map[string]struct {
		at   geometry.Angle
		text string
	}{
		"T": {0, "0"}, "EO": {140, "40 BBDC"}, "IC": {195, "15 ABDC"}, "IO": {-15, "15 BTDC"},
		"B": {183.3217868154692, "piston BDC"}, "port": {143.3217868154692, "40 piston BBDC"},
	} {
		m := mark(t, s, name)
		if testkit.Near(t, name, m.At, want.at, 1e-12); m.AtText != want.text {
			t.Errorf("%s: got %q, want %q", name, m.AtText, want.text)
		}
	}
	// Marks that count from the throw's top find the piston 3.6403 later.
	throw, _, err := Read("throw.yaml", []byte(strings.Replace(data, "  rod:", "  marks_refer_to: throw\n  rod:", 1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	testkit.Near(t, "piston BDC from the throw", mark(t, throw, "B").At, 183.3217868154692+3.640275875615252, 1e-12)
	testkit.Near(t, "40 BBDC from the throw", mark(t, throw, "EO").At, 140, 0)
}

// withMark is piston.yaml with its spark line given otherwise.
func withMark(t *testing.T, at, tolerance, engine string) Sheet {
	t.Helper()
	text := string(testkit.Read(t, "sheets/good/piston.yaml"))
	for _, f := range [][2]string{{"at: 1.8 mm piston BTDC", "at: " + at}, {"tolerance: 0.15 mm piston", "tolerance: " + tolerance}, {"  rod:", engine + "  rod:"}, {"\nengine:", "\nchecked: [tolerances]\nengine:"}} {
		if !strings.Contains(text, f[0]) {
			t.Fatalf("piston.yaml has no %q", f[0])
		}
		text = strings.Replace(text, f[0], f[1], 1)
	}
	s, _, err := Read("x.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Stroke 54, rod 110 (testdata/reference/piston-drops.csv, printed to 0.01).
func TestPistonDropsAreCrankAngles(t *testing.T) {
	for drop, want := range map[string]geometry.Angle{"1.0": 14.03, "1.5": 17.21, "1.8": 18.88, "2.0": 19.92, "2.5": 22.31, "3.0": 24.49} {
		m := mark(t, withMark(t, drop+" mm piston BTDC", "1", ""), "spark")
		if testkit.Near(t, drop, m.At, -want, 0.005); m.AtText != drop+" mm piston BTDC" || m.DropLimit != 0 || m.Early != 0 || m.Late != 0 {
			t.Errorf("got %+v", m)
		}
		testkit.Near(t, drop, mark(t, withMark(t, drop+" mm piston ATDC", "1", ""), "spark").At, want, 0.005)
	}
	// 1.8 ± 0.3 mm reaches from the angle of 1.5 to that of 2.1 mm: before TDC the
	// early side is the deeper one, after TDC the higher one.
	m := mark(t, withMark(t, "1.8 mm piston BTDC", "0.3 mm piston", ""), "spark")
	testkit.Near(t, "late", m.Late, 18.88-17.21, 0.01)
	if !(m.Early > 0 && m.Early < m.Late) || m.Tolerance != m.Early || m.Drop != 1.8 || m.DropLimit != 0.3 {
		t.Errorf("got %+v, want the deeper side to be the narrower", m)
	}
	after := mark(t, withMark(t, "1.8 mm piston ATDC", "0.3 mm piston", ""), "spark")
	testkit.Near(t, "early after TDC", after.Early, m.Late, 1e-12)
	testkit.Near(t, "late after TDC", after.Late, m.Early, 1e-12)
}

// The ends of the tolerance lie where the piston stands at the ends of the drop,
// on any crank, on either side of TDC, whatever the marks refer to.
func TestDropToleranceAgainstThePiston(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		drop := rapid.IntRange(20, 300).Draw(rt, "drop in hundredths")
		limit := rapid.IntRange(1, drop-1).Draw(rt, "limit in hundredths")
		offset := rapid.IntRange(-20, 20).Draw(rt, "offset in tenths")
		side := rapid.SampledFrom([]string{"BTDC", "ATDC"}).Draw(rt, "side")
		throw := rapid.Bool().Draw(rt, "throw")
		engine := fmt.Sprintf("  bore_offset: %.1f mm\n", float64(offset)/10)
		if throw {
			engine += "  marks_refer_to: throw\n"
		}
		s := withMark(t, fmt.Sprintf("%.2f mm piston %s", float64(drop)/100, side), fmt.Sprintf("%.2f mm piston", float64(limit)/100), engine)
		m := mark(t, s, "spark")
		crank, _ := s.Engine.Crank()
		at := m.At
		if throw {
			at -= crank.ThrowToTDC()
		}
		deep := m.Drop + m.DropLimit
		high := m.Drop - m.DropLimit
		early, late := deep, high
		if side == "ATDC" {
			early, late = high, deep
		}
		for _, c := range []struct {
			at   geometry.Angle
			want geometry.Length
		}{{at, m.Drop}, {at - m.Early, early}, {at + m.Late, late}} {
			// Drop is good to 1e-12 of the rod.
			if got := crank.Drop(c.at); math.Abs(float64(got-c.want)) > 1e-10 || (c.at < 0) != (side == "BTDC") {
				rt.Fatalf("%+v: %v at %v, want %v", m, got, c.at, c.want)
			}
		}
		if m.Tolerance != min(m.Early, m.Late) {
			rt.Fatalf("%+v: want the narrower side as tolerance", m)
		}
	})
}

// One cylinder on all needs no angles: there is nothing between them.
func TestOneCylinderOnAll(t *testing.T) {
	text := strings.NewReplacer("    cylinder: 2\n", "    cylinder: 1\n", "  cylinders: {1: 0, 2: 90, 3: 180, 4: 270}\n", "").Replace(string(testkit.Read(t, "sheets/good/banks.yaml")))
	if _, _, err := Read("x.yaml", []byte(text), nil); err != nil {
		t.Errorf("got %v, want no fault", err)
	}
}

// What only a program can get wrong.
func TestCheckCases(t *testing.T) {
	for _, c := range []struct {
		sheet, name string
		change      func(*Sheet)
		want        string
	}{
		{"banks.yaml", "cylinder without a name", func(s *Sheet) { s.Engine.Cylinders[1].Name = "" }, "engine.cylinders: found a cylinder without a name"},
		{"banks.yaml", "cylinder twice", func(s *Sheet) { s.Engine.Cylinders[1].Name = "1" }, "found a second time"},
		{"banks.yaml", "cylinder at NaN", func(s *Sheet) { s.Engine.Cylinders[1].TDC = geometry.Angle(math.NaN()) }, "less than two turns"},
		{"bothways.yaml", "both ways and down", func(s *Sheet) { s.Readout.Counts = geometry.CountsDown }, "expected up with readout.numbered: both ways"},
		{"rim.yaml", "letters on a rim", func(s *Sheet) { s.Setups[0].Trials[0].Forward.Lettered = true }, "BTDC or ATDC on a rim"},
		{"drops.yaml", "no drop", func(s *Sheet) { s.Setups[0].Drops[0].Drop = 0 }, "found 0 mm, expected a length above zero"},
		{"drops.yaml", "no rod", func(s *Sheet) { s.Engine.Rod = 0 }, "found a drop without stroke and rod"},
		{"drops.yaml", "probe at NaN", func(s *Sheet) { s.Setups[0].Drops[0].Probe = geometry.Angle(math.NaN()) }, "equal_drop[0].probe_angle: found NaN"},
		{"drops.yaml", "reading at NaN", func(s *Sheet) { s.Setups[0].Drops[0].Before[0].Value = geometry.Angle(math.NaN()) }, "at most a million"},
		{"drops.yaml", "closing", func(s *Sheet) { s.Setups[0].Closing = &Trial{} }, "closing: found with equal_drop"},
		{"drops.yaml", "counting down", func(s *Sheet) { s.Readout.Counts, s.Readout.QuarterTurn = geometry.CountsDown, nil }, "so do all 27 pairs"},
		{"drops.yaml", "unfinished", func(s *Sheet) { s.Setups[0].Drops[0].After = nil }, ""},
		{"sweep.yaml", "no stroke", func(s *Sheet) { s.Engine.Stroke = 0 }, "found a sweep without stroke and rod"},
		{"sweep.yaml", "height at infinity", func(s *Sheet) { s.Setups[0].Sweep.Points[0].Height = geometry.Length(math.Inf(1)) }, "found a height of +Inf mm"},
		{"sweep.yaml", "unfinished", func(s *Sheet) { s.Setups[0].Sweep.Points = s.Setups[0].Sweep.Points[:1] }, ""},
		{"piston.yaml", "early side at NaN", func(s *Sheet) { s.Marks[1].Early = geometry.Angle(math.NaN()) }, "marks[1].tolerance: found NaN"},
		{"piston.yaml", "negative drop", func(s *Sheet) { s.Marks[1].Drop = -1 }, "marks[1].at: found a drop of -1 mm"},
		{"spacings.yaml", "line without partner", func(s *Sheet) { s.Part.Spacings[0].To = "" }, "part.spacings[0].to: found nothing"},
		{"spacings.yaml", "chord at NaN", func(s *Sheet) { s.Part.Spacings[0].Chord = geometry.Length(math.NaN()) }, "cannot be longer than the diameter"},
		// 180.0 ± 0.1 mm: dividers with ± 0.15 mm may show up to 180.25 across the middle.
		{"spacings.yaml", "chord above the diameter, within the limits", func(s *Sheet) { s.Part.Spacings[0].Chord = 180.24 }, ""},
		{"spacings.yaml", "chord beyond the limits", func(s *Sheet) { s.Part.Spacings[0].Chord = 180.26 }, "found 180.26 mm ± 0.15 mm, and a chord cannot be longer than the diameter of 180.0 ± 0.1 mm"},
		{"spacings.yaml", "neither chord nor teeth", func(s *Sheet) { s.Part.Spacings[0].Chord = 0 }, "part.spacings[0].chord: missing"},
	} {
		t.Run(c.sheet+" "+c.name, func(t *testing.T) {
			s := mustRead(t, c.sheet)
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
