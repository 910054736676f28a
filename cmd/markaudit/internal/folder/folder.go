// Package folder is a folder of jobs as the page of the shop sees it: which sheets
// lie in it, where each stands, and the files that are made for a new one. Nothing
// outside the folder is read or written, whatever a name holds and wherever a link
// leads.
package folder

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"

	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// Folder is a folder of jobs. Several goroutines may use it.
type Folder struct {
	env  world.World // held to the folder
	path string      // with links followed

	mu   sync.Mutex
	seen map[string]looked // by the name of the sheet: what was worked out of these very bytes
}

// MostSheets bounds how many files of a folder are looked at.
const MostSheets = 500

// Open opens a folder that is there.
func Open(env world.World, path string) (*Folder, error) {
	env, real, err := env.Within(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", phrase.Shown(path), err)
	}
	return &Folder{env: env, path: real, seen: map[string]looked{}}, nil
}

// World is the world held to the folder.
func (f *Folder) World() world.World { return f.env }

// Path is the folder's path.
func (f *Folder) Path() string { return f.path }

// Name is how pages call the folder.
func (f *Folder) Name() string { return phrase.Shown(filepath.Base(f.path)) }

// At is the path of a file of the folder.
func (f *Folder) At(file string) string { return filepath.Join(f.path, file) }

// idLength is how many hexadecimal digits stand for a job in addresses.
const idLength = 10

// ID stands for a sheet in addresses: a path never comes from one.
func ID(file string) string {
	sum := sha256.Sum256([]byte(file))
	return hex.EncodeToString(sum[:])[:idLength]
}

// sheets lists the names of the files that may be sheets, and how many were left
// out.
func (f *Folder) sheets() (names []string, more int, err error) {
	entries, err := os.ReadDir(f.path)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: %w", phrase.Shown(f.path), world.Plainly(err))
	}
	for _, e := range entries { // in the order of their names
		name := e.Name()
		ext := strings.ToLower(filepath.Ext(name))
		if e.IsDir() || strings.HasPrefix(name, ".") || ext != ".yaml" && ext != ".yml" {
			continue
		}
		names = append(names, name)
	}
	if more = len(names) - MostSheets; more > 0 {
		return names[:MostSheets], more, nil
	}
	return names, 0, nil
}

// Find returns the name of the sheet that an ID stands for.
func (f *Folder) Find(id string) (file string, ok bool) {
	names, _, err := f.sheets()
	if err != nil || len(id) != idLength {
		return "", false
	}
	if i := slices.IndexFunc(names, func(name string) bool { return ID(name) == id }); i >= 0 {
		return names[i], true
	}
	return "", false
}

// Text is what a sheet holds.
func (f *Folder) Text(file string) ([]byte, error) {
	text, err := f.env.Read(f.At(file), mostSheet, nil)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", phrase.Shown(file), err)
	}
	return text, nil
}

// Create writes the sheet of a new job. Its name is made of letters, digits and
// hyphens of the one that is wanted; where that is taken, by the files of another
// job too, a number follows.
func (f *Folder) Create(wanted string, text []byte) (file string, err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	base := plainName(wanted)
	for n := 1; ; n++ {
		name := base
		if n > 1 {
			name = base + "-" + strconv.Itoa(n)
		}
		taken := false
		for _, ext := range []string{".yaml", ".yml", ".csv", ".journal"} {
			if _, err := os.Lstat(f.At(name + ext)); !errors.Is(err, fs.ErrNotExist) {
				taken = true
			}
		}
		if taken {
			if n >= 10*MostSheets {
				return "", fmt.Errorf("%s: too many files of that name, expected another name", phrase.Shown(base))
			}
			continue
		}
		file := name + ".yaml"
		w, err := os.OpenFile(f.At(file), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666) // never through a link, never over a file
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", &world.Unwritten{To: f.At(file), Err: err}
		}
		_, err = w.Write(text)
		if err == nil {
			err = w.Sync()
		}
		if err2 := w.Close(); err == nil {
			err = err2
		}
		if err != nil {
			_ = os.Remove(f.At(file)) // half a sheet is none
			return "", &world.Unwritten{To: f.At(file), Err: err}
		}
		return file, nil
	}
}

// ErrChanged says that a sheet is not what the change was made for.
var ErrChanged = errors.New("the sheet was changed meanwhile, by another hand or on another device")

// Save writes a sheet, if it still holds what it held before.
func (f *Folder) Save(file string, before, after []byte) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	now, err := f.Text(file)
	switch {
	case err != nil:
		return err
	case !bytes.Equal(now, before):
		return ErrChanged
	case bytes.Equal(before, after):
		return nil
	}
	return atomicwrite.Replace(f.At(file), after)
}

// mostName bounds the name of a new file, in letters.
const mostName = 60

// plainName is a name that every system takes: lower case letters, digits and
// hyphens, and none of the words that name a device.
func plainName(wanted string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(wanted) {
		switch {
		case 'a' <= r && r <= 'z', '0' <= r && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= mostName {
			break
		}
	}
	name := strings.Trim(b.String(), "-")
	if name == "" || device(name) {
		name = strings.TrimSuffix("job-"+name, "-")
	}
	return name
}

// device reports whether Windows takes a name for a device, with whatever ending.
func device(name string) bool {
	switch name {
	case "con", "prn", "aux", "nul":
		return true
	}
	port, _ := strings.CutPrefix(name, "com")
	if port == name {
		port, _ = strings.CutPrefix(name, "lpt")
	}
	return port != name && len(port) == 1 && port[0] >= '0' && port[0] <= '9'
}
