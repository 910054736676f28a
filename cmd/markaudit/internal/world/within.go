package world

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// ErrOutside says that a file lies outside the folder to which a world is held.
var ErrOutside = errors.New("it lies outside the folder of the jobs, or is a link that leads out of it: it is neither read nor written")

// Within is the world with its files held to one folder, whatever their names hold
// and wherever links lead. It returns the folder's true path too, with links
// followed.
func (w World) Within(folder string) (World, string, error) {
	real, err := filepath.Abs(folder)
	if err == nil {
		real, err = filepath.EvalSymlinks(real)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return World{}, "", errors.New("no such folder")
	}
	if err != nil {
		return World{}, "", Plainly(err)
	}
	if info, err := os.Stat(real); err != nil || !info.IsDir() {
		return World{}, "", errors.New("a file, expected a folder")
	}
	open := w.Open
	w.Guard = func(path string) error { return inside(real, path) }
	w.Open = func(path string) (fs.File, error) {
		if err := inside(real, path); err != nil {
			return nil, err
		}
		return open(path)
	}
	return w, real, nil
}

// inside reports whether a path stays in a folder, both as it is written and with
// its links followed. A link that leads nowhere is refused: what is written through
// it would appear where it points.
func inside(folder, path string) error {
	if !filepath.IsAbs(path) {
		var err error
		if path, err = filepath.Abs(path); err != nil {
			return err
		}
	}
	if !local(folder, filepath.Clean(path)) {
		return ErrOutside
	}
	real, err := filepath.EvalSymlinks(path)
	if err == nil {
		if !local(folder, real) {
			return ErrOutside
		}
		return nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return Plainly(err)
	}
	if _, err := os.Lstat(path); err == nil {
		return ErrOutside
	}
	if real, err = filepath.EvalSymlinks(filepath.Dir(path)); err == nil && !local(folder, real) {
		return ErrOutside
	}
	return nil // it is not there, and who opens it says so
}

// local reports whether a path is a folder or lies in it, by name alone.
func local(folder, path string) bool {
	rel, err := filepath.Rel(folder, path)
	return err == nil && filepath.IsLocal(rel)
}
