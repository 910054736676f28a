package repeatability

import (
	"slices"
	"strconv"

	"markaudit/audit/jobrecord"
)

// Readings are the values of a study for its record, in the order of the file.
func (d Data) Readings(slips []Slip) (out []jobrecord.Reading) {
	for i, v := range d.Values {
		x := jobrecord.Reading{Where: v.By + ", " + v.Mark + ", trial " + strconv.Itoa(v.Trial), Text: strconv.FormatFloat(v.Value.Degrees(), 'f', -1, 64)}
		if i < len(d.Lines) {
			x.Row = d.Lines[i]
		}
		if i < len(d.Texts) {
			x.Text = d.Texts[i]
		}
		x.Slip = slices.ContainsFunc(slips, func(s Slip) bool { return s.at == i })
		x.AsRead = x.Slip && d.AsRead
		out = append(out, x)
	}
	return out
}
