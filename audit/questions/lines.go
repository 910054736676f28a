package questions

import (
	"fmt"
	"regexp"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

const allLines = "all"

// placeUnits and placeSides make up where a line belongs.
var (
	placeUnits = []Choice{{Value: "", Words: "degrees"}, {Value: "mm rim", Words: "mm on the rim"}, {Value: "in rim", Words: "inch on the rim"}, {Value: "mm piston", Words: "mm of the piston"}, {Value: "in piston", Words: "inch of the piston"}}
	placeSides = []Choice{{Value: "TDC", Words: "at TDC"}, {Value: "BTDC", Words: "before TDC"}, {Value: "ATDC", Words: "after TDC"}, {Value: "BDC", Words: "at BDC"}, {Value: "BBDC", Words: "before BDC"}, {Value: "ABDC", Words: "after BDC"}}
)

func linesItem(i Interview) item {
	x := item{Question: Question{
		Key: linesKey, Ask: "What is the first line called, and where does it belong?",
		Help:    "The name is what you say at the engine: TDC, 1-6, inject 23. The place is from the maker's data: degrees before or after TDC, or millimetres of the piston or on the rim. A line that the data give from another cylinder's TDC: type it so, and which cylinder is asked later.",
		Picture: i.drawnLines(), Kind: Line, Units: placeUnits, Sides: placeSides, Example: "inject 23 at 23 BTDC", Needed: Recording, Without: noRecording,
	}, path: "marks", asked: noteLines}
	if n := i.marks(); n > 0 {
		x.Ask = "Is there another line? What is it called, and where does it belong?"
		x.Help = fmt.Sprintf("So far: %s. ", strings.Join(i.places(), "; ")) + "Name the next one, or say that these are all."
		x.Choices = []Choice{{allLines, "That is all", "", ""}}
	}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		if _, ok := chosen([]Choice{{Value: allLines, Words: "that is all"}, {Value: "done"}, {Value: "no"}}, said); ok {
			if i.marks() == 0 {
				return i.form, refuse("found no line, expected at least one", "")
			}
			return i.note(noteLines, "yes"), nil
		}
		name, at, err := nameAndPlace(said)
		if err != nil {
			return i.form, err
		}
		form, err := i.form.AddMark([2]string{"name", name}, [2]string{"at", at})
		if err != nil {
			return form, err
		}
		return i.with(form).note(noteLines, ""), nil
	}
	x.says = func(i Interview, _ string) string {
		return "These are all the lines: " + inputerror.Count(i.marks(), "line") + "."
	}
	return x
}

// places are the lines with where they belong, for a sentence.
func (i Interview) places() (all []string) {
	for n := 1; n <= i.marks(); n++ {
		all = append(all, i.namePlace(n))
	}
	return all
}

// namePlace is a line with where it belongs; once where it is called by its place.
func (i Interview) namePlace(n int) string {
	name, place := i.lineName(n), i.placeSaid(n)
	if name == place {
		return name
	}
	return name + ", " + place
}

func (i Interview) lineSaid(n int) string { return fmt.Sprintf("Line %d is %s.", n, i.namePlace(n)) }

func (i Interview) placeSaid(n int) string {
	switch at := i.value(mark(n) + ".at"); at {
	case "":
		return "place open"
	case "0":
		return "at TDC"
	case "BDC", "piston BDC":
		return "at " + at
	default:
		return withDegrees(at)
	}
}

// linesSaid says what was done to the lines.
func (i Interview) linesSaid(before Interview) string {
	switch n := i.marks(); {
	case n > before.marks():
		return i.lineSaid(n)
	case n < before.marks():
		return "The line was taken off the sheet. " + inputerror.Count(n, "line") + " left."
	default:
		return "These are all the lines: " + inputerror.Count(n, "line") + "."
	}
}

// Kept is the sentence of a line that stands on the sheet as it was typed; empty where
// there is none.
func (i Interview) Kept(said string) string {
	name, at, err := nameAndPlace(strings.Join(strings.Fields(said), " "))
	for n := 1; n <= i.marks() && err == nil; n++ {
		if i.value(mark(n)+".name") == name && i.value(mark(n)+".at") == at {
			return i.lineSaid(n)
		}
	}
	return ""
}

var atSeparator = regexp.MustCompile(`(?i)^(.*?)(?:\s+at\s+|\s*=\s*)(\S.*)$`)

// nameAndPlace parts what was typed for a line. A place alone names the line too;
// a name alone leaves its place open.
func nameAndPlace(said string) (name, at string, err error) {
	if parts := atSeparator.FindStringSubmatch(said); parts != nil {
		at, err = place(parts[2])
		return strings.TrimSpace(parts[1]), at, err
	}
	if strings.EqualFold(said, "TDC") {
		return "TDC", "0", nil
	}
	text := upper(decimals(said))
	n, perr := geometry.ParseNominal(text)
	if perr != nil {
		return said, "", nil
	}
	if at, err = place(said); err != nil {
		return "", "", err
	}
	if n.Text == "0" {
		return "TDC", "0", nil
	}
	return n.Text, at, nil
}

// place is where a line belongs, as a sheet holds it. A number alone could be
// before or after TDC, and is asked about.
func place(said string) (string, error) {
	said = upper(degreesAlone(said))
	if said == "TDC" || said == "0 TDC" {
		return "0", nil
	}
	n, err := geometry.ParseNominal(said)
	if err != nil {
		return "", err
	}
	if n.Counted == geometry.CrankDegrees && n.Angle != 0 && !strings.HasSuffix(said, "DC") {
		return "", refuse("found "+inputerror.Shown(said)+" alone, expected BTDC or ATDC behind it", "120 ATDC is 120 degrees after TDC, the way the engine runs")
	}
	return said, nil
}

// upper writes the letters of a dead centre large.
func upper(text string) string {
	for _, letters := range []string{"BTDC", "ATDC", "BBDC", "ABDC", "BDC", "TDC"} {
		if i := len(text) - len(letters); i >= 0 && strings.EqualFold(text[i:], letters) {
			return text[:i] + letters
		}
	}
	return text
}

const removeLine = "remove"

func lineItem(i Interview, n int) item {
	name := i.lineName(n)
	x := item{Question: Question{
		Key: fmt.Sprintf("line-%d", n), Ask: "Where does the line " + name + " belong?", Picture: i.drawnLines(), Kind: Line,
		Help:  "From the maker's data. Type the place, or its name and its place.",
		Units: placeUnits, Sides: placeSides, Example: "23 BTDC", Needed: Recording, Without: noRecording,
		Choices: []Choice{{removeLine, "Take this line off the sheet", "", "remove"}},
	}, path: mark(n) + ".at", others: []inputerror.Path{mark(n)}, mark: n}
	x.take = func(i Interview, said string) (sheet.Form, error) {
		if strings.EqualFold(said, removeLine) {
			return i.form.RemoveMark(n - 1)
		}
		form := i.form
		if parts := atSeparator.FindStringSubmatch(said); parts != nil {
			var err error
			if form, err = form.Set(mark(n)+".name", strings.TrimSpace(parts[1])); err != nil {
				return form, err
			}
			said = parts[2]
		}
		at, err := place(said)
		if err != nil {
			return form, err
		}
		return form.Set(mark(n)+".at", at)
	}
	x.says = func(i Interview, _ string) string {
		return "The line " + i.lineName(n) + " belongs " + belongs(i.placeSaid(n)) + "."
	}
	return x
}

func belongs(place string) string {
	if strings.HasPrefix(place, "at ") {
		return place
	}
	return "at " + place
}

func lineToleranceItem(i Interview, n int) item {
	x := item{Question: Question{
		Key: fmt.Sprintf("line-%d-tolerance", n), Ask: "How far may " + i.lineName(n) + " be off, each way?", Picture: "tolerance", Kind: Type, Example: "0.5",
		Help:  "The tolerance for all is one of the piston's height, and this line is not given so.",
		Units: []Choice{{Value: "", Words: "degrees"}, {Value: "mm rim", Words: "mm on the rim"}}, Needed: Recording, Without: noRecording,
	}, path: mark(n) + ".tolerance"}
	x.take = func(i Interview, said string) (sheet.Form, error) { return i.form.Set(x.path, degreesAlone(said)) }
	x.says = func(i Interview, text string) string {
		return i.lineName(n) + " may be off by " + withDegrees(text) + " each way."
	}
	return x
}

func lineOnItem(i Interview, n int) item {
	x := item{Question: Question{
		Key: fmt.Sprintf("line-%d-on", n), Ask: "Is the line " + i.lineName(n) + " on the ring or on the hub?", Kind: Choose, Free: true, Example: "tab",
		Help:    "Lines on one piece are judged together, so that a slipped ring shows. Choose, or type another piece.",
		Choices: []Choice{{"ring", "On the ring", "outside the rubber", "on-ring"}, {"hub", "On the hub", "inside the rubber", "on-hub"}},
		Needed:  Judging, Without: "While it is open, the line is not told apart from those on the other piece.",
	}, path: mark(n) + ".on"}
	x.take = choose(x.path, &x)
	x.says = func(i Interview, text string) string { return "The line " + i.lineName(n) + " is on the " + text + "." }
	return x
}
