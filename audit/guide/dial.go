package guide

import (
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// Where a dial in the plug hole is the readout there is no stop and no pair: the top
// is read, then the lines, how the dial moves further on, and the top once more.

// leastTops is how often the top is read in one setup. Common practice, no source.
const leastTops = 3

// dialStep is the first of what has to be asked or done with a dial.
func dialStep(s State) Step {
	ask := func(q Question) Step { return Step{Kind: Ask, Question: q} }
	switch {
	case s.touched:
		return ask(Touched)
	case s.askBTDC:
		return ask(WhereBTDC)
	}
	if line := lineToProve(s); line != "" {
		step := ask(FurtherOn)
		step.Item = line
		return step
	}
	step := wantedByDial(s)
	switch {
	case step.Item == "":
		return s.ended()
	case s.backward == "":
		return ask(TurnBack) // the top is come to anew each time, and that is shorter by turning back
	}
	step.Kind, step.OneWay = Take, s.backward != Yes
	if step.Item != "top" && step.Item != "closing" {
		step.Again = s.stands.item == step.Item
		step.Stands = s.atLine()
	}
	return step
}

// wantedByDial is what should be read next.
func wantedByDial(s State) Step {
	item := ""
	marked := slices.ContainsFunc(s.inSetup(), isDialLine)
	closed := slices.ContainsFunc(s.inSetup(), func(r readings.Row) bool { return r.Item == "closing" })
	switch {
	case s.chosen.item != "":
		item = s.chosen.item
	case !marked && s.topsRead() < leastTops:
		item = "top"
	case s.topsRead() == 0 || closed:
		return Step{} // lines without a top: a new setup
	default:
		if item = s.nextLine(); item == "" && marked && !slices.Contains(s.skipped, "closing") {
			item = "closing"
		}
	}
	if item == "" {
		return Step{}
	}
	step := Step{Item: item, Approach: sheet.Forward, Number: s.timesRead(item) + 1}
	switch {
	case item == "top" || item == "closing":
	case s.chosen.approach != 0:
		step.Approach = s.chosen.approach
	case afterTDC(s, item) && s.backward == Yes:
		step.Approach = sheet.Backward
	}
	return step
}

func isDialLine(r readings.Row) bool { return r.Item != "top" && r.Item != "closing" }

// afterTDC reports whether a line belongs after TDC.
func afterTDC(s State, line string) bool {
	i := slices.IndexFunc(s.view.Sheet.Marks, func(m sheet.Mark) bool { return m.Name == line })
	return i >= 0 && s.view.Sheet.Marks[i].At.Wrap() > 0
}

// plainSide is how far from TDC a line has to belong before the dial further on tells
// its side. Common practice, no source.
const plainSide geometry.Angle = 5

// lineToProve is the line at which the engine stands, where nothing shows yet on which side of TDC that is.
func lineToProve(s State) string {
	last := s.last()
	if last == nil || !isDialLine(*last) || s.stands.item != last.Item || last.Struck != "" {
		return ""
	}
	for _, m := range s.view.Sheet.Marks {
		at := m.At.Wrap().Abs()
		if m.Name == last.Item && m.Further == nil && at > plainSide && at < 180-plainSide && !slices.Contains(s.unproven, m.Name) {
			return m.Name
		}
	}
	return ""
}

// dialText writes what a dial shows as a readings file takes it: with the unit of the
// readout's step, and with the side of a line where none was typed.
func dialText(s State, text, item string) string {
	number, letters := strings.TrimSpace(text), ""
	for _, side := range []string{"BTDC", "ATDC"} {
		if n := len(number) - len(side); n > 0 && strings.EqualFold(number[n:], side) {
			number, letters = strings.TrimSpace(number[:n]), " "+side
		}
	}
	number = decimal(number)
	if _, _, err := geometry.ParseLength(number); err != nil {
		if unit, ok := stepUnit(s); ok {
			if _, _, err := geometry.ParseLength(number + " " + unit); err == nil {
				number += " " + unit
			}
		}
	}
	for _, m := range s.view.Sheet.Marks {
		at := m.At.Wrap()
		switch {
		case m.Name != item || letters != "" || at == 0 || at == 180:
		case at < 0:
			letters = " " + geometry.BTDC.String()
		default:
			letters = " " + geometry.ATDC.String()
		}
	}
	return number + letters
}

// stepUnit is the unit in which the sheet gives the step of the dial.
func stepUnit(s State) (string, bool) {
	form, err := sheet.ReadForm(s.name, s.text)
	if err != nil {
		return "", false
	}
	text, _ := form.Value("readout.step")
	_, unit, err := geometry.ParseLength(text)
	return unit.String(), err == nil
}

// proveSide writes on the sheet what the dial shows at a line and further on.
func proveSide(s *State, line, text string) ([]byte, error) {
	at := s.last().Reading
	for _, side := range []string{" BTDC", " ATDC"} {
		at = strings.TrimSuffix(at, side)
	}
	i := slices.IndexFunc(s.view.Sheet.Marks, func(m sheet.Mark) bool { return m.Name == line })
	form, err := sheet.ReadForm(s.name, s.text)
	if err == nil {
		form, err = form.SetList(inputerror.Path(s.view.Sheet.Marks[i].Path+".further"), at, dialText(*s, text, ""))
	}
	if err != nil {
		return nil, refuse("cannot write into marks of the sheet as it is laid out", "add `further: ["+at+", "+dialText(*s, text, "")+"]` to "+inputerror.Visible(line)+" yourself, or skip the question")
	}
	changed := []byte(form.Text())
	if _, err := s.read(changed, s.rows); err != nil {
		return nil, asRefusal(err)
	}
	return changed, nil
}
