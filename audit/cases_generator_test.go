package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
)

// A stand is the rig with what other engines and other readouts add: several
// cylinders, lines on different parts, mountings of more than one setup, the
// part's own rim as readout, a part at half speed. It writes its sheet as a
// person does, so that the reader turns lengths and nominals into degrees. It
// shares no formula with the package under test: a length on the rim comes from
// the radius or from two points, and what dividers span from two points.

type stand struct {
	*rig // whose setups are mountings here

	readout   string // wheel, encoder, tape or chord
	marks     []standLine
	cylinders []standCylinder // none: one cylinder without a name
	fittings  int             // of the stop in each cylinder and mounting
	deeper    float64         // the stop of each next cylinder sits so much deeper, over its drop
	half      bool            // the part turns once in two turns of the crank
	bothWays  bool
	bonded    bool
	teeth     int
	truly     float64 // diameter that the rim has; rig.diameter is the one stated
	limit     float64 // of the diameter
	chalk     float64 // the chalk line of a rim lies within so many degrees of TDC
	more      string  // lines of the sheet under part
}

type standLine struct {
	trueLine
	on, cylinder  string
	text, allowed string // nominal and tolerance as written; empty: in degrees
}

type standCylinder struct {
	name            string
	declared, truly float64
}

func newStand(rng *rand.Rand) *stand {
	r := newRig(rng)
	return &stand{rig: r, readout: "encoder", fittings: 1, truly: r.diameter, chalk: 360}
}

// line adds a line that is off by so much.
func (s *stand) line(name string, at, offset float64) *standLine {
	s.marks = append(s.marks, standLine{trueLine: trueLine{name: name, at: at, offset: offset, tolerance: 1}})
	return &s.marks[len(s.marks)-1]
}

func (s *stand) tdc(cylinder string) float64 {
	for _, c := range s.cylinders {
		if c.name == cylinder {
			return c.truly
		}
	}
	return 0
}

// crank is where a line comes up, counted from the reference piston's top.
func (s *stand) crank(l standLine) float64 {
	theta := l.at + l.offset + s.tdc(l.cylinder)
	if s.fromThrow {
		theta -= s.top()
	}
	return theta
}

// turned is how far the part turns with the crank.
func (s *stand) turned(theta float64) float64 {
	if s.half {
		return theta / 2
	}
	return theta
}

// number writes a number as a person does.
func number(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e12)/1e12, 'f', -1, 64)
}

// lettered writes an angle with its letters, within half a turn.
func lettered(x float64) string {
	switch x = math.Remainder(x, 360); {
	case x < 0:
		return number(-x) + " BTDC"
	case x > 0:
		return number(x) + " ATDC"
	}
	return "0"
}

// reads is what the person reads with the crank theta past the reference
// piston's top.
func (s *stand) reads(m mounting, theta float64, approach sheet.Approach) string {
	if s.readout == "wheel" || s.readout == "encoder" {
		v := s.shows(m, theta, approach)
		if s.bothWays {
			return lettered(v)
		}
		return number(v)
	}
	part := s.counts*s.turned(theta) + m.zero
	length := s.truly / 2 * rad(part)
	if s.readout == "chord" {
		sin, cos := math.Sincos(rad(part))
		length = math.Copysign(math.Hypot(s.truly/2*(1-cos), s.truly/2*sin), part)
	}
	return number(math.Round(length/s.step)*s.step) + " mm"
}

// spans is what dividers span between two lines.
func (s *stand) spans(one, other standLine) float64 {
	x1, y1 := math.Sincos(rad(s.turned(s.crank(one))))
	x2, y2 := math.Sincos(rad(s.turned(s.crank(other))))
	return s.truly / 2 * math.Hypot(x1-x2, y1-y2)
}

func toSide(length float64, positive, negative string) string {
	if length < 0 {
		return number(-length) + " mm to " + negative + " side"
	}
	return number(length) + " mm to " + positive + " side"
}

// sized is the diameter as stated.
func (s *stand) sized() string {
	if s.limit > 0 {
		return number(s.diameter) + " ± " + number(s.limit)
	}
	return number(s.diameter)
}

// text is the sheet. Every call measures anew.
func (s *stand) text() string {
	var b strings.Builder
	put := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	put("engine:\n  turns: %v\n  stroke: %v mm\n  rod: %v mm", s.turns, s.stroke, s.rod)
	if s.pin != 0 {
		put("  pin_offset: %s", toSide(s.pin, "thrust", "crankpin"))
	}
	if s.bore != 0 {
		put("  bore_offset: %s", toSide(s.bore, "crankpin", "thrust"))
	}
	if s.fromThrow {
		put("  marks_refer_to: throw")
	}
	for i, c := range s.cylinders {
		if i == 0 {
			put("  cylinders:")
		}
		put("    %s: %v", c.name, c.declared)
	}
	on := "part"
	if s.marksOn == sheet.OnEngine {
		on = "engine"
	}
	put("part:\n  marks_on: %s\n  btdc_lines: %v\n  diameter: %s mm", on, s.btdcLines(), s.sized())
	if s.sightingLimit > 0 {
		put("  sighting: ± %v mm", s.sightingLimit)
	}
	if s.half {
		put("  turns: half")
	}
	if s.bonded {
		put("  build: bonded ring")
	}
	if s.teeth > 0 {
		put("  teeth: %d", s.teeth)
	}
	b.WriteString(s.more)
	zero := mounting{zero: math.Min(s.chalk, 90) * s.rng.Float64() / 2}
	put("readout:\n  quarter_turn: [%s, %s]", s.reads(zero, 1.3, sheet.Forward), s.reads(zero, 88.6, sheet.Forward))
	switch s.readout {
	case "tape", "chord":
		put("  kind: rim\n  measured: %s\n  step: %s mm", s.readout, number(s.step))
	default:
		put("  kind: %s\n  step: %s", s.readout, number(s.step))
	}
	if s.wheelDiameter > 0 {
		put("  diameter: %v mm\n  off_centre: %v mm", s.wheelDiameter, s.offCentre)
	}
	switch {
	case s.bothWays:
		put("  numbered: both ways")
	case s.counts < 0:
		put("  counts: down")
	default:
		put("  counts: up")
	}
	put("limits:\n  tolerance: 1")
	if s.remountLimit > 0 {
		put("  remount: ± %v", s.remountLimit)
	}
	put("marks:")
	for _, l := range s.marks {
		at, allowed := l.text, l.allowed
		if at == "" {
			at = number(l.at)
		}
		if allowed == "" {
			allowed = number(l.tolerance)
		}
		put("  - name: %s\n    at: %s\n    tolerance: %s", l.name, at, allowed)
		if l.on != "" {
			put("    on: %s", l.on)
		}
		if l.cylinder != "" {
			put("    cylinder: %s", l.cylinder)
		}
	}
	put("setups:")
	s.mountings = nil
	for i := range s.setups {
		s.measure(put, i)
	}
	return b.String()
}

// measure writes the setups of one mounting.
func (s *stand) measure(put func(string, ...any), i int) {
	m := s.mount()
	if s.chalk < 360 {
		m.zero = s.chalk * (2*s.rng.Float64() - 1)
	}
	s.mountings = append(s.mountings, m)
	cylinders := s.cylinders
	if len(cylinders) == 0 {
		cylinders = []standCylinder{{}}
	}
	lines := s.marks // read once, with the first setup
	for range s.fittings {
		for j, c := range cylinders {
			put("  - mounting: m%d", i+1)
			if c.name != "" {
				put("    cylinder: %s", c.name)
			}
			drop := m.drop * (1 + float64(j)*s.deeper)
			before, after := s.contacts(drop, drop)
			var forward, backward []string
			for range s.trials {
				scatter := s.stopSD * math.Sqrt2 // the middle of two has stopSD
				forward = append(forward, s.reads(m, c.truly+before+scatter*s.rng.NormFloat64(), sheet.Forward))
				backward = append(backward, s.reads(m, c.truly+after+scatter*s.rng.NormFloat64(), sheet.Backward))
			}
			put("    stop:\n      forward: [%s]\n      backward: [%s]", strings.Join(forward, ", "), strings.Join(backward, ", "))
			for j, l := range lines {
				if j == 0 {
					put("    marks:")
				}
				var values []string
				squint := deg(s.squint / (s.truly / 2)) // of the part
				if s.half {
					squint *= 2
				}
				for range s.readings {
					values = append(values, s.reads(m, s.crank(l)+squint+m.adds+s.readSD*s.rng.NormFloat64(), sheet.Forward))
				}
				put("      %s: [%s]", l.name, strings.Join(values, ", "))
			}
			lines = nil
		}
	}
}

// fataler is a test or a property of one.
type fataler interface {
	Helper()
	Fatalf(format string, a ...any)
}

// readSheet reads the text of a sheet that holds no fault.
func readSheet(t fataler, text string) sheet.Sheet {
	t.Helper()
	s, _, err := sheet.Read("stand.yaml", []byte(text), nil)
	if err != nil {
		t.Fatalf("a true sheet is refused: %v\n%s", err, text)
	}
	return s
}

// judged audits the text of a sheet that holds no fault.
func judged(t fataler, text string) audit.Result {
	t.Helper()
	result, err := audit.Run(readSheet(t, text))
	if err != nil {
		t.Fatalf("a true sheet is refused: %v\n%s", err, text)
	}
	return result
}

// rates audits n stands and returns how often each answer is yes.
func rates(t *testing.T, stream uint64, n int, standOf func(rng *rand.Rand) *stand, answers func(*stand, audit.Result) []bool) []float64 {
	t.Helper()
	rng := testkit.Rand(t, stream)
	var yes []int
	for range n {
		s := standOf(rng)
		for i, is := range answers(s, judged(t, s.text())) {
			if i == len(yes) {
				yes = append(yes, 0)
			}
			if is {
				yes[i]++
			}
		}
	}
	out := make([]float64, len(yes))
	for i := range yes {
		out[i] = float64(yes[i]) / float64(n)
	}
	return out
}

// standCell is a cell of a test of coverage.
type standCell struct {
	name  string
	stand func(rng *rand.Rand) *stand
}

// cover audits the stands of every cell and asks that each of the intervals
// holds its truth in 95 % of them (method, section 10), less what chance does.
func cover(t *testing.T, stream uint64, cells []standCell, held func(*stand, audit.Result) []bool) {
	t.Helper()
	n := sheetsPerCase()
	for i, c := range cells {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := rates(t, stream+uint64(i), n, c.stand, held)
			t.Logf("%s: covered %.3f", c.name, got)
			for j, rate := range got {
				if least := atLeast(0.95, n); rate < least {
					t.Errorf("got the truth inside %.3f of the intervals %d, want at least %.3f", rate, j, least)
				}
			}
		})
	}
}

// ofLines reports which lines' intervals hold the truth.
func ofLines(s *stand, result audit.Result) []bool {
	out := make([]bool, len(s.marks))
	for i, m := range result.Marks {
		out[i] = holdsTruth(m.Offset, s.marks[i].offset)
	}
	return out
}

// sheetsPerCase is how many sheets a rate is taken over.
func sheetsPerCase() int {
	if testing.Short() {
		return 12
	}
	return 300
}

// byChance is how far a rate of p over n sheets may be off by chance in fewer than
// one of two thousand cells: 3.5 standard errors, five of the few sheets of a
// hurried run, whose rates are skewed.
func byChance(p float64, n int) float64 {
	errors := 3.5
	if testing.Short() {
		errors = 5
	}
	return errors * math.Sqrt(p*(1-p)/float64(n))
}

func atLeast(p float64, n int) float64 { return p - byChance(p, n) }
func atMost(p float64, n int) float64  { return p + byChance(p, n) }

// holdsTruth reports whether an interval holds the truth.
func holdsTruth(e *audit.Estimate, truth float64) bool {
	return e != nil && e.Known && math.Abs(e.Value.Degrees()-truth) <= e.Expanded.Degrees()
}

// within draws evenly within a limit either way.
func (s *stand) within(limit float64) float64 { return limit * (2*s.rng.Float64() - 1) }
