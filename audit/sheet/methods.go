package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/geometry"
)

// method reads how a setup found TDC, in one of three ways.
func (t *fields) method(s *Setup) {
	ways := []string{"stop", "equal_drop", "sweep"}
	var found []string
	for _, way := range ways {
		if t.get(way); t.node.item(way) != nil {
			found = append(found, way)
		}
	}
	if len(found) == 0 {
		if t.node != nil && slices.ContainsFunc(t.node.keys, func(k string) bool { return nearest(k, ways) != "" }) {
			return // misspelt, which is said where it stands
		}
		t.missing(t.path("stop"), "the contacts with the stop, forward: and backward:", "without a stop: equal_drop: or sweep:")
		return
	}
	if len(found) > 1 {
		t.fault(t.path(found[1]), "found "+found[0]+" as well, expected one of "+strings.Join(ways, ", "), "begin a new setup for the other; with the same mounting: where the readout stayed")
	}
	switch found[0] {
	case "stop":
		s.Trials = t.stop()
	case "equal_drop":
		s.Method, s.Drops = EqualDrop, t.drops()
	case "sweep":
		s.Method, s.Sweep = Sweep, t.sweep()
	}
}

// taken reads how the readings of a drop or a sweep were approached.
func (t *fields) taken() Taken {
	return chosen(t, "approach", choice[Taken]{"rising", Rising}, choice[Taken]{"forward", OneWay})
}

// approaches returns how the readings before and after TDC were approached.
func (t Taken) approaches() (before, after Approach) {
	switch t {
	case Rising:
		return Forward, Backward
	case OneWay:
		return Forward, Forward
	}
	return 0, 0
}

func (t *fields) drops() (all []Drop) {
	n := t.list("equal_drop", "a list of drops, each with - drop:, before: and after:")
	if n != nil && len(n.items) == 0 {
		t.fault(n.path, "found an empty list, expected at least one drop", "")
	}
	if n == nil {
		return nil
	}
	for _, item := range n.items {
		if f := t.fieldsOf(item, "drop:, before: and after: of one drop"); f != nil {
			all = append(all, f.drop())
		}
	}
	return all
}

func (t *fields) drop() Drop {
	const readings = "readings in brackets, such as [338.0, 338.5]"
	d := Drop{Drop: t.length("drop", "1.0 mm"), Taken: t.taken(), Path: t.node.path}
	d.Probe, _ = parsed(t, "probe_angle", "degrees, such as 20", func(s string) (geometry.Angle, error) {
		a, letters, err := geometry.ParseAngle(s)
		if err == nil && letters != geometry.NoLetters {
			err = &geometry.Refusal{Text: "found " + shown(s) + ", expected degrees, such as 20, without letters"}
		}
		return a, err
	})
	before, after := t.list("before", readings), t.list("after", readings)
	t.done()
	t.need("drop", "how far the piston stands below its top, such as 1.0 mm")
	t.need("before", "readings at this drop before TDC")
	t.need("after", "readings at this drop after TDC")
	if before == nil || after == nil {
		return d
	}
	a, b := d.Taken.approaches()
	var goodBefore, goodAfter bool
	d.Before, goodBefore = t.reader.list(before, a)
	d.After, goodAfter = t.reader.list(after, b)
	switch {
	case !goodBefore || !goodAfter:
		d.Before, d.After = nil, nil
	case len(d.Before) != len(d.After):
		t.fault(d.Path, fmt.Sprintf("found %s before TDC and %d after, expected as many before as after", count(len(d.Before), "reading"), len(d.After)),
			"strike a reading instead of leaving it out: 338.5 struck wrench slipped")
	case len(d.Before) == 0:
		t.fault(d.Path, "found no reading, expected at least one pair", "")
	}
	return d
}

const leastPoints = 5 // of a sweep: two unknowns, and something to judge them by

func (t *fields) sweep() *Swept {
	const points = "points in brackets, each a reading and a height, such as [351.5, 0.02]"
	f := t.under("sweep")
	unit := chosen(f, "height", same("mm"), same("in"))
	s := &Swept{Taken: f.taken(), Path: t.path("sweep")}
	n := f.list("points", points)
	f.done()
	f.need("height", "mm or in, the unit of the heights")
	f.need("points", points)
	if n == nil {
		return s
	}
	approach, _ := s.Taken.approaches()
	if s.Taken == Rising { // which are after TDC, only the fit tells
		approach = 0
	}
	counting, good := 0, true
	for _, item := range n.items {
		if item.kind != list || len(item.items) != 2 {
			good = false
			if item.kind != refused {
				t.wrongPoint(item)
			}
			continue
		}
		var p Point
		var read, measured bool
		p.Reading, read = t.reader.reading(item.items[0], approach)
		p.Height, measured = t.reader.height(item.items[1], unit)
		s.Points, good = append(s.Points, p), good && read && measured
		if !p.Reading.Struck {
			counting++
		}
	}
	if good && counting < leastPoints {
		t.fault(n.path, fmt.Sprintf("found %s that count, expected at least %d", count(counting, "point"), leastPoints), "some well before TDC and as many well after it")
	}
	return s
}

func (t *fields) wrongPoint(n *node) {
	found := n.kind.String()
	switch n.kind {
	case scalar:
		found = shown(n.text)
	case list:
		found = count(len(n.items), "value")
	}
	t.fault(n.path, "found "+found+", expected a reading and a height, such as [351.5, 0.02]", "")
}

// height reads a bare number in the unit that the sweep states.
func (r *reader) height(n *node, unit string) (geometry.Length, bool) {
	text, ok := r.scalar(n, "a height, such as 0.02")
	if !ok {
		return 0, false
	}
	_, err := geometry.ParseNumber(text)
	var l geometry.Length
	if err == nil && unit != "" {
		l, _, err = geometry.ParseLength(text + " " + unit)
	}
	if err != nil {
		r.refusal(n.path, err)
	}
	return l, err == nil
}

// methods holds the drops and the sweep of a setup against the engine.
func (c *checker) methods(s *Setup, path Path) {
	if s.Closing != nil && s.Method != Stop {
		c.fault(path+".closing", fmt.Sprintf("found with %s, expected a closing pair beside stop only", s.Method.key()), "take the drops or the sweep again as a setup of their own")
	}
	if s.Fitting != "" && s.Method != Stop {
		c.fault(path+".fitting", fmt.Sprintf("found with %s, expected a fitting beside stop only", s.Method.key()), "a fitting is a stop left in its place from one setup to the next")
	}
	for i := range s.Drops {
		d := &s.Drops[i]
		at := pathOr(d.Path, string(path)+".equal_drop", i)
		if crank, ok := c.crank(at+".drop", "a drop"); ok && d.Drop != 0 {
			// What a slanting indicator shows is more than the piston drops.
			if _, _, err := crank.Contacts(d.Drop * geometry.Length(math.Cos(d.Probe.Radians()))); err != nil {
				c.fault(at+".drop", err.Error(), "", "engine", "engine.stroke", "engine.rod", "engine.pin_offset", "engine.bore_offset", at+".probe_angle")
			}
		}
		if !(d.Drop > 0) {
			c.fault(at+".drop", fmt.Sprintf("found %v, expected a length above zero", d.Drop), "")
		}
		if !(d.Probe >= 0 && d.Probe <= mostProbe) {
			c.fault(at+".probe_angle", fmt.Sprintf("found %s, expected 0 to %d degrees between indicator and cylinder", number(float64(d.Probe)), mostProbe), "")
		}
		where := fmt.Sprintf("setup %s, drop of %v", shown(s.Name), d.Drop)
		for j := range d.Before {
			c.value(&d.Before[j], at)
		}
		for j := range d.After {
			c.value(&d.After[j], at)
		}
		for _, t := range d.Trials() {
			c.dropPair(t, at, where)
		}
	}
	if s.Sweep == nil {
		return
	}
	at := s.Sweep.Path
	if at == "" {
		at = path + ".sweep"
	}
	_, _ = c.crank(at, "a sweep")
	for i := range s.Sweep.Points {
		p := &s.Sweep.Points[i]
		c.value(&p.Reading, at)
		if !(math.Abs(float64(p.Height)) <= most) {
			c.fault(at+".points", fmt.Sprintf("found a height of %v, expected one of an engine", p.Height), "")
		}
	}
}

const mostProbe = 60 // degrees: an indicator further over shows twice the drop

// key is how the sheet names a method.
func (m Method) key() string { return strings.ReplaceAll(m.String(), " ", "_") }

// crank returns the crank that a way to find TDC cannot do without. One that
// cannot turn is reported with the rod.
func (c *checker) crank(path Path, what string) (geometry.Crank, bool) {
	crank, stated := c.Engine.Crank()
	if !stated {
		c.fault(path, "found "+what+" without stroke and rod, expected both under engine", "where the piston stands can't be turned into degrees without them", "engine", "engine.stroke", "engine.rod")
	}
	return crank, stated && crank.Check() == nil
}

// dropPair holds two readings at equal drop against the way the readout counts.
func (c *checker) dropPair(t Trial, path Path, where string) {
	if !t.Usable() || c.Readout.Counts == 0 {
		return
	}
	if t.Backward.Path != "" {
		path = t.Backward.Path
	}
	pair := "before " + c.entered(t.Forward) + " and after " + c.entered(t.Backward)
	c.pairs++
	switch arc := c.Readout.Counts.Arc(t.Forward.Value, t.Backward.Value); {
	case arc == 0:
		c.fault(path, "found "+pair+", which are the same", "at one drop the piston stands once before TDC and once after it", "readout.counts", "readout.numbered", t.Forward.Path)
	case arc > 180:
		c.deep = append(c.deep, deep{
			path, t.Forward.Path, fmt.Sprintf("found %s (%s), which lie %s degrees apart with %s; expected at most 180",
				pair, where, number(math.Round(float64(arc)*1000)/1000), c.sense()),
			"before and after are swapped, or " + c.orCounts(),
		})
	}
}
