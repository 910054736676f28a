package compare

import (
	"fmt"
	"slices"
	"testing"

	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// pulley is a sheet whose readings are those of a quiet wheel; each line comes up so
// many degrees late. Closing says whether every setup ends with a pair.
func pulley(on []string, late []float64, closing bool) sheet.Sheet {
	s := sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise},
		Part:    sheet.Part{MarksOn: sheet.OnPart, BondedRing: true},
		Readout: sheet.Readout{Step: 0.1, Counts: geometry.CountsUp},
		Limits:  sheet.Limits{Confidence: 0.95, Placement: sheet.DefaultPlacement},
	}
	for k := range 2 {
		setup := sheet.Setup{Name: fmt.Sprint(k + 1), Marks: map[string][]sheet.Reading{}}
		for i := range 4 {
			jitter := geometry.Angle(i%2) * 0.1
			setup.Trials = append(setup.Trials, sheet.Trial{
				Forward:  &sheet.Reading{Value: 335 + jitter, Approach: sheet.Forward},
				Backward: &sheet.Reading{Value: 25 - jitter, Approach: sheet.Backward},
			})
		}
		if closing {
			setup.Closing = &sheet.Trial{Forward: &sheet.Reading{Value: 335, Approach: sheet.Forward}, Backward: &sheet.Reading{Value: 25, Approach: sheet.Backward}}
		}
		for j, part := range on {
			name, at := fmt.Sprint("line ", j), geometry.Angle(60*j)
			if k == 0 {
				s.Marks = append(s.Marks, sheet.Mark{Name: name, At: at, AtText: fmt.Sprint(at), Tolerance: 1, On: part})
			}
			for i := range 3 {
				setup.Marks[name] = append(setup.Marks[name], sheet.Reading{Value: at + geometry.Angle(late[j]) + geometry.Angle(i%2)*0.1, Approach: sheet.Forward})
			}
		}
		s.Setups = append(s.Setups, setup)
	}
	return s
}

// What moved in itself is named, not what differs from the hub: the table of causes,
// worked by hand from which lines were moved.
func TestTheCauseIsThePartThatMoved(t *testing.T) {
	ring, hub := lines.OnRing, lines.OnHub
	both := []string{ring, ring, ring, hub, hub}
	for _, c := range []struct {
		name    string
		on      []string
		moved   []float64
		closing bool
		want    Cause
	}{
		{"nothing", both, []float64{0, 0, 0, 0, 0}, true, Unmoved},
		{"the ring, later", both, []float64{2, 2, 2, 0, 0}, true, Ring},
		{"the ring, earlier", both, []float64{-2, -2, -2, 0, 0}, true, Ring},
		{"all, with the hub", both, []float64{2, 2, 2, 2, 2}, true, Pointer},
		{"all, earlier", both, []float64{-2, -2, -2, -2, -2}, true, Pointer},
		{"the hub's line alone", []string{ring, ring, ring, hub}, []float64{0, 0, 0, 2}, true, HubLine},
		{"all that were read, none on the hub", []string{ring, ring, ring}, []float64{2, 2, 2}, true, RingOrPointer},
		{"all, and no closing pair", both, []float64{2, 2, 2, 2, 2}, false, Open},
	} {
		none := make([]float64, len(c.on))
		got, err := Sheets([]sheet.Sheet{pulley(c.on, none, c.closing), pulley(c.on, c.moved, c.closing)})
		if err != nil {
			t.Fatal(err)
		}
		if got.Steps[0].Cause != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got.Steps[0].Cause, c.want)
		}
		for _, part := range got.Steps[0].Parts {
			by := geometry.Angle(c.moved[slices.Index(c.on, part.On)]) // all of a part alike
			if e := part.Change; !e.Known || (e.Value-by).Abs() > e.Expanded || part.Moved != (by != 0) {
				t.Errorf("%s: the %s changed by %v ± %v, moved %v; want %v", c.name, part.On, e.Value, e.Expanded, part.Moved, by)
			}
		}
	}
}
