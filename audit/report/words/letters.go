package words

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/sheet"
)

// numbered is a text of the sheet whose letters a print lacks, and what is shown for it.
type numbered struct{ text, shown string }

// lacking finds every text of a sheet whose letters a print lacks, and says what is
// shown for each. A line is shown by its number on the sheet, all else by a number in
// the order in which the sheet has it. Has reports whether the print has all letters of
// a text.
func lacking(s sheet.Sheet, path string, has func(text string) bool) (all []numbered, key []string) {
	for i, m := range s.Marks {
		if text := Clean(m.Name); !has(text) {
			shown := fmt.Sprintf("line %d", i+1)
			if slices.ContainsFunc(s.Marks, func(m sheet.Mark) bool { return Clean(m.Name) == shown }) {
				shown += " of the sheet"
			}
			all = append(all, numbered{text, shown})
			key = append(key, fmt.Sprintf("%s is line number %d of the sheet, at %s: its name has letters that this print lacks.", shown, i+1, m.AtText))
		}
	}
	others := 0
	add := func(what, text string) {
		if text = Clean(text); !has(text) && !has(replacer(all)(text)) {
			others++
			shown := fmt.Sprintf("name %d", others)
			all = append(all, numbered{text, shown})
			key = append(key, fmt.Sprintf("%s is %s: it has letters that this print lacks.", shown, what))
		}
	}
	add("the title on the sheet", s.Title)
	add("the part's name on the sheet", s.Part.Name)
	add("the job on the sheet", s.Job)
	add("the engine's number on the sheet", s.Engine.Number)
	add("the part's number on the sheet", s.Part.Number)
	add("where one stands on the sheet", s.Part.SeenFrom)
	add("the readout's name on the sheet", s.Readout.Name)
	for i, setup := range s.Setups {
		add(fmt.Sprintf("the name of setup %d on the sheet", i+1), setup.Name)
		add(fmt.Sprintf("who measured setup %d of the sheet", i+1), setup.By)
	}
	add("the workshop on the sheet", s.Workshop)
	add("the customer on the sheet", s.Customer)
	add("the name of the file", path)
	texts(reflect.ValueOf(s), func(text string) { add("a text on the sheet", text) })
	return all, key
}

// texts walks through all texts of a value, in the order of its fields, and of its keys
// where it is a map.
func texts(v reflect.Value, each func(string)) {
	switch v.Kind() {
	case reflect.String:
		each(v.String())
	case reflect.Pointer:
		if !v.IsNil() {
			texts(v.Elem(), each)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			texts(v.Index(i), each)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				texts(v.Field(i), each)
			}
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			texts(k, each)
			texts(v.MapIndex(k), each)
		}
	}
}

// renamed is a copy of a value with other texts.
func renamed(v reflect.Value, name func(string) string) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	switch v.Kind() {
	case reflect.String:
		out.SetString(name(v.String()))
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(renamed(v.Elem(), name))
		}
	case reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		}
		for i := range v.Len() {
			out.Index(i).Set(renamed(v.Index(i), name))
		}
	case reflect.Array:
		for i := range v.Len() {
			out.Index(i).Set(renamed(v.Index(i), name))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				out.Field(i).Set(renamed(v.Field(i), name))
			}
		}
	case reflect.Map:
		if !v.IsNil() {
			out.Set(reflect.MakeMap(v.Type()))
		}
		for _, k := range v.MapKeys() {
			out.SetMapIndex(renamed(k, name), renamed(v.MapIndex(k), name))
		}
	}
	return out
}

// InPrint is the audit as a print shows it, and the path of its sheet: with a number in
// place of every text that has letters which the print lacks. The sheet is audited
// again under those names, so that no picture and no sentence holds another one.
// [Lettered] then has the key.
func InPrint(v Audit, has func(text string) bool, path string) (Audit, string) {
	all, key := lacking(v.Result.Sheet, path, has)
	if len(all) == 0 {
		return v, path
	}
	replace := replacer(all)
	show := func(text string) string {
		if has(Clean(text)) {
			return text
		}
		return replace(Clean(text))
	}
	s := renamed(reflect.ValueOf(v.Result.Sheet), show).Interface().(sheet.Sheet)
	r, err := audit.Run(s)
	if err != nil { // the numbers are names that the sheet has already: its texts are replaced one by one
		return v, path
	}
	next := v.Next
	if next != nil {
		next = audit.Next(r)
	}
	out := NewAudit(r, next)
	out.Scribed, out.shown = v.Scribed, key
	return out, show(path)
}

// Lettered replaces, in any text made from an audit, the names whose letters a print
// lacks, and says what it did. After [InPrint] nothing is left to replace.
func Lettered(v Audit, has func(text string) bool) (replace func(text string) string, key []string) {
	names, key := lacking(v.Result.Sheet, "", has)
	switch {
	case v.shown != nil:
		return oneLine, v.shown
	case len(names) == 0:
		return func(text string) string { return text }, nil
	}
	replacing := replacer(names)
	return func(text string) string {
		if changed := replacing(text); changed != text {
			return oneLine(changed)
		}
		return text
	}, key
}

// replacer shows names by their numbers, wherever they stand in a text; of two that
// begin alike the longer one.
func replacer(names []numbered) func(string) string {
	names = slices.Clone(names)
	slices.SortStableFunc(names, func(a, b numbered) int { return len(b.text) - len(a.text) })
	var pairs []string
	for _, n := range names {
		pairs = append(pairs, n.text, n.shown)
	}
	return strings.NewReplacer(pairs...).Replace
}

// oneLine says "line" once: "towards line" is followed by a name, which may be a number.
func oneLine(text string) string {
	return strings.NewReplacer("line “line ", "“line ", "line line ", "line ").Replace(text)
}

// inPlainWords are the keys of a sheet as a person at the bench calls what they hold.
var inPlainWords = []struct{ key, words string }{
	{"engine.turns", "the running direction"},
	{"engine.stroke", "the stroke"},
	{"engine.rod", "the connecting rod, centre to centre"},
	{"engine.pin_offset", "how far the piston pin lies beside the piston's centre"},
	{"engine.bore_offset", "how far the cylinder lies beside the crank's centre"},
	{"engine.cylinders", "the angles between cylinders"},
	{"part.marks_on", "what carries the lines"},
	{"part.btdc_lines", "the side of the BTDC lines"},
	{"part.diameter", "the diameter at the lines"},
	{"part.circumference", "the length once round at the lines"},
	{"part.sighting", "the sighting at the pointer"},
	{"part.spacings", "the distances between lines"},
	{"part.teeth", "the teeth of the ring gear"},
	{"readout.quarter_turn", "what it shows a quarter turn apart"},
	{"readout.counts", "which way the readout counts"},
	{"readout.step", "the step of the readout"},
	{"readout.diameter", "the diameter of the wheel"},
	{"readout.off_centre", "the wheel's distance off centre"},
	{"readout.lost_motion", "the lost motion of the readout"},
	{"readout.correction", "the readout's correction"},
	{"readout.history", "the readout's history"},
	{"readout.probe_angle", "the slant of the dial"},
	{"readout.crown", "the lean of the crown"},
	{"readout.error", "the error of the dial"},
	{"readout.revolution", "one turn of the dial's hand"},
	{"limits.confidence", "how sure ± is to be"},
	{"limits.contact", "the height of a contact"},
	{"limits.decide_at", "how sure a verdict is to be"},
	{"limits.placement", "the placing of a new line"},
	{"limits.remount", "the figure for refitting the readout"},
	{"limits.slack", "the bearing slack"},
	{"limits.tolerance", "the tolerance of a line"},
}

var (
	onlyKey = regexp.MustCompile(" \\((or use )?(engine|part|readout|limits)\\.[a-z_]+(, with [a-z ]+)?\\)|, `[^`]*`")
	anyKey  = regexp.MustCompile(`\b(engine|part|readout|limits)\.[a-z_]+`)
)

// InPlainWords is a text of a report without the keys of the sheet, for whoever holds a
// print and not the sheet. A key in brackets, behind what it holds, is left out.
func InPlainWords(text string) string {
	return anyKey.ReplaceAllStringFunc(onlyKey.ReplaceAllString(text, ""), func(key string) string {
		for _, k := range inPlainWords {
			if k.key == key {
				return k.words
			}
		}
		return key
	})
}
