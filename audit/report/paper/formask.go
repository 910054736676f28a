package paper

import (
	"fmt"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// The pages that are filled in before the engine is turned.

// job is the first row of these pages.
func (f *form) job() *row { return f.row().ask("Job", "job").cell(58) }

// start is the first page: how the form is filled in, what a setup is, cautions.
func (f *form) start() {
	f.job()
	f.legend()
	f.cautions()
	f.backward("NO, or not sure:", "never a STOP")
	f.row().askWithin(answersAt-2, "What goes in the hole, clear of valves, at overlap too?", "").must().to(answersAt).tick("a STOP:", fmt.Sprintf("page %d", stopPage)).tick("an INDICATOR:", fmt.Sprintf("page %d or %d", dropsPage, sweepPage)).tick("NOT SURE, or not", "clear: DO NOT START")
	f.y += 0.4
	f.rules(fmt.Sprintf("Backward NO: never turn back, not even a little. Page %d or %d, crossed FORWARD; whole turns only with the tip OUT.", dropsPage, sweepPage))
	f.rules("A stop is not clear? An indicator, if its tip clears the valves over the whole swing. NOT SURE: nothing goes in until the engine maker's data tell.")
	f.rules(comeFirst)
	f.title("Which pages")
	for _, line := range []string{
		fmt.Sprintf("%d, %d|once, after the cautions, readout fitted; turn by hand", enginePage, readoutPage),
		fmt.Sprintf("%d|each setup with a stop. This is the usual way.", stopPage),
		fmt.Sprintf("%d|no stop? Equal drops of an indicator: slanting hole, or short travel", dropsPage),
		fmt.Sprintf("%d, %d|or a sweep of it: straight hole, travel a tenth of the stroke; easier if it must not turn back", sweepPage, sweepEndPage),
		fmt.Sprintf("%d|once, only what applies. Lines or stop in several cylinders: fill it in first", rarePartPage),
		fmt.Sprintf("%d|once, any engine: what makes the ± honest; read it first. At its foot: the rim as readout", limitsPage),
	} {
		page, what, _ := strings.Cut(line, "|")
		f.y += ruleLead
		f.text(3, f.y, drawing.Text{Size: ruleSize, Bold: true, Text: page})
		f.text(15, f.y, drawing.Text{Size: ruleSize, Text: what})
	}
	f.y += 1
	f.title("Setups: make 3 before anything is scribed")
	f.setups()
	f.rules(fmt.Sprintf("A setup is steps 1 to 9 once, of page %d, of %d, or of %d and %d. Stop or indicator goes in twice; it stays the same setup. Write what you read, no averages.", stopPage, dropsPage, sweepPage, sweepEndPage))
	f.rules(fmt.Sprintf("Next setup: readout (wheel, encoder, tape) OFF and ON, about a third of a turn further, the crank held while a bolt is loosened; a new copy. Only for several cylinders (page %d) it is left alone. One setup does not show what fitting changes.", rarePartPage))
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
	x := f.text(0, f.y, drawing.Text{Size: ruleSize, Text: "±: never off by more than this. Small grey words, such as"}) + 1.4
	x = f.grey(x, f.y, "engine.turns") + 1.4
	f.text(x, f.y, drawing.Text{Size: ruleSize, Text: "are for whoever types it in."})
	f.y += 1
}

const byHand = "Turned by hand only, never the starter"

// comeFirst stands below the cautions of the form and of every study.
const comeFirst = "Stop OUT before TDC is passed. The maker's data, local rules, licensed practice come first."

// caution is one of the form's, in one line or two.
type caution struct {
	words []string
	every bool // engine has it: there is no box for one that has not
}

// allCautions stand in two columns, each from top to bottom. A piston that may meet a
// valve has no box for an engine without a cam drive: it has been taken off.
var allCautions = []caution{
	{[]string{"All plugs or injectors out"}, false},
	{[]string{"Battery off, magneto earthed"}, false},
	{[]string{"Fuel, gas, air start shut"}, false},
	{[]string{"Out of gear"}, false},
	{[]string{"Heavy flywheel: a bar", "at hand; turned slowly"}, false},
	{[]string{"Head off: liner held,", "hands off the deck"}, false},
	{[]string{byHand}, true},
	{[]string{"Cam drive on and in time, or no valves.", "NOT SURE of the timing: DO NOT TURN"}, true},
}

// cautions are boxes to tick before the engine is turned.
func (f *form) cautions() {
	const apart, absent geometry.Length = 92, 14
	f.title("Cautions: each done, or not there. One left empty: DO NOT START")
	down := (len(allCautions) + 1) / 2
	for i, c := range allCautions {
		left, y := apart*geometry.Length(i/down), f.y+4.8+boxSide*geometry.Length(i%down)
		if i%down == 0 {
			f.text(left, f.y+3, drawing.Text{Size: wordSize, Bold: true, Text: "done"})
			f.text(left+boxSide+0.8, f.y+3, drawing.Text{Size: wordSize, Bold: true, Text: "not there"})
		}
		f.box(left, y, boxSide, boxSide, mustStroke)
		x := left + boxSide + 2
		if !c.every {
			f.box(left+boxSide, y, absent, boxSide, mustStroke)
			x += absent
		}
		for j, line := range c.words {
			f.text(x, y+6.2+ruleLead*(geometry.Length(j)-geometry.Length(len(c.words)-1)/2), drawing.Text{Size: ruleSize, Text: line})
		}
	}
	f.y += 4.8 + boxSide*geometry.Length(down) + 0.6
	f.tied = false
}

const answersAt geometry.Length = 54 // where those of the questions below the cautions begin

// backward asks whether the engine may be turned back; no says what a NO means.
func (f *form) backward(no ...string) {
	f.row().askWithin(answersAt-2, "Do maker, belts and chains allow turning backward?", "").must().to(answersAt).tick("YES").tick(no...)
}

// engine is the second page: engine and part, with a picture to draw into.
func (f *form) engine() {
	f.job()
	f.row().ask("Engine", "title").cell(72).to(100).ask("Its number", "engine.number").cell(48)
	f.row().ask("You look at the marks from the", "part.seen_from").cell(50).word("end of the engine")
	f.row().ask("Which way does it run, as you look from there?", "engine.turns").must().tick("clockwise").tick("anticlockwise")
	f.row().ask("Stroke", "engine.stroke").length(27, "").to(66).ask("Rod, centre to centre", "engine.rod").length(24, "")
	f.rules(fmt.Sprintf("Page %d or %d: MUST. Stop: if known; MUST for a line in mm of piston, or an offset on page %d. Not known: ask the maker, or measure.", dropsPage, sweepPage, rarePartPage))
	f.row().ask("Part with the lines", "part.name").cell(55).to(100).ask("Its number", "part.number").cell(48)
	f.row().ask("What carries the lines?", "part.marks_on: part, engine").must().tick("the turning part").tick("the engine:", "a fixed scale")
	f.title("From the TDC line, the BTDC lines lie")
	f.grey(drawing.BoldWidth("From the TDC line, the BTDC lines lie", 4)+2, f.y-1, "part.btdc_lines")
	f.key("part.btdc_lines")
	f.rules("Look at the part, or at the fixed scale; do not reason from the way it runs. No TDC line? With the piston at its top it would be at the pointer: near enough by torch; nothing in the hole.")
	f.sides()
	f.row().ask("Rim, at the lines", "part.diameter, part.circumference").limited(28, 22).tick("across").tick("round,", "by tape")
	f.part()
}

// readout is the third page: readout, limits, lines.
func (f *form) readout() {
	f.lead = 11.4
	f.row().ask("Job", "job").cell(50).ask("Name or number of the readout", "readout.name").cell(50)
	f.row().ask("What do you read?", "readout.kind").tick("a degree wheel").tick("an encoder").tick("the part's own rim, by tape or", fmt.Sprintf("rule: read page %d first", limitsPage))
	f.row().ask("Smallest step that you write down", "readout.step").must().number(32, "", "°")
	f.row().ask("Turned the way it runs, the number", "readout.counts, readout.numbered").must().tick("goes up").tick("goes down").tick("wheel", "0 - 180 - 0")
	f.wheels()
	f.rules("0 to 360, 0 - 90 - 0 - 90: cross goes up or goes down. 0 - 180 - 0: cross that box; B or A behind a number will do. Go by what it does, not by letters on the wheel.")
	f.row().askWithin(52, "Proof, readout fitted: a quarter turn, the way it runs", "readout.quarter_turn").word("before,", "it shows").number(32, "", "°").word("after,", "it shows").number(32, "", "°")
	f.row().ask("Wheel across, at its degrees", "readout.diameter").length(24, "").to(97).ask("Off centre, at most", "readout.off_centre").length(24, "")
	f.rules("Off centre: half of what the wheel's edge wanders in and out as the engine is turned. Look after each fitting; write the largest. Empty: not counted in the ±.")
	f.rule()
	f.row().ask("Tolerance: allowed each way, on every line", "limits.tolerance").must().number(32, "±", "°").word("MUST, here or in every row below.", "None given? Ask who wants it; never guess")
	f.title("Lines to be judged, one at least: each keeps its number on every page")
	f.table([]column{
		{width: numberWide, names: []string{"no."}},
		{width: 46, names: []string{"name, as on the part"}, key: "marks.name", must: 1},
		{width: 27, names: []string{"belongs at"}, key: "marks.at", unit: "°", must: 1},
		{width: 14, names: []string{"MUST, if not TDC:", "before:", "BTDC"}, must: 1},
		{width: 14, names: []string{"after:", "ATDC"}, must: 1},
		{width: 29, names: []string{"tolerance,", "if its own"}, key: "marks.tolerance", sign: "±", unit: "°"},
		{width: 20, names: []string{"ring or", "hub"}, key: "marks.on"},
		{width: 20, names: []string{"of", "cylinder"}, key: "marks.cylinder"},
	}, numbered(formLines))
	f.rules(fmt.Sprintf("Before or after: every line, or it counts as after. Only a TDC line has neither: it belongs at 0. From BDC: write BBDC or ABDC behind the number instead. In mm of piston or of rim: write that over the °. Ring or hub: only if lines are cut on both. Cylinder: only if several. More than %d lines: copy this page, number on from %d, in each setup too.", formLines, formLines+1))
}
