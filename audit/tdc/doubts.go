package tdc

import (
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// contactInputs are the doubts of a TDC that no repetition shows: piston rock,
// bearing slack, and offsets of which the side or the size is not known. There are
// none without stroke and rod, which turn a height into an angle.
func contactInputs(f *Found, in input, t Top) []uncertainty.Contribution {
	if !in.hasCrank {
		return nil
	}
	mean := func(of func(s Setup) float64) float64 {
		var sum float64
		for _, i := range t.Setups {
			sum += of(f.Setups[i]) / float64(len(t.Setups))
		}
		return sum
	}
	var out []uncertainty.Contribution
	if l := contactLimit(f, in); l.Half > 0 {
		out = append(out, uncertainty.By(uncertainty.LimitedLength(uncertainty.ContactHeight, t.Cylinder, l), mean(Setup.PerHeight)))
	}
	// Half of the limit is corrected where the sense is known, so that half is left.
	slack := mean(func(s Setup) float64 { return s.Hangs/2 + s.MayHang })
	if l := in.sheet.Limits.Slack; l.Half > 0 && slack > 0 {
		out = append(out, uncertainty.By(uncertainty.LimitedLength(uncertainty.Slack, t.Cylinder, l), slack))
	}
	for _, o := range []struct {
		source uncertainty.Source
		geometry.Limit[geometry.Length]
	}{
		{uncertainty.PinOffset, in.sheet.Engine.PinOffset.Limit},
		{uncertainty.BoreOffset, in.sheet.Engine.BoreOffset.Limit},
	} {
		if o.Half == 0 {
			continue
		}
		per := mean(func(s Setup) float64 {
			return float64(in.throughOffset(o.Half, s)-in.throughOffset(-o.Half, s)) / (2 * o.Half.Millimetres())
		})
		out = append(out, uncertainty.By(uncertainty.LimitedLength(o.source, t.Cylinder, o.Limit), per))
	}
	return out
}

// hang takes up what bearing slack does to one middle, or to the top of a sweep, of
// which a millimetre between its two sides makes so many degrees. Turning forward
// the rod pushes before the top and pulls after it, so that the piston hangs lower
// there by the slack, anywhere from none to its limit: the middle is early by up to
// that. Half of the limit is the correction, which is returned; it is never positive.
// Where the sheet does not say how the heights were approached nothing is corrected.
func (found *reached) hang(in input, taken sheet.Taken, perHeight float64) geometry.Angle {
	found.OneWay = found.OneWay || taken != sheet.Rising
	switch taken {
	case sheet.OneWay:
		found.Hangs += perHeight
		slack := geometry.Angle(-in.sheet.Limits.Slack.Half.Millimetres() / 2 * perHeight)
		found.Slack += slack
		return slack
	case sheet.Unknown:
		found.MayHang += perHeight
	}
	return 0
}

// contactLimit is how far the two contacts may differ in height: as stated, or as
// two stop depths show where that is more.
func contactLimit(f *Found, in input) geometry.Limit[geometry.Length] {
	if f.Rock != nil && f.Rock.Used {
		return geometry.Limit[geometry.Length]{Half: f.Rock.Limit}
	}
	return in.sheet.Limits.Contact
}

// throughOffset is the correction of every line of a setup if the offset of pin or
// bore were larger by extra.
func (in input) throughOffset(extra geometry.Length, s Setup) geometry.Angle {
	crank := in.crank
	crank.Offset += extra
	var c geometry.Angle
	if s.Method == sheet.Sweep {
		if fit, ok := fitSweep(in.readout, crank, in.sheet.Setups[s.Index].Sweep); ok {
			c = -in.readout.Counts() * (fit.top - s.Middle).Wrap()
		}
	} else if beta, err := crank.MidCorrection(s.HalfArc); err == nil {
		c = beta
	}
	if in.sheet.Engine.RefersToThrow {
		c += crank.ThrowToTDC()
	}
	return c
}

// StopInputs are the doubts of a stop that is still to be set to a half arc, and
// that no repetition will show.
func StopInputs(s sheet.Sheet, halfArc geometry.Angle) []uncertainty.Contribution {
	in := input{sheet: &s}
	in.crank, in.hasCrank = s.Engine.Crank()
	setup := Setup{HalfArc: halfArc, Method: sheet.Stop}
	if in.hasCrank {
		setup.PerDegree = in.crank.DropPerDegree(halfArc)
	}
	f := Found{Setups: []Setup{setup}}
	return contactInputs(&f, in, Top{Setups: []int{0}})
}
