package webserver

import (
	"net/http"
	"strconv"

	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// mainPage is what page.html shows.
type mainPage struct {
	Title, Where, Task, Step    string
	Version                     int
	Token                       string
	Latest, Trouble, Typed      string
	Doubts                      []string
	Figures                     string
	Figure                      rimPicture
	Lines                       document.Table
	Rows                        document.Table
	Count                       int
	By                          string
	Items                       []string // that may be read next
	Cautions                    []string
	Answers                     []string
	Entry, Fit, TakeOut, Decide bool
	Lower                       bool
	Letters, Lengths            bool // readings carry BTDC or ATDC; a unit
	CanSkip, CanUndo, Strip     bool
	Started                     bool // something was read: the cautions fold up
}

// shownRows is how many readings the page itself lists.
const shownRows = 6

// show renders the page at the engine, with what went wrong if something did and
// what was typed then.
func (s *server) show(w http.ResponseWriter, status int, d *device, trouble, typed string) {
	s.mu.Lock()
	p := s.mainPage()
	s.mu.Unlock()
	p.Token, p.Trouble, p.Typed = d.form, trouble, typed
	s.write(w, status, "page.html", p)
}

func (s *server) mainPage() mainPage {
	v, r, rows := s.rec.State().View(), s.rec.Words(), s.rec.State().Rows()
	step := v.Step
	p := mainPage{
		Title: r.Title(s.rec.Sheet()), Where: r.Where(), Task: r.Task(), Step: r.Step(),
		Version: s.version, Latest: s.latest, Doubts: r.Doubts(), Figures: r.Figures(),
		Lines: report.LineTable(r), Rows: report.Readings(rows, len(rows)-shownRows+1), Count: len(rows),
		By: v.By, Items: []string{"stop", "closing"}, Cautions: words.Cautions(),
		Answers: step.Question.Answers(), Started: len(rows) > 0,
		Entry: step.Kind == guide.Take || step.Kind == guide.Ask && step.Question.Answers() == nil,
		Lower: step.Kind == guide.Lower,
		Fit:   step.Kind == guide.Fit, TakeOut: step.Kind == guide.TakeOut, Decide: step.Kind == guide.Decide,
		Letters: v.Sheet.Readout.BothWays, Lengths: v.Sheet.Readout.Kind == sheet.Rim,
		CanUndo: v.Undo.Kind != 0, Strip: v.Result != nil,
		CanSkip: step.Kind == guide.Ask && step.Question.CanSkip() ||
			step.Kind != guide.Ask && step.Kind != guide.Decide && step.Item != "stop",
	}
	places := map[string]geometry.Angle{} // only looked up
	for _, m := range v.Sheet.Marks {
		p.Items = append(p.Items, m.Name)
		places[inputerror.Visible(m.Name)] = s.rec.State().Place(m.Name)
	}
	p.Figure = newRimPicture(r.Lines(), places, inputerror.Visible(step.Item))
	if text := r.Trouble(); text != "" {
		p.Doubts = append(p.Doubts, text)
	}
	return p
}

// readingsPage lists readings, the latest first a page.
type readingsPage struct {
	Table   document.Table
	Earlier int // from where the page before begins; zero for none
	Version int
	Token   string
}

const mostRows = 200

func (s *server) showReadings(w http.ResponseWriter, r *http.Request, d *device) {
	s.mu.Lock()
	rows, version := s.rec.State().Rows(), s.version
	s.mu.Unlock()
	end := len(rows)
	if n, err := strconv.Atoi(r.URL.Query().Get("before")); err == nil && n > 0 && n <= end {
		end = n
	}
	from := max(1, end-mostRows+1)
	p := readingsPage{Table: report.Readings(rows[:end], from), Version: version, Token: d.form}
	if from > 1 {
		p.Earlier = from - 1
	}
	s.write(w, http.StatusOK, "readings.html", p)
}

// block is a block of a report with a word for its kind, which a template can
// tell apart.
type block struct {
	Kind string
	Is   document.Block
}

func blocks(d document.Doc) []block {
	var out []block
	for _, b := range d {
		switch b.(type) {
		case document.Heading:
			out = append(out, block{"heading", b})
		case document.Sentence:
			out = append(out, block{"sentence", b})
		case document.Steps:
			out = append(out, block{"steps", b})
		case document.Table:
			out = append(out, block{"table", b})
		}
	}
	return out
}
