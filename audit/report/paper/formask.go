package paper

import (
	"fmt"
	"strconv"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// The pages that are filled in before the engine is turned.

// job is the first row of these pages.
func (f *form) job() *row { return f.row().ask("Job", "job").cell(58) }

// formEngine is the first page: cautions, engine, part.
func formEngine() *form {
	f := newForm("1  Before you start", fmt.Sprintf("fill in once, with page 2; page %d only if something applies", rarePage))
	f.job().word("A new setup: readout or stop was fitted anew. Copy a page", fmt.Sprintf("for each: %d with a stop, %d equal drops, or %d a sweep.", stopPage, dropsPage, sweepPage))
	f.lead = 10.8
	f.legend()
	f.cautions([2]string{fmt.Sprintf("NO: no stop; page %d or %d.", dropsPage, sweepPage), "Not sure: cross neither, read on."},
		[2]string{"NO: only forward, no stop.", fmt.Sprintf("Take page %d or %d.", dropsPage, sweepPage)},
		"Valves not sure: neither stop nor indicator until the engine maker's data tell. An indicator's tip must clear them over the whole swing. No turning back: whole turns only with the tip OUT.")
	f.row().ask("Engine", "title").cell(72).to(100).ask("Its number", "engine.number").cell(48)
	f.row().ask("Which way does it run, as you look at the marks?", "engine.turns").must().tick("clockwise").tick("anticlockwise")
	f.row().ask("Stroke", "engine.stroke").length(34, "").to(92).ask("Rod, centre to centre", "engine.rod").length(28, "")
	f.row().ask("Part with the lines", "part.name").cell(55).to(100).ask("Its number", "part.number").cell(48)
	f.row().ask("You look at the marks from the", "part.seen_from").cell(50).word("end of the engine")
	f.row().ask("What carries the lines?", "part.marks_on: part, engine").must().tick("the turning part").tick("the engine:", "a fixed scale")
	f.row().ask("From TDC, the BTDC lines lie", "part.btdc_lines").tick("clockwise").tick("anticlockwise").tick("there are", "none").word("Look at the part,", "do not reason.")
	f.row().ask("Rim, at the lines", "part.diameter, part.circumference").limited(28, 22).tick("across").tick("round,", "by tape")
	f.sketch()
	return f
}

// legend says how the form is filled in, by boxes that are.
func (f *form) legend() {
	f.title("How to fill it in")
	r := f.row()
	pen := drawing.Stroke{Width: 0.5, Ink: drawing.Black}
	crossed := drawing.Point{X: r.x + boxSide/2, Y: r.y + boxSide/2}
	r.tick("a cross:", "yes, this one")
	ringed := drawing.Point{X: r.x + boxSide/2, Y: r.y + boxSide/2}
	r.units()
	f.scene.Add(
		drawing.Line{From: crossed.Plus(-3, -3), To: crossed.Plus(3, 3), Stroke: pen},
		drawing.Line{From: crossed.Plus(-3, 3), To: crossed.Plus(3, -3), Stroke: pen},
		drawing.Circle{Centre: ringed, Radius: 4, Stroke: pen})
	r.x -= 1.4
	r.word("ring the unit", "of a length")
	r.x += 2
	r.must().tick("MUST: answer it;", "of several, one")
	r.word("Not known? Leave it empty.", "Words like engine.turns: ignore")
}

const byHand = "Turned by hand only, never the starter"

// cautions are boxes to tick before the stop goes in. What a NO to the two questions
// means is said by valves and backward, who tells by unsure.
func (f *form) cautions(valves, backward [2]string, unsure string) {
	f.title("Cautions: each done, or not there. One left empty: DO NOT START")
	for i := range 2 {
		x := geometry.Length(i) * 93
		f.text(x, f.y+3, drawing.Text{Size: wordSize, Bold: true, Text: "done"})
		f.text(x+boxSide+0.8, f.y+3, drawing.Text{Size: wordSize, Bold: true, Text: "not there"})
	}
	f.y += 4
	for _, pair := range [][2]string{
		{"All plugs or injectors out", "Battery off, magneto earthed"},
		{"Fuel, gas, air start shut; out of gear", byHand},
		{"Heavy flywheel: turned slowly, with a bar", "Head off: liner held, hands off the deck"},
	} {
		for i, words := range pair {
			x := geometry.Length(i) * 93
			f.box(x, f.y, boxSide, boxSide, mustStroke)
			if words != byHand { // no engine is without it
				f.box(x+boxSide, f.y, 14, boxSide, mustStroke)
			}
			f.text(x+boxSide+15.6, f.y+6.2, drawing.Text{Size: wordSize, Text: words})
		}
		f.y += boxSide
	}
	f.y += 0.6
	f.row().ask("Do stop and piston clear both valves, at overlap too?", "").must().to(88).tick("YES").tick("NO").word(valves[:]...)
	f.row().ask("Do maker, belts and chains allow turning backward?", "").must().to(88).tick("YES").tick("NO").word(backward[:]...)
	f.rules(unsure)
	f.rules("Stop OUT before TDC is passed. The maker's data, local rules, licensed practice come first.")
	f.rule()
}

// sketch is the part as one looks at it, for an arrow and lines to be drawn in.
func (f *form) sketch() {
	const radius geometry.Length = 21
	centre := drawing.Point{X: radius + 4, Y: f.y + radius + 5}
	f.scene.Add(
		drawing.Circle{Centre: centre, Radius: radius, Fill: drawing.White, Stroke: cellStroke},
		drawing.Circle{Centre: centre, Radius: 4, Fill: drawing.White, Stroke: drawing.Thin},
		drawing.Circle{Centre: centre, Radius: radius - 4, Stroke: drawing.Stroke{Width: 0.25, Ink: drawing.Black, Dashed: true}},
		drawing.Text{At: centre.Plus(0, -radius-1), Size: wordSize, Anchor: drawing.Middle, Text: "top"},
	)
	y := f.y + 6
	f.text(2*radius+12, y, drawing.Text{Size: askSize, Bold: true, Text: "Draw, with the TDC line at the pointer:"})
	for i, line := range []string{
		"an arrow on the dashed circle: the way it runs", "the pointer, or where the fixed scale sits",
		"every line where you see it then, with its number of page 2", "a stroke through the number of a line that you cannot read",
	} {
		y += 6
		f.text(2*radius+12, y, drawing.Text{Size: askSize, Text: strconv.Itoa(i+1) + "  " + line})
	}
	f.y = max(centre.Y+radius+2, y+1)
}

// formReadout is the second page: readout, limits, lines.
func formReadout() *form {
	f := newForm("2  Readout and lines", "fill in once; readout: the wheel, encoder or tape you read")
	f.job()
	f.lead = 12.2
	f.row().ask("Name or number of the readout", "readout.name").cell(40)
	f.row().ask("What is it?", "readout.kind, readout.measured").tick("degree wheel").tick("encoder").tick("rim: tape", "laid round").tick("rim: rule", "straight across")
	f.rules("Rim: lengths from a chalk line. Write mm or in over every ° of the form, + or - for its side.")
	f.row().ask("Smallest step that you write down", "readout.step").must().number(32, "", "°")
	f.row().ask("Engine turned the way it runs: number", "readout.counts, readout.numbered").must().tick("goes up").tick("goes down").tick("0 to 180, on", "both sides of 0")
	f.rules("0 to 360: up or down; write what it shows, such as 338.0.")
	f.rules("0-180-0: behind every reading write BTDC where the number falls towards 0 as the engine turns the way it runs, ATDC where it grows: 22.0 BTDC, 22.0 ATDC. Go by this, not by printed letters.")
	f.rules("0-90-0-90: first number it on, one way round, to 360: after 80 and 90 the second 80 is 100, the second 0 is 180. Cross up or down.")
	f.row().ask("Proof: a quarter turn, the way it runs", "readout.quarter_turn").word("before,", "it shows").number(32, "", "°").word("after,", "it shows").number(32, "", "°")
	f.rules("Read it, turn the engine about a quarter turn the way it runs, read it again.")
	f.row().ask("Wheel across, at its degrees", "readout.diameter").length(24, "").to(97).ask("Off centre, at most", "readout.off_centre").length(24, "")
	f.rules("Off centre: half of what the wheel's edge wanders in and out as the engine is turned.")
	f.rule()
	f.row().ask("Tolerance, each way, for every line", "limits.tolerance").number(32, "±", "°").word("MUST be here, or", "for each line, below")
	f.title("Lines to be judged: each keeps its number on every page")
	f.table([]column{
		{width: numberWide, names: []string{"no."}},
		{width: 44, names: []string{"name, as on the part"}, key: "marks.name"},
		{width: 26, names: []string{"belongs at"}, key: "marks.at", unit: "°"},
		{width: 14, names: []string{"before", "TDC:", "BTDC"}},
		{width: 14, names: []string{"after", "TDC:", "ATDC"}},
		{width: 29, names: []string{"tolerance,", "if its own"}, key: "marks.tolerance", sign: "±", unit: "°"},
		{width: 20, names: []string{"ring or", "hub"}, key: "marks.on"},
		{width: 23, names: []string{"of", "cylinder"}, key: "marks.cylinder"},
	}, numbered(formLines))
	f.rules(fmt.Sprintf("Each line needs its name and where it belongs. TDC: 0, and cross neither before nor after. From BDC: write BBDC or ABDC behind the number. In mm of piston or of rim: write that over the °. Ring or hub: only if lines are cut on both. Cylinder: only if there are several. More than %d lines: copy this page and number on from %d; of each setup too.", formLines, formLines+1))
	return f
}
