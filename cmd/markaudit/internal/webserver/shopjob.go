package webserver

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strings"

	"markaudit/audit"
	"markaudit/audit/job"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/recorder"
)

// jobPage answers for one job.
func (s *shop) jobPage(w http.ResponseWriter, r *http.Request, d *device, id, name, rest string) {
	if rest == "engine" || strings.HasPrefix(rest, "engine/") {
		s.engine(w, r, d, id, name, strings.TrimPrefix(rest, "engine"))
		return
	}
	j, err := s.folder.Job(name)
	if err != nil {
		s.tell(w, http.StatusNotFound, "This is no sheet", name+": "+err.Error(), "/")
		return
	}
	if s.asks(w, r, d, j, rest) || serveAfter(s, w, r, d, j, rest) {
		return
	}
	if r.Method == http.MethodPost {
		s.jobChange(w, r, d, j, rest)
		return
	}
	switch rest {
	case "":
		s.showJob(w, r, d, j, http.StatusOK, "")
	case "report", "strip", "record":
		showPaper(s, w, d, j, rest)
	case "compare":
		showCompare(s, w, r, d, j)
	case "sheet":
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		_, _ = w.Write(j.Text)
	default:
		http.NotFound(w, r)
	}
}

// engine answers for the page at the engine of a job.
func (s *shop) engine(w http.ResponseWriter, r *http.Request, d *device, id, name, rest string) {
	if rest == "" {
		http.Redirect(w, r, jobPath(id)+"engine/", http.StatusSeeOther)
		return
	}
	b, err := s.at(id, name)
	if err != nil {
		s.tell(w, http.StatusConflict, "This job cannot be recorded now", err.Error(), jobPath(id))
		return
	}
	b.answer(w, r, d, rest)
}

// shownJob is the page of one job: where it stands, the one thing to do next, the
// lines, and what else there is.
type shownJob struct {
	Token, Base             string
	ID                      string
	About                   string // the check that the forms are about
	Title, Headline, Todo   string
	Trouble                 string
	Trail                   []trailStep
	StopIn                  bool
	Since                   string
	Go, GoLabel             string // the link of what to do next; empty where a form below is it
	Detail                  string
	Proves                  *earlierJob
	Proof                   *earlierJob
	Faults, Open            string
	Rows                    []lineRow
	RowsNote                string
	Doubts                  []string
	Steps                   []string
	Eye                     *eyeForm
	EyeSaid                 string
	Wrong                   []string // what to do where the sheet is wrong
	Pictures                []linePicture
	Unsure                  string // TDC is less sure than pairs were taken for
	TwoLines, ReadNew       string // which of two lines of one name is which, at scribing and at reading
	Metal                   []string
	Check                   document.Table
	CheckText               string
	Scribed                 bool
	ScribedSaid             string
	BeginProof              bool
	After                   []afterRow // questions about the time after scribing, and whether one is open
	AfterOpen               bool
	AfterSaid               []string
	Report, Strip, Readings bool
	Withheld                bool // the report waits for the check by eye
	Move                    bool // the readings have to go into a file before anything is said of the metal
	Compare                 int  // how many other audits there are of the same part
	Inline                  bool
	Who                     string
	Stage                   string
}

// trailStep is one part of the way from the questions to the proof.
type trailStep struct {
	Name string
	Now  bool
	Done bool
}

// eyeForm asks what the metal shows.
type eyeForm struct {
	Look, Rim string
	Finger    bool // along the rim, not past the pointer
}

// lineRow is one line of the result.
type lineRow struct {
	Name, Verdict, Text, Scale string
	Outside, Within            bool
	Box, Bar, At               span
	Drawn                      bool
	Label                      string
}

// span is a piece of a scale, in the units of its picture.
type span struct{ From, To float64 }

func (s *shop) showJob(w http.ResponseWriter, r *http.Request, d *device, j folder.Job, status int, trouble string) {
	p := s.shownJob(j)
	p.Token, p.Trouble, p.Who = d.form, trouble, s.who(r)
	writePage(w, status, "job.html", p)
}

func (s *shop) shownJob(j folder.Job) shownJob {
	v, so := j.Words(), j.Standing
	base := jobPath(j.ID)
	p := shownJob{
		Base: base, ID: j.ID, Title: j.Name(), Headline: v.Headline(), Todo: v.Todo(), Trail: trail(j), StopIn: so.StopIn, Since: j.Since,
		Detail: detailOf(j), Inline: j.Inline, Readings: j.Readings > 0, Stage: so.Stage.String(), About: aboutOf(j),
		TwoLines: words.TwoLines, ReadNew: words.ReadNew,
	}
	switch {
	case j.Faults != nil:
		p.Faults = j.Faults.Error()
	case j.Trouble != nil:
		p.Faults = j.Trouble.Error()
	}
	if j.Asking && j.Open > 0 {
		p.Open = rounding.Count(j.Open, "answer is still open", "answers are still open")
	}
	if j.Proves != "" {
		if earlier, err := s.folder.Job(j.Proves); err == nil {
			p.Proves = &earlierJob{earlier.ID, earlier.Name()}
		}
	}
	if so.Proof != "" {
		if proof, err := s.folder.Job(so.Proof); err == nil {
			p.Proof = &earlierJob{proof.ID, proof.Name()}
		}
	}
	p.Go, p.GoLabel = s.next(j)
	if j.Result == nil {
		return p
	}
	open := so.Stage != job.Stopped && (so.Eye == job.Yes || !v.HasSides())
	p.Report, p.Withheld, p.Strip = open, !open, open && so.Eye == job.Yes && !so.Scribed(j.Result)
	p.Compare = len(samePart(s, j))
	if so.Stage == job.Measuring && !j.Result.TDC.Any() {
		return p
	}
	p.Rows, p.RowsNote = lineRows(v)
	p.Doubts = words.Warnings(v.Audit)
	p.Steps = v.StepsNow()
	if j.Result.Sheet.EyeCheckFailed() {
		p.EyeSaid, p.Wrong = "not as the sheet says, "+failedBy(j), v.SheetWrong()
		return p
	}
	if !job.Scribes(*j.Result) || so.Stage == job.Measuring {
		return p
	}
	if so.Stage == job.Scribing {
		p.Unsure = v.Unsure()
	}
	switch {
	case j.Inline: // what is said of the metal needs a journal, and so a file of readings
		p.Move = true
		return p
	case so.Eye == "":
		look, rim := v.EyeQuestion()
		p.Eye = &eyeForm{look, rim, j.Result.Advice.Check.From != ""}
		return p
	case so.Eye == job.No:
		p.EyeSaid, p.Wrong = "not as the sheet says, "+answeredSo(j.Told.Eye), v.SheetWrong()
		return p
	}
	p.EyeSaid = "as the sheet says, " + answeredSo(j.Told.Eye)
	if so.Stage == job.Stopped {
		p.ScribedSaid, p.Wrong = "a distance was wrong, "+answeredSo(j.Told.Scribed), v.SheetWrong()
		return p
	}
	for _, m := range j.Result.ByLine() {
		if picture, ok := newLinePicture(v, m); ok {
			p.Pictures = append(p.Pictures, picture)
		}
	}
	p.Metal = v.Metal()
	for _, b := range report.Distances(v.Audit) {
		if t, ok := b.(document.Table); ok && len(p.Check.Rows) == 0 {
			p.Check, p.CheckText = t, words.AboutDividers
		}
	}
	p.Scribed = so.Scribed(j.Result)
	if p.Scribed {
		p.ScribedSaid = answeredSo(j.Told.Scribed)
	}
	p.BeginProof = so.Stage == job.Proving && p.Proof == nil
	p.showAfter(j, v)
	return p
}

// next is the link of the one thing to do, and its words; empty where a form of the
// page is it.
func (s *shop) next(j folder.Job) (path, label string) {
	base := jobPath(j.ID)
	at := func(label string) (string, string) {
		if j.Inline {
			return "", ""
		}
		return base + "engine/", label
	}
	so := j.Standing
	switch {
	case so.Stage == job.Asking && so.Faulty:
		return base + "ask/check", "What the sheet says"
	case so.Stage == job.Asking:
		return base + "ask", "Answer the questions"
	case so.StopIn && so.Stage != job.Measuring:
		return at("To the engine: take the stop out")
	case so.Stage == job.Measuring && j.Readings == 0:
		return at("Begin to measure")
	case so.Stage == job.Measuring:
		return at("Go on at the engine")
	case so.Stage == job.Undecided:
		return at("Take more readings")
	case so.Stage == job.Stopped:
		return base + "ask/check", "Put the sheet right"
	case so.Stage == job.Proving && so.Proof != "" && s.folder.HasFile(so.Proof):
		return jobPath(folder.ID(so.Proof)), "Go to the proof"
	}
	if j.Inline { // its readings have to be moved first, by a form of the page
		return "", ""
	}
	switch { // a form below, which many lines push out of sight
	case so.Stage == job.Scribing && so.Eye == "":
		return "#eye", "Look at the metal"
	case so.Stage == job.Scribing && so.Eye == job.Yes:
		return "#scribe", "Check with dividers, then scribe"
	case so.Stage == job.Proving && so.Proof == "":
		return "#prove", "Begin the proof"
	}
	return "", ""
}

// trail is the way of a job, with the part at which it stands.
func trail(j folder.Job) []trailStep {
	names := []string{"Questions", "Measure", "Result"}
	now := map[job.Stage]int{job.Asking: 0, job.Measuring: 1, job.Undecided: 2, job.Outside: 2, job.Scribing: 3, job.Stopped: 3, job.Proving: 5}[j.Standing.Stage] // only looked up
	if j.Result != nil && (job.Scribes(*j.Result) || j.Standing.Stage == job.Stopped) {
		names = append(names, "Look at the metal", "Scribe", "Prove")
		if j.Standing.Stage == job.Scribing && j.Standing.Eye == job.Yes {
			now = 4
		}
	}
	if j.Standing.Stage == job.Done {
		now = len(names)
	}
	var out []trailStep
	for i, name := range names {
		out = append(out, trailStep{name, i == now, i < now})
	}
	return out
}

// aboutOf stands for what the questions of a page are about. A form that comes back
// with another one was made before something changed.
func aboutOf(j folder.Job) string {
	if j.Result == nil {
		return ""
	}
	sum := sha256.Sum256([]byte(job.CheckOf(*j.Result) + "\n" + job.OrdersOf(*j.Result) + "\n" + j.Result.Sheet.Digest))
	return hex.EncodeToString(sum[:8])
}

// jobChange takes a form of a job's page.
func (s *shop) jobChange(w http.ResponseWriter, r *http.Request, d *device, j folder.Job, what string) {
	if !ours(w, r, d) {
		return
	}
	form := r.PostForm
	back := func(err error) {
		var output *recorderTrouble
		status := http.StatusUnprocessableEntity
		if errors.As(err, &output) {
			status = http.StatusInternalServerError
		}
		s.showJob(w, r, d, j, status, "Not taken: "+err.Error())
	}
	if (what == "eye" || what == "scribed" || what == "proof") && form.Get("about") != aboutOf(j) {
		s.showJob(w, r, d, j, http.StatusConflict, "Not taken: readings or sheet were changed meanwhile, here or on another device. Look at what stands here now.")
		return
	}
	if form.Has("who") && plainWho(form.Get("who")) != s.who(r) {
		s.rememberName(w, form.Get("who"))
	}
	who := plainWho(form.Get("who"))
	var err error
	switch what {
	case "eye":
		err = s.sayEye(j, form, who)
	case "scribed":
		err = s.sayScribed(j, form.Get("answer"), who)
	case "proof":
		s.prove(w, r, d, j, back)
		return
	case "export":
		if _, _, err = recorder.Export(s.folder.World(), s.folder.At(j.File), false); err == nil {
			http.Redirect(w, r, jobPath(j.ID), http.StatusSeeOther)
			return
		}
	default:
		http.NotFound(w, r)
		return
	}
	if err != nil {
		back(err)
		return
	}
	http.Redirect(w, r, jobPath(j.ID), http.StatusSeeOther)
}

// recorderTrouble is an error of writing.
type recorderTrouble struct{ error }

// say writes an answer into the journal of a job.
func (s *shop) say(j folder.Job, what, answer, about, who string) error {
	b, err := s.at(j.ID, j.File)
	if err != nil {
		return err
	}
	b.server.mu.Lock()
	defer b.server.mu.Unlock()
	if b.closed {
		return errors.New("the job was let go meanwhile; send it once more")
	}
	if err := b.rec.Say(what, answer, about, who); err != nil {
		return &recorderTrouble{err}
	}
	return nil
}

// sayEye keeps the check by eye in the journal. One that failed stands on the sheet
// too, so that no report made of it orders anything.
func (s *shop) sayEye(j folder.Job, form interface{ Get(string) string }, who string) error {
	answer, err := eyeAnswer(j, form)
	if err != nil {
		return err
	}
	if !j.Inline { // a sheet that holds its readings has no journal
		if err := s.say(j, recorder.SaidEye, answer, job.CheckOf(*j.Result), who); err != nil {
			return err
		}
	}
	f, err := sheet.ReadForm(shownFile(j.File), j.Text)
	if err != nil {
		return err
	}
	switch {
	case answer == job.No:
		f, err = job.WriteFailed(f, who, job.Stamp{Day: s.folder.World().Now().Format("2006-01-02")})
	case answer == "" && j.Result.Sheet.EyeCheckFailed():
		f, err = job.WithoutFailed(f)
	default:
		return nil
	}
	if err == nil {
		s.leave(j.ID) // who works at the engine goes on from the new sheet
		err = s.folder.Save(j.File, j.Text, []byte(f.Text()))
	}
	if err != nil {
		return &recorderTrouble{fmt.Errorf("it stands in the journal, not on the sheet: %w", err)}
	}
	return nil
}

func (s *shop) sayScribed(j folder.Job, answer, who string) error {
	switch {
	case j.Result == nil || j.Standing.Eye != job.Yes || !job.Scribes(*j.Result):
		return errors.New("the check by eye comes first")
	case answer != job.Yes && answer != job.No && answer != "again":
		return errors.New("found nothing, expected whether it is scribed, or a distance is wrong")
	case answer == "again":
		answer = ""
	}
	return s.say(j, recorder.SaidScribed, answer, job.OrdersOf(*j.Result), who)
}

// lineRows are the lines of a result, each with its place on a scale.
func lineRows(v words.Job) ([]lineRow, string) {
	var out []lineRow
	for _, m := range v.Result.ByLine() {
		out = append(out, rowOf(v, m))
	}
	return out, v.Meaning()
}

const (
	scaleWide = 300.0
	scaleHalf = 2.4 // how many tolerances the scale shows either way
)

func rowOf(v words.Job, m audit.LineResult) lineRow {
	row := lineRow{Name: words.Clean(m.Name), Verdict: "not read", Text: "not read", Outside: words.Verdict(m) == "OUTSIDE", Within: m.Verdict.String() == "within"}
	if m.Offset == nil {
		return row
	}
	fitted := words.Fitted(m)
	if words.AsFitted(m) {
		fitted = ", with the readout as it sits now"
	}
	row.Verdict, row.Text = words.Verdict(m)+" "+v.Allowed(m.Mark)+fitted, words.OffBy(m)+", comes up at "+words.ComesUp(m)
	early, late := m.Allowed()
	if early <= 0 || late <= 0 {
		return row
	}
	half := scaleHalf * max(early.Degrees(), late.Degrees())
	x := func(degrees float64) float64 {
		return math.Round(10*(scaleWide/2+scaleWide/2*min(max(degrees/half, -1), 1)*0.97)) / 10
	}
	row.Drawn = true
	row.Box = span{x(-early.Degrees()), x(late.Degrees())}
	at := m.Offset.Value.Degrees()
	row.At = span{x(at), x(at)}
	if m.Offset.Known {
		row.Bar = span{x(at - m.Offset.Expanded.Degrees()), x(at + m.Offset.Expanded.Degrees())}
	}
	row.Label = row.Name + ": " + row.Text + ", " + row.Verdict
	return row
}

// showText shows a text as a page of its own.
func (s *shop) showDoc(w http.ResponseWriter, j folder.Job, d document.Doc) {
	writePage(w, http.StatusOK, "report.html", reportPage{Job: jobPath(j.ID), Blocks: blocks(d)})
}

// htmlOf renders a document as a page of its own, for printing.
func htmlOf(d document.Doc) ([]byte, error) {
	var b bytes.Buffer
	err := document.HTML(&b, d)
	return b.Bytes(), err
}
