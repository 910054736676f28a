package audit

import (
	"math"
	"slices"

	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// odd is the reading that stands out most, with the lines as they are without it.
func (in stages) odd() *diagnosis.Odd {
	odd := in.checks.Odd
	if odd == nil {
		return nil
	}
	out := &diagnosis.Odd{P: odd.P, Mounting: odd.Mounting, Line: -1}
	if odd.Line != "" {
		out.Line = slices.IndexFunc(in.sheet.Marks, func(m sheet.Mark) bool { return m.Name == odd.Line })
	}
	without, ok := offsetsOf(struck(in.sheet, *odd))
	if !ok || len(without) != len(in.top.Mountings) { // TDC was found by nothing else there
		without = blank(len(in.top.Mountings), len(in.lines))
		for j, l := range in.lines {
			for _, seen := range l.Seen {
				if seen.At.Mounting != odd.Mounting {
					without[seen.At.Mounting][j] = seen.Offset
				}
			}
		}
	}
	out.Without = without
	return out
}

// struck is the sheet with the reading that stands out struck, of two that accuse
// each other both. It shares with the sheet what it does not change.
func struck(s sheet.Sheet, odd crosscheck.OddReading) sheet.Sheet {
	strike := func(r sheet.Reading) sheet.Reading {
		r.Struck = true
		return r
	}
	s.Setups = slices.Clone(s.Setups)
	t := &s.Setups[odd.Setup]
	switch {
	case odd.Line != "":
		marks := make(map[string][]sheet.Reading, len(t.Marks))
		for name, readings := range t.Marks {
			marks[name] = readings
		}
		marks[odd.Line] = slices.Clone(marks[odd.Line])
		for _, k := range odd.Index {
			marks[odd.Line][k] = strike(marks[odd.Line][k])
		}
		t.Marks = marks
	case t.Method == sheet.AtTop:
		t.Top = slices.Clone(t.Top)
		for _, k := range odd.Index {
			t.Top[k] = strike(t.Top[k])
		}
	case t.Method == sheet.EqualDrop:
		t.Drops = slices.Clone(t.Drops)
		d := &t.Drops[odd.Drop]
		side := &d.After
		if odd.Side == sheet.Forward {
			side = &d.Before
		}
		*side = slices.Clone(*side)
		for _, k := range odd.Index {
			(*side)[k] = strike((*side)[k])
		}
	default:
		t.Trials = slices.Clone(t.Trials)
		for _, k := range odd.Index {
			one := &t.Trials[k].Forward
			if odd.Side == sheet.Backward {
				one = &t.Trials[k].Backward
			}
			r := strike(**one)
			*one = &r
		}
	}
	return s
}

// creep is how the middles move from contact to contact. Those of drops may follow
// the half arc instead, which is another fault.
func (in stages) creep() (out []diagnosis.Creep) {
	for i, m := range in.top.Mountings {
		worst := diagnosis.Creep{Mounting: i, P: 1}
		for _, t := range in.top.Setups {
			if slices.Contains(m.Setups, t.Index) && t.Method == sheet.Stop && t.DriftP < worst.P {
				worst.Drift, worst.P = t.Drift*geometry.Angle(in.sheet.Readout.Counts), t.DriftP
			}
		}
		if worst.P < 1 && !math.IsNaN(worst.P) {
			out = append(out, worst)
		}
	}
	return out
}
