package stream

import (
	"errors"
	"io"
	"os"
	"sync"
	"time"
)

// beat is how often a file is looked at for more.
const beat = 100 * time.Millisecond

// growing reads on in a file to which another program appends, as a log of a readout. Its
// end is not the end: more may come until it is closed.
type growing struct {
	file  *os.File
	pause func() <-chan time.Time // until the file is looked at again
	past  int64                   // bytes read or passed over
	whole bool                    // the line of which the rest comes next was begun here
	once  sync.Once
	done  chan struct{}
}

// grow begins at the end of a file: what stands there was shown some time ago, and would be
// taken for what is shown now.
func grow(file *os.File, pause func() <-chan time.Time) (*growing, error) {
	end, err := file.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	g := &growing{file: file, pause: pause, past: end, whole: end == 0, done: make(chan struct{})}
	if end > 0 {
		var last [1]byte
		if _, err := file.ReadAt(last[:], end-1); err != nil {
			return nil, err
		}
		g.whole = last[0] == '\n' || last[0] == '\r'
	}
	return g, nil
}

// Read waits until there is more. The rest of a line that was begun before is passed over:
// of 338.5 it may be 8.5.
func (g *growing) Read(p []byte) (int, error) {
	for {
		n, err := g.file.Read(p)
		g.past += int64(n)
		if rest := g.afterFirstEnd(p[:n]); len(rest) > 0 {
			return copy(p, rest), nil
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return 0, err
		}
		if n > 0 {
			continue
		}
		if info, err := g.file.Stat(); err == nil && info.Size() < g.past { // begun anew by its writer
			if _, err := g.file.Seek(0, io.SeekStart); err != nil {
				return 0, err
			}
			g.past, g.whole = 0, true
			continue
		}
		select {
		case <-g.done:
			return 0, io.EOF
		case <-g.pause():
		}
	}
}

// afterFirstEnd is what can be used of bytes.
func (g *growing) afterFirstEnd(bytes []byte) []byte {
	for i := 0; !g.whole && i < len(bytes); i++ {
		if bytes[i] == '\n' || bytes[i] == '\r' {
			g.whole = true
			return bytes[i+1:]
		}
	}
	if !g.whole {
		return nil
	}
	return bytes
}

// Close ends the reading, and what waits for more.
func (g *growing) Close() error {
	g.once.Do(func() { close(g.done) })
	return g.file.Close()
}
