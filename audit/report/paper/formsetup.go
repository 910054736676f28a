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

// setup asks what every setup is known by.
func (f *form) setup(what string) {
	f.lead = 10.3
	f.row().ask("Job", "job").cell(40).askWithin(14, "Setup number", "").cell(14).ask("Who", "setups.by").cell(30).ask("Date", "setups.date").cell(26)
	f.row().ask("Readout since the last setup", "setups.mounting").tick("this is", "the first").tick("left", "alone").tick("moved or", "zeroed").to(133).askWithin(24, what, "setups.cylinder").cell(14)
}

// stays says, before the first reading, what must not be touched until the last.
func (f *form) stays() {
	f.rules("Wheel and pointer stay as they are from here to the closing reading. DO NOT ZERO IT: any number will do. Calculate nothing; the numbers are worked out from these sheets.")
}

// heading names a step that has a table, and says how it is done.
func (f *form) heading(words, note string) {
	f.y += 4.8
	x := f.text(0, f.y, drawing.Text{Size: 4, Bold: true, Text: words}) + 2.2
	first := drawing.Wrap(note, ruleSize, drawing.PageWidth-x, 10)[0]
	f.text(x, f.y, drawing.Text{Size: ruleSize, Text: first})
	if rest := strings.TrimSpace(strings.TrimPrefix(note, first)); rest != "" {
		for _, line := range drawing.Wrap(rest, ruleSize, drawing.PageWidth, 4) {
			f.y += ruleLead
			f.text(0, f.y, drawing.Text{Size: ruleSize, Text: line})
		}
	}
	f.y += 0.6
}

// lines are rows for the readings of each line; past says what to do with one that was
// gone past.
func (f *form) lines(step int, past string) {
	f.heading(fmt.Sprintf("%d  LINES", step), "Turn until the line and the ENGINE's mark pointer meet, whichever of them moves. The wheel's own pointer gives the number. "+past)
	columns := []column{{width: numberWide, names: []string{"no."}}, {width: 32, names: []string{"line"}, key: "setups.marks"}}
	for i, name := range []string{"1st", "2nd", "3rd", "spare"} {
		c := column{width: 22, names: []string{name}, key: "forward", unit: "°"}
		if i == 0 {
			c.over = "Come to it turning THE WAY IT RUNS"
		}
		columns = append(columns, c)
	}
	columns = append(columns,
		column{width: 24, over: "the other way", names: []string{"may be empty"}, key: "backward", unit: "°"},
		column{width: 26, over: "which does", names: []string{"not count; why"}, key: "struck"})
	f.table(columns, numbered(formLines))
}

// formStop is a setup with a stop.
func formStop() *form {
	f := newForm("3  A setup with a stop", "TURN BY HAND ONLY. One copy for each setup.")
	f.setup("Stop in cylinder")
	f.row().step("1  PISTON WELL DOWN", "feel with a soft", "rod; nobody turns").to(90).step("2  STOP IN", "contact 20 to 35° before TDC;", "locked; always the same touch")
	f.stays()
	f.heading("3  CONTACTS", "Three to five good pairs; the piston rises at both. FORWARD: the way it runs, until it meets the stop. BACKWARD: turned back, nearly a whole turn, until it meets it again.")
	f.table([]column{
		{width: 11, names: []string{"pair"}},
		{width: 58, names: []string{"FORWARD"}, key: "setups.stop.forward", unit: "°"},
		{width: 66, names: []string{"BACKWARD"}, key: "setups.stop.backward", unit: "°"},
		{width: 45, names: []string{"does not count: why"}, key: "struck"},
	}, numbered(5))
	f.row().step("4  STOP OUT", "before anyone turns past TDC")
	f.lines(5, "Gone past? Turn back ten degrees and come again.")
	f.row().step("6  PISTON WELL DOWN", "feel with a soft", "rod; nobody turns").to(90).step("7  STOP IN AGAIN", "locked; its depth", "may be another")
	f.heading("8  CLOSING PAIR", "One pair more: it shows whether anything has moved.")
	f.table([]column{
		{width: 11},
		{width: 58, names: []string{"FORWARD"}, key: "closing: forward", unit: "°"},
		{width: 66, names: []string{"BACKWARD"}, key: "closing: backward", unit: "°"},
		{width: 45, names: []string{"remarks"}, key: "setups.note"},
	}, [][]string{{"C"}})
	f.out("9  STOP OUT: the hole is empty")
	return f
}

const roundAgain = "Gone past? Once more round, come again."

// formDrops is a setup by equal drops of an indicator.
func formDrops() *form {
	f := newForm("4  A setup with equal drops", "TURN BY HAND ONLY. One copy for each setup.")
	f.setup("Indicator on cylinder")
	f.row().step("1  PISTON WELL DOWN", "soft rod;", "nobody turns").to(76).step("2  INDICATOR IN", "clear of valves over the whole swing;", "tip stays on the piston over the top")
	f.stays()
	f.heading("3  DROPS", "Piston at its top: set the indicator to 0. A drop: what it then shows below 0, the same before and after TDC. FORWARD, for the next: tip OUT, turn on, piston down, tip in. Does not count: strike it, say why in the remarks.")
	f.turning("equal_drop.approach", [2]string{"FORWARD: all the way it runs,", "over the top (if no turning back)"}, [2]string{"RISING: before TDC the way it runs; after", "TDC go well past, come back to the drop"})
	f.table([]column{
		{width: 22, names: []string{"drop"}, key: "drop"},
		{width: 10, names: []string{"ring"}, unit: "mm"},
		{width: 10, names: []string{"one"}, unit: "in"},
		{width: 23, over: "BEFORE TDC", names: []string{"1st"}, key: "before", unit: "°"},
		{width: 23, names: []string{"2nd"}, key: "before", unit: "°"},
		{width: 23, names: []string{"3rd"}, key: "before", unit: "°"},
		{width: 23, over: "AFTER TDC", names: []string{"1st"}, key: "after", unit: "°"},
		{width: 23, names: []string{"2nd"}, key: "after", unit: "°"},
		{width: 23, names: []string{"3rd"}, key: "after", unit: "°"},
	}, blankRows(3))
	f.row().step("4  INDICATOR OUT").to(66).ask("It slanted from the cylinder's axis by", "equal_drop.probe_angle").number(30, "", "°").word("straight: 0")
	f.lines(5, roundAgain)
	f.row().step("6  PISTON WELL DOWN", "soft rod;", "nobody turns").to(76).step("7  INDICATOR IN AGAIN", "set to 0 at the top again")
	f.heading("8  THE FIRST DROP AGAIN", "Turned as in step 3. It shows whether anything has moved.")
	f.table([]column{
		{width: 22, names: []string{"drop"}, key: "drop"},
		{width: 10, names: []string{"ring"}, unit: "mm"},
		{width: 10, names: []string{"one"}, unit: "in"},
		{width: 46, names: []string{"BEFORE TDC"}, key: "before", unit: "°"},
		{width: 46, names: []string{"AFTER TDC"}, key: "after", unit: "°"},
		{width: 46, names: []string{"remarks"}, key: "setups.note"},
	}, blankRows(1))
	f.out("9  INDICATOR OUT: the hole is empty")
	return f
}

// formSweep is a setup by a sweep of an indicator over the top.
func formSweep() *form {
	f := newForm("5  A setup with a sweep", "TURN BY HAND ONLY. One copy for each setup.")
	f.setup("Indicator on cylinder")
	f.row().step("1  PISTON WELL DOWN", "soft rod;", "nobody turns").to(76).step("2  INDICATOR IN", "clear of valves over the whole swing;", "tip stays on the piston over the top")
	f.stays()
	f.heading("3  SWEEP", "As many points on each side of TDC, out to 30 degrees or more, about every 8; 15 to 20 are better: add a copy. Needle round again: count on (1.20, not 0.20); past its 0: minus. If the number falls as the piston rises, minus before all. Does not count: strike it, say why in the remarks.")
	f.y += 0.7 // a thick frame comes next
	f.row().ask("Indicator is in", "sweep.height").must().units().ask("Remarks", "setups.note").cell(100)
	f.turning("sweep.approach", [2]string{"FORWARD: all the way it runs,", "over the top (if no turning back)"}, [2]string{"RISING: before TDC the way it runs,", "after TDC back, against it"})
	const across, down = 3, 3
	var columns []column
	for range across {
		columns = append(columns,
			column{width: 11, names: []string{"point"}},
			column{width: 25, names: []string{"you read"}, key: "sweep.points", unit: "°"},
			column{width: 24, names: []string{"indicator"}, key: "sweep.points"})
	}
	points := make([][]string, down)
	for i := range points {
		for c := range across {
			points[i] = append(points[i], strconv.Itoa(across*i+c+1), "", "")
		}
	}
	f.table(columns, points)
	f.row().step("4  INDICATOR OUT", "before the lines")
	f.lines(5, roundAgain)
	f.row().step("6  PISTON WELL DOWN", "soft rod;", "nobody turns").to(76).step("7  INDICATOR IN AGAIN")
	f.row().step("8  THE SWEEP AGAIN", "on a new copy: next setup number, readout left alone, step 3 only.", "Then go on here with 9. It shows whether anything has moved.")
	f.out("9  INDICATOR OUT: the hole is empty")
	return f
}

// turning asks in which of two ways the piston came to its points.
func (f *form) turning(key string, forward, rising [2]string) {
	f.row().ask("Turned", key).tick(forward[:]...).tick(rising[:]...)
}

// out is the last step.
func (f *form) out(words string) {
	f.row().step(words).to(96).step("crank bolt checked", "if it was turned back")
}
