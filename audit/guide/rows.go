package guide

import (
	"fmt"
	"strconv"
	"strings"

	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// exportDrops adds the drops or the sweep of a setup to the rows.
func exportDrops(setup sheet.Setup, add func(trial, item string, r *sheet.Reading), rows *[]readings.Row) error {
	trial := 0
	for _, d := range setup.Drops {
		switch {
		case d.Probe != 0:
			return refuse(fmt.Sprintf("a drop of setup %s states its probe_angle, which a readings file has no column for", setup.Name), "such readings stay in the sheet")
		case d.Taken == sheet.Unknown:
			return refuse(fmt.Sprintf("a drop of setup %s does not say how its readings were come to, which a readings file says with every reading", setup.Name), "write approach there first, or leave the readings in the sheet")
		}
		for i := range d.Before {
			trial++
			for _, side := range []struct {
				name string
				r    *sheet.Reading
			}{{"before", &d.Before[i]}, {"after", &d.After[i]}} {
				add(strconv.Itoa(trial), "drop", side.r)
				last := &(*rows)[len(*rows)-1]
				last.Side, last.Height = side.name, heightAsRow(d.Text, d.Drop)
			}
		}
	}
	if setup.Sweep == nil {
		return nil
	}
	if setup.Sweep.Taken != sheet.OneWay {
		return refuse(fmt.Sprintf("the sweep of setup %s does not say of each point how it was come to, which a readings file does", setup.Name), "such readings stay in the sheet")
	}
	for i := range setup.Sweep.Points {
		p := &setup.Sweep.Points[i]
		add("", "sweep", &p.Reading)
		(*rows)[len(*rows)-1].Height = heightAsRow(p.Text, p.Height)
	}
	return nil
}

// asRow is a reading as a readings file has it: as it was entered, with a point.
func asRow(r *sheet.Reading) string {
	text := strings.Replace(r.Written(), ",", ".", 1)
	if r.Text != "" && r.Written() == r.Text { // to the letter, a sign for degrees too
		return text
	}
	if _, letters, err := geometry.ParseAngle(text); err == nil && letters == geometry.NoLetters && !strings.ContainsAny(text, "'′’") {
		text = strings.TrimSuffix(text, "°")
	}
	return text
}

// heightAsRow is the same for a height.
func heightAsRow(text string, height geometry.Length) string {
	text = strings.Replace(text, ",", ".", 1)
	if l, _, err := geometry.ParseLength(text); err != nil || l != height {
		return fmt.Sprint(height)
	}
	return text
}

// Export returns the readings that stand in a sheet as rows of a readings file.
// The error says what such a file has no place for.
func Export(s sheet.Sheet) ([]readings.Row, error) {
	var rows []readings.Row
	for _, setup := range s.Setups {
		first := len(rows)
		add := func(trial, item string, r *sheet.Reading) {
			if r == nil {
				return
			}
			text := asRow(r)
			rows = append(rows, readings.Row{
				Setup: setup.Name, By: setup.By, Trial: trial, Item: item, Approach: r.Approach.String(),
				Reading: text, Time: r.Time, Note: r.Note, Struck: r.Reason,
				Mounting: setup.Mounting, Fitting: setup.Fitting, Cylinder: setup.Cylinder,
			})
		}
		if err := exportDrops(setup, add, &rows); err != nil {
			return nil, err
		}
		for i := range setup.Top {
			add("", "top", &setup.Top[i])
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
		add("", "closing", setup.ClosingTop)
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
