package questions

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// notOfBoth are keys that a dial has not, or has in another unit.
var notOfBoth = []inputerror.Path{"readout.diameter", "readout.off_centre", "readout.lost_motion", "readout.correction", "readout.history"}

// readoutPaths are what describes the readout and is answered anew with its kind.
var readoutPaths = []inputerror.Path{"readout.probe_angle", "readout.crown", "readout.error", "readout.revolution", "readout.step", "readout.counts", "readout.quarter_turn", "readout.numbered", "readout.measured", "readout.kind"}

func readoutItem(i Interview) item {
	x := item{Question: Question{
		Key: "readout", Ask: "How do you read how far the crank has turned?", Kind: Choose, Needed: Recording, Without: noRecording,
		Help: "Without a wheel the part's own rim serves: lengths from a chalk line.",
		Choices: []Choice{
			{"wheel", "A degree wheel", "", "wheel"},
			{"encoder", "An encoder", "it shows degrees", "encoder"},
			{"tape", "A tape along the rim", "lengths from a chalk line", "tape"},
			{"chord", "Dividers or a straight rule", "straight across, from a chalk line", "chord"},
			{"dial", "A dial in the injector or plug hole", "how far the piston has come down; no wheel and no stop", "no-stop"},
		},
		TurnsRound: "All readings would mean something else.",
	}, path: "readout.kind", others: []inputerror.Path{"readout.measured"}}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		if !ok {
			return i.form, notOne(x.Choices, said)
		}
		kind, measured := value, ""
		if value == "tape" || value == "chord" {
			kind, measured = "rim", value
		}
		if kind == i.value("readout.kind") && measured == i.value("readout.measured") {
			return i.form, nil
		}
		form, err := i.clear(readoutPaths...)
		if err == nil && (kind == "dial" || i.value("readout.kind") == "dial") { // neither says anything of the other
			form, err = i.with(form).clear(notOfBoth...)
		}
		if err == nil && kind == "dial" {
			form, err = form.Remove("readout.counts")
		}
		if err == nil {
			form, err = form.Set("readout.kind", kind)
		}
		if err == nil && measured != "" {
			form, err = form.Set("readout.measured", measured)
		}
		return form, err
	}
	x.says = func(i Interview, text string) string {
		switch {
		case text == "rim" && i.value("readout.measured") == "chord":
			return "It is read on the rim, straight across from a chalk line, with dividers or a rule."
		case text == "rim":
			return "It is read on the rim, with a tape laid along it from a chalk line."
		}
		return "It is read from " + map[string]string{"wheel": "a degree wheel", "encoder": "an encoder", "dial": "a dial in the injector or plug hole, by how far the piston has come down"}[text] + "."
	}
	return x
}

func sameItem(i Interview) item {
	x := item{Question: Question{
		Key: "same", Ask: "Is it the same readout as last time?", Help: "Last time: " + i.of(lastOf("readout")) + ".", Picture: "wheel",
		Kind: Choose, Needed: Recording, Without: noRecording,
		Choices: []Choice{{"yes", "Yes, the same", "", "wheel"}, {"no", "No, another one", "it is asked anew", "encoder"}},
	}, asked: noteSame}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		if !ok {
			return i.form, notOne(x.Choices, said)
		}
		if value == "no" {
			form, err := i.clear(append([]inputerror.Path{"readout.name", "readout.diameter", "readout.off_centre", "readout.lost_motion", "readout.correction", "readout.history"}, readoutPaths...)...)
			if err != nil {
				return form, err
			}
			i = i.with(form)
		}
		return i.note(noteSame, value), nil
	}
	x.says = func(i Interview, text string) string {
		if text == "yes" {
			return "The readout is the same as last time."
		}
		return "The readout is another than last time."
	}
	return x
}

func stepItem(i Interview) item {
	x := item{Question: Question{
		Key: "step", Ask: "What is the smallest step that you write down?", Picture: "step",
		Help: "What you can tell apart for certain, not what you hope for. Choose, or type another.",
		Kind: Choose, Free: true, Example: "0.2", Needed: Recording, Without: noRecording,
		Choices:    []Choice{{"1", "1°", "", "step-1"}, {"0.5", "0.5°", "", "step-2"}, {"0.25", "0.25°", "", "step-4"}, {"0.1", "0.1°", "", "step-10"}},
		TurnsRound: "All ± would be worked out anew.",
	}, path: "readout.step"}
	unit := "°"
	switch i.value("readout.kind") {
	case "dial":
		unit = ""
		x.Example, x.Units = "0.02 mm", lengthUnits
		x.Choices = []Choice{{"0.01 mm", "0.01 mm", "", "step-10"}, {"0.005 mm", "0.005 mm", "", "step-2"}, {"0.001 in", "0.001 inch", "", "step-10"}, {"0.0005 in", "0.0005 inch", "", "step-2"}}
	case "rim":
		unit = ""
		x.Example = "0.5 mm"
		x.Units = lengthUnits
		x.Choices = []Choice{{"1 mm", "1 mm", "", "step-1"}, {"0.5 mm", "0.5 mm", "", "step-2"}, {"1/16 in", "1/16 inch", "", "step-4"}, {"1/32 in", "1/32 inch", "", "step-10"}}
	}
	x.take = choose(x.path, &x)
	x.says = func(_ Interview, text string) string {
		return "The smallest step that you write down is " + text + unit + "."
	}
	return x
}

func probeItem() item {
	x := item{Question: Question{
		Key: "probe", Ask: "Does the dial stand in line with the cylinder, or at a slant?", Help: "A slanting hole slants the dial: it then shows more than the piston moves. Choose, or type the degrees between dial and cylinder, with how sure they are.",
		Kind: Choose, Free: true, Example: "20 ± 3", Needed: Judging, Without: "While it is open, the dial counts as standing in line.",
		Choices:    []Choice{{"in line", "In line", "it goes straight down", "no-stop"}},
		TurnsRound: "All drops of the piston would be worked out anew.",
	}, path: "readout.probe_angle", asked: noteProbe}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		if value, ok := chosen(x.Choices, said); ok {
			form, err := i.form.Remove(x.path)
			if err != nil {
				return form, err
			}
			return i.with(form).note(noteProbe, value), nil
		}
		form, err := i.form.Set(x.path, degreesAlone(said))
		if err != nil {
			return form, err
		}
		return i.with(form).note(noteProbe, ""), nil
	}
	x.says = func(_ Interview, text string) string {
		if text == "in line" {
			return "The dial stands in line with the cylinder."
		}
		return "The dial stands at " + text + " degrees to the cylinder."
	}
	return x
}

func numberedItem() item {
	x := item{Question: Question{
		Key: "numbered", Ask: "How is the degree wheel numbered?", Help: "Look half a turn from 0, and a quarter turn on either side of it. It may also run the other way round.",
		Kind: Choose, Needed: Recording, Without: noRecording,
		Choices: []Choice{
			{"round", "All round from 0", "0, 90, 180, 270", "round"},
			{"both ways", "Both ways from 0", "90 is there twice", "both-ways"},
		},
		TurnsRound: "All readings would mean something else.",
	}, path: "readout.numbered"}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		value, ok := chosen(x.Choices, said)
		if !ok {
			return i.form, notOne(x.Choices, said)
		}
		form, err := i.form, error(nil)
		switch {
		case value == i.value("readout.numbered"):
			return form, nil
		case value == "both ways": // the letters of each reading say the side
			if form, err = form.Remove("readout.counts"); err == nil {
				form, err = form.Remove("readout.quarter_turn")
			}
		default:
			form, err = i.clear("readout.counts", "readout.quarter_turn")
		}
		if err != nil {
			return form, err
		}
		return form.Set("readout.numbered", value)
	}
	x.says = func(_ Interview, text string) string {
		if text == "both ways" {
			return "The wheel is numbered both ways from 0, so every reading has its letters."
		}
		return "The wheel is numbered all round from 0."
	}
	return x
}

func quarterItem(i Interview) item {
	x := item{Question: Question{
		Key: "quarter-turn", Ask: "What does it show now? And after a quarter turn the way it runs?",
		Help:    "Nothing may stand in the way of the piston. Write down what it shows. Turn the engine a quarter turn the way it runs. Write down what it shows then.",
		Picture: i.drawn("quarter"), Kind: Turn, Example: "12 then 102", Needed: Recording, Without: noRecording,
		TurnsRound: "All readings would be taken the other way round.",
	}, path: "readout.quarter_turn", others: []inputerror.Path{"readout.counts"}}
	switch {
	case i.value("readout.numbered") == "both ways":
		x.Sides, x.Example = []Choice{{Value: "BTDC", Words: "BTDC"}, {Value: "ATDC", Words: "ATDC"}}, "26 BTDC then 64 ATDC"
	case i.value("readout.kind") == "rim":
		x.Units, x.Example = lengthUnits, "14.0 mm then 434.0 mm"
	}
	x.take = takeQuarterTurn
	x.says = func(i Interview, _ string) string {
		turn := i.form.Items("readout.quarter_turn")
		if len(turn) != 2 {
			return ""
		}
		way := map[string]string{"up": ": it counts up the way the engine runs", "down": ": it counts down the way the engine runs"}[i.value("readout.counts")]
		return fmt.Sprintf("A quarter turn brought it from %s to %s%s.", turn[0], turn[1], way)
	}
	return x
}

// twoReadings parts what was typed for two readings.
var twoReadings = regexp.MustCompile(`^(.+?)(?: then | to | and |; ?|, | ?-> ?| ?→ ?)(.+)$`)

// takeQuarterTurn finds which way the readout counts by what it showed before and
// after a quarter turn. It is seen, not asked.
func takeQuarterTurn(i Interview, said string) (sheet.Form, error) {
	var from, to string
	if parts := twoReadings.FindStringSubmatch(said); parts != nil {
		from, to = parts[1], parts[2]
	} else if fields := strings.Fields(said); len(fields) == 2 {
		from, to = fields[0], fields[1]
	} else {
		return i.form, refuse("found "+inputerror.Shown(said)+", expected two readings", "such as 12 then 102")
	}
	if i.value("readout.kind") == "rim" && i.value("part.diameter") == "" && i.value("part.circumference") == "" {
		return i.form, refuse("the rim's size is open", "answer that first: without it a length is no part of a turn")
	}
	from, to = decimals(from), decimals(to)
	lettered := i.value("readout.numbered") == "both ways"
	if lettered {
		from, to = strings.ToUpper(from), strings.ToUpper(to)
	}
	var fault inputerror.Fault
	for _, counts := range []string{"up", "down"} {
		form, err := i.form.SetList("readout.quarter_turn", from, to)
		if err == nil && !lettered {
			form, err = form.Set("readout.counts", counts)
		}
		if err != nil {
			return form, err
		}
		j := i.with(form)
		at := slices.IndexFunc(j.faults, func(f inputerror.Fault) bool { return strings.HasPrefix(string(f.Path), "readout.quarter_turn") })
		if at < 0 {
			return form, nil
		}
		if fault = j.faults[at]; lettered || fault.Path != "readout.quarter_turn" {
			break
		}
	}
	if lettered && strings.Contains(fault.Text, "contradicts") {
		return i.form, refuse(fault.Text, fault.Hint)
	}
	if fault.Path != "readout.quarter_turn" {
		return i.form, refuse(fault.Text, fault.Hint)
	}
	return i.form, refuse(fmt.Sprintf("found %s and %s, which are not about a quarter turn apart", inputerror.Shown(from), inputerror.Shown(to)),
		"45 to 135 degrees will do: turn it again, the way it runs, and write down both")
}
