package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"

	"golang.org/x/term"
)

// Env is the world as the commands see it.
type Env struct {
	Stdin      io.Reader
	Stdout     io.Writer
	Stderr     io.Writer
	Open       func(path string) (fs.File, error) // of a regular file; else an error that says what it is
	IsTerminal bool                               // Stderr is a terminal, which may show progress
	OnScreen   bool                               // Stdout is a terminal, which cannot show a PDF
	Now        func() time.Time                   // for the time of a reading, and for nothing that is computed
}

// now is the clock's time, or that of the world that a test made.
func (e Env) now() time.Time {
	if e.Now != nil {
		return e.Now()
	}
	return time.Now()
}

func system() Env {
	return Env{
		Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr,
		Open:       openRegular,
		IsTerminal: term.IsTerminal(int(os.Stderr.Fd())),
		OnScreen:   term.IsTerminal(int(os.Stdout.Fd())),
	}
}

// openRegular looks before it opens: opening a pipe would wait for a writer,
// and opening a device may do something.
func openRegular(path string) (fs.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, plainly(err)
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
		return nil, plainly(err)
	}
	return f, nil
}

// plainly says a trouble with a file in the words of the bench, without its
// path, which the caller puts in front. The cause stays known.
func plainly(err error) error {
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

// whole reads a file, or standard input where that is named, and says how errors
// call it.
func (e Env) whole(name string, most int, replaced fs.FileInfo) (data []byte, called string, err error) {
	if called = name; name == standardInput {
		called = "standard input"
		data, err = readMost(e.Stdin, most)
	} else {
		data, err = e.read(name, most, replaced)
	}
	if err != nil {
		err = fmt.Errorf("%s: %w", shown(called), err)
	}
	return data, called, err
}

// read returns a file's bytes, but never more than one above most: whoever asks
// refuses what is longer. A file that the command is about to replace is
// refused, so that no reading is lost.
func (e Env) read(path string, most int, replaced fs.FileInfo) ([]byte, error) {
	f, err := e.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() // nothing was written
	if info, err := f.Stat(); err == nil && replaced != nil && os.SameFile(info, replaced) {
		return nil, errors.New("also named by --output, expected another file there")
	}
	return readMost(f, most)
}

func readMost(r io.Reader, most int) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, int64(most)+1))
	if err != nil {
		return nil, fmt.Errorf("cannot be read: %w", plainly(err))
	}
	return data, nil
}
