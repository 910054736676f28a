package folder

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/csvfile"
	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/job"
	"markaudit/audit/questions"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/world"
)

const mostSheet = sheet.MostSheetBytes

// Job is one sheet of the folder, and where it stands.
type Job struct {
	ID, File string
	Sheet    sheet.Sheet // as far as it can be read
	Text     []byte      // of the sheet
	Standing job.Standing
	Result   *audit.Result // nil where nothing can be audited yet
	Next     []advise.Next // beside its lines
	Told     job.Told      // after the readings
	Since    string        // when the stop was last spoken of
	By       string        // who read last
	Readings int
	Pairs    int    // in the current setup
	Item     string // what the plan wants read next; empty for nothing
	Inline   bool   // the readings stand in the sheet
	Asking   bool   // answers are open without which nothing can be read
	Open     int    // how many answers are open, those that may wait too
	Asked    int    // of how many
	Faults   error  // what is wrong with the sheet, beside answers that are open
	Trouble  error  // why its readings cannot be audited
	Last     time.Time
	Proves   string // the sheet whose new line this one reads; empty for none

	stop, cylinder string // as the stages want them
}

// Words speaks for a job.
func (j Job) Words() words.Job {
	var r audit.Result
	if j.Result != nil {
		r = *j.Result
	} else {
		r.Sheet = j.Sheet
	}
	v := words.NewAudit(r, j.Next)
	v.Scribed = j.Standing.Scribed(j.Result) // the journal may have taken back what the sheet still says
	return words.Job{Audit: v, Standing: j.Standing}
}

// Name is how pages call a job, in a few words: its title, else its file.
func (j Job) Name() string {
	if j.Sheet.Title != "" {
		return words.Clean(j.Sheet.Title)
	}
	return phrase.Shown(strings.TrimSuffix(j.File, filepath.Ext(j.File)))
}

// Other is a file that is no sheet, and why.
type Other struct{ File, Why string }

// Listing is what a folder holds.
type Listing struct {
	Jobs   []Job // the one with the stop in first, then the newest first
	Others []Other
	More   int // files that were not looked at
}

// List looks at every sheet of the folder.
func (f *Folder) List() (Listing, error) {
	names, more, err := f.sheets()
	if err != nil {
		return Listing{}, err
	}
	out := Listing{More: more}
	standing := map[string]job.Standing{} // only looked up
	for _, name := range names {
		j, err := f.look(name)
		if err != nil {
			out.Others = append(out.Others, Other{name, err.Error()})
			continue
		}
		out.Jobs = append(out.Jobs, j)
		standing[name] = j.Standing
	}
	for i := range out.Jobs {
		j := &out.Jobs[i]
		if s, ok := standing[j.Told.Proof]; ok && j.Told.Proof != j.File {
			j.Standing = job.Stand(j.known(&s))
		}
		for _, earlier := range out.Jobs {
			if earlier.Told.Proof == j.File && earlier.File != j.File {
				j.Proves = earlier.File
			}
		}
	}
	slices.SortStableFunc(out.Jobs, newestFirst)
	return out, nil
}

// untouched reports whether nothing was done on a job yet but to answer questions.
func (j Job) untouched() bool { return j.Readings == 0 && !j.Inline && j.Last.IsZero() }

// newestFirst puts the job with the stop in first, then those on which nothing was
// done yet, then the one that was worked on last. It goes by what the files hold, so
// that a copy of a folder has the same order.
func newestFirst(a, b Job) int {
	flag := func(is bool) int {
		if is {
			return 0
		}
		return 1
	}
	return cmp.Or(
		flag(a.Standing.StopIn)-flag(b.Standing.StopIn),
		flag(a.untouched())-flag(b.untouched()),
		b.Last.Compare(a.Last),
		cmp.Compare(a.File, b.File),
	)
}

// Job looks at one sheet, and at those that prove it or that it proves.
func (f *Folder) Job(file string) (Job, error) {
	list, err := f.List()
	if err != nil {
		return Job{}, err
	}
	for _, j := range list.Jobs {
		if j.File == file {
			return j, nil
		}
	}
	for _, o := range list.Others {
		if o.File == file {
			return Job{}, errors.New(o.Why)
		}
	}
	return Job{}, fs.ErrNotExist
}

// known is what decides where a job stands.
func (j Job) known(proven *job.Standing) job.Seen {
	return job.Seen{Asking: j.Asking, Faulty: j.Faults != nil, Result: j.Result, Item: j.Item, Cylinder: j.cylinder, Stop: j.stop, Told: j.Told, Proven: proven}
}

// looked is a job with the files that it was worked out from.
type looked struct {
	files []input
	job   Job
	err   error
}

// input is a file, and what it held.
type input struct {
	path string
	sum  [sha256.Size]byte
}

// look works out one job, unless its files are those of the last time.
func (f *Folder) look(file string) (Job, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if s, ok := f.seen[file]; ok && s.files != nil && !slices.ContainsFunc(s.files, func(i input) bool { return f.sum(i.path) != i.sum }) {
		return s.job, s.err
	}
	var s looked
	read := func(path string, most int) ([]byte, error) {
		data, err := f.env.Read(path, most, nil)
		s.files = append(s.files, input{path, summed(data, err)})
		return data, err
	}
	s.job, s.err = f.work(file, read)
	f.seen[file] = s
	return s.job, s.err
}

// sum stands for what a file holds now.
func (f *Folder) sum(path string) [sha256.Size]byte {
	data, err := f.env.Read(path, csvfile.MostBytes, nil)
	return summed(data, err)
}

func summed(data []byte, err error) [sha256.Size]byte {
	if err != nil {
		data = []byte("not read: " + err.Error())
	}
	return sha256.Sum256(data)
}

// tables are what tells a sheet from any other file of that kind.
var tables = [][]byte{[]byte("engine:"), []byte("part:"), []byte("readout:"), []byte("limits:"), []byte("marks:")}

// isSheet reports whether a text means to be a sheet: one of its tables begins a
// line.
func isSheet(text []byte) bool {
	for line := range bytes.Lines(text) {
		if slices.ContainsFunc(tables, func(t []byte) bool { return bytes.HasPrefix(bytes.TrimPrefix(line, []byte("\ufeff")), t) }) {
			return true
		}
	}
	return false
}

// work works out one job from its files.
func (f *Folder) work(file string, read func(path string, most int) ([]byte, error)) (Job, error) {
	j := Job{ID: ID(file), File: file}
	at := f.At(file)
	text, err := read(at, mostSheet)
	switch {
	case err != nil:
		return Job{}, err
	case !isSheet(text):
		return Job{}, errors.New("it has none of the tables of a sheet: engine, part, readout, limits, marks")
	}
	j.Text = text
	beside := at // with links followed: files stand beside the sheet itself
	if real, err := filepath.EvalSymlinks(at); err == nil {
		beside = real
	}
	open := func(path string) ([]byte, error) {
		return read(world.Beside(filepath.Dir(beside), path), csvfile.MostBytes)
	}
	u, _, err := sheet.ReadUnfinished(file, text, open)
	j.Sheet, j.Inline, j.Readings, j.Faults = u.Sheet, u.Inline, len(u.Rows), err
	if i, no := questions.Read(file, text, open); no == nil {
		_, of := i.Progress()
		j.Asked, j.Open = of, len(i.Open())
		j.Asking = !i.Ready() && len(i.Faults()) == 0
		if j.Sheet.Title == "" {
			j.Sheet.Title = i.Title() // also where the sheet cannot be read as a whole yet
		}
		if j.Asking {
			j.Faults = nil // what is open is no fault: it is asked
		}
	}
	if day, known := j.Sheet.Taken(); known {
		j.Last = day
	}
	for _, row := range u.Rows {
		if taken, err := time.Parse(time.RFC3339, row.Time); err == nil && taken.After(j.Last) {
			j.Last = taken
		}
	}
	var memory recorder.Remembered
	if u.Readings != "" {
		if data, err := read(recorder.JournalName(f.beside(file, u.Readings)), mostJournal); err == nil {
			memory = recorder.Remember(data, nil)
		}
	}
	if memory.Last.After(j.Last) {
		j.Last = memory.Last
	}
	j.Told, j.Since, j.By, j.stop = memory.After, memory.Clock, memory.By, memory.Stop
	switch {
	case err != nil:
	case u.Readings != "":
		state, err := guide.New(file, text, open, memory.Memory)
		if err != nil {
			j.Faults = err
			break
		}
		v := state.View()
		j.Result, j.Next, j.Pairs, j.By = v.Result, v.Next, v.Pairs, v.By
		j.Item, j.cylinder = state.Left()
		j.Trouble = v.Trouble
	case u.Inline:
		r, err := audit.Run(u.Sheet)
		var faults inputerror.List
		switch {
		case err == nil:
			j.Result, j.Next = &r, audit.Next(r)
		case errors.As(err, &faults):
			j.Faults = faults
		default:
			return Job{}, err
		}
	default: // nothing was read yet
		j.Item = "stop"
	}
	j.Standing = job.Stand(j.known(nil))
	return j, nil
}

// beside is the path of a file that a sheet names. It stands beside the sheet itself,
// not beside a link to it.
func (f *Folder) beside(file, path string) string {
	at := f.At(file)
	if real, err := filepath.EvalSymlinks(at); err == nil {
		at = real
	}
	return world.Beside(filepath.Dir(at), path)
}

// Beside opens what a sheet of the folder names.
func (f *Folder) Beside(file string) func(path string) ([]byte, error) {
	return func(path string) ([]byte, error) {
		return f.env.Read(f.beside(file, path), csvfile.MostBytes, nil)
	}
}

// mostJournal bounds what is read of a journal, in bytes: the recorder keeps it
// smaller.
const mostJournal = 8 << 20

// HasFile reports whether a file of that name lies in the folder.
func (f *Folder) HasFile(file string) bool {
	_, err := os.Lstat(f.At(file))
	return err == nil
}
