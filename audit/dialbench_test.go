package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// plugHole is an engine with nothing but a dial in the plug hole. Where its piston
// stands is computed here by itself, from the triangle of crank and rod.
type plugHole struct {
	stroke, rod          float64
	probe, lean          float64 // of the dial as it stands, degrees
	zero                 float64 // what the dial shows at the top
	down                 bool    // it shows less as the piston sinks
	step, sd, eye        float64 // mm; mm of the dial; degrees of the eye at a line
	lost, slack, dialErr float64 // mm, where the piston sinks; mm of the dial, evenly, anew for each line
	anew                 *rand.Rand
}

// shows is what the dial shows with the crank an angle after the top.
func (p plugHole) shows(theta float64, sinking bool, off float64) string {
	sin, cos := math.Sincos(theta * math.Pi / 180)
	r := p.stroke / 2
	drop := r + p.rod - r*cos - math.Sqrt(p.rod*p.rod-r*r*sin*sin)
	if sinking {
		drop -= p.slack
	}
	x := drop/(math.Cos(p.probe*math.Pi/180)+math.Sin(p.probe*math.Pi/180)*math.Tan(p.lean*math.Pi/180)) + off
	if sinking {
		x -= p.lost
	}
	x += p.sd * p.anew.NormFloat64()
	if p.down {
		x = -x
	}
	return fmt.Sprintf("%.6f mm", math.Round((p.zero+x)/p.step)*p.step)
}

// readings are some of one line, with its side.
func (p plugHole) readings(n int, theta float64, sinking bool) string {
	off := p.dialErr * (2*p.anew.Float64() - 1)
	side := "BTDC"
	if theta > 0 {
		side = "ATDC"
	}
	var all []string
	for range n {
		all = append(all, p.shows(theta+p.eye*p.anew.NormFloat64(), sinking, off)+" "+side)
	}
	return "[" + strings.Join(all, ", ") + "]"
}

func (p plugHole) top(n int) string {
	var all []string
	for range n {
		all = append(all, p.shows(0, false, 0))
	}
	return "[" + strings.Join(all, ", ") + "]"
}

const dialHead = "format: 1\nengine: {turns: clockwise, stroke: 54%s mm, rod: 110%s mm}\npart: {marks_on: part, btdc_lines: clockwise, diameter: 120 mm%s}\n"

func quietDial() plugHole {
	return plugHole{stroke: 54, rod: 110, step: 1e-6, anew: rand.New(rand.NewPCG(1, 2))}
}

// Whatever the zero of the dial and the way in which it counts, in inches as in
// millimetres and at any slant, each line comes up where the crank stood.
func TestADialPutsLinesWhereTheCrankStood(t *testing.T) {
	for _, change := range []func(*plugHole){
		func(*plugHole) {}, func(p *plugHole) { p.zero = 4.2 }, func(p *plugHole) { p.down, p.zero = true, 1.5 },
		func(p *plugHole) { p.probe = 30 }, func(p *plugHole) { p.probe, p.lean = 25, 5 }, func(p *plugHole) { p.probe, p.lean = 25, -5 },
	} {
		p := quietDial()
		change(&p)
		text := fmt.Sprintf(dialHead, "", "", "") + fmt.Sprintf("readout: {kind: dial, step: 0.000001 mm, probe_angle: %v, crown: %v ± 0.001}\n", p.probe, p.lean) +
			"limits: {tolerance: 1}\nmarks: [{name: a, at: 20 BTDC}, {name: b, at: 90 BTDC}, {name: c, at: 12 ATDC}]\nsetups:\n" +
			"  - top: " + p.top(3) + "\n    marks: {a: " + p.readings(3, -19.5, false) + ", b: " + p.readings(3, -90.25, false) + ", c: {backward: " + p.readings(3, 12.125, false) + "}}\n"
		for i, want := range []float64{0.5, -0.25, 0.125} {
			l := judged(t, text).Lines[i]
			if got := l.Offset.Value.Degrees(); math.Abs(got-want) > 1e-4 {
				t.Errorf("%+v: line %s is off by %.6f, want %.3f", p, l.Name, got, want)
			}
		}
	}
	// Inches, and lines mirrored about TDC, which then are early where they were late.
	in := func(text string) string {
		for _, mm := range []string{"1.800000", "1.500000"} {
			var x float64
			_, _ = fmt.Sscan(mm, &x)
			text = strings.ReplaceAll(text, mm+" mm", fmt.Sprintf("%.9f in", x/25.4))
		}
		return text
	}
	sheetOf := func(side string) string {
		return fmt.Sprintf(dialHead, "", "", "") + "readout: {kind: dial, step: 0.01 mm}\nlimits: {tolerance: 1}\nmarks: [{name: a, at: 20 " + side + "}]\nsetups:\n" +
			"  - top: [0 mm, 0 mm, 0.01 mm]\n    marks: {a: {forward: [1.800000 mm " + side + ", 1.800000 mm " + side + ", 1.500000 mm " + side + "]}}\n"
	}
	mm, inch := judged(t, sheetOf("BTDC")).Lines[0], judged(t, in(sheetOf("BTDC"))).Lines[0]
	mirrored := judged(t, strings.Replace(sheetOf("ATDC"), "forward:", "backward:", 1)).Lines[0]
	if math.Abs((mm.Offset.Value-inch.Offset.Value).Degrees()) > 1e-6 || math.Abs((mm.Offset.Expanded-inch.Offset.Expanded).Degrees()) > 1e-6 {
		t.Errorf("in millimetres %v, in inches %v", mm.Offset, inch.Offset)
	}
	if math.Abs((mm.Offset.Value+mirrored.Offset.Value).Degrees()) > 1e-9 || math.Abs((mm.Offset.Expanded-mirrored.Offset.Expanded).Degrees()) > 1e-9 || math.Abs(mm.Conformity.Late-mirrored.Conformity.Early) > 1e-12 {
		t.Errorf("before TDC %v %+v, mirrored %v %+v", mm.Offset, mm.Conformity, mirrored.Offset, mirrored.Conformity)
	}
}

// What the dial loses and half of the slack are put back where the piston sank, and
// nowhere else.
func TestADialHangsWhereThePistonSinks(t *testing.T) {
	p := quietDial()
	p.lost, p.slack = 0.004, 0.02
	text := fmt.Sprintf(dialHead, "", "", "") + "readout: {kind: dial, step: 0.000001 mm, lost_motion: 0.004 ± 0.002 mm}\nlimits: {tolerance: 1, slack: ± 0.04 mm}\n" +
		"marks: [{name: up, at: 20 BTDC}, {name: down, at: 20 ATDC}]\nsetups:\n" +
		"  - top: " + p.top(3) + "\n    marks: {up: " + p.readings(3, -20, false) + ", down: " + p.readings(3, 20, true) + "}\n"
	r := judged(t, text)
	for i, rows := range []int{0, 1} {
		l := r.ByLine()[i]
		if l.Offset.Value.Abs() > 1e-4 {
			t.Errorf("%s is off by %v, want 0", l.Name, l.Offset.Value)
		}
		for _, source := range []string{"lost motion", "bearing slack"} {
			if got := len(oneSource(l, source)); got != rows {
				t.Errorf("%s: %d rows of %s, want %d", l.Name, got, source, rows)
			}
		}
	}
}

func oneSource(l audit.LineResult, source string) (out []float64) {
	for _, row := range l.Offset.Budget {
		if row.Source.String() == source {
			out = append(out, row.Standard().Degrees())
		}
	}
	return out
}

// A dial that stood elsewhere at the top once the lines were read has moved: before
// TDC and after it lines are out opposite ways, and nothing is ordered. One that came
// back to its top proves the lines.
func TestADialThatMoved(t *testing.T) {
	text := func(closing string) string {
		return fmt.Sprintf(dialHead, "", "", "") + "readout: {kind: dial, step: 0.01 mm}\nlimits: {tolerance: 1}\n" +
			"marks: [{name: a, at: 20 BTDC, further: [1.60 mm, 1.30 mm]}, {name: b, at: 25 BTDC, further: [3.12 mm, 2.80 mm]}]\nsetups:\n" +
			"  - top: [0.00 mm, 0.01 mm, 0.00 mm]\n    marks: {a: [1.60 mm BTDC, 1.60 mm BTDC, 1.61 mm BTDC], b: [3.12 mm BTDC, 3.12 mm BTDC, 3.13 mm BTDC]}\n    closing: {top: " + closing + "}\n"
	}
	still, moved := judged(t, text("0.00 mm")), judged(t, text("0.35 mm"))
	if got := still.ByLine()[0].Verdict; got != diagnosis.Outside {
		t.Errorf("a line that is 2 degrees late: %v, want outside", got)
	}
	if !has(moved, warning.ReadoutMoved) {
		t.Error("a top that stands 0.35 mm elsewhere is not said to have moved")
	}
	for _, l := range moved.ByLine() {
		if l.Verdict == diagnosis.Outside || l.Scribe.Worthwhile {
			t.Errorf("%s: %v, and an order: %v", l.Name, l.Verdict, l.Scribe.Worthwhile)
		}
	}
}

// A line without letters lies on the side that the dial further on proves; one that
// has neither is refused, unless nothing tells its side anyway.
func TestTheSideOfALineByADial(t *testing.T) {
	text := func(further, reading string) string {
		return fmt.Sprintf(dialHead, "", "", "") + "readout: {kind: dial, step: 0.01 mm}\nlimits: {tolerance: 4}\nmarks: [{name: a, at: 5 BTDC" + further + "}]\nsetups:\n" +
			"  - top: [0.00 mm, 0.01 mm, 0.00 mm]\n    marks: {a: [" + reading + "]}\n"
	}
	for further, want := range map[string]geometry.Letters{", further: [0.30 mm, 0.10 mm]": geometry.BTDC, ", further: [0.30 mm, 0.50 mm]": geometry.ATDC} {
		d := judged(t, text(further, "0.30 mm, 0.30 mm, 0.31 mm")).Lines[0].ByDial
		if d.Side != want || !d.Proven {
			t.Errorf("%s: %v, proven %v", further, d.Side, d.Proven)
		}
	}
	if r := judged(t, text("", "0.30 mm BTDC, 0.30 mm BTDC, 0.31 mm BTDC")); !has(r, warning.SideNotProven) {
		t.Error("no word of a side that only letters say")
	}
	near := judged(t, text("", "0.00 mm, 0.01 mm, 0.01 mm")).Lines[0]
	if d := near.ByDial; d.SideTold || (d.Low+d.High+2*near.At).Abs() > 1e-9 {
		t.Errorf("at the top: told %v, from %v to %v", d.SideTold, d.Low, d.High)
	}
	s := readSheet(t, text("", "0.30 mm, 0.30 mm, 0.31 mm"))
	if _, err := audit.Run(s); err == nil || !strings.Contains(err.Error(), "without a side") {
		t.Errorf("got %v, want the question for the side", err)
	}
}

// What is written back is the sheet that was read.
func TestADialSheetComesBack(t *testing.T) {
	p := quietDial()
	text := fmt.Sprintf(dialHead, " ± 0.1", " ± 0.5", "") + "readout: {kind: dial, step: 0.01 mm, probe_angle: 20 ± 3, crown: ± 5, error: ± 0.015 mm, lost_motion: 0.003 ± 0.002 mm, revolution: 1 mm}\n" +
		"limits: {tolerance: 1}\nmarks: [{name: a, at: 20 BTDC, further: [1.6 mm, 1.3 mm]}]\nsetups:\n" +
		"  - top: " + p.top(2) + "\n    marks: {a: [1.6 mm BTDC, 1.61 mm BTDC struck knocked]}\n    closing: {top: 0.01 mm}\n"
	s := readSheet(t, text)
	again := readSheet(t, sheet.Write(s))
	if a, b := sheet.Write(s), sheet.Write(again); a != b {
		t.Errorf("written once:\n%s\nand again:\n%s", a, b)
	}
	if !strings.Contains(sheet.Write(s), "probe_angle: 20 ± 3") || !strings.Contains(sheet.Write(s), "1.61 mm BTDC struck knocked") {
		t.Errorf("lost in writing:\n%s", sheet.Write(s))
	}
}
