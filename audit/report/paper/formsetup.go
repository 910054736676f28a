package paper

import (
	"fmt"
	"strconv"

	"markaudit/audit/report/drawing"
)

// The pages of a setup, each in the order of the work. Before stop or indicator is
// fitted the piston is brought well down, by a step of its own; the last step is that
// the hole is empty.

// setup asks what every setup is known by.
func (f *form) setup(what string) {
	f.row().ask("Job", "job").cell(40).askWithin(14, "Setup number", "").cell(14).ask("Who", "setups.by").cell(30).ask("Date", "setups.date").cell(26)
	f.row().ask("Readout since the setup before", "setups.mounting").tick("left", "alone").tick("first setup, or moved,", "taken off, zeroed").to(120).ask(what, "setups.cylinder").cell(16)
}

// lines are rows for the readings of each line.
func (f *form) lines(step int) {
	f.heading(fmt.Sprintf("%d  LINES", step), "Gone past? Ten degrees back, or once more round, and again. Does not count? Strike it, why beside it.")
	f.table([]column{
		{width: numberWide, names: []string{"no."}},
		{width: 39, names: []string{"line"}},
		{width: 27, over: "Come to it turning THE WAY IT RUNS:", names: []string{"1st"}, key: "marks: forward", unit: "°"},
		{width: 27, names: []string{"2nd"}, key: "marks: forward", unit: "°"},
		{width: 27, names: []string{"3rd"}, key: "marks: forward", unit: "°"},
		{width: 50, over: "Turning the other way:", names: []string{"may stay empty"}, key: "marks: backward", unit: "°"},
	}, numbered(formLines))
}

// formStop is a setup with a stop.
func formStop() *form {
	f := newForm("4  A setup with a stop", fmt.Sprintf("one copy for each setup; without a stop page %d or %d", dropsPage, sweepPage))
	f.setup("Stop in cylinder")
	f.row().step("1  PISTON WELL DOWN", "feel it in the hole").to(90).step("2  STOP IN", "same light touch at every contact")
	f.heading("3  CONTACTS", "Three to five pairs; forward, then backward. The piston is on its way up at both.")
	f.table([]column{
		{width: 11, names: []string{"pair"}},
		{width: 58, names: []string{"FORWARD: turned the way it", "runs, until it meets the stop"}, key: "setups.stop.forward", unit: "°"},
		{width: 66, names: []string{"BACKWARD: turned back, nearly a", "whole turn, until it meets it again"}, key: "setups.stop.backward", unit: "°"},
		{width: 45, names: []string{"does not count: why", "(struck)"}},
	}, numbered(5))
	f.row().step("4  STOP OUT", "before anyone turns past TDC")
	f.lines(5)
	f.row().step("6  PISTON WELL DOWN", "feel it in the hole").to(90).step("7  STOP IN AGAIN")
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

// formDrops is a setup by equal drops of an indicator.
func formDrops() *form {
	f := newForm("5  A setup with equal drops", fmt.Sprintf("one copy for each setup, in place of page %d", stopPage))
	f.setup("Indicator on cyl.")
	f.row().step("1  PISTON WELL DOWN", "before anything goes in").to(90).step("2  INDICATOR IN", "it reaches the piston's top")
	f.heading("3  DROPS", "Piston at its top: set the indicator to 0. A drop: how far the piston then stands below its top.")
	f.row().ask("All drops are in", "equal_drop.drop").units().to(92).ask("Indicator slants by", "equal_drop.probe_angle").number(30, "", "°")
	f.turning("equal_drop.approach")
	f.small("Before TDC: turn the way it runs until the indicator shows the drop, read. After TDC, FORWARD: go on until it shows the same drop again, read. After TDC, RISING: go well past it, turn back until it shows the same drop, read.")
	f.table([]column{
		{width: 30, names: []string{"drop"}, key: "equal_drop.drop"},
		{width: 25, over: "BEFORE TDC", names: []string{"1st reading"}, key: "before", unit: "°"},
		{width: 25, names: []string{"2nd"}, key: "before", unit: "°"},
		{width: 25, names: []string{"3rd"}, key: "before", unit: "°"},
		{width: 25, over: "AFTER TDC", names: []string{"1st reading"}, key: "after", unit: "°"},
		{width: 25, names: []string{"2nd"}, key: "after", unit: "°"},
		{width: 25, names: []string{"3rd"}, key: "after", unit: "°"},
	}, blankRows(3))
	f.lines(4)
	f.heading("5  THE FIRST DROP AGAIN", "It shows whether anything has moved. Typed in as one more setup, same mounting.")
	f.table([]column{
		{width: 30, names: []string{"drop"}, key: "equal_drop.drop"},
		{width: 50, names: []string{"BEFORE TDC"}, key: "before", unit: "°"},
		{width: 50, names: []string{"AFTER TDC"}, key: "after", unit: "°"},
		{width: 50, names: []string{"remarks"}, key: "setups.note"},
	}, blankRows(1))
	f.out("6  INDICATOR OUT: the hole is empty")
	return f
}

// formSweep is a setup by a sweep of an indicator over the top.
func formSweep() *form {
	f := newForm("6  A setup with a sweep", fmt.Sprintf("one copy for each setup, in place of page %d", stopPage))
	f.setup("Indicator on cyl.")
	f.row().step("1  PISTON WELL DOWN", "before anything goes in").to(90).step("2  INDICATOR IN", "it reaches the piston's top")
	f.heading("3  SWEEP", "Five points or more, from before TDC over the top to after it. The indicator's number grows as the piston rises.")
	f.row().ask("The indicator is in", "sweep.height").must().units()
	f.turning("sweep.approach")
	rows := numbered(5)
	for i := range rows {
		rows[i] = append(rows[i], "", "", strconv.Itoa(i+1+len(rows)))
	}
	var columns []column
	for range 2 {
		columns = append(columns,
			column{width: 14, names: []string{"point"}},
			column{width: 38, names: []string{"you read"}, key: "sweep.points", unit: "°"},
			column{width: 38, names: []string{"indicator shows"}, key: "sweep.points"})
	}
	f.table(columns, rows)
	f.lines(4)
	f.row().step("5  THE SWEEP AGAIN", "on a new copy of this page, as the next setup: the readout \"left alone\".", "It shows whether anything has moved.")
	f.row().ask("Remarks", "setups.note").cell(150)
	f.out("6  INDICATOR OUT: the hole is empty")
	return f
}

// turning asks in which of two ways the piston came to its points.
func (f *form) turning(key string) {
	f.row().ask("Turned", key).tick("FORWARD: all the way it runs", "(needed if it must not turn back)").tick("RISING: before TDC the way it runs,", "after TDC back, against it")
}

// out is the last step.
func (f *form) out(words string) {
	f.row().step(words).to(96).step("crank bolt checked", "if it was turned back")
}

// heading names a step that has a table.
func (f *form) heading(words, note string) {
	f.y += 4.6
	x := f.text(0, f.y, drawing.Text{Size: 3.8, Bold: true, Text: words})
	for i, line := range drawing.Wrap(note, wordSize, drawing.PageWidth-x-2.2, 3) {
		if i > 0 {
			f.y += wordLead
		}
		f.text(x+2.2, f.y, drawing.Text{Size: wordSize, Text: line})
	}
	f.y += 0.4
}
