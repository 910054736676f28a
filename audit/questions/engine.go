package questions

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

func titleItem() item {
	x := item{Question: Question{
		Key: "title", Ask: "What is this job called?", Help: "Engine and part, as you will look for them later. The file gets this name too.",
		Picture: "sheet", Kind: Type, Example: "Brickworks pump", Without: "Without it the job goes by the name of its file.",
	}, path: "title"}
	x.take = func(i Interview, said string) (sheet.Form, error) { return i.form.Set("title", said) }
	x.says = func(_ Interview, text string) string { return "The job is called " + text + "." }
	return x
}

func carriesItem() item {
	x := item{Question: Question{
		Key: "carries", Ask: "What carries the lines?", Help: "Look at the engine. Do the lines turn, or does one line turn past a scale that stands still?",
		Kind: Choose, Needed: Recording, Without: noRecording,
		Choices: []Choice{
			{"pulley", "A pulley", "its lines turn past a fixed pointer", "pulley"},
			{"flywheel", "A flywheel", "its lines turn past a fixed pointer", "flywheel"},
			{"other", "Another part that turns", "its lines turn past a fixed pointer", "turning-part"},
			{"scale", "A scale that stands still", "one line turns past it", "scale"},
		},
		TurnsRound: "All readings would be taken the other way round.",
	}, path: "part.marks_on"}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		if !ok {
			return i.form, notOne(x.Choices, said)
		}
		on, name := "part", map[string]string{"pulley": "crank pulley", "flywheel": "flywheel"}[value]
		if value == "scale" {
			on = "engine"
		}
		form, err := i.form.Set("part.marks_on", on)
		if was := i.value("part.name"); err == nil && name != "" && (was == "" || was == "flywheel" || was == "crank pulley") {
			form, err = form.Set("part.name", name)
		}
		return form, err
	}
	x.says = func(i Interview, text string) string {
		if text == "engine" {
			return "One line turns past a scale that stands still."
		}
		return "The lines are on " + i.thePart() + " and turn past a pointer that stands still."
	}
	return x
}

func halfSpeedItem() item {
	x := item{Question: Question{
		Key: "half-speed", Ask: "Does this part turn with the crank, or at half its speed?", Help: "Turn the crank one turn by hand and watch a line of the part: is it back where it was, or half a turn on? A gear or a pulley on the camshaft turns at half speed.",
		Kind: Choose, Needed: Scribing, Without: "While it is open, the part counts as turning with the crank.",
		Choices:    []Choice{{"no", "With the crank", "once in a turn of the crank", "full-speed"}, {"half", "At half speed", "once in two turns of the crank", "half-speed"}},
		TurnsRound: "All lengths on the rim would stand for other degrees.",
	}, path: "part.turns", asked: noteHalf}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		if !ok {
			return i.form, notOne(x.Choices, said)
		}
		form, err := i.form.Remove("part.turns")
		if value == "no" {
			return i.with(form).note(noteHalf, "no"), err
		}
		if err == nil {
			form, err = i.form.Set("part.turns", value)
		}
		if err != nil {
			return form, err
		}
		return i.with(form).note(noteHalf, ""), nil
	}
	x.says = func(_ Interview, text string) string {
		if text == "no" {
			return "The part turns with the crank."
		}
		return "The part turns at half speed, once in two turns of the crank."
	}
	return x
}

func seenFromItem() item {
	x := item{Question: Question{
		Key: "seen-from", Ask: "From where do you look at the lines?", Help: "Every clockwise is told as seen from there. Choose, or type another place.",
		Kind: Choose, Free: true, Example: "magneto side", Without: "While it is open, reports do not say from where clockwise is seen.",
		Choices: []Choice{
			{"pulley end", "The pulley end", "", "pulley-end"},
			{"flywheel end", "The flywheel end", "", "flywheel-end"},
		},
	}, path: "part.seen_from"}
	x.take = choose(x.path, &x)
	x.says = func(_ Interview, text string) string { return "You look at the lines from the " + text + "." }
	return x
}

func turnsItem(i Interview) item {
	x := item{Question: Question{
		Key: "turns", Ask: "Which way does the engine run, " + i.seenFrom() + "?",
		Help: "Go and look: see it run, or take it from the maker's plate. A plate counts only if it says from which end. Do not work it out at the desk.",
		Kind: Choose, Needed: Recording, Without: noRecording,
		Choices: []Choice{
			{"clockwise", "Clockwise", i.seenFrom(), "clockwise"},
			{"anticlockwise", "Anticlockwise", i.seenFrom(), "anticlockwise"},
		},
		TurnsRound: "All readings would be taken the other way round.",
	}, path: "engine.turns"}
	x.take = choose(x.path, &x)
	x.says = func(i Interview, text string) string {
		way := "from left to right"
		if text == "anticlockwise" {
			way = "from right to left"
		}
		return fmt.Sprintf("It runs %s, %s: at the top its rim goes %s.", text, i.seenFrom(), way)
	}
	return x
}

func btdcItem(i Interview) item {
	x := item{Question: Question{
		Key: "btdc-lines", Ask: "On which side of the TDC line do you see the BTDC lines?",
		Help: "Look at the metal now, and answer from that alone. It checks two other answers, and nothing else can.",
		Kind: Choose, Needed: Scribing, Without: "While it is open, nothing checks on which side a new line goes.",
		Choices: []Choice{
			{"clockwise", "Clockwise of it", "further round with the clock, " + i.seenFrom(), "btdc-clockwise"},
			{"anticlockwise", "Anticlockwise of it", "further round against the clock, " + i.seenFrom(), "btdc-anticlockwise"},
		},
	}, path: "part.btdc_lines"}
	x.take = choose(x.path, &x)
	x.says = func(i Interview, text string) string {
		return fmt.Sprintf("The BTDC lines lie %s of the TDC line, %s.", text, i.seenFrom())
	}
	return x
}

func backwardItem(i Interview) item {
	onDial := i.value("readout.kind") == "dial"
	x := item{Question: Question{
		Key: "backward", Ask: "May this engine be turned backward by hand?", Help: "A water pump with a rubber impeller, a timing belt or a tensioner may forbid it. The maker's data come first.",
		Kind: Choose, Without: "It is asked again before the stop goes in.",
		Choices: []Choice{
			{"yes", "Yes", "both ways", "two-ways"},
			{"no", "No, or not sure", "then only the way it runs: TDC is found by a sweep of an indicator", i.drawn("one-way")},
		},
	}, asked: noteBackward}
	if onDial {
		x.Without = "It is asked again before the first reading."
		x.Choices[1].More = "then only the way it runs, once round for each reading"
	}
	x.take = func(i Interview, said string) (sheet.Form, error) { return takeNote(i, x, said) }
	x.says = func(_ Interview, text string) string {
		switch {
		case text == "no" && onDial:
			return "It is turned the way it runs only, once round for each reading."
		case text == "no":
			return "It is turned the way it runs only. TDC is found by a sweep: an indicator on the piston, followed over the top."
		}
		return "It may be turned backward by hand."
	}
	return x
}

// twoStroke is an answer that counts as yes: there are no valves to clear.
const twoStroke = "two-stroke"

func stopItem() item {
	x := item{Question: Question{
		Key: "stop", Ask: "Can a stop go into the injector or plug hole, and do the valves clear it at overlap too?",
		Help: "A four-stroke comes to TDC twice, and at one of the two both valves stand open where the stop is. Go by the maker's figure, or by rod depth and valve lift. Not sure is a full answer.",
		Kind: Choose, Without: "It is asked again before the stop goes in.",
		Choices: []Choice{
			{"yes", "Yes, they clear", "I have looked or measured", "stop-clears"},
			{"no", "No, or not sure", "then no stop goes in: an indicator shows equal drops", "stop-meets"},
			{twoStroke, "Two-stroke", "no valves in the head", "two-stroke"},
			{"no stop fits", "No stop fits this hole", "an indicator shows equal drops", "no-stop"},
		},
	}, asked: noteStop}
	x.take = func(i Interview, said string) (sheet.Form, error) { return takeNote(i, x, said) }
	x.says = func(_ Interview, text string) string {
		switch text {
		case "no":
			return "No stop goes in. TDC is found by equal drops: an indicator on the piston, at the same height before and after it."
		case twoStroke:
			return "TDC is found with a stop in the injector or plug hole. It is a two-stroke, with no valves in the head."
		}
		return "TDC is found with a stop in the injector or plug hole. You say the valves clear the stop at overlap too."
	}
	return x
}

// takeNote keeps the answer as a note.
func takeNote(i Interview, x item, said string) (sheet.Form, error) {
	value, ok := chosen(x.Choices, said)
	if !ok {
		return i.form, notOne(x.Choices, said)
	}
	switch value {
	case "no stop fits":
		value = "no"
	}
	return i.note(x.asked, value), nil
}

func strokeItem() item {
	x := item{Question: Question{
		Key: "stroke", Ask: "What is the stroke?", Help: "From the engine's data: how far the piston goes from top to bottom.", Picture: "stroke",
		Kind: Type, Units: lengthUnits, Example: "92 mm", Needed: Recording, Without: "While it is open, a piston's height does not become degrees.",
	}, path: "engine.stroke", of: "stroke and rod"}
	x.take = takeValue(x.path)
	x.says = func(_ Interview, text string) string { return "The stroke is " + text + "." }
	return x
}

func rodItem() item {
	x := item{Question: Question{
		Key: "rod", Ask: "How long is the connecting rod, centre to centre?", Help: "From the middle of the piston pin to the middle of the crankpin. From the engine's data, or measured on a rod.", Picture: "rod",
		Kind: Type, Units: lengthUnits, Example: "150 mm", Needed: Recording, Without: "While it is open, a piston's height does not become degrees.",
	}, path: "engine.rod", of: "stroke and rod"}
	x.take = takeValue(x.path)
	x.says = func(_ Interview, text string) string { return "The rod is " + text + " from centre to centre." }
	return x
}

// takeValue writes a number with its unit as it was typed.
func takeValue(path inputerror.Path) func(i Interview, said string) (sheet.Form, error) {
	return func(i Interview, said string) (sheet.Form, error) { return i.form.Set(path, decimals(said)) }
}

func ringItem() item {
	x := item{Question: Question{
		Key: "ring", Ask: "Does an outer ring sit on rubber?", Help: "Look at the face: a band of rubber between hub and ring. Such a ring can slip, and its lines with it.",
		Kind: Choose, Needed: Judging, Without: "While it is open, a slipped ring is not looked for.",
		Choices: []Choice{{"no", "No, one piece", "", "solid"}, {"yes", "Yes, on rubber", "each line is then asked for: ring or hub", "ring"}},
	}, path: "part.build", asked: noteRing}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		switch {
		case !ok:
			return i.form, notOne(x.Choices, said)
		case value == "yes":
			form, err := i.form.Set("part.build", "bonded ring")
			if err != nil {
				return form, err
			}
			return i.with(form).note(noteRing, ""), nil
		}
		form, err := i.form.Remove("part.build")
		if err != nil {
			return form, err
		}
		return i.with(form).note(noteRing, "no"), nil
	}
	x.says = func(_ Interview, text string) string {
		if text == "no" {
			return "No ring sits on rubber."
		}
		return "An outer ring sits on rubber."
	}
	return x
}

func windowItem() item {
	x := item{Question: Question{
		Key: "window", Ask: "Do you see the lines through a window?", Help: "If so: which way do they pass in it while the engine runs?", Kind: Choose,
		Without: "While it is open, orders say clockwise and anticlockwise alone.",
		Choices: []Choice{
			{"no", "No window", "the whole face is in sight", "face"},
			{"left", "They pass to the left", "while it runs", "window-left"},
			{"right", "They pass to the right", "while it runs", "window-right"},
			{"up", "They pass upward", "while it runs", "window-up"},
			{"down", "They pass downward", "while it runs", "window-down"},
		},
	}, path: "part.moves", asked: noteWindow}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		if !ok {
			return i.form, notOne(x.Choices, said)
		}
		form, err := i.form.Remove("part.moves")
		if value == "no" {
			return i.with(form).note(noteWindow, "no"), err
		}
		if err == nil {
			form, err = i.form.Set("part.moves", value)
		}
		if err != nil {
			return form, err
		}
		return i.with(form).note(noteWindow, ""), nil
	}
	x.says = func(_ Interview, text string) string {
		if text == "no" {
			return "The lines are not seen through a window."
		}
		return "In the window the lines pass " + map[string]string{"left": "to the left", "right": "to the right", "up": "upward", "down": "downward"}[text] + " while the engine runs."
	}
	return x
}

// oneCylinder is said of an engine that has no other. Nothing is then looked for in
// another cylinder: the sheet says so among what was looked at.
const oneCylinder = "one cylinder"

// lookedAtCylinders is the sheet with its cylinders among what was looked at, or without.
func lookedAtCylinders(i Interview, at bool) (sheet.Form, error) {
	was := i.form.Items("checked")
	list := slices.DeleteFunc(slices.Clone(was), func(s string) bool { return s == "cylinders" })
	if at {
		list = append(list, "cylinders")
	}
	switch {
	case len(list) == len(was):
		return i.form, nil
	case len(list) == 0:
		return i.form.Remove("checked")
	}
	return i.form.SetList("checked", list...)
}

func cylindersItem() item {
	x := item{Question: Question{
		Key: "cylinders", Ask: "Are there lines of more than one cylinder's TDC?",
		Help: "One TDC is enough where every line is given from it: 120 ATDC for the next pair. Where each cylinder or each bank has lines of its own, type the degrees of each one's TDC after the first, from the maker's data: 1 at 0; 6 at 90",
		Kind: Choose, Free: true, Example: "1 at 0; 6 at 90", Without: "While it is open, all lines count from one TDC.",
		Choices: []Choice{
			{oneCylinder, "One cylinder", "the engine has no other", "cylinder"},
			{"one", "One TDC is enough", "of several cylinders; all lines are given from it", "one-row"},
		},
		Picture: "two-rows", TurnsRound: "The lines would count from other cylinders.",
	}, path: "engine.cylinders", asked: noteCylinders}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		if value == oneCylinder || i.of(noteCylinders) == oneCylinder {
			form, err := lookedAtCylinders(i, value == oneCylinder)
			if err != nil {
				return form, err
			}
			i = i.with(form)
		}
		if ok {
			form, err := i.form.Remove("engine.cylinders")
			if err != nil {
				return form, err
			}
			return i.with(form).note(noteCylinders, value), nil
		}
		pairs, err := cylinderPairs(said)
		if err != nil {
			return i.form, err
		}
		form, err := i.form.SetTable("engine.cylinders", pairs...)
		if err != nil {
			return form, err
		}
		return i.with(form).note(noteCylinders, ""), nil
	}
	x.says = func(i Interview, text string) string {
		names := i.form.Keys("engine.cylinders")
		if text == oneCylinder {
			return "The engine has one cylinder."
		}
		if text == "one" || len(names) == 0 {
			return "All lines count from one TDC."
		}
		said := make([]string, len(names))
		for at, degrees := range i.form.Items("engine.cylinders") {
			said[at] = "cylinder " + names[at] + " at " + degrees + "°"
		}
		return "The TDCs stand, the way it runs: " + strings.Join(said, ", ") + "."
	}
	return x
}

var cylinderAt = regexp.MustCompile(`^(.+?)(?: at |: ?| )(-?[0-9.]+)°?$`)

// cylinderPairs reads "1 at 0; 6 at 90".
func cylinderPairs(said string) (pairs [][2]string, err error) {
	parts := strings.Split(said, ";")
	if len(parts) == 1 {
		parts = strings.Split(said, ", ")
	}
	for _, part := range parts {
		got := cylinderAt.FindStringSubmatch(decimal(strings.TrimSpace(part)))
		if got == nil {
			return nil, refuse("found "+inputerror.Shown(strings.TrimSpace(part))+", expected a cylinder and its degrees", "such as 1 at 0; 6 at 90")
		}
		pairs = append(pairs, [2]string{got[1], got[2]})
	}
	return pairs, nil
}

func lineCylinderItem(i Interview, n int) item {
	x := item{Question: Question{
		Key: fmt.Sprintf("line-%d-cylinder", n), Ask: "From which cylinder's TDC does " + i.lineName(n) + " count?", Kind: Choose,
		Needed: Judging, Without: "While it is open, the line counts from the cylinder at 0.", Picture: "two-rows",
		TurnsRound: "The line would be judged from another TDC.",
	}, path: mark(n) + ".cylinder"}
	for _, name := range i.form.Keys("engine.cylinders") {
		x.Choices = append(x.Choices, Choice{Value: name, Words: "Cylinder " + name, Picture: "cylinder"})
	}
	x.take = choose(x.path, &x)
	x.says = func(i Interview, text string) string {
		return i.lineName(n) + " counts from the TDC of cylinder " + text + "."
	}
	return x
}
