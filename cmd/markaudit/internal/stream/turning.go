package stream

import (
	"slices"
	"time"

	"markaudit/geometry"
)

// A contact is found without a hand on the page by one rule: it is where the engine
// stood still before it was turned the other way. A standstill alone does not do: a
// hand that changes its grip short of the stop stands still too.

// How a contact is told from a pause. Common practice, no source; chosen by a
// simulation of approaches with pauses on the way, which the tests repeat.
const (
	stillFor    = 800 * time.Millisecond // so long it has to stand
	stillWithin = geometry.Angle(0.15)   // within this, or a step of the readout
	turnedBy    = geometry.Angle(20)     // so far it has to be turned away
	pressedBy   = geometry.Angle(0.5)    // a stop that was pressed hard gives, and comes back, by no more
	mostStands  = 8                      // more pauses near a contact there are not
)

// Which way the numbers go.
const unknown, rising, sinking = 0, 1, -1

// Turned is what a readout did since a step began.
type Turned struct {
	Stood   string // what it showed where it stood still before it turned round; empty for nothing yet
	Against bool   // it has moved the other way than was asked for
}

// turning follows a readout from the beginning of a step.
type turning struct {
	step      string         // the identity of the step
	still     geometry.Angle // within which it stands
	grows     bool           // the numbers grow the way that is asked for
	begun     bool
	last, at  geometry.Angle // shown last, and unwrapped since the beginning
	low, high geometry.Angle // of at, until the first way is known
	way       int            // of the leg at hand
	end       geometry.Angle // how far that has come
	held      []held         // what was shown in the last moments
	stands    []stand        // where it stood still, the latest last
	turned    Turned
}

type held struct {
	when time.Time
	at   geometry.Angle
	text string
}

type stand struct {
	at   geometry.Angle
	text string
}

// shows takes what a readout shows.
func (t *turning) shows(when time.Time, value geometry.Angle, text string) {
	if !t.begun {
		t.begun, t.last = true, value
	}
	t.at += (value - t.last).Wrap()
	t.last = value
	t.stand(when, text)
	switch {
	case t.way == unknown:
		t.low, t.high = min(t.low, t.at), max(t.high, t.at)
		switch {
		case t.at-t.low >= turnedBy:
			t.way, t.end = rising, t.at
		case t.high-t.at >= turnedBy:
			t.way, t.end = sinking, t.at
		default:
			return
		}
		t.turned.Against = (t.way == rising) != t.grows
	case t.way == rising && t.at > t.end, t.way == sinking && t.at < t.end:
		t.end = t.at
	case (t.at - t.end).Abs() >= turnedBy:
		if (t.way == rising) == t.grows {
			t.turned.Against = false
			for _, s := range slices.Backward(t.stands) {
				if (s.at - t.end).Abs() <= pressedBy {
					t.turned.Stood = s.text
					break
				}
			}
		}
		t.way, t.end = -t.way, t.at
	}
}

// stand notes where the readout stands still.
func (t *turning) stand(when time.Time, text string) {
	t.held = append(t.held, held{when, t.at, text})
	from := 0 // of the last moments, with the one that was shown when they began
	for from+1 < len(t.held) && when.Sub(t.held[from+1].when) >= stillFor {
		from++
	}
	t.held = t.held[from:]
	if when.Sub(t.held[0].when) < stillFor {
		return
	}
	sorted := slices.Clone(t.held)
	slices.SortFunc(sorted, func(a, b held) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	if sorted[len(sorted)-1].at-sorted[0].at > t.still+geometry.Tie {
		return
	}
	middle := sorted[len(sorted)/2]
	s := stand{middle.at, middle.text}
	if n := len(t.stands); n > 0 && (t.stands[n-1].at-s.at).Abs() <= t.still {
		t.stands[n-1] = s
		return
	}
	t.stands = append(t.stands[max(0, len(t.stands)+1-mostStands):], s)
}

// Turned tells what the readout did since a step began: the first call for a step is
// its beginning. Grows says that the numbers grow the way that the step asks for; step
// is that of the readout.
func (l *Live) Turned(id string, grows bool, step geometry.Angle) Turned {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.turning.step != id {
		l.turning = turning{step: id, grows: grows, still: max(stillWithin, step)}
	}
	return l.turning.turned
}
