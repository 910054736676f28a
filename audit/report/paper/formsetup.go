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
	f.row().askWithin(26, "Readout since the last setup", "setups.mounting").tick("this is", "the first").tick("OFF and ON, or", "moved, zeroed").tick("left alone: only", "the "+what+" moved").to(138).askWithin(24, "In cylinder, if several", "setups.cylinder").cell(14)
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
// gone past.
func (f *form) lines(past string) {
	f.heading("5  LINES", "For each of 2 or 3 readings come anew, THE WAY IT RUNS, until line and ENGINE pointer meet; read the number at the readout's pointer. "+past, "")
	columns := []column{{width: numberWide, names: []string{"no."}}, {width: 26, names: []string{"name or empty"}, key: "setups.marks"}}
	for _, name := range []string{"1st", "2nd", "3rd", "spare"} {
		columns = append(columns, column{width: 21.5, names: []string{name}, key: "forward", unit: "°"})
	}
	columns = append(columns,
		column{width: 22, names: []string{"backward *"}, key: "backward", unit: "°"},
		column{width: 36, names: []string{"bad: strike it, why"}, key: "struck"})
	f.table(columns, numbered(formLines))
	f.text(0, f.y+2.6, drawing.Text{Size: wordSize, Text: "* against the way it runs; may stay empty, must where it may not turn back. Good where belt, chain or gears drive the readout."})
	f.y += 3.4
}

// down is the step before stop or indicator is fitted.
func (f *form) down(step int) *row {
	return f.row().step(fmt.Sprintf("%d  PISTON WELL DOWN", step), "feel with a soft", "rod; nobody turns")
}

// next says, below the last step, how it goes on.
func (f *form) next(copies string) {
	f.rules(fmt.Sprintf("Next setup (make 3): readout OFF and ON, at other numbers; %s. Several cylinders: page %d.", copies, rarePartPage))
}

// stop is a setup with a stop.
func (f *form) stop() {
	f.setup("stop")
	f.down(1).to(90).step("2  STOP IN", "contact 20 to 35° before TDC;", "locked; always the same touch")
	f.stays()
	f.heading("3  CONTACTS", "Three to five good pairs; the piston rises at both. FORWARD: the way it runs, until it meets the stop. BACKWARD: turned back, nearly a whole turn, until it meets it again.", "")
	f.table([]column{
		{width: 11, names: []string{"pair"}},
		{width: 56, names: []string{"FORWARD"}, key: "setups.stop.forward", unit: "°"},
		{width: 56, names: []string{"BACKWARD"}, key: "setups.stop.backward", unit: "°"},
		{width: 57, names: []string{"bad pair: strike it, write why"}, key: "struck"},
	}, numbered(5))
	f.row().step("4  STOP OUT", "before anyone turns past TDC")
	f.lines("Gone past? Ten degrees back, come again.")
	f.down(6).to(90).step("7  STOP IN AGAIN", "locked; its depth", "may be another")
	f.heading("8  CLOSING PAIR", "Still the same setup. It shows whether anything has moved.", "")
	f.y += 0.8
	f.row().ask("FORWARD", "closing: forward").number(38, "", "°").ask("BACKWARD", "closing: backward").number(38, "", "°").ask("Remarks", "setups.note").cell(39)
	f.row().step("9  STOP OUT: the hole is empty").to(96).step("crank bolt checked", "always with a stop")
	f.next("new copy")
}

// again is what the typist does with what was taken a second time: a closing pair is of
// a stop only.
const again = "setups: one more, with the same mounting"

const roundAgain = "Gone past? Once more round, come again."

// drops is a setup by equal drops of an indicator.
func (f *form) drops() {
	f.setup("indicator")
	f.down(1).to(90).step("2  INDICATOR IN", "clear of valves all the way;", "tip on the piston over the top")
	f.stays()
	f.heading("3  DROPS", "Piston at its top: set the indicator to 0. A drop is what it shows below that, alike on both sides of TDC: two or three, such as 2 and 5 mm. A bad one: strike it, why in the remarks.", "")
	f.turning("equal_drop.approach", []string{"FORWARD (if no turning back): the way it", "runs, over the top. For the next: tip OUT,", "turn on, piston down, tip in"}, []string{"RISING: before TDC the way it", "runs; after TDC go well past,", "come back to the drop"})
	f.table([]column{
		{width: 22, names: []string{"drop"}, key: "drop"},
		{width: 10, names: []string{"ring"}, unit: "mm"},
		{width: 10, names: []string{"one"}, unit: "in"},
		{width: 23, names: []string{"BEFORE 1st"}, key: "before", unit: "°"},
		{width: 23, names: []string{"BEFORE 2nd"}, key: "before", unit: "°"},
		{width: 23, names: []string{"BEFORE 3rd"}, key: "before", unit: "°"},
		{width: 23, names: []string{"AFTER 1st"}, key: "after", unit: "°"},
		{width: 23, names: []string{"AFTER 2nd"}, key: "after", unit: "°"},
		{width: 23, names: []string{"AFTER 3rd"}, key: "after", unit: "°"},
	}, blankRows(3))
	f.row().step("4  INDICATOR OUT").to(66).ask("It slanted from the cylinder's axis by", "equal_drop.probe_angle").number(30, "", "°").word("straight: 0")
	f.lines(roundAgain)
	f.down(6).to(90).step("7  INDICATOR IN AGAIN", "set to 0 at", "the top again")
	f.heading("8  THE FIRST DROP AGAIN", "Turned as in step 3. Still the same setup.", again)
	f.table([]column{
		{width: 22, names: []string{"drop"}, key: "drop"},
		{width: 10, names: []string{"ring"}, unit: "mm"},
		{width: 10, names: []string{"one"}, unit: "in"},
		{width: 44, names: []string{"BEFORE TDC"}, key: "before", unit: "°"},
		{width: 44, names: []string{"AFTER TDC"}, key: "after", unit: "°"},
		{width: 50, names: []string{"remarks"}, key: "setups.note"},
	}, blankRows(1))
	f.out("new copy")
}

// sweep is a setup by a sweep of an indicator over the top: its first page.
func (f *form) sweep() {
	f.setup("indicator")
	f.down(1).to(90).step("2  INDICATOR IN", "clear of valves all the way;", "tip on the piston over the top")
	f.stays()
	f.heading("3  SWEEP", "Halt at 15 to 20 points, about every 4 degrees, from 30 degrees or more before TDC to as far after it. At each write down both numbers. A bad one: strike it, say why in the remarks.", "")
	f.y += 0.7 // a thick frame comes next
	f.row().ask("Indicator is in", "sweep.height").must().units().ask("Remarks", "setups.note").cell(100)
	f.turning("sweep.approach", []string{"FORWARD: all the way it runs,", "over the top (if no turning back)"}, []string{"RISING: before TDC the way it runs,", "after TDC back, against it"})
	f.rules("Needle round again: count on (1.20, not 0.20); past its 0: minus. If the number falls as the piston rises: minus before all.")
	f.points(21)
	f.row().step("4  INDICATOR OUT", fmt.Sprintf("before the lines. Go on with page %d.", sweepEndPage))
}

// points are cells for the points of a sweep.
func (f *form) points(count int) {
	const across = 3
	var columns []column
	for range across {
		columns = append(columns,
			column{width: 11, names: []string{"point"}},
			column{width: 25, names: []string{"you read"}, key: "sweep.points", unit: "°"},
			column{width: 24, names: []string{"indicator"}, key: "sweep.points"})
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
	f.lines(roundAgain)
	f.down(6).to(90).step("7  INDICATOR IN AGAIN")
	f.heading("8  THE SWEEP AGAIN", "Turned as in step 3; nine points will do. Still the same setup. It shows whether anything has moved.", again)
	f.points(12)
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
