// Package session leads through the taking of readings at the engine. It is a
// state machine without files, clock or network: events go in, and out come the
// next thing to do, what the readings say so far, and what is to be kept.
package guide

import (
	"errors"
	"slices"
	"strconv"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Stop says where the stop is.
type Stop uint8

// Unsaid: nobody has said so since the recorder was started.
const (
	Unsaid Stop = iota
	In
	Out
)

func (s Stop) String() string { return [...]string{"not said", "in", "out"}[s] }

// State is a session at one moment. It is a value: Apply returns the next one
// and leaves it as it was.
type State struct {
	name     string // of the sheet, as errors print it
	text     []byte // of the sheet
	open     sheet.Open
	readings string // the file that the sheet names
	kept
	by        string
	stop      Stop
	questions []Question
	opened    int    // rows that were there when the session was opened
	quarter   string // the first of the two readings a quarter turn apart
	past      []kept // for undo, the latest last
	view      View
}

// kept is what undo brings back.
type kept struct {
	rows    []readings.Row
	setup   string // the current one
	fresh   bool   // it was begun here and holds no reading yet
	chosen  choice
	skipped []string // lines that cannot be read in this setup
}

// choice is what the person wants to read next; none when its item is empty.
type choice struct {
	item     string
	approach sheet.Approach
}

// Change says what has to be written before an event counts as done.
type Change struct {
	Add   *readings.Row // a row to put at the end of the readings; nil for none
	Rows  bool          // the readings are to be written anew, from Rows
	Sheet []byte        // the new text of the sheet; nil when it stays
}

// New opens a session on a sheet that names a readings file: name is how errors
// print it, text its bytes, and open gives the files that it names. Open must
// give the same bytes every time, for it is asked after every reading; of the
// readings file the session keeps what it has read here.
func New(name string, text []byte, open sheet.Open) (State, error) {
	s := State{name: name, text: text, open: open}
	u, _, err := sheet.ReadUnfinished(name, text, open)
	switch {
	case err != nil:
		return State{}, err
	case u.Readings == "":
		return State{}, errors.New("the sheet names no readings file")
	}
	s.rows, s.setup, s.readings = u.Rows, "1", u.Readings
	s.opened = len(s.rows)
	if last := s.last(); last != nil {
		s.setup, s.by = last.Setup, last.By
		s.questions = append(s.questions, Touched, WhereStop)
	}
	if u.Part.BTDCLines == 0 && slices.ContainsFunc(u.Marks, func(m sheet.Mark) bool { return m.At < 0 && m.At > -180 }) {
		s.questions = append(s.questions, WhereBTDC)
	}
	if u.Readout.QuarterTurn == nil && len(s.rows) == 0 {
		s.questions = append(s.questions, QuarterFrom, QuarterTo)
	}
	if err := s.look(nil); err != nil {
		return State{}, err
	}
	return s, nil
}

// Rows are the readings, in the order taken. They are not to be changed.
func (s State) Rows() []readings.Row { return s.rows }

// View is what the faces show of the session.
func (s State) View() View { return s.view }

func (s State) last() *readings.Row {
	if len(s.rows) == 0 {
		return nil
	}
	return &s.rows[len(s.rows)-1]
}

// read reads the sheet with some rows as its readings.
func (s State) read(text []byte, rows []readings.Row) (sheet.Unfinished, error) {
	u, _, err := sheet.ReadUnfinished(s.name, text, func(path string) ([]byte, error) {
		if path == s.readings {
			return readings.Write(rows), nil
		}
		return s.open(path)
	})
	return u, err
}

// remember keeps what undo brings back.
func (s *State) remember() {
	const most = 20
	before := s.kept
	s.past = append(slices.Clone(s.past[max(0, len(s.past)+1-most):]), before)
}

// inSetup returns the rows of the current setup.
func (s State) inSetup() []readings.Row {
	var out []readings.Row
	for _, r := range s.rows {
		if r.Setup == s.setup {
			out = append(out, r)
		}
	}
	return out
}

// freshSetup names a setup that is not there yet.
func (s State) freshSetup() string {
	most, names := 0, map[string]bool{}
	for _, r := range s.rows {
		names[r.Setup] = true
		if n, err := strconv.Atoi(r.Setup); err == nil {
			most = max(most, n)
		}
	}
	for n := max(most, len(names)) + 1; ; n++ {
		if name := strconv.Itoa(n); !names[name] {
			return name
		}
	}
}

// View is what the readings say so far, and what to do next.
type View struct {
	Step    Step
	Sheet   sheet.Sheet
	Setup   string // the current one
	By      string // who reads; empty when nobody has said
	Stop    Stop
	Result  *audit.Result  // nil when Trouble is not
	Trouble error          // why the readings cannot be audited, of type inputerror.List
	Next    []advise.Next  // beside Result.Marks
	TDC     geometry.Angle // expanded uncertainty of TDC; zero when nothing repeats
	Enough  bool           // every line is decided
	Doubts  []Doubt        // about the latest reading
	Fresh   []warning.Warning
	CanUndo bool
}
