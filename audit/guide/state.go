// Package guide leads through the taking of readings at the engine. It is a state
// machine without files, clock or network: events go in, and out come the next
// thing to do, what the readings say so far, and what is to be kept.
//
// Where the engine stands and whether the stop is in are facts of the engine, not
// of the rows. Three rules keep them true. Undo takes back what was typed; what
// was said of the engine is asked again. An instruction that moves the engine and
// is not answered by its own answer leaves that part unknown. A contact pairs only
// with one of the same fitting of the stop and the same mounting of the readout.
package guide

import (
	"errors"
	"slices"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// State is a session at one moment. It is a value: Apply returns the next one
// and leaves it as it was.
type State struct {
	name     string // of the sheet, as errors print it
	text     []byte // of the sheet
	open     sheet.Open
	readings string // the file that the sheet names
	world
	kept
	told    string // what was said of the stop before this sitting
	askBTDC bool   // on which side the BTDC lines lie is not on the sheet
	askTurn bool   // the quarter turn is not on the sheet
	quarter string // the first of the two readings a quarter turn apart
	past    []done // for undo, the latest last
	view    View
}

// kept is what undo brings back.
type kept struct {
	rows     []readings.Row
	setup    string // the current one
	mounting string // that the setup shares with others; empty: its own
	fitting  string // that the setup shares with others; empty: its own
	cylinder string // in which the stop of this setup sits; empty: the reference one
	pairSeat int    // the fitting of the stop by which the setup's pairs were taken; 0: none yet
	fresh    bool   // it was begun here and holds no reading yet
	chosen   choice
	skipped  []string // lines that cannot be read in this setup
	enough   bool     // a sweep has all its points
	declined []string // cylinders that are not to be done
	unproven []string // lines of which nobody looks on which side of TDC they lie
	looked   bool     // it was asked whether the sheet is as the metal
	height   string   // of drops, with its unit
	by       string
}

// otherSeat is a fitting of the stop that has come to its end.
const otherSeat = -1

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

// and joins what two parts of one event changed.
func (c Change) and(o Change) Change {
	c.Rows = c.Rows || o.Rows
	if c.Add == nil {
		c.Add = o.Add
	}
	if c.Sheet == nil {
		c.Sheet = o.Sheet
	}
	return c
}

// New opens a session on a sheet that names a readings file: name is how errors
// print it, text its bytes, and open gives the files that it names. Open must
// give the same bytes every time, for it is asked after every reading; of the
// readings file the session keeps what it has read here. Before is what an earlier
// sitting left; a zero one costs questions and nothing else.
func New(name string, text []byte, open sheet.Open, before Memory) (State, error) {
	s := State{name: name, text: text, open: open}
	u, _, err := sheet.ReadUnfinished(name, text, open)
	switch {
	case err != nil:
		return State{}, err
	case u.Readings == "":
		return State{}, errors.New("the sheet names no readings file")
	}
	s.rows, s.setup, s.readings, s.seat = u.Rows, "1", u.Readings, 1
	if last := s.last(); last != nil {
		s.setup, s.by = last.Setup, last.By
		s.touched = true
		s.placed(s.setup)
	}
	recall(&s, before)
	s.askBTDC = u.Part.BTDCLines == 0 && slices.ContainsFunc(u.Marks, func(m sheet.Mark) bool { return m.At < 0 && m.At > -180 })
	s.askTurn = u.Readout.QuarterTurn == nil && len(s.rows) == 0 && u.Readout.Kind != sheet.Dial
	if u.Readout.Kind == sheet.Dial {
		s.stop = Out // there is none
	}
	if err := s.look(nil); err != nil {
		return State{}, err
	}
	return s, nil
}

// placed takes over what the rows of a setup say of it.
func (s *State) placed(setup string) {
	s.mounting, s.fitting, s.cylinder, s.pairSeat = "", "", "", 0
	for _, r := range s.rows {
		if r.Setup != setup {
			continue
		}
		for _, has := range []struct {
			from string
			to   *string
		}{{r.Mounting, &s.mounting}, {r.Fitting, &s.fitting}, {r.Cylinder, &s.cylinder}} {
			if *has.to == "" {
				*has.to = has.from
			}
		}
		if r.Item == "stop" {
			s.pairSeat = s.seat
		} else if s.pairSeat != 0 {
			s.pairSeat = otherSeat // for lines the stop was taken out
		}
		if r.Item == "drop" {
			s.height = r.Height
		}
	}
}

// Rows are the readings, in the order taken. They are not to be changed.
func (s State) Rows() []readings.Row { return s.rows }

// View is what the faces show of the session.
func (s State) View() View { return s.view }

// Waits reports whether a contact waits for the other one of its pair, so that
// the latest reading tells nothing yet.
func (s State) Waits() bool { return s.unpaired() >= 0 }

// Spelled is what would be kept for a number as it was typed.
func (s State) Spelled(text string) string { return plainNumber(s, text) }

// KnowsUnit reports whether the unit of a length was typed before: of readings on
// the rim, or of the heights of a sweep.
func (s State) KnowsUnit(item string) bool {
	if s.onDial() {
		_, known := stepUnit(s)
		return known
	}
	for _, r := range s.rows {
		text := r.Reading
		if item == "sweep" {
			text = r.Height
		} else if r.Setup != s.setup {
			continue
		}
		if _, _, err := geometry.ParseLength(text); err == nil {
			return true
		}
	}
	return false
}

// Memory returns what the next sitting should know.
func (s State) Memory() Memory {
	return Memory{
		Stop: s.stop.String(), Setup: s.setup, Mounting: s.mounting, Fitting: s.fitting, Cylinder: s.cylinder,
		By: s.by, Height: s.height, Valves: s.valves, Backward: s.backward,
	}
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

// look reads sheet and readings as the audit does and finds what to do next.
// Before is the view until now, nil when the session opens.
func (s *State) look(before *View) error {
	u, err := s.read(s.text, s.rows)
	if err != nil {
		return err
	}
	v := View{Sheet: u.Sheet}
	switch result, err := audit.Run(u.Sheet); {
	case err == nil:
		v.Result = &result
		v.Next = audit.Next(result)
		if t := result.TDC; t.Any() && t.DOF > 0 {
			v.TDC = geometry.Angle(uncertainty.NewSum(t.Budget.Terms()).HalfWidth(u.Limits.Confidence))
		}
		v.Enough = enough(result)
	default:
		var faults inputerror.List
		if !errors.As(err, &faults) {
			return err
		}
		v.Trouble = faults
	}
	s.view = v
	if before != nil {
		s.view.Doubts = doubts(*s)
		s.view.Fresh = fresh(before.Result, v.Result)
	}
	s.settle()
	return nil
}

// enough reports whether every line is decided.
func enough(r audit.Result) bool {
	if len(r.ByLine()) == 0 || r.Diagnosis.ReadoutMoved() {
		return false
	}
	return !slices.ContainsFunc(r.ByLine(), func(m audit.LineResult) bool { return m.Verdict == diagnosis.Undecided })
}

// onDial reports whether the readout is a dial.
func (s State) onDial() bool { return s.view.Sheet.Readout.Kind == sheet.Dial }

// unpaired is the index of the contact that waits for its partner, or -1.
func (s State) unpaired() int {
	if s.onDial() {
		return -1
	}
	last := -1
	for i, r := range s.rows {
		if r.Setup != s.setup || !isContact(r.Item) && r.Side == "" || r.Struck != "" {
			continue
		}
		partner := slices.ContainsFunc(s.rows, func(o readings.Row) bool {
			return o.Setup == r.Setup && o.Item == r.Item && o.Trial == r.Trial && (o.Approach != r.Approach || o.Side != r.Side)
		})
		if !partner {
			last = i
		}
	}
	return last
}

// WaitsForNumber reports whether a reading of the readout answers the step.
func (v View) WaitsForNumber() bool {
	switch v.Step.Question {
	case Stroke, Rod, HowDeep:
		return false
	}
	return v.Step.Kind == Take || v.Step.Kind == Ask && (v.Step.Question.Reads() || v.Step.Question == Where && v.Step.Item != "")
}

// View is what the readings say so far, and what to do next.
type View struct {
	Step     Step
	Sheet    sheet.Sheet
	Setup    string // the current one
	Cylinder string // in which its stop sits; empty: the reference one
	Method   sheet.Method
	By       string // who reads; empty when nobody has said
	Height   string // how far below its top the piston stands at a drop; empty when nobody has said
	OneWay   bool   // the engine may not be turned backward, or nobody knows
	Stop     Stop
	Told     string         // what was said of the stop before this sitting; empty for nothing
	Pairs    int            // usable, in the current setup
	ToLine   string         // the line to go on with where the pairs may be called enough before they are; empty else
	Sure     bool           // the pairs are enough: TDC is as sure as it needs to be, or more would gain little
	Goal     geometry.Angle // the expanded uncertainty of TDC at which pairs are enough
	Result   *audit.Result  // nil when Trouble is not
	Trouble  error          // why the readings cannot be audited, of type inputerror.List
	Next     []advise.Next  // beside Result.Marks
	TDC      geometry.Angle // expanded uncertainty of TDC; zero when nothing repeats
	Enough   bool           // every line is decided
	Doubts   []Doubt        // about the latest reading
	Fresh    []warning.Warning
	Undo     Undone // what undo would take back; its Kind is zero for nothing
}
