package repeatability

import (
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// FromSheet makes a study of people from a sheet: of every setup that says by whom
// it was taken, the offset of every mark that it read, counted from that setup's
// own mounting. Where nobody took a second setup of a mark, every reading is a
// value by itself. Tolerance is the tightest of the marks. The error is of type
// [inputerror.List].
func FromSheet(s sheet.Sheet) (Data, error) {
	if faults := s.Check(); len(faults) > 0 {
		return Data{}, faults
	}
	if s.Readout.Kind == sheet.Dial {
		return Data{}, inputerror.List{{
			Path: "readout.kind", Text: "found dial, expected wheel, encoder or rim",
			Hint: "a dial's millimetres are worth another angle at each line, so that readings of several lines make no study",
		}}
	}
	shown := readout.New(s)
	top, err := tdc.Find(s, shown)
	if err != nil {
		return Data{}, err
	}
	if _, err := lines.Place(s, shown, top); err != nil {
		return Data{}, err
	}
	d := Data{Step: s.Readout.Step}
	people := newNames()
	for _, m := range s.Marks {
		early, late := m.Allowed()
		if k := m.Known; k.Expanded > 0 {
			d.Known = append(d.Known, Known{m.Name, k.Off, k.Expanded})
		}
		if t := min(early, late); d.Tolerance == 0 || t < d.Tolerance {
			d.Tolerance = t
		}
	}
	var perSetup, perReading []Value
	trial := map[[2]string]int{}
	again := false
	for m, at := range top.Mountings {
		for _, index := range at.Setups {
			setup := &s.Setups[index]
			if setup.By == "" {
				continue
			}
			by := people.of(setup.By)
			taken := setupOf(s, top, index)
			taken.By = by
			for _, mark := range s.Marks {
				seen, _ := lines.Sight(s, shown, top, mark, m, []int{index})
				if seen == nil {
					continue
				}
				key := [2]string{by, mark.Name}
				trial[key]++
				again = again || trial[key] > 1
				value := Value{By: by, Mark: mark.Name, Value: seen.Offset, Trial: trial[key]}
				perSetup = append(perSetup, value)
				for n, off := range seen.Singly(s.Readout.Counts) {
					value.Value, value.Trial = off, n+1
					perReading = append(perReading, value)
				}
				if len(seen.Forward) > 0 && len(seen.Backward) > 0 {
					later := geometry.Angle(s.Readout.Counts) * (stats.MeanAngle(seen.Forward) - stats.MeanAngle(seen.Backward))
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
	switch {
	case d.Nameless == len(s.Setups):
		return Data{}, inputerror.List{{Path: "setups", Text: "found no setup that says by whom it was taken, expected by: with a name", Hint: "such as by: Ana, in each setup"}}
	case len(perSetup) == 0:
		return Data{}, inputerror.List{{Path: "setups", Text: "found no setup with a name, a usable pair of contacts and a mark read, expected at least one"}}
	}
	d.People = people.Aliases
	d.Values, d.Each = perSetup, PerSetup
	if !again {
		d.Values, d.Each = perReading, PerReading
	}
	first := map[string]geometry.Angle{} // offsets near half a turn may lie on both sides of it
	for i, v := range d.Values {
		if f, ok := first[v.Mark]; ok {
			d.Values[i].Value = stats.Nearest(v.Value, f)
		} else {
			first[v.Mark] = v.Value
		}
	}
	return d, nil
}

// setupOf is what a setup shows of its hand beside the marks.
func setupOf(s sheet.Sheet, top tdc.Found, index int) Setup {
	setup := &s.Setups[index]
	out := Setup{By: setup.By}
	for _, t := range top.Setups {
		if t.Index == index {
			out.Stop, out.Middles, out.HalfArcs, out.Top = setup.Method == sheet.Stop, t.Middles, t.HalfArcs, t.Reading
		}
	}
	if s.Readout.Kind == sheet.Rim { // lengths: their last digits are not those of a step in degrees
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
	for i := range s.Marks {
		for _, r := range setup.Marks[s.Marks[i].Name] {
			if place(&r) {
				break
			}
		}
	}
	return out
}
