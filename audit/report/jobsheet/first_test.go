package jobsheet

import (
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/jobrecord"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// written is every text of a scene.
func written(s drawing.Scene) string {
	var b strings.Builder
	for _, item := range s.Items {
		if x, ok := item.(drawing.Text); ok {
			b.WriteString(x.Text + "\n")
		}
	}
	return b.String()
}

// picture stands in for the figure: as high as it may be.
func picture(most geometry.Length) []drawing.Scene {
	return []drawing.Scene{{Title: "As you look at the marks.", Width: drawing.PageWidth, Height: most}}
}

// The sheet to sign is one page, A4 or Letter, whatever is on the sheet: nothing is
// clipped, nothing overlaps, no section reaches the title block, and what is left out
// is said to be in the annex.
func TestFirstSheetIsOnePage(t *testing.T) {
	results := reporttest.GoodAudits(t, files)
	for _, n := range []int{1, 2, 12, 13, 24, 60, 200} {
		results[fmt.Sprint(n, " lines")] = reporttest.ManyLines(t, n, "line", "anticlockwise", "part", 0.45)
	}
	results["long names"] = reporttest.ManyLines(t, 14, reporttest.LongName, "clockwise", "engine", 1.1)
	for name, r := range results {
		v := words.NewAudit(r, audit.Next(r))
		for _, paper := range []document.Paper{document.A4, document.Letter} {
			s := New(v, document.Options{Path: "job.yaml", Software: "markaudit 0.2.0"}, paper, picture)
			scene := s.Draw(5)
			reporttest.CheckScene(t, scene)
			if most := paper.Height - document.Margin - blockHeight; s.foot > most {
				t.Errorf("%s: the sections end at %v, the title block begins at %v", name, s.foot, most)
			}
			if n := geometry.Length(len(s.checks)); n > 0 && cellHeight(len(s.checks))+s.roomy < roomyCell-1e-9 && s.blockAt()-s.foot > 0.2*n+0.01 {
				t.Errorf("%s: rows to write in are %v high, with %v left above the title block", name, cellHeight(len(s.checks))+s.roomy, s.blockAt()-s.foot)
			}
			text := written(scene)
			for what, said := range map[string]bool{"find no room": s.LinesCut, "The rest of what to do: annex.": s.StepsCut, "The first; all of them: annex.": s.DoubtsCut, "More pairs: annex.": s.ChecksCut} {
				if what == "find no room" {
					what = " annex."
				}
				if said && !strings.Contains(text, what) {
					t.Errorf("%s: leaves something out, and does not say %q", name, what)
				}
			}
			for _, want := range []string{"1 of 5", "released", "name, date, signature", "Caution", r.Sheet.Digest[:12]} {
				if !strings.Contains(text, want) {
					t.Errorf("%s: the sheet does not say %q", name, want)
				}
			}
			if v.Scribes() && !strings.Contains(text, "STOP, the sheet is wrong") {
				t.Errorf("%s: no check by eye before scribing", name)
			}
		}
	}
}

// The demonstration's sheet has its one line outside, its order towards a line, and
// the pairs that tell of the new line first.
func TestFirstSheetOfTheDemonstration(t *testing.T) {
	s := New(spoken(t, "demo"), document.Options{Path: "demo.yaml"}, document.A4, nil)
	text := written(s.Draw(4))
	for _, want := range []string{
		"1 of 5 lines is outside the tolerance; 4 are within.", "scribe a new line 1.9 mm TOWARDS line “3-4”",
		"That is ahead, the way the engine runs.", "within, only just", "2\nMeasure NOW, in the table below. One off by more than its ±: STOP, scribe nothing.\n3\n", "4\nBefore the engine runs: set the timing anew to the new line, by the engine maker's data.", "All hold: strike the OLD line through.", "NOW, before scribing\nAFTER SCRIBING\ndividers, straight across\nshould be\nmeasured\nshould be\nmeasured\n",
		"1.9 ± 0.3 mm", "“3-4” – “inject 14”", "measured by Mirela, Joss", "checked by another", "2026-05-20 and 2026-05-21",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	all, _ := checks(spoken(t, "demo"), strings.TrimSpace)
	if len(all) < 3 || all[0].what != "“inject 14” – “static 4”" || all[0].before == "" || all[1].what != "“inject 14”: "+oldNew {
		t.Errorf("the first are %+v, want what can be measured now, then the new line", all[:min(3, len(all))])
	}
	seen := false
	for _, c := range all {
		seen = seen || c.rank == tellsReading
		if c.rank < tellsReading && seen {
			t.Errorf("%s comes after a pair that tells of no new line", c.what)
		}
	}
	// No finer than dividers are set.
	if got := dividers(spoken(t, "demo"), 16.527, 0.05); got != "16.5 ± 0.2 mm" {
		t.Errorf("got %s", got)
	}
}

// What was found after scribing stands where it was to be filled in, with the digest of
// the sheet by which it was scribed; the readout's certificate is named and no more.
func TestFirstSheetAfterScribing(t *testing.T) {
	v := spoken(t, "demo")
	v.Result.Sheet.After = &sheet.AfterScribing{
		By: "Finn", Date: "2026-05-23", ScribedBy: strings.Repeat("9c1e", 16), EyeCheck: sheet.AsSaid,
		Dividers: []sheet.Divided{{From: "static 4", To: "inject 14", Measured: 18.3}},
	}
	v.Result.Sheet.Instruments = []jobrecord.Instrument{{Role: "wheel", Certificate: "C-118"}}
	s := New(v, document.Options{Path: "demo.yaml"}, document.A4, nil)
	scene := s.Draw(5)
	reporttest.CheckScene(t, scene)
	text := written(scene)
	for _, want := range []string{"18.30 mm", "scribed by Finn, 2026-05-23", "scribed by", "scribed", "by 9c1e9c1e9c1e", "certificate C-118"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if bare := New(spoken(t, "demo"), document.Options{}, document.A4, nil).Draw(5); len(scene.Items) < len(bare.Items)+2 {
		t.Error("the box of the check by eye is not crossed")
	}
}

// A name whose letters print lacks is shown by its number, and a key says so once; no
// letter is a box or a question mark.
func TestFirstSheetShowsNamesThatPrintLacksByNumber(t *testing.T) {
	r := reporttest.ManyLines(t, 3, "点火十度 スパーク", "clockwise", "part", 1.1)
	r.Sheet.Title = "점화 エンジン"
	v := words.NewAudit(r, audit.Next(r))
	scene := New(v, document.Options{Path: "job.yaml"}, document.A4, nil).Draw(5)
	reporttest.CheckScene(t, scene)
	for _, s := range []drawing.Scene{scene, Customer(v, document.Options{Path: "job.yaml"})} {
		for _, item := range s.Items {
			if x, ok := item.(drawing.Text); ok && !drawing.Has(x.Text) {
				t.Errorf("%s: %q", s.Title, x.Text)
			}
		}
	}
	if text := written(scene); !strings.Contains(text, "line 2") || !strings.Contains(text, "name 1") || !strings.Contains(text, "its name has letters that this print lacks") {
		t.Errorf("no numbers, or no key: %s", text)
	}
}

// Of more than twelve lines those that are within give way to what is to be done: they
// are counted, and every line outside has its row and its order on the sheet.
func TestLinesThatAreWithinGiveWayToOrders(t *testing.T) {
	r := reporttest.Crowd{Lines: 24, Gap: 15, Diameter: "158 mm", Turns: "clockwise", MarksOn: "part"}.Audit(t)
	v := words.NewAudit(r, audit.Next(r))
	n := 0
	for _, m := range r.ByLine() {
		if m.Verdict != diagnosis.Within {
			n++
		}
	}
	s := New(v, document.Options{Path: "job.yaml"}, document.A4, nil)
	text := written(s.Draw(5))
	switch {
	case n == 0 && len(s.shown) != mostLines-1:
		t.Errorf("all are within: %d rows, want %d", len(s.shown), mostLines-1)
	case n > 0 && len(s.shown) != min(n, mostLines-1):
		t.Errorf("%d rows of lines, want those %d that are not within", len(s.shown), n)
	}
	if want := fmt.Sprintf("%d others are within: annex.", 24-len(s.shown)); !strings.Contains(text, want) {
		t.Errorf("no %q in\n%s", want, text)
	}
	off := reporttest.ManyLines(t, 13, "", "clockwise", "part", 3)
	s = New(words.NewAudit(off, audit.Next(off)), document.Options{Path: "job.yaml"}, document.A4, nil)
	for _, m := range s.shown {
		if m.Verdict == diagnosis.Within {
			t.Errorf("%s is within and has a row", m.Name)
		}
	}
	if len(s.shown) == 0 || s.more+len(s.shown) != 13 {
		t.Errorf("%d rows and %d counted, want 13 lines", len(s.shown), s.more)
	}
}

// Several new lines are one step: what they have in common once, then a line of text
// each, with its way towards a line and the way round as one looks. The check by eye
// comes before it, and nothing but the new lines has a cell that says why it is empty.
func TestSeveralNewLinesAreOneStep(t *testing.T) {
	data, err := fs.ReadFile(files, "figures/crowd.yaml")
	if err != nil {
		t.Fatal(err)
	}
	read, _, err := sheet.Read("crowd.yaml", data, nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(read)
	if err != nil {
		t.Fatal(err)
	}
	v := words.NewAudit(r, audit.Next(r))
	v.ByDividers = true
	s := New(v, document.Options{Path: "crowd.yaml"}, document.A4, picture)
	text := written(s.Draw(5))
	at := 0
	for _, want := range []string{
		"What to do\n", "1\nCheck this first: as you look at the marks (pulley end), the shorter", "as it says here\n", "not so: STOP, the sheet is wrong\n",
		"2\nMeasure NOW, in the table below.", "“line 3” stands 0.1 mm beside “line 2”", "nearer\nto its new line. If you cannot tell the two apart: STOP, scribe nothing for that line.", "3\nScribe new lines, along the rim, centre of the old line to centre of the new. As you look at the marks (pulley end):\n",
		"“line 3”: 1.2 mm TOWARDS “line 4”, CLOCKWISE; then known to ± 0.20°",
		"“line 9”: 1.2 mm TOWARDS “line 10”, CLOCKWISE;", "“line 17”: 1.2 mm TOWARDS “line 16”, ANTICLOCKWISE;",
		"4\nBefore the engine runs", "Checked before and after scribing\n", "allow 3 % more: the diameter has no ±\n",
	} {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Fatalf("no %q in its place in\n%s", want, text)
		}
		at += i
	}
	for _, c := range s.all {
		if (c.before == "") != strings.Contains(c.what, oldNew) {
			t.Errorf("%s should be %q before scribing", c.what, c.before)
		}
	}
	// 3 and 9 both go clockwise, 17 goes the other way: between 3 and 9 nothing changes,
	// on whichever side they are scribed, so no such pair stands before those that change.
	// By hand, on 158 mm across: 9.70° apart are 13.4 mm, 8.00° 11.0 mm.
	want := []check{
		{what: "“line 17” – “line 9”", before: "13.4 ± 0.2 mm", after: "11.0 ± 0.8 mm"},
		{what: "“line 10” – “line 3”", before: "10.9 ± 0.3 mm", after: "9.7 ± 0.6 mm"},
		// 0.85° of 158 mm across are 1.2 mm: no pair of ± 0.8 shows a line placed so badly.
		{what: "“line 3”, “line 9”, “line 17”, each: old line – new line", after: "1.2 ± 0.3 mm"},
	}
	if len(s.checks) < len(want) || s.where == nil {
		t.Fatalf("%d rows, or no picture", len(s.checks))
	}
	for i, w := range want {
		if c := s.checks[i]; c.what != w.what || c.before != w.before || c.after != w.after {
			t.Errorf("row %d is %+v, want %+v", i+1, c, w)
		}
	}
}

// Whoever signs holds no sheet of keys, and no verdict is surer than the sheet: where
// nothing confirms the running direction, looking is the first step and the answer says so.
func TestFirstSheetIsForTheBench(t *testing.T) {
	key := regexp.MustCompile("`|\\b(engine|part|readout|limits)\\.[a-z]|further:")
	unseen := 0
	for name, r := range reporttest.GoodAudits(t, files) {
		v := words.NewAudit(r, audit.Next(r))
		v.ByDividers = true
		s := New(v, document.Options{Path: "job.yaml"}, document.A4, picture)
		text := written(s.Draw(5))
		if at := key.FindString(text); at != "" {
			t.Errorf("%s: %q is on paper", name, at)
		}
		if v.Unseen() {
			unseen++
			for _, want := range []string{"To be confirmed first", "Check this first: ", "not so: STOP, the sheet is wrong"} {
				if !strings.Contains(text, want) {
					t.Errorf("%s: nothing confirms which way it runs, and no %q", name, want)
				}
			}
		} else if strings.Contains(text, "To be confirmed first") {
			t.Errorf("%s: is confirmed, and says it is not", name)
		}
		// What can be measured before scribing is asked for, wherever a pair is good for it.
		now := func(c check) bool { return c.before != "" }
		if slices.ContainsFunc(s.all, now) && !slices.ContainsFunc(s.checks, now) {
			t.Errorf("%s: no pair to measure now", name)
		}
	}
	if unseen < 2 { // window and plug-hole
		t.Errorf("%d sheets that nothing confirms, want two", unseen)
	}
}

// An angle has its unit, and what is none stays as it is.
func TestDegrees(t *testing.T) {
	for in, want := range map[string]string{
		"14 BTDC": "14° BTDC", "12.96 BTDC": "12.96° BTDC", "0": "0°", "40 ABDC": "40° ABDC", "10° BTDC": "10° BTDC",
		"1.8 mm piston BTDC": "1.8 mm piston BTDC", "1.79 mm, 18.80 BTDC": "1.79 mm, 18.80° BTDC", "": "", "not read": "not read",
	} {
		if got := degrees(in); got != want {
			t.Errorf("degrees(%q) = %q, want %q", in, got, want)
		}
	}
}

// New lines that go as far have one row; those that do not have one each, and of many
// only that each is so far off is said.
func TestNewLinesInOneRow(t *testing.T) {
	row := func(name, after string) check { return check{what: name + oldToNew, after: after} }
	for _, c := range []struct {
		all  []check
		want []string
	}{
		{nil, nil},
		{[]check{row("a", "1.2")}, []string{"a: old line – new line"}},
		{[]check{row("a", "1.2"), row("b", "1.2")}, []string{"a, b, each: old line – new line"}},
		{[]check{row("a", "1.2"), row("b", "1.3")}, []string{"a: old line – new line", "b: old line – new line"}},
		{[]check{row("a", "1.2"), row("b", "1.2"), row("c", "1.2"), row("d", "1.2")}, []string{"each new line: old line – new line"}},
	} {
		var got []string
		for _, one := range inOneRow(c.all) {
			got = append(got, one.what)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// A row takes no side of TDC that a dial does not tell.
func TestRowOfALineWithoutASide(t *testing.T) {
	text := written(New(spoken(t, "plug-hole.yaml"), document.Options{}, document.A4, picture).Draw(5))
	if !strings.Contains(text, "2.5° before or after\nTDC\nside not told: 3.6° early to\n3.6° late\n") {
		t.Errorf("takes a side: %s", text)
	}
	if !strings.Contains(text, "Nearer: STOP, the side is wrong.\nseen so\n") {
		t.Errorf("no box for what the dial must show: %s", text)
	}
}
