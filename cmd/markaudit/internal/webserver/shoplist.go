package webserver

import (
	"net/http"
	"slices"
	"time"

	"markaudit/audit/job"
	"markaudit/audit/report/rounding"
	"markaudit/cmd/markaudit/internal/folder"
)

// jobsPage lists the jobs of the folder.
type jobsPage struct {
	Token  string
	Name   string // of the folder
	Jobs   []jobItem
	Others []folder.Other
	More   int
	Here   bool
}

// jobItem is one job of the list.
type jobItem struct {
	Path, Title, About string
	Headline, Todo     string
	Detail             string // how far the readings are
	StopIn             bool
	Since              string
	Shape              string // for the picture: the stage in one word
}

// shapes of the stages, for the list's picture. Only looked up.
var shapes = map[job.Stage]string{
	job.Asking: "asks", job.Measuring: "measures", job.Undecided: "asks", job.Scribing: "outside", job.Stopped: "stopped",
	job.Proving: "measures", job.Outside: "outside", job.Done: "within",
}

func showJobs(s *shop, w http.ResponseWriter, d *device) {
	list, err := s.folder.List()
	if err != nil {
		s.tell(w, http.StatusInternalServerError, "The folder cannot be read", err.Error(), "/")
		return
	}
	p := jobsPage{Token: d.form, Name: s.folder.Name(), Others: list.Others, More: list.More}
	for _, j := range list.Jobs {
		p.Jobs = append(p.Jobs, itemOf(j))
	}
	writePage(w, http.StatusOK, "jobs.html", p)
}

func itemOf(j folder.Job) jobItem {
	v := j.Words()
	about := v.Place()
	if day := dayOf(j.Last); day != "" {
		if about != "" {
			about += ", "
		}
		about += day
	}
	return jobItem{
		Path: jobPath(j.ID), Title: j.Name(), About: about, Headline: v.Headline(), Todo: v.Todo(), Detail: detailOf(j),
		StopIn: j.Standing.StopIn, Since: j.Since, Shape: shapes[j.Standing.Stage],
	}
}

// detailOf says how far the readings of a job are that is being measured.
func detailOf(j folder.Job) string {
	if j.Standing.Stage != job.Measuring || j.Readings == 0 {
		return ""
	}
	text := rounding.Count(j.Readings, "reading is kept", "readings are kept")
	if j.Pairs > 0 {
		text += ", " + rounding.Count(j.Pairs, "contact each way", "contacts each way")
	}
	return text + "."
}

// dayOf is a day and, where one is known, the hour: of the file, as it was written.
func dayOf(t time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case t.Equal(t.Truncate(24 * time.Hour)):
		return t.Format(time.DateOnly)
	}
	return t.Format("2006-01-02 15:04")
}

// newPage asks what a new job shall be called.
type newPage struct {
	Token, Trouble, Name string
	Earlier              []earlierJob
}

type earlierJob struct{ ID, Title string }

// beginJob begins a new job: an empty one, or one of the type of an earlier one.
func beginJob(s *shop, w http.ResponseWriter, r *http.Request, d *device) {
	list, err := s.folder.List()
	if err != nil {
		s.tell(w, http.StatusInternalServerError, "The folder cannot be read", err.Error(), "/")
		return
	}
	p := newPage{Token: d.form}
	for _, j := range list.Jobs {
		p.Earlier = append(p.Earlier, earlierJob{j.ID, j.Name()})
	}
	if r.Method != http.MethodPost {
		writePage(w, http.StatusOK, "newjob.html", p)
		return
	}
	if !ours(w, r, d) {
		return
	}
	p.Name = r.PostForm.Get("name")
	like := ""
	if id := r.PostForm.Get("like"); id != "" {
		i := slices.IndexFunc(list.Jobs, func(j folder.Job) bool { return j.ID == id })
		if i < 0 {
			p.Trouble = "The earlier job is not there any more."
			writePage(w, http.StatusUnprocessableEntity, "newjob.html", p)
			return
		}
		like = list.Jobs[i].File
	}
	file, err := s.create(p.Name, like)
	if err != nil {
		p.Trouble = err.Error()
		writePage(w, http.StatusUnprocessableEntity, "newjob.html", p)
		return
	}
	http.Redirect(w, r, jobPath(folder.ID(file))+"ask", http.StatusSeeOther)
}
