// Package studyrates measures for tests how often what a study concludes is true:
// how often a stop that must not be qualified is, how often a band holds the
// wheel's error, how often a good hand is blamed, how often the wrong part is said to
// have moved, what points a guess comes to. Studies are drawn of which the
// truth is known, with nothing of the programs under test.
//
// A cell is one kind of study. The same cells are drawn about a hundred times by
// the studies' own tests, and as often as docs/validation.md says by audit/rates.
package studyrates

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// Cell is one kind of study and what is asked of it.
type Cell struct {
	Name  string
	Draws int // of the long run
	Asks  []Ask
	Draw  func(rng *rand.Rand) ([]Answer, error) // one answer to each ask
}

// Ask is a rate and its bounds, standard errors left out.
type Ask struct {
	What        string // what counts as yes
	Least, Most float64
}

// Answer is what one draw says to an ask.
type Answer uint8

// The answers. NotAsked: this draw has no bearing on it.
const (
	No Answer = iota
	Yes
	NotAsked
)

// Rate is how often an ask was answered with yes.
type Rate struct {
	Ask
	Yes, Of int
}

// Share is the rate.
func (r Rate) Share() float64 { return float64(r.Yes) / float64(r.Of) }

// Wrong reports whether the rate is beyond its bounds by more than some standard
// errors of what was drawn.
func (r Rate) Wrong(errors float64) bool {
	if r.Of == 0 {
		return false // what never came up cannot have been wrong
	}
	beyond := func(bound float64) bool {
		return math.Abs(r.Share()-bound) > errors*math.Sqrt(bound*(1-bound)/float64(r.Of))
	}
	return r.Share() < r.Least && beyond(r.Least) || r.Share() > r.Most && beyond(r.Most)
}

// String is a row of a table.
func (r Rate) String() string {
	if r.Of == 0 {
		return r.What + ": never asked"
	}
	return fmt.Sprintf("%s | %d | %.3f | %g to %g", r.What, r.Of, r.Share(), r.Least, r.Most)
}

// Measure draws a cell. It draws from a stream of its own, so that no rate depends
// on which cells run.
func (c Cell) Measure(draws int) ([]Rate, error) {
	h := fnv.New64a()
	_, _ = h.Write([]byte(c.Name)) // a hash takes everything
	rng := rand.New(rand.NewPCG(20261125, h.Sum64()))
	rates := make([]Rate, len(c.Asks))
	for i, a := range c.Asks {
		rates[i].Ask = a
	}
	for range draws {
		answers, err := c.Draw(rng)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Name, err)
		}
		if len(answers) != len(rates) {
			return nil, fmt.Errorf("%s: %d answers to %d questions", c.Name, len(answers), len(rates))
		}
		for i, a := range answers {
			if a != NotAsked {
				rates[i].Of++
			}
			if a == Yes {
				rates[i].Yes++
			}
		}
	}
	return rates, nil
}

// T is what a test offers.
type T interface {
	Helper()
	Errorf(format string, args ...any)
	Logf(format string, args ...any)
}

// Quick draws every cell so many times and holds its rates against their bounds,
// four standard errors left for another seed.
func Quick(t T, cells []Cell, draws int) {
	t.Helper()
	check(t, cells, func(Cell) int { return draws }, 4)
}

// Long draws every cell as often as it says. With -v each rate is a row for
// docs/validation.md.
func Long(t T, cells []Cell) {
	t.Helper()
	check(t, cells, func(c Cell) int { return c.Draws }, 3)
}

func check(t T, cells []Cell, draws func(Cell) int, errors float64) {
	t.Helper()
	for _, c := range cells {
		rates, err := c.Measure(draws(c))
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		for _, r := range rates {
			t.Logf("| %s | %v |", c.Name, r)
			if r.Wrong(errors) {
				t.Errorf("%s: %v", c.Name, r)
			}
		}
	}
}

func answered(is bool) Answer {
	if is {
		return Yes
	}
	return No
}

// given answers only where the condition holds.
func given(condition, is bool) Answer {
	if !condition {
		return NotAsked
	}
	return answered(is)
}

func atMost(p float64, what string) Ask  { return Ask{what, 0, p} }
func atLeast(p float64, what string) Ask { return Ask{what, p, 1} }
func about(low, high float64, what string) Ask {
	return Ask{what, low, high}
}
