package guide

import (
	"math"
	"slices"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// DoubtKind is what looks odd about the latest reading.
type DoubtKind uint8

// ArcApart: its pair blocks another arc than the pairs before. MiddleApart: the
// middle of its pair lies elsewhere. ReadingApart: the line was read elsewhere
// before. FarOff: the line comes up far from where it belongs. BeyondTurn: the
// number is larger than a turn, and those before were not. ContactApart: the
// contact lies elsewhere than the others of its side. DeepArc: the first pair shows
// that the stop blocks more than it needs to.
const (
	ArcApart DoubtKind = iota + 1
	MiddleApart
	ReadingApart
	FarOff
	BeyondTurn
	ContactApart
	DeepArc
)

// Doubt is a reason to read again while the engine still stands there.
type Doubt struct {
	Kind   DoubtKind
	Item   string
	Value  geometry.Angle // a half arc, a middle, a reading, or an offset
	Others geometry.Angle // what the earlier ones have on average
}

// What looks odd at the engine: common practice, no source. An honest pair
// repeats within a fifth of a degree, a line within its width.
const (
	apartDegrees geometry.Angle = 1
	apartSteps                  = 2
	farOff       geometry.Angle = 5
	deepArc      geometry.Angle = 35 // each side
)

// onTheSpot are the warnings that something can be done about while the engine
// stands there.
var onTheSpot = map[warning.Code]bool{ // only looked up
	warning.StopInDwell: true, warning.HalfArcCreeps: true, warning.HalfArcJumps: true, warning.StandsOut: true, warning.MiddlesDrift: true,
	warning.ScattersDiffer: true, warning.LostMotionSeen: true, warning.LostMotionDiffers: true, warning.DeclarationSuspect: true,
	warning.ReadoutMoved: true, warning.LineOrder: true, warning.SetupsDiffer: true, warning.RemountExceeded: true, warning.RockSeen: true,
}

// fresh lists the warnings that the latest reading brought.
func fresh(before, now *audit.Result) []warning.Warning {
	if now == nil {
		return nil
	}
	var out []warning.Warning
	for _, w := range now.Warnings {
		was := before != nil && slices.ContainsFunc(before.Warnings, func(o warning.Warning) bool {
			return o.Code == w.Code && o.Setup == w.Setup && o.Mark == w.Mark
		})
		if onTheSpot[w.Code] && !was {
			out = append(out, w)
		}
	}
	return out
}

// doubts looks at the latest reading, before any statistics can.
func doubts(s State) []Doubt {
	last, r := s.last(), s.view.Result
	if last == nil || last.Struck != "" {
		return nil
	}
	if value, beyond := beyondTurn(s, *last); beyond && !slices.ContainsFunc(s.rows[:len(s.rows)-1], func(o readings.Row) bool {
		_, beyond := beyondTurn(s, o)
		return beyond && o.Struck == ""
	}) {
		return []Doubt{{Kind: BeyondTurn, Item: last.Item, Value: value}}
	}
	if last.Item == "stop" {
		if d, off := offItsSide(s, *last, len(s.rows)-1); off && !partnerOff(s) {
			return []Doubt{d}
		}
	}
	if r == nil {
		return nil
	}
	limit := max(apartDegrees, apartSteps*s.view.Sheet.Readout.Step)
	switch last.Item {
	case "closing", "drop", "sweep", "top":
		return nil // the audit compares them
	case "stop":
		found := s.found()
		if found != nil && s.unpaired() < 0 && len(found.Middles) == 1 && found.HalfArc > deepArc {
			return []Doubt{{Kind: DeepArc, Item: last.Item, Value: found.HalfArc}}
		}
		if found == nil || s.unpaired() >= 0 || len(found.Middles) < 2 {
			return nil
		}
		var out []Doubt
		if d, ok := apart(found.HalfArcs, limit); ok {
			d.Kind, d.Item = ArcApart, last.Item
			out = append(out, d)
		}
		if d, ok := apart(found.Middles, limit); ok {
			d.Kind, d.Item, d.Value, d.Others = MiddleApart, last.Item, d.Value.Turn(), d.Others.Turn()
			out = append(out, d)
		}
		return out
	}
	setup := s.view.Sheet.Setups[len(s.view.Sheet.Setups)-1]
	for _, x := range s.view.Sheet.Setups {
		if x.Name == s.setup {
			setup = x
		}
	}
	all := setup.Marks[last.Item]
	if len(all) == 0 {
		return nil
	}
	latest := all[len(all)-1]
	var same []geometry.Angle
	for _, x := range all {
		if x.Approach == latest.Approach && !x.Struck {
			same = append(same, x.Value)
		}
	}
	same = geometry.Unwrap(same, same[0])
	if d, ok := apart(same, limit); ok && !s.onDial() { // there the audit tells, in millimetres
		d.Kind, d.Item = ReadingApart, last.Item
		return []Doubt{d}
	}
	if len(all) == 1 {
		for _, m := range r.ByLine() {
			if m.Name == last.Item && m.Offset != nil && m.Offset.Value.Abs() > farOff {
				return []Doubt{{Kind: FarOff, Item: last.Item, Value: m.Offset.Value}}
			}
		}
	}
	return nil
}

// partnerOff reports whether the other contact of the latest pair lies elsewhere
// than the others of its side: then the pair as a whole is odd.
func partnerOff(s State) bool {
	last := s.last()
	for i, r := range s.rows {
		if r.Setup == last.Setup && r.Item == last.Item && r.Trial == last.Trial && r.Approach != last.Approach {
			_, off := offItsSide(s, r, i)
			return off
		}
	}
	return false
}

// beyondTurn reports whether a row holds more than a turn of the readout: a
// counter may run on, but a slipped decimal point looks the same.
func beyondTurn(s State, row readings.Row) (geometry.Angle, bool) {
	if k := s.view.Sheet.Readout.Kind; k == sheet.Rim || k == sheet.Dial {
		return 0, false
	}
	value, _, err := geometry.ParseAngle(row.Reading)
	return value, err == nil && value.Abs() > 360
}

// apart compares the last of some angles with the mean of those before it.
func apart(all []geometry.Angle, limit geometry.Angle) (Doubt, bool) {
	n := len(all) - 1
	if n < 1 {
		return Doubt{}, false
	}
	var sum float64
	for _, a := range all[:n] {
		sum += a.Degrees()
	}
	d := Doubt{Value: all[n], Others: geometry.Angle(sum / float64(n))}
	const tie = 1e-9 // readings lie on graduations, so the limit is met exactly
	return d, math.Abs((d.Value - d.Others).Degrees()) > limit.Degrees()+tie
}
