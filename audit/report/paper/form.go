package paper

import (
	"fmt"
	"io"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// The form to fill in by hand at the engine. It asks questions; the sheet's name of
// each answer stands small behind it, for who types it in afterwards. Its pages come in
// the order of the sheet.

// FormTitle is the form's name.
const FormTitle = "markaudit: a form to fill in at the engine"

// Form returns the blank form, a scene a page, without margins.
func Form() []drawing.Scene { return scenes(forms()) }

// FormPages returns the form on sheets of paper, for a PDF.
func FormPages(on document.Paper) []drawing.Scene { return onPaper(Form(), on) }

// FormHTML writes the form as a page, from which it prints.
func FormHTML(w io.Writer) error { return pagesHTML(w, FormTitle, Form()) }

func scenes(all []*form) (out []drawing.Scene) {
	for i, f := range all {
		f.scene.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth, Y: 8.2}, Size: askSize, Anchor: drawing.End, Text: fmt.Sprintf("page %d of %d", i+1, len(all))})
		out = append(out, f.scene)
	}
	return out
}

func onPaper(pages []drawing.Scene, on document.Paper) []drawing.Scene {
	for i, p := range pages {
		pages[i] = p.Placed(drawing.Point{X: on.Left(), Y: document.Margin}, on.Width, on.Height)
	}
	return pages
}

func pagesHTML(w io.Writer, title string, pages []drawing.Scene) error {
	if err := document.HTMLStart(w, title); err != nil {
		return err
	}
	for _, p := range pages {
		if err := document.HTMLPart(w, document.Doc{document.Figure{Scene: p}}); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, document.HTMLEnd)
	return err
}

func forms() []*form {
	return []*form{formEngine(), formReadout(), formStop(), formWithoutStop()}
}

// formEngine is the first page: cautions, engine, part.
func formEngine() *form {
	f := newForm("Before you start")
	f.cautions("If the maker forbids turning back: take page 4 instead of page 3, and turn forward only.")
	f.note("RING the unit of every length. Leave empty what you do not know: nothing is guessed for you. MUST: has to be answered.")
	f.section("engine")
	f.row().ask("Which way does it run, as you look at the marks?", "turns", true).tick("clockwise").tick("anticlockwise")
	f.row().ask("Stroke", "stroke", false).length(30).to(92).ask("Rod, centre to centre", "rod", false).length(24)
	f.row().ask("Pin off centre?", "pin_offset", false).length(22).tick("thrust side").tick("crankpin side").tick("not known")
	f.section("part")
	f.row().ask("Number, stamped or cast on the part with the marks", "number", false).cell(60)
	f.row().ask("What carries the lines?", "marks_on", true).tick("the turning part").tick("the engine: a fixed scale")
	f.label("From the TDC line, which way do the BTDC lines lie? Look at the metal.", "btdc_lines", false)
	f.row().tick("clockwise").tick("anticlockwise").tick("there are none")
	f.row().ask("Rim at the lines", "diameter", false).cell(30).word("±").length(16).tick("across").tick("round, by tape")
	f.row().ask("Sighting on the rim, at most", "sighting", false).length(20).to(106).ask("Teeth of a ring gear", "teeth", false).cell(24)
	f.row().ask("Outer ring on rubber?", "build", false).tick("yes").tick("no").to(92).ask("Half the crank's speed?", "turns", false).tick("yes").tick("no")
	f.small("Pin: the piston pin beside the middle of the piston. Sighting: how far you may misread a line; move your head a hand each way, half of what it shifts.")
	f.sketch()
	return f
}

// formReadout is the second page: readout, limits, lines.
func formReadout() *form {
	f := newForm("Readout, limits, lines")
	f.section("readout")
	f.row().ask("What do you read?", "kind", false).tick("degree wheel").tick("encoder").tick("tape on the rim")
	f.row().ask("Smallest step", "step", true).cell(22).word("°").to(72).ask("As it runs, the number goes", "counts", true).tick("up").tick("down")
	f.row().ask("A quarter turn on, the way it runs: it showed, then shows", "quarter_turn", false).cell(28).cell(28)
	f.row().ask("Wheel across", "diameter", false).length(24).to(84).ask("Off centre, at most", "off_centre", false).length(22)
	f.row().ask("Only if it is driven: lost motion in all", "lost_motion", false).cell(26).word("±").cell(22).word("°")
	f.section("limits")
	f.row().ask("Tolerance, each way", "tolerance", true).cell(22).word("°").to(84).ask("Remounting changes", "remount", false).word("±").cell(22).word("°")
	f.row().ask("Piston rock, at most", "contact", false).length(22).to(84).ask("A new line placed to", "placement", false).length(22)
	f.small("Piston rock: how much higher or lower the stop may touch on one side of the crown. Remounting: what taking the readout off and on again may change.")
	f.section("marks")
	f.title("Lines to be judged: name and place MUST be there", "belongs at: 0, 10 BTDC, 4 ATDC; 120 = 120 ATDC")
	f.table([]column{{"name, as on the part", 62}, {"belongs at", 40}, {"tolerance, if its own", 30}, {"cut on: ring, hub", 26}, {"cylinder", 22}}, blankRows(12))
	return f
}

// formStop is a setup with a stop. Before every fitting of the stop the piston is
// brought well down, by a step of its own.
func formStop() *form {
	f := newForm("One setup, with a stop")
	f.small("A new copy whenever the readout was moved, refitted or zeroed, or the stop was moved. No stop, or no turning back? The next page.")
	f.section("setups")
	f.setup("Stop in CYLINDER")
	f.section("stop")
	f.row().titled("STOP IN").tick("piston well down first").tick("then the stop").word("Same light touch both ways.")
	f.note("Forward: turn the way it runs until the piston meets the stop. Backward: turn AGAINST the way it runs until it meets the stop from the other side of TDC. The piston is rising both times.")
	f.table([]column{{"pair", 14}, {"forward: the way it runs", 55}, {"backward: against the way it runs", 55}, {"struck, because", 56}}, numbered(5))
	f.section("marks")
	f.row().titled("STOP OUT").tick("it is out").word("Come to each line the way it runs. Gone past? Ten degrees back, and again.")
	f.table([]column{{"line", 56}, {"1", 32}, {"2", 32}, {"3", 32}, {"turned backward", 28}}, blankRows(7))
	f.section("closing")
	f.row().titled("STOP IN AGAIN").tick("piston well down first").word("C, the closing pair: it shows that nothing moved.")
	f.table([]column{{"pair", 14}, {"forward", 55}, {"backward", 55}, {"note", 56}}, [][]string{{"C"}})
	f.row().titled("LAST STEP: STOP OUT").tick("I have looked, the hole is empty").word("Only then turn past TDC.")
	return f
}

// formWithoutStop is a setup by equal drops, or by a sweep. Either is turned in one of
// two ways: forward only, or with the piston rising to each point, which takes turning
// back after TDC.
func formWithoutStop() *form {
	f := newForm("One setup, without a stop")
	f.instead = true
	f.small("With an indicator on the piston. Take WAY A or WAY B, not both. Both need stroke and rod. A new copy whenever readout or indicator was moved.")
	f.section("setups")
	f.setup("Indicator on CYLINDER")
	turning := func() {
		f.row().ask("Tick ONE", "approach", false).tick("all turned the way it runs").tick("piston always rising: turned back after TDC")
	}
	f.section("equal_drop")
	f.row().titled("WAY A: EQUAL DROPS").ask("Drops in", "drop", false).units()
	turning()
	f.table([]column{{"drop of the piston", 36}, {"before TDC: 1", 36}, {"2", 36}, {"after TDC: 1", 36}, {"2", 36}}, blankRows(3))
	f.section("sweep")
	f.row().titled("WAY B: SWEEP").word("Five points or more.").ask("Indicator in", "height", false).units()
	turning()
	f.table([]column{{"reading", 30}, {"indicator", 30}, {"reading", 30}, {"indicator", 30}, {"reading", 30}, {"indicator", 30}}, blankRows(3))
	f.section("marks")
	f.row().titled("LINES").word("Come to each the way it runs. Gone past? Ten degrees back or once more round, and again.")
	f.table([]column{{"line", 56}, {"1", 32}, {"2", 32}, {"3", 32}, {"turned backward", 28}}, blankRows(6))
	f.row().titled("LAST STEP: INDICATOR OUT").tick("I have looked, the hole is empty")
	return f
}

// setup asks what every setup is known by, for the cylinder, and once more for step and
// count of the readout, which may be another one.
func (f *form) setup(cylinder string) {
	f.row().ask("Setup number", "", false).cell(16).ask("Who", "by", false).cell(42).ask("Date", "date", false).cell(34)
	f.row().ask(cylinder, "cylinder", false).cell(14).ask("Step", "", false).cell(16).word("°").ask("It counts", "", false).tick("up").tick("down")
}

// again asks for the step and the count of a readout on a page of its own.
func (f *form) again() {
	f.row().ask("Step of the readout", "", false).cell(24).word("°").to(82).ask("As it runs, the number goes", "", false).tick("up").tick("down")
}

// Sizes on the form. A box holds a cross from a greasy hand, a cell a number.
const (
	formHeight geometry.Length = 251 // fits A4 and Letter within 14 mm
	boxSide    geometry.Length = 10
	rowHeight  geometry.Length = 12.4
	askSize    geometry.Length = 3.4
	hintSize   geometry.Length = 2
)

var cellStroke = drawing.Stroke{Width: 0.3, Ink: drawing.Black}
