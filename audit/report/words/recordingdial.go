package words

import (
	"fmt"
	"strings"

	"markaudit/audit/guide"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
)

// What the recorder says where the readout is a dial in the plug hole.

// topAgain is the closing reading of a dial.
const topAgain = "top once more"

// dialTask names what is asked for; empty with any other readout, and for a line.
func (r Recording) dialTask(step guide.Step) string {
	switch {
	case r.view.Method != sheet.AtTop:
	case step.Item == "top":
		return fmt.Sprintf("Top, reading %d", step.Number)
	case step.Item == "closing":
		return strings.ToUpper(topAgain[:1]) + topAgain[1:]
	}
	return ""
}

// topSoFar says where the dial stands at the top, and how well that repeats.
func (r Recording) topSoFar(s tdc.Setup) string {
	taken, at, repeats := TopOf(r.Audit, s)
	text := "The dial stands highest at " + at + ", by " + taken
	if s.Height.N < 2 {
		return text + ", which shows no scatter yet"
	}
	return text + " that repeat to " + repeats
}

// dialHeadline is what to do, in a few words; empty where the words of other readouts do.
func (r Recording) dialHeadline(step guide.Step) string {
	switch {
	case r.view.Method != sheet.AtTop:
	case step.Kind == guide.Take && (step.Item == "top" || step.Item == "closing"):
		return "Slowly over the top"
	case step.Question == guide.LastLook:
		return "Take the dial out. Is the hole empty?"
	case step.Question == guide.Touched:
		return "Was the dial moved since the last reading?"
	}
	return ""
}

// onRound is what to do past a line on an engine that must not be turned back.
const onRound = "do not turn back: go on round and come again"

// dialTake says what to turn to and to read.
func (r Recording) dialTake(step guide.Step) string {
	name := Clean(step.Item)
	switch step.Item {
	case "top":
		if step.OneWay {
			return fmt.Sprintf("Do not turn back. Turn the engine THE WAY IT RUNS, %s, on round until the hand begins to climb, about 20 degrees before the top; then slowly over the top, and watch the hand. What is the highest that it reaches? Not where it comes to rest.", r.running())
		}
		return fmt.Sprintf("Turn the engine back about 20 degrees, then THE WAY IT RUNS, %s, slowly over the top, and watch the hand. What is the highest that it reaches? Not where it comes to rest.", r.running())
	case "closing":
		if step.OneWay {
			return fmt.Sprintf("Once more over the top: on round THE WAY IT RUNS, %s, and slowly from about 20 degrees before it. What is the highest that the hand reaches? It shows whether the dial has moved.", r.running())
		}
		return fmt.Sprintf("Once more over the top, from 20 degrees away, THE WAY IT RUNS, %s. What is the highest that the hand reaches? It shows whether the dial has moved.", r.running())
	}
	at := "line " + name + " stands at the engine pointer"
	if r.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		at = "the turning line stands at " + name + " of the fixed scale"
	}
	if step.Approach == sheet.Backward {
		return fmt.Sprintf("Go past it first, with the piston well down. Then turn AGAINST the way the engine runs, the piston rising, until %s. What does the dial show, whole turns of the hand included?", at)
	}
	first, past := "", "go back twenty degrees and come again"
	switch {
	case step.OneWay:
		past = onRound
	case step.Again:
		first = "Go back by twenty degrees first. "
	}
	return fmt.Sprintf("%sTurn THE WAY IT RUNS, %s, until %s; gone past it, %s. What does the dial show, whole turns of the hand included?", first, r.running(), at, past)
}

// dialQuestion asks what only a dial's recorder asks, or asks in its own words.
func (r Recording) dialQuestion(step guide.Step) string {
	switch {
	case r.view.Method != sheet.AtTop:
	case step.Question == guide.Touched:
		return "Since the last reading, was the dial moved, set to nought or taken out? Yes begins a new setup."
	case step.Question == guide.LastLook:
		return "Last step before the result: take the dial out. Look into the hole: is it empty?"
	case step.Question == guide.TurnBack:
		return "May this engine be turned backward by hand? Water pump, belt, tensioner and the maker decide. With a yes you come to the top by turning back, and the piston rises to the lines after TDC too. Without a yes everything is read turning the way it runs, once round for each reading."
	case step.Question == guide.FurtherOn:
		return fmt.Sprintf("You stand at line %s. Turn a few degrees further THE WAY IT RUNS, %s. What does the dial show now? That proves on which side of TDC the line lies.", Clean(step.Item), r.running())
	}
	return ""
}
