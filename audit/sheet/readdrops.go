package sheet

import (
	"fmt"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// readTaken reads how the readings of a drop or a sweep were approached.
func readTaken(t *fields) Taken {
	return chosen(t, "approach", choice[Taken]{"rising", Rising}, choice[Taken]{"forward", OneWay})
}

func readDrops(t *fields) (all []Drop) {
	n := t.list("equal_drop", "a list of drops, each with - drop:, before: and after:")
	if n != nil && len(n.items) == 0 {
		t.Fault(n.path, "found an empty list, expected at least one drop", "")
	}
	if n == nil {
		return nil
	}
	for _, item := range n.items {
		if f := t.fieldsOf(item, "drop:, before: and after: of one drop"); f != nil {
			all = append(all, readDrop(f))
		}
	}
	return all
}

func readDrop(t *fields) Drop {
	const readings = "readings in brackets, such as [338.0, 338.5]"
	d := Drop{Drop: t.length("drop", "1.0 mm"), Taken: readTaken(t), Path: t.node.path}
	d.Probe, _ = parsed(t, "probe_angle", "degrees, such as 20", func(s string) (geometry.Angle, error) {
		a, letters, err := geometry.ParseAngle(s)
		if err == nil && letters != geometry.NoLetters {
			err = &geometry.Refusal{Text: "found " + inputerror.Shown(s) + ", expected degrees, such as 20, without letters"}
		}
		return a, err
	})
	if n := t.node.item("drop"); n != nil && d.Drop > 0 {
		d.Text = n.text
	}
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
		t.Fault(d.Path, fmt.Sprintf("found %s before TDC and %d after, expected as many before as after", inputerror.Count(len(d.Before), "reading"), len(d.After)),
			"strike a reading instead of leaving it out: 338.5 struck wrench slipped")
	case len(d.Before) == 0:
		t.Fault(d.Path, "found no reading, expected at least one pair", "")
	}
	return d
}

const leastPoints = 5 // of a sweep: two unknowns, and something to judge them by

func readSweep(t *fields) *Swept {
	const points = "points in brackets, each a reading and a height, such as [351.5, 0.02]"
	f := t.under("sweep")
	unit := chosen(f, "height", same("mm"), same("in"))
	s := &Swept{Taken: readTaken(f), Path: t.path("sweep")}
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
				wrongPoint(t, item)
			}
			continue
		}
		var p Point
		var read, measured bool
		p.Reading, read = t.reader.reading(item.items[0], approach)
		p.Height, measured = readHeight(t.reader, item.items[1], unit)
		p.Text = item.items[1].text + " " + unit
		s.Points, good = append(s.Points, p), good && read && measured
		if !p.Reading.Struck {
			counting++
		}
	}
	if good && counting < leastPoints {
		t.Fault(n.path, fmt.Sprintf("found %s that count, expected at least %d", inputerror.Count(counting, "point"), leastPoints), "some well before TDC and as many well after it")
	}
	return s
}

func wrongPoint(t *fields, n *node) {
	found := n.kind.String()
	switch n.kind {
	case scalar:
		found = inputerror.Shown(n.text)
	case list:
		found = inputerror.Count(len(n.items), "value")
	}
	t.Fault(n.path, "found "+found+", expected a reading and a height, such as [351.5, 0.02]", "")
}

// readHeight reads a bare number in the unit that the sweep states.
func readHeight(r *reader, n *node, unit string) (geometry.Length, bool) {
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
		r.Refusal(n.path, err)
	}
	return l, err == nil
}
