package lines

import (
	"math"
	"slices"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// input is what stands before this stage.
type input struct {
	sheet   *sheet.Sheet
	readout readout.Readout
	top     tdc.Found
}

// Place finds where each line of a sheet comes up. The error is of type
// [inputerror.List].
func Place(s sheet.Sheet, r readout.Readout, top tdc.Found) (Placed, error) {
	in := input{sheet: &s, readout: r, top: top}
	if s.Readout.Kind == sheet.Dial {
		return newDial(in).place()
	}
	var p Placed
	var faults inputerror.List
	spreads := make([]stats.Scatter, len(s.Marks))
	for i, m := range s.Marks {
		l := Line{Mark: m}
		l.Zero = in.zero(s.Engine.Cylinder(m.Cylinder))
		l.Place = m.At + l.Zero
		var alone uncertainty.Combination
		var places []geometry.Angle
		for mounting := range top.Mountings {
			found, wrong := Sight(s, r, top, m, mounting, nil)
			faults = append(faults, wrong...)
			if found == nil {
				continue
			}
			l.Seen, places = append(l.Seen, found.Seen), append(places, found.place)
			alone.Inputs = uncertainty.Meet(alone.Inputs, found.inputs)
			spreads[i] = stats.Pool(spreads[i], found.scatter)
			l.Lost += found.lost
		}
		if n := float64(len(l.Seen)); n > 0 {
			l.Lost /= n
			l.Alone = alone.Times(1 / n)
			l.Alone.Groups = []uncertainty.Group{{Values: geometry.Unwrap(places, places[0])}}
		}
		if !wasRead(s, m.Name) {
			p.Warnings = append(p.Warnings, warning.Warning{Code: warning.NotRead, Mark: m.Name})
		}
		p.Lines = append(p.Lines, l)
	}
	if len(faults) == 0 && top.Any() {
		faults = contradicted(s, top, p.Lines)
	}
	if len(faults) > 0 {
		return Placed{}, faults
	}
	p.Warnings = append(p.Warnings, shareScatter(p.Lines, spreads, r.Step())...)
	in.pastReadings(p.Lines, spreads, &p)
	for i := range p.Lines {
		if p.Lines[i].Read() {
			in.combine(&p.Lines[i])
			p.Warnings = append(p.Warnings, in.judge(&p.Lines[i], p.Lines)...)
		}
	}
	in.pastMountings(p.Lines, &p)
	if stepHides(p.Lines) {
		p.Warnings = append(p.Warnings, warning.Warning{Code: warning.StepCoarse})
	}
	return p, nil
}

// wasRead reports whether any setup has a reading of the mark that counts, also
// a setup without a usable pair of contacts, which has its own warning.
func wasRead(s sheet.Sheet, mark string) bool {
	for _, setup := range s.Setups {
		for _, r := range setup.Marks[mark] {
			if !r.Struck {
				return true
			}
		}
	}
	return false
}

// zero is how far a cylinder's TDC comes after that of the reference cylinder:
// as found where both were, else as declared.
func (in input) zero(cylinder string) geometry.Angle {
	declared := in.sheet.Engine.Declared(cylinder)
	reference := in.sheet.Engine.Cylinder("")
	var found []geometry.Angle
	for _, m := range in.top.Mountings {
		first, one := m.Top(reference)
		second, two := m.Top(cylinder)
		if one && two {
			found = append(found, tdc.Apart(*in.sheet, first, second))
		}
	}
	if len(found) == 0 || reference == cylinder {
		return declared
	}
	return stats.MeanAngle(geometry.Unwrap(found, declared))
}

// zeroFor is the TDC that a line counts from in one mounting: that of its
// cylinder where it was found, else the first, and how far the line's cylinder
// comes after that one by the sheet.
func zeroFor(s sheet.Sheet, m tdc.Mounting, cylinder string) (t tdc.Top, later geometry.Angle) {
	if t, ok := m.Top(cylinder); ok {
		return t, 0
	}
	t = m.Tops[0]
	return t, s.Engine.Declared(cylinder) - s.Engine.Declared(t.Cylinder)
}

// Sighting is a line in one mounting, or in some setups of it, with what it
// depends on besides TDC.
type Sighting struct {
	Seen
	inputs  []uncertainty.Contribution // what the readout does to Reading
	place   geometry.Angle             // where the line comes up, counted from the first TDC of the mounting
	scatter stats.Scatter              // of the readings about the mean of their side
	lost    float64
}

// Sight takes the readings of one line in one mounting of the readout to an
// offset. setups are those of the mounting that count, nil for all. It returns nil
// where the line was not read there.
func Sight(s sheet.Sheet, r readout.Readout, top tdc.Found, m sheet.Mark, mounting int, setups []int) (*Sighting, inputerror.List) {
	if s.Readout.Kind == sheet.Dial { // whose mountings are setups
		seen, scatter, ok := newDial(input{sheet: &s, readout: r, top: top}).see(m, mounting)
		if !ok {
			return nil, nil
		}
		return &Sighting{Seen: seen, scatter: scatter}, nil
	}
	at := top.Mountings[mounting]
	if setups == nil {
		setups = at.Setups
	}
	t, later := zeroFor(s, at, s.Engine.Cylinder(m.Cylinder))
	var all []geometry.Angle
	var forward int
	var read readout.Sensitivity
	for _, approach := range []sheet.Approach{sheet.Forward, sheet.Backward} {
		for _, i := range setups {
			for _, x := range s.Setups[i].Marks[m.Name] {
				if !x.Struck && x.Approach == approach {
					all = append(all, r.Value(&x))
					read = read.Plus(r.Reading(&x), 1)
				}
			}
		}
		if approach == sheet.Forward {
			forward = len(all)
		}
	}
	if len(all) == 0 {
		return nil, nil
	}
	first := s.Setups[setups[0]]
	all, together := stats.Gather(all)
	if !together {
		return nil, inputerror.List{{
			Path: first.Path + inputerror.Path(".marks."+m.Name), Text: "the readings of this line lie all round the circle, expected them close to each other",
			Hint: "strike the ones that belong to another line",
		}}
	}
	out := &Sighting{Seen: Seen{At: tdc.Zero{Mounting: mounting, Cylinder: t.Cylinder}, Later: later, Forward: all[:forward:forward], Backward: all[forward:]}}
	sides, mean := 0.0, geometry.Angle(0)
	for _, side := range [][]geometry.Angle{out.Forward, out.Backward} {
		if len(side) == 0 {
			continue
		}
		ss, dof := stats.Spread(side)
		if dof > 0 {
			out.scatter = stats.Pool(out.scatter, stats.Scatter{Variance: ss / dof, DOF: dof})
		}
		mean += stats.MeanAngle(side)
		out.PerLine += 1 / float64(len(side))
		sides++
	}
	out.Reading = mean / geometry.Angle(sides)
	out.PerLine /= sides * sides
	// The wheel's phase counts from one place of the crank in all mountings.
	own := read.Over(float64(len(all)))
	own.Wheel = readout.Phase(out.Reading - at.Origin(s))
	if sides == 1 {
		own.Lost = 0.5
		if len(out.Backward) > 0 {
			own.Lost = -0.5
		}
	}
	reach := readout.Sensitivity{Lost: own.Lost - t.Lost}
	if t.Unsaid {
		reach.Unsaid = 1
	}
	lost, reach := r.LostMotion(reach)
	out.lost = reach.Lost
	correction := t.Correction + lost
	if s.Engine.RefersToThrow {
		correction += top.ThrowToTDC
	}
	out.Offset = (r.Counts()*(out.Reading-t.Middle) - (m.At + later) + correction).Wrap()
	out.inputs = r.Inputs(own)
	out.place = m.At + later + out.Offset + tdc.Apart(s, at.Tops[0], t)
	return out, nil
}

// Singly returns the offset by each reading, forward ones first, with what the
// two sides differ by shared between them as in the line's own offset.
func (s Seen) Singly(counts geometry.Sense) []geometry.Angle {
	var out []geometry.Angle
	for _, side := range [][]geometry.Angle{s.Forward, s.Backward} {
		if len(side) == 0 {
			continue
		}
		m := stats.MeanAngle(side)
		for _, r := range side {
			out = append(out, s.Offset+geometry.Angle(counts)*(r-m))
		}
	}
	return out
}

// combine gives a line's offset everything that it depends on.
func (in input) combine(l *Line) {
	step := uncertainty.By(uncertainty.Rounded(uncertainty.StepAtLine, l.Name, uncertainty.Rectangular, in.readout.Step()/2), 1)
	alike := in.zeroedAlike(l.Zeros())
	group := uncertainty.Group{Alike: alike, Scatter: []uncertainty.Contribution{l.Scatter.contribution(*l)}, Rounding: []uncertainty.Contribution{step}}
	parts := make([]uncertainty.Combination, len(l.Seen))
	for i, seen := range l.Seen {
		parts[i] = in.top.At(seen.At).At
	}
	below := uncertainty.Mean(parts, alike).Times(-1)
	group.Mountings = below.Groups[0].Mountings
	alone := group
	alone.Values = l.Alone.Groups[0].Values
	group.Values = l.Offsets()
	if l.Before.Used { // for the interval alone: what compares lines goes by today's readings
		group.Scatter = []uncertainty.Contribution{in.joined(*l).contribution(*l)}
	}
	group.Before = in.before(l, alike)
	group.Scatter = append(below.Groups[0].Scatter, group.Scatter...)
	group.Rounding = append(below.Groups[0].Rounding, group.Rounding...)
	inputs := uncertainty.Meet(below.Inputs, l.Alone.Inputs)
	inputs = uncertainty.Meet(inputs, in.nominal(l))
	l.From = uncertainty.Combination{Groups: []uncertainty.Group{group}, Inputs: in.settleLostMotion(inputs, l)}
	fixed := Fixed(*in.sheet, group.Mountings)
	if group.Before != nil { // the past has remounting in it
		fixed = slices.DeleteFunc(fixed, func(x uncertainty.Contribution) bool { return x.Source == uncertainty.Remounting })
	}
	l.From.Inputs = append(l.From.Inputs, fixed...)
	l.Alone = uncertainty.Combination{Groups: []uncertainty.Group{alone}, Inputs: l.Alone.Inputs}
}

// settleLostMotion moves the sensitivity to the lost motion over to the doubt of
// an approach that is not stated, where the sheet leaves open which way it goes.
func (in input) settleLostMotion(inputs []uncertainty.Contribution, l *Line) []uncertainty.Contribution {
	if !in.sheet.Readout.HasLostMotion {
		return inputs
	}
	if !slices.ContainsFunc(inputs, func(x uncertainty.Contribution) bool { return x.Source == uncertainty.LostMotion }) {
		// Line and TDC lose alike. The budget still shows that lost motion was thought of.
		inputs = append(inputs, uncertainty.By(in.readout.LostMotionInput(), 0))
	}
	c := uncertainty.Combination{Inputs: inputs}
	unsaid := c.Sensitivity(uncertainty.LostMotionUnsaid)
	if unsaid == 0 {
		return inputs
	}
	var moved float64
	for _, seen := range l.Seen {
		t := in.top.At(seen.At)
		if t.Unsaid {
			own := 0.0
			if len(seen.Forward) == 0 || len(seen.Backward) == 0 {
				own = 0.5
				if len(seen.Backward) > 0 {
					own = -0.5
				}
			}
			moved += math.Abs(own-t.Lost) / float64(len(l.Seen))
		}
	}
	for i, x := range c.Inputs {
		switch x.Source {
		case uncertainty.LostMotion:
			c.Inputs[i].Sensitivity = []float64{l.Lost}
		case uncertainty.LostMotionUnsaid:
			c.Inputs[i].Sensitivity = []float64{math.Abs(unsaid) + moved}
		}
	}
	return c.Inputs
}

// zeroedAlike reports whether TDC reads the same in all mountings to a step: then
// rounding is the same in all of them and does not average out.
func (in input) zeroedAlike(zeros []tdc.Zero) bool {
	middles := make([]geometry.Angle, len(zeros))
	for i, z := range zeros {
		middles[i] = in.top.At(z).Middle
	}
	lo, hi := stats.Extremes(geometry.Unwrap(middles, middles[0]))
	return hi-lo <= in.readout.Step()+geometry.Tie
}

// Fixed are the doubts of a line's offset, in some mountings, that further readings
// cannot reduce; those of readout and TDC are left out.
func Fixed(s sheet.Sheet, mountings []string) []uncertainty.Contribution {
	var out []uncertainty.Contribution
	if l := s.Part.Sighting; l.Half > 0 {
		half := s.Part.OfCrank(geometry.Rim{Diameter: s.Part.Diameter}.AngleFromArc(l.Half))
		out = append(out, uncertainty.By(uncertainty.Limited(uncertainty.Sighting, "part", geometry.Limit[geometry.Angle]{Half: half, K: l.K}), 1))
	}
	if l := s.Limits.Remount; l.Half > 0 && len(mountings) < uncertainty.EnoughSetups {
		for _, m := range mountings {
			out = append(out, uncertainty.By(uncertainty.Limited(uncertainty.Remounting, m, l), 1/float64(len(mountings))))
		}
	}
	return out
}
