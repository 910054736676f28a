// Package stream follows a readout that sends its number again and again: an
// encoder box on a serial port, a pipe, or a file to which another program appends.
// Nothing is kept by itself: what stands still is offered, and a person keeps it, or
// where the engine was turned round at a contact the page does.
package stream

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"go.bug.st/serial"

	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

// Live is the number that a readout shows now.
type Live struct {
	now  func() time.Time
	mu   sync.Mutex
	seen []sample // of the last second
	end  error    // why no more will come; nil while it lasts
	from io.Closer

	turning turning // since the step at hand began
}

type sample struct {
	at    time.Time
	text  string
	value geometry.Angle
}

const (
	standing = 500 * time.Millisecond // so long a number has to hold
	remember = time.Second
	mostLine = 256
)

// open opens a pipe, a port with its settings as they are, or a file that grows.
func open(path string) (io.ReadCloser, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	info, err := file.Stat()
	if err == nil && info.Mode().IsRegular() {
		var g *growing
		if g, err = grow(file, func() <-chan time.Time { return time.After(beat) }); err == nil {
			return g, nil
		}
	}
	if err != nil {
		_ = file.Close()
		return nil, err
	}
	return file, nil
}

// Open opens a source: PATH, or PATH@BAUD for a serial port. Pick finds the number
// in a line where it is not the whole of it: the first group, or else all that
// matches.
func Open(source, pick string, now func() time.Time) (*Live, error) {
	var find *regexp.Regexp
	if pick != "" {
		var err error
		if find, err = regexp.Compile(pick); err != nil {
			return nil, fmt.Errorf("found the pattern %s, expected a regular expression: %w", phrase.Shown(pick), err)
		}
	}
	path, speed := source, ""
	if i := strings.LastIndexByte(source, '@'); i > 0 {
		path, speed = source[:i], source[i+1:]
	}
	var from io.ReadCloser
	var err error
	if speed == "" {
		from, err = open(path)
	} else {
		baud, wrong := strconv.Atoi(speed)
		if wrong != nil || baud <= 0 {
			return nil, fmt.Errorf("found the speed %s, expected bauds such as 115200", phrase.Shown(speed))
		}
		from, err = serial.Open(path, &serial.Mode{BaudRate: baud})
	}
	if err != nil {
		return nil, fmt.Errorf("%s: cannot follow this readout: %w\n  hint: readings can be typed as well, without --stream", phrase.Shown(path), world.Plainly(err))
	}
	return Follow(from, find, now), nil
}

// Follow follows a source that is open. A nil pattern takes the whole of a line.
func Follow(from io.ReadCloser, find *regexp.Regexp, now func() time.Time) *Live {
	l := &Live{now: now, from: from}
	go l.follow(from, find)
	return l
}

// follow reads lines, which end with CR, LF or both, until no more come.
func (l *Live) follow(from io.Reader, find *regexp.Regexp) {
	in := bufio.NewReader(from)
	var line []byte
	for {
		c, err := in.ReadByte()
		switch {
		case err != nil:
			l.mu.Lock()
			l.end = err
			l.mu.Unlock()
			return
		case c == '\r', c == '\n':
			l.take(strings.TrimSpace(string(line)), find)
			line = line[:0]
		case len(line) < mostLine:
			line = append(line, c)
		}
	}
}

func (l *Live) take(line string, find *regexp.Regexp) {
	if find != nil {
		m := find.FindStringSubmatch(line)
		switch {
		case m == nil:
			return
		case len(m) > 1:
			line = m[1]
		default:
			line = m[0]
		}
	}
	value, _, err := geometry.ParseAngle(strings.TrimPrefix(line, "+"))
	if err != nil {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.now()
	l.seen = slices.DeleteFunc(l.seen, func(s sample) bool { return now.Sub(s.at) > remember })
	l.seen = append(l.seen, sample{now, line, value})
	if l.turning.step != "" {
		l.turning.shows(now, value, line)
	}
}

// Now is the latest number, empty before the first; ended tells that no more will
// come, as when the cable was pulled.
func (l *Live) Now() (text string, ended bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if n := len(l.seen); n > 0 {
		text = l.seen[n-1].text
	}
	return text, l.end != nil
}

// Standing is the number to keep: the middle one of the last half second, where
// that held within a step. The error says why there is none.
func (l *Live) Standing(step geometry.Angle) (string, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.end != nil {
		return "", errors.New("the readout sends nothing any more: type the number, and look at its cable")
	}
	now := l.now()
	var held []sample
	for _, s := range l.seen {
		if now.Sub(s.at) <= standing {
			held = append(held, s)
		}
	}
	if len(held) == 0 {
		return "", errors.New("the readout sent nothing in the last half second: type the number, or look at its cable")
	}
	slices.SortFunc(held, func(a, b sample) int {
		switch d := (a.value - b.value).Wrap(); {
		case d < 0:
			return -1
		case d > 0:
			return 1
		}
		return 0
	})
	if spread := (held[len(held)-1].value - held[0].value).Wrap().Abs(); spread > step+geometry.Tie {
		return "", fmt.Errorf("still moving, from %s to %s: wait until it stands", held[0].text, held[len(held)-1].text)
	}
	return held[len(held)/2].text, nil
}

// Close ends it.
func (l *Live) Close() { _ = l.from.Close() }
