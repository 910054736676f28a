package questions

import (
	"fmt"
	"strings"

	"markaudit/audit/inputerror"
)

// linesKey is the question that is asked until all lines are named.
const linesKey = "lines"

// What stays shut, as a sentence.
const noRecording = "While it is open nothing is recorded."

// drawn is a picture with an arrow the way the engine runs, and the one without an
// arrow while that is open.
func (i Interview) drawn(picture string) string {
	if turns := i.value("engine.turns"); turns != "" {
		return picture + "-" + turns
	}
	return picture
}

// drawnEdge is the picture of an edge, of which the way of running says which it is.
func (i Interview) drawnEdge(picture string) string {
	switch picture {
	case "edge-leading", "edge-trailing":
		if i.value("engine.turns") == "" {
			return "edges"
		}
		return i.drawn(picture)
	}
	return picture
}

// drawnLines is the picture of lines on the side where they were seen; of one line
// while nobody has looked.
func (i Interview) drawnLines() string {
	if side := i.value("part.btdc_lines"); side != "" {
		return "lines-" + side
	}
	return "lines"
}

// items lists the questions that are due, in their order, answered or not.
func (i Interview) items() []item {
	three := []item{carriesItem(), seenFromItem(), turnsItem(i)}
	btdc := btdcItem(i)
	all := []item{titleItem()}
	if i.of(noteAgain) != "" { // another order, and nothing before it gives an answer away
		all = append(all, three[1], btdc, three[2], three[0])
	} else {
		all = append(all, three...)
	}
	if i.mayTurnAtHalfSpeed() {
		all = append(all, halfSpeedItem())
	}
	if i.of(lastOf("readout")) != "" || i.of(noteSame) != "" {
		all = append(all, sameItem(i))
	}
	onRim := i.value("readout.kind") == "rim"
	all = append(all, readoutItem(i))
	if i.of(noteAgain) == "" {
		all = append(all, btdc)
	}
	if onRim {
		all = append(all, rimItem(i))
	}
	all = append(all, stepItem(i))
	if kind := i.value("readout.kind"); kind == "wheel" || kind == "" {
		all = append(all, numberedItem())
	}
	onDial := i.value("readout.kind") == "dial"
	if onDial {
		all = append(all, probeItem())
	} else {
		all = append(all, quarterItem(i))
	}
	all = append(all, linesItem(i))
	for n := 1; n <= i.marks(); n++ {
		all = append(all, lineItem(i, n))
	}
	all = append(all, toleranceItem())
	for n := 1; n <= i.marks(); n++ {
		if strings.HasSuffix(i.value("limits.tolerance"), "piston") && !strings.Contains(i.value(mark(n)+".at"), "mm piston") && !strings.Contains(i.value(mark(n)+".at"), "in piston") {
			all = append(all, lineToleranceItem(i, n))
		}
	}
	if !onRim {
		all = append(all, rimItem(i))
	}
	all = append(all, ringItem())
	for n := 1; n <= i.marks() && i.value("part.build") != ""; n++ {
		all = append(all, lineOnItem(i, n))
	}
	all = append(all, cylindersItem())
	for n := 1; n <= i.marks() && len(i.form.Keys("engine.cylinders")) > 0; n++ {
		all = append(all, lineCylinderItem(i, n))
	}
	all = append(all, windowItem())
	all = append(all, backwardItem(i))
	if !onDial && i.of(noteBackward) != "no" { // a dial finds TDC itself
		all = append(all, stopItem())
	}
	if i.needsCrank() {
		all = append(all, strokeItem(), rodItem())
	}
	return all
}

func (i Interview) marks() int { return len(i.form.Items("marks")) }

// mark is the path of a line, counted from 1.
func mark(n int) inputerror.Path { return inputerror.Path(fmt.Sprintf("marks[%d]", n-1)) }

func (i Interview) lineName(n int) string {
	if name := i.value(mark(n) + ".name"); name != "" {
		return name
	}
	return fmt.Sprintf("line %d", n)
}

func (i Interview) lineNames() []string {
	names := make([]string, i.marks())
	for n := range names {
		names[n] = i.lineName(n + 1)
	}
	return names
}

// anyMark reports whether a place or a tolerance of the sheet ends so.
func (i Interview) anyMark(words string) bool {
	for n := 1; n <= i.marks(); n++ {
		if strings.Contains(i.value(mark(n)+".at"), words) || strings.Contains(i.value(mark(n)+".tolerance"), words) {
			return true
		}
	}
	return strings.Contains(i.value("limits.tolerance"), words)
}

// needsCrank reports whether a piston's height has to become degrees.
func (i Interview) needsCrank() bool {
	return i.value("readout.kind") == "dial" || i.anyMark("piston") || i.of(noteBackward) == "no" || i.of(noteStop) == "no" || i.value("engine.pin_offset") != "" || i.value("engine.bore_offset") != ""
}

// mayTurnAtHalfSpeed reports whether the part is none of those that sit on the
// crank.
func (i Interview) mayTurnAtHalfSpeed() bool {
	name := i.value("part.name")
	onCrank := strings.Contains(name, "flywheel") || strings.Contains(name, "crank") || strings.Contains(name, "pulley") && !strings.Contains(name, "cam")
	return i.value("part.marks_on") == "part" && (!onCrank || i.value("part.turns") != "")
}

// seenFrom is where the person stands, for sentences.
func (i Interview) seenFrom() string {
	if from := i.value("part.seen_from"); from != "" {
		return "seen from the " + from
	}
	return "as you look at the lines"
}

// thePart is the part for sentences.
func (i Interview) thePart() string {
	if name := i.value("part.name"); name != "" {
		return "the " + name
	}
	return "the part"
}
