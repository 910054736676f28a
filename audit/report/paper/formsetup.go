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

// setup asks what every setup is known by.
func (f *form) setup() {
	f.whose().ask("Who", "setups.by").cell(30).ask("Date", "setups.date").cell(26)
	f.row().askWithin(26, "Readout since the last setup", "setups.mounting").tick("this is", "the first").tick("OFF and ON,", "knocked or zeroed").tick("left alone: other", fmt.Sprintf("cylinder (page %d)", rarePartPage)).to(138).ask("In cylinder", fmt.Sprintf("cylinder, note: page %d empty", rarePartPage)).cell(14)
}

// untouched is what every reading of a setup rests on.
const untouched = "To step 9 DO NOT TOUCH wheel or pointer. Its 0 need not be at TDC."

// measured is the heading of the step of the first readings. It says what must not be
// touched until the last, whichever box for the readout was crossed, and then how it is
// done.
func (f *form) measured(words, how, keys string) {
	f.gap()
	f.y += 4.8
	x := f.text(0, f.y, drawing.Text{Size: 4, Bold: true, Text: words}) + 2.2
	x = f.text(x, f.y, drawing.Text{Size: ruleSize, Bold: true, Text: untouched})
	if keys != "" {
		f.grey(x+2, f.y, keys)
		f.key(keys)
	}
	f.rules(how)
}

// knocked says how a copy is given up. It asks for no step any more, so what is in the
// hole comes out first. It is not typed in: setups have their number by their place on the
// sheet.
func knocked(what string) string {
	return fmt.Sprintf("Knocked? %s OUT, cross this out; new copy, same number.", what)
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
	f.heading("5  LINES", "Each 2 or 3 times, THE WAY IT RUNS: MIDDLE of the line at the ENGINE pointer (fixed scale: turning line); read at the readout's pointer. "+past, "")
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

// down is the first step, before stop or indicator is fitted.
func (f *form) down() *row {
	return f.row().step("1  PISTON WELL DOWN", "feel with a soft", "rod; nobody", "turns meanwhile").to(80)
}

// downAgain is the step before it is fitted again.
func (f *form) downAgain() *row {
	return f.row().step("6  PISTON WELL DOWN", "feel with a soft rod;", "nobody turns meanwhile").to(90)
}

// next says, below the last step, how it goes on.
func (f *form) next(copies string) {
	f.rules(fmt.Sprintf("Next setup, of 3: readout OFF and ON, a third of a turn on; off centre again (page %d); %s.", readoutPage, copies))
}

// stop is a setup with a stop.
func (f *form) stop() {
	f.setup()
	f.y += 0.6 // a thick frame comes next
	f.down().step("2  STOP IN", "met gently 20 to 35° before TDC (old line),", "or both contacts 40 to 70° apart. To adjust it:", "piston down again, off the stop; then lock it")
	f.measured("3  CONTACTS", knocked("STOP")+" Three to five pairs, gently, always alike; never force it with the bar. To the stop: FORWARD the way it runs, BACKWARD nearly a turn back.", "")
	f.table([]column{
		{width: 11, names: []string{"pair"}},
		{width: 56, names: []string{"FORWARD"}, key: "setups.stop.forward", unit: "°", must: 1},
		{width: 56, names: []string{"BACKWARD"}, key: "setups.stop.backward", unit: "°", must: 1},
		{width: 57, names: []string{"bad pair: strike it, write why"}, key: "struck"},
	}, numbered(5))
	f.row().step("4  STOP OUT", "ease the piston off it first; out before anyone turns past TDC")
	f.lines("Gone past? Ten degrees back.", "Good where belt, chain or gears drive the readout.")
	f.downAgain().step("7  STOP IN AGAIN", "locked; its depth", "may be another")
	f.heading("8  CLOSING PAIR", "Still the same setup. It shows whether anything has moved.", "")
	f.y += 0.8
	f.row().ask("FORWARD", "closing: forward").number(38, "", "°").ask("BACKWARD", "closing: backward").number(38, "", "°").ask("Remarks", "setups.note").cell(38)
	f.row().step("9  STOP OUT: the hole is empty").to(74).step("crank bolt checked", "or no bolt. Turning back can loosen it.", "Last setup: after the readout is off")
	f.next("new copy")
}

// again is what the typist does with what was taken a second time: a closing pair is of
// a stop only.
const again = "setups: one more, with the same mounting"

const (
	roundAgain = "Gone past? Once more round, or 10° back if allowed."
	notBack    = "NO TURNING BACK: leave this column EMPTY."
)

// noTurningBack is for engines that page 1 found not to be turned back: what to do there
// in place of it.
func (f *form) noTurningBack(instead string) {
	f.gap()
	f.says(fmt.Sprintf("NO TURNING BACK (page %d)? Only FORWARD. %s", startPage, instead), shoutSize, shoutLead, true)
}

// tipRound is how an engine that goes forward only comes before TDC again.
const tipRound = "tip OUT, turn on until the piston is down, tip in."

// indicatorIn are the steps before the first height.
func (f *form) indicatorIn() {
	f.down().step("2  INDICATOR IN", "clear of valves all the way. Turn on", "till it touches. Travel LEFT at top?", "Try gently; runs out: halt, lift the tip")
}

// drops is a setup by equal drops of an indicator.
func (f *form) drops() {
	f.setup()
	f.noTurningBack("Gone past: leave that pair empty.")
	f.indicatorIn()
	f.measured("3  DROPS", knocked("TIP")+" At the top: indicator to 0. Drop: how far below, same both sides; two or three: 1/40, 1/15 of the stroke (80 mm: 2, 5 mm). The tip must touch.", "drop, before, after")
	f.y += 0.4 // of the letters above it
	f.turning("equal_drop.approach", "a pass is every drop BEFORE, then AFTER, tip left in;", "the first pass only sets 0; holder against a shoulder", "after: well past, then back; tip in")
	f.rules("Three passes; look at 0 each time. Over 0.1 mm (0.004 in) off: set it, strike that pass; two will do. After a trial, good or not, and FORWARD after each pass: " + tipRound)
	f.table([]column{
		{width: 22, names: []string{"drop"}, must: 1},
		{width: 10, names: []string{"ring one"}, unit: "mm", must: 1},
		{width: 10, unit: "in", must: 1},
		{width: 23, names: []string{"BEFORE 1st"}, unit: "°", must: 1},
		{width: 23, names: []string{"BEFORE 2nd"}, unit: "°"},
		{width: 23, names: []string{"BEFORE 3rd"}, unit: "°"},
		{width: 23, names: []string{"AFTER 1st"}, unit: "°", must: 1},
		{width: 23, names: []string{"AFTER 2nd"}, unit: "°"},
		{width: 23, names: []string{"AFTER 3rd"}, unit: "°"},
	}, blankRows(3))
	f.row().ask("The indicator slants by", "equal_drop.probe_angle").number(22, "", "°").word("to the cylinder;", "straight: empty").to(110).step("4  INDICATOR OUT", "before", "the lines")
	f.lines(roundAgain, notBack)
	f.downAgain().step("7  INDICATOR IN AGAIN", "set to 0 at", "the top again")
	f.heading("8  THE FIRST DROP AGAIN", "Turned as in step 3. Still the same setup.", again)
	f.y += 0.4
	f.row().ask("BEFORE", "before").number(26, "", "°").ask("AFTER", "after").number(26, "", "°").askWithin(20, "Remarks, why struck", "setups.note").cell(70)
	f.out("new copy")
}

// sweep is a setup by a sweep of an indicator over the top: its first page.
func (f *form) sweep() {
	f.setup()
	f.noTurningBack("")
	f.bold("Gone past a point: read where you stand. One pass, tip stays in.")
	f.indicatorIn()
	f.rules("After a trial, good or not: " + tipRound + " Tip lost in the sweep: do the same, cross this copy out; new copy, same number, same answers above.")
	f.rules(fmt.Sprintf("It needs a travel of a tenth of the stroke. Less: as far as it goes, alike on both sides, points closer together. Slanting hole: take page %d, which asks for the slant.", dropsPage))
	f.measured("3  SWEEP", "From 30 degrees before TDC (near enough, by the old TDC line or by a trial over the top) to as far after it, every 3 to 4 degrees: 16 to 21 points in all. Halt, write both numbers, but only while the tip touches the piston. A bad one: strike it, why in the remarks.", "")
	f.rules(knocked("TIP"))
	f.y += 0.7 // a thick frame comes next
	f.row().ask("Indicator is in", "sweep.height").must().units().ask("Remarks", "setups.note").cell(100)
	f.turning("sweep.approach", "all points the way it runs,", "over the top", "after TDC go well past, read coming back")
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
	f.noTurningBack("Gone past a line: once more round.")
	f.bold(untouched)
	f.lines(roundAgain, notBack)
	f.downAgain().step("7  INDICATOR IN AGAIN", "travel LEFT at", "top; depth and 0", "may be another")
	f.heading("8  THE SWEEP AGAIN", "Still the same setup. Turned as in step 3, over the same swing, one pass; nine points will do. Gone past one: read where you stand.", again)
	f.rules("Tip lost: strike all of them; take them again on a copy of this page.")
	f.points(12, 0)
	f.row().ask("Remarks", "setups.note").cell(150)
	f.out("new copies")
}

// turning asks in which of two ways the piston came to its points, and says which is
// better. How it is turned forward takes two lines, how back the second of two.
func (f *form) turning(key, forward, more, back string) {
	f.row().askWithin(20, "Turned: cross one", key).must().
		tickBold(1, "RISING: better, if it may turn back", "before: forward (missed: well back);", back).
		tickBold(1, "FORWARD: if it must not turn back", forward, more)
}

// out is the last step with an indicator.
func (f *form) out(copies string) {
	f.row().step("9  INDICATOR OUT: the hole is empty").to(84).check("crank bolt checked", "if turned back, or the readout is", "under it. Last setup:", "after the readout is off")
	f.next(copies)
}
