package audit

import (
	"slices"

	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Afterwards is what the sheet says of the time after scribing, held against what
// the report ordered. None of it is a verdict, and none of it is proof of a new
// line: that is an audit of its own.
type Afterwards struct {
	Dividers []DistanceFound
	Again    []LineAgain
}

// DistanceFound is a distance straight across, as dividers found it after
// scribing.
type DistanceFound struct {
	From, To         string
	Measured, Should geometry.Length
	U                geometry.Length // expanded uncertainty of Should, the placing of new lines included; zero where it is not known
	Computed         bool            // Should is known: both lines were read, and there is a diameter
	Agrees           bool            // Measured is within U of Should; false where U is not known
}

// LineAgain is a line that was read once more after scribing, counted from TDC as
// the last setup found it.
type LineAgain struct {
	Name      string
	Setup     string         // the last one that found TDC
	Offset    geometry.Angle // how much later it comes up than it belongs
	ComesUpAt geometry.Angle
	Ordered   bool           // a new line was ordered, or a move of all lines
	Expected  geometry.Angle // the offset that the order leaves; then
	Allowed   geometry.Angle // how far from Expected it may be: the ± that the order named, placing included
	AsOrdered bool
}

// afterwards holds what was found after scribing against what was ordered.
func afterwards(s sheet.Sheet, shown readout.Readout, top tdc.Found, placed []lines.Line, told diagnosis.Diagnosis, advice advise.Advice) *Afterwards {
	if s.After == nil {
		return nil
	}
	var a Afterwards
	index := func(name string) int {
		return slices.IndexFunc(placed, func(l lines.Line) bool { return l.Name == name })
	}
	for _, d := range s.After.Dividers {
		found := DistanceFound{From: d.From, To: d.To, Measured: d.Measured}
		if between, u, ok := advice.Straight(s, top, placed, index(d.From), index(d.To)); ok {
			found.Should, found.U, found.Computed = between.After, u, true
			found.Agrees = u > 0 && max(d.Measured-found.Should, found.Should-d.Measured) <= u
		}
		a.Dividers = append(a.Dividers, found)
	}
	mounting, setup := lastFound(top)
	if mounting < 0 {
		return &a
	}
	again := s
	again.Setups = slices.Clone(s.Setups)
	again.Setups[setup].Marks = s.After.ReadAgain
	for i, m := range s.Marks {
		sighted, wrong := lines.Sight(again, shown, top, m, mounting, []int{setup})
		if sighted == nil || len(wrong) > 0 {
			continue
		}
		l := LineAgain{Name: m.Name, Setup: s.Setups[setup].Name, Offset: sighted.Offset, ComesUpAt: m.At + sighted.Offset}
		l.ordered(s, placed[i], told, advice, i)
		a.Again = append(a.Again, l)
	}
	return &a
}

// lastFound is the last setup that found TDC, with its mounting; -1 where none did.
func lastFound(top tdc.Found) (mounting, setup int) {
	mounting, setup = -1, -1
	for k, m := range top.Mountings {
		for _, i := range m.Setups {
			if i > setup {
				mounting, setup = k, i
			}
		}
	}
	return mounting, setup
}

// ordered holds a line that was read again against what was ordered for it.
func (l *LineAgain) ordered(s sheet.Sheet, was lines.Line, told diagnosis.Diagnosis, advice advise.Advice, i int) {
	if was.Offset == nil {
		return
	}
	own, all := advice.Lines[i], advice.Together
	switch {
	case own.Worthwhile:
		l.Ordered, l.Allowed = true, own.Then(s)
		if told.Decisions[i].After {
			l.Expected = was.Offset.Value - told.Decisions[i].Late
		}
		if !own.HasLengths { // the placing cannot be said in degrees
			l.Allowed = was.Offset.Expanded
		}
	case all.Worthwhile && slices.Contains(told.Sharing, told.Decisions[i].Line):
		l.Ordered, l.Allowed, l.Expected = true, all.Then(s), was.Offset.Value-advice.Shared.Value
		if !all.HasLengths {
			l.Allowed = was.Offset.Expanded
		}
	default:
		return
	}
	l.AsOrdered = (l.Offset - l.Expected).Abs() <= l.Allowed+geometry.Tie
}

// paperwork warns of what the sheet's own papers say: an instrument whose
// certificate had ended, a photo that is another one, a check by eye that failed.
func paperwork(s sheet.Sheet) (out []warning.Warning) {
	if s.EyeCheckFailed() {
		out = append(out, warning.Warning{Code: warning.EyeCheckFailed})
	}
	overdue, day, _ := s.Due()
	for _, i := range overdue {
		out = append(out, warning.Warning{Code: warning.InstrumentOverdue, Names: []string{i.Role, i.Name, i.Due, day.Format("2006-01-02")}})
	}
	for _, p := range s.Photos {
		switch p.State {
		case sheet.Changed:
			out = append(out, warning.Warning{Code: warning.PhotoChanged, Names: []string{p.File, p.Digest, p.Found}})
		case sheet.Missing:
			out = append(out, warning.Warning{Code: warning.PhotoMissing, Names: []string{p.File}})
		}
	}
	return out
}
