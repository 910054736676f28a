package paper

import (
	"fmt"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// The last pages: what few engines have, and what readings of any engine do not show.

const rareAsk geometry.Length = 62 // where the boxes of these pages begin

// rareOfPart asks what few engines and parts have.
func rareOfPart(f *form) {
	f.job()
	f.lead = 11.6
	for _, side := range [][2]string{
		{"Piston pin beside the middle of the piston", "engine.pin_offset"},
		{"Cylinder beside the middle of the crank", "engine.bore_offset"},
	} {
		f.row().askWithin(42, side[0], side[1]).to(44).limited(19.6, 17).tick("to thrust", "side").tick("to crank-", "pin side").tick("side not", "known")
	}
	f.rules("Empty: no offset. Side not known: nothing is corrected, and the ± grows.")
	f.title("Lines or stop in several cylinders. All lines of one cylinder: leave it empty")
	cylinders(f, 44)
	f.rules("From the reference's TDC the others count: degrees of the crank, the way it runs, by the maker's data. Each cylinder takes a setup, on a new copy: only the stop moves, the readout is left alone. Read the lines once; leave step 5 empty in other copies. Then, or if knocked: readout off and on, all of them again.")
	f.rule()
	f.row().askWithin(rareAsk-6, "Wide line read at one edge: at which?", "part.read_at").to(rareAsk).tick("the one that comes", "to the pointer first").tick("the one that", "comes last").word("middle: leave", "both empty")
	f.row().askWithin(rareAsk-6, "Ring gear: number of teeth", "part.teeth").to(rareAsk).cell(34).to(112).ask("Outer ring on rubber", "part.build: bonded ring").tick("yes")
	f.row().askWithin(rareAsk-6, "The part turns at half the crank's speed", "part.turns: half").to(rareAsk).tick("yes")
	f.row().askWithin(rareAsk-6, "Seen in a window: running, the lines go", "part.moves").to(rareAsk).tick("left").tick("right").tick("up").tick("down")
	f.title("Distances between lines, if you measured some: with dividers, or in teeth")
	f.table([]column{
		{width: 24, names: []string{"from line no."}, key: "spacings: from"},
		{width: 24, names: []string{"to line no."}, key: "spacings: to"},
		{width: 42, names: []string{"straight across"}, key: "spacings: chord"},
		{width: 30, names: []string{"off by at most"}, key: "spacings: chord", sign: "±"},
		{width: 12, names: []string{"ring one"}, unit: "mm"},
		{width: 12, unit: "in"},
		{width: 36, names: []string{"or teeth between"}, key: "spacings: teeth"},
	}, blankRows(3))
}

// limits asks what readings do not show, of any engine, and below it what few readouts
// have.
func limits(f *form) {
	f.job()
	f.lead = 11.6
	f.title("These make the ± honest, on ANY engine. Empty: counts as nothing, ± too small")
	f.row().askWithin(rareAsk-2, "How far may your eye misread a line, on the rim?", "part.sighting").to(rareAsk).length(34, "±").word("head a hand left, then right: mark where", "it meets the pointer; half of the way", fmt.Sprintf("between. Needs the rim, page %d", enginePage))
	f.row().askWithin(rareAsk-2, "Readout off and on again: what may that change?", "limits.remount").to(rareAsk).number(34, "±", "°").word("not needed with three setups: they show it")
	f.row().askWithin(rareAsk-2, "Piston rocks: stop or tip may touch higher or lower by", "limits.contact").to(rareAsk).length(34, "±").word("head off, dial on the crown: press one side", "down, then the other: all that it changes.", fmt.Sprintf("Needs stroke and rod, page %d", enginePage))
	f.rules("Head on: usual are ± 0.04 mm in a sound bore, ± 0.1 mm in a loose one.")
	f.row().askWithin(rareAsk-2, "Bearing slack, for drops or a sweep turned FORWARD", "limits.slack").to(rareAsk).length(34, "±").word("about 30° before the top: come to one", "readout number forward, then backward;", "write what the heights differ by")
	f.y += 0.6
	f.bold("No turning back: never try this; write only clearances measured, else EMPTY.")
	f.rules("Clearances: of the rod's two bearings, as a rebuild measured them, added up.")
	f.row().askWithin(rareAsk-2, "A new line can be placed within", "limits.placement").to(rareAsk).length(34, "").word("empty: counts as 0.2 mm (0.008 in)")
	f.rule()
	f.title("Only if it applies: the part's own rim is the readout")
	f.row().ask("How do you measure?", "readout.measured: tape, chord").tick("tape, laid", "along the rim").tick("rule or dividers,", "straight across").word("always from the chalk line to the", "same pointer; step: mm or in over the °")
	f.rules(fmt.Sprintf("Draw a chalk line across the rim. Write lengths, with mm or in, over every ° of the form, and + or − before each, as here. Then cross goes up on page %d. For each setup draw a new chalk line.", readoutPage))
	f.chalk()
	f.rule()
	f.row().askWithin(rareAsk-2, "Readout driven by belt, chain or gears: play in all", "readout.lost_motion").to(rareAsk).number(34, "", "°").word("off by", "at most").number(34, "±", "°").word("empty:", "not counted")
	f.rules("No box on this form: a dial alone in the plug hole, without drops or sweep; corrections of a wheel; certificates; what was found after scribing. They are typed straight onto the sheet.")
}

// cylinders asks for the TDC of each cylinder, in a row of names above one of degrees.
func cylinders(f *form, from geometry.Length) {
	const each, count geometry.Length = 17, 8
	f.gap()
	top := f.y + 0.8
	for i, label := range [][]string{{"Name; reference first"}, {"TDC, in degrees after", "the reference's"}} {
		r := &row{f: f, y: top + boxSide*geometry.Length(i), stroke: cellStroke}
		r.lines(2, []string{"engine.cylinders", ""}[i], label...)
		for c := range int(count) {
			x := from + each*geometry.Length(c)
			f.box(x, r.y, each, boxSide, cellStroke)
			unit := ""
			if i == 1 {
				unit = "°"
			}
			f.marked(x, r.y, each, "", unit)
			if i == 1 && c == 0 {
				f.text(x+1.5, r.y+6.2, drawing.Text{Size: askSize, Text: "0"})
			}
		}
	}
	f.key("engine.cylinders")
	f.y += 2*boxSide + 1.4
}
