package sheet

import (
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet/readings"
)

// Unfinished is a sheet while its readings are being taken.
type Unfinished struct {
	Sheet
	Readings string         // the file that the sheet names; empty where it names none
	Inline   bool           // the sheet holds readings itself
	Blank    bool           // it has setups, but no reading in them: those of the form
	Rows     []readings.Row // of the readings file
}

// ReadUnfinished reads a sheet as [Read] does, for someone who is about to take
// readings: a sheet without setups and readings is no fault, nor is a readings
// file that is not there yet or holds its header alone.
func ReadUnfinished(name string, data []byte, open Open) (Unfinished, inputerror.Positions, error) {
	r := newReader(name, open)
	r.unfinished = &Unfinished{}
	s, positions, err := r.read(data)
	r.unfinished.Sheet = s
	return *r.unfinished, positions, err
}

// holdsReadings reports whether anything under setups was read from a readout.
// Who read it and when says nothing yet.
func holdsReadings(n *node) bool {
	for i, item := range n.items {
		if n.kind == table {
			switch n.keys[i] {
			case "by", "date", "note", "mounting", "fitting", "cylinder":
				continue
			}
		}
		if item.kind == scalar && item.text != "" || holdsReadings(item) {
			return true
		}
	}
	return false
}
