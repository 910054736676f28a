package paper

import (
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// formRare is the last page: what few engines have, and figures that readings do not
// show.
func formRare() *form {
	const asked geometry.Length = 61
	f := newForm("6  Only if it applies", "not your case: leave the row empty; most leave the page empty")
	f.job()
	f.lead = 11.6
	for _, side := range [][2]string{
		{"Piston pin beside the middle of the piston:", "engine.pin_offset"},
		{"Cylinder beside the middle of the crank:", "engine.bore_offset"},
	} {
		f.row().askWithin(42, side[0], side[1]).to(44).limited(20, 17).tick("to thrust", "side").tick("to crank-", "pin side").tick("not", "known")
	}
	f.cylinders(44)
	f.rules("Cylinders: a setup for each. The stop goes to the next, the readout is left alone; the lines are read in the first of them only.")
	f.row().askWithin(asked-6, "Eye may misread a line, on the rim, by at most:", "part.sighting").to(asked).length(24, "±").word("move your head a hand each way:", "half of what the line shifts")
	f.row().askWithin(asked-6, "Wide line, read at one edge:", "part.read_at").to(asked).tick("leading edge:", "comes first").tick("trailing", "edge")
	f.row().askWithin(asked-6, "Ring gear:", "part.teeth").to(asked).number(34, "", "teeth").to(112).ask("Outer ring on rubber:", "part.build: bonded ring").tick("yes")
	f.row().askWithin(asked-6, "Turns at half the crank's speed:", "part.turns: half").to(asked).tick("yes")
	f.row().askWithin(asked-6, "Seen in a window: running, the line goes", "part.moves").to(asked).tick("left").tick("right").tick("up").tick("down")
	f.title("Distances between lines, if measured: by dividers straight across, or by teeth")
	f.table([]column{
		{width: 24, names: []string{"from line no."}, key: "spacings: from"},
		{width: 24, names: []string{"to line no."}, key: "spacings: to"},
		{width: 40, names: []string{"straight across"}, key: "spacings: chord"},
		{width: 32, names: []string{"wrong by at most"}, key: "spacings: chord", sign: "±"},
		{width: 12, names: []string{"ring"}, unit: "mm"},
		{width: 12, names: []string{"one"}, unit: "in"},
		{width: 36, names: []string{"or teeth between"}, key: "spacings: teeth", unit: "teeth"},
	}, blankRows(3))
	f.row().askWithin(asked-2, "Readout driven by belt, chain or gears: play in all", "readout.lost_motion").to(asked).number(30, "", "°").word("wrong by", "at most").number(30, "±", "°")
	f.row().askWithin(asked-2, "Readout taken off and on again: it may change by", "limits.remount").to(asked).number(30, "±", "°")
	f.row().askWithin(asked-2, "Piston rocks: the stop may touch higher or lower by", "limits.contact").to(asked).length(30, "±").word("dial on the crown, pressed down on one", "side, then on the other: all of the change")
	f.row().askWithin(asked-2, "Bearing slack, for drops or a sweep turned one way:", "limits.slack").to(asked).length(30, "±").word("at one wheel reading, come to forward,", "then backward: what the heights differ by")
	f.row().askWithin(asked-2, "A new line can be placed within", "limits.placement").to(asked).length(30, "").word("left empty: 0.2 mm")
	f.rules("No box here for: a dial alone in the plug hole, corrections of a wheel, certificates, what was found after scribing. They are typed in on the sheet. The ± of a length may stand behind it.")
	return f
}

// cylinders asks for the TDC of each cylinder, in a row of names above one of degrees.
func (f *form) cylinders(from geometry.Length) {
	const each, count geometry.Length = 17, 8
	top := f.y + 1.2
	for i, label := range [][]string{{"Several cylinders:", "names, the reference first", "engine.cylinders"}, {"TDC after reference's,", "the way it runs"}} {
		r := &row{f: f, y: top + boxSide*geometry.Length(i), stroke: cellStroke}
		r.lines(1, label...)
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
