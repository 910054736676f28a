package webserver

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"markaudit/audit/csvfile"
	"markaudit/audit/jobrecord"
	"markaudit/audit/rehearse"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/lesson"
)

const mostSealed = 1 << 20

// lessonsPage offers the scenarios, and the rehearsals that were begun.
type lessonsPage struct {
	Token, Trouble string
	Scenarios      []rehearse.Scenario
	Begun          []begunLesson
}

type begunLesson struct{ Path, Title, State string }

func lessonPath(id string) string { return "/lesson/" + id + "/" }

// lessons lists the scenarios and begins a rehearsal.
func (s *shop) lessons(w http.ResponseWriter, r *http.Request, d *device) {
	p := lessonsPage{Token: d.form, Scenarios: rehearse.Scenarios()}
	if r.Method == http.MethodPost {
		if !ours(w, r, d) {
			return
		}
		id, err := s.beginLesson(r.PostForm.Get("scenario"), r.PostForm.Get("number"))
		if err == nil {
			http.Redirect(w, r, lessonPath(id), http.StatusSeeOther)
			return
		}
		p.Trouble = err.Error()
	}
	list, err := s.folder.List()
	if err != nil {
		s.tell(w, http.StatusInternalServerError, "The folder cannot be read", err.Error(), "/")
		return
	}
	for _, j := range list.Jobs {
		if l, err := s.lesson(j.File); err == nil {
			state := "to be measured"
			if l.answered() {
				state = "marked"
			}
			p.Begun = append(p.Begun, begunLesson{lessonPath(j.ID), l.name, state})
		}
	}
	writePage(w, http.StatusOK, "lessons.html", p)
}

// beginLesson writes the files of a stand.
func (s *shop) beginLesson(scenario, number string) (id string, err error) {
	which, ok := rehearse.Find(scenario)
	if !ok {
		return "", fmt.Errorf("choose one of the scenarios first")
	}
	seed, err := strconv.ParseUint(strings.TrimSpace(number), 10, 48)
	if err != nil {
		return "", fmt.Errorf("found %q, expected the number of a stand, such as 7: who takes the same number gets the same stand", number)
	}
	name := fmt.Sprintf("%s-%d", which.Name, seed)
	stand, err := lesson.Stage(export.CSV{}, which, seed, name, "")
	if err != nil {
		return "", err
	}
	if _, ok := s.folder.Find(folder.ID(name + lesson.SheetEnd)); ok {
		return "", fmt.Errorf("the stand %s was begun already: it stands below, or take another number", name)
	}
	if err := stand.Write(s.folder.World(), s.folder.Path(), func(string) {}); err != nil {
		return "", err
	}
	return folder.ID(name + lesson.SheetEnd), nil
}

// begun is a rehearsal that lies in the folder.
type begun struct {
	name    string // of its files, without their endings
	sheet   sheet.Sheet
	sealed  rehearse.Sealed
	answers rehearse.Answers
	files   []jobrecord.File
}

// lesson reads a rehearsal by the name of its sheet. A sheet without a seal beside it
// is none.
func (s *shop) lesson(file string) (l begun, err error) {
	env := s.folder.World()
	l.name = strings.TrimSuffix(file, lesson.SheetEnd)
	sealed, err := env.Read(s.folder.At(l.name+lesson.SealedEnd), mostSealed, nil)
	if err != nil {
		return l, err
	}
	if l.sealed, err = rehearse.Open(string(sealed)); err != nil {
		return l, err
	}
	l.files = append(l.files, jobrecord.FileOf(l.name+lesson.SealedEnd, sealed))
	text, err := s.folder.Text(file)
	if err != nil {
		return l, err
	}
	if l.sheet, _, err = sheet.Read(file, text, nil); err != nil {
		return l, err
	}
	l.files = append(l.files, jobrecord.File{Name: file, Digest: l.sheet.Digest})
	form, err := env.Read(s.folder.At(l.name+lesson.FormEnd), csvfile.MostBytes, nil)
	if err != nil {
		return l, err
	}
	l.files = append(l.files, jobrecord.FileOf(l.name+lesson.FormEnd, form))
	l.answers, err = l.read(form)
	return l, err
}

// read reads the answers of a form.
func (l begun) read(form []byte) (a rehearse.Answers, err error) {
	if len(l.sealed.Hands) > 0 {
		a.Hands, err = rehearse.ReadHands("answers", form)
		return a, err
	}
	return rehearse.ReadAnswers("answers", form)
}

// answered reports whether anything was written down: then the seal may be opened,
// and nothing is changed any more.
func (l begun) answered() bool { return !l.answers.Blank() }

// lessonPage is one rehearsal: readings that are taken one after another, the form
// for the answers, or how they were marked.
type lessonPage struct {
	Token, Base, Title, About, Trouble string
	Taken                              []takenReading
	Next, Left                         int // the number of the next reading, and how many are left
	All                                int
	Job                                string
	Form                               [][]field // rows of the form; nil: not yet
	Blocks                             []block
}

type takenReading struct{ Where, Text string }

// field is one cell of the form.
type field struct {
	Label, Name, Value string
	Words              []string // to choose from; nil: a number is typed
}

// lessonAt answers on the page of one rehearsal.
func (s *shop) lessonAt(w http.ResponseWriter, r *http.Request, d *device, path string) {
	id, rest, _ := strings.Cut(path, "/")
	file, ok := s.folder.Find(id)
	l, err := s.lesson(file)
	if !ok || err != nil {
		s.tell(w, http.StatusNotFound, "No such rehearsal here", "It may have been renamed or taken away.", "/lessons")
		return
	}
	scenario, _ := rehearse.Find(l.sealed.Scenario)
	p := lessonPage{Token: d.form, Base: lessonPath(id), Title: l.name, About: scenario.About, Job: jobPath(id)}
	switch {
	case rest == "" && l.answered(), rest == "marked" && l.answered():
		o, err := rehearse.Mark(l.sealed, l.sheet, l.answers)
		if err != nil {
			p.Trouble = err.Error()
			break
		}
		rec := jobrecord.Record{Files: l.files, Software: s.options.Software, Rule: jobrecord.MarkingRule}
		p.Blocks = blocks(report.Recorded(report.Rehearsal(o, document.Options{Software: s.options.Software}), rec, false))
	case rest == "":
		p.take(l, r.URL.Query().Get("n"))
	case rest == "answers" && !l.answered():
		p.Form = l.form(r)
		if r.Method != http.MethodPost {
			break
		}
		if !ours(w, r, d) {
			return
		}
		p.Form = l.form(r)
		text := l.filled(p.Form)
		a, err := l.read([]byte(text))
		switch {
		case err != nil:
			p.Trouble = err.Error()
		case a.Blank():
			p.Trouble = "Nothing is answered yet. Undecided is an answer, and so is cannot be told."
		default:
			if err := s.hand(l, text); err != nil {
				p.Trouble = err.Error()
				break
			}
			http.Redirect(w, r, p.Base+"marked", http.StatusSeeOther)
			return
		}
	default:
		http.Redirect(w, r, p.Base, http.StatusSeeOther)
		return
	}
	writePage(w, http.StatusOK, "lesson.html", p)
}

// hand writes down what was answered.
func (s *shop) hand(l begun, text string) error {
	path := s.folder.At(l.name + lesson.FormEnd)
	if err := s.folder.World().Allowed(path); err != nil {
		return err
	}
	return atomicwrite.Replace(path, []byte(text))
}

// take shows the readings up to the n-th, in the order in which they are taken at a
// stand.
func (p *lessonPage) take(l begun, n string) {
	all := jobsheet.Readings(l.name, l.sheet)
	taken, err := strconv.Atoi(n)
	if err != nil {
		taken = 0
	}
	taken = min(max(taken, 0), len(all))
	for _, x := range all[:taken] {
		p.Taken = append(p.Taken, takenReading{strings.TrimPrefix(x.Where, l.name+", "), x.Text})
	}
	p.Next, p.Left, p.All = taken+1, len(all)-taken, len(all)
}

var yesNo = []string{"yes", "no"}

// form is the form with what was filled in.
func (l begun) form(r *http.Request) (rows [][]field) {
	add := func(row []field) {
		for i := range row {
			row[i].Value = strings.TrimSpace(r.PostForm.Get(row[i].Name))
		}
		rows = append(rows, row)
	}
	for i, h := range l.sealed.Hands {
		n := strconv.Itoa(i)
		add([]field{{h.By + ": scatters?", "scatters" + n, "", yesNo}, {"sits off?", "sits" + n, "", yesNo}, {"needs", "advice" + n, "", rehearse.Advised()}})
	}
	if len(l.sealed.Hands) > 0 {
		return rows
	}
	for i, t := range l.sealed.Truth.Lines {
		n := strconv.Itoa(i)
		add([]field{{Label: t.Name + ": off by, such as 0.5 late", Name: "off" + n}, {"and so it is", "verdict" + n, "", []string{"within", "outside", "undecided"}}})
	}
	add([]field{{"What is wrong", "cause", "", rehearse.Causes()}, {"What would you look at, or measure next", "confirm", "", rehearse.Observations()}})
	return rows
}

// filled is the form as the file of the answers.
func (l begun) filled(rows [][]field) string {
	var out [][]string
	if len(l.sealed.Hands) > 0 {
		for i, h := range l.sealed.Hands {
			out = append(out, []string{h.By, rows[i][0].Value, rows[i][1].Value, rows[i][2].Value})
		}
		return export.CSV{}.Form([]string{"by", "scatters", "sits_off", "advice"}, out)
	}
	of := rows[len(rows)-1]
	for i, t := range l.sealed.Truth.Lines {
		row := []string{t.Name, rows[i][0].Value, rows[i][1].Value, "", ""}
		if i == 0 {
			row[3], row[4] = of[1].Value, of[0].Value
		}
		out = append(out, row)
	}
	return export.CSV{}.Form([]string{"mark", "off_by", "verdict", "confirm", "cause"}, out)
}

// Is reports whether a word is the one that was chosen.
func (f field) Is(word string) bool { return f.Value == word && slices.Contains(f.Words, word) }

// AboutRehearsal says what a rehearsal is.
func (lessonsPage) AboutRehearsal() string { return words.AboutRehearsal }
