package webserver

import (
	"net/http"
	"sync"

	"markaudit/audit/report"
	"markaudit/audit/report/rounding"
	"markaudit/cmd/markaudit/internal/lesson"
)

// classroom keeps the values of a class from being written by two devices at once.
type classroom struct{ mu sync.Mutex }

// classPage is the class as one device sees it: the own values and the own slip. The
// computer itself sees who measured how many, and all of it.
type classPage struct {
	Token, Trouble string
	Here           bool
	Lines          string // of a class that is begun
	Times          int
	Name           string
	Own            []ownValue
	Line           string // to be measured next; empty: all is measured
	Round          int
	People         []measuredBy
	Slip           []block
	Shows          bool // enough is measured for that
	All            []block
}

type ownValue struct {
	Line, Text string
	Round      int
}

type measuredBy struct {
	Name string
	N    int
	Of   int
}

// serveClass answers on the page of the class of the folder.
func serveClass(s *shop, w http.ResponseWriter, r *http.Request, d *device, rest string) {
	s.room.mu.Lock()
	defer s.room.mu.Unlock()
	p := classPage{Token: d.form, Here: here(r)}
	c, err := lesson.OpenClass(s.folder.World(), s.folder.Path())
	if err != nil {
		s.tell(w, http.StatusInternalServerError, "The class cannot be read", err.Error(), "/")
		return
	}
	status := http.StatusOK
	if r.Method == http.MethodPost {
		if !ours(w, r, d) {
			return
		}
		if c, err = changeClass(s, c, r, d, rest); err == nil {
			http.Redirect(w, r, "/class", http.StatusSeeOther)
			return
		}
		p.Trouble, status = err.Error(), http.StatusUnprocessableEntity
	}
	switch {
	case c == nil && !p.Here:
		s.tell(w, http.StatusOK, "No class yet", "The instructor begins it at the computer itself.", "/")
		return
	case c != nil:
		p.fill(c, d)
		if rest == "all" {
			if !p.Here {
				s.tell(w, http.StatusForbidden, "Not from here", "The whole class is shown at the computer itself. Everybody else sees the own slip.", "/class")
				return
			}
			if study, ok := c.Study(); ok {
				rec, err := c.Record(s.options.Software, study)
				if err != nil {
					s.tell(w, http.StatusInternalServerError, "The class cannot be read", err.Error(), "/class")
					return
				}
				p.All = blocks(report.Recorded(report.Repeat(study), rec, false))
			}
		}
	}
	writePage(w, status, "class.html", p)
}

// changeClass does what a form of the class asks for.
func changeClass(s *shop, c *lesson.Class, r *http.Request, d *device, rest string) (*lesson.Class, error) {
	switch {
	case c == nil && rest == "begin" && here(r):
		return lesson.NewClass(s.folder.World(), s.folder.Path(), r.PostForm.Get("lines"), r.PostForm.Get("times"))
	case c == nil:
		return nil, errNoClass
	case rest == "join":
		return c, c.Join(d.form, r.PostForm.Get("name"))
	}
	name := c.Whose(d.form)
	switch {
	case name == "":
		return c, errNobody
	case rest == "keep":
		return c, c.Keep(name, r.PostForm.Get("value"))
	case rest == "back":
		return c, c.TakeBack(name)
	}
	return c, errNoClass
}

type classTrouble string

func (t classTrouble) Error() string { return string(t) }

const (
	errNoClass classTrouble = "there is no class yet: it is begun at the computer itself"
	errNobody  classTrouble = "say first who measures at this device"
)

// fill shows a class to a device.
func (p *classPage) fill(c *lesson.Class, d *device) {
	p.Times, p.Name = c.Times, c.Whose(d.form)
	p.Lines = rounding.Count(len(c.Lines), "line", "lines")
	if p.Here {
		for _, one := range c.People {
			p.People = append(p.People, measuredBy{one.Name, len(c.Own(one.Name)), len(c.Lines) * c.Times})
		}
	}
	_, p.Shows = c.Study()
	if p.Name == "" {
		return
	}
	for _, v := range c.Own(p.Name) {
		p.Own = append(p.Own, ownValue{v.Mark, rounding.OffBy(v.Value, rounding.Unsure), v.Trial})
	}
	var more bool
	if p.Line, p.Round, more = c.Next(p.Name); more {
		return
	}
	if study, ok := c.Study(); ok {
		p.Slip = blocks(report.Slip(study, p.Name))
	}
}
