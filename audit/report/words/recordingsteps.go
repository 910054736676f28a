package words

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/guide"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Task names what is asked for, in a few words.
func (r Recording) Task() string {
	step := r.view.Step
	switch step.Kind {
	case guide.Ask:
		return "A question first"
	case guide.Lower:
		return "Piston down"
	case guide.Fit:
		return "Stop in"
	case guide.TakeOut:
		if step.Item == "" {
			return "Last step, stop out"
		}
		return "Stop out"
	case guide.Take:
		return r.numberOf(step)
	}
	return "All read"
}

// numberOf names the number that a step waits for.
func (r Recording) numberOf(step guide.Step) string {
	if text := r.dialTask(step); text != "" {
		return text
	}
	switch step.Item {
	case "stop":
		return fmt.Sprintf("Pair %d, %v contact", step.Number, step.Approach)
	case "closing":
		return fmt.Sprintf("Closing pair, %v contact", step.Approach)
	}
	switch {
	case r.view.Method == sheet.EqualDrop && step.Side != "":
		return fmt.Sprintf("Drop %d, %s TDC", step.Number, step.Side)
	case r.view.Method == sheet.Sweep && step.Item == "sweep":
		return fmt.Sprintf("Sweep, point %d", step.Number)
	}
	from := ""
	if step.Approach == sheet.Backward {
		from = ", from the other side"
	}
	return fmt.Sprintf("Line %s, reading %d%s", Clean(step.Item), step.Number, from)
}

// Step says what to do next.
func (r Recording) Step() string {
	step := r.view.Step
	switch step.Kind {
	case guide.Ask:
		return r.question(step)
	case guide.Lower:
		return r.lower(step)
	case guide.Fit:
		why := "for the contacts"
		if step.Item == "closing" {
			why = "once more, for the closing pair. It shows whether the readout has moved"
		}
		return fmt.Sprintf("The piston is well down. Fit the stop%s and lock it, %s.", r.inCylinder(), why)
	case guide.TakeOut:
		text := r.ease(step.Rests)
		switch step.Item {
		case "":
			return text + "take the stop out. This is the last step before the result. Nobody may turn the engine past TDC with the stop in."
		case "quarter turn":
			return text + "take the stop out. The quarter turn is made without it."
		}
		return text + "take the stop out before you turn past TDC."
	case guide.Take:
		switch {
		case r.view.Method == sheet.AtTop:
			return r.dialTake(step)
		case step.Item == "stop" || step.Item == "closing":
			return r.contact(step)
		case r.view.Method == sheet.EqualDrop && step.Side != "":
			return r.drop(step)
		case r.view.Method == sheet.Sweep && step.Item == "sweep":
			return r.sweep(step)
		}
		return r.line(step)
	}
	return r.decide()
}

func (r Recording) inCylinder() string {
	if r.view.Cylinder == "" {
		return ""
	}
	return " in cylinder " + Clean(r.view.Cylinder)
}

// lower brings the piston down before the stop is fitted: at the top the stop
// would meet it.
func (r Recording) lower(step guide.Step) string {
	piston := "the piston"
	if r.view.Cylinder != "" {
		piston = "the piston of cylinder " + Clean(r.view.Cylinder)
	}
	way := "THE WAY IT RUNS, " + r.running()
	if step.Turn == 0 {
		return fmt.Sprintf("Before the stop goes in, turn the engine %s, until %s is well down, about half way or lower. Stop turning. Then feel for it with a wooden rod through the hole, never a finger. Do not set the readout to zero.", way, piston)
	}
	from := ""
	if step.Stands != "" {
		from = fmt.Sprintf("You stand at line %s, and %s is near the top. ", Clean(step.Stands), piston)
		if n := math.Abs(math.Remainder(step.Turn.Degrees()-180, 360)); n > 60 {
			from = fmt.Sprintf("You stand at line %s. ", Clean(step.Stands))
		}
	}
	return fmt.Sprintf("%sBefore the stop goes in, turn the engine %s, by about %s degrees, until %s is well down. Stop turning. Then feel for it with a wooden rod through the hole, never a finger. Do not set the readout to zero.",
		from, way, rounding.Fixed(step.Turn.Degrees(), 0), piston)
}

// lookAgain asks whether the sheet is as the metal, where a mistake on it would
// explain the readings as well.
func (r Recording) lookAgain(step guide.Step) string {
	return "A mistake on the sheet would explain these readings as well. Go back and look: " + map[string]string{
		"letters":   "do the lines marked BTDC really come up before TDC as the engine runs, and the others after it?",
		"names":     "is each line the one whose name stands on the sheet?",
		"cylinders": "did the stop sit in the cylinder that the sheet names, and are the degrees between the cylinders the maker's?",
		"nominals":  "does each line belong where the sheet says, in that unit, by the maker's data?",
	}[step.Checked] + " A yes is written on the sheet and rules that mistake out. If you did not look, answer no."
}

// question asks for what no reading tells.
func (r Recording) question(step guide.Step) string {
	if text := r.dialQuestion(step); text != "" {
		return text
	}
	switch step.Question {
	case guide.HoleEmpty:
		if r.view.Method != sheet.Stop {
			return "You said that no stop is in. Look once more: is the hole empty?"
		}
		return "You said that the stop is out. Look at the plug hole. Is it empty?"
	case guide.Touched:
		return "Since the last reading, was the readout moved, zeroed or taken off, or the stop fitted anew for other contacts? Yes begins a new setup."
	case guide.WhereStop:
		text := "Look at the plug hole: is the stop in or out?"
		if r.view.Method != sheet.Stop {
			text = "Look: is a stop in the engine, or out?"
		}
		if r.view.Told != "" {
			text += " It was said last to be " + Clean(r.view.Told) + "."
		}
		return text
	case guide.WhereBTDC:
		return "Look at the metal, " + r.viewpoint() + ": on which side of the TDC line do the BTDC lines lie, clockwise or anticlockwise?"
	case guide.QuarterFrom:
		return "The stop is out. " + r.readout() + ": what does it show now?"
	case guide.QuarterTo:
		return "Turn the engine about a quarter turn THE WAY IT RUNS, " + r.running() + ". What does it show now?"
	case guide.LastLook:
		if r.view.Method != sheet.Stop {
			return "Last step before the result: take the indicator off. Look once more: is the hole empty, and no stop in the engine?"
		}
		return "Last step before the result: look once more at the plug hole. Is it empty, and the stop out?"
	case guide.Where:
		return r.where(step)
	case guide.Valves:
		return "Do the valves clear the stop, also at overlap, where both are open? Find out by the maker's figure, or by rod depth and valve lift. Not sure is an answer too. Without a yes, TDC is found by equal drops of an indicator, without a stop."
	case guide.TurnBack:
		return "May this engine be turned backward by hand? Water pump, belt, tensioner and the maker decide. Without a yes, TDC is found by a sweep, turning the way it runs only."
	case guide.Stroke:
		return "What is the stroke, with its unit? A drop or a sweep cannot be turned into degrees without it."
	case guide.Rod:
		return "How long is the rod, centre to centre, with its unit?"
	case guide.HowDeep:
		return "Set the indicator on the piston and find its highest reading. How far below that shall the piston stand at each drop, with its unit? 2 mm or more."
	case guide.LookedAgain:
		return r.lookAgain(step)
	case guide.NextCylinder:
		return fmt.Sprintf("This cylinder is done. Next is cylinder %s. Was the readout left alone, and will it stay so? No begins a mounting of its own. Skip leaves the cylinder out.", Clean(step.Cylinder))
	}
	return ""
}

// largeRim is where a rim is too large for the contact to be felt by hand. Common
// practice, no source.
const largeRim geometry.Length = 300

func (r Recording) largeRim() bool { return r.Result.Sheet.Part.Diameter > largeRim }

// touch says how to meet the stop.
func (r Recording) touch() string {
	if r.largeRim() {
		return "Bar it slowly, and stop at the first resistance."
	}
	return "Light touch."
}

// where asks at which contact the piston rests. Nobody is told to turn: a few degrees
// are enough to feel it.
func (r Recording) where(step guide.Step) string {
	how := "With two fingers, a few degrees each way"
	if r.largeRim() {
		how = "Bar it slowly, a few degrees each way, and stop at the first resistance"
	}
	text := "Where does the piston stand? " + how + ": does the engine turn freely only the way it runs (with), only against it (against), both ways (both), or neither way (neither)?"
	if step.Item == "" {
		return text
	}
	return text + fmt.Sprintf(" Or, if it rests at the %v contact, give the number.", step.Approach)
}

// running is the running direction, as one looks at the marks.
func (r Recording) running() string {
	return r.Result.Sheet.Engine.Turns.String() + " " + r.viewpoint()
}

// ease says how to come off the stop from the contact at which it rests.
func (r Recording) ease(rests sheet.Approach) string {
	switch rests {
	case sheet.Forward:
		return "Ease off the stop by a few degrees AGAINST the way the engine runs, and "
	case sheet.Backward:
		return "Ease off the stop by a few degrees THE WAY the engine runs, and "
	}
	return "With the piston off the stop, "
}

// rotation is the direction of a turn as one looks at the marks.
func (r Recording) rotation(way sheet.Approach) geometry.Rotation {
	if way == sheet.Backward {
		return r.Result.Sheet.Engine.Turns.Opposite()
	}
	return r.Result.Sheet.Engine.Turns
}

// contact says which way to turn to a contact. The stop is in, so the way never
// leads through the arc that it blocks.
func (r Recording) contact(step guide.Step) string {
	way := "THE WAY IT RUNS, " + r.running()
	away := "against the way it runs"
	if step.Approach == sheet.Backward {
		way = "AGAINST the way it runs, " + r.rotation(step.Approach).String() + " " + r.viewpoint()
		away = "the way it runs"
	}
	if step.Rests == step.Approach {
		return fmt.Sprintf("You stand at this contact. Ease off by some twenty degrees, %s. Then turn the engine %s, until the piston meets the stop again. %s What does the readout show?", away, way, r.touch())
	}
	far := ""
	switch {
	case step.Turn > 0:
		far = ", by about " + rounding.Fixed(step.Turn.Degrees(), 0) + " degrees"
	case step.Rests != 0:
		far = ", nearly a whole turn"
	}
	return fmt.Sprintf("Turn the engine %s%s, until the piston meets the stop. %s What does the readout show?", way, far, r.touch())
}

// drop says how to come to a drop of the indicator.
func (r Recording) drop(step guide.Step) string {
	way := "THE WAY IT RUNS, " + r.running() + ", until the rising piston"
	if step.Approach == sheet.Backward {
		way = "on past the top, then AGAINST the way it runs, " + r.rotation(step.Approach).String() + " " + r.viewpoint() + ", until the rising piston"
	}
	return fmt.Sprintf("No stop is in. Turn the engine %s stands %s its highest. What does the readout show?", way, r.dropBelow())
}

// dropBelow is how far below its highest the piston stands at a drop.
func (r Recording) dropBelow() string {
	if r.view.Height == "" {
		return "at the drop below"
	}
	return Clean(r.view.Height) + " below"
}

// theDrop names that drop in a few words.
func (r Recording) theDrop() string {
	if r.view.Height == "" {
		return "the drop"
	}
	return Clean(r.view.Height) + " below the top,"
}

// StopMatters reports whether the stop belongs to the step at hand: where TDC is found
// without one, it does so only while one is in, or nobody knows.
func (r Recording) StopMatters() bool {
	switch r.view.Method {
	case sheet.AtTop:
		return false
	case sheet.Stop:
		return true
	}
	return r.view.Stop != guide.Out
}

// sweep asks for one point.
func (r Recording) sweep(step guide.Step) string {
	first := ""
	if step.Number == 1 {
		first = "Set the indicator on the piston, and begin some thirty degrees before the top. "
	}
	return first + "No stop is in. Turn the engine a little further THE WAY IT RUNS, " + r.running() +
		", and stop anywhere near the top. Take five points at least, half of them before it. What does the readout show, and what the indicator? Type both: 335.5 at 2.61 mm. `skip` when that is all."
}

// line says how to come to a line. The stop is out.
func (r Recording) line(step guide.Step) string {
	name := Clean(step.Item)
	at := "line " + name + " stands at the engine pointer"
	if r.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		at = "the turning line stands at " + name + " of the fixed scale"
	}
	switch edge := r.Result.Sheet.Part.ReadAt; edge {
	case "leading edge", "trailing edge":
		at += " with its " + edge
	}
	if step.Approach == sheet.Backward {
		return fmt.Sprintf("Go past it first, then turn AGAINST the way the engine runs until %s. What does the readout show?", at)
	}
	far, past := "", "go back ten degrees and come again"
	if step.OneWay {
		past = onRound
	}
	switch n := math.Round(step.Turn.Degrees()); {
	case step.OneWay && (step.Again || n < 10):
		far = "It comes up after a whole turn. "
	case step.Again || n < 10:
		far = "Go back by ten degrees or more first. "
	default:
		far = "It comes in about " + rounding.Fixed(n, 0) + " degrees. "
	}
	if step.Turn == 0 && !step.Again {
		far = ""
	}
	return fmt.Sprintf("%sTurn THE WAY IT RUNS, %s, until %s. Gone past it? Then %s. What does the readout show?", far, r.running(), at, past)
}

// StopAtTheEnd is what stands at the end of every sitting in which the stop was
// not said to be out; empty where it was.
func (r Recording) StopAtTheEnd() string {
	switch {
	case r.view.Step.Kind == guide.Decide:
		return ""
	case r.view.Stop == guide.In:
		return "The stop is IN. Ease off, and take it out before anyone turns the engine past TDC."
	case r.view.Stop == guide.Unsaid:
		return "Nobody has said where the stop is. Look, and take it out before anyone turns the engine past TDC."
	}
	return ""
}

// Short is a step in two lines, for one who knows the long text: where things
// stand, and what to do.
func (r Recording) Short() (where, what string) {
	step := r.view.Step
	parts := []string{strings.ToLower(r.Task()[:1]) + r.Task()[1:]}
	if r.StopMatters() {
		parts = append(parts, "stop "+r.view.Stop.String())
	}
	if n := r.view.Pairs; n > 0 {
		sure := rounding.Count(n, "pair", "pairs")
		if r.view.TDC > 0 {
			sure += " ± " + rounding.TwoDigits(r.view.TDC) + ", goal " + rounding.TwoDigits(r.view.Goal)
		}
		parts = append(parts, sure)
	}
	where = strings.Join(parts, " | ")
	back, with := "TURN BACKWARD", "TURN THE WAY IT RUNS"
	switch step.Kind {
	case guide.Lower:
		return where, with + " until the piston is well down, then down"
	case guide.Fit:
		return where, "fit the stop, lock it, then in"
	case guide.TakeOut:
		switch step.Rests {
		case sheet.Forward:
			return where, "ease off BACKWARD, take the stop out, then out"
		case sheet.Backward:
			return where, "ease off THE WAY IT RUNS, take the stop out, then out"
		}
		return where, "take the stop out, then out"
	case guide.Take:
		way := with
		if step.Approach == sheet.Backward {
			way = back
		}
		far := ""
		if step.Turn > 0 {
			far = ", ~" + rounding.Fixed(step.Turn.Degrees(), 0)
		}
		switch step.Item {
		case "top", "closing":
			if r.view.Method == sheet.AtTop {
				if step.OneWay {
					return where, "on round " + with + ", slowly over the top; the highest"
				}
				return where, "back 20, then " + with + ", slowly over the top; the highest"
			}
			fallthrough
		case "stop":
			if step.Rests == step.Approach {
				return where, "ease off 20, then " + way + ", to the stop"
			}
			return where, way + far + ", to the stop"
		case "drop":
			return where, way + ", to " + r.theDrop() + " " + step.Side + " TDC"
		case "sweep":
			return where, way + " a little; READING at HEIGHT, or skip"
		}
		switch {
		case step.OneWay && step.Again:
			way = "on round " + way
		case step.Again:
			way = "back ten, then " + way
		}
		return where, way + far + ", to line " + Clean(step.Item)
	}
	return where, r.Step()
}
