package words

import (
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Every order says first what is true from any side, then the way as one sees it;
// one length along the rim, and the chord as its check with why it is less. The
// chord of 20 degrees on 100 mm is 100 sin 10° = 17.36 mm, the arc 17.45 mm.
func TestAnOrderSaysTowardsWhichLineFirst(t *testing.T) {
	s := advise.Scribe{Along: advise.Against, Rotation: geometry.Clockwise, Towards: "T", Angle: 20, Arc: 17.453, Chord: 17.365, HasLengths: true, Worthwhile: true}
	bare := s
	bare.Towards = ""
	ahead := bare
	ahead.Along, ahead.Rotation = advise.Running, geometry.Anticlockwise
	past := s
	past.Past = true
	degrees := s
	degrees.HasLengths = false
	for _, c := range []struct {
		name   string
		scribe advise.Scribe
		moves  string
		want   []string // in this order
		never  string
	}{
		{"a line", s, "", []string{"17.45 mm TOWARDS line “T”, along the rim", "As you look at the marks, that is CLOCKWISE of the old one: back, against the way it runs.", "dividers span 17.36 mm", "less because they go straight across"}, "past"},
		{"past a line", past, "", []string{"TOWARDS line “T” and past it, along the rim", "CLOCKWISE"}, ""},
		{"no line, back", bare, "", []string{"17.45 mm BACK, against the way it runs, along the rim", "that is CLOCKWISE of the old one. "}, "TOWARDS"},
		{"no line, ahead", ahead, "", []string{"17.45 mm AHEAD, the way the engine runs, along the rim", "that is ANTICLOCKWISE of the old one. "}, "TOWARDS"},
		{"in a window", bare, "left", []string{"BACK", "that is CLOCKWISE of the old one, RIGHT in the window. "}, ""},
		{"no diameter", degrees, "", []string{"TOWARDS line “T”.", "that is CLOCKWISE of the old one: back, against the way it runs. Add part.diameter"}, "along the rim"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := NewAudit(audit.Result{Sheet: sheet.Sheet{Part: sheet.Part{MarksOn: sheet.OnPart, Diameter: 100, Moves: c.moves}}}, nil)
			line := lines.Line{Mark: sheet.Mark{Name: "fire"}, Offset: &uncertainty.Estimate{Value: -20, Expanded: 0.4, Known: true}}
			got := v.Scribe(audit.LineResult{Line: line, Scribe: c.scribe})
			rest := got
			for _, want := range c.want {
				_, after, found := strings.Cut(rest, want)
				if !found {
					t.Fatalf("%q is not said, or not in its place, in: %s", want, got)
				}
				rest = after
			}
			if c.never != "" && strings.Contains(got, c.never) {
				t.Errorf("says %q: %s", c.never, got)
			}
		})
	}
}

// The check names two lines, or the line that passes, and adds the tape where there
// is a diameter: pi times 158 mm is 496.37 mm, 19.54 in. A steel tape is 0.2 mm thick
// at most (common practice, no source) and adds pi times that, 0.63 mm, to the limit.
func TestTheCheckInWords(t *testing.T) {
	two := advise.EyeCheck{From: "T", To: "fire", Rotation: geometry.Anticlockwise}
	taped := two
	taped.Round = 496.372
	limited := taped
	limited.RoundLimit.Half = 0.628
	alone := advise.EyeCheck{Passes: "fire", Rotation: geometry.Clockwise}
	for _, c := range []struct {
		name  string
		check advise.EyeCheck
		part  sheet.Part
		want  string
	}{
		{"two lines", two, sheet.Part{}, "as you look at the marks, the shorter way round from line “T” to line “fire” goes anticlockwise. If not, stop: the sheet is wrong"},
		{"with a tape", taped, sheet.Part{}, "as you look at the marks, the shorter way round from line “T” to line “fire” goes anticlockwise. A tape once round the rim shows 496 ± 15 mm (the diameter has no ±). If either is not so, stop: the sheet is wrong"},
		{"with limits, in inches", limited, sheet.Part{Unit: geometry.Inch}, "as you look at the marks, the shorter way round from line “T” to line “fire” goes anticlockwise. A tape once round the rim shows 19.54 ± 0.05 in (496.4 ± 1.3 mm). If either is not so, stop: the sheet is wrong"},
		{"one line", alone, sheet.Part{MarksOn: sheet.OnPart}, "as you look at the marks, turn the engine the way it runs: line “fire” passes the pointer moving clockwise, and the pointer stands still. If not, stop: the sheet is wrong"},
		{"a scale in a window", alone, sheet.Part{MarksOn: sheet.OnEngine, Moves: "up"}, "as you look at the marks, turn the engine the way it runs: the turning line passes the scale moving clockwise, up in the window, and the scale stands still. If not, stop: the sheet is wrong"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := NewAudit(audit.Result{Sheet: sheet.Sheet{Part: c.part}, Advice: advise.Advice{Check: c.check}}, nil)
			if got := v.Check(); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}
