package webserver

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/job"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/folder"
)

// afterPage asks one question about the time after scribing.
type afterPage struct {
	Token, Base, Title, Ask, Hint, Trouble string
	Key, Seen, Behind                      string // the question, the sheet it was asked of, and where leaving it open leads
	Asks, Name, Digest                     string
	Lines                                  []string
	StopIn                                 bool
	N, Of                                  int
	Typed                                  url.Values
}

// afterRow is a question in the list on the page of the job.
type afterRow struct {
	Key, Name string
	Answered  bool
}

// serveAfter answers for the questions about the time after scribing; false where a
// path is none of theirs. Like the questions of the sheet, they read it anew for every
// page and write only where it still holds what it held then.
func serveAfter(s *shop, w http.ResponseWriter, r *http.Request, d *device, j folder.Job, rest string) bool {
	key, in := strings.CutPrefix(rest, "after/")
	if rest != "after" && !in {
		return false
	}
	if r.Method == http.MethodPost && !ours(w, r, d) {
		return true
	}
	if !j.Standing.Scribed(j.Result) {
		http.Redirect(w, r, jobPath(j.ID), http.StatusSeeOther)
		return true
	}
	all := job.Questions(*j.Result)
	for n, q := range all {
		if q.Key != key {
			continue
		}
		p := afterQuestion(s, r, d, j, q)
		p.N, p.Of = n+1, len(all)
		if r.Method == http.MethodPost {
			takeAfter(s, w, r, j, q, p)
		} else {
			writePage(w, http.StatusOK, "after.html", p)
		}
		return true
	}
	afterBehind(w, r, j, r.URL.Query().Get("behind"))
	return true
}

// afterBehind leads to the next question that is open, or back to the job.
func afterBehind(w http.ResponseWriter, r *http.Request, j folder.Job, key string) {
	to := jobPath(j.ID)
	if q, more := job.NextOpen(job.Questions(*j.Result), key); more {
		to += "after/" + q.Key
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

func afterQuestion(s *shop, r *http.Request, d *device, j folder.Job, q job.Question) afterPage {
	v := j.Words()
	p := afterPage{
		Token: d.form, Base: jobPath(j.ID), Title: j.Name(), Key: q.Key, Seen: digest(j.Text), Behind: url.QueryEscape(q.Key),
		Asks: q.Asks.String(), Lines: q.Lines, Name: j.Told.Scribed.By, Digest: words.ShortDigest(j.Result.Sheet.Digest), Typed: url.Values{}, StopIn: j.Standing.StopIn,
	}
	if p.Name == "" {
		p.Name = s.who(r)
	}
	if a := j.Result.Sheet.After; a != nil {
		if a.By != "" {
			p.Name = a.By
		}
		if a.ScribedBy != "" {
			p.Digest = a.ScribedBy
		}
	}
	p.Ask, p.Hint = v.After(q)
	return p
}

// takeAfter takes an answer.
func takeAfter(s *shop, w http.ResponseWriter, r *http.Request, j folder.Job, q job.Question, p afterPage) {
	form := r.PostForm
	again := func(status int, text string) {
		p.Typed, p.Trouble = form, text
		p.Name, p.Digest = form.Get("name"), form.Get("digest")
		writePage(w, status, "after.html", p)
	}
	if form.Get("seen") != p.Seen {
		again(http.StatusConflict, "The sheet was changed meanwhile, by hand or on another device. Nothing was written. Look at the question again.")
		return
	}
	f, err := sheet.ReadForm(shownFile(j.File), j.Text)
	if err == nil {
		f, err = q.Write(f, answerIn(q, form), job.Stamp{Digest: j.Result.Sheet.Digest, Day: s.folder.World().Now().Format("2006-01-02")})
	}
	if err == nil {
		_, _, err = sheet.Read(shownFile(j.File), []byte(f.Text()), sheet.Open(s.folder.Beside(j.File)))
	}
	if err != nil {
		again(http.StatusUnprocessableEntity, "Not taken: "+ofAnswer(err))
		return
	}
	s.leave(j.ID) // who works at the engine goes on from the new sheet
	switch err := s.folder.Save(j.File, j.Text, []byte(f.Text())); {
	case errors.Is(err, folder.ErrChanged):
		again(http.StatusConflict, "The sheet was changed meanwhile, by hand or on another device. Nothing was written. Look at the question again.")
	case err != nil:
		again(http.StatusInternalServerError, "NOT kept: "+err.Error()+". Send it again when that is mended.")
	default:
		afterBehind(w, r, j, q.Key)
	}
}

// ofAnswer says what is wrong with an answer. Where it would have stood on the sheet
// helps nobody, for it was not written.
func ofAnswer(err error) string {
	var faults inputerror.List
	if !errors.As(err, &faults) {
		return sentenceOf(err)
	}
	var told []string
	for _, f := range faults {
		if !strings.HasPrefix(string(f.Path), "after_scribing.") {
			return sentenceOf(err)
		}
		told = append(told, words.Sentence(words.Clean(f.Text)))
		if f.Hint != "" {
			told = append(told, words.Sentence(words.Clean(f.Hint)))
		}
	}
	return strings.Join(told, " ")
}

// answerIn is what a form says to a question.
func answerIn(q job.Question, form url.Values) job.Answer {
	typed := func(name string) string { return plainWho(form.Get(name)) }
	number := func(name string) string { return strings.Replace(typed(name), ",", ".", 1) } // a sheet has points
	a := job.Answer{Name: typed("name"), Digest: typed("digest"), Line: form.Get("line"), Word: form.Get("answer"), At: typed("at"), Texts: []string{number("text"), number("text2")}}
	if unit := form.Get("unit"); q.Asks == job.Dividers && a.Texts[0] != "" && strings.Trim(a.Texts[0], "-0123456789./ ") == "" && (unit == "mm" || unit == "in") {
		a.Texts[0] += " " + unit
	}
	return a
}

// showAfter lists what was found after scribing, and what is open.
func (p *shownJob) showAfter(j folder.Job, v words.Job) {
	if j.Result.Sheet.After != nil {
		p.AfterSaid = words.AfterScribing(v.Audit)
	}
	if !p.Scribed {
		return
	}
	for _, q := range job.Questions(*j.Result) {
		p.After = append(p.After, afterRow{q.Key, words.AfterName(q), q.Answered})
		p.AfterOpen = p.AfterOpen || !q.Answered
	}
}
