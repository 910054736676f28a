// Package rates measures how often the program is right: how often an interval
// holds the truth, how often something is claimed of a part that is good, how
// often a fault is found. Everything is drawn by the simulator, which knows the
// truth.
//
// A cell is one kind of stand. It is drawn again and again, and each draw answers
// what is asked of the cell. There is one function a stage:
//
//	go test ./audit/rates                    fifteen draws a cell
//	go test -tags rates ./audit/rates        as many as the cell says
//	go test -tags rates -run TestLines -v ./audit/rates
//
// With -v each rate is printed as a row for docs/validation.md.
package rates

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

func TestMain(m *testing.M) { testkit.Main(m) }

// quickDraws is how often a cell is drawn without the tag rates. The seed is
// fixed, so that what passes once passes always; four standard errors leave room
// for another seed.
const quickDraws = 15

// cell is one kind of stand and what is asked of it.
type cell struct {
	name  string
	draws int // of the long run
	quick int // of the quick one; zero: quickDraws
	asks  []ask
	draw  func(t *testing.T, rng *rand.Rand) []answer // one answer to each ask
}

// ask is a rate and its bounds, standard errors left out.
type ask struct {
	what        string // what counts as yes
	least, most float64
	source      string
}

// answer is what one draw says to an ask.
type answer uint8

const (
	no answer = iota
	yes
	notAsked // this draw has no bearing on it
)

func answered(is bool) answer {
	if is {
		return yes
	}
	return no
}

func answers(all ...bool) []answer {
	out := make([]answer, len(all))
	for i, is := range all {
		out[i] = answered(is)
	}
	return out
}

// atLeast and atMost ask for a rate; about asks for a rate on either side.
func atLeast(p float64, what, source string) ask {
	return ask{what: what, least: p, most: 1, source: source}
}

func atMost(p float64, what, source string) ask {
	return ask{what: what, least: 0, most: p, source: source}
}

func about(low, high float64, what, source string) ask {
	return ask{what: what, least: low, most: high, source: source}
}

// each asks the same of so many lines.
func each(n int, a ask) []ask {
	out := make([]ask, n)
	for i := range out {
		out[i] = a
		out[i].what = fmt.Sprintf("%s, line %d", a.what, i+1)
	}
	return out
}

// Sources of the rates.
const (
	coverage = "JCGM 100, 6.2.2: the interval holds the truth with its coverage probability"
	decision = "JCGM 106, 8.3: neither verdict is wrong more often than the sheet's confidence allows"
	claims   = "docs/method.md, Findings: levels of significance"
	promise  = "docs/validation.md"
)

// measure draws every cell and holds its rates against their bounds. A cell draws
// from a stream of its own, so that no rate depends on which runs first.
func measure(t *testing.T, cells []cell) {
	t.Helper()
	for _, c := range cells {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			draws, errors := cmp.Or(c.quick, quickDraws), 4.0
			if long {
				draws, errors = c.draws, 3
			}
			rng := testkit.Rand(t, streamOf(t.Name()))
			rates := make([]testkit.Rate, len(c.asks))
			for range draws {
				got := c.draw(t, rng)
				if len(got) != len(c.asks) {
					t.Fatalf("got %d answers to %d questions", len(got), len(c.asks))
				}
				for i, a := range got {
					if a != notAsked {
						rates[i].Add(a == yes)
					}
				}
			}
			for i, a := range c.asks {
				r := rates[i]
				if r.Of == 0 {
					t.Errorf("%s: never asked in %d draws", a.what, draws)
					continue
				}
				t.Logf("| %s | %s | %d | %.3f | %s | %s |", c.name, a.what, r.Of, r.Share(), a, a.source)
				if !r.AtLeast(a.least, errors) || !r.AtMost(a.most, errors) {
					t.Errorf("%s: got %.3f of %d, want %s within %g standard errors (%s)", a.what, r.Share(), r.Of, a, errors, a.source)
				}
			}
		})
	}
}

// String is the bounds.
func (a ask) String() string {
	switch {
	case a.least == 0:
		return fmt.Sprintf("at most %.3g", a.most)
	case a.most == 1:
		return fmt.Sprintf("at least %.3g", a.least)
	}
	return fmt.Sprintf("%.3g to %.3g", a.least, a.most)
}

func streamOf(name string) uint64 {
	h := fnv.New64a()
	_, _ = h.Write([]byte(name))
	return h.Sum64()
}

// drawn is a stand with believable scatter and nothing wrong, lines at these
// nominals and one setup. Half arc and direction of the wheel's centre are
// anywhere.
func drawn(rng *rand.Rand, tolerance geometry.Angle, at ...geometry.Angle) simulate.Rig {
	r := simulate.Steady(tolerance, at...)
	r.Setups[0].HalfArc = geometry.Angle(15 + 15*rng.Float64())
	r.Readout.Towards = geometry.Angle(360 * rng.Float64())
	return r
}

// onWheel puts the stand on a degree wheel of 280 mm that sits at the limit of its
// centring.
func onWheel(r simulate.Rig, offCentre geometry.Length) simulate.Rig {
	r.Readout.Kind, r.Readout.Diameter, r.Readout.OffCentre = sheet.Wheel, 280, offCentre
	r.Told.OffCentre = offCentre
	return r
}

// repeated has the first setup done n times. From three on mounting the readout
// adds something, which only so many show.
func repeated(r simulate.Rig, n int) simulate.Rig {
	if n >= 3 {
		r.Setups[0].Hand.RemountSD = 0.1
	}
	return r.Repeated(n)
}

// offLattice moves every line by up to half a step either way, so that rounding
// errors do not cancel.
func offLattice(r simulate.Rig, rng *rand.Rand) simulate.Rig {
	for i := range r.Lines {
		r.Lines[i].Offset += r.Readout.Step * geometry.Angle(rng.Float64()-0.5)
	}
	return r
}

// off puts all lines off by so much.
func off(r simulate.Rig, by geometry.Angle) simulate.Rig {
	for i := range r.Lines {
		r.Lines[i].Offset = by
	}
	return r
}

// within draws evenly within a limit either way.
func within[T ~float64](rng *rand.Rand, limit T) T { return limit * T(2*rng.Float64()-1) }

// audited has the stand measured and audited.
func audited(t *testing.T, r simulate.Rig, rng *rand.Rand) audit.Result {
	t.Helper()
	s, _ := r.Measure(rng)
	return judged(t, s)
}

// read has the stand measured, the sheet written as a person writes it, read and
// audited.
func read(t *testing.T, r simulate.Rig, rng *rand.Rand) audit.Result {
	t.Helper()
	s, _ := r.Measure(rng)
	text := sheet.Write(s)
	s, _, err := sheet.Read("stand.yaml", []byte(text), nil)
	if err != nil {
		t.Fatalf("a true sheet is refused: %v\n%s", err, text)
	}
	return judged(t, s)
}

func judged(t *testing.T, s sheet.Sheet) audit.Result {
	t.Helper()
	result, err := audit.Run(s)
	if err != nil {
		t.Fatalf("a true sheet is refused: %v", err)
	}
	return result
}

// holds reports whether an interval holds the truth.
func holds(e *uncertainty.Estimate, truth geometry.Angle) bool {
	return e != nil && e.Known && (e.Value-truth).Abs() <= e.Expanded
}

// linesHeld reports which lines' intervals hold the truth.
func linesHeld(r simulate.Rig, result audit.Result) []answer {
	out := make([]answer, len(r.Lines))
	for i, m := range result.ByLine() {
		out[i] = answered(holds(m.Offset, r.Lines[i].Offset))
	}
	return out
}

func warned(r audit.Result, code warning.Code) bool {
	for _, w := range r.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

func verdict(r audit.Result, line int, v diagnosis.Verdict) bool {
	return r.ByLine()[line].Verdict == v
}

func rad(degrees float64) float64 { return degrees * math.Pi / 180 }
func deg(radians float64) float64 { return radians * 180 / math.Pi }

var pulley = []geometry.Angle{0, -10, 120, -120, 30}
