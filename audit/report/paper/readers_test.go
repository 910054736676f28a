package paper

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// What people misread who were given a strip and nothing else.

// The heading names the line ahead of the new one and the line behind it: both can be
// seen on the metal. Where one other line is both, it is named once. By hand: on the
// demonstration the new line of inject 14 goes from static 4 towards 3-4.
func TestHeadingNamesTheLinesOnBothSides(t *testing.T) {
	audits := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, c := range []struct{ sheet, line, says, never string }{
		{"demo", "inject 14", "1.9 mm (1.04°) TOWARDS line “3-4”, AWAY FROM line “static 4”: anticlockwise", ""},
		{"pump.yaml", "inject 23", "10.0 mm (2.21°) TOWARDS line “TDC”: clockwise", "AWAY FROM"},
	} {
		r := audits[c.sheet]
		i := slices.IndexFunc(r.ByLine(), func(m audit.LineResult) bool { return m.Name == c.line })
		heading := stripperFor(r, StripOptions{}).single(r.ByLine()[i]).heading
		if !strings.Contains(heading, c.says) || c.never != "" && strings.Contains(heading, c.never) {
			t.Errorf("%s: %q, want %q", c.sheet, heading, c.says)
		}
	}
}

// Where nothing on the sheet confirms the running direction, a STOP after LOOK says so:
// a strip cannot see it. Where it is confirmed, nothing of the kind is said.
func TestLookStopsWhereTheRunningWayIsNotConfirmed(t *testing.T) {
	asked := 0
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../../testdata")) {
		if len(r.Advice.Check.From+r.Advice.Check.Passes) == 0 && r.Sheet.Part.Diameter == 0 {
			continue
		}
		want := slices.ContainsFunc(r.Warnings, func(w warning.Warning) bool { return w.Code == warning.SideUnchecked })
		if want {
			asked++
		}
		if got := slices.ContainsFunc(stripperFor(r, StripOptions{}).firstSteps(""), func(one step) bool {
			return one.aside && strings.Contains(one.text, "Nobody has yet seen which way it runs. Ask who has")
		}); got != want {
			t.Errorf("%s: LOOK stops %v, want %v", name, got, want)
		}
	}
	if asked == 0 {
		t.Error("no sheet leaves the running direction open")
	}
}

// A ring stands about the foot of the open flagstaff, where the old line is brought, and
// about that of no other; it never crosses the other line, however near the two stand.
func TestARingStandsAboutTheFootOfTheOldLineOnly(t *testing.T) {
	for _, off := range []float64{0.15, 0.8, 1, 1.3, 3} {
		r := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: off}.Audit(t)
		strip := stripperFor(r, StripOptions{}).single(r.ByLine()[1]).build(40, 0, "")
		items, _, _ := strip.draw(0, strip.length, 0, 1)
		for i, f := range strip.flags {
			other := strip.flags[1-i].x
			found := false
			for _, item := range items {
				p, ok := item.(drawing.Polygon)
				if !ok || !p.Open || len(p.Points) < 20 {
					continue
				}
				about := true
				radius := math.Hypot(float64(p.Points[0].X-f.x), float64(p.Points[0].Y))
				for _, at := range p.Points {
					about = about && near(math.Hypot(float64(at.X-f.x), float64(at.Y)), radius, 1e-9)
				}
				if !about || radius < float64(leastRing) || radius > float64(ringRadius)+1e-9 {
					continue
				}
				found = true
				for _, at := range p.Points {
					if side := (at.X - other) * (f.x - other); side < -1e-9 {
						t.Errorf("off by %g: the ring about %v crosses the line at %v", off, f.x, other)
						break
					}
				}
			}
			if found == f.fresh {
				t.Errorf("off by %g: the foot at %v has a ring %v, and is that of the new line %v", off, f.x, found, f.fresh)
			}
		}
	}
}

// texts are those of a scene.
func texts(s drawing.Scene) []drawing.Text {
	var all []drawing.Text
	for _, item := range s.Items {
		if x, ok := item.(drawing.Text); ok {
			all = append(all, x)
		}
	}
	return all
}

// The piece, the steps and their pictures stand on one sheet, on a rim, a chamfer and a
// face: whoever reads the steps looks at them, and at the piece.
func TestPieceStepsAndPicturesStandTogether(t *testing.T) {
	audits := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, name := range []string{"demo", "pump.yaml", "mill.yaml", "window.yaml", "banks.yaml"} {
		for _, slope := range []geometry.Angle{0, 45, 90} {
			for _, o := range []StripOptions{{}, {Paper: Letter}, {Width: 30}} {
				if o.Width > 0 && slope > 0 {
					continue
				}
				o.Thickness, o.Slope = 0.1, slope
				d, err := Strip(audits[name], o)
				if err != nil {
					t.Fatal(err)
				}
				has := func(words string) bool {
					return slices.ContainsFunc(texts(d.Pages[0]), func(x drawing.Text) bool { return strings.Contains(x.Text, words) })
				}
				for _, want := range []string{"1  LOOK", "CHECK", "How it lies", "at the FOOT: GOOD", "TAPE", "RUNS", "check line"} {
					if want == "RUNS" && audits[name].Sheet.Part.MarksOn == sheet.OnEngine {
						want = "THIS"
					}
					if !has(want) {
						t.Errorf("%s on %v, paper %v, %v wide: page 1 has no %q", name, slope, o.Paper, o.Width, want)
					}
				}
			}
		}
	}
}

// Steps are set in at least 10 points, notes and heads in more than what stands on the
// piece; a typographic point of PDF is 25.4/72 mm (ISO 32000-1, 8.3.2.3).
func TestStepsAreReadAtArmsLength(t *testing.T) {
	const points = 25.4 / 72
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../../testdata")) {
		for _, slope := range []geometry.Angle{0, 90} {
			d, err := Strip(r, StripOptions{Thickness: 0.1, Slope: slope, Force: true})
			if err != nil {
				continue // nothing to scribe, or no rim
			}
			for _, page := range d.Pages {
				for i, x := range texts(page) {
					word, _, _ := strings.Cut(strings.TrimLeft(x.Text, "0123456789 "), " ")
					step := x.Bold && strings.Contains(x.Text, "  ") && slices.Contains([]string{"LOOK", "MEASURE", "CUT", "LAY", "BRING", "PROVE", "DOT", "TRY", "CHECK", "SCRIBE", "MARK", "SET"}, word)
					if next := texts(page)[min(i+1, len(texts(page))-1)]; step && (x.Size < 10*points || next.Size != x.Size) {
						t.Errorf("%s on %v: %q is set in %.1f points", name, slope, x.Text, x.Size.Millimetres()/points)
					}
					if x.Size < 2.3 {
						t.Errorf("%s on %v: %q is set in %v", name, slope, x.Text, x.Size)
					}
				}
			}
		}
	}
}

// A doubt is in black on white: it is not taken for the arrow, which is white on black,
// as what must not be missed is.
func TestADoubtIsLighterThanTheArrow(t *testing.T) {
	doubts, arrows := 0, 0
	for _, name := range []string{"demo", "pump.yaml"} {
		for _, slope := range []geometry.Angle{0, 90} {
			d, err := Strip(reporttest.GoodAudits(t, os.DirFS("../../../testdata"))[name], StripOptions{Thickness: 0.1, Slope: slope})
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range texts(d.Pages[0]) {
				switch {
				case strings.HasPrefix(x.Text, "DOUBT"):
					doubts++
					if x.Ink != drawing.Black || x.Bold {
						t.Errorf("%s on %v: %q stands in %v, bold %v", name, slope, x.Text, x.Ink, x.Bold)
					}
				case strings.HasPrefix(x.Text, "NEW:"):
					arrows++
					if x.Ink != drawing.White {
						t.Errorf("%s on %v: %q stands in %v", name, slope, x.Text, x.Ink)
					}
				}
			}
		}
	}
	if doubts < 4 || arrows < 4 {
		t.Errorf("found %d doubts and %d arrows", doubts, arrows)
	}
}

// Names of proof lines that stand close are told apart: their frames lie at least a
// millimetre from each other, and each is joined to the field below it. Posts are more
// than twice as thick as a graduation, and none stands within a millimetre of one.
func TestProofsAreToldApart(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["demo"]
	i := slices.IndexFunc(r.ByLine(), func(m audit.LineResult) bool { return m.Name == "inject 14" })
	strip := stripperFor(r, StripOptions{}).single(r.ByLine()[i]).build(100, 0, "")
	items, _, _ := strip.draw(0, strip.length, 0, 1)
	var frames [][2]geometry.Length
	for _, item := range items {
		if p, ok := item.(drawing.Polygon); ok && p.Fill == drawing.White && len(p.Points) == 4 && near(float64(p.Points[0].Y), -6.1, 1e-9) {
			frames = append(frames, [2]geometry.Length{p.Points[0].X, p.Points[1].X})
		}
	}
	if len(frames) != 2 || len(strip.proofs) != 2 {
		t.Fatalf("found %d frames and %d proofs, want 2 and 2", len(frames), len(strip.proofs))
	}
	if gap := max(frames[1][0]-frames[0][1], frames[0][0]-frames[1][1]); gap < 0.99 {
		t.Errorf("the frames are %v apart", gap)
	}
	for _, f := range strip.proofs {
		posts, leads := 0, 0
		for _, item := range items {
			l, ok := item.(drawing.Line)
			if !ok {
				continue
			}
			from := max(l.From.X-f.x, f.x-l.From.X) - f.half // beyond the field
			switch {
			case l.To.X == f.x && near(float64(l.To.Y), float64(-postHigh), 1e-9):
				leads++
			case l.Stroke.Width == postWide && from > 0 && from < postWide:
				posts++
			case l.From.X == l.To.X && l.Stroke.Width < 0.2 && from < 1:
				t.Errorf("%s: a graduation stands %v from its field", f.name, from)
			}
		}
		if posts != 2 || leads != 1 || postWide <= 2*0.12 {
			t.Errorf("%s: %d posts of %v, %d leaders", f.name, posts, postWide, leads)
		}
	}
}

// A line is within, only just, where its interval reaches out of its tolerance.
func TestOnlyJust(t *testing.T) {
	r := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: 0.2}.Audit(t)
	m := r.ByLine()[1]
	_, late := m.Allowed()
	if m.Verdict != diagnosis.Within || verdict(m) != "within" {
		t.Fatalf("%v ± %v of %v is %q", m.Offset.Value, m.Offset.Expanded, late, verdict(m))
	}
	near := *m.Offset
	near.Value = late - 0.9*near.Expanded
	m.Offset = &near
	if got := verdict(m); got != "within, only just" {
		t.Errorf("got %q", got)
	}
}

// A strip that came out wider says what it is wider than: the width that was asked for,
// or the usual one where nobody asked.
func TestAWiderStripSaysWhy(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["pump.yaml"]
	for _, c := range []struct {
		o    StripOptions
		says string
	}{
		{StripOptions{Full: true}, "mm wide, a strip is mostly 18.0 mm: all that"},
		{StripOptions{Full: true, Width: 16}, "mm wide, more than the 16.0 mm asked for: all that"},
	} {
		c.o.Thickness = 0.1
		d, err := Strip(r, c.o)
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for _, x := range texts(d.Pages[0]) {
			all = append(all, x.Text)
		}
		if !strings.Contains(strings.Join(all, " "), c.says) {
			t.Errorf("%+v: found no %q", c.o, c.says)
		}
	}
}

// printed is all that stands on the pages of a strip, in the order in which it is drawn.
func printed(t *testing.T, name string, o StripOptions) string {
	t.Helper()
	o.Thickness = 0.1
	d, err := Strip(reporttest.GoodAudits(t, os.DirFS("../../../testdata"))[name], o)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, page := range d.Pages {
		for _, x := range texts(page) {
			all = append(all, x.Text)
		}
	}
	return strings.Join(all, " ")
}

// What a reader at the bench took for something else, or missed, stands on the printed
// sheets. A STOP says where to begin again; whoever holds a sheet sees whether it is for
// this job; no flag says the nominal angle, by which a line named for it would be
// brought to the wrong one. The nominal angles and jobs are those of the sheets.
func TestPrintedSheetsSayWhatReadersMissed(t *testing.T) {
	for _, c := range []struct {
		sheet string
		o     StripOptions
		says  []string
		never []string
	}{
		{
			"demo",
			StripOptions{},
			[]string{"Only for job W-0588, crank pulley, line “inject 14” (now at 12.96 BTDC).", "1.9 mm (1.04°)", "middle of the old line", "Line “3-4” lies beyond the left end", "from true TDC the readout must show 14 BTDC ± 0.6° (its tolerance)", "cross out both, ask", "cut the ends off", "STOP said in 1 to 3: have it drawn anew", "begin at 4. Twice: scribe nothing", "CUT HERE", "OLD LINE HERE: inject 14", "beyond the paper's edge", "straight across", "Order from the left: new dot, old line, “static 4”", "DOUBT, go on: step coarser", "The DOUBT need not stop you", "caliper", "both check lines"},
			[]string{"14 BTDC: NEW", "NEW LINE HERE:", "corner"},
		},
		{
			"demo",
			StripOptions{Slope: 90},
			[]string{"STOP said in 1 to 3: have it drawn anew", "begin at 4. Twice: scribe nothing", "CARRY", "the old line and “static 4”, “1-6” on", "fuel and ignition off", "over the middle of the shaft", "outer edge of the face", "on “static 4”, at the black FOOT", "Snip the bar's white gap out", "in the MIDDLE of the gap", "of it flat", "face template 1 of 1", "The DOUBT need not stop you", "through its two dots", "on the outer edge, old line to gap dot, 1.9 ± 0.3 mm", "press the edge flat", "all three check lines", "1.5 mm on this paper", "DOUBT, go on", "at the FOOT: GOOD", "under its middle: BAD", "outside: STOP"},
			[]string{"corner", "both check lines", "14 BTDC: NEW", "arc", "square"},
		},
		{
			"demo",
			StripOptions{Full: true},
			[]string{"a line with a WHITE ball to its line on the part. White is OLD. A BLACK ball is the NEW line", "WHITE ball: OLD line; BLACK ball: NEW", "The piece to cut out comes after the steps", "old line to its dot: inject 14 1.9 mm, each ± 0.3 mm"},
			[]string{"white number", "said below"},
		},
		{
			"fixed-scale.yaml",
			StripOptions{Force: true, Path: "/somewhere/else/fixed-scale.yaml"},
			[]string{"Sheet fixed-scale.yaml", "BETTER NOT: the new line would be known to ± 4.3° only", "Better scribe nothing"},
			[]string{"/somewhere", "all the same"},
		},
		{
			"window.yaml",
			StripOptions{},
			[]string{"DOUBT, look first: running way not confirmed", "readout off, stop out, all plugs out", "find TDC anew. Paper for the wrong way", "Read the scale by it, from true TDC", "“T” 0, “B” 180 ATDC", "you look from the wrong side", "Only if the turning line alone is at fault", "Rule to its check length. Then for a small window", "cut both ends off; flags and outlined arrow stay", "DOUBT, go on: step coarser", "or the maker's figure", "to 50.1 mm, or print again", "the felt line on the left", "within ± 0.5° of its place", "LEFT in the window and on this strip"},
			[]string{"go on: running"},
		},
		{"pump.yaml", StripOptions{}, []string{"DOUBT, go on: step coarser than scatter", "DOUBT, go on: remounting not covered"}, []string{"look first"}},
		{"banks.yaml", StripOptions{}, []string{"SET", "Strip off", "over the anticlockwise dot; dividers, dot to dot: 1.6 ± 0.3 mm", "back to the fixed dot", "tip back to its dot", "if the pointer is at fault, set its tip", "Only if pointer or tab is found bent or loose. Nothing found, or an outer ring slipped on its hub (rubber torn, paint mark broken): set nothing.", "in 1 to 3: have it", "at both FEET, close beside the tip", "Crank anywhere, blocked", "from the TDC of its own cylinder", "“10 of 2” 10 BTDC", "Twice: set nothing"}, []string{"scriber", "BETTER NOT"}},
	} {
		all := printed(t, c.sheet, c.o)
		flat := strings.Join(strings.Fields(all), " ")
		for _, want := range c.says {
			if !strings.Contains(flat, want) && !strings.Contains(strings.ReplaceAll(flat, "▲ ", ""), want) {
				t.Errorf("%s %+v: found no %q in %s", c.sheet, c.o, want, flat)
			}
		}
		for _, never := range c.never {
			if strings.Contains(flat, never) {
				t.Errorf("%s %+v: says %q", c.sheet, c.o, never)
			}
		}
	}
}

// The words that say where to cut stand in the waste of every piece, clear of both
// staffs and of the posts.
func TestWhereToCutStandsInTheWaste(t *testing.T) {
	audits := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, name := range []string{"demo", "pump.yaml", "window.yaml", "banks.yaml"} {
		for _, o := range []StripOptions{{}, {Slope: 90}, {Full: true, Force: true}} {
			s := stripperFor(audits[name], o)
			jobs, err := s.jobs()
			if err != nil {
				t.Fatal(err)
			}
			all, err := s.fitAll(jobs)
			if err != nil {
				t.Fatal(err)
			}
			for _, both := range all {
				f := both.paged
				for i, p := range f.pieces {
					items := f.cutHere(p, i)
					if len(items) != 1 {
						t.Errorf("%s %+v: piece %d says %d times where to cut", name, o, i+1, len(items))
						continue
					}
					x := items[0].(drawing.Text)
					if -x.At.Y+0.72*x.Size > -wasteDeep || -x.At.Y < -7 || x.At.X < p[0] || x.At.X+x.Extent() > p[1] {
						t.Errorf("%s %+v: %q stands at %v of %v", name, o, x.Text, x.At, p)
					}
					for _, flag := range f.ribbon.flags {
						if flag.x > x.At.X-1 && flag.x < x.At.X+x.Extent()+1 {
							t.Errorf("%s %+v: the staff at %v runs through %q", name, o, flag.x, x.Text)
						}
					}
				}
			}
		}
	}
}

// A felt line that stands for a small move must come up nearer to where it belongs than
// to the old line: within the tolerance the old one may be as well. By hand: a line of 14
// BTDC that comes at 13.4 moves by 0.6, half of which is less than its tolerance of half
// a degree; half of 3 is more.
func TestAFeltLineMustComeNearerThanTheOldOne(t *testing.T) {
	for _, c := range []struct {
		late float64
		want string
	}{
		{0.55, "and not at 13.400 BTDC, as the old one does: within 0.30°"},
		{3, "within ± 0.5°"},
	} {
		r := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: c.late}.Audit(t)
		m := r.ByLine()[1]
		if got := stripperFor(r, StripOptions{}).nearer(m); got != c.want {
			t.Errorf("late by %g: got %q, want %q", c.late, got, c.want)
		}
	}
}

// A template has a white gap in its black bar straight above the foot of the black flag,
// and no other: a point there and one at the foot give the line its direction. A strip on
// a rim, where a square does that, has none.
func TestATemplateHasAGapAboveTheNewLine(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["pump.yaml"]
	i := slices.IndexFunc(r.ByLine(), func(m audit.LineResult) bool { return m.Name == "inject 23" })
	for slope, title := range map[geometry.Angle]string{0: "Strips for Brickworks pump", 90: "Templates for Brickworks pump"} {
		if got := stripperFor(r, StripOptions{Slope: slope}).title(); !strings.HasPrefix(got, title) {
			t.Errorf("on %v: the file is called %q", slope, got)
		}
	}
	for _, slope := range []geometry.Angle{0, 45, 90} {
		strip := stripperFor(r, StripOptions{Slope: slope}).single(r.ByLine()[i]).build(60, 0, "")
		items, _, _ := strip.draw(0, strip.length, 0, 1)
		var gaps []geometry.Length
		for _, item := range items {
			p, ok := item.(drawing.Polygon)
			if !ok || p.Fill != drawing.White || len(p.Points) != 4 {
				continue
			}
			low, high := geometry.Length(1e9), geometry.Length(-1e9)
			for _, at := range p.Points {
				low, high = min(low, -at.Y), max(high, -at.Y)
			}
			if low < strip.on.width-barDeep && high > strip.on.width {
				gaps = append(gaps, (p.Points[0].X+p.Points[2].X)/2)
			}
		}
		fresh := strip.flags[slices.IndexFunc(strip.flags, func(f flag) bool { return f.fresh })].x
		if slope == 0 && len(gaps) > 0 || slope > 0 && (len(gaps) != 1 || !near(gaps[0].Millimetres(), fresh.Millimetres(), 1e-9)) {
			t.Errorf("on %v: gaps at %v, the new line at %v", slope, gaps, fresh)
		}
	}
}

// A loose note takes the room that an earlier column has left; what has an order keeps it.
// By hand: columns 100 and 100 high with steps of 60, 60 and a note of 20 on lines of 10.
func TestALooseNoteFillsAnEarlierColumn(t *testing.T) {
	of := func(lines int, loose bool) block {
		return block{lines: make([]string, lines), size: 10 / 1.24, loose: loose}
	}
	all := []textColumn{{left: 0}, {left: 50}}
	for _, c := range []struct {
		loose bool
		want  []geometry.Length
	}{{true, []geometry.Length{0, 50, 0}}, {false, []geometry.Length{0, 50, 50}}} {
		places := filled([]block{of(6, false), of(6, false), of(2, c.loose)}, all, 100)
		for i, want := range c.want {
			if len(places) != 3 || places[i].X != want {
				t.Fatalf("loose %v: %v, want columns %v", c.loose, places, c.want)
			}
		}
	}
}

// A strip for one line, drawn by force beside that for the pointer, says nothing of a
// pointer that is set: its line is scribed. On a face its lines are carried on.
func TestAForcedLineIsNotTakenForThePointer(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["banks.yaml"]
	for _, slope := range []geometry.Angle{0, 90} {
		s := stripperFor(r, StripOptions{Force: true, Slope: slope})
		given, ok := s.offAlike()
		if !ok {
			t.Fatal("the lines are not off alike")
		}
		said := func(j job) (all string) {
			for _, one := range j.steps {
				all += one.word + " " + one.text + "\n"
			}
			return all
		}
		if text := said(s.alike(given)); !strings.Contains(text, "set nothing") || strings.Contains(text, "CARRY") {
			t.Errorf("on %v, for the pointer: %s", slope, text)
		}
		if text := said(s.single(r.ByLine()[0])); strings.Contains(text, "set nothing") || strings.Contains(text, "ring slipped") || !strings.Contains(text, "Twice: scribe nothing") || strings.Contains(text, "CARRY") != (slope != 0) {
			t.Errorf("on %v, for a line: %s", slope, text)
		}
	}
}
