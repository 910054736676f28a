package guide

import (
	"fmt"
	"strconv"
	"strings"

	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
)

// Export returns the readings that stand in a sheet as rows of a readings file.
// The error says what such a file has no place for.
func Export(s sheet.Sheet) ([]readings.Row, error) {
	var rows []readings.Row
	for _, setup := range s.Setups {
		for _, has := range []struct{ key, value string }{
			{"mounting", setup.Mounting}, {"fitting", setup.Fitting}, {"cylinder", setup.Cylinder},
		} {
			if has.value != "" {
				return nil, refuse(fmt.Sprintf("setup %s states its %s, which a readings file has no column for", setup.Name, has.key), "such readings stay in the sheet")
			}
		}
		if setup.Method != sheet.Stop {
			return nil, refuse(fmt.Sprintf("setup %s was taken as %v, which a readings file has no columns for", setup.Name, setup.Method), "such readings stay in the sheet")
		}
		first := len(rows)
		add := func(trial, item string, r *sheet.Reading) {
			if r == nil {
				return
			}
			text := strings.ReplaceAll(r.Written(), "°", "")
			rows = append(rows, readings.Row{
				Setup: setup.Name, By: setup.By, Trial: trial, Item: item, Approach: r.Approach.String(),
				Reading: text, Time: r.Time, Note: r.Note, Struck: r.Reason,
			})
		}
		for i, t := range setup.Trials {
			add(strconv.Itoa(i+1), "stop", t.Forward)
			add(strconv.Itoa(i+1), "stop", t.Backward)
		}
		for _, m := range s.Marks {
			for i := range setup.Marks[m.Name] {
				add("", m.Name, &setup.Marks[m.Name][i])
			}
		}
		if c := setup.Closing; c != nil {
			add("1", "closing", c.Forward)
			add("1", "closing", c.Backward)
		}
		if about := setup.Date + " " + setup.Note; len(rows) > first && about != " " {
			note, err := oneLine(about)
			if err != nil {
				return nil, err
			}
			rows[first].Note = note
		}
	}
	return rows, nil
}
