package jobsheet

import (
	"fmt"
	"strings"

	"markaudit/audit/jobrecord"
	"markaudit/audit/sheet"
)

// Readings are those of a sheet for the record of a study of sheets, in the order of
// the sheet: setup by setup the contacts, drops or points, then the lines. of names
// the sheet.
func Readings(of string, s sheet.Sheet) (out []jobrecord.Reading) {
	add := func(where string, r *sheet.Reading) {
		if r == nil {
			return
		}
		if r.Approach != 0 {
			where += ", " + r.Approach.String()
		}
		x := jobrecord.Reading{Where: of + ", " + where, Text: strings.TrimSuffix(r.Written(), "°")}
		if r.Struck {
			x.Struck = r.Reason
		}
		out = append(out, x)
	}
	for _, setup := range s.Setups {
		in := "setup " + setup.Name + ", "
		for i, t := range setup.Trials {
			where := fmt.Sprintf("%sstop, pair %d", in, i+1)
			add(where, t.Forward)
			add(where, t.Backward)
		}
		for _, d := range setup.Drops {
			for i, t := range d.Trials() {
				where := fmt.Sprintf("%sdrop of %v, pair %d", in, d.Drop, i+1)
				add(where+", before", t.Forward)
				add(where+", after", t.Backward)
			}
		}
		if setup.Sweep != nil {
			for i := range setup.Sweep.Points {
				p := &setup.Sweep.Points[i]
				add(fmt.Sprintf("%ssweep, point %d at %v", in, i+1, p.Height), &p.Reading)
			}
		}
		for _, m := range s.Marks {
			readings := setup.Marks[m.Name]
			for i := range readings {
				add(fmt.Sprintf("%s%s, reading %d", in, m.Name, i+1), &readings[i])
			}
		}
		if setup.Closing != nil {
			add(in+"closing", setup.Closing.Forward)
			add(in+"closing", setup.Closing.Backward)
		}
	}
	return out
}
