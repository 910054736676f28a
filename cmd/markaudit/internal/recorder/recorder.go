// Package recorder joins the state machine of readings at the engine to its files:
// the sheet, and the readings beside it. What an event changes is on the disk
// before the event counts as taken.
package recorder

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"markaudit/audit/csvfile"
	"markaudit/audit/guide"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// Recorder joins a session to its files. Both faces, terminal and page, do
// everything through it. It is not safe for use by several goroutines at once.
type Recorder struct {
	env   world.World
	sheet string // its path
	text  []byte // what the sheet holds
	state guide.State
	file  *readingsFile
	told  []string // what was found on opening

	journal journal
	memory  Remembered // what the journal says
	begun   bool       // the cautions were read, or work has begun
	process string     // goes with every identity of a step, so that no restart repeats one
	steps   int        // shown so far
}

// Open opens a sheet for recording. Where it names no readings yet, a file is begun
// beside it and named on it. Whoever opens a recorder closes it.
func Open(env world.World, name string) (*Recorder, error) {
	if name == world.StandardInput {
		return nil, errors.New("found -, expected the name of a sheet: readings are kept in a file beside it")
	}
	real, err := filepath.EvalSymlinks(name) // files stand beside the sheet itself, not beside a link to it
	if err != nil {
		real = name // reading it says what is wrong
	}
	r := &Recorder{env: env, sheet: real, process: strings.ToLower(rand.Text()[:8])}
	if real != name {
		r.told = append(r.told, fmt.Sprintf("%s is a link: sheet and readings stand in %s.", phrase.Shown(name), phrase.Shown(filepath.Dir(real))))
	}
	text, err := env.Read(real, sheet.MostSheetBytes, nil)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", phrase.Shown(name), err)
	}
	u, _, err := sheet.ReadUnfinished(name, text, r.beside)
	switch {
	case u.Readings == "" && err != nil:
		return nil, err
	case u.Inline:
		return nil, fmt.Errorf("%s: its readings stand in the sheet, under setups; readings are recorded into a file of their own\n  hint: `markaudit record --export %s` writes them into one", phrase.Shown(name), phrase.Shown(name))
	case u.Readings == "":
		if text, err = r.attach(string(text)); err != nil {
			return nil, err
		}
	default: // what may be wrong with the file may be its torn end
		if r.file, err = holdReadings(env, world.Beside(filepath.Dir(real), u.Readings)); err != nil {
			return nil, err
		}
		if _, err := os.Stat(r.file.path); errors.Is(err, fs.ErrNotExist) {
			r.told = append(r.told, fmt.Sprintf("LOOK: the sheet names %s, which was not there, so it is begun empty. If it held readings, stop here, delete the empty one and bring the old one back.", r.file.name()))
		}
	}
	if err := r.begin(text); err != nil {
		r.Close()
		return nil, err
	}
	return r, nil
}

// beside opens what the sheet names.
func (r *Recorder) beside(path string) ([]byte, error) {
	return r.env.Read(world.Beside(filepath.Dir(r.sheet), path), csvfile.MostBytes, nil)
}

// attach begins a readings file and names it on the sheet.
func (r *Recorder) attach(text string) ([]byte, error) {
	base := filepath.Base(r.sheet)
	file := strings.TrimSuffix(base, filepath.Ext(base)) + ".csv"
	if file == base {
		file = base + ".csv"
	}
	with := guide.Attach(text, file)
	u, _, err := sheet.ReadUnfinished(r.sheet, []byte(with), func(path string) ([]byte, error) {
		if path == file {
			return nil, fs.ErrNotExist
		}
		return r.beside(path)
	})
	if err != nil || u.Readings != file {
		return nil, fmt.Errorf("%s: cannot name the readings file on a sheet that is laid out like this\n  hint: delete setups if it is there, and add the line `readings: %s`", phrase.Shown(r.sheet), phrase.Shown(file))
	}
	path := world.Beside(filepath.Dir(r.sheet), file)
	if r.file, err = holdReadings(r.env, path); err != nil {
		return nil, err
	}
	switch data, err := os.ReadFile(r.file.path); {
	case errors.Is(err, fs.ErrNotExist):
		err = r.file.rewrite(nil)
		if err != nil {
			return nil, err
		}
	case err != nil:
		return nil, fmt.Errorf("%s: %w", phrase.Shown(path), world.Plainly(err))
	case string(data) != readings.Header() && string(data) != readings.Short.Header():
		r.Close()
		return nil, fmt.Errorf("%s: it is there already, and the sheet does not name it\n  hint: if it holds the readings of this sheet, add the line `readings: %s` to the sheet; else rename it", phrase.Shown(path), phrase.Shown(file))
	}
	if err := atomicwrite.Replace(r.sheet, []byte(with)); err != nil {
		r.Close()
		return nil, err
	}
	r.told = append(r.told, fmt.Sprintf("Readings are kept in %s, which the sheet now names.", r.file.name()))
	return []byte(with), nil
}

func (r *Recorder) begin(text []byte) error {
	torn, err := r.file.heal()
	if err != nil {
		return err
	}
	if torn != "" {
		r.told = append(r.told, fmt.Sprintf("The last row of %s was torn: %s. It was set aside in %s and is no reading; take that one again.",
			r.file.name(), phrase.Shown(torn), r.file.name()+".torn"))
	}
	removeDrafts(r.file.path, r.sheet)
	r.journal, r.memory = journalOf(r.file.path)
	r.memory.answered(text)
	seen := map[string][]byte{} // what a session reads stays the same while it lasts
	state, err := guide.New(r.sheet, text, func(path string) ([]byte, error) {
		if data, ok := seen[path]; ok {
			return data, nil
		}
		data, err := r.beside(path)
		if err == nil {
			seen[path] = data
		}
		return data, err
	}, r.memory.Memory)
	if err != nil {
		return err
	}
	r.text, r.state = text, state
	r.begun = len(state.Rows()) > 0 || !r.memory.Last.IsZero()
	for i, row := range state.Rows() {
		if row.ID != "" {
			r.journal.done[row.ID] = Answer{guide.Read, row.Reading, fmt.Sprintf("%s (reading %d)", words.Reading(row), i+1)}
		}
	}
	r.Hold("")
	if n := len(state.Rows()); n > 0 {
		r.told = append(r.told, fmt.Sprintf("%s holds %s.", r.file.name(), phrase.Count(n, "reading")))
	}
	return r.file.follow(state.Rows())
}

// Close lets another recorder have the readings.
func (r *Recorder) Close() {
	if r.file != nil {
		r.file.release()
	}
}

// StepID is the identity of the step that is shown. It goes with every answer, so
// that an answer sent twice has one effect.
func (r *Recorder) StepID() string { return r.process + "-" + strconv.Itoa(r.steps) }

// Done says what the step of an identity was answered with; false where it was not
// answered, or not with something that was kept.
func (r *Recorder) Done(id string) (Answer, bool) {
	done, ok := r.journal.done[id]
	return done, ok && id != ""
}

// Do takes one event, as the answer to the step that is shown. When it returns
// without an error, what the event changed is on the disk.
func (r *Recorder) Do(e guide.Event) (guide.Change, error) {
	now := r.env.Now().Format(time.RFC3339)
	if e.Kind == guide.Read {
		e.Time = now
	}
	e.ID = r.StepID()
	next, change, err := r.state.Apply(e)
	if err != nil {
		return change, err
	}
	if r.folderGone() {
		return guide.Change{}, &world.Unwritten{To: r.file.path, Err: r.held()}
	}
	switch writes := change.Sheet != nil || change.Rows || change.Add != nil; {
	case writes && r.sheetChanged():
		return guide.Change{}, fmt.Errorf("%s was changed or moved meanwhile, and the readings go by what it said before\n  hint: this was NOT kept, what was kept before is safe; stop here and start again, so that the sheet as it is now counts", phrase.Shown(r.sheet))
	case change.Sheet != nil:
		err = atomicwrite.Replace(r.sheet, change.Sheet)
	case change.Rows, change.Add != nil && (change.Add.Struck != "" || !r.file.layout.Holds(*change.Add)):
		err = r.file.rewrite(next.Rows())
	case change.Add != nil:
		err = r.file.append(*change.Add)
	}
	if errors.Is(err, errGone) {
		err = r.file.replace(r.file.written(next.Rows()))
	}
	if err != nil {
		return guide.Change{}, err
	}
	r.state, r.begun = next, true
	if change.Sheet != nil {
		r.text = change.Sheet
	}
	said := doings[e.Kind]
	if change.Add != nil {
		said = fmt.Sprintf("%s (reading %d)", words.Reading(*change.Add), len(next.Rows()))
	} else if e.Text != "" {
		said += " " + e.Text
	}
	r.journal.done[e.ID] = Answer{e.Kind, e.Text, said}
	r.steps++
	r.memory.Memory = next.Memory()
	// Without the journal what is said next time is asked again, and nothing is lost.
	_ = r.journal.add(entry{T: now, ID: e.ID, Did: doings[e.Kind], Said: said, Text: e.Text, Memory: r.memory.Memory})
	return change, nil
}

// doings are the words of the journal for what happened. Only looked up.
var doings = map[guide.Kind]string{
	guide.Read: "reading", guide.Undo: "undo", guide.Strike: "strike", guide.Bumped: "bumped", guide.NewSetup: "new",
	guide.Operator: "by", guide.StopIn: "in", guide.StopOut: "out", guide.Choose: "next", guide.Skip: "skip",
	guide.Answer: "answer", guide.Down: "down", guide.Stuck: "stuck",
}

// folderGone reports whether the folder of the readings is not there any more, as
// with a stick that was pulled.
func (r *Recorder) folderGone() bool {
	_, err := os.Stat(filepath.Dir(r.file.path))
	return errors.Is(err, fs.ErrNotExist)
}

// held says what is still in the program when its folder is gone.
func (r *Recorder) held() error {
	rows := r.state.Rows()
	var b strings.Builder
	for i, row := range rows {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(words.Reading(row))
	}
	return &FolderGone{Held: len(rows), List: b.String()}
}

// FolderGone says that there is no folder to write to. What was read is held by the
// program, and nowhere else.
type FolderGone struct {
	Held int
	List string // the readings, in words
}

func (e *FolderGone) Error() string {
	return fmt.Sprintf("the folder is gone. %s held here and nowhere else: keep this window open", phrase.Count(e.Held, "reading")+map[bool]string{true: " is", false: " are"}[e.Held == 1])
}

// sheetChanged reports whether the sheet is not what the session read or wrote.
func (r *Recorder) sheetChanged() bool {
	now, err := os.ReadFile(r.sheet)
	return err != nil || !bytes.Equal(now, r.text)
}

// Stale reports whether sheet or readings are not what the session read or wrote: by
// another hand, or through another page. Whoever shows the session opens it anew.
func (r *Recorder) Stale() bool {
	return r.sheetChanged() || errors.Is(r.file.untouched(), errChanged)
}

// Told returns what was found on opening: a sentence each.
func (r *Recorder) Told() []string { return r.told }

// Sheet returns the path of the sheet.
func (r *Recorder) Sheet() string { return r.sheet }

// ReadingsName is how sentences call the file with the readings.
func (r *Recorder) ReadingsName() string { return r.file.name() }

// State returns the session as it stands.
func (r *Recorder) State() guide.State { return r.state }

// Words returns the words for the session as it stands.
func (r *Recorder) Words() words.Recording { return words.NewRecording(r.state.View()) }

// NotKept says that an event could not be written down, and what then.
func NotKept(err error) string {
	var gone *FolderGone
	if errors.As(err, &gone) {
		return strings.TrimSuffix(err.Error(), ".") + "\n  hint: this was NOT kept. Bring the folder back, as by putting the stick in again, and enter it once more: the file is then made whole. Or write them down: " + gone.List
	}
	return strings.TrimSuffix(err.Error(), ".") + "\n  hint: this was NOT kept; what was kept before is safe. Make room, or mend what is said above, and enter it again"
}

// bareKinds is only looked up.
var bareKinds = map[string]guide.Kind{
	"in": guide.StopIn, "out": guide.StopOut, "bumped": guide.Bumped, "new": guide.NewSetup,
	"undo": guide.Undo, "skip": guide.Skip, "down": guide.Down, "stuck": guide.Stuck,
}

// BareKind returns the kind of event of a word that needs nothing behind it, in
// the terminal and in the forms of the page; zero of any other word.
func BareKind(word string) guide.Kind { return bareKinds[word] }
