package paper

import (
	"io"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// StudyForm is the form of a study to fill in by hand: the columns and the rows of its
// CSV, with cells to write in and words above the columns.
type StudyForm struct {
	Kind string     // stop, wheel or class
	Rows [][]string // of the CSV, the header first
}

// Title is the form's name.
func (s StudyForm) Title() string {
	return "markaudit: a form for a study of " + map[string]string{"stop": "two stops", "wheel": "a wheel", "class": "a class"}[s.Kind]
}

// Pages returns the form on sheets of paper, for a PDF.
func (s StudyForm) Pages(on document.Paper) []drawing.Scene { return onPaper(scenes(s.forms()), on) }

// HTML writes the form as a page, from which it prints.
func (s StudyForm) HTML(w io.Writer) error { return pagesHTML(w, s.Title(), scenes(s.forms())) }

// studyColumns says in words what stands in a column of a study, and how much room it
// takes beside the others.
var studyColumns = map[string]column{ // only looked up
	"tool": {names: []string{"which stop"}, width: 26}, "setup": {names: []string{"setup"}, width: 14}, "trial": {names: []string{"try"}, width: 14},
	"approach": {names: []string{"turned"}, width: 24}, "reading": {names: []string{"you read"}, width: 38, unit: "°"}, "by": {names: []string{"who"}, width: 24},
	"note": {names: []string{"note"}, width: 26}, "struck": {names: []string{"not to count?", "why"}, width: 32}, "reference": {names: []string{"the reference shows"}, width: 40, unit: "°"},
	"mark": {names: []string{"line"}, width: 50}, "value": {names: []string{"what you found,", "with its sign or its letters"}, width: 60, unit: "°"},
}

const studyRows = 20 // of a page

func (s StudyForm) forms() []*form {
	all := []*form{s.front()}
	header, rows := s.Rows[0], s.Rows[1:]
	columns := make([]column, len(header))
	total := geometry.Length(0)
	for i, name := range header {
		columns[i] = studyColumns[name]
		columns[i].key = name
		total += columns[i].width
	}
	for i := range columns {
		columns[i].width *= drawing.PageWidth / total
	}
	for len(rows) > 0 {
		n := s.together(rows)
		f := newForm(map[string]string{"stop": "Two stops", "wheel": "The wheel", "class": "The class"}[s.Kind], "")
		job := f.row().ask("Job", "").cell(58)
		if s.Kind == "stop" {
			job.word("TURN BY HAND ONLY. From top to bottom. Box “stop in:” piston well", "down, change the stop, cross the box. “the same stop”: leave it in.")
			s.stops(f, columns, rows[:n])
			out := f.row().step("STOP OUT: the hole is empty")
			if n < len(rows) {
				out.to(96).check("readout refitted", "before the next setup")
			}
		} else {
			job.word("TURN BY HAND ONLY. In this order, from top to bottom.", "The small grey words are for whoever types it in.")
			f.table(columns, rows[:n])
		}
		rows = rows[n:]
		all = append(all, f)
	}
	return all
}

// stops draws the rows of two stops, with a box to cross where one goes in: the piston
// well down first.
func (s StudyForm) stops(f *form, columns []column, rows [][]string) {
	const wide, total = 29, drawing.PageWidth
	columns = append([]column{{names: []string{"PISTON DOWN,", "then this stop in"}, width: wide}}, columns...)
	for i := range columns[1:] {
		columns[i+1].width *= (total - wide) / total
	}
	var boxed [][]string
	for i, r := range rows {
		first := "stop in:"
		if i > 0 && r[0] == rows[i-1][0] {
			first = "the same stop"
		}
		boxed = append(boxed, append([]string{first}, r...))
	}
	f.table(columns, boxed)
}

// together is how many rows go on a page. A setup of two stops goes on with the next
// page only where it has more rows than one.
func (s StudyForm) together(rows [][]string) int {
	n := min(studyRows, len(rows))
	if s.Kind != "stop" || n == len(rows) {
		return n
	}
	const setup = 1
	for k := n; k > 0; k-- {
		if rows[k][setup] != rows[k-1][setup] {
			return k
		}
	}
	return n
}

// front is the first page: cautions, and what was used by whom.
func (s StudyForm) front() *form {
	f := newForm("Before you start", "")
	f.row().ask("Job", "").cell(58).ask("Engine", "").cell(58)
	unclear := "Valves NO: not on this engine."
	if s.Kind == "wheel" { // it takes no stop
		unclear = "Valves NO: fit no stop."
	}
	f.cautions()
	f.row().askWithin(answersAt-2, "Does the stop clear both valves, at overlap too?", "").must().to(answersAt).tick("YES, or no valves").tick("NO, or not sure")
	f.backward("NO, or not sure")
	f.y += 0.4
	f.rules(unclear + " Backward NO: not on this engine. The engine maker's data tell.")
	f.rules(comeFirst)
	who := f.row().ask("Who", "").cell(60).ask("Date", "").cell(40)
	if s.Kind == "stop" {
		who.ask("Cylinder", "").cell(20)
	}
	f.row().ask("Temperature", "").number(34, "", "°C").ask("Place", "").cell(70)
	if s.Kind != "class" {
		f.row().ask("Step of the readout", "").number(30, "", "°").to(92).ask("As it runs, the number goes", "").tick("up").tick("down")
	}
	f.title("Instruments: what is not known stays open")
	instruments := map[string][]string{
		"stop":  {"new stop", "reference (trusted)", "readout"},
		"wheel": {"wheel", "reference"},
		"class": {"readout", "stop"},
	}[s.Kind]
	var rows [][]string
	for _, what := range instruments {
		rows = append(rows, []string{what})
	}
	var columns []column
	for _, name := range []string{"what", "name", "number", "certificate", "due"} {
		columns = append(columns, column{names: []string{name}, width: drawing.PageWidth / 5})
	}
	f.table(columns, rows)
	f.rules(map[string]string{
		"stop":  "What it is for: does the new stop find the same TDC as the trusted one? How to fill it in: write one reading in each row, in the order of the rows. Forward: the way the engine runs, until the piston meets the stop. Backward: back, nearly a whole turn, until it meets it again. The piston well down before every stop goes in; at the foot of each page the stop is out. Refit the readout before each next setup.",
		"wheel": "What it is for: how much does the wheel read wrong, and where? Up round the circle, then down again, without turning back in between. Write what the wheel shows, to its smallest step.",
		"class": "What it is for: how well do several people find the same? One after the other, in this order. Nobody sees what the others found. Write what you found for the line, not what it ought to be.",
	}[s.Kind])
	return f
}
