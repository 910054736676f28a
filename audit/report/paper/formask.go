package paper

import (
	"fmt"
	"strings"

	"markaudit/audit/report/drawing"
)

// The pages that are filled in before the engine is turned.

// job is the first row of these pages.
func (f *form) job() *row { return f.row().ask("Job", "job").cell(58) }

// start is the first page: how the form is filled in, what a setup is, cautions.
func (f *form) start() {
	f.job()
	f.legend()
	f.title("Which pages")
	for _, line := range []string{
		fmt.Sprintf("%d, %d|once, before the engine is turned", enginePage, readoutPage),
		fmt.Sprintf("%d|each setup with a stop. This is the usual way.", stopPage),
		fmt.Sprintf("%d|in its place, if no stop can be used: equal drops of an indicator", dropsPage),
		fmt.Sprintf("%d, %d|in its place, if no stop can be used: a sweep of an indicator", sweepPage, sweepEndPage),
		fmt.Sprintf("%d, %d|once, only if something on them applies; most leave them empty", rarePartPage, rareReadoutPage),
	} {
		page, what, _ := strings.Cut(line, "|")
		f.y += ruleLead
		f.text(3, f.y, drawing.Text{Size: ruleSize, Bold: true, Text: page})
		f.text(15, f.y, drawing.Text{Size: ruleSize, Text: what})
	}
	f.y += 1
	f.title("Setups: make 3 before anything is scribed")
	f.setups()
	f.rules(fmt.Sprintf("A setup is one fitting of the readout (the wheel, encoder or tape that you read) to the engine: steps 1 to 9 of page %d, of %d, or of %d and %d. Stop or indicator goes in twice there; it stays the same setup.", stopPage, dropsPage, sweepPage, sweepEndPage))
	f.rules(fmt.Sprintf("After step 9 take the readout OFF and fit it ON again, turned so that it shows other numbers. Then a new copy, from step 1. One setup alone does not show what fitting the readout changes. Several cylinders: see page %d first. Calculate nothing: that is done from these sheets.", rarePartPage))
	f.cautions([2]string{fmt.Sprintf("NO: no stop; page %d or %d.", dropsPage, sweepPage), "Not sure: cross neither, read on."},
		[2]string{"NO: only forward, no stop.", fmt.Sprintf("Take page %d or %d.", dropsPage, sweepPage)},
		"Valves not sure: neither stop nor indicator until the engine maker's data tell. An indicator's tip must clear them over the whole swing. No turning back: whole turns only with the tip OUT.")
}

// legend says how the form is filled in, by boxes that are.
func (f *form) legend() {
	f.title("How to fill it in")
	r := f.row()
	crossed := drawing.Point{X: r.x + boxSide/2, Y: r.y + boxSide/2}
	r.tick("a cross:", "yes, this one")
	ringed := drawing.Point{X: r.x + boxSide/2, Y: r.y + boxSide/2}
	r.units()
	f.scene.Add(
		drawing.Line{From: crossed.Plus(-3, -3), To: crossed.Plus(3, 3), Stroke: penStroke},
		drawing.Line{From: crossed.Plus(-3, 3), To: crossed.Plus(3, -3), Stroke: penStroke},
		drawing.Circle{Centre: ringed, Radius: 4, Stroke: penStroke})
	r.x -= 1.4
	r.word("ring the unit", "of a length")
	r.x += 2
	r.must().tick("MUST: answer it;", "of several, one")
	r.word("Any other, not known:", "leave it empty")
	f.y += ruleLead
	x := f.text(0, f.y, drawing.Text{Size: ruleSize, Text: "±: it is never off by more than this. Small grey words, such as"}) + 1.4
	x = f.grey(x, f.y, "engine.turns") + 1.4
	f.text(x, f.y, drawing.Text{Size: ruleSize, Text: "are for whoever types it in."})
	f.y += 1
}

const byHand = "Turned by hand only, never the starter"

// cautions are boxes to tick before the stop goes in. What a NO to the two questions
// means is said by valves and backward, who tells by unsure.
func (f *form) cautions(valves, backward [2]string, unsure string) {
	f.title("Cautions: each done, or not there. One left empty: DO NOT START")
	f.text(0, f.y+3, drawing.Text{Size: wordSize, Bold: true, Text: "done"})
	f.text(boxSide+0.8, f.y+3, drawing.Text{Size: wordSize, Bold: true, Text: "not there"})
	f.y += 4
	for _, words := range []string{
		"All plugs or injectors out", "Battery off, magneto earthed", "Fuel, gas, air start shut; out of gear", byHand,
		"Heavy flywheel: turned slowly, with a bar", "Head off: liner held, hands off the deck",
	} {
		f.box(0, f.y, boxSide, boxSide, mustStroke)
		if words != byHand { // no engine is without it
			f.box(boxSide, f.y, 14, boxSide, mustStroke)
		}
		f.text(boxSide+16, f.y+6.2, drawing.Text{Size: ruleSize, Text: words})
		f.y += boxSide
	}
	f.y += 0.6
	f.tied = false
	f.row().ask("Do stop and piston clear both valves, at overlap too?", "").must().to(88).tick("YES").tick("NO").word(valves[:]...)
	f.row().ask("Do maker, belts and chains allow turning backward?", "").must().to(88).tick("YES").tick("NO").word(backward[:]...)
	f.rules(unsure)
	f.rules("Stop OUT before TDC is passed. The maker's data, local rules, licensed practice come first.")
}

// engine is the second page: engine and part, with a picture to draw into.
func (f *form) engine() {
	f.job()
	f.row().ask("Engine", "title").cell(72).to(100).ask("Its number", "engine.number").cell(48)
	f.row().ask("Which way does it run, as you look at the marks?", "engine.turns").must().tick("clockwise").tick("anticlockwise")
	f.row().ask("Stroke", "engine.stroke").length(27, "").to(66).ask("Rod, centre to centre", "engine.rod").length(24, "").word("MUST for", fmt.Sprintf("page %d or %d", dropsPage, sweepPage))
	f.row().ask("Part with the lines", "part.name").cell(55).to(100).ask("Its number", "part.number").cell(48)
	f.row().ask("You look at the marks from the", "part.seen_from").cell(50).word("end of the engine")
	f.row().ask("What carries the lines?", "part.marks_on: part, engine").must().tick("the turning part").tick("the engine:", "a fixed scale")
	f.title("From the TDC line, the BTDC lines lie")
	f.grey(drawing.BoldWidth("From the TDC line, the BTDC lines lie", 4)+2, f.y-1, "part.btdc_lines")
	f.key("part.btdc_lines")
	f.rules("Look at the part, or at the fixed scale; do not reason from the way it runs. No TDC line? With the piston at its top it would be at the pointer.")
	f.sides()
	f.row().ask("Rim, at the lines", "part.diameter, part.circumference").limited(28, 22).tick("across").tick("round,", "by tape")
	f.part()
}

// readout is the third page: readout, limits, lines.
func (f *form) readout() {
	f.lead = 11.4
	f.row().ask("Job", "job").cell(50).ask("Name or number of the readout", "readout.name").cell(50)
	f.row().ask("What do you read?", "readout.kind").tick("a degree wheel").tick("an encoder").tick("the part's own rim, by tape or", fmt.Sprintf("rule: read page %d first", rareReadoutPage))
	f.row().ask("Smallest step that you write down", "readout.step").must().number(32, "", "°")
	f.row().ask("Turned the way it runs, the number", "readout.counts, readout.numbered").must().tick("goes up").tick("goes down").tick("wheel", "0 - 180 - 0")
	f.wheels()
	f.rules("0 - 180 - 0: B or A behind a number will do. Go by what it does, not by letters on the wheel.")
	f.row().ask("Proof: a quarter turn, the way it runs", "readout.quarter_turn").word("before,", "it shows").number(32, "", "°").word("after,", "it shows").number(32, "", "°")
	f.row().ask("Wheel across, at its degrees", "readout.diameter").length(24, "").to(97).ask("Off centre, at most", "readout.off_centre").length(24, "")
	f.rules("Off centre: half of what the wheel's edge wanders in and out as the engine is turned.")
	f.rule()
	f.row().ask("Tolerance, each way, for every line", "limits.tolerance").must().number(32, "±", "°").word("MUST be here,", "or for each line below")
	f.title("Lines to be judged: each keeps its number. MUST: its name and where it belongs")
	f.table([]column{
		{width: numberWide, names: []string{"no."}},
		{width: 46, names: []string{"name, as on the part"}, key: "marks.name", must: true},
		{width: 27, names: []string{"belongs at"}, key: "marks.at", unit: "°", must: true},
		{width: 14, names: []string{"before:", "BTDC"}},
		{width: 14, names: []string{"after:", "ATDC"}},
		{width: 29, names: []string{"tolerance,", "if its own"}, key: "marks.tolerance", sign: "±", unit: "°"},
		{width: 20, names: []string{"ring or", "hub"}, key: "marks.on"},
		{width: 20, names: []string{"of", "cylinder"}, key: "marks.cylinder"},
	}, numbered(formLines))
	f.rules(fmt.Sprintf("A TDC line belongs at 0: cross neither before nor after. From BDC: write BBDC or ABDC behind the number. In mm of piston or of rim: write that over the °. Ring or hub: only if lines are cut on both. Cylinder: only if several. More than %d lines: copy this page, number on from %d, in each setup too.", formLines, formLines+1))
}
