package sheet

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// Open reads a file that a sheet names, by a path relative to the folder of
// the sheet. It refuses what is not a regular file.
type Open func(path string) ([]byte, error)

// Read reads a sheet: data is its bytes, name is how errors print it, and open
// reads the readings file if the sheet names one; nil when there can be none.
// The error, if any, names every fault with file, line, column and key; then
// the sheet is not to be used.
func Read(name string, data []byte, open Open) (Sheet, inputerror.Positions, error) {
	return newReader(name, open).read(data)
}

func newReader(name string, open Open) *reader {
	return &reader{Collector: inputerror.NewCollector(name), open: open}
}

// reader gathers what is found in a sheet and its files.
type reader struct {
	*inputerror.Collector
	open    Open
	digest  io.Writer       // takes the bytes of every file
	absent  inputerror.List // missing keys, unless they turn out to be misspelt
	unnamed bool            // some line's name could not be read, so others can't be called unknown
	ruler   ruler           // what turns lengths on the rim into degrees
	said    []Said          // every number and size, as entered
	dial    bool            // readings are what a dial shows

	unfinished *Unfinished // nil where readings are expected
}

func (r *reader) read(data []byte) (Sheet, inputerror.Positions, error) {
	digest := sha256.New()
	_, _ = digest.Write(data) // a hash takes anything
	r.digest = digest
	var s Sheet
	if root := r.parse(data); root != nil {
		s = r.sheet(root)
	}
	s.Digest = hex.EncodeToString(digest.Sum(nil))
	return s, r.Positions, r.Err()
}

// missing reports a key that is not there.
func (r *reader) missing(path inputerror.Path, expected, hint string) {
	r.absent = append(r.absent, inputerror.Fault{Path: path, Text: "missing, expected " + expected, Hint: hint})
}

// given reports whether a value of the sheet stands at a path.
func (r *reader) given(path inputerror.Path) bool {
	_, exact := r.Find(path)
	return exact
}

// put says where a value of the sheet stands.
func (r *reader) put(path inputerror.Path, at inputerror.Spot) {
	r.Put(path, inputerror.Place{File: r.Name(), Line: at.Line, Column: at.Column})
}

// inOrder returns what was said in the order of the sheet, but for its format and
// what stands under setups and after_scribing, where every reading has its own text.
func (r *reader) inOrder() []Said {
	all := slices.DeleteFunc(slices.Clone(r.said), func(s Said) bool {
		return s.Path == "format" || strings.HasPrefix(string(s.Path), "setups[") || strings.HasPrefix(string(s.Path), "after_scribing.")
	})
	slices.SortStableFunc(all, func(a, b Said) int {
		x, _ := r.Find(a.Path)
		y, _ := r.Find(b.Path)
		if x.Line != y.Line {
			return x.Line - y.Line
		}
		return x.Column - y.Column
	})
	return all
}

// as is a size in the words of the sheet; as computed where it has no text of it.
func (r *reader) as(path inputerror.Path, computed any) string {
	for _, said := range r.said {
		if said.Path == path {
			return said.Text
		}
	}
	return fmt.Sprint(computed)
}

const formatNumber = 1 // of the sheets that this program reads

func (r *reader) sheet(root *node) (s Sheet) {
	if root.kind != table {
		if root.kind != refused {
			r.Fault("", "found "+root.kind.String()+", expected keys with values, such as engine:", "`markaudit new` prints a sheet to fill in")
		}
		return s
	}
	t := &fields{reader: r, node: root}
	switch n, ok := parsed(t, "format", "the number 1", geometry.ParseNumber); {
	case ok && n > formatNumber: // everything else may mean something else there
		r.Faults = inputerror.List{{Path: "format", Text: "found " + inputerror.Shown(root.item("format").text) + ", written for a newer markaudit; this one reads format 1"}}
		return s
	case ok && n != formatNumber:
		t.refuse("format", "the number 1")
	}
	s.Title, s.Job, s.Date = t.word("title"), t.word("job"), t.word("date")
	s.Workshop, s.Customer, s.Issued = t.word("workshop"), t.word("customer"), t.word("issued")
	s.Instruments, s.Conditions, s.Photos = readInstruments(t), readConditions(t), readPhotos(t)
	s.Checked = readChecked(t)
	s.Engine = readEngine(t.under("engine"))
	s.Part = readPart(t.under("part"))
	s.Readout = readReadout(t.under("readout"), s.Part)
	r.ruler.longest = 0 // the quarter turn is no measurement
	var tolerance geometry.Tolerance
	s.Limits, tolerance = readLimits(t.under("limits"))
	s.Marks = readMarks(t, &s, tolerance)
	inline, named := t.get("setups"), t.get("readings")
	if u := r.unfinished; u != nil && inline != nil && named == nil {
		u.Inline = holdsReadings(inline)
		u.Blank = !u.Inline
	}
	switch {
	case r.unfinished != nil && r.unfinished.Blank: // the form's own, nothing to read
	case inline != nil && named != nil:
		r.Fault("readings", "found setups as well, expected one of them", "keep the readings in the sheet or in the file, not in both")
	case named != nil:
		s.Setups = readReadingsFile(r, named, s.Marks)
	case inline != nil:
		s.Setups = readSetups(r, inline, s.Marks)
	case root.item("setups") == nil && root.item("readings") == nil && r.unfinished == nil:
		r.missing("setups", "the readings, or readings: with the name of a CSV file", "")
	}
	s.After = readAfterScribing(t, s.Marks)
	t.done()
	s.Stated = r.inOrder()
	setRimStep(r, &s.Readout)
	var absent inputerror.List
	for _, f := range r.absent {
		if !f.Path.Within(r.Faulted) {
			absent = append(absent, f)
		}
	}
	for _, f := range absent {
		r.Faulted[f.Path] = true
	}
	r.Faults = append(append(r.Faults, s.check(r.Faulted, r.given)...), absent...)
	return s
}

func readLimits(t *fields) (l Limits, tolerance geometry.Tolerance) {
	tolerance = readTolerance(t)
	l.Confidence = DefaultConfidence
	if c, ok := parsed(t, "confidence", "a number such as 0.95", geometry.ParseNumber); ok {
		l.Confidence = c
	}
	if c, ok := parsed(t, "decide_at", "a number such as 0.9", geometry.ParseNumber); ok {
		if l.DecideAt = c; c == 0 { // which in Limits stands for none
			t.Fault(t.path("decide_at"), notDeciding(c), decideHint)
		}
	}
	l.Remount = limit(t, "remount", "± 0.10", geometry.ParseAngleQuantity)
	l.Contact = limit(t, "contact", "± 0.04 mm", geometry.ParseLengthQuantity)
	l.Slack = limit(t, "slack", "± 0.05 mm", geometry.ParseLengthQuantity)
	l.Placement = DefaultPlacement
	if p := t.most("placement"); p > 0 {
		l.Placement = p
	}
	l.DeepStop = chosen(t, "deep_stop", choice[bool]{"true", true}, choice[bool]{"false", false})
	t.done()
	return l, tolerance
}

// attached reads a file that the sheet names. Its bytes count in the digest.
func (r *reader) attached(n *node, expected, example string) (path string, data []byte, ok bool) {
	path, ok = r.relative(n, expected, example)
	if !ok {
		return "", nil, false
	}
	if r.unfinished != nil && n.path == "readings" {
		r.unfinished.Readings = path
	}
	data, err := r.file(path)
	if r.unfinished != nil && r.unfinished.Readings == path && errors.Is(err, fs.ErrNotExist) {
		return path, nil, false // it begins with the first reading
	}
	if err != nil {
		var about *fs.PathError
		reason := err.Error()
		switch {
		case errors.Is(err, fs.ErrNotExist):
			reason = "there is no such file"
		case errors.As(err, &about):
			reason = about.Err.Error()
		}
		r.Fault(n.path, "cannot read "+inputerror.Shown(path)+": "+reason, "its place counts from the folder of the sheet")
		return "", nil, false
	}
	_, _ = r.digest.Write(data)
	return path, data, true
}

// relative reads the path of a file that the sheet names.
func (r *reader) relative(n *node, expected, example string) (path string, ok bool) {
	path, ok = r.scalar(n, expected)
	if !ok {
		return "", false
	}
	drive := len(path) > 1 && path[1] == ':'
	switch {
	case strings.HasPrefix(path, "/") || drive:
		r.Fault(n.path, "found "+inputerror.Shown(path)+", expected a path relative to the folder of the sheet", example)
		return "", false
	case strings.Contains(path, `\`):
		r.Fault(n.path, "found "+inputerror.Shown(path)+", expected / between folders", "write "+inputerror.Shown(strings.ReplaceAll(path, `\`, "/")))
		return "", false
	case strings.IndexFunc(path, inputerror.Invisible) >= 0:
		r.Fault(n.path, "found "+inputerror.Shown(path)+", expected the name of a file", "")
		return "", false
	}
	return path, true
}

// beside is the place of a file that the sheet names, as errors print it.
func (r *reader) beside(path string) string {
	return r.Name()[:strings.LastIndexAny(r.Name(), `/\`)+1] + path
}

func (r *reader) file(path string) ([]byte, error) {
	if r.open == nil {
		return nil, errors.New("no file can be read here")
	}
	return r.open(path)
}

// Unfinished is a sheet while its readings are being taken.
type Unfinished struct {
	Sheet
	Readings string         // the file that the sheet names; empty where it names none
	Inline   bool           // the sheet holds readings itself
	Blank    bool           // it has setups, but no reading in them: those of the form
	Rows     []readings.Row // of the readings file
}

// ReadUnfinished reads a sheet as [Read] does, for someone who is about to take
// readings: a sheet without setups and readings is no fault, nor is a readings
// file that is not there yet or holds its header alone.
func ReadUnfinished(name string, data []byte, open Open) (Unfinished, inputerror.Positions, error) {
	r := newReader(name, open)
	r.unfinished = &Unfinished{}
	s, positions, err := r.read(data)
	r.unfinished.Sheet = s
	return *r.unfinished, positions, err
}

// holdsReadings reports whether anything under setups was read from a readout.
// Who read it and when says nothing yet.
func holdsReadings(n *node) bool {
	for i, item := range n.items {
		if n.kind == table {
			switch n.keys[i] {
			case "by", "date", "note", "mounting", "fitting", "cylinder":
				continue
			}
		}
		if item.kind == scalar && item.text != "" || holdsReadings(item) {
			return true
		}
	}
	return false
}
