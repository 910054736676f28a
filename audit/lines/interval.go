package lines

import (
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// judge gives a line its interval and its probability of conformity.
func (in input) judge(l *Line, all []Line) (out []warning.Warning) {
	if len(l.Seen) >= uncertainty.EnoughSetups || in.sheet.Limits.Remount.Half > 0 || l.Remounted.Used {
		l.Covers = Remounting
	}
	offset := stats.MeanAngle(l.Offsets()).Wrap()
	from := l.From
	if limit := DiameterLimit(*in.sheet, offset); in.sheet.Part.DiameterLimit.Half > 0 && in.sheet.Readout.Kind != sheet.Rim {
		// The angle does not depend on the diameter; the arc in millimetres does.
		from = from.With(uncertainty.By(uncertainty.Limited(uncertainty.DiameterOfLengths, "part", limit), 0))
	}
	e, sum := from.Evaluate(in.sheet.Limits.Confidence)
	e.Value = offset
	l.Offset, l.ComesUpAt = &e, l.At+offset
	l.OnRim = Along(*in.sheet, e)
	if in.readout.Corrected() {
		l.Corrected = in.readout.Later(l.From)
	}
	if crank, ok := in.sheet.Engine.Crank(); ok && l.Drop > 0 {
		l.DropAt = crank.Drop(in.fromPistonTop(l.ComesUpAt))
	}
	l.NotIncluded = NotIncluded(*in.sheet, in.top, all)
	if !e.Known {
		switch {
		case in.stopKnown(*l):
			return append(out, warning.Warning{Code: warning.ReadOnce, Mark: l.Name})
		case len(in.top.Setups) >= uncertainty.EnoughSetups: // but this line was read in fewer
			return append(out, warning.Warning{Code: warning.OneTrial, Mark: l.Name})
		}
		return out
	}
	early, late := l.Allowed()
	l.Conformity = sum.Sides(offset, early, late)
	if e.Expanded > l.Tolerance {
		out = append(out, warning.Warning{Code: warning.UAboveTolerance, Mark: l.Name, Values: []float64{e.Expanded.Degrees(), l.Tolerance.Degrees()}})
	}
	if len(l.Seen) < uncertainty.EnoughSetups && l.Scatter.DOF == 1 && l.Readings() == 2 {
		out = append(out, warning.Warning{Code: warning.ReadTwice, Mark: l.Name})
	}
	return out
}

// stopKnown reports whether the TDC that a line counts from shows scatter.
func (in input) stopKnown(l Line) bool {
	for _, z := range l.Zeros() {
		for _, i := range in.top.At(z).Setups {
			if in.top.Setups[i].ScatterDOF == 0 {
				return false
			}
		}
	}
	return true
}

// fromPistonTop counts an angle from the piston's top where the sheet counts from
// the throw's.
func (in input) fromPistonTop(at geometry.Angle) geometry.Angle {
	if in.sheet.Engine.RefersToThrow {
		return at - in.top.ThrowToTDC
	}
	return at
}

// stepHides reports whether anywhere the step hides the scatter.
func stepHides(lines []Line) bool {
	for _, l := range lines {
		if l.Offset == nil || !l.Offset.Known {
			continue
		}
		rows, _ := l.From.WithinMountings().Budget()
		if slices.ContainsFunc(rows, func(r uncertainty.Row) bool { return r.Idle && r.Source.Scatters() }) {
			return true
		}
	}
	return false
}

// NotIncluded names the doubts that nothing on the sheet covers.
func NotIncluded(s sheet.Sheet, top tdc.Found, all []Line) []warning.Code {
	var out []warning.Code
	if s.Part.Sighting.Half == 0 {
		out = append(out, warning.SightingMissing)
	}
	if _, ok := s.Engine.Crank(); !ok || s.Limits.Contact.Half == 0 {
		out = append(out, warning.RockMissing)
	}
	if s.Readout.Kind == sheet.Wheel && s.Readout.OffCentre == 0 && s.Readout.Correction == nil {
		out = append(out, warning.CentringMissing)
	}
	// A wheel is bolted to the crank; an encoder hangs on a belt or a friction
	// wheel, and loses something when the engine is reversed.
	oneSided := slices.ContainsFunc(all, func(l Line) bool { return l.Read() && l.Lost != 0 })
	if s.Readout.Kind == sheet.Encoder && !s.Readout.HasLostMotion && oneSided {
		out = append(out, warning.LostMotionMissing)
	}
	// Any TDC was read in one turning direction, or may have been.
	oneWay := slices.ContainsFunc(top.Setups, func(s tdc.Setup) bool { return s.OneWay })
	if oneWay && s.Limits.Slack.Half == 0 {
		out = append(out, warning.SlackMissing)
	}
	return out
}
