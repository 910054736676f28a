// Package world is what lies outside of the program, as its rooms see it:
// streams, files that are read, the clock, and whether a person looks on. A test
// makes a world of its own.
package world

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"markaudit/cmd/markaudit/internal/phrase"

	"golang.org/x/term"
)

// World is what a command may reach.
type World struct {
	Stdin      io.Reader
	Stdout     io.Writer
	Stderr     io.Writer
	Open       func(path string) (fs.File, error) // of a regular file; else an error that says what it is
	IsTerminal bool                               // Stderr is a terminal, which may show progress
	OnScreen   bool                               // Stdout is a terminal, which cannot show a PDF
	Typed      bool                               // Stdin is a terminal too: somebody types, and reads the answer
	Width      int                                // of that terminal, in characters; zero when unknown
	Clock      func() time.Time                   // for the time of a reading, and for nothing that is computed; nil for the system's
	Guard      func(path string) error            // asked before a file beside a sheet is opened or written; nil where every path may be
	Browse     func(address string) error         // opens a page in the browser of the person
	Clicked    func() bool                        // the program was started by a double click, where the system can tell
}

// Allowed asks whether a file may be opened or written.
func (w World) Allowed(path string) error {
	if w.Guard == nil {
		return nil
	}
	return w.Guard(path)
}

// Now is the time of the clock.
func (w World) Now() time.Time {
	if w.Clock != nil {
		return w.Clock()
	}
	return time.Now()
}

// System is the world of the process.
func System() World {
	onScreen := term.IsTerminal(int(os.Stdout.Fd()))
	width := 0
	if onScreen {
		if w, _, err := term.GetSize(int(os.Stdout.Fd())); err == nil {
			width = w
		}
	}
	return World{
		Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr,
		Open:       openRegular,
		IsTerminal: term.IsTerminal(int(os.Stderr.Fd())),
		OnScreen:   onScreen,
		Typed:      onScreen && term.IsTerminal(int(os.Stdin.Fd())),
		Width:      width,
		Browse:     browse,
		Clicked:    clicked,
	}
}

// openRegular looks before it opens: opening a pipe would wait for a writer,
// and opening a device may do something.
func openRegular(path string) (fs.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, Plainly(err)
	}
	switch mode := info.Mode(); {
	case mode.IsDir():
		return nil, errors.New("a folder, expected a file")
	case mode&fs.ModeNamedPipe != 0:
		return nil, errors.New("a pipe, expected a file (a sheet from standard input is named -)")
	case mode&(fs.ModeDevice|fs.ModeCharDevice) != 0:
		return nil, errors.New("a device, expected a file")
	case !mode.IsRegular():
		return nil, errors.New("found something else, expected a file")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, Plainly(err)
	}
	return f, nil
}

// Plainly says a trouble with a file in the words of the bench, without its
// path, which the caller puts in front. The cause stays known.
func Plainly(err error) error {
	var about *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &told{"no such file", err}
	case errors.Is(err, fs.ErrPermission):
		return &told{"not allowed", err}
	case errors.As(err, &about):
		return about.Err
	}
	return err
}

// told is an error in other words.
type told struct {
	text  string
	cause error
}

func (t *told) Error() string { return t.text }
func (t *told) Unwrap() error { return t.cause }

// Unwritten is an output that could not be written.
type Unwritten struct {
	To  string // its name, or "standard output"
	Err error
}

func (u *Unwritten) Error() string { return "cannot write " + u.To + ": " + Plainly(u.Err).Error() }
func (u *Unwritten) Unwrap() error { return u.Err }

// StandardInput is the name of a sheet that comes from there.
const StandardInput = "-"

// Beside is the place of a file that a sheet in a folder names. It is joined as
// it stands: what .. means behind a symbolic link is for the system to say.
func Beside(folder, path string) string {
	return folder + string(filepath.Separator) + filepath.FromSlash(path)
}

// Whole reads a file, or standard input where that is named, and says how errors
// call it. For the limit see Read.
func (w World) Whole(name string, most int, replaced fs.FileInfo) (data []byte, called string, err error) {
	if called = name; name == StandardInput {
		called = "standard input"
		data, err = ReadMost(w.Stdin, most)
	} else {
		data, err = w.Read(name, most, replaced)
	}
	if err != nil {
		err = fmt.Errorf("%s: %w", phrase.Shown(called), err)
	}
	return data, called, err
}

// Read returns a file's bytes, but never more than one above most: whoever asks
// refuses what is longer. A file that the command is about to replace is
// refused, so that no reading is lost.
func (w World) Read(path string, most int, replaced fs.FileInfo) ([]byte, error) {
	f, err := w.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() // nothing was written
	if info, err := f.Stat(); err == nil && replaced != nil && os.SameFile(info, replaced) {
		return nil, errors.New("also named by --output, expected another file there")
	}
	return ReadMost(f, most)
}

// mostPhoto bounds a file of which only the digest is wanted: no photo is larger.
const mostPhoto = 256 << 20

// Digest is the SHA-256 of a file in hexadecimal. The file is streamed, so it takes
// no memory, however large it is.
func (w World) Digest(path string) (string, error) {
	f, err := w.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close() // nothing was written
	digest := sha256.New()
	switch n, err := io.Copy(digest, io.LimitReader(f, mostPhoto+1)); {
	case err != nil:
		return "", fmt.Errorf("cannot be read: %w", Plainly(err))
	case n > mostPhoto:
		return "", fmt.Errorf("larger than %d MB, expected a photo", mostPhoto>>20)
	}
	return hex.EncodeToString(digest.Sum(nil)), nil
}

// ReadMost returns the bytes of a stream, but never more than one above most.
func ReadMost(r io.Reader, most int) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, int64(most)+1))
	if err != nil {
		return nil, fmt.Errorf("cannot be read: %w", Plainly(err))
	}
	return data, nil
}
