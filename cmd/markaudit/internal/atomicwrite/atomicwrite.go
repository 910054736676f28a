// Package atomicwrite writes a file whole or not at all, so that a full disk or a
// power cut leaves either the old file or the new one.
package atomicwrite

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"markaudit/cmd/markaudit/internal/world"
)

// File is a file that appears whole or not at all: it is written beside its place
// and moved there at the end.
type File struct {
	path     string      // where it shall be, symbolic links followed
	replaces fs.FileInfo // what is there now, or nil
	draft    *os.File
	done     bool
}

// Create begins a file. Its errors, and those of all that follows, are of type
// *world.Unwritten.
func Create(path string) (*File, error) {
	w := &File{path: path}
	if err := w.begin(); err != nil {
		return nil, &world.Unwritten{To: path, Err: err}
	}
	return w, nil
}

func (w *File) begin() (err error) {
	if w.path, err = Followed(w.path); err != nil {
		return err
	}
	mode := fs.FileMode(0o666) // less what the user masks
	switch info, err := os.Stat(w.path); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case info.IsDir():
		return errors.New("a folder, expected a file")
	case !info.Mode().IsRegular():
		return errors.New("not a regular file, which can only be written piece by piece; redirect the output there with >")
	default:
		w.replaces, mode = info, info.Mode().Perm()
		f, err := os.OpenFile(w.path, os.O_WRONLY, 0) // moving a file over it would ignore that it is read-only
		if err != nil {
			return err
		}
		if err := f.Close(); err != nil {
			return err
		}
	}
	folder, name := filepath.Split(w.path)
	for i := 0; ; i++ {
		draft := fmt.Sprintf("%s.markaudit-%d-%d-%s", folder, os.Getpid(), i, name)
		w.draft, err = os.OpenFile(draft, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if err == nil || !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err == nil && w.replaces != nil {
		err = w.draft.Chmod(mode) // also what the user masks for new files
		if errors.Is(err, errors.ErrUnsupported) || runtime.GOOS == "windows" {
			err = nil // Windows keeps no such permissions
		}
		if err != nil {
			w.Abandon()
		}
	}
	return err
}

// Followed follows symbolic links to where a file is or shall be.
func Followed(path string) (string, error) {
	const most = 40 // links in a row, as operating systems allow
	for range most {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return path, nil // a missing file is to be created; other trouble shows when it is
		}
		target, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(target) {
			target = filepath.Dir(path) + string(filepath.Separator) + target
		}
		path = target
	}
	return "", errors.New("too many symbolic links")
}

// Write adds to the draft.
func (w *File) Write(p []byte) (int, error) {
	n, err := w.draft.Write(p)
	if err != nil {
		err = &world.Unwritten{To: w.path, Err: err}
	}
	return n, err
}

// Replaced is the file that is there now, or nil. A nil *File, for an
// output that is no file, replaces nothing and has nothing to finish.
func (w *File) Replaced() fs.FileInfo {
	if w == nil {
		return nil
	}
	return w.replaces
}

// Finish puts the file in its place.
func (w *File) Finish() error {
	if w == nil {
		return nil
	}
	if err := w.draft.Sync(); err != nil {
		return &world.Unwritten{To: w.path, Err: err}
	}
	if err := w.draft.Close(); err != nil {
		return &world.Unwritten{To: w.path, Err: err}
	}
	if err := rename(w.draft.Name(), w.path); err != nil {
		if runtime.GOOS == "windows" {
			w.done = true // keep it: another program holds the file, and the work is not lost
			return &world.Unwritten{To: w.path, Err: fmt.Errorf("%w; what was written is kept in %s", err, w.draft.Name())}
		}
		return &world.Unwritten{To: w.path, Err: err}
	}
	w.done = true
	if folder, err := os.Open(filepath.Dir(w.path)); err == nil {
		_ = folder.Sync() // not every system can, and the file itself is safe
		_ = folder.Close()
	}
	return nil
}

// rename waits up to a second for another program to let go, which Windows
// makes it do.
func rename(from, to string) error {
	err := os.Rename(from, to)
	for i := 0; err != nil && runtime.GOOS == "windows" && i < 10; i++ {
		time.Sleep(100 * time.Millisecond)
		err = os.Rename(from, to)
	}
	return err
}

// Abandon leaves nothing behind, unless the file is in its place.
func (w *File) Abandon() {
	if w.done {
		return
	}
	w.done = true
	_ = w.draft.Close() // twice where Finish could not move it
	_ = os.Remove(w.draft.Name())
}

// WriteNew writes a file that must not exist yet.
func WriteNew(path, text string) error {
	if _, err := os.Lstat(path); err == nil {
		return &world.Unwritten{To: path, Err: errors.New("the file is there already, and is not overwritten")}
	}
	return Replace(path, []byte(text))
}

// Replace writes a file, in the place of one that may be there.
func Replace(path string, data []byte) error {
	w, err := Create(path)
	if err != nil {
		return err
	}
	defer w.Abandon()
	if _, err := w.Write(data); err != nil {
		return err
	}
	return w.Finish()
}
