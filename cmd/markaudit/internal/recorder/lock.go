package recorder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"

	"github.com/gofrs/flock"

	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// holdLock locks a file against a second recorder. Whoever may read the sheet may
// lock it: a lock file that cannot be written is locked as it is, and a new one
// gets the mode of the file it is for. What holds it is written into it, for who
// comes second.
func holdLock(path, of string) (*flock.Flock, error) {
	lock, held, err := tryLock(path, of)
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return nil, &world.Unwritten{To: path, Err: errors.New(world.Plainly(err).Error() + "\n  hint: readings are kept beside the sheet; copy the sheet to a folder in which you may write")}
	case err != nil:
		return nil, &world.Unwritten{To: path, Err: err}
	case held:
		return lock, nil
	}
	text := "another recorder has it open"
	if who := holder(path); who != "" {
		text += ", " + who
	}
	return nil, fmt.Errorf("%s: %s\n  hint: go on there, or end it there first; a second device can join a running `markaudit bench`", phrase.Shown(of), text)
}

func tryLock(path, of string) (lock *flock.Flock, held bool, err error) {
	mode := fs.FileMode(0o666)
	if info, err := os.Stat(of); err == nil && info.Mode().IsRegular() {
		mode = info.Mode().Perm() | 0o600
	}
	lock = flock.New(path, flock.SetFlag(os.O_CREATE|os.O_RDWR), flock.SetPermissions(mode))
	held, err = lock.TryLock()
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) {
		if _, there := os.Stat(path); there == nil {
			lock = flock.New(path, flock.SetFlag(os.O_RDONLY))
			held, err = lock.TryLock()
		}
	}
	return lock, held, err
}

// holder is what a lock file says of who holds it; empty where it says nothing.
func holder(path string) string {
	data, err := os.ReadFile(path)
	if err != nil || len(data) == 0 || len(data) >= mostHolder {
		return ""
	}
	return phrase.Shown(strings.TrimSpace(string(data)))
}

// FolderLock is the lock of a folder of jobs: one page serves it at a time.
type FolderLock struct {
	env  world.World
	lock *flock.Flock
}

// FolderHeld says that another page serves a folder already.
type FolderHeld struct {
	Folder string
	Holder string // since when, on which computer, and at which address; empty where that cannot be read
}

func (e *FolderHeld) Error() string {
	text := phrase.Shown(e.Folder) + ": another page has it open"
	if e.Holder != "" {
		text += ", " + e.Holder
	}
	return text + "\n  hint: go on there, or end it there first"
}

// Address is where the other page can be opened from here: only the address of this
// computer to itself is believed. Empty where there is none.
func (e *FolderHeld) Address() string { return ownAddress.FindString(e.Holder) }

var ownAddress = regexp.MustCompile(`http://127\.0\.0\.1:[0-9]{1,5}$`)

// HoldFolder locks a folder of jobs for one page. Jobs are locked one by one besides,
// so that `record` in a terminal can take another job of the folder. Where the folder
// cannot be written the page can still show it, and the lock is nil.
func HoldFolder(env world.World, folder string) (*FolderLock, error) {
	path := filepath.Join(folder, ".markaudit.lock")
	if err := env.Allowed(path); err != nil {
		return nil, fmt.Errorf("%s: %w", phrase.Shown(path), err)
	}
	lock, held, err := tryLock(path, folder)
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return nil, nil
	case err != nil:
		return nil, &world.Unwritten{To: path, Err: err}
	case held:
		return &FolderLock{env, lock}, nil
	}
	return nil, &FolderHeld{Folder: folder, Holder: holder(path)}
}

// Serving writes down at which address the page is.
func (l *FolderLock) Serving(address string) {
	if l != nil {
		_ = os.WriteFile(l.lock.Path(), []byte(heldBy(l.env, address)), 0o666)
	}
}

// Close lets another page have the folder.
func (l *FolderLock) Close() {
	if l != nil {
		_ = l.lock.Unlock() // the system does when the program ends
	}
}

// mostHolder bounds what is shown of a lock file, in bytes.
const mostHolder = 400

// Hold says in the lock file who holds it: since when, on which computer, and at
// which address where it is a page. It tells a second person where to go on, so a
// file that cannot be written is no trouble.
func (r *Recorder) Hold(address string) {
	_ = os.WriteFile(r.file.lock.Path(), []byte(heldBy(r.env, address)), 0o666)
}

// heldBy is what a lock file says.
func heldBy(env world.World, address string) string {
	host, err := os.Hostname()
	if err != nil {
		host = "this computer"
	}
	text := fmt.Sprintf("since %s on %s, process %d", env.Now().Format("2006-01-02 15:04"), host, os.Getpid())
	if address != "" {
		text += ", " + address
	}
	return text + "\n"
}
