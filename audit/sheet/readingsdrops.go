package sheet

import (
	"fmt"
	"slices"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// place takes what a row says of its setup beside the reading: which mounting of
// the readout, which fitting of the stop, which cylinder. One row of a setup may
// say it for all.
func (b *book) place(s *bookSetup, row readings.Row) {
	for _, has := range []struct {
		column, found string
		to            *string
	}{
		{"mounting", row.Mounting, &s.Mounting}, {"fitting", row.Fitting, &s.Fitting}, {"cylinder", row.Cylinder, &s.Cylinder},
	} {
		switch {
		case has.found == "" || *has.to == has.found:
		case *has.to == "":
			*has.to = has.found
		default:
			b.Fault(b.At(has.column), fmt.Sprintf("found %s, after %s in the same setup %s, expected one %s a setup",
				inputerror.Shown(has.found), inputerror.Shown(*has.to), inputerror.Shown(s.Name), has.column), "give what belongs to the other one a setup of its own")
		}
	}
}

// finds holds a setup to one way of finding TDC.
func (b *book) finds(s *bookSetup, method string) {
	if method != "stop" && b.marks[method] {
		b.Fault(b.At("item"), "found a "+method+" beside a line of the name "+method+", expected another name for the line", "")
	}
	if s.method == "" {
		s.method = method
	}
	if s.method != method {
		b.Fault(b.At("item"), "found "+method+", after "+s.method+" in the same setup "+inputerror.Shown(s.Name)+", expected one of the two", "take the other one again as a setup of its own")
	}
}

// droppedPair is one trial of equal drops, until its group is known.
type droppedPair struct {
	trial         string
	height        geometry.Length
	text          string // of the height, as entered
	before, after *Reading
	path          inputerror.Path
}

// drop adds a reading at a drop to its pair.
func (b *book) drop(s *bookSetup, row readings.Row, f *Reading) {
	height, _, err := geometry.ParseLength(row.Height)
	switch {
	case err != nil:
		b.Fault(b.At("height"), "found "+inputerror.Shown(row.Height)+", expected how far the piston stands below its top, such as 2.0 mm", "")
		return
	case row.Trial == "":
		b.Fault(b.At("trial"), "found nothing, expected the number of the pair that the reading belongs to", "")
		return
	}
	var pair *droppedPair
	for _, p := range s.drops {
		if p.trial == row.Trial {
			pair = p
		}
	}
	if pair == nil {
		pair = &droppedPair{trial: row.Trial, height: height, text: b.Field("height"), path: b.Row()}
		s.drops = append(s.drops, pair)
	}
	if pair.height != height {
		b.Fault(b.At("height"), fmt.Sprintf("found %v, after %v in the same pair %s, expected one drop a pair", height, pair.height, inputerror.Shown(row.Trial)), "")
		return
	}
	side := &pair.before
	switch row.Side {
	case "before":
		if f.Approach == Backward {
			b.Fault(b.At("approach"), "found backward, expected forward: before TDC the drop is come to turning the way the engine runs", "")
		}
	case "after":
		side = &pair.after
	default:
		b.Fault(b.At("side"), "found "+inputerror.Shown(row.Side)+", expected before or after", "")
		return
	}
	if *side != nil {
		b.Fault(f.Path, fmt.Sprintf("found a second reading %s TDC of pair %s in setup %s, expected one", row.Side, inputerror.Shown(row.Trial), inputerror.Shown(s.Name)),
			"give a pair that was taken again a number of its own")
		return
	}
	*side = f
}

// finishDrops puts the pairs of a setup into drops: those at one height, come to
// alike, are one. A pair that lacks a reading is left out while readings are
// being taken; later it is a fault, unless what is there is struck.
func (b *book) finishDrops(s *bookSetup) {
	for _, p := range s.drops {
		if p.before == nil || p.after == nil {
			one, lacks := p.before, "after"
			if one == nil {
				one, lacks = p.after, "before"
			}
			if b.r.unfinished == nil && one != nil && !one.Struck {
				b.Fault(p.path, fmt.Sprintf("found pair %s of a drop without its reading %s TDC, expected both", inputerror.Shown(p.trial), lacks), "take that too, or strike the one that is there")
			}
			continue
		}
		taken := Rising
		if p.after.Approach == Forward {
			taken = OneWay
		}
		at := slices.IndexFunc(s.Drops, func(d Drop) bool { return d.Drop == p.height && d.Taken == taken })
		if at < 0 {
			at = len(s.Drops)
			s.Drops = append(s.Drops, Drop{Drop: p.height, Text: p.text, Taken: taken, Path: p.path})
		}
		s.Drops[at].Before = append(s.Drops[at].Before, *p.before)
		s.Drops[at].After = append(s.Drops[at].After, *p.after)
	}
	if s.method == "drop" {
		s.Method = EqualDrop
	}
}

// point adds a point to the sweep of a setup.
func (b *book) point(s *bookSetup, row readings.Row, f *Reading) {
	height, _, err := geometry.ParseLength(row.Height)
	if err != nil {
		b.Fault(b.At("height"), "found "+inputerror.Shown(row.Height)+", expected what the indicator shows, such as 2.61 mm", "")
		return
	}
	if f.Approach == 0 {
		return // already a fault
	}
	if s.Sweep == nil {
		s.Sweep = &Swept{Path: b.Row()}
	}
	s.turned[f.Approach-Forward] = true
	s.Sweep.Points = append(s.Sweep.Points, Point{Reading: *f, Height: height, Text: b.Field("height")})
}

// finishSweep says how the points of a sweep were come to, and holds it to its
// least number of points once readings are no longer being taken.
func (b *book) finishSweep(s *bookSetup) {
	if s.Sweep == nil {
		return
	}
	s.Method = Sweep
	s.Sweep.Taken = OneWay
	if s.turned[1] {
		s.Sweep.Taken = Rising
	}
	counting := 0
	for _, p := range s.Sweep.Points {
		if !p.Reading.Struck {
			counting++
		}
	}
	switch {
	case counting >= leastPoints:
	case b.r.unfinished != nil:
		s.Sweep, s.Method = nil, Stop // too few to tell anything yet
	default:
		b.Fault(s.Sweep.Path, fmt.Sprintf("found %s that count, expected at least %d", inputerror.Count(counting, "point"), leastPoints), "some well before TDC and as many well after it")
	}
}
