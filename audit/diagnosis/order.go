package diagnosis

import (
	"math"
	"slices"

	"markaudit/geometry"
)

// Decision is what may be done about one line, the pointer, or a part.
type Decision struct {
	Line    int    // or Pointer, or Part
	On      string // of Part
	Verdict Verdict
	IfRight Verdict        // what the readings alone say, no mistake having been made
	Scribe  bool           // it is ordered: scribe the line, move the pointer, see to the part
	Held    bool           // it would be ordered but for Against
	Late    geometry.Angle // what the order puts right: positive is late
	After   bool           // only once the pointer or the part has been put right
	Look    bool           // look first: pointer, tab, key, the line itself
	Against []int          // explanations in Standing that put it elsewhere
	Ask     Observation    // that tells them apart; of kind NoObservation where none is needed
}

// Decisions that are not about a line. Pointer: the pointer or tab, or the one
// turning line of a fixed scale. Part: everything on the part that On names.
const (
	Pointer = -1
	Part    = -2
)

// decide is THE rule: verdicts and orders hold only where they are right under
// every explanation that stands, and the lines as measured stand.
func decide(w *weigher, d *Diagnosis, standing []weighed) {
	best := cheapest(w.measured.stories)
	ringHeld := ringStory(w, w.measured.stories)
	d.Ring = slippedRing(w, d.Refuted, standing)
	d.Story = best.story
	common := common(w, d, best, standing, ringHeld)
	d.Decisions = make([]Decision, len(w.mean), len(w.mean)+1)
	for j := range w.mean {
		d.Decisions[j] = decideLine(w, j, d, standing, common, ringHeld)
	}
	if common != nil {
		d.Decisions = append(d.Decisions, *common)
	}
	ask(w, d, standing, ringHeld)
}

// common is the one order for lines that are off together, nil where there is
// none. It fills in which lines share the shift.
func common(w *weigher, d *Diagnosis, best told, standing []weighed, ringHeld bool) *Decision {
	if best.story.Kind == EachByItself {
		return nil
	}
	for j, x := range w.mean {
		if !isNaN(x) && math.Abs(near(x-best.x)) <= w.close[j] && carries(w, best.story, j) {
			d.Sharing = append(d.Sharing, j)
		}
	}
	d.Shift = shiftOf(w, d.Sharing, func(j int) float64 { return w.mean[j] })
	bonded := w.evidence.BondedRing && best.story.Kind == PartAlike
	if bonded && (best.story.On == onRing || best.story.On == onHub) || best.story.On == onHub {
		return nil // a slipped ring is replaced, and the hub is what all else is seen against
	}
	c := Decision{Line: Pointer, Late: d.Shift, Look: true}
	if best.story.Kind == PartAlike {
		c.Line, c.On = Part, best.story.On
	}
	outside := false
	slack := geometry.Angle(math.Inf(1))
	for _, j := range d.Sharing {
		l := &w.evidence.Lines[j]
		outside = outside || ifRight(*l, w.evidence.DecideAt) == Outside
		slack = min(slack, w.slack(j))
	}
	if !outside {
		return nil
	}
	c.IfRight = Outside
	for i, s := range standing {
		shift := shiftOf(w, d.Sharing, func(j int) float64 { return s.Offset[j].Degrees() })
		right := !slices.ContainsFunc(d.Sharing, func(j int) bool { return beyond(s.Offset[j], w.evidence.Lines[j]) })
		crept := slices.ContainsFunc(d.Sharing, func(j int) bool { return creptAway(w, j, s) })
		if right || crept || (shift-d.Shift).Wrap().Abs() > slack+tiny {
			c.Against = append(c.Against, i)
		}
	}
	switch {
	case d.Refuted:
	case len(c.Against) > 0:
		c.Held = true
	case ringHeld: // a second line on the hub would tell
		c.Held = true
	default:
		c.Verdict, c.Scribe = Outside, true
	}
	return &c
}

// carries reports whether a line is one that the story moves.
func carries(w *weigher, s Story, j int) bool {
	return s.Kind == AllAlike || w.evidence.Lines[j].On == s.On
}

// shiftOf is the mean offset of some lines.
func shiftOf(w *weigher, lines []int, late func(j int) float64) geometry.Angle {
	first, sum := wrap(late(lines[0])), 0.0
	for _, j := range lines {
		sum += near(wrap(late(j)) - first)
	}
	return geometry.Angle(wrap(first + sum/float64(len(lines))))
}

// decideLine decides about one line.
func decideLine(w *weigher, j int, d *Diagnosis, standing []weighed, common *Decision, ringHeld bool) Decision {
	l := w.evidence.Lines[j]
	out := Decision{Line: j}
	if w.reads[j] == 0 {
		if l.ByItself {
			out.IfRight, out.Late = ifRight(l, w.evidence.DecideAt), w.evidence.Lines[j].Off
			// Outside needs that nothing else stands: no other reading bears it out.
			if !d.Refuted && (out.IfRight == Within || len(standing) == 1) {
				out.Verdict = out.IfRight
			}
		}
		return out
	}
	out.IfRight, out.Late = ifRight(l, w.evidence.DecideAt), geometry.Angle(w.mean[j])
	out.Against = against(w, j, out.IfRight, standing)
	if !d.Refuted && len(out.Against) == 0 {
		out.Verdict = out.IfRight
	}
	if hubLine(w, j) || lineOnRing(w, j) && d.Ring == RingSlipped {
		return out
	}
	off, may := out.IfRight == Outside, true
	if common != nil && (common.Scribe || common.Held) && carries(w, d.Story, j) {
		rest := (out.Late - d.Shift).Wrap()
		if !l.Known || !beyond(rest, Line{Early: l.Early + l.U, Late: l.Late + l.U}) {
			return out // the one order puts it right
		}
		out.Late, out.After, off, may = rest, true, true, common.Scribe
		out.Against = against(w, j, Outside, standing)
	}
	if !off || d.Refuted {
		return out
	}
	out.Scribe = may && len(out.Against) == 0 && !(lineOnRing(w, j) && ringHeld)
	out.Held = !out.Scribe
	out.Look = len(d.Sharing) > 0 || single(w)
	return out
}

// lineOnRing reports whether a line lies on the outer ring of a bonded pulley.
func lineOnRing(w *weigher, j int) bool {
	return w.evidence.BondedRing && w.evidence.Lines[j].On == onRing
}

// single reports whether no other line tells of a pointer or a key.
func single(w *weigher) bool {
	n := 0
	for _, r := range w.reads {
		n += min(r, 1)
	}
	return n == 1
}
