package sheet

import (
	"strings"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// What was entered is kept to the letter, in the order of the sheet, and only of
// numbers and sizes.
func TestWhatWasEnteredIsKept(t *testing.T) {
	s, _, err := Read("x.yaml", []byte(`title: 12 mm
part: {circumference: 22 3/8 in, marks_on: part, sighting: +/- 20 thou}
engine: {turns: clockwise, rod: 5 in, stroke: 76.20 mm, pin_offset: "± 0.030 in"}
readout: {kind: rim, measured: tape, step: 1/8 in, counts: up}
limits: {tolerance: 0.50, remount: ± 0.10}
marks: [{name: T, at: "10°30' BTDC"}]
setups:
  - stop: {forward: [-4 1/2 in, "-114.30 mm struck  slipped "], backward: ['4.5"', 4.50 in]}
    marks: {T: [2.50 in, 0.0635 m]}
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, said := range s.Stated {
		all = append(all, string(said.Path)+"="+said.Text)
	}
	const want = `part.circumference=22 3/8 in; part.sighting=+/- 20 thou; engine.rod=5 in; engine.stroke=76.20 mm; engine.pin_offset=± 0.030 in; ` +
		`readout.step=1/8 in; limits.tolerance=0.50; limits.remount=± 0.10; marks[0].at=10°30' BTDC`
	if got := strings.Join(all, "; "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if s.Said("engine.rod") != "5 in" || s.Said("engine.bore_offset") != "" {
		t.Error("what stands at a path is not what was said")
	}
	f, line := s.Setups[0].Trials, s.Setups[0].Marks["T"]
	for _, c := range []struct {
		r                  *Reading
		written, converted string
	}{
		{f[0].Forward, "-4 1/2 in", "-114.30 mm"},
		{f[1].Forward, "-114.30 mm", ""},
		{f[0].Backward, `4.5"`, "114.30 mm"},
		{f[1].Backward, "4.50 in", "114.30 mm"},
		{&line[0], "2.50 in", "63.50 mm"},
		{&line[1], "0.0635 m", "63.50 mm"},
	} {
		if c.r.Written() != c.written || c.r.Converted() != c.converted {
			t.Errorf("got %q and %q, want %q and %q", c.r.Written(), c.r.Converted(), c.written, c.converted)
		}
	}
	again, _, err := Read("y.yaml", []byte(Write(s)), nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range again.Setups[0].Marks["T"] {
		if r.Written() != line[i].Written() || r.Length != line[i].Length {
			t.Errorf("written and read again: %q", r.Written())
		}
	}
}

// A reading that a program changed is not shown as what it was.
func TestAChangedReadingIsNotAsEntered(t *testing.T) {
	r := Reading{Value: 338.5, Text: "338.50"}
	if r.Written() != "338.50" {
		t.Errorf("got %q", r.Written())
	}
	r.Value = 12.5
	if r.Written() != "12.5°" || r.Converted() != "" {
		t.Errorf("got %q", r.Written())
	}
	r = Reading{Value: -12.5, Lettered: true, Text: "12°30' BTDC"}
	if r.Written() != "12°30' BTDC" || r.Converted() != "12.50° BTDC" {
		t.Errorf("got %q, %q", r.Written(), r.Converted())
	}
}

// A file with semicolons keeps its comma for the eye.
func TestADecimalCommaIsKept(t *testing.T) {
	s := mustRead(t, "spreadsheet.yaml")
	commas := 0
	for _, trial := range s.Setups[0].Trials {
		if trial.Forward != nil && strings.Contains(trial.Forward.Written(), ",") {
			commas++
		}
	}
	if commas == 0 || !strings.Contains(string(testkit.Read(t, "sheets/good/spreadsheet.csv")), ",") {
		t.Error("no reading is shown with the comma that it was entered with")
	}
	if r := (Reading{Value: 338.5, Text: "338,5"}); r.Written() != "338,5" || valueText(r) != "338.5" {
		t.Errorf("shown as %q, written as %q", r.Written(), valueText(r))
	}
}

// By hand: 22 3/8 in is 22.375·25.4 = 568.325 mm, 20 thou 0.508 mm; 12°30'20" is
// 12 + 30/60 + 20/3600 degrees.
func TestConverted(t *testing.T) {
	for text, want := range map[string]string{
		"22 3/8 in": "568.33 mm", "26.00 ± 0.02 in": "660.40 ± 0.508 mm", "± 20 thou": "± 0.508 mm", "9.2 cm": "92.00 mm", "0.5 in to thrust side": "12.70 mm",
		"12°30'": "12.50°", `12°30'20" BTDC`: "12.51° BTDC", "0.1 in piston": "2.54 mm", "1/4 in rim BTDC": "6.35 mm", "1/2 in piston ATDC": "12.70 mm", "9,2 cm": "92.00 mm",
		"92 mm": "", "158.0 ± 0.2 mm": "", "12.5": "", "10 BTDC": "", "0.95": "", "± 0.10": "", "hello": "", "": "",
	} {
		if got := Converted(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

// Reading a text again gives its value to the bit: nothing is lost in between.
func FuzzEntered(f *testing.F) {
	for _, text := range []string{"338.50", "12°30'20\"", "4 1/2 in", "10° BTDC", "-0.1", "40 thou", "1e3", "9,5"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if v, letters, err := geometry.ParseAngle(text); err == nil {
			if r := (Reading{Value: v, Lettered: letters != geometry.NoLetters, Text: text}); text != "" && r.Written() != text {
				t.Errorf("got %q for %q", r.Written(), text)
			}
		}
		if l, _, err := geometry.ParseLength(text); err == nil {
			if r := (Reading{Measured: true, Length: l, Text: text}); r.Written() != text {
				t.Errorf("got %q for %q", r.Written(), text)
			}
		}
		_ = Converted(text)
	})
}
