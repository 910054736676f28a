package reporttest

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
)

// GoodSheets reads the sheets that the project keeps as examples, and the
// demonstration, by their names. Files is the folder testdata.
func GoodSheets(t *testing.T, files fs.FS) map[string]sheet.Sheet {
	t.Helper()
	const folder = "sheets/good"
	names, err := fs.Glob(files, folder+"/*.yaml")
	if err != nil || len(names) < 6 {
		t.Fatalf("found %d sheets, %v", len(names), err)
	}
	open := func(name string) ([]byte, error) { return fs.ReadFile(files, path.Join(folder, name)) }
	sheets := map[string]sheet.Sheet{}
	read := func(name string, data []byte) {
		s, _, err := sheet.Read(name, data, open)
		if err != nil {
			t.Fatal(err)
		}
		sheets[name] = s
	}
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			t.Fatal(err)
		}
		read(path.Base(name), data)
	}
	read("demo", []byte(sheet.Demo()))
	return sheets
}

// GoodAudits audits the good sheets. Files is the folder testdata.
func GoodAudits(t *testing.T, files fs.FS) map[string]audit.Result {
	t.Helper()
	all := map[string]audit.Result{}
	for name, s := range GoodSheets(t, files) {
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		all[name] = r
	}
	return all
}

// ManyLines is the audit of a part with n lines all round, the first of each
// three off by so much, the second hardly, the third half as much the other way.
func ManyLines(t *testing.T, n int, name, turns, marksOn string, off float64) audit.Result {
	t.Helper()
	var marks, readings strings.Builder
	for i := range n {
		at := float64(i) * 360 / float64(n)
		o := []float64{off, 0.01, -off / 2}[i%3]
		fmt.Fprintf(&marks, "  - {name: %q, at: %g}\n", strings.TrimSpace(fmt.Sprint(i+1, " ", name)), at)
		fmt.Fprintf(&readings, "      %q: [%g, %g, %g]\n", strings.TrimSpace(fmt.Sprint(i+1, " ", name)), at+o, at+o+0.1, at+o)
	}
	text := fmt.Sprintf("engine: {turns: %s, stroke: 92 mm, rod: 152 mm}\npart: {marks_on: %s, diameter: 158 mm}\nreadout: {step: 0.1, counts: up, quarter_turn: [10, 100]}\nlimits: {tolerance: 0.5}\nmarks:\n%ssetups:\n", turns, marksOn, &marks)
	for range 2 {
		text += "  - by: Ana\n    stop: {forward: [338.0, 338.1, 338.0, 338.2 struck knocked the wheel, 338.0], backward: [22.0, 22.0, 22.1, 22, 22]}\n    marks:\n" + readings.String()
	}
	return read(t, text)
}

// read audits a sheet that is good.
func read(t *testing.T, text string) audit.Result {
	t.Helper()
	s, positions, err := sheet.Read("job.yaml", []byte(text), nil)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatalf("%v %v", err, positions)
	}
	return r
}

// LongName is longer than any figure has room for in one line.
const LongName = "a rather long name of a line, as somebody in a workshop may well write it down, second from the left side of the window"

// Job is a sheet of three lines, of which the second comes up late by Late degrees
// of the crank; early below zero.
type Job struct {
	Diameter       float64 // of the rim, in millimetres
	Turns, MarksOn string  // as on the sheet
	Half           bool    // the part turns at half the crank's speed
	Late           float64 // degrees of the crank
	Name           string  // of the second line; empty for "fire"
}

// Audit audits the sheet.
func (j Job) Audit(t *testing.T) audit.Result {
	t.Helper()
	var b strings.Builder
	half := ""
	if j.Half {
		half = ", turns: half"
	}
	name := j.Name
	if name == "" {
		name = "fire"
	}
	fmt.Fprintf(&b, "engine: {turns: %s, stroke: 92 mm, rod: 152 mm}\npart: {marks_on: %s, diameter: %g mm%s}\n", j.Turns, j.MarksOn, j.Diameter, half)
	b.WriteString("readout: {step: 0.1, counts: up, quarter_turn: [10, 100]}\nlimits: {tolerance: 0.5, remount: ± 0.05}\nmarks:\n  - {name: zero, at: 0}\n")
	fmt.Fprintf(&b, "  - {name: %q, at: 14 BTDC}\n  - {name: far, at: 120}\nsetups:\n", name)
	for range 2 {
		b.WriteString("  - stop: {forward: [338.0, 338.1, 338.0], backward: [22.0, 22.0, 22.1]}\n    closing: {forward: 338.0, backward: 22.1}\n")
		at := 346.05 + j.Late
		fmt.Fprintf(&b, "    marks: {zero: [0.1, 0.0, 0.1], %q: [%g, %g, %g], far: [120.1, 120, 120]}\n", name, at, at+0.1, at)
	}
	return read(t, b.String())
}
