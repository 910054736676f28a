// Package devices remembers, from one run of the program to the next, which
// browsers were let in to the page and on which port it was served: a restart must
// not leave the tablet at the engine outside.
package devices

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"markaudit/cmd/markaudit/internal/atomicwrite"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// Store is what is remembered. Without a path it is kept for this run alone.
type Store struct {
	path string
	kept
}

// kept is the file.
type kept struct {
	Format  int      `json:"format"`
	Port    uint16   `json:"port,omitempty"`
	Folder  string   `json:"folder,omitempty"` // of the jobs, as the shop had it last
	Secret  string   `json:"secret"`           // of form tokens and cookie names
	Devices []Device `json:"devices,omitempty"`
}

// Device is a browser that was let in.
type Device struct {
	Key  string `json:"key"`  // SHA-256 of its cookie
	Seen string `json:"seen"` // the last day, as 2006-01-02
}

// Trust ends so long after the last use.
const trust = 30 * 24 * time.Hour

const day = "2006-01-02"

// New returns a store for this run alone.
func New() *Store { return &Store{kept: kept{Format: 1, Secret: rand.Text() + rand.Text()}} }

// Open reads the store of the user. Where that cannot be, it returns one for this
// run alone, and says why.
func Open() (*Store, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return New(), fmt.Errorf("devices cannot be remembered: %w", err)
	}
	return at(filepath.Join(folder, "markaudit", "shop.json"))
}

func at(path string) (*Store, error) {
	s := New()
	data, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return s, fmt.Errorf("%s: devices cannot be remembered: %w", phrase.Shown(path), world.Plainly(err))
		}
		s.path = path
		return s, s.save()
	case err != nil:
		return s, fmt.Errorf("%s: devices cannot be remembered: %w", phrase.Shown(path), world.Plainly(err))
	}
	var k kept
	if err := json.Unmarshal(data, &k); err != nil || k.Format != 1 || len(k.Secret) < 32 {
		return s, fmt.Errorf("%s: it cannot be read, so devices are let in for this run alone; delete it, and they are remembered again", phrase.Shown(path))
	}
	s.path, s.kept = path, k
	return s, nil
}

// save writes the store, for its user alone.
func (s *Store) save() error {
	if s.path == "" {
		return nil
	}
	data, err := json.MarshalIndent(s.kept, "", "  ")
	if err != nil {
		return err
	}
	// The file holds what lets in: nobody else may read it, not even for a moment.
	if f, err := os.OpenFile(s.path, os.O_CREATE|os.O_WRONLY, 0o600); err == nil {
		if err := f.Close(); err != nil {
			return err
		}
	}
	return atomicwrite.Replace(s.path, append(data, '\n'))
}

// Secret is what form tokens and cookie names are made from.
func (s *Store) Secret() string { return s.kept.Secret }

// Port is the one that the page was served on last; zero for none.
func (s *Store) Port() uint16 { return s.kept.Port }

// Served remembers the port.
func (s *Store) Served(port uint16) error {
	if s.kept.Port == port {
		return nil
	}
	return s.change(func(k *kept) { k.Port = port })
}

// Folder is that of the jobs that the shop showed last; empty for none.
func (s *Store) Folder() string { return s.kept.Folder }

// Jobs remembers the folder of the jobs.
func (s *Store) Jobs(folder string) error {
	if s.kept.Folder == folder {
		return nil
	}
	return s.change(func(k *kept) { k.Folder = folder })
}

// Known lists the devices that are trusted today.
func (s *Store) Known(today time.Time) []Device {
	return slices.DeleteFunc(slices.Clone(s.Devices), func(d Device) bool {
		seen, err := time.Parse(day, d.Seen)
		return err != nil || today.Sub(seen) > trust
	})
}

// Seen remembers a device, or that it was used today.
func (s *Store) Seen(key string, today time.Time) error {
	date := today.Format(day)
	if slices.Contains(s.Devices, Device{key, date}) {
		return nil
	}
	return s.change(func(k *kept) {
		k.Devices = slices.DeleteFunc(k.Devices, func(d Device) bool { return d.Key == key })
		k.Devices = append(k.Devices, Device{key, date})
	})
}

// Forget forgets all devices.
func (s *Store) Forget() error { return s.change(func(k *kept) { k.Devices = nil }) }

// change changes the store as it is now on the disk: another run of the program may
// have let in a device meanwhile.
func (s *Store) change(what func(*kept)) error {
	if s.path != "" {
		if data, err := os.ReadFile(s.path); err == nil {
			var k kept
			if json.Unmarshal(data, &k) == nil && k.Secret == s.kept.Secret {
				s.kept = k
			}
		}
	}
	what(&s.kept)
	return s.save()
}
