package webserver

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"markaudit/audit/questions"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
)

// asks answers for the questions of a job; false where a path is none of theirs. The
// sheet is the one truth: it is read anew for every page, and an answer is written
// only where it still holds what it held then.
func (s *shop) asks(w http.ResponseWriter, r *http.Request, d *device, j folder.Job, rest string) bool {
	if rest != "ask" && rest != "answer" && !strings.HasPrefix(rest, "ask/") {
		return false
	}
	if r.Method == http.MethodPost && !ours(w, r, d) {
		return true
	}
	done := jobPath(j.ID)
	if j.Readings == 0 && !j.Inline {
		done += "engine/"
	}
	a := asking{
		Base: strings.TrimSuffix(jobPath(j.ID), "/"), Done: done, Home: jobPath(j.ID), Token: d.form,
		Load: func() (questions.Interview, error) { return s.interview(j.File) },
		Save: func(before, after []byte) error {
			s.leave(j.ID) // who works at the engine goes on from the new sheet
			err := s.folder.Save(j.File, before, withoutFailed(j.File, before, after))
			if errors.Is(err, folder.ErrChanged) {
				return errSheetChanged
			}
			return err
		},
	}
	return a.serve(w, r, "/"+rest)
}

// interview reads a sheet of the folder with its questions.
func (s *shop) interview(file string) (questions.Interview, error) {
	text, err := s.folder.Text(file)
	if err != nil {
		return questions.Interview{}, err
	}
	return questions.Read(shownFile(file), text, sheet.Open(s.folder.Beside(file)))
}

// shownFile is how pages call a file.
func shownFile(file string) string { return phrase.Shown(file) }

// errNoName says that a job cannot be called so.
var errNoName = errors.New("found no name, expected what the job is called in the shop: the customer, the engine, the number of the card")

// create writes the sheet of a new job of that name, of the type of an earlier one
// where that is named.
func (s *shop) create(name, like string) (file string, err error) {
	return s.createFrom(name, like, questions.Copy)
}

// createFrom does so with what is taken over from the earlier one.
func (s *shop) createFrom(name, like string, take func(questions.Interview) questions.Interview) (file string, err error) {
	if strings.TrimSpace(name) == "" {
		return "", errNoName
	}
	i := questions.Begin()
	if like != "" {
		earlier, err := s.interview(like)
		if err != nil {
			return "", err
		}
		i = take(earlier)
	}
	if i, _, err = i.Answer("title", name); err != nil {
		return "", err
	}
	return s.folder.Create(i.FileName(), i.Sheet())
}

// prove begins the sheet that reads the new lines: one of the same engine and the same
// name. What may have changed is asked again.
func (s *shop) prove(w http.ResponseWriter, r *http.Request, d *device, j folder.Job, back func(error)) {
	if j.Standing.Proof != "" && s.folder.HasFile(j.Standing.Proof) {
		http.Redirect(w, r, jobPath(folder.ID(j.Standing.Proof)), http.StatusSeeOther)
		return
	}
	title := j.Sheet.Title
	if title == "" {
		title = strings.TrimSuffix(strings.TrimSuffix(j.File, ".yaml"), ".yml")
	}
	file, err := s.createFrom(title, j.File, questions.Again)
	if err != nil {
		back(err)
		return
	}
	if err := s.say(j, recorder.SaidProof, file, "", ""); err != nil {
		back(fmt.Errorf("the proof stands in %s, but its job could not note that: %w", shownFile(file), err))
		return
	}
	http.Redirect(w, r, jobPath(folder.ID(file))+"ask", http.StatusSeeOther)
}
