package recorder

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/gofrs/flock"

	"markaudit/audit/csvfile"
	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// readingsFile holds a readings file while readings are taken. A row counts as
// kept when it stands there whole and the disk has said so.
type readingsFile struct {
	path string // symbolic links followed
	lock *flock.Flock
	file rowFile // nil until the first row
	kept []byte  // what the file holds, as far as it was acknowledged
	info fs.FileInfo
	torn bool // an append went wrong and could not be taken back yet

	layout readings.Layout // of its columns: an older file keeps its own

	open func(path string) (rowFile, error) // a test's disk may be full
}

// rowFile is a file that rows are added to.
type rowFile interface {
	io.WriteCloser
	Sync() error
	Truncate(size int64) error
	Stat() (fs.FileInfo, error)
}

func openToAppend(path string) (rowFile, error) {
	return os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
}

// holdReadings locks a readings file against a second recorder. The lock is a
// file of its own, for the readings file is replaced when a reading is struck,
// and it stays: removing it would let two recorders hold two locks.
func holdReadings(env world.World, path string) (*readingsFile, error) {
	path, err := atomicwrite.Followed(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", phrase.Shown(path), err)
	}
	for _, file := range []string{path, path + ".lock", path + ".torn", JournalName(path)} {
		if err := env.Allowed(file); err != nil {
			return nil, fmt.Errorf("%s: %w", phrase.Shown(file), err)
		}
	}
	r := &readingsFile{path: path, open: openToAppend}
	r.lock, err = holdLock(path+".lock", path)
	if err != nil {
		return nil, err
	}
	return r, nil
}

// name is how sentences call the file.
func (r *readingsFile) name() string { return phrase.Shown(strings.TrimPrefix(r.path, "./")) }

// release ends it.
func (r *readingsFile) release() {
	if r.file != nil {
		_ = r.file.Close() // every row was synced
		r.file = nil
	}
	_ = r.lock.Unlock() // the system does when the program ends
}

// heal sets a torn last row aside: a row that was being written when the power
// went. It returns the text of the row, empty if there is none. A last line
// without an end that has all its fields is a row of a program that writes no
// last line end, unless the header is ours.
func (r *readingsFile) heal() (torn string, err error) {
	data, err := os.ReadFile(r.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", nil
	case err != nil:
		return "", fmt.Errorf("%s: %w", phrase.Shown(r.path), world.Plainly(err))
	}
	if len(data) == 0 { // begun, and the power went
		return "", r.replace(nil)
	}
	cut := bytes.LastIndexByte(data, '\n') + 1
	if cut == len(data) || len(data) > csvfile.MostBytes {
		return "", nil
	}
	tail := string(data[cut:])
	if cut == 0 { // not even the header is whole: ours was, or the file is somebody's
		// What is left of a header may be that of either layout: both begin alike.
		if strings.HasPrefix(readings.Header(), strings.TrimRight(tail, "\x00")) {
			return tail, r.setAside(tail, nil)
		}
		return "", nil
	}
	// Under our own header a row without its end is one that we did not finish:
	// what is missing may be the end of its identity, and it would be kept twice
	// when it is sent again.
	if wholeRow(string(data[:cut]), tail) && !bytes.HasPrefix(data, []byte(readings.Full.Header())) {
		return "", nil
	}
	return tail, r.setAside(tail, data[:cut])
}

// wholeRow reports whether a last line has as many fields as the header.
func wholeRow(above, tail string) bool {
	comma := ','
	if rest, ok := strings.CutPrefix(above, "sep="); ok {
		_, above, _ = strings.Cut(rest, "\n")
	}
	header, _, _ := strings.Cut(strings.TrimLeft(above, "\ufeff\r\n"), "\n")
	if strings.Contains(header, ";") {
		comma = ';'
	}
	fields := func(line string) int {
		c := csv.NewReader(strings.NewReader(line))
		c.Comma, c.FieldsPerRecord = comma, -1
		record, err := c.Read()
		if err != nil {
			return -1
		}
		return len(record)
	}
	return !strings.ContainsRune(tail, 0) && fields(tail) == fields(header)
}

// setAside puts a torn row into a file beside and leaves the whole ones.
func (r *readingsFile) setAside(torn string, whole []byte) error {
	name := r.path + ".torn"
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o666)
	if err != nil {
		return &world.Unwritten{To: name, Err: err}
	}
	_, err = f.WriteString(torn + "\n")
	if err == nil {
		err = f.Sync()
	}
	if err2 := f.Close(); err == nil {
		err = err2
	}
	if err != nil {
		return &world.Unwritten{To: name, Err: err}
	}
	return r.replace(whole)
}

// follow takes the file as it is now: what comes is added to it. Where it is not
// laid out as this program writes it, that is done first.
func (r *readingsFile) follow(rows []readings.Row) error {
	data, err := os.ReadFile(r.path)
	if errors.Is(err, fs.ErrNotExist) {
		return r.rewrite(rows)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", phrase.Shown(r.path), world.Plainly(err))
	}
	if bytes.HasPrefix(data, []byte(readings.Short.Header())) {
		r.layout = readings.Short
	}
	if !bytes.Equal(data, r.written(rows)) {
		return r.rewrite(rows)
	}
	return r.reopen(data)
}

// written is the file that holds the rows, in the layout that it has. Where that
// has no place for what a row says, it becomes the full one.
func (r *readingsFile) written(rows []readings.Row) []byte {
	if slices.ContainsFunc(rows, func(row readings.Row) bool { return !r.layout.Holds(row) }) {
		r.layout = readings.Full
	}
	return r.layout.Write(rows)
}

// reopen takes it that the file holds this.
func (r *readingsFile) reopen(kept []byte) error {
	if r.file != nil {
		_ = r.file.Close() // every row was synced
		r.file = nil
	}
	f, err := r.open(r.path)
	if err != nil {
		return &world.Unwritten{To: r.path, Err: err}
	}
	info, err := f.Stat()
	if err != nil {
		_ = f.Close()
		return &world.Unwritten{To: r.path, Err: err}
	}
	r.file, r.kept, r.info, r.torn = f, slices.Clip(kept), info, false
	return nil
}

// errChanged: writing on would lose what the other program wrote.
var errChanged = errors.New("another program has changed it meanwhile\n  hint: nothing of it was overwritten; stop here and start again, and enter the last reading once more")

// errGone: nothing is lost while the program runs, for it knows every row.
var errGone = errors.New("it is gone: somebody moved or deleted it")

// untouched reports whether the file still is what was written last, byte for
// byte: an edit may leave its size as it was. A file that came back, as with a
// stick that was pulled, is taken up again.
func (r *readingsFile) untouched() error {
	if r.file == nil {
		return nil
	}
	data, err := os.ReadFile(r.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errGone
	case err != nil:
		return world.Plainly(err)
	case r.torn && bytes.HasPrefix(data, r.kept):
		return nil
	case !bytes.Equal(data, r.kept):
		return errChanged
	}
	if now, err := os.Stat(r.path); err != nil || !os.SameFile(now, r.info) {
		return r.reopen(r.kept)
	}
	return nil
}

// append adds a row. When it returns nil the row is on the disk; when not, the
// file holds what it held before, or says so when it is opened again.
func (r *readingsFile) append(row readings.Row) error {
	if row.Struck != "" {
		// In a torn row the reason would be missing, and the row look good.
		return errors.New("a struck row is not appended")
	}
	if err := r.untouched(); err != nil {
		return &world.Unwritten{To: r.path, Err: err}
	}
	if r.torn {
		if err := r.file.Truncate(int64(len(r.kept))); err != nil {
			return &world.Unwritten{To: r.path, Err: err}
		}
		r.torn = false
	}
	line := r.layout.Line(row)
	n, err := io.WriteString(r.file, line)
	if err == nil {
		err = r.file.Sync()
	}
	if err != nil {
		if n > 0 {
			r.torn = r.file.Truncate(int64(len(r.kept))) != nil
		}
		return &world.Unwritten{To: r.path, Err: err}
	}
	r.kept = append(r.kept, line...)
	return nil
}

// rewrite puts the rows in the place of the file, whole.
func (r *readingsFile) rewrite(rows []readings.Row) error {
	if err := r.untouched(); err != nil {
		return &world.Unwritten{To: r.path, Err: err}
	}
	return r.replace(r.written(rows))
}

func (r *readingsFile) replace(data []byte) error {
	if len(data) == 0 {
		data = r.layout.Write(nil)
	}
	if err := atomicwrite.Replace(r.path, data); err != nil {
		return err
	}
	return r.reopen(data)
}
