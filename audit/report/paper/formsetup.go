package paper

import (
	"fmt"
	"strconv"
	"strings"

	"markaudit/audit/report/drawing"
)

// The pages of a setup, each in the order of the work. Before stop or indicator is
// fitted the piston is brought well down, by a step of its own; the last step is that
// the hole is empty. Lines are read with nothing in the hole, for one that was gone past
// may take another turn.

// whose is the row by which a page of a setup is known.
func (f *form) whose() *row {
	f.lead = 10.2
	return f.row().ask("Job", "job").cell(40).askWithin(14, "Setup number", "setups").cell(14)
}

// setup asks what every setup is known by. What is the stop or the indicator.
func (f *form) setup(what string) {
	f.whose().ask("Who", "setups.by").cell(30).ask("Date", "setups.date").cell(26)
	f.row().askWithin(26, "Readout since the last setup", "setups.mounting").tick("this is", "the first").tick("OFF and ON, or", "moved, zeroed").tick("left alone: only", "the "+what+" moved").to(138).askWithin(24, fmt.Sprintf("In cylinder (page %d only)", rarePartPage), "setups.cylinder").cell(14)
}

// stays says, before the first reading, what must not be touched until the last.
func (f *form) stays() {
	f.rules("Leave the readout alone until step 9. DO NOT ZERO IT: any number will do. Knocked? A new setup.")
}

// heading names a step that has a table, and says how it is done. Keys say what else is
// to be typed in.
func (f *form) heading(words, note, keys string) {
	f.gap()
	f.y += 4.8
	x := f.text(0, f.y, drawing.Text{Size: 4, Bold: true, Text: words}) + 2.2
	first := drawing.Wrap(note, ruleSize, drawing.PageWidth-x, 10)[0]
	x = f.text(x, f.y, drawing.Text{Size: ruleSize, Text: first})
	if rest := strings.TrimSpace(strings.TrimPrefix(note, first)); rest != "" {
		for _, line := range drawing.Wrap(rest, ruleSize, drawing.PageWidth, 4) {
			f.y += ruleLead
			x = f.text(0, f.y, drawing.Text{Size: ruleSize, Text: line})
		}
	}
	if keys != "" {
		f.grey(x+2, f.y, keys)
	}
	f.y += 0.6
}

// lines are rows for the readings of each line; past says what to do with one that was
// gone past, back when the column of those that were come to backward stays empty.
func (f *form) lines(past, back string) {
	f.heading("5  LINES", "2 or 3 readings each: come anew, THE WAY IT RUNS, until the MIDDLE of the line and the ENGINE pointer meet; read the number at the readout's pointer. "+past, "")
	columns := []column{{width: numberWide, names: []string{"no."}}, {width: 26, names: []string{"name or empty"}, key: "setups.marks"}}
	for _, name := range []string{"1st", "2nd", "3rd", "spare"} {
		columns = append(columns, column{width: 21.5, names: []string{name}, key: "forward", unit: "°"})
	}
	columns = append(columns,
		column{width: 22, names: []string{"backward *"}, key: "backward", unit: "°"},
		column{width: 36, names: []string{"bad: strike it, why"}, key: "struck"})
	f.table(columns, numbered(formLines))
	x := f.text(0, f.y+2.6, drawing.Text{Size: wordSize, Text: "* against the way it runs; may stay empty."})
	f.text(x+1.5, f.y+2.6, drawing.Text{Size: wordSize, Bold: back == notBack, Text: back})
	f.y += 3.4
}

// down is the step before stop or indicator is fitted.
func (f *form) down(step int) *row {
	return f.row().step(fmt.Sprintf("%d  PISTON WELL DOWN", step), "feel with a soft rod;", "nobody turns meanwhile")
}

// next says, below the last step, how it goes on.
func (f *form) next(copies string) {
	f.rules(fmt.Sprintf("Next setup (make 3): readout OFF and ON, a third of a turn further; %s.", copies))
}

// stop is a setup with a stop.
func (f *form) stop() {
	f.setup("stop")
	f.down(1).to(90).step("2  STOP IN", "contact 20 to 35° before TDC, near", "enough by the old TDC line; locked")
	f.stays()
	f.heading("3  CONTACTS", "Three to five pairs. Meet the stop gently, always alike; never force it with the bar. FORWARD: the way it runs, up to the stop. BACKWARD: back nearly a whole turn, up to it again.", "")
	f.table([]column{
		{width: 11, names: []string{"pair"}},
		{width: 56, names: []string{"FORWARD"}, key: "setups.stop.forward", unit: "°", must: 1},
		{width: 56, names: []string{"BACKWARD"}, key: "setups.stop.backward", unit: "°", must: 1},
		{width: 57, names: []string{"bad pair: strike it, write why"}, key: "struck"},
	}, numbered(5))
	f.row().step("4  STOP OUT", "before anyone turns past TDC")
	f.lines("Gone past? Ten degrees back.", "Good where belt, chain or gears drive the readout.")
	f.down(6).to(90).step("7  STOP IN AGAIN", "locked; its depth", "may be another")
	f.heading("8  CLOSING PAIR", "Still the same setup. It shows whether anything has moved.", "")
	f.y += 0.8
	f.row().ask("FORWARD", "closing: forward").number(38, "", "°").ask("BACKWARD", "closing: backward").number(38, "", "°").ask("Remarks", "setups.note").cell(38)
	f.row().step("9  STOP OUT: the hole is empty").to(96).step("crank bolt checked", "always with a stop")
	f.next("new copy")
}

// again is what the typist does with what was taken a second time: a closing pair is of
// a stop only.
const again = "setups: one more, with the same mounting"

const (
	roundAgain = "Gone past? Once more round."
	notBack    = "Engine not to be turned back: leave this column EMPTY."
)

// noTurningBack is for engines that page 1 found not to be turned back.
func (f *form) noTurningBack() {
	f.gap()
	f.says(fmt.Sprintf("NO TURNING BACK (page %d)? Only FORWARD. Gone past: once more round, tip OUT.", startPage), shoutSize, shoutLead, true)
}

// drops is a setup by equal drops of an indicator.
func (f *form) drops() {
	f.setup("indicator")
	f.noTurningBack()
	f.down(1).to(90).step("2  INDICATOR IN", "clear of valves all the way;", "tip on the piston over the top")
	f.stays()
	f.heading("3  DROPS", "Piston at its top: set the indicator to 0. A drop is what it shows below that, alike on both sides of TDC: two or three, such as 2 and 5 mm. A bad one: strike it, why in the remarks.", "drop, before, after")
	f.key("drop, before, after")
	f.y += 0.4 // of the letters above it
	f.turning("equal_drop.approach", []string{"FORWARD: one pass is every drop BEFORE,", "then every drop AFTER; the tip stays in"}, []string{"RISING: before TDC the way it runs;", "after TDC go well past it, come back"})
	f.rules("FORWARD: the first pass only sets 0. Next pass: tip OUT, turn on until the piston is down, tip in. Top off 0 by more than 0.1 mm: set it there; that pass does not count.")
	f.table([]column{
		{width: 22, names: []string{"drop"}, must: 1},
		{width: 10, names: []string{"ring"}, unit: "mm", must: 1},
		{width: 10, names: []string{"one"}, unit: "in", must: 1},
		{width: 23, names: []string{"BEFORE 1st"}, unit: "°", must: 1},
		{width: 23, names: []string{"BEFORE 2nd"}, unit: "°"},
		{width: 23, names: []string{"BEFORE 3rd"}, unit: "°"},
		{width: 23, names: []string{"AFTER 1st"}, unit: "°", must: 1},
		{width: 23, names: []string{"AFTER 2nd"}, unit: "°"},
		{width: 23, names: []string{"AFTER 3rd"}, unit: "°"},
	}, blankRows(3))
	f.row().ask("The indicator slants by", "equal_drop.probe_angle").number(26, "", "°").word("to the cylinder;", "straight: empty").to(100).step("4  INDICATOR OUT")
	f.lines(roundAgain, notBack)
	f.down(6).to(90).step("7  INDICATOR IN AGAIN", "set to 0 at", "the top again")
	f.heading("8  THE FIRST DROP AGAIN", "Turned as in step 3. Still the same setup.", again)
	f.y += 0.4
	f.row().ask("Drop", "drop").length(17, "").ask("BEFORE", "before").number(24, "", "°").ask("AFTER", "after").number(24, "", "°").ask("Remarks", "setups.note").cell(28)
	f.out("new copy")
}

// sweep is a setup by a sweep of an indicator over the top: its first page.
func (f *form) sweep() {
	f.setup("indicator")
	f.noTurningBack()
	f.down(1).to(90).step("2  INDICATOR IN", "clear of valves all the way;", "tip on the piston over the top")
	f.rules(fmt.Sprintf("It needs a travel of a tenth of the stroke. Less: as far as it goes, alike on both sides. Slanting hole: take page %d, which asks for the slant.", dropsPage))
	f.stays()
	f.heading("3  SWEEP", "At 15 to 20 points, about every 4 degrees, halt and write both numbers: from 30 degrees before TDC (by the old TDC line, near enough) to as far after it. A bad one: strike it, why in the remarks.", "")
	f.y += 0.7 // a thick frame comes next
	f.row().ask("Indicator is in", "sweep.height").must().units().ask("Remarks", "setups.note").cell(100)
	f.turning("sweep.approach", []string{"FORWARD: all the way it runs,", "over the top"}, []string{"RISING: before TDC the way it runs;", "after TDC go well past, read coming back"})
	f.rules("Write all numbers on one scale. Whether they grow or fall as the piston rises is no matter.")
	f.scales()
	f.points(21, leastPoints)
	f.row().step("4  INDICATOR OUT", fmt.Sprintf("before the lines. Go on with page %d.", sweepEndPage))
}

// leastPoints is how many points a sweep has to have.
const leastPoints = 5

// points are cells for the points of a sweep, of which so many have to be filled.
func (f *form) points(count, must int) {
	const across = 3
	var columns []column
	for range across {
		columns = append(columns,
			column{width: 11, names: []string{"point"}},
			column{width: 25, names: []string{"readout"}, key: "sweep.points", unit: "°", must: must},
			column{width: 24, names: []string{"indicator"}, key: "sweep.points", must: must})
		must = 0
	}
	points := make([][]string, count/across)
	for i := range points {
		for c := range across {
			points[i] = append(points[i], strconv.Itoa(i+len(points)*c+1), "", "")
		}
	}
	f.table(columns, points)
}

// sweepEnd is the second page of a setup by a sweep.
func (f *form) sweepEnd() {
	f.whose().word("the same number as", fmt.Sprintf("on page %d", sweepPage))
	f.noTurningBack()
	f.lines(roundAgain, notBack)
	f.down(6).to(90).step("7  INDICATOR IN AGAIN")
	f.heading("8  THE SWEEP AGAIN", "Still the same setup. Turned as in step 3, over the same swing; nine points will do. It shows whether anything has moved.", again)
	f.points(12, 0)
	f.out("new copies")
}

// turning asks in which of two ways the piston came to its points.
func (f *form) turning(key string, forward, rising []string) {
	f.row().ask("Turned", key).tick(forward...).tick(rising...)
}

// out is the last step with an indicator.
func (f *form) out(copies string) {
	f.row().step("9  INDICATOR OUT: the hole is empty").to(96).step("crank bolt checked", "if it was turned back")
	f.next(copies)
}
