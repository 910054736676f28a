package export

import (
	"strconv"

	"markaudit/audit/sheet"
)

// jsonEntered is one reading: what it was taken as, and how it was entered.
type jsonEntered struct {
	Setup    string   `json:"setup"`
	Item     string   `json:"item"`
	Approach *string  `json:"approach"`
	Trial    *string  `json:"trial"`
	Value    *float64 `json:"value_deg"`
	Length   *float64 `json:"value_mm"`
	Height   *float64 `json:"height_mm"`
	Text     string   `json:"as_written"`
	Struck   *string  `json:"struck"`
}

// jsonSaid is one number or size of the sheet.
type jsonSaid struct {
	Key  string `json:"key"`
	Text string `json:"as_written"`
}

// enteredJSON lists every reading in the order of the sheet: contacts, drops and
// points, then the lines, then the closing pair.
func enteredJSON(s sheet.Sheet) []jsonEntered {
	out := []jsonEntered{}
	for _, setup := range s.Setups {
		add := func(item, trial string, r *sheet.Reading) {
			if r == nil {
				return
			}
			one := jsonEntered{
				Setup: setup.Name, Item: item, Trial: textOrNull(trial), Value: when(s.Readout.Kind != sheet.Dial, r.Value.Degrees()), Length: when(r.Measured, r.Length.Millimetres()), Text: r.Written(),
			}
			if r.Approach != 0 {
				one.Approach = textOrNull(r.Approach.String())
			}
			if r.Struck {
				one.Struck = &r.Reason
			}
			out = append(out, one)
		}
		pair := func(item string, i int, t sheet.Trial) {
			add(item, strconv.Itoa(i+1), t.Forward)
			add(item, strconv.Itoa(i+1), t.Backward)
		}
		for i, t := range setup.Trials {
			pair("stop", i, t)
		}
		for i := range setup.Top {
			add("top", "", &setup.Top[i])
		}
		number := 0
		for _, d := range setup.Drops {
			for _, t := range d.Trials() {
				first := len(out)
				pair("drop", number, t)
				number++
				for i := first; i < len(out); i++ {
					out[i].Height = known(d.Drop.Millimetres())
				}
			}
		}
		if setup.Sweep != nil {
			for i := range setup.Sweep.Points {
				p := &setup.Sweep.Points[i]
				add("sweep", "", &p.Reading)
				out[len(out)-1].Height = known(p.Height.Millimetres())
			}
		}
		for _, m := range s.Marks {
			for i := range setup.Marks[m.Name] {
				add(m.Name, "", &setup.Marks[m.Name][i])
			}
		}
		add("closing", "", setup.ClosingTop)
		if setup.Closing != nil {
			pair("closing", 0, *setup.Closing)
		}
	}
	return out
}

func statedJSON(s sheet.Sheet) []jsonSaid {
	out := []jsonSaid{}
	for _, said := range s.Stated {
		out = append(out, jsonSaid{string(said.Path), said.Text})
	}
	return out
}
