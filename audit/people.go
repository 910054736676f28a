package audit

import (
	"markaudit/audit/inputerror"
	"markaudit/audit/repeatability"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// People makes a study of people from a sheet: of every setup that says by whom
// it was taken, the offset of every mark that it read, counted from that setup's
// own mounting. Where nobody took a second setup of a mark, every reading is a
// value by itself. Tolerance is the tightest of the marks. The error is of type
// [inputerror.List].
func People(s sheet.Sheet) (repeatability.Data, error) {
	a, faults := begin(&s)
	if len(faults) > 0 {
		return repeatability.Data{}, faults
	}
	d := repeatability.Data{Step: s.Readout.Step}
	for _, m := range s.Marks {
		early, late := m.Allowed()
		if t := min(early, late); d.Tolerance == 0 || t < d.Tolerance {
			d.Tolerance = t
		}
	}
	var perSetup, perReading []repeatability.Value
	trial := map[[2]string]int{}
	again := false
	for _, at := range a.stations {
		for _, setup := range at.setups {
			if setup.By == "" {
				continue
			}
			taken := a.setupOf(setup)
			alone := &station{mounting: at.mounting, setups: []*sheet.Setup{setup}, tops: at.tops}
			for i := range s.Marks {
				mark := &s.Marks[i]
				l := line{mark: mark}
				seen, ok := a.sight(&l, alone)
				if !ok {
					continue
				}
				key := [2]string{setup.By, mark.Name}
				trial[key]++
				again = again || trial[key] > 1
				value := repeatability.Value{By: setup.By, Mark: mark.Name, Value: seen.offset, Trial: trial[key]}
				perSetup = append(perSetup, value)
				for n, off := range seen.singly(s.Readout.Counts) {
					value.Value, value.Trial = off, n+1
					perReading = append(perReading, value)
				}
				if len(seen.forward) > 0 && len(seen.backward) > 0 {
					later := geometry.Angle(s.Readout.Counts) * (mean(seen.forward) - mean(seen.backward))
					taken.Sides = append(taken.Sides, later)
				}
			}
			d.Setups = append(d.Setups, taken)
		}
	}
	for i := range s.Setups {
		if s.Setups[i].By == "" {
			d.Nameless++
		}
	}
	if len(a.faults) > 0 {
		return repeatability.Data{}, a.faults
	}
	switch {
	case d.Nameless == len(s.Setups):
		return repeatability.Data{}, inputerror.List{{Path: "setups", Text: "found no setup that says by whom it was taken, expected by: with a name", Hint: "such as by: Ana, in each setup"}}
	case len(perSetup) == 0:
		return repeatability.Data{}, inputerror.List{{Path: "setups", Text: "found no setup with a name, a usable pair of contacts and a mark read, expected at least one"}}
	}
	d.Values, d.Each = perSetup, repeatability.PerSetup
	if !again {
		d.Values, d.Each = perReading, repeatability.PerReading
	}
	first := map[string]geometry.Angle{} // offsets near half a turn may lie on both sides of it
	for i, v := range d.Values {
		if f, ok := first[v.Mark]; ok {
			d.Values[i].Value = nearest(v.Value, f)
		} else {
			first[v.Mark] = v.Value
		}
	}
	return d, nil
}

// setupOf is what a setup shows of its hand beside the marks.
func (a *analysis) setupOf(setup *sheet.Setup) repeatability.Setup {
	out := repeatability.Setup{By: setup.By}
	for _, t := range a.result.TDC.Setups {
		if t.setup == setup {
			out.Stop, out.Middles, out.HalfArcs, out.Top = setup.Method == sheet.Stop, t.Middles, t.HalfArcs, t.Reading
		}
	}
	if a.sheet.Readout.Kind == sheet.Rim { // lengths: their last digits are not those of a step in degrees
		return out
	}
	place := func(r *sheet.Reading) bool {
		if r == nil || r.Struck {
			return false
		}
		out.Places = append(out.Places, r.Value)
		return true
	}
	for _, t := range setup.Trials {
		if place(t.Forward) {
			place(t.Backward)
			break
		}
	}
	for i := range a.sheet.Marks {
		for _, r := range setup.Marks[a.sheet.Marks[i].Name] {
			if place(&r) {
				break
			}
		}
	}
	return out
}

// singly returns the offset by each reading, forward ones first, with what the
// two sides differ by shared between them as in the line's own offset.
func (s *sighted) singly(counts geometry.Sense) []geometry.Angle {
	var out []geometry.Angle
	for _, side := range [][]geometry.Angle{s.forward, s.backward} {
		if len(side) == 0 {
			continue
		}
		m := mean(side)
		for _, r := range side {
			out = append(out, s.offset+geometry.Angle(counts)*(r-m))
		}
	}
	return out
}
