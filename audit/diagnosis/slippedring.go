package diagnosis

import (
	"math"
)

// Ring says whether the outer ring of a bonded pulley has slipped.
type Ring uint8

// RingNoSign: nothing speaks for it. RingMay: it may have slipped, but lines as a
// maker leaves them would look much the same. RingSlipped: it has.
const (
	RingNoSign Ring = iota
	RingMay
	RingSlipped
)

var rings = [...]string{"no_sign", "may", "slipped"}

func (r Ring) String() string { return word(rings[:], int(r)) }

// MarshalText writes the stable key.
func (r Ring) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (r *Ring) UnmarshalText(text []byte) error { return fromWord(r, rings[:], text) }

// The parts of a bonded pulley as a sheet names them.
const (
	onRing = "ring"
	onHub  = "hub"
)

// By how much a story with a slipped ring must surprise less than every story
// without one. Chosen by simulation.
const (
	ringSlips = 6.0
	ringMay   = 2.0
)

// slippedRing asks whether the ring has slipped on its hub. A ring whose lines are
// where they belong has never slipped, whatever a keyway says: then the hub's line
// is off or misread.
func slippedRing(w *weigher, refuted bool, standing []weighed) Ring {
	if !w.evidence.BondedRing {
		return RingNoSign
	}
	with, without, x := math.Inf(1), math.Inf(1), 0.0
	for _, t := range w.measured.stories {
		switch {
		case t.story != Story{PartAlike, onRing}:
			without = math.Min(without, t.cost)
		default:
			with, x = t.cost, math.Abs(t.x)
		}
	}
	less, tolerance := without-with, toleranceOn(w, onRing)
	switch {
	case math.IsInf(with, 1) || less <= ringMay || x <= tolerance/2+tiny:
		return RingNoSign
	case less <= ringSlips || x <= tolerance+tiny || refuted || !ringApart(w, standing):
		return RingMay
	}
	return RingSlipped
}

// ringApart reports whether under every explanation that stands the ring's lines
// come as much later than the others as they were measured.
func ringApart(w *weigher, standing []weighed) bool {
	apart := func(late func(j int) float64) float64 {
		var sum [2]float64
		var n [2]float64
		for j, l := range w.evidence.Lines {
			if w.reads[j] == 0 {
				continue
			}
			at := 0
			if l.On == onRing {
				at = 1
			}
			sum[at] += w.mean[j] + near(wrap(late(j))-w.mean[j])
			n[at]++
		}
		return sum[1]/n[1] - sum[0]/n[0]
	}
	slack := leastSlack
	for j, l := range w.evidence.Lines {
		if l.On == onRing {
			slack = max(slack, w.slack(j))
		}
	}
	as := apart(func(j int) float64 { return w.mean[j] })
	for _, s := range standing {
		if math.Abs(near(apart(func(j int) float64 { return s.Offset[j].Degrees() })-as)) > slack.Degrees()+tiny {
			return false
		}
	}
	return true
}

// toleranceOn is the least one of the lines on a part.
func toleranceOn(w *weigher, on string) float64 {
	least := math.Inf(1)
	for _, l := range w.evidence.Lines {
		if l.On == on {
			least = math.Min(least, l.tolerance().Degrees())
		}
	}
	return least
}

// ringStory reports whether a story in which the ring has slipped stands among
// those of the lines as measured: by itself, or, where no line lies on the hub to
// tell them apart, as all lines alike.
func ringStory(w *weigher, stories []told) bool {
	if !w.evidence.BondedRing {
		return false
	}
	hub := false
	for j, l := range w.evidence.Lines {
		hub = hub || l.On == onHub && w.reads[j] > 0
	}
	least := cheapest(stories).cost
	for _, t := range stories {
		slipped := t.story == Story{PartAlike, onRing} || t.story.Kind == AllAlike && !hub
		if slipped && t.cost <= least+stands && math.Abs(t.x) > toleranceOn(w, onRing)/2+tiny {
			return true
		}
	}
	return false
}

// hubLine reports whether a line lies on the hub, or is its keyway, which is never
// scribed anew.
func hubLine(w *weigher, j int) bool {
	if w.evidence.Lines[j].On != onHub {
		return false
	}
	for _, l := range w.evidence.Lines {
		if l.On != onHub && l.On != "" {
			return true
		}
	}
	return w.evidence.BondedRing
}
