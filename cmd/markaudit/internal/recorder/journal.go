package recorder

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"markaudit/audit/guide"
	"markaudit/audit/job"
	"markaudit/audit/questions"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/world"
)

// journal is a file beside the readings that says what happened besides them: what
// was said of the stop, which setup was begun, and which forms were answered. No
// number comes from it. Torn or missing it costs questions and nothing else.
type journal struct {
	path string
	done map[string]Answer // by the identity of a step
}

// entry is a line of the journal.
type entry struct {
	T    string `json:"t"`
	ID   string `json:"id,omitempty"`
	Did  string `json:"did"`
	Said string `json:"said,omitempty"` // what was answered, in words
	Text string `json:"text,omitempty"` // as it was typed or pressed
	// What an answer after the readings was about, and who gave it.
	About string `json:"about,omitempty"`
	Who   string `json:"who,omitempty"`
	guide.Memory
}

// readCautions is what the journal has where somebody has read the cautions and done
// nothing yet.
const readCautions = "cautions"

// What is said after the readings, as the journal has it.
const (
	SaidEye     = "eye"     // is the metal as the sheet says?
	SaidScribed = "scribed" // is the new line scribed?
	SaidProof   = "proof"   // which sheet reads the new line
)

// Remembered is what a journal holds besides the forms that were answered.
type Remembered struct {
	guide.Memory
	After job.Told
	Last  time.Time // of the latest line; zero where there is none
}

// Answer is what the step of an identity was answered with.
type Answer struct {
	Kind guide.Kind
	Text string // as it was typed or pressed
	Said string // the same in words
}

// kindOf is the kind of event of a word of the journal.
func kindOf(did string) guide.Kind {
	for kind, word := range doings {
		if word == did {
			return kind
		}
	}
	return 0
}

// Bounds of the journal: over the first it is begun anew with its last lines.
const (
	mostJournal = 1 << 20
	keptLines   = 1000
)

// journalOf opens the journal of a readings file, and makes it shorter where it has
// grown too long.
func journalOf(readings string) (journal, Remembered) {
	j := journal{path: JournalName(readings), done: map[string]Answer{}}
	data, err := os.ReadFile(j.path)
	if err != nil {
		return j, Remembered{}
	}
	if len(data) > mostJournal {
		lines := bytes.SplitAfter(data, []byte("\n"))
		data = bytes.Join(lines[max(0, len(lines)-keptLines):], nil)
		_ = atomicwrite.Replace(j.path, data) // else it is tried again next time
	}
	return j, Remember(data, j.done)
}

// JournalName is the path of the journal of a readings file.
func JournalName(readings string) string {
	return strings.TrimSuffix(readings, filepath.Ext(readings)) + ".journal"
}

// Remember reads a journal. What its forms were answered with goes into done, which
// may be nil.
func Remember(data []byte, done map[string]Answer) Remembered {
	var r Remembered
	stop := ""
	for line := range bytes.SplitSeq(data, []byte("\n")) {
		var e entry
		if json.Unmarshal(line, &e) != nil {
			continue // torn, or of another hand
		}
		if e.ID != "" && done != nil {
			done[e.ID] = Answer{kindOf(e.Did), e.Text, e.Said}
		}
		clock := r.Clock
		if e.Stop == guide.Unsaid.String() && stop != "" {
			e.Stop = stop // nobody has said otherwise since: that it was in must not be forgotten
		}
		if e.Stop != stop {
			stop, clock = e.Stop, shownTime(e.T)
		}
		r.Memory = e.Memory
		r.Clock = clock
		if at, err := time.Parse(time.RFC3339, e.T); err == nil && at.After(r.Last) {
			r.Last = at
		}
		said := job.Said{Answer: e.Text, About: e.About, By: e.Who, Time: shownTime(e.T)}
		switch e.Did {
		case SaidEye:
			r.After.Eye = said
		case SaidScribed:
			r.After.Scribed = said
		case SaidProof:
			r.After.Proof = e.Text
		}
	}
	return r
}

// answered takes over what was answered on the sheet, of engine and stop, and was not
// answered at the engine since.
func (r *Remembered) answered(text []byte) {
	backward, stop := questions.Notes(text)
	if r.Backward == "" {
		r.Backward = guide.Said(backward)
	}
	if r.Valves == "" {
		r.Valves = guide.Said(stop)
	}
}

// Say writes down what was said after the readings: what is SaidEye, SaidScribed or
// SaidProof. An empty answer takes the one before back. Unlike a tick of the stop it
// must be on the disk to count.
func (r *Recorder) Say(what, answer, about, who string) error {
	if r.folderGone() {
		return &world.Unwritten{To: r.journal.path, Err: r.held()}
	}
	now := r.env.Now().Format(time.RFC3339)
	if err := r.journal.add(entry{T: now, Did: what, Text: answer, About: about, Who: who, Memory: r.memory.Memory}); err != nil {
		return &world.Unwritten{To: r.journal.path, Err: err}
	}
	said := job.Said{Answer: answer, About: about, By: who, Time: shownTime(now)}
	switch what {
	case SaidEye:
		r.memory.After.Eye = said
	case SaidScribed:
		r.memory.After.Scribed = said
	case SaidProof:
		r.memory.After.Proof = answer
	}
	return nil
}

// Begun reports whether somebody has read the cautions of this job, now or in an
// earlier sitting, or has begun to work.
func (r *Recorder) Begun() bool { return r.begun }

// Begin takes it that the cautions were read. Without the journal they are shown
// again after a restart.
func (r *Recorder) Begin() {
	if !r.begun {
		_ = r.journal.add(entry{T: r.env.Now().Format(time.RFC3339), Did: readCautions, Memory: r.memory.Memory})
	}
	r.begun = true
}

// After is what was said after the readings.
func (r *Recorder) After() job.Told { return r.memory.After }

func shownTime(t string) string {
	at, err := time.Parse(time.RFC3339, t)
	if err != nil {
		return ""
	}
	return at.Format("2006-01-02 15:04")
}

// add writes a line. The error says that the journal could not be written; what it
// would have said is then asked again after a restart.
func (j journal) add(e entry) error {
	line, err := json.Marshal(e)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(j.path, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o666)
	if err != nil {
		return err
	}
	// A torn last line must not swallow this one.
	var end []byte
	var last [1]byte
	if info, err := f.Stat(); err == nil && info.Size() > 0 {
		if _, err := f.ReadAt(last[:], info.Size()-1); err != nil || last[0] != '\n' {
			end = []byte("\n")
		}
	}
	_, err = f.Write(append(append(end, line...), '\n'))
	if err == nil {
		err = f.Sync()
	}
	if err2 := f.Close(); err == nil {
		err = err2
	}
	return err
}

// removeDrafts removes what a killed program left of files that it was writing.
// Whoever holds the lock is the only one to write them.
func removeDrafts(paths ...string) {
	for _, path := range paths {
		folder, name := filepath.Split(path)
		drafts, err := filepath.Glob(filepath.Join(escaped(folder), ".markaudit-*-*-"+escaped(name)))
		if err != nil {
			continue
		}
		for _, draft := range drafts {
			if err := os.Remove(draft); err != nil && !errors.Is(err, fs.ErrNotExist) {
				continue // it lies there, and does no harm
			}
		}
	}
}

// escaped is a path in which no character has a meaning for a pattern.
func escaped(path string) string {
	return strings.NewReplacer(`*`, `[*]`, `?`, `[?]`, `[`, `[[]`).Replace(path)
}
