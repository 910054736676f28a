package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/figure"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/paper"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

// The figures that docs show are those of the demonstration, as they are now.
func TestDocumentsShowRealFigures(t *testing.T) {
	dir := top + "docs/figures/"
	s, _, err := sheet.Read(demoName, []byte(sheet.Demo()), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	banks, err := os.ReadFile(top + "testdata/sheets/good/banks.yaml")
	if err != nil {
		t.Fatal(err)
	}
	alike, _, err := sheet.Read("banks.yaml", banks, nil)
	if err != nil {
		t.Fatal(err)
	}
	pointer, err := audit.Run(alike)
	if err != nil {
		t.Fatal(err)
	}
	strip := func(r audit.Result, o paper.StripOptions) drawing.Scene {
		o.Thickness, o.Path, o.Software = 0.1, demoName, software
		d, err := paper.Strip(r, o)
		if err != nil {
			t.Fatal(err)
		}
		return d.Whole
	}
	figures := map[string]drawing.Scene{
		"part.svg":     figure.Part(r)[0],
		"offsets.svg":  figure.Offsets(r)[0],
		"trials.svg":   figure.Trials(r)[0],
		"budget.svg":   figure.Budget(r)[0],
		"record.svg":   report.Record(r, audit.Next(r), document.Options{Path: demoName, Software: software}, document.A4)[0],
		"customer.svg": jobsheet.Customer(words.NewAudit(r, nil), document.Options{Path: demoName, Software: software}),
		"strip.svg":    strip(r, paper.StripOptions{}),
		"tape.svg":     strip(r, paper.StripOptions{Tape: []geometry.Angle{20, -60}}),
		"template.svg": strip(r, paper.StripOptions{Slope: 90, Width: 16}),
		"pointer.svg":  strip(pointer, paper.StripOptions{}),
	}
	if *update {
		if err := os.MkdirAll(dir, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	for name, scene := range figures {
		was, err := os.ReadFile(dir + name)
		if err != nil && !*update {
			t.Error(err)
		}
		var want bytes.Buffer
		if err := drawing.SVG(&want, scene); err != nil {
			t.Fatal(err)
		}
		settle(t, dir+name, string(was), want.String())
	}
	pages := studyFigures(t)
	for name, want := range pages {
		was, err := os.ReadFile(dir + name)
		if err != nil && !*update {
			t.Error(err)
		}
		settle(t, dir+name, string(was), want)
	}
	there, err := filepath.Glob(dir + "*")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range there {
		name := filepath.Base(path)
		if _, known := figures[name]; !known && pages[name] == "" {
			t.Errorf("%s belongs to no figure", path)
		}
	}
}

// studyFigures are the first figures on the pages of studies, as anyone gets them
// with the commands that docs show.
func studyFigures(t *testing.T) map[string]string {
	t.Helper()
	testdata := top + "testdata/"
	var dredger []string
	for _, year := range []string{"2021", "2023", "2025", "2026"} {
		dredger = append(dredger, testdata+"history/dredger-"+year+".yaml")
	}
	lesson := t.TempDir() + "/one-line-7"
	run := func(args ...string) string {
		var page, trouble bytes.Buffer
		env := world.System()
		env.Stdout, env.Stderr = &page, &trouble
		if status := Run(env, args); status != 0 {
			t.Fatalf("%v: status %d: %s", args, status, trouble.String())
		}
		return page.String()
	}
	run("rehearse", "one-line", "--seed", "7", "--write", filepath.Dir(lesson))
	answers := "mark,off_by,verdict\n1-6,0.1 late,within\nfire 10,1.5 late,outside\n5-2,0.3 early,within\n3-4,0.2 late,within\n"
	if err := os.WriteFile(lesson+"-answers.csv", []byte(answers), 0o666); err != nil {
		t.Fatal(err)
	}
	past, err := filepath.Glob(testdata + "past/2025-*.yaml")
	if err != nil || len(past) == 0 {
		t.Fatal(past, err)
	}
	out := map[string]string{}
	for name, args := range map[string][]string{
		"wheel.svg":   {"wheel", testdata + "wheel/wheel-4.csv", "--diameter", "280 mm"},
		"people.svg":  {"repeat", testdata + "study/class.csv", "--tolerance", "1"},
		"history.svg": append([]string{"compare"}, dredger...),
		"control.svg": append([]string{"history"}, past...),
		"qualify.svg": {"qualify", testdata + "qualify/new-stop.csv", "--allowed-bias", "0.1", "--tolerance", "0.5", "--step", "0.05", "--name", "B-17", "--against", "A-02"},
		"plan.svg": {
			"plan", "--stroke", "92 mm", "--rod", "152 mm", "--diameter", "158 mm", "--step", "0.25", "--tolerance", "1", "--want", "0.4",
			"--wheel-diameter", "280 mm", "--off-centre", "0.2 mm", "--contact", "0.04 mm", "--sighting", "0.2 mm", "--at", "0", "--at", "10 BTDC",
		},
		"rehearse.svg": {"rehearse", "--open", lesson + ".sealed", "--answers", lesson + "-answers.csv"},
	} {
		_, from, found := strings.Cut(run(append(args, "--format", "html")...), "<svg ")
		drawn, _, closed := strings.Cut(from, "</svg>\n")
		if !found || !closed {
			t.Fatalf("%v: no figure on the page", args)
		}
		out[name] = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg " + drawn + "</svg>\n"
	}
	return out
}

// Part figures of other parts than the demonstration's are as they were when they
// were last looked at: a crowd, a window, a fixed scale, inches.
func TestPartFiguresAreAsLookedAt(t *testing.T) {
	for _, name := range []string{"figures/crowd", "sheets/good/window", "sheets/good/fixed-scale", "sheets/good/mill"} {
		path := top + "testdata/" + name + ".yaml"
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s, _, err := sheet.Read(path, data, nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		golden := top + "testdata/figures/" + filepath.Base(name) + ".svg"
		was, err := os.ReadFile(golden)
		if err != nil && !*update {
			t.Error(err)
		}
		var want bytes.Buffer
		for _, scene := range figure.Part(r) {
			if err := drawing.SVG(&want, scene); err != nil {
				t.Fatal(err)
			}
		}
		settle(t, golden, string(was), want.String())
	}
}

// Who stands at a terminal is asked for a file: a drawing would only disturb it.
func TestNoDrawingOnATerminal(t *testing.T) {
	var out, trouble bytes.Buffer
	env := world.System()
	env.Stdout, env.Stderr, env.OnScreen = &out, &trouble, true
	if status := Run(env, []string{"strip", top + "testdata/sheets/good/pump.yaml"}); status != statusBad || out.Len() > 0 {
		t.Errorf("got status %d and %d bytes, want %d and none: %s", status, out.Len(), statusBad, trouble.String())
	}
}
