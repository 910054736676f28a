package questions

import (
	"fmt"
	"slices"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// rareKey is a key that few sheets have.
type rareKey struct {
	key, ask, help, example, picture string
	path                             inputerror.Path
	choices                          []Choice
	units                            []Choice
	says                             string // the sentence around the value
}

// The usual sizes in these texts are common practice, no source. None is filled in.
var rareKeys = []rareKey{
	{"job", "What is the job's number?", "Printed on the report, never computed with.", "26-041", "sheet", "job", nil, nil, "The job's number is %s."},
	{"date", "Which day is it?", "Printed on the report.", "2026-01-31", "sheet", "date", nil, nil, "The day is %s."},
	{"workshop", "What is the workshop called?", "Printed on the record.", "Mill Lane engines", "sheet", "workshop", nil, nil, "The workshop is %s."},
	{"customer", "Who is the customer?", "Printed on the record.", "Brickworks", "sheet", "customer", nil, nil, "The customer is %s."},
	{"issued", "On which day does the record go out?", "Printed on the record.", "2026-01-31", "sheet", "issued", nil, nil, "The record goes out on %s."},
	{"temperature", "How warm was it where you measured?", "With its unit. Printed on the record, never computed with.", "19 °C", "sheet", "conditions.temperature", nil, nil, "It was measured at %s."},
	{"place", "Where was it measured?", "Printed on the record.", "bench 2", "sheet", "conditions.place", nil, nil, "It was measured at %s."},
	{"engine-number", "What is the engine's own number?", "Stamped on the block.", "G 2208", "sheet", "engine.number", nil, nil, "The engine's number is %s."},
	{"part-name", "What is the part called?", "As the report shall name it.", "crank pulley", "pulley", "part.name", nil, nil, "The part is the %s."},
	{"part-number", "What is the part's number?", "Stamped or cast on it.", "F-19", "sheet", "part.number", nil, nil, "The part's number is %s."},
	{
		"half-speed", "Does the part turn at half speed?", "A part on the camshaft turns once in two turns of the crank.", "", "half-speed", "part.turns",
		[]Choice{{"half", "Yes, half speed", "once in two turns of the crank", "half-speed"}},
		nil, "The part turns at %s speed.",
	},
	{"stroke", "What is the stroke?", "How far the piston goes from top to bottom.", "92 mm", "stroke", "engine.stroke", nil, lengthUnits, "The stroke is %s."},
	{"rod", "How long is the connecting rod, centre to centre?", "From the middle of the piston pin to the middle of the crankpin.", "150 mm", "rod", "engine.rod", nil, lengthUnits, "The rod is %s from centre to centre."},
	{"pin-offset", "How far does the piston pin sit beside the middle of the piston?", "With its side, or ± 0.5 mm alone where the side is not known. It needs stroke and rod.", "0.5 mm to thrust side", "offset", "engine.pin_offset", nil, nil, "The piston pin sits %s."},
	{"bore-offset", "How far does the cylinder stand beside the crank?", "With its side. It needs stroke and rod.", "12 mm to crankpin side", "offset", "engine.bore_offset", nil, nil, "The cylinder stands %s."},
	{
		"marks-refer-to", "What stands highest at the line TDC?", "Usually the piston. Only with an offset do the two differ.", "", "offset", "engine.marks_refer_to",
		[]Choice{{"piston", "The piston", "as usual", "stroke"}, {"throw", "The crank's throw", "", "offset"}},
		nil, "TDC of the lines is that of the %s.",
	},
	{"teeth", "How many teeth has the ring gear?", "Count them. Then distances are told in teeth too.", "120", "teeth", "part.teeth", nil, nil, "The ring gear has %s teeth."},
	{
		"read-at", "Where on the line do you read?", "The leading edge comes to the pointer first.", "", "edges", "part.read_at",
		[]Choice{{"centre", "Its middle", "as usual", "edge-centre"}, {"leading edge", "Its leading edge", "", "edge-leading"}, {"trailing edge", "Its trailing edge", "", "edge-trailing"}},
		nil, "The line is read at its %s.",
	},
	{"sighting", "How far may eye, gap and line mislead you at the pointer?", "Stand at a line. Move your head a hand's breadth left, then right, and mark each time on tape where the line seems to meet the pointer: half of that distance, on the rim. Usual: ± 0.2 mm with the pointer close to the rim, ± 0.5 mm with a gap of 5 mm, ± 1 mm through a window. It needs the rim's size.", "± 0.3 mm", "tolerance", "part.sighting", nil, lengthUnits, "Sighting at the pointer may be off by %s."},
	{"readout-name", "What is the readout called?", "Two wheels in one shop need two names.", "wheel 2", "wheel", "readout.name", nil, nil, "The readout is %s."},
	{"readout-diameter", "How large is the wheel at its graduations?", "Straight across.", "280 mm", "wheel", "readout.diameter", nil, lengthUnits, "The wheel is %s across at its graduations."},
	{"off-centre", "How far may the wheel sit off the crank's centre?", "Turn the engine, and watch the wheel's edge against a fixed point: half of what it wanders. Usual: 0.1 mm on a spigot, 0.2 mm on a cone, 0.5 mm in a bolt hole. It needs the wheel's size.", "0.3 mm", "off-centre", "readout.off_centre", nil, lengthUnits, "The wheel sits at most %s off the centre."},
	{"lost-motion", "How many degrees does the readout lose when you reverse?", "In all, with its limit.", "0.10 ± 0.05", "quarter", "readout.lost_motion", nil, nil, "The readout loses %s degrees on reversing."},
	{"correction", "Which file corrects the readout?", "As markaudit wheel wrote it. It needs the readout's name.", "wheel-4.json", "sheet", "readout.correction", nil, nil, "The readout is corrected by %s."},
	{"history", "Which file holds what the readout did before?", "As markaudit history wrote it. It needs the readout's name.", "wheel-4.history.json", "sheet", "readout.history", nil, nil, "Earlier audits with it stand in %s."},
	{"remount", "What may fitting the readout again change?", "One pair and one line, the readout off and on, the same again: twice what line less middle changed, in degrees. Usual: ± 0.1 on the hub, ± 0.3 with bolt and washer, ± 0.05 of an encoder. With three mountings it is not needed.", "± 0.10", "off-centre", "limits.remount", nil, nil, "Fitting the readout again may change %s degrees."},
	{"contact", "How much higher may the stop touch on one side?", "The piston rocks. Head off: a dial on the crown where the stop touches, the crown pressed with a stick on one side of the pin, then on the other: all of the change. Head on: the usual figure, or pairs at two depths. Usual: ± 0.04 mm in a sound bore, ± 0.1 mm in a loose one.", "± 0.04 mm", "stop-clears", "limits.contact", nil, lengthUnits, "One contact may be higher than the other by %s."},
	{"slack", "What may bearing slack change in the piston's height?", "For drops and sweeps taken in one direction. A dial on the crown 30° before the top, one wheel reading come to forward, then backward: what the heights differ by. An engine that must not be turned back: leave it open, or the clearances of the rod's bearings, added up. Usual: 0.05 mm, worn 0.15 mm.", "± 0.05 mm", "rod", "limits.slack", nil, lengthUnits, "Bearing slack may change the piston's height by %s."},
	{"placement", "How closely do you place a new line?", "0.2 mm is taken as usual.", "0.2 mm", "lines", "limits.placement", nil, lengthUnits, "A new line is placed within %s."},
	{"confidence", "How sure shall the ± be?", "0.95 is taken as usual.", "0.95", "tolerance", "limits.confidence", nil, nil, "The ± holds the true value with a chance of %s."},
	{"decide-at", "How sure has a verdict to be?", "As sure as the ± is taken as usual.", "0.9", "tolerance", "limits.decide_at", nil, nil, "A verdict has to be sure to %s."},
	{
		"deep-stop", "Does the stop block more than half a turn?", "Almost none does.", "", "stop-clears", "limits.deep_stop",
		[]Choice{{"true", "Yes, more than half a turn", "", "stop-clears"}, {"false", "No", "as usual", "stop-clears"}},
		nil, "A stop that blocks more than half a turn: %s.",
	},
}

// dialKeys are those of a dial alone.
var dialKeys = []rareKey{
	{"crown", "How far may the crown lean under the dial?", "Degrees. A straight edge over it, where the probe lands, shows how much. Usual: ± 1 on a flat crown, ± 10 on a domed one.", "± 5", "no-stop", "readout.crown", nil, nil, "The crown may lean by %s degrees."},
	{"dial-error", "How wrong may the dial be between any two places?", "From its certificate, or from gauge blocks.", "± 0.015 mm", "no-stop", "readout.error", nil, lengthUnits, "The dial may be off by %s."},
	{"dial-reversing", "What does the dial lose when it reverses?", "In all, with its limit.", "0.003 ± 0.002 mm", "no-stop", "readout.lost_motion", nil, nil, "The dial loses %s on reversing."},
	{"revolution", "How far goes one turn of the dial's hand?", "Where the turns are counted.", "1 mm", "no-stop", "readout.revolution", nil, lengthUnits, "One turn of the hand is %s."},
}

// rareItems lists the rare questions: what is asked among the usual ones now is not
// there.
func rareItems(i Interview) []item {
	due := i.items()
	var all []item
	add := func(x item) {
		if !slices.ContainsFunc(due, func(d item) bool { return d.Key == x.Key }) {
			all = append(all, x)
		}
	}
	keys := rareKeys
	if i.value("readout.kind") == "dial" {
		keys = slices.Concat(rareKeys, dialKeys)
		keys = slices.DeleteFunc(keys, func(k rareKey) bool { return slices.Contains(notOfBoth, k.path) && k.key != "dial-reversing" })
	}
	for _, k := range keys {
		x := item{Question: Question{
			Key: k.key, Ask: k.ask, Help: k.help, Picture: k.picture, Kind: Type, Example: k.example, Units: k.units, Rare: true,
			Without: "Without it nothing else stays shut.",
		}, path: k.path}
		if k.choices != nil {
			x.Kind, x.Choices = Choose, slices.Clone(k.choices)
		}
		for n, c := range x.Choices {
			x.Choices[n].Picture = i.drawnEdge(c.Picture)
		}
		if k.path == "part.turns" {
			x.TurnsRound = "All lengths on the rim would stand for twice as many degrees."
		}
		x.take = func(i Interview, said string) (sheet.Form, error) {
			if said == "" || said == removeLine {
				form, err := i.form.Remove(x.path)
				if table := x.path.Outer(); err == nil && table == "conditions" && len(form.Keys(table)) == 0 {
					return form.Remove(table) // which may not stand there empty
				}
				return form, err
			}
			if x.Kind == Choose {
				value, ok := chosen(x.Choices, said)
				if !ok {
					return i.form, notOne(x.Choices, said)
				}
				return i.form.Set(x.path, value)
			}
			if x.Units == nil {
				return i.form.Set(x.path, said)
			}
			return i.form.Set(x.path, decimals(said))
		}
		x.says = func(_ Interview, text string) string { return fmt.Sprintf(k.says, text) }
		add(x)
	}
	for n := 1; n <= i.marks(); n++ {
		x := lineToleranceItem(i, n)
		x.Help, x.Rare, x.Needed, x.Without = "Where it is another than for the rest.", true, Nothing, "Without it the tolerance for all counts."
		x.Units = toleranceItem().Units
		take := x.take
		x.take = func(i Interview, said string) (sheet.Form, error) {
			if said == "" || said == removeLine {
				return i.form.Remove(x.path)
			}
			return take(i, said)
		}
		add(x)
	}
	for _, k := range entryKeys() {
		for _, x := range entryItems(i, k) {
			add(x)
		}
	}
	add(checkedItem())
	return all
}
