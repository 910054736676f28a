package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"
)

// wholeFile is a file that appears whole or not at all: it is written beside
// its place and moved there at the end.
type wholeFile struct {
	path     string      // where it shall be, symbolic links followed
	replaces fs.FileInfo // what is there now, or nil
	draft    *os.File
	done     bool
}

// createWhole begins a file. Errors are of type *unwritten.
func createWhole(path string) (*wholeFile, error) {
	w := &wholeFile{path: path}
	if err := w.begin(); err != nil {
		return nil, &unwritten{path, err}
	}
	return w, nil
}

func (w *wholeFile) begin() (err error) {
	if w.path, err = followed(w.path); err != nil {
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
			w.abandon()
		}
	}
	return err
}

// followed follows symbolic links to where a file is or shall be.
func followed(path string) (string, error) {
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

func (w *wholeFile) Write(p []byte) (int, error) {
	n, err := w.draft.Write(p)
	if err != nil {
		err = &unwritten{w.path, err}
	}
	return n, err
}

// replaced is the file that is there now, or nil. A nil *wholeFile, for an
// output that is no file, replaces nothing and has nothing to finish.
func (w *wholeFile) replaced() fs.FileInfo {
	if w == nil {
		return nil
	}
	return w.replaces
}

// finish puts the file in its place.
func (w *wholeFile) finish() error {
	if w == nil {
		return nil
	}
	if err := w.draft.Sync(); err != nil {
		return &unwritten{w.path, err}
	}
	if err := w.draft.Close(); err != nil {
		return &unwritten{w.path, err}
	}
	if err := rename(w.draft.Name(), w.path); err != nil {
		if runtime.GOOS == "windows" {
			w.done = true // keep it: another program holds the file, and the work is not lost
			return &unwritten{w.path, fmt.Errorf("%w; what was written is kept in %s", err, w.draft.Name())}
		}
		return &unwritten{w.path, err}
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

// abandon leaves nothing behind, unless the file is in its place.
func (w *wholeFile) abandon() {
	if w.done {
		return
	}
	w.done = true
	_ = w.draft.Close() // twice where finish could not move it
	_ = os.Remove(w.draft.Name())
}

// writeNew writes a file that must not exist yet.
func writeNew(path, text string) error {
	if _, err := os.Lstat(path); err == nil {
		return &unwritten{path, errors.New("the file is there already, and is not overwritten")}
	}
	w, err := createWhole(path)
	if err != nil {
		return err
	}
	defer w.abandon()
	if _, err := w.Write([]byte(text)); err != nil {
		return err
	}
	return w.finish()
}

// written writes what a command makes of one input to standard output, or to a
// file whole or not at all.
func (e Env) written(output string, compute func(replaced fs.FileInfo) ([]byte, error)) error {
	var file *wholeFile
	out := e.Stdout
	if output != "" {
		var err error
		if file, err = createWhole(output); err != nil {
			return err
		}
		defer file.abandon()
		out = file
	}
	data, err := compute(file.replaced())
	if err != nil {
		return err
	}
	if _, err = out.Write(data); err != nil {
		return err
	}
	return file.finish()
}

// printed is what a function writes.
func printed(write func(io.Writer) error) ([]byte, error) {
	var out bytes.Buffer
	err := write(&out)
	return out.Bytes(), err
}
