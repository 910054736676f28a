package questions

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
)

// dialogues lead to the sheets of the same name that were written by hand: the
// answers as they would be typed, in the order in which they are asked, a ? for one
// that is left open. A key with a + is one of the rare questions.
var dialogues = []struct{ name, answers string }{
	{"pump", `
title: Brickworks pump, one-cylinder diesel
carries: flywheel
seen-from: the flywheel end
turns: Anticlockwise
readout: wheel
btdc-lines: anticlockwise
step: 0.5
numbered: round
quarter-turn: 31 120,5
lines: TDC
lines: inject 23 at 23 btdc
lines: that is all
tolerance: 1.0
rim: across 520 ± 1 mm
ring: no
cylinders: one
window: no
backward: yes
stop: yes
+stroke: 120 mm
+rod: 230 mm
+sighting: ± 0,5 mm
+readout-diameter: 280 mm
+off-centre: 0.3 mm
+contact: ± 0.05 mm`},
	{"window", `
title: Line inspection car, flat twin
carries: scale
seen-from: flywheel end
turns: anticlockwise
readout: wheel
btdc-lines: ?
step: 0.5
numbered: all round from 0
quarter-turn: 200.0 then 110.5
lines: T at 0
lines: B at 180 ATDC
lines: all
tolerance: 0.5 degrees
rim: ACROSS 310 ± 1 mm
ring: no
cylinders: one
window: left
backward: yes
stop: yes
+part-name: flywheel behind the window
+stroke: 62 mm
+rod: 125 mm
+sighting: ± 0.4 mm
+readout-name: wheel at the other end of the crank
+readout-diameter: 280 mm
+off-centre: 0.3 mm
+contact: ± 0.04 mm`},
	{"rim", `
title: Threshing set, one cylinder, spoked flywheel
carries: flywheel
seen-from: flywheel end
turns: clockwise
readout: chord
btdc-lines: clockwise
rim: across 600 ± 1 mm
step: 0.5 mm
quarter-turn: 14.0 mm then 434.0 mm
lines: T at TDC
lines: spark at 65 mm rim BTDC
lines: all
tolerance: 3 mm rim
ring: no
cylinders: one
window: no
backward: yes
stop: two-stroke
+stroke: 140 mm
+rod: 290 mm
+sighting: ± 0.5 mm
+readout-name: dividers and rule, from a chalk line on the rim
+contact: ± 0.1 mm
+placement: 0.5 mm`},
	{"bothways", `
title: Orchard sprayer, twin with a wheel numbered both ways
carries: pulley
seen-from: fan end
turns: clockwise
readout: wheel
btdc-lines: clockwise
step: 0.5
numbered: both ways
quarter-turn: 38.5 btdc, 51.0 atdc
lines: T = 0
lines: spark 15 at 15 BTDC
lines: T 2 at BDC
lines: all
tolerance: 1.0
rim: across 140.0 ± 0.2 mm
ring: no
cylinders: one
window: no
backward: yes
stop: yes
+part-name: fan pulley
+stroke: 70 mm
+rod: 120 mm
+sighting: ± 0.2 mm
+readout-name: old school wheel, 0 to 180 to each side
+readout-diameter: 230 mm
+off-centre: 0.2 mm
+contact: ± 0.04 mm`},
	{"ring", `
title: Harbour launch, six-cylinder petrol engine
carries: pulley
seen-from: pulley end
turns: clockwise
readout: wheel
btdc-lines: clockwise
step: 0.5
numbered: round
quarter-turn: 128; 217,5
lines: TDC 1-6 at TDC
lines: fire 8 at 8 BTDC
lines: TDC 2-5 at 120 ATDC
lines: keyway at 0
lines: hub line at 120 ATDC
lines: all
tolerance: 1.0
rim: across 165.0 ± 0.2 mm
ring: yes
line-1-on: ring
line-2-on: ring
line-3-on: ring
line-4-on: hub
line-5-on: on the hub
cylinders: one
window: no
backward: yes
stop: yes
+job: 26-112
+engine-number: L 660
+part-name: front pulley with a ring on rubber
+stroke: 84 mm
+rod: 140 mm
+sighting: ± 0.2 mm
+readout-name: wheel 3
+readout-diameter: 280 mm
+off-centre: 0.2 mm
+remount: ± 0.15
+contact: ± 0.04 mm`},
	{"banks", `
title: Fire pump, V engine with two banks
carries: pulley
seen-from: pulley end
turns: clockwise
readout: wheel
btdc-lines: clockwise
step: 0.25
numbered: round
quarter-turn: 12 102.5
lines: TDC 1 at 0
lines: 10 of 1 at 10 BTDC
lines: TDC 2 at 0
lines: 10 of 2 at 10 BTDC
lines: all
tolerance: 0.75
rim: across 172.0 ± 0.2 mm
ring: no
cylinders: 1 at 0; 2 at 90; 3 at 180; 4 at 270
line-1-cylinder: 1
line-2-cylinder: cylinder 1
line-3-cylinder: 2
line-4-cylinder: 2
window: no
backward: yes
stop: yes
+part-name: pulley, with the tab bolted to the front cover
+stroke: 88 mm
+rod: 150 mm
+sighting: ± 0.3 mm
+readout-name: wheel 1
+readout-diameter: 280 mm
+off-centre: 0.2 mm
+contact: ± 0.04 mm`},
	{"piston", `
title: Winch two-stroke, timed by piston travel
carries: other
seen-from: magneto side
turns: clockwise
half-speed: with the crank
readout: wheel
btdc-lines: clockwise
step: 0.25
numbered: round
quarter-turn: 77 167
lines: T at 0
lines: spark at 1,8 mm piston BTDC
lines: all
tolerance: 1.0
rim: across 92.0 ± 0.2 mm
ring: no
cylinders: one
window: no
backward: yes
stop: no stop fits
stroke: 54 mm
rod: 110 mm
+part-name: magneto rotor
+line-2-tolerance: 0.15 mm piston
+sighting: ± 0.2 mm
+readout-name: wheel 5
+readout-diameter: 180 mm
+off-centre: 0.1 mm
+contact: ± 0.02 mm`},
	{"half", `
title: Dairy diesel, lines on the camshaft gear
carries: other
seen-from: gear end
turns: anticlockwise
half-speed: half
readout: tape
btdc-lines: anticlockwise
rim: across 250.0 ± 0.5 mm
step: 0.5 mm
quarter-turn: 13.0 mm, 112.5 mm
lines: T at TDC
lines: inject at 24 mm rim BTDC
lines: all
tolerance: 2.0
ring: no
cylinders: one
window: no
backward: yes
stop: yes
+part-name: camshaft gear
+line-2-tolerance: 2 mm rim
+teeth: 96
+stroke: 120 mm
+rod: 220 mm
+sighting: ± 0.2 mm
+readout-name: tape on the gear's rim
+contact: ± 0.05 mm`},
	{"spacings", `
title: Road roller six, lines checked with dividers
carries: other
seen-from: flywheel end
turns: clockwise
half-speed: with the crank
readout: wheel
btdc-lines: clockwise
step: 0.25
numbered: round
quarter-turn: 66 156.25
lines: 1-6 at 0
lines: 5-2 at 120 ATDC
lines: 3-4 at 240 ATDC
lines: all
tolerance: 0.75
rim: across 180.0 ± 0.1 mm
ring: no
cylinders: one
window: no
backward: yes
stop: yes
+part-name: flywheel rim
+stroke: 80 mm
+rod: 136 mm
+sighting: ± 0.2 mm
+teeth: 135
+spacing: 1-6 to 5-2: 156.3 ± 0.15 mm
+spacing: from 5-2 to 3-4 = 155,6 ± 0.15 mm
+spacing: 1-6, 3-4, 90.0 teeth
+readout-name: wheel 4
+readout-diameter: 280 mm
+off-centre: 0.2 mm
+contact: ± 0.04 mm`},
	{"drops", `
title: Irrigation diesel that must not be turned back
carries: flywheel
seen-from: flywheel end
turns: anticlockwise
readout: wheel
btdc-lines: anticlockwise
step: 0.25
numbered: round
quarter-turn: 212 302.25
lines: T at 0
lines: inject 20 at 20 BTDC
lines: all
tolerance: 1.0
rim: across 420 ± 0.5 mm
ring: no
cylinders: one
window: no
backward: no
stroke: 110 mm
rod: 210 mm
+sighting: ± 0.3 mm
+readout-name: wheel on the pump drive
+readout-diameter: 280 mm
+off-centre: 0.2 mm
+lost-motion: 0.2 ± 0.1
+slack: ± 0.05 mm`},
}

// Every dialogue gives the sheet that was written by hand, and with its readings
// the same result. The words on the way are a golden.
func TestDialogues(t *testing.T) {
	for _, d := range dialogues {
		t.Run(d.name, func(t *testing.T) {
			i := Begin()
			var told strings.Builder
			next, more := i.Next("")
			for line := range strings.Lines(strings.TrimSpace(d.answers)) {
				key, answer, _ := strings.Cut(strings.TrimSpace(line), ": ")
				q, _ := i.Question(strings.TrimPrefix(key, "+"))
				if !strings.HasPrefix(key, "+") && (!more || next.Key != key) {
					t.Fatalf("asked %q, want %q", next.Key, key)
				}
				if answer == "?" {
					fmt.Fprintf(&told, "%s\n(left open) %s\n\n", q.Ask, q.Without)
					next, more = i.Behind(q.Key)
					continue
				}
				after, said, err := i.Answer(q.Key, answer)
				if err != nil {
					t.Fatalf("%s: %v", key, err)
				}
				fmt.Fprintf(&told, "%s\n> %s\n%s\n\n", q.Ask, answer, said.Text)
				if i = after; !q.Rare {
					next, more = i.Next(q.Key)
				}
			}
			if !i.Ready() || more {
				t.Fatalf("not ready: open %v, faults %v", i.Open(), i.faults)
			}
			for _, s := range i.Statements() {
				told.WriteString(s.Text + "\n")
			}
			testkit.Golden(t, "questions/"+d.name+".txt", told.String()+"\n"+string(i.Sheet()))

			byHand := string(testkit.Read(t, "sheets/good/"+d.name+".yaml"))
			_, setups, _ := strings.Cut(byHand, "\nsetups:")
			got := mustAudit(t, string(i.Sheet())+"\nsetups:"+setups)
			want := mustAudit(t, byHand)
			ignored := cmp.Options{cmpopts.IgnoreFields(sheet.Sheet{}, "Digest", "Stated"), cmpopts.IgnoreFields(sheet.Mark{}, "AtText")}
			if diff := cmp.Diff(want.Sheet, got.Sheet, ignored); diff != "" {
				t.Errorf("the sheet is another (-by hand +by questions):\n%s", diff)
			}
			if diff := cmp.Diff(fmt.Sprint(want.Lines), fmt.Sprint(got.Lines)); diff != "" && d.name != "bothways" && d.name != "window" { // those say 180 in other words
				t.Errorf("the result is another:\n%s", diff)
			}
		})
	}
}

func mustAudit(t *testing.T, text string) audit.Result {
	t.Helper()
	s, _, err := sheet.Read("a.yaml", []byte(text), nil)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// typedOften are answers as they may come to any question, right and wrong.
var typedOften = []string{
	"yes", "no", "clockwise", "anticlockwise", "pulley", "scale", "wheel", "encoder", "tape", "chord", "round", "both ways", "one", "all", "left", "ring", "hub", "remove", "half",
	"0.5", "0,25", "1 mm", "1/16 in", "12 102", "102 then 12", "12 then 190", "26 BTDC then 64 ATDC", "14 mm then 140 mm", "14.0 mm, 434 mm",
	"TDC", "TDC at 0", "1-6", "inject 23 at 23 BTDC", "spark at 1.8 mm piston BTDC", "s2 at 65 mm rim BTDC", "B at 40 BBDC", "P at piston BDC", "23 BTDC", "10", "stop at 4 BTDC", "a: b # c at 3 ATDC",
	"3 mm rim", "0.15 mm piston", "1.0", "40", "across 158,0 ± 0.2 mm", "round 22 3/8 in", "across 6 1/4\"", "158", "± 0.3 mm", "± 0.10", "0.10 ± 0.05",
	"1 at 0; 6 at 90", "1 0, 2 180", "1 at 90", "92 mm", "150 mm", "0.95", "leading edge", "120", "0.5 mm to thrust side", "wheel 2", "2026-02-31", "x.json", "true", "",
	"- [", "'", "\"", "#", "{a: b}", "null", "line\nbreak", "Kühler ± 3°", "a\u200bb", strings.Repeat("long ", 60),
}

// Whatever is answered, the sheet reads without a fault, or every fault is a
// question that is named as open and keeps recording shut; and what was answered
// is read from the sheet again.
func TestAnyAnswersGiveASheetOrAnOpenQuestion(t *testing.T) {
	taken, ready := 0, 0
	for seed := range uint64(18) {
		draw := rand.New(rand.NewPCG(seed, 16))
		i := Begin()
		for range 45 {
			wild := draw.IntN(10) < int(seed%3)*3 // of three persons one answers what is asked
			due := append(i.Open(), i.More()...)
			q := due[0]
			answer := q.Example
			if len(q.Choices) > 0 && (answer == "" || q.Key == linesKey && i.marks() > 0) {
				answer = q.Choices[0].Value
			}
			if wild || answer == "" {
				q = due[draw.IntN(len(due))]
				answer = typedOften[draw.IntN(len(typedOften))]
				if len(q.Choices) > 0 && draw.IntN(2) > 0 {
					answer = q.Choices[draw.IntN(len(q.Choices))].Value
				}
			}
			after, said, err := i.Answer(q.Key, answer)
			if err != nil {
				if string(after.Sheet()) != string(i.Sheet()) {
					t.Fatalf("seed %d: %s: %q was refused and changed the sheet", seed, q.Key, answer)
				}
				continue
			}
			taken++
			if said.Text == "" && !q.Rare {
				t.Fatalf("seed %d: %s: nothing is said back to %q:\n%s", seed, q.Key, answer, after.Sheet())
			}
			again, err := Read("again", after.Sheet(), nil)
			if err != nil {
				t.Fatalf("seed %d: %s: %q: %v\n%s", seed, q.Key, answer, err, after.Sheet())
			}
			if faults := again.Faults(); len(faults) > 0 {
				t.Fatalf("seed %d: %s: %q: %v\n%s", seed, q.Key, answer, faults, after.Sheet())
			}
			shut := slices.ContainsFunc(again.Open(), func(q Question) bool { return q.Needed == Recording })
			if again.Ready() == shut {
				t.Fatalf("seed %d: %s: %q: ready %v, and a needed question is open: %v\n%v\n%s", seed, q.Key, answer, again.Ready(), shut, again.faults, after.Sheet())
			}
			if !slices.Equal(again.Statements(), after.Statements()) {
				t.Fatalf("seed %d: %s: %q: what is read back differs", seed, q.Key, answer)
			}
			if i = after; i.Ready() {
				ready++
			}
		}
	}
	t.Logf("%d answers taken, after %d of them the sheet was ready", taken, ready)
	if taken < 500 || ready < 50 {
		t.Errorf("%d answers taken, %d sheets ready: too few to say anything", taken, ready)
	}
}

// No question fills in an answer: a key skipped is a key that is not on the sheet.
func TestSkippedIsOpen(t *testing.T) {
	q, more := Begin().Next("")
	i := Begin()
	for more {
		i2, ok := i.Behind(q.Key)
		if ok && i2.Key == q.Key {
			t.Fatalf("%s is asked again", q.Key)
		}
		q, more = i2, ok
	}
	if string(i.Sheet()) != string(Begin().Sheet()) || i.Ready() {
		t.Error("leaving all open changed the sheet")
	}
	for _, s := range i.Statements() {
		if !s.Open {
			t.Errorf("%q is said, and nothing was answered", s.Text)
		}
	}
	wrote, err := sheet.ReadForm("", i.Sheet())
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range required {
		if text, there := wrote.Value(path); text != "" || !there {
			t.Errorf("%s: got %q, %v, want the key without a value", path, text, there)
		}
	}
}
