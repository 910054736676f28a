package recorder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
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
	mode := fs.FileMode(0o666)
	if info, err := os.Stat(of); err == nil {
		mode = info.Mode().Perm() | 0o600
	}
	lock := flock.New(path, flock.SetFlag(os.O_CREATE|os.O_RDWR), flock.SetPermissions(mode))
	held, err := lock.TryLock()
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) {
		if _, there := os.Stat(path); there == nil {
			lock = flock.New(path, flock.SetFlag(os.O_RDONLY))
			held, err = lock.TryLock()
		}
	}
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return nil, &world.Unwritten{To: path, Err: errors.New(world.Plainly(err).Error() + "\n  hint: readings are kept beside the sheet; copy the sheet to a folder in which you may write")}
	case err != nil:
		return nil, &world.Unwritten{To: path, Err: err}
	case held:
		return lock, nil
	}
	text := "another recorder has it open"
	if data, err := os.ReadFile(path); err == nil && len(data) > 0 && len(data) < mostHolder {
		text += ", " + phrase.Shown(strings.TrimSpace(string(data)))
	}
	return nil, fmt.Errorf("%s: %s\n  hint: go on there, or end it there first; a second device can join a running `markaudit bench`", phrase.Shown(of), text)
}

// mostHolder bounds what is shown of a lock file, in bytes.
const mostHolder = 400

// Hold says in the lock file who holds it: since when, on which computer, and at
// which address where it is a page. It tells a second person where to go on, so a
// file that cannot be written is no trouble.
func (r *Recorder) Hold(address string) {
	host, err := os.Hostname()
	if err != nil {
		host = "this computer"
	}
	text := fmt.Sprintf("since %s on %s, process %d", r.env.Now().Format("2006-01-02 15:04"), host, os.Getpid())
	if address != "" {
		text += ", " + address
	}
	_ = os.WriteFile(r.file.lock.Path(), []byte(text+"\n"), 0o666)
}
