package questions

import (
	"fmt"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

func rimItem(i Interview) item {
	x := item{Question: Question{
		Key: "rim", Ask: "How large is " + i.thePart() + " where the lines are?", Help: "Straight across, or a tape once round it. If you know how far it may be off, say that too: 158.0 ± 0.2 mm lies between 157.8 and 158.2 mm.",
		Picture: "across", Kind: Type, Ways: []Choice{{"across", "Across", "", "across"}, {"round", "Tape round it", "", "around"}}, Units: lengthUnits, Limit: true,
		Example: "across 158.0 ± 0.2 mm", Needed: Scribing, Without: "While it is open, distances are told in degrees only.",
	}, path: "part.diameter", others: []inputerror.Path{"part.circumference"}, of: "part.diameter"}
	if i.value("part.circumference") != "" {
		x.path, x.others = "part.circumference", []inputerror.Path{"part.diameter"}
	}
	if i.value("readout.kind") == "rim" || i.anyMark(" rim") || i.value("part.sighting") != "" {
		x.Needed, x.Without = Recording, noRecording
	}
	x.take = takeRim
	x.says = rimSaid
	return x
}

var lengthUnits = []Choice{{Value: "mm", Words: "mm"}, {Value: "cm", Words: "cm"}, {Value: "in", Words: "inch"}, {Value: "thou", Words: "thou"}}

func toleranceItem() item {
	x := item{Question: Question{
		Key: "tolerance", Ask: "How far may a line be off, each way?", Help: "What the maker or the shop allows. Degrees of the crank, or a length: 3 mm rim. A line that is allowed more or less gets its own figure later, under: More that you know.",
		Picture: "tolerance", Kind: Type, Needed: Recording, Example: "0.5",
		Units:   []Choice{{Value: "", Words: "degrees"}, {Value: "mm rim", Words: "mm on the rim"}, {Value: "in rim", Words: "inch on the rim"}, {Value: "mm piston", Words: "mm of the piston"}, {Value: "in piston", Words: "inch of the piston"}},
		Without: noRecording,
	}, path: "limits.tolerance", of: "or limits.tolerance for every mark"}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		return i.form.Set("limits.tolerance", degreesAlone(said))
	}
	x.says = func(_ Interview, text string) string {
		return "A line may be off by " + withDegrees(text) + " each way."
	}
	return x
}

// degreesAlone takes the word for degrees off a number: a sheet has none.
func degreesAlone(said string) string {
	said = decimals(said)
	for _, word := range []string{" degrees", " degree", " deg"} {
		said = strings.TrimSuffix(said, word)
	}
	return said
}

// withDegrees gives a number its degrees for a sentence.
func withDegrees(text string) string {
	if text != "" && strings.Trim(text, "0123456789.") == "" {
		return text + "°"
	}
	return text
}

// takeRim writes the diameter, or the circumference in its place.
func takeRim(i Interview, said string) (sheet.Form, error) {
	way, rest, _ := strings.Cut(said, " ")
	key, other := inputerror.Path("part.diameter"), inputerror.Path("part.circumference")
	switch strings.ToLower(way) {
	case "across", "diameter":
	case "round", "around", "tape", "circumference":
		key, other = other, key
	default:
		rest = ""
	}
	if rest == "" {
		return i.form, refuse("found "+inputerror.Shown(said)+", expected across or round before a length", "across 158.0 mm, or round 496.4 mm")
	}
	form, err := i.form.Remove(other)
	if err != nil {
		return form, err
	}
	return form.Set(key, decimals(rest))
}

// rimSaid says a rim's size in the other way too: what was measured round and
// written as across is seen at once.
func rimSaid(i Interview, text string) string {
	q, err := geometry.ParseLengthQuantity(text)
	if err != nil || !(q.Value > 0) {
		return ""
	}
	d, across, round := q.Value, text, ""
	if i.value("part.circumference") != "" {
		d = geometry.DiameterFromCircumference(q.Value)
		across, round = inUnit(d, q.Unit), text
	} else {
		round = inUnit(geometry.Rim{Diameter: d}.Arc(360), q.Unit)
	}
	degree := geometry.Rim{Diameter: d}.Arc(1)
	return fmt.Sprintf("%s across = %s round = %s a degree.", across, round, small(degree, q.Unit))
}

// inUnit is a length as people say one of this size.
func inUnit(l geometry.Length, u geometry.Unit) string {
	if u.Imperial() {
		return fmt.Sprintf("%.2f in", l.In(geometry.Inch))
	}
	return fmt.Sprintf("%.0f mm", l.Millimetres())
}

func small(l geometry.Length, u geometry.Unit) string {
	if u.Imperial() {
		return fmt.Sprintf("%.4f in", l.In(geometry.Inch))
	}
	return fmt.Sprintf("%.2f mm", l.Millimetres())
}
