package sheet

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"
)

// readings reads the file that stands in for the setups of a sheet.
func (r *reader) readings(n *node, marks []Mark) []Setup {
	path, data, ok := r.attached(n, "the name of a CSV file", "such as readings.csv")
	if !ok {
		return nil
	}
	b := &book{
		rows:  &rows{reader: r, file: r.beside(path), columns: columns, required: required},
		marks: make(map[string]bool, len(marks)), setups: map[string]*bookSetup{},
	}
	for _, m := range marks {
		b.marks[m.Name] = true
		b.names = append(b.names, m.Name)
	}
	b.names = append(b.names, "stop", "closing")
	b.read(data, b.take)
	return b.finished()
}

// attached reads a file that the sheet names. Its bytes count in the digest.
func (r *reader) attached(n *node, expected, example string) (path string, data []byte, ok bool) {
	path, ok = r.scalar(n, expected)
	if !ok {
		return "", nil, false
	}
	drive := len(path) > 1 && path[1] == ':'
	switch {
	case strings.HasPrefix(path, "/") || drive:
		r.fault(n.path, "found "+shown(path)+", expected a path relative to the folder of the sheet", example)
		return "", nil, false
	case strings.Contains(path, `\`):
		r.fault(n.path, "found "+shown(path)+", expected / between folders", "write "+shown(strings.ReplaceAll(path, `\`, "/")))
		return "", nil, false
	case strings.IndexFunc(path, invisible) >= 0:
		r.fault(n.path, "found "+shown(path)+", expected the name of a file", "")
		return "", nil, false
	}
	data, err := r.file(path)
	if err != nil {
		var about *fs.PathError
		reason := err.Error()
		switch {
		case errors.Is(err, fs.ErrNotExist):
			reason = "there is no such file"
		case errors.As(err, &about):
			reason = about.Err.Error()
		}
		r.fault(n.path, "cannot read "+shown(path)+": "+reason, "its place counts from the folder of the sheet")
		return "", nil, false
	}
	_, _ = r.digest.Write(data)
	return path, data, true
}

// beside is the place of a file that the sheet names, as errors print it.
func (r *reader) beside(path string) string {
	return r.name[:strings.LastIndexAny(r.name, `/\`)+1] + path
}

func (r *reader) file(path string) ([]byte, error) {
	if r.open == nil {
		return nil, errors.New("no file can be read here")
	}
	return r.open(path)
}

// columns are those of a readings file, and required those that it cannot do
// without.
var (
	columns  = []string{"setup", "by", "trial", "item", "approach", "reading", "time", "note", "struck"}
	required = []string{"setup", "item", "approach", "reading"}
)

// book is a readings file while it is read.
type book struct {
	*rows
	marks  map[string]bool
	names  []string // that an item may have
	setups map[string]*bookSetup
	order  []*bookSetup
}

// bookSetup is a setup with what finds its trials again.
type bookSetup struct {
	Setup
	trials       map[string]int // by name, into Setup.Trials
	closing      string         // name of the trial
	closingTaken bool
}

// take adds the row at hand to its setup.
func (b *book) take() {
	f := &Reading{Note: b.field("note"), Time: b.field("time"), Reason: b.field("struck"), Path: b.mark("reading")}
	f.Struck = f.Reason != ""
	f.Approach = b.approach()
	b.reading(f)
	if f.Time != "" {
		if _, err := time.Parse(time.RFC3339, f.Time); err != nil {
			b.fault(b.mark("time"), "found "+shown(f.Time)+", expected a time such as 2026-03-14T09:30:00+01:00", "")
		}
	}
	name, item := b.field("setup"), b.field("item")
	if name == "" {
		b.fault(b.mark("setup"), "found nothing, expected the name or number of the setup", "")
		return
	}
	s := b.setups[name]
	if s == nil {
		s = &bookSetup{Setup: Setup{Name: name, Path: b.path(), Marks: map[string][]Reading{}}, trials: map[string]int{}}
		at := b.spot(0)
		b.at[s.Path] = place{file: b.file, line: at.line, column: at.column, key: "setup " + name}
		b.setups[name] = s
		b.order = append(b.order, s)
	}
	if s.By == "" {
		s.By = b.field("by")
	}
	switch {
	case item == "stop" || item == "closing":
		b.contact(s, item, f)
	case b.marks[item]:
		s.Marks[item] = append(s.Marks[item], *f)
	case item == "":
		b.fault(b.mark("item"), "found nothing, expected stop, closing or the name of a line", "")
	case !b.unnamed:
		b.fault(b.mark("item"), "found "+shown(item)+", no line of this name under marks", didYouMean(b.near(item, b.names)))
	}
}

// contact adds a contact to its trial.
func (b *book) contact(s *bookSetup, item string, f *Reading) {
	name := b.field("trial")
	if name == "" {
		b.fault(b.mark("trial"), "found nothing, expected the number of the pair that the contact belongs to", "")
		return
	}
	var t *Trial
	if item == "closing" {
		if s.closingTaken && s.closing != name {
			b.fault(b.mark("trial"), "found a second closing pair, "+shown(name)+" after "+shown(s.closing)+", expected one a setup", "")
			return
		}
		if !s.closingTaken {
			s.Closing, s.closing, s.closingTaken = &Trial{}, name, true
		}
		t = s.Closing
	} else {
		i, ok := s.trials[name]
		if !ok {
			i = len(s.Trials)
			s.trials[name], s.Trials = i, append(s.Trials, Trial{})
		}
		t = &s.Trials[i]
	}
	contact := &t.Forward
	switch f.Approach {
	case Forward:
	case Backward:
		contact = &t.Backward
	default:
		return // already a fault
	}
	if *contact != nil {
		b.fault(f.Path, fmt.Sprintf("found a second %v contact of %s %s in setup %s, expected one", f.Approach, pairWord(item), shown(name), shown(s.Name)),
			"give a pair that was taken again a number of its own")
		return
	}
	*contact = f
}

func pairWord(item string) string {
	if item == "closing" {
		return "closing pair"
	}
	return "trial"
}

func (b *book) finished() []Setup {
	var all []Setup
	for _, s := range b.order {
		all = append(all, s.Setup)
	}
	return all
}
