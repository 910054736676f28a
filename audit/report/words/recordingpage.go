package words

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/guide"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
)

// What the page at the engine says is to be read at two metres: a headline, then
// one or two sentences. Forward and backward stay the words of terminal and files;
// here every way is a verb.

const (
	turnWith = "Turn the way it runs"
	turnBack = "Turn backward"
)

// Headline is what is to be done, in a few words.
func (r Recording) Headline() string {
	step := r.view.Step
	if text := r.dialHeadline(step); text != "" {
		return text
	}
	switch step.Kind {
	case guide.Ask:
		return r.askShortly(step)
	case guide.Lower:
		return "Bring the piston well down"
	case guide.Fit:
		if step.Item == "closing" {
			return "Fit the stop again"
		}
		return "Fit the stop"
	case guide.TakeOut:
		if r.EnoughPairs() {
			return "Enough. Take the stop out"
		}
		return "Take the stop out"
	case guide.Take:
		if step.Approach == sheet.Backward {
			return turnBack
		}
		return turnWith
	}
	return "All read, and the stop is out"
}

// EnoughPairs reports whether the stop comes out because the contacts are enough.
func (r Recording) EnoughPairs() bool {
	step := r.view.Step
	return step.Kind == guide.TakeOut && step.Item != "" && step.Item != "quarter turn" && step.Item != "another cylinder" && step.Number <= 1 && r.view.Sure
}

// askShortly is a question as a headline.
func (r Recording) askShortly(step guide.Step) string {
	switch step.Question {
	case guide.Touched:
		return "Was anything moved since the last reading?"
	case guide.WhereStop:
		if r.view.Method != sheet.Stop {
			return "Look: is a stop in the engine?"
		}
		return "Look at the plug hole: is the stop in or out?"
	case guide.FurtherOn:
		return "A few degrees further the way it runs"
	case guide.WhereBTDC:
		return "On which side of the TDC line are the BTDC lines?"
	case guide.QuarterFrom:
		return "What does the readout show now?"
	case guide.QuarterTo:
		return "A quarter turn the way it runs"
	case guide.HoleEmpty, guide.LastLook:
		if step.Question == guide.LastLook && r.view.Method != sheet.Stop {
			return "Take the indicator off. Is the engine empty?"
		}
		return "Look: is the hole empty?"
	case guide.Where:
		if r.largeRim() {
			return "Bar it slowly, a few degrees each way: where does it turn freely?"
		}
		return "Two fingers, a few degrees each way: where does it turn freely?"
	case guide.Valves:
		return "Do the valves clear the stop, at overlap too?"
	case guide.TurnBack:
		return "May this engine be turned backward by hand?"
	case guide.Stroke:
		return "What is the stroke?"
	case guide.Rod:
		return "How long is the rod?"
	case guide.HowDeep:
		return "How far below its highest shall the piston stand?"
	case guide.LookedAgain:
		return "Is the sheet as the metal?"
	case guide.NextCylinder:
		return "Now cylinder " + Clean(step.Cylinder) + ". Was the readout left alone?"
	}
	return ""
}

// Then says until what, and what to mind.
func (r Recording) Then() string {
	step := r.view.Step
	switch step.Kind {
	case guide.Ask:
		return r.askAside(step)
	case guide.Lower:
		piston := "the piston"
		if r.view.Cylinder != "" {
			piston = "the piston of cylinder " + Clean(r.view.Cylinder)
		}
		far := ""
		if step.Turn > 0 {
			far = "about " + rounding.Fixed(step.Turn.Degrees(), 0) + "° "
		}
		stands := ""
		if step.Stands != "" {
			stands = "You stand at " + TheLine(step.Stands) + ". "
		}
		return fmt.Sprintf("%s%s the way it runs: %s%s, until %s is well down. Stop turning. Then feel with a wooden rod, never a finger. Do not set the readout to zero.", stands, "Turn", far, r.rotation(sheet.Forward), piston)
	case guide.Fit:
		why := ""
		if step.Item == "closing" {
			why = "One more contact each way shows whether the wheel slipped. "
		}
		return why + "The piston is well down. Screw the stop into the hole" + r.inCylinder() + ", as deep as it will block twenty to thirty degrees each side. Tighten its lock nut."
	case guide.TakeOut:
		ease := "The piston is off the stop. "
		if step.Rests != 0 {
			away := "against the way it runs"
			way := sheet.Backward
			if step.Rests == sheet.Backward {
				away, way = "the way it runs", sheet.Forward
			}
			ease = fmt.Sprintf("Ease off %s: %s, a few degrees. ", away, r.rotation(way))
		}
		last := ""
		switch step.Item {
		case "":
			last = " This is the last step before the result."
		case "another cylinder":
			last = " The next cylinder comes then."
		}
		return ease + "Unscrew the stop and lift it out." + last
	case guide.Take:
		return r.takeAside(step)
	}
	return "Look at what the lines say, below."
}

// takeAside says until what to turn.
func (r Recording) takeAside(step guide.Step) string {
	if r.view.Method == sheet.AtTop {
		return r.dialTake(step)
	}
	rotation := r.rotation(step.Approach).String()
	far := ""
	if step.Turn >= 1 {
		far = "about " + rounding.Fixed(step.Turn.Degrees(), 0) + "° "
	}
	switch {
	case step.Item == "stop" || step.Item == "closing":
		ease := ""
		if step.Rests == step.Approach {
			away := r.rotation(sheet.Forward + sheet.Backward - step.Approach)
			ease = fmt.Sprintf("First ease off some twenty degrees, %s. Then ", away)
		}
		beware := ""
		if step.Turn >= 30 {
			beware = " Met much sooner? Do not push: a valve."
		}
		return ease + far + rotation + ", to the stop. " + r.touch() + beware + " Then read " + r.readoutName() + "."
	case r.view.Method == sheet.EqualDrop && step.Side != "":
		if step.Approach == sheet.Backward {
			return "Go on past the top first. Then " + rotation + ", until the rising piston stands " + r.dropBelow() + " its highest. Then read " + r.readoutAtItsPointer() + "."
		}
		return rotation + ", until the rising piston stands " + r.dropBelow() + " its highest. Then read " + r.readoutAtItsPointer() + "."
	case r.view.Method == sheet.Sweep && step.Item == "sweep":
		if step.Number == 1 {
			return "Set the indicator on the piston, and begin some thirty degrees before the top, turning " + rotation + ". Stop anywhere, and read both. Five points at least, half of them before the top."
		}
		return "a little further, " + rotation + ", and stop anywhere near the top. Read both. Five points at least, half of them before the top."
	}
	at := TheLine(step.Item) + " stands at the engine pointer"
	if r.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		at = "the turning line stands at " + Clean(step.Item) + " of the fixed scale"
	}
	if edge := r.Result.Sheet.Part.ReadAt; edge == "leading edge" || edge == "trailing edge" {
		at += " with its " + edge
	}
	text := far + rotation + ", until " + at + "."
	if step.Approach == sheet.Backward {
		return "Go past it first. Then " + text + " Then read " + r.readoutAtItsPointer() + "."
	}
	if step.OneWay {
		return text + " Gone past? Do not turn back: on round, and come again. Then read " + r.readoutAtItsPointer() + "."
	}
	if step.Again || step.Turn > 0 && step.Turn < 10 {
		lies := ""
		if step.Turn > 0 {
			lies = "It lies " + strings.TrimSuffix(far, " ") + " further on. "
		}
		return lies + "First go back ten degrees or more. Then turn " + rotation + ", until " + at + ". Then read " + r.readoutAtItsPointer() + "."
	}
	return text + " Gone past? Back ten degrees, come again. Then read " + r.readoutAtItsPointer() + "."
}

// readoutAtItsPointer names what is to be read: not the line's name, and not a
// turn.
func (r Recording) readoutAtItsPointer() string {
	if r.Result.Sheet.Readout.Kind == sheet.Wheel {
		return r.readoutName() + " at its own pointer"
	}
	return r.readoutName()
}

// readoutName calls the readout as it is called at the engine.
func (r Recording) readoutName() string {
	switch r.Result.Sheet.Readout.Kind {
	case sheet.Rim:
		return "the length on the rim"
	case sheet.Encoder:
		return "the encoder"
	case sheet.Dial:
		return "the dial"
	}
	return "the degree wheel"
}

// askAside is what helps to answer.
func (r Recording) askAside(step guide.Step) string {
	if text := r.dialQuestion(step); text != "" {
		return text
	}
	switch step.Question {
	case guide.Touched:
		return "The readout moved, zeroed or taken off, or the stop fitted anew for other contacts? Yes begins a new setup."
	case guide.WhereStop:
		if r.view.Told != "" {
			return "It was said last to be " + Clean(r.view.Told) + "."
		}
		return "Do not turn before you have looked."
	case guide.WhereBTDC:
		return "Look at the metal, " + r.viewpoint() + "."
	case guide.QuarterFrom:
		return "The stop is out. " + r.readout() + ", as it stands."
	case guide.QuarterTo:
		return "About a quarter turn " + r.rotation(sheet.Forward).String() + ". What does it show now?"
	case guide.LastLook:
		if r.view.Method != sheet.Stop {
			return "Last step before the result: see too that no stop is in the engine."
		}
		return "Last step before the result: the stop is out of the engine."
	case guide.HoleEmpty:
		if r.view.Method != sheet.Stop {
			return "You said that no stop is in."
		}
		return "You said that the stop is out."
	case guide.Where:
		slow := ""
		if r.largeRim() {
			slow = "Stop at the first resistance. "
		}
		if step.Item != "" {
			return slow + fmt.Sprintf("Or, resting on the stop after turning %s: type the number.", strings.ToLower(waysOf(step.Approach)))
		}
		return strings.TrimSpace(slow)
	case guide.Valves:
		return "By the maker's figure, or by rod depth and valve lift. Not sure is a full answer. Without a yes: equal drops of an indicator, no stop."
	case guide.TurnBack:
		return "Water pump, belt, tensioner, and what the maker says. Without a yes: a sweep, turning the way it runs only."
	case guide.Stroke:
		return "With its unit. A drop or a sweep cannot be turned into degrees without it."
	case guide.Rod:
		return "Centre to centre, with its unit."
	case guide.HowDeep:
		return "Set the indicator on the piston and find its highest reading. With the unit; 2 mm or more."
	case guide.LookedAgain:
		return r.lookAgain(step)
	case guide.NextCylinder:
		return "No: its lines are read again, as a mounting of its own."
	}
	return ""
}

func waysOf(way sheet.Approach) string {
	if way == sheet.Backward {
		return "BACKWARD"
	}
	return "THE WAY IT RUNS"
}

// SeenFrom says from where every arrow is seen.
func (r Recording) SeenFrom() string {
	if s := r.Result.Sheet.Part.SeenFrom; s != "" {
		return "seen from the " + Clean(s)
	}
	return "seen as you look at the marks"
}

// NumberLabel names the number that is typed, in the field itself.
func (r Recording) NumberLabel() string {
	step := r.view.Step
	switch {
	case step.Kind == guide.Ask && step.Question != guide.Where:
		switch step.Question {
		case guide.Stroke:
			return "stroke"
		case guide.Rod:
			return "rod"
		case guide.HowDeep:
			return "drop"
		case guide.QuarterTo:
			return "after the quarter turn"
		case guide.FurtherOn:
			return "a few degrees further"
		}
		return "it shows now"
	case r.dialTask(step) != "":
		return strings.ToLower(r.dialTask(step))
	case step.Item == "stop":
		return fmt.Sprintf("contact %d, %s", step.Number, waysOf(step.Approach))
	case step.Item == "closing":
		return "closing contact, " + waysOf(step.Approach)
	case step.Side != "":
		return fmt.Sprintf("drop %d, %s TDC", step.Number, step.Side)
	case step.Item == "sweep" && r.view.Method == sheet.Sweep:
		return fmt.Sprintf("point %d, readout", step.Number)
	}
	return fmt.Sprintf("%s, reading %d", TheLine(step.Item), step.Number)
}

// Kept says that a row is kept, its number first.
func Kept(row readings.Row) string {
	text := Clean(row.Reading)
	ways := waysOf(sheet.Forward)
	if row.Approach == sheet.Backward.String() {
		ways = waysOf(sheet.Backward)
	}
	switch row.Item {
	case "stop":
		text += " contact " + Clean(row.Trial) + ", " + ways
	case "closing":
		if row.Trial == "" {
			return text + " " + topAgain
		}
		text += " closing contact, " + ways
	default:
		text += " " + Clean(row.Item)
		if row.Side != "" {
			text += ", " + Clean(row.Side) + " TDC"
		}
		if row.Height != "" && row.Side == "" {
			text += ", " + Clean(row.Height)
		}
	}
	return text
}

// Sum says what the pairs tell of TDC so far, and the goal; empty before the first
// pair.
func (r Recording) Sum() (sure, goal string) {
	n := r.view.Pairs
	if n == 0 || math.IsInf(r.view.Goal.Degrees(), 1) {
		return "", ""
	}
	goal = "Goal ± " + rounding.TwoDigits(r.view.Goal) + "."
	taken := rounding.Count(n, "contact", "contacts") + " each way"
	if r.view.Method == sheet.EqualDrop {
		taken = rounding.Count(n, "drop", "drops") + " each side"
	}
	if r.view.TDC == 0 {
		return taken + ", no scatter yet.", goal
	}
	return taken + ": TDC ± " + rounding.TwoDigits(r.view.TDC) + ".", goal
}

// TakenBack names on the page what undo would take back; empty for nothing.
func (r Recording) TakenBack() string {
	if u := r.view.Undo; u.Kind == guide.Read && u.Question == guide.NoQuestion {
		return strings.NewReplacer(waysOf(sheet.Forward), "the way it runs", waysOf(sheet.Backward), "backward").Replace(Kept(u.Row))
	}
	return r.Undo()
}

// Knocked is how the page calls that the readout lost its zero.
func (r Recording) Knocked() string {
	switch r.Result.Sheet.Readout.Kind {
	case sheet.Wheel:
		return "The wheel was knocked"
	case sheet.Encoder:
		return "The encoder was knocked"
	case sheet.Dial:
		return "The dial was moved"
	}
	return "Something was moved"
}
