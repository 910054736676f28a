package paper

import (
	"fmt"
	"io"
	"strings"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// The blank form: what a sheet asks for, on paper, in the order of the sheet.

// formHeight is that of a page's contents: it fits A4 and Letter upright.
const formHeight geometry.Length = 245

// blank is one thing to fill in. Key is its name on the sheet.
type blank struct {
	key, words string
	choices    []string // boxes to tick
	unit       string   // behind the line to write on
	must       bool     // the sheet is refused without it
	half       bool     // shares its row with the next
}

// The parts of the form, as on the sheet.
var (
	formHead = []blank{
		{key: "title", words: "engine and part"},
		{key: "job", half: true},
		{key: "date"},
	}
	formEngine = []blank{
		{key: "number", words: "the engine's own"},
		{key: "turns", words: "as you look at the marks", choices: []string{"clockwise", "anticlockwise"}, must: true},
		{key: "stroke", unit: "mm", half: true},
		{key: "rod", words: "centre to centre", unit: "mm"},
		{key: "pin_offset", unit: "mm to", choices: []string{"thrust side", "crankpin side", "side unknown"}},
		{key: "bore_offset", unit: "mm to", choices: []string{"thrust side", "crankpin side", "side unknown"}},
		{key: "marks_refer_to", words: "TDC of", choices: []string{"piston", "throw"}},
	}
	formPart = []blank{
		{key: "name", half: true},
		{key: "number", words: "stamped on it"},
		{key: "seen_from", words: "where you stand"},
		{key: "marks_on", choices: []string{"part: lines turn", "engine: the scale is fixed"}, must: true},
		{key: "btdc_lines", words: "from the TDC line; from the metal", choices: []string{"clockwise", "anticlockwise"}},
		{key: "diameter", words: "of the rim", unit: "± ______ mm", half: true},
		{key: "circumference", words: "or", unit: "± ______ mm"},
		{key: "sighting", words: "on the rim  ±", unit: "mm", half: true},
		{key: "read_at", choices: []string{"centre", "leading", "trailing edge"}},
		{key: "teeth", words: "of the ring gear", half: true},
		{key: "build", choices: []string{"bonded ring"}},
		{key: "turns", words: "of the part, to two of the crank", choices: []string{"half"}, half: true},
		{key: "moves", choices: []string{"left", "right", "up", "down"}},
	}
	formReadout = []blank{
		{key: "name", half: true},
		{key: "kind", choices: []string{"wheel", "encoder", "rim"}},
		{key: "step", words: "smallest you write down", unit: "°", must: true, half: true},
		{key: "counts", words: "as it runs", choices: []string{"up", "down"}, must: true},
		{key: "numbered", choices: []string{"round", "both ways"}, half: true},
		{key: "quarter_turn", words: "before, after"},
		{key: "diameter", words: "of the wheel", unit: "mm", half: true},
		{key: "off_centre", words: "at most", unit: "mm"},
		{key: "lost_motion", words: "in all", unit: "± ______ °"},
	}
	formLimits = []blank{
		{key: "tolerance", words: "each way  ±", unit: "°", must: true, half: true},
		{key: "remount", words: "±", unit: "°"},
		{key: "contact", words: "piston rock  ±", unit: "mm", half: true},
		{key: "placement", words: "of a new line", unit: "mm"},
	}
)

// Form returns the blank form, a scene a page.
func Form() []drawing.Scene {
	var pages []drawing.Scene
	for _, f := range forms() {
		pages = append(pages, f.scene)
	}
	return pages
}

func forms() []*form {
	first := newForm("Before you start")
	first.cautions()
	first.section("", formHead)
	first.section("engine", formEngine)
	first.section("part", formPart)
	first.sketch()

	second := newForm("Readout, limits and lines")
	second.section("readout", formReadout)
	second.section("limits", formLimits)
	second.section("marks", nil)
	second.say("Every line to be judged. At: where it belongs, such as 0, 10 BTDC, 4 ATDC, 120.")
	second.table([]string{"name", "at", "tolerance, if its own", "on: ring, hub, …", "cylinder"}, []geometry.Length{56, 34, 34, 34, 22}, 12, nil)

	third := newForm("One setup")
	third.say("A new copy of this page each time the readout is moved, mounted again or zeroed, or the stop is moved.")
	third.section("setups", []blank{{key: "by", half: true}, {key: "date"}, {key: "note"}, {key: "mounting", half: true}, {key: "cylinder"}})
	third.section("stop", nil)
	third.say("Piston well down, then fit the stop. Forward: turning the way it runs, piston on its way up. Backward: back to the stop from the other side. Strike out what you do not trust, keep it legible, and write the reason.")
	third.table([]string{"pair", "forward", "backward", "struck, because"}, []geometry.Length{14, 44, 44, 78}, 5, []string{"1", "2", "3", "4", "5"})
	third.section("marks", nil)
	third.say("The stop is OUT. Come to each line turning the way it runs; gone past it, ten degrees back and again.")
	third.table([]string{"line", "forward 1", "forward 2", "forward 3", "backward 1", "backward 2", "backward 3"}, []geometry.Length{42, 23, 23, 23, 23, 23, 23}, 8, nil)
	third.section("closing", nil)
	third.say("Piston well down first: it may stand at the top now. Then the stop in once more, one pair.")
	third.table([]string{"", "forward", "backward", ""}, []geometry.Length{14, 44, 44, 78}, 1, []string{"closing"})
	third.say("LAST STEP: ease off and TAKE THE STOP OUT, before anyone turns the engine past TDC. I have looked, and the hole is empty:")
	third.signature()

	pages := []*form{first, second, third}
	for i := range pages {
		pages[i].scene.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth, Y: formHeight - 1}, Size: drawing.NoteSize, Anchor: drawing.End, Ink: drawing.Grey, Text: fmt.Sprintf("page %d of %d", i+1, len(pages))})
	}
	return pages
}

// FormPages returns the form on sheets of A4, for a PDF.
func FormPages() []drawing.Scene {
	pages := Form()
	for i, p := range pages {
		pages[i] = p.Placed(drawing.Point{X: (210 - drawing.PageWidth) / 2, Y: 15}, 210, 297)
	}
	return pages
}

// FormHTML writes the form as a page, from which it prints.
func FormHTML(w io.Writer) error {
	if err := document.HTMLStart(w, FormTitle); err != nil {
		return err
	}
	for _, p := range Form() {
		if err := document.HTMLPart(w, document.Doc{document.Figure{Scene: p}}); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, document.HTMLEnd)
	return err
}

// FormTitle is the form's name.
const FormTitle = "markaudit: a form to fill in at the engine"

type form struct {
	scene drawing.Scene
	y     geometry.Length
	keys  []string // asked for so far, for the test of their order
}

const rowHeight geometry.Length = 7.4

func newForm(title string) *form {
	f := &form{scene: drawing.Titled(title, "")}
	f.scene.Title = FormTitle + ": " + title
	f.scene.Description = "A page of boxes and lines to write on, in the order of the sheet."
	f.scene.Height, f.y = formHeight, 8
	return f
}

func (f *form) say(text string) {
	for _, line := range drawing.Wrap(text, drawing.NoteSize, drawing.PageWidth, 6) {
		f.y += 3.3
		f.scene.Add(drawing.Text{At: drawing.Point{X: 0, Y: f.y}, Size: drawing.NoteSize, Text: line})
	}
	f.y += 1
}

func (f *form) cautions() {
	for _, line := range drawing.Wrap(strings.Join(words.Cautions(), " "), drawing.TextSize, drawing.PageWidth, 8) {
		f.y += 3.9
		f.scene.Add(drawing.Text{At: drawing.Point{X: 0, Y: f.y}, Size: drawing.TextSize, Text: line})
	}
	f.y += 1
}

// section writes a part's name and what it asks for.
func (f *form) section(name string, all []blank) {
	if name != "" {
		f.y += 8
		f.scene.Add(
			drawing.Text{At: drawing.Point{X: 0, Y: f.y}, Size: drawing.TitleSize, Ink: drawing.Deep, Text: name},
			drawing.Line{From: drawing.Point{X: 0, Y: f.y + 1.2}, To: drawing.Point{X: drawing.PageWidth, Y: f.y + 1.2}, Stroke: drawing.Thin},
		)
		f.y += 1.2
		f.keys = append(f.keys, name)
	}
	x := geometry.Length(0)
	for _, b := range all {
		if x == 0 {
			f.y += rowHeight
		}
		to := drawing.PageWidth
		if b.half {
			to = drawing.PageWidth/2 - 3
		}
		f.ask(b, x, to)
		if x = 0; b.half {
			x = drawing.PageWidth/2 + 3
		}
	}
}

// ask draws one thing to fill in between two places of a row.
func (f *form) ask(b blank, x, to geometry.Length) {
	f.keys = append(f.keys, b.key)
	text := func(words string, size geometry.Length, ink drawing.Ink) {
		f.scene.Add(drawing.Text{At: drawing.Point{X: x, Y: f.y}, Size: size, Ink: ink, Text: words})
		x += drawing.Width(words, size) + 1.5
	}
	key := b.key
	if b.must {
		key += " *"
	}
	text(key, drawing.TextSize, drawing.Black)
	if b.words != "" {
		text(b.words, drawing.NoteSize, drawing.Grey)
	}
	boxes := geometry.Length(0)
	for _, c := range b.choices {
		boxes += 4.6 + drawing.Width(c, drawing.TextSize) + 4
	}
	line := to - boxes
	if b.unit != "" {
		line -= drawing.Width(b.unit, drawing.TextSize) + 2
	}
	if len(b.choices) == 0 || b.unit != "" {
		f.scene.Add(drawing.Line{From: drawing.Point{X: x, Y: f.y + 0.8}, To: drawing.Point{X: line, Y: f.y + 0.8}, Stroke: drawing.Hair})
		x = line + 1.5
		if b.unit != "" {
			text(b.unit, drawing.TextSize, drawing.Black)
		}
	}
	for _, c := range b.choices {
		f.scene.Add(drawing.Rectangle(drawing.Point{X: x + 0.4, Y: f.y - 2.7}, 3.4, 3.4, drawing.White, drawing.Thin))
		x += 5.2
		text(c, drawing.TextSize, drawing.Black)
		x += 2
	}
}

// table draws rows to write in; the first column may hold texts.
func (f *form) table(header []string, widths []geometry.Length, rows int, first []string) {
	const row geometry.Length = 7.6
	x := geometry.Length(0)
	top := f.y + 1
	bottom := top + 5 + geometry.Length(rows)*row
	for i, w := range widths {
		f.scene.Add(
			drawing.Text{At: drawing.Point{X: x + 1, Y: top + 3.6}, Size: drawing.NoteSize, Text: header[i]},
			drawing.Line{From: drawing.Point{X: x, Y: top}, To: drawing.Point{X: x, Y: bottom}, Stroke: drawing.Hair},
		)
		x += w
	}
	f.scene.Add(drawing.Line{From: drawing.Point{X: x - 0.1, Y: top}, To: drawing.Point{X: x - 0.1, Y: bottom}, Stroke: drawing.Hair})
	f.scene.Add(drawing.Line{From: drawing.Point{X: 0, Y: top}, To: drawing.Point{X: x, Y: top}, Stroke: drawing.Hair})
	for i := range rows + 1 {
		y := top + 5 + geometry.Length(i)*row
		f.scene.Add(drawing.Line{From: drawing.Point{X: 0, Y: y}, To: drawing.Point{X: x, Y: y}, Stroke: drawing.Hair})
		if i < len(first) {
			f.scene.Add(drawing.Text{At: drawing.Point{X: 1, Y: y + 5}, Size: drawing.NoteSize, Text: first[i]})
		}
	}
	f.y = bottom + 1
}

// sketch is the part as one looks at it, for an arrow and lines to be drawn in.
func (f *form) sketch() {
	const radius geometry.Length = 23
	centre := drawing.Point{X: radius + 6, Y: f.y + radius + 9}
	f.scene.Add(
		drawing.Circle{Centre: centre, Radius: radius, Fill: drawing.White, Stroke: drawing.Thin},
		drawing.Circle{Centre: centre, Radius: 5, Fill: drawing.White, Stroke: drawing.Hair},
		drawing.Circle{Centre: centre, Radius: radius - 7, Stroke: drawing.Stroke{Width: 0.2, Ink: drawing.Grey, Dashed: true}},
	)
	y := centre.Y - 12
	for _, line := range []string{
		"The part as you look at the marks. Draw in:",
		"1  an arrow on the dashed circle, the way it runs;",
		"2  the pointer, or where the fixed scale sits;",
		"3  the TDC line under it, and the other lines where you see them;",
		"4  at each line its name.",
		"* The sheet is refused without it.",
	} {
		f.scene.Add(drawing.Text{At: drawing.Point{X: 2*radius + 18, Y: y}, Size: drawing.TextSize, Text: line})
		y += 5.4
	}
	f.y = centre.Y + radius + 2
}

func (f *form) signature() {
	y := f.y + 12
	for i, word := range []string{"name", "date", "signature"} {
		x := geometry.Length(i) * 62
		f.scene.Add(
			drawing.Line{From: drawing.Point{X: x, Y: y}, To: drawing.Point{X: x + 54, Y: y}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: x, Y: y + 3.4}, Size: drawing.NoteSize, Ink: drawing.Grey, Text: word},
		)
	}
	f.y = y + 5
}
