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
	"markaudit/cmd/markaudit/internal/atomicwrite"
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
	guide.Memory
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

// journalOf opens the journal of a readings file.
func journalOf(readings string) (journal, guide.Memory) {
	j := journal{path: strings.TrimSuffix(readings, filepath.Ext(readings)) + ".journal", done: map[string]Answer{}}
	var memory guide.Memory
	data, err := os.ReadFile(j.path)
	if err != nil {
		return j, memory
	}
	if len(data) > mostJournal {
		lines := bytes.SplitAfter(data, []byte("\n"))
		data = bytes.Join(lines[max(0, len(lines)-keptLines):], nil)
		_ = atomicwrite.Replace(j.path, data) // else it is tried again next time
	}
	stop := ""
	for line := range bytes.SplitSeq(data, []byte("\n")) {
		var e entry
		if json.Unmarshal(line, &e) != nil {
			continue // torn, or of another hand
		}
		if e.ID != "" {
			j.done[e.ID] = Answer{kindOf(e.Did), e.Text, e.Said}
		}
		clock := memory.Clock
		if e.Stop != stop {
			stop, clock = e.Stop, shownTime(e.T)
		}
		memory = e.Memory
		memory.Clock = clock
	}
	return j, memory
}

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
