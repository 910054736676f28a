package questions

import (
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// copied are the keys that describe a type of engine and what it is measured with.
// Others belong to one engine or one measurement, or are asked again.
var copied = []inputerror.Path{
	"engine.stroke", "engine.rod", "engine.pin_offset", "engine.bore_offset", "engine.marks_refer_to",
	"part.name", "part.seen_from", "part.read_at", "part.teeth", "part.build", "part.turns", "part.moves",
	"readout.kind", "readout.measured", "readout.numbered", "readout.name", "readout.diameter", "readout.off_centre", "readout.lost_motion", "readout.correction", "readout.probe_angle", "readout.crown", "readout.error", "readout.revolution",
	"limits.confidence", "limits.decide_at", "limits.remount", "limits.contact", "limits.slack", "limits.placement", "limits.deep_stop",
}

// askedAgain are the questions whose earlier answer is told and not taken over.
var askedAgain = []string{"turns", "carries", "rim", "sighting", "tolerance"}

// Copy begins a job like an earlier one: what describes the type of engine is taken
// over, with the lines and where they belong. What could differ on this engine is
// asked again, and the question tells what it was last time.
func Copy(earlier Interview) Interview {
	i := Begin()
	i.open = earlier.open
	put := func(form sheet.Form, err error) {
		if err == nil { // what cannot be copied stays open
			i = i.with(form)
		}
	}
	if earlier.value("readout.kind") == "" {
		put(i.form.Set("readout.kind", "wheel")) // as such a sheet means
	}
	for _, path := range copied {
		value := earlier.value(path)
		if value == "" {
			continue
		}
		put(i.form.Set(path, value))
	}
	if i.value("readout.kind") == "wheel" && i.value("readout.numbered") == "" {
		put(i.form.Set("readout.numbered", "round"))
	}
	if i.value("readout.numbered") == "both ways" || i.value("readout.kind") == "dial" {
		put(i.form.Remove("readout.counts"))
	}
	put(i.form.Set("readout.step", earlier.value("readout.step")))
	if names := earlier.form.Keys("engine.cylinders"); len(names) > 0 {
		var pairs [][2]string
		for at, degrees := range earlier.form.Items("engine.cylinders") {
			pairs = append(pairs, [2]string{names[at], degrees})
		}
		put(i.form.SetTable("engine.cylinders", pairs...))
	}
	for n := 1; n <= earlier.marks(); n++ {
		pairs := [][2]string{{"name", earlier.value(mark(n) + ".name")}, {"at", earlier.value(mark(n) + ".at")}}
		for _, key := range []string{"tolerance", "on", "cylinder"} {
			if value := earlier.value(mark(n) + "." + inputerror.Path(key)); value != "" {
				pairs = append(pairs, [2]string{key, value})
			}
		}
		put(i.form.AddMark(pairs...))
	}
	for _, note := range []string{noteHalf, noteProbe, noteRing, noteCylinders, noteWindow} {
		if value := earlier.of(note); value != "" {
			i = i.with(i.note(note, value))
		}
	}
	if earlier.of(noteCylinders) == oneCylinder {
		put(lookedAtCylinders(i, true))
	}
	if earlier.marks() > 0 {
		i = i.with(i.note(noteLines, "yes"))
	}
	for _, key := range askedAgain {
		if x, ok := earlier.item(key); ok {
			if text := x.say(earlier); text != "" {
				i = i.with(i.note(lastOf(key), last(key, text)))
			}
		}
	}
	var readout []string
	for _, path := range []inputerror.Path{"readout.name", "readout.kind", "readout.step"} {
		if value := i.value(path); value != "" && !slices.Contains(readout, value) {
			readout = append(readout, value)
		}
	}
	return i.with(i.note(lastOf("readout"), strings.Join(readout, ", ")))
}

// sameEngine are the keys of one engine, which a proof of its new lines shares.
var sameEngine = []inputerror.Path{"workshop", "customer", "engine.number", "part.number"}

// Again begins the sheet that proves new lines: a copy for the very same engine and
// part.
func Again(earlier Interview) Interview {
	i := Copy(earlier)
	for _, path := range sameEngine {
		if value := earlier.value(path); value != "" {
			if form, err := i.form.Set(path, value); err == nil { // what cannot be copied is left out
				i = i.with(form)
			}
		}
	}
	return i
}

// last is an answer of an earlier job, short.
func last(key, text string) string {
	if key == "rim" {
		text, _, _ = strings.Cut(text, " = ")
	}
	return strings.TrimSuffix(text, ".")
}
