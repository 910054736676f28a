package sheet

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

func mustRead(t testing.TB, name string) Sheet {
	t.Helper()
	s, _, err := Read(name, testkit.Read(t, "sheets/good/"+name), testkit.Beside(t, "sheets/good"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestGoodSheets(t *testing.T) {
	for _, path := range testkit.Files(t, "sheets/good/*.yaml") {
		if _, _, err := Read(path, testkit.Read(t, path), testkit.Beside(t, "sheets/good")); err != nil {
			t.Errorf("got %v, want no error", err)
		}
	}
}

func forward(path inputerror.Path, values ...geometry.Angle) (all []Reading) {
	for i, v := range values {
		all = append(all, Reading{Value: v, Approach: Forward, Path: inputerror.Path(fmt.Sprintf("%s[%d]", path, i))})
	}
	return all
}

func backward(path inputerror.Path, values ...geometry.Angle) []Reading {
	all := forward(path, values...)
	for i := range all {
		all[i].Approach = Backward
	}
	return all
}

// asEntered leaves out what was entered, where values are compared; said_test.go
// looks at it.
var asEntered = cmp.Options{
	cmpopts.IgnoreFields(Sheet{}, "Stated"), cmpopts.IgnoreFields(Reading{}, "Text"), cmpopts.IgnoreFields(Drop{}, "Text"), cmpopts.IgnoreFields(Point{}, "Text"),
}

// Every value was carried over from full-mm.yaml by hand.
func TestEveryValueArrives(t *testing.T) {
	f := forward("setups[0].stop.forward", 20.25, 20.5, 21)
	f[2].Struck, f[2].Reason = true, "wrench slipped"
	b := backward("setups[0].stop.backward", 340, 340.25, 340)
	one := forward("setups[0].marks.1-6", 0.25, 0.5, 0)
	one[1].Struck, one[1].Reason = true, "hit the wheel"
	quarter := forward("readout.quarter_turn", 100.25, 10)
	second := forward("setups[1].stop.forward", 110)
	back := backward("setups[1].stop.backward", -290.25)
	want := Sheet{
		Title: "Quarry pump, six cylinders", Job: "40-17", Date: "2026-02-03",
		Engine: Engine{
			Number: "010", Turns: geometry.Clockwise, Stroke: 76.2, Rod: 127,
			PinOffset:     geometry.Offset{Value: 0.508, Limit: geometry.Limit[geometry.Length]{Half: 0.127}},
			BoreOffset:    geometry.Offset{Value: -1.27},
			RefersToThrow: true,
		},
		Part: Part{
			Name: "front pulley", Number: "7-2", SeenFrom: "pulley end",
			Diameter: 177.8, DiameterLimit: geometry.Limit[geometry.Length]{Half: 0.254, K: 2},
			MarksOn: OnPart, BTDCLines: geometry.Clockwise, ReadAt: "leading edge",
			Sighting: geometry.Limit[geometry.Length]{Half: 0.254}, Teeth: 129,
		},
		Readout: Readout{
			Name: "wheel 2", Step: 0.25, Counts: geometry.CountsDown, QuarterTurn: &[2]Reading{quarter[0], quarter[1]},
			Diameter: 254, OffCentre: 0.254, LostMotion: 0.1, LostLimit: geometry.Limit[geometry.Angle]{Half: 0.05}, HasLostMotion: true,
		},
		Limits: Limits{
			Confidence: 0.9, DecideAt: 0.9, Remount: geometry.Limit[geometry.Angle]{Half: 0.1, K: 2},
			Contact: geometry.Limit[geometry.Length]{Half: 0.0508}, Placement: 0.127,
		},
		Marks: []Mark{
			{Name: "1-6", AtText: "0", Tolerance: 0.5, Path: "marks[0]"},
			{Name: "2026-01-01", At: -12.5, AtText: "12°30' BTDC", Tolerance: 1, Path: "marks[1]"},
			{Name: "yes", At: 120, AtText: "120 ATDC", Tolerance: 0.5, Path: "marks[2]"},
			{Name: "010", At: 4, AtText: "4 ATDC", Tolerance: 0.5, Path: "marks[3]"},
		},
		Setups: []Setup{
			{
				Name: "1", By: "Nora", Date: "2026-02-03", Note: "first day: cold", Path: "setups[0]",
				Trials: []Trial{{&f[0], &b[0]}, {&f[1], &b[1]}, {&f[2], &b[2]}},
				Closing: &Trial{
					&Reading{Value: 20.25, Approach: Forward, Path: "setups[0].closing.forward"},
					&Reading{Value: 340, Approach: Backward, Path: "setups[0].closing.backward"},
				},
				Marks: map[string][]Reading{
					"1-6": one,
					"2026-01-01": append(forward("setups[0].marks.2026-01-01.forward", 12.5, 12.75),
						Reading{Value: 12.5, Approach: Backward, Path: "setups[0].marks.2026-01-01.backward"}),
					"yes": {{Value: 240.25, Approach: Forward, Path: "setups[0].marks.yes"}},
					"010": backward("setups[0].marks.010.backward", 356, 356.25),
				},
			},
			{Name: "2", By: "Emil", Path: "setups[1]", Trials: []Trial{{&second[0], &back[0]}}},
		},
	}
	got := mustRead(t, "full-mm.yaml")
	if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(Sheet{}, "Digest"), asEntered); diff != "" {
		t.Errorf("full-mm.yaml differs (-want +got):\n%s", diff)
	}
	if got.Setups[0].Trials[2].Usable() || !got.Setups[0].Trials[1].Usable() {
		t.Error("striking one contact must strike its trial and no other")
	}
}

// An inch is 25.4 mm exactly (NIST SP 811, appendix B.8), so that the twins
// differ by no more than the rounding of a multiplication.
func TestInchesAreTheSameSheet(t *testing.T) {
	same := cmp.Options{
		cmp.Comparer(func(a, b geometry.Length) bool { return math.Abs(float64(a-b)) <= 1e-12*math.Abs(float64(a)) }),
		cmpopts.IgnoreTypes(geometry.Unit(0)), cmpopts.IgnoreFields(Sheet{}, "Digest"), asEntered,
	}
	mm, inches := mustRead(t, "full-mm.yaml"), mustRead(t, "full-inches.yaml")
	if diff := cmp.Diff(mm, inches, same); diff != "" {
		t.Errorf("the sheet in inches differs (-mm +inches):\n%s", diff)
	}
	if mm.Part.Unit != geometry.Millimetre || inches.Part.Unit != geometry.Inch {
		t.Errorf("got units %v and %v, want mm and in", mm.Part.Unit, inches.Part.Unit)
	}
}

func TestDefaults(t *testing.T) {
	s := mustRead(t, "deep-stop.yaml")
	if s.Limits.Confidence != 0.95 || s.Limits.Placement != 0.2 || s.Part.ReadAt != "centre" || s.Readout.Kind != Wheel || s.Engine.RefersToThrow || s.Readout.HasLostMotion {
		t.Errorf("got %+v, want the defaults of the contract", s)
	}
}

func TestSpreadsheet(t *testing.T) {
	s := mustRead(t, "spreadsheet.yaml")
	if len(s.Setups) != 2 || s.Setups[0].Name != "A" || s.Setups[1].Name != "B" || s.Setups[0].By != "Lea" {
		t.Fatalf("got %+v, want setups A by Lea and B", s.Setups)
	}
	a := s.Setups[0]
	if len(a.Trials) != 3 || a.Trials[0].Forward.Value != 340.5 || a.Trials[0].Backward.Value != 20.1 || a.Trials[1].Backward != nil || a.Trials[1].Usable() {
		t.Errorf("got trials %+v, want three, the second without its partner", a.Trials)
	}
	if f := a.Trials[2].Forward; !f.Struck || f.Reason != "pawl slipped" || a.Trials[2].Usable() {
		t.Errorf("got %+v, want it struck", f)
	}
	if f := a.Trials[0].Forward; f.Time != "2026-03-02T08:01:00+01:00" {
		t.Errorf("got time %q", f.Time)
	}
	if c := a.Closing; c == nil || c.Forward.Value != 340.6 || c.Backward.Value != 20.1 {
		t.Errorf("got closing %+v", c)
	}
	ten := a.Marks["10°"]
	if len(ten) != 2 || ten[0].Approach != Forward || ten[1].Approach != Backward || ten[1].Value != 350.3 || ten[1].Note != "two\nlines" {
		t.Errorf("got %+v, want a reading from each side", ten)
	}
	// 628.4 mm and 0.5 mm over π, by bc to 12 digits.
	if d := s.Part.Diameter; math.Abs(float64(d)-200.025932478) > 1e-9 || math.Abs(float64(s.Part.DiameterLimit.Half)-0.159154943092) > 1e-12 {
		t.Errorf("got diameter %v ± %v", d, s.Part.DiameterLimit.Half)
	}
}

func TestCSVPlaces(t *testing.T) {
	name := "shop/spreadsheet.yaml"
	s, p, err := Read(name, testkit.Read(t, "sheets/good/spreadsheet.yaml"), testkit.Beside(t, "sheets/good"))
	if err != nil {
		t.Fatal(err)
	}
	after := s.Setups[0].Trials[1].Forward // stands below a note of two lines
	got := p.Explain(inputerror.List{{Path: after.Path, Text: "x"}, {Path: s.Setups[1].Path + ".marks.TDC 1", Text: "y"}, {Path: "readout.counts", Text: "z"}}).Error()
	want := "shop/spreadsheet.yaml:10:11: readout.counts: z\nshop/spreadsheet.csv:9:1: reading: x\nshop/spreadsheet.csv:13:1: reading 10, marks.TDC 1: y"
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

func TestDigest(t *testing.T) {
	sum := sha256.Sum256(append(testkit.Read(t, "sheets/good/logger.yaml"), testkit.Read(t, "sheets/good/logger.csv")...))
	if got, want := mustRead(t, "logger.yaml").Digest, hex.EncodeToString(sum[:]); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// contractKeys are the keys of the contract that work now, typed again.
var contractKeys = strings.Fields(`format title job date engine number turns stroke rod pin_offset bore_offset
	marks_refer_to part name seen_from diameter circumference marks_on btdc_lines read_at sighting teeth readout kind
	step counts quarter_turn off_centre lost_motion limits tolerance confidence remount contact placement deep_stop decide_at
	marks at setups by note stop forward backward closing readings cylinders build moves spacings from to chord measured
	numbered slack on cylinder mounting equal_drop drop before after approach probe_angle sweep height points
	correction history fitting checked instruments what certificate due conditions temperature place photos file of sha256
	after_scribing scribed_by eye_check dividers read_again timing_light line agrees witness_line`)

func TestGoodSheetsUseEveryKey(t *testing.T) {
	var all strings.Builder
	for _, path := range testkit.Files(t, "sheets/good/*.yaml") {
		all.Write(testkit.Read(t, path))
	}
	for _, k := range contractKeys {
		if !regexp.MustCompile(`(?m)(^|[ {])` + k + `:`).MatchString(all.String()) {
			t.Errorf("no good sheet has the key %s", k)
		}
	}
}

func TestDemo(t *testing.T) {
	s, _, err := Read("demo.yaml", []byte(Demo()), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Marks) < 4 || len(s.Setups) < 3 || s.Part.BTDCLines == 0 || s.Readout.QuarterTurn == nil {
		t.Errorf("got %+v, want a sheet that shows the guards", s)
	}
}

// The blank sheet must ask for what is required and nothing else, and each of
// its examples must be one that can be read.
func TestBlank(t *testing.T) {
	blank := Blank()
	_, _, err := Read("blank.yaml", []byte(blank), nil)
	if err == nil {
		t.Fatal("got no error, want the keys to fill in")
	}
	for _, key := range []string{"engine.turns", "part.marks_on", "readout.step", "readout.counts", "limits.tolerance", "setup 1, stop", "setup 1, marks.TDC"} {
		if !strings.Contains(err.Error(), ": "+key+": ") {
			t.Errorf("the blank sheet does not ask for %s:\n%v", key, err)
		}
	}
	if n := strings.Count(err.Error(), "\nblank.yaml:") + 1; n != 7 {
		t.Errorf("got %d faults, want 7:\n%v", n, err)
	}
	for _, line := range strings.Split(blank, "\n") {
		if len([]rune(line)) > 80 {
			t.Errorf("longer than 80 columns: %s", line)
		}
	}
	for _, k := range contractKeys {
		if !regexp.MustCompile(`(?m)(^|[ {#])` + k + `:`).MatchString(blank) {
			t.Errorf("the blank sheet does not mention %s", k)
		}
	}

	filled := regexp.MustCompile(`#([a-zA-Z_]+:)`).ReplaceAllString(blank, "$1")
	for _, f := range [][2]string{
		{"turns: ", "turns: clockwise "},
		{"marks_on: ", "marks_on: part "},
		{"step: ", "step: 0.5 "},
		{"counts: ", "counts: up "},
		{"tolerance: ", "tolerance: 0.5 "},
		{"forward: []", "forward: [340.0]"},
		{"backward: []", "backward: [20.0]"},
		{"TDC: []", ""},
		{"circumference: 471.2 ± 0.5 mm", ""},
		{"readings: readings.csv", ""},
		{"name: wheel 1", "name: wheel 4"},
	} {
		if !strings.Contains(filled, f[0]) {
			t.Fatalf("the blank sheet has no %q", f[0])
		}
		filled = strings.Replace(filled, f[0], f[1], 1)
	}
	filled = strings.Replace(filled, "setups:", "  - {name: TDC 2, at: 90}\n\nsetups:", 1) // which the spacing names
	var correction bytes.Buffer
	if err := WriteCorrection(&correction, aCorrection()); err != nil {
		t.Fatal(err)
	}
	past := aHistory()
	past.Step = 0.5
	open := func(path string) ([]byte, error) {
		if strings.HasSuffix(path, ".history.json") {
			return []byte(historyText(t, past)), nil
		}
		return correction.Bytes(), nil
	}
	filled = strings.Replace(filled, "diameter: 250 mm", "diameter: 280 mm", 1) // of the corrected wheel
	if _, _, err := Read("filled.yaml", []byte(filled), open); err != nil {
		t.Errorf("with every # taken away: %v", err)
	}
	// The other ways to find TDC, and to read, stand in comments.
	stop := regexp.MustCompile(`(?s)    stop: .*?backward: \[20.0\][^\n]*\n`)
	closing := regexp.MustCompile(`    closing: .*\n`)
	for _, key := range []string{"equal_drop", "sweep"} {
		block := regexp.MustCompile(`    # ` + key + `:\n(    #   .*\n)+`).FindString(blank)
		if block == "" {
			t.Fatalf("the blank sheet shows no %s", key)
		}
		other := closing.ReplaceAllString(stop.ReplaceAllString(filled, regexp.MustCompile(`(?m)^    # `).ReplaceAllString(block, "    ")), "")
		if _, _, err := Read(key+".yaml", []byte(strings.Replace(other, "    fitting: A", "    #fitting: A", 1)), open); err != nil || !strings.Contains(other, "\n    "+key+":") {
			t.Errorf("with %s: %v\n%s", key, err, other)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	data := []byte(Demo())
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, _, err := Read("demo.yaml", data, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// What is only printed is kept as it was written, and is none of the result.
func TestPrintedOnly(t *testing.T) {
	text := "workshop: \"Hill Street: 2\"\ncustomer: Ferry Co\nissued: 2026-05-22\n" + Demo()
	s, _, err := Read("x.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	again, _, err := Read("y.yaml", []byte(Write(s)), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, got := range []Sheet{s, again} {
		if got.Workshop != "Hill Street: 2" || got.Customer != "Ferry Co" || got.Issued != "2026-05-22" {
			t.Errorf("got %q, %q, %q", got.Workshop, got.Customer, got.Issued)
		}
	}
	if _, _, err := Read("x.yaml", []byte(strings.Replace(text, "Ferry Co", "[a]", 1)), nil); err == nil {
		t.Error("a list is no customer")
	}
}
