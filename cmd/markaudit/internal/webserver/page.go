package webserver

import (
	"net/http"
	"path/filepath"
	"strconv"
	"strings"

	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// mainPage is what page.html shows: one step. Its zones have fixed places: what
// happened on top, the task, and below what answers it. Where Keep is, nothing else
// ever is.
type mainPage struct {
	frame
	Kept, Undone, Trouble string // what came of the last form
	Other                 string // a number that was meant for another step
	Doubts                []string
	Headline, Then, Seen  string
	Stop                  string // in, out or not said; empty where the step has nothing to do with it
	Face                  *facePicture
	Pairs                 *pairsPicture
	Sure, Goal            string
	Contact               bool // the step is one of the contacts that the picture is about
	Entry                 *entry
	Buttons               []button
	Hole                  bool // the picture of stop and hole
	Decide                bool
	Again                 string // the line whose latest reading looks odd
	Redo                  bool   // the latest contact looks odd: taken back, it is read anew
	Lines                 document.Table
	Rim                   rimPicture
	Items                 []item   // what can be read once more when all is read
	ReadNext              []string // what is to be read before anything is decided
	Ask                   []button // the same as buttons
	NewSetup              bool     // a new setup is asked for
	Strip, Held           bool
	Count                 int
}

// frame is what every page of a session has: where it is, and what undo would
// take back.
type frame struct {
	Base      string // what stands before the paths of the engine's page
	Job       string // the page of the job in a shop; empty without one
	Title, By string
	StepID    string // the identity of the step, which every form carries
	What      string // the step in words, for a form from before a restart
	Token     string
	Undo      string
	Knocked   string // what may have lost its zero, as a button says it
	Screen    string // which page this is, for its style
}

// entry is a field for a number, with its keys.
type entry struct {
	Live       bool // a readout streams: Keep with an empty field takes what stands there
	Label      string
	Fractions  []string // of the step, one key each
	Free       bool     // a point and a sign instead: digits behind the point are typed
	Sides      bool     // readings carry BTDC or ATDC
	Units      bool     // a length whose unit nobody has typed yet
	Height     bool     // a sweep: the height beside it
	HeightUnit bool
	Words      bool // letters may be needed
}

// button answers a step.
type button struct {
	Do, Text, Label string
	Minor           bool
	Sure            bool // pressing it says that the stop is in still
	Row             int  // the reading that it is about; zero for none
}

// shown is what a device is told beside the step itself.
type shown struct{ trouble, other string }

// Spoken is the title of the page, which a screen reader says first: what came of the
// last form, then the task.
func (p mainPage) Spoken() string {
	switch {
	case p.Trouble != "" || p.Other != "":
		return "NOT TAKEN. " + p.Headline
	case p.Kept != "":
		return "KEPT " + p.Kept + ". " + p.Headline
	case p.Undone != "":
		return "TAKEN BACK " + p.Undone + ". " + p.Headline
	}
	return p.Headline
}

// show renders the page at the engine.
func (s *server) show(w http.ResponseWriter, status int, d *device, tell shown) {
	p := func() mainPage {
		s.mu.Lock()
		defer s.mu.Unlock() // a fault in one page must not shut the job for all devices
		return s.mainPage()
	}()
	p.Token, p.Trouble, p.Other = d.form, tell.trouble, tell.other
	writePage(w, status, "page.html", p)
}

func (s *server) frame(screen string) frame {
	v, r := s.rec.State().View(), s.rec.Words()
	path := s.rec.Sheet()
	if s.job != "" { // in a shop a job is called by its file
		path = filepath.Base(path)
	}
	return frame{Base: s.base, Job: s.job, Title: r.Title(path), By: v.By, StepID: s.rec.StepID(), What: r.Task(), Undo: r.TakenBack(), Knocked: r.Knocked(), Screen: screen}
}

func (s *server) mainPage() mainPage {
	v, r, rows := s.rec.State().View(), s.rec.Words(), s.rec.State().Rows()
	step := v.Step
	p := mainPage{
		frame: s.frame("step"), Kept: s.kept, Undone: s.undone, Doubts: doubts(r),
		Headline: r.Headline(), Then: r.Then(), Seen: r.SeenFrom(), Stop: v.Stop.String(),
		Decide: step.Kind == guide.Decide, Count: len(rows), Held: s.held,
		Hole: step.Kind == guide.Fit || step.Kind == guide.TakeOut && !r.EnoughPairs(), // else the doubt lies between its posts
	}
	if f, ok := drawFace(s, r); ok {
		p.Face = &f
	}
	if pairs, ok := drawPairs(s); ok && step.Kind != guide.Decide {
		p.Pairs = &pairs
	}
	switch step.Question {
	case guide.HoleEmpty, guide.LastLook, guide.WhereStop: // it is not known while it is asked
		p.Stop = guide.Unsaid.String()
	}
	if !r.StopMatters() {
		p.Stop = ""
	}
	p.Sure, p.Goal = r.Sum()
	p.Contact = step.Kind == guide.Take && (step.Item == "stop" || step.Item == "closing")
	if text := r.Trouble(); text != "" {
		p.Doubts = append(p.Doubts, text)
	}
	for _, doubt := range v.Doubts {
		switch doubt.Kind {
		case guide.ReadingApart, guide.FarOff:
			p.Again = doubt.Item
		case guide.ContactApart, guide.ArcApart, guide.MiddleApart, guide.BeyondTurn:
			p.Redo = p.Undo != ""
		}
	}
	p.Buttons = buttons(v)
	p.Entry = s.entry(v, r)
	if p.Decide {
		p.Lines, p.Strip = report.LineTable(r), v.Result != nil
		p.Items = readable(v)
		if p.ReadNext, p.Ask, p.NewSetup = readNext(v); len(p.ReadNext) > 0 {
			p.Then = "Not all is decided yet. Do this first:"
		}
		p.Rim = s.rim(r)
	}
	return p
}

// typedWords are words of the terminal, and what does the same on the page.
var typedWords = strings.NewReplacer(
	"(say so: bumped)", "(then say that it was)",
	"`undo` goes back", "Undo goes back", "`skip` leaves", "Leave it open leaves",
	"say `down`", "say so", "say `in`", "say so", "say `out`", "say under More that it is out", "`out` says", "More says",
	"say `new`", "begin a new setup under More", "say what you read, as `next stop` or `next` with the name of a line", "choose under More what you read",
)

// onPage says a refusal in the words of the page.
func onPage(text string) string {
	text, hint, _ := strings.Cut(typedWords.Replace(text), "\n  hint: ")
	if hint != "" {
		text = strings.TrimSuffix(text, ".") + ". " + words.Sentence(hint)
	}
	return text
}

// doubts are what looks odd, in the words of the page.
func doubts(r words.Recording) []string {
	out := r.Doubts()
	for i := range out {
		out[i] = typedWords.Replace(out[i])
	}
	return out
}

// safePage is all that is told before the first turn of a job.
type safePage struct {
	frame
	Cautions []string
}

// showSafe shows the cautions where nothing was done at the engine yet, and reports
// whether it did.
func (s *server) showSafe(w http.ResponseWriter, d *device) bool {
	s.mu.Lock()
	first := !s.rec.Begun()
	p := safePage{s.frame("step"), words.Cautions()}
	s.mu.Unlock()
	if first {
		p.Token = d.form
		writePage(w, http.StatusOK, "safe.html", p)
	}
	return first
}

// rim draws the lines so far.
func (s *server) rim(r words.Recording) rimPicture {
	places := map[string]geometry.Angle{} // only looked up
	for _, m := range s.rec.State().View().Sheet.Marks {
		places[inputerror.Visible(m.Name)] = s.rec.State().Place(m.Name)
	}
	return newRimPicture(r.Lines(), places, inputerror.Visible(s.rec.State().View().Step.Item))
}

// buttons are what answers a step that waits for no number, and beside one that
// does what may be the case instead.
func buttons(v guide.View) []button {
	step := v.Step
	held := button{Do: "stuck", Label: "It does not move that way", Minor: true}
	switch step.Kind {
	case guide.Lower:
		return []button{{Do: "down", Label: "The piston is well down"}, {Do: "in", Label: "The stop is in already", Minor: true}, held}
	case guide.Fit:
		return []button{{Do: "in", Label: "The stop is in and locked"}}
	case guide.TakeOut:
		out := []button{{Do: "out", Label: "The stop is out"}}
		if v.Pairs > 0 && step.Item != "" && step.Item != "quarter turn" && step.Item != "another cylinder" {
			out = append(out, button{Do: "next", Text: "stop", Label: "The stop is still in: one more contact each way", Minor: true, Sure: true})
		}
		if step.Rests != 0 {
			out = append(out, held)
		}
		return out
	case guide.Decide:
		return nil
	case guide.Take:
		out := []button{held}
		if v.ToLine != "" && len(v.Doubts) == 0 { // pressed before anything was turned, it leaves known where the piston rests
			out = append(out, button{Do: "next", Text: v.ToLine, Label: "Not turned yet, and enough: to the lines", Minor: true, Sure: true})
		}
		if step.Item == "sweep" && step.Number > guide.LeastPoints {
			out = append(out, button{Do: "skip", Label: "That is all", Minor: true})
		}
		return out
	}
	var out []button
	for _, word := range step.Question.Answers() {
		out = append(out, button{Do: "answer", Text: word, Label: answerLabel(v.Method, step.Question, word)})
	}
	if step.Question == guide.QuarterTo || step.Question == guide.FurtherOn {
		out = append(out, held)
	}
	switch {
	case step.Question == guide.NextCylinder:
		out = append(out, button{Do: "skip", Label: "Leave cylinder " + words.Clean(step.Cylinder) + " out", Minor: true})
	case step.Question.CanSkip():
		out = append(out, button{Do: "skip", Label: "Leave it open", Minor: true})
	}
	return out
}

type answerOf struct {
	question guide.Question
	word     string
}

// answerLabel says on a button what a word means.
func answerLabel(m sheet.Method, q guide.Question, word string) string {
	if m != sheet.Stop {
		if label, ok := withoutStop[answerOf{q, word}]; ok {
			switch {
			case m != sheet.AtTop:
				return label
			case word == "no":
				return "No, not yet"
			}
		}
	}
	if label, ok := answerLabels[answerOf{q, word}]; ok {
		return label
	}
	return answerLabels[answerOf{guide.NoQuestion, word}]
}

// withoutStop are the labels that differ where TDC is found without a stop. Only
// looked up.
var withoutStop = map[answerOf]string{
	{guide.WhereStop, "in"}: "A stop is in", {guide.WhereStop, "out"}: "No stop is in",
	{guide.HoleEmpty, "yes"}: "Yes, no stop is in", {guide.HoleEmpty, "no"}: "No, a stop is in",
	{guide.LastLook, "yes"}: "Yes, it is off, and the hole empty", {guide.LastLook, "no"}: "No, a stop is in",
}

// answerLabels say on a button what a word means. Only looked up.
var answerLabels = map[answerOf]string{
	{guide.NoQuestion, "yes"}: "Yes", {guide.NoQuestion, "no"}: "No", {guide.NoQuestion, "unsure"}: "Not sure",
	{guide.WhereStop, "in"}: "The stop is in", {guide.WhereStop, "out"}: "The stop is out",
	{guide.WhereBTDC, "clockwise"}: "Clockwise of it", {guide.WhereBTDC, "anticlockwise"}: "Anticlockwise of it",
	{guide.HoleEmpty, "yes"}: "Yes, the hole is empty", {guide.HoleEmpty, "no"}: "No, the stop is in",
	{guide.LastLook, "yes"}: "Yes, the hole is empty", {guide.LastLook, "no"}: "No, the stop is in",
	{guide.LookedAgain, "yes"}: "I looked: it is as written", {guide.LookedAgain, "no"}: "No, or not yet",
	{guide.Where, guide.With}: "Only the way it runs", {guide.Where, guide.Against}: "Only backward",
	{guide.Where, guide.Both}: "Both ways", {guide.Where, guide.Neither}: "Neither way",
	{guide.Touched, "yes"}: "Yes, or not sure", {guide.Touched, "no"}: "No, nothing",
}

// entry is the field of a step that waits for a number; nil where it does not.
func (s *server) entry(v guide.View, r words.Recording) *entry {
	step := v.Step
	asked := step.Kind == guide.Ask
	if !(step.Kind == guide.Take || asked && (step.Question.Reads() || step.Question == guide.Where && step.Item != "")) {
		return nil
	}
	e := &entry{Label: r.NumberLabel(), Live: s.live != nil && v.WaitsForNumber() && v.Sheet.Readout.Kind != sheet.Rim}
	length := asked && (step.Question == guide.Stroke || step.Question == guide.Rod || step.Question == guide.HowDeep)
	if length {
		e.Free, e.Units = true, true
		return e
	}
	e.Sides = v.Sheet.Readout.BothWays
	if e.Height = step.Item == "sweep" && v.Method == sheet.Sweep; e.Height {
		e.HeightUnit = !s.rec.State().KnowsUnit("sweep")
	}
	if v.Sheet.Readout.Kind == sheet.Rim {
		e.Free, e.Units = true, !s.rec.State().KnowsUnit("")
		return e
	}
	if e.Height { // the keys serve both fields
		e.Free = true
		return e
	}
	switch v.Sheet.Readout.Step {
	case 0.5:
		e.Fractions = []string{".0", ".5"}
	case 0.25:
		e.Fractions = []string{".0", ".25", ".5", ".75"}
	default:
		e.Free = true
	}
	return e
}

// morePage has what is rarely needed: the stop's state, what to read next, who
// reads, striking, the report.
type morePage struct {
	frame
	Items    []item
	Table    document.Table // the latest readings
	Count    int
	Lines    document.Table
	Rim      rimPicture
	Figures  string
	Cautions []string
	Stop     string // empty where TDC is found without one, and none is in
	NoStop   bool   // a dial stands in the hole
	Back     bool   // a line may be come to by turning backward
	Strip    bool
	CanSkip  bool
	Done     bool // the stop is out for good: only then what the lines say is shown
}

const shownRows = 6

func (s *server) showMore(w http.ResponseWriter, d *device) {
	s.mu.Lock()
	v, r, rows := s.rec.State().View(), s.rec.Words(), s.rec.State().Rows()
	p := morePage{
		frame: s.frame("more"), Items: readable(v), NoStop: v.Method == sheet.AtTop, Back: !v.OneWay, Table: report.Readings(rows, len(rows)-shownRows+1), Count: len(rows),
		Lines: report.LineTable(r), Rim: s.rim(r), Figures: r.Figures(), Cautions: words.Cautions(), Stop: v.Stop.String(), Strip: v.Result != nil,
		Done:    v.Step.Kind == guide.Decide,
		CanSkip: v.Step.Kind != guide.Ask && v.Step.Kind != guide.Decide && v.Step.Item != "" && v.Step.Item != "stop",
	}
	if !r.StopMatters() {
		p.Stop = ""
	}
	s.mu.Unlock()
	p.Token = d.form
	writePage(w, http.StatusOK, "more.html", p)
}

// item is what can be read next, with the words for it.
type item struct{ Name, Words string }

// readable is what can be read in a setup: what finds TDC there, and the lines.
func readable(v guide.View) (items []item) {
	switch v.Method {
	case sheet.Stop:
		items = []item{{"stop", "One more contact each way"}, {"closing", "A closing pair"}}
	case sheet.EqualDrop:
		items = []item{{"drop", "One more drop each side"}}
	case sheet.Sweep:
		items = []item{{"sweep", "One more point of the sweep"}}
	case sheet.AtTop:
		items = []item{{"top", "The top once more"}, {"closing", "The closing reading of the top"}}
	}
	for _, m := range v.Sheet.Marks {
		items = append(items, item{m.Name, words.Clean(m.Name) + " once more"})
	}
	return items
}

// readingsPage lists readings, the latest first a page.
type readingsPage struct {
	frame
	Table   document.Table
	Earlier int // from where the page before begins; zero for none
}

const mostRows = 200

func (s *server) showReadings(w http.ResponseWriter, r *http.Request, d *device) {
	s.mu.Lock()
	rows, frame := s.rec.State().Rows(), s.frame("more")
	s.mu.Unlock()
	frame.Token = d.form
	end := len(rows)
	if n, err := strconv.Atoi(r.URL.Query().Get("before")); err == nil && n > 0 && n <= end {
		end = n
	}
	from := max(1, end-mostRows+1)
	p := readingsPage{frame: frame, Table: report.Readings(rows[:end], from)}
	if from > 1 {
		p.Earlier = from - 1
	}
	writePage(w, http.StatusOK, "readings.html", p)
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
