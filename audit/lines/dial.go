package lines

import (
	"fmt"
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Drop is a line by a dial in the plug hole: how far the piston has dropped where the
// line comes up. Its interval is one of the drop, in millimetres. In degrees that has
// two sides of their own, for a piston drops ever faster from its top on.
type Drop struct {
	Found     geometry.Length // along the cylinder
	U         geometry.Length // expanded
	Belongs   geometry.Length // where the line belongs
	Side      geometry.Letters
	SideTold  bool           // the doubt does not reach over TDC
	Proven    bool           // the dial further on shows the side, not the letters alone
	Low, High geometry.Angle // the interval of the offset
	PerDegree geometry.Length
	Firm      bool // both sides are nearly alike, so that the line may be held against others
}

// Limits of a dial. Both computed: below firmDrop the two sides of an interval differ
// by more than a seventh, and within nearTop of TDC scatter in degrees means nothing.
const (
	firmDrop                = 4
	nearTop  geometry.Angle = 5
	leastTop geometry.Angle = 0.5 // from TDC: nearer there is no slope to divide by
)

// DialSlope is the slope by which moves of a dial are told in degrees where lines are
// weighed against each other: the usual one at 10 degrees of a small engine.
const DialSlope geometry.Length = 0.1

// dial is what turns a dial's readings into places.
type dial struct {
	input
	crank geometry.Crank
	along geometry.Length
	bdc   geometry.Angle
}

func newDial(in input) dial {
	crank, _ := in.sheet.Engine.Crank() // the sheet was checked for it
	return dial{in, crank, in.sheet.Readout.Along(), crank.PistonBDC()}
}

// place places the lines of a sheet of which the readout is a dial.
func (d dial) place() (Placed, error) {
	var p Placed
	var faults inputerror.List
	spreads := make([]stats.Scatter, len(d.sheet.Marks))
	for i, m := range d.sheet.Marks {
		l := Line{Mark: m, Zero: d.sheet.Engine.Declared(d.sheet.Engine.Cylinder(m.Cylinder))}
		l.Place = m.At + l.Zero
		for mounting := range d.top.Mountings {
			if seen, scatter, ok := d.see(m, mounting); ok {
				l.Seen = append(l.Seen, seen)
				spreads[i] = stats.Pool(spreads[i], scatter)
			}
		}
		if !wasRead(*d.sheet, m.Name) {
			p.Warnings = append(p.Warnings, warning.Warning{Code: warning.NotRead, Mark: m.Name})
		}
		p.Lines = append(p.Lines, l)
	}
	p.Warnings = append(p.Warnings, d.shareDialScatter(p.Lines, spreads)...)
	for i := range p.Lines {
		if !p.Lines[i].Read() {
			continue
		}
		warnings, wrong := d.judge(&p.Lines[i])
		p.Warnings, faults = append(p.Warnings, warnings...), append(faults, wrong...)
	}
	if len(faults) > 0 {
		return Placed{}, faults
	}
	if stepHides(p.Lines) {
		p.Warnings = append(p.Warnings, warning.Warning{Code: warning.StepCoarse})
	}
	return p, nil
}

// sign is -1 before TDC and 1 after it.
func sign(side geometry.Letters) float64 {
	if side == geometry.BTDC {
		return -1
	}
	return 1
}

// side is on which side of TDC a line is taken to lie, and whether the sheet says so.
func (d dial) side(m sheet.Mark) (side geometry.Letters, said bool) {
	if side = d.sheet.SideOf(m); side != geometry.NoLetters {
		return side, true
	}
	if d.fromTop(m.At) < 0 {
		return geometry.BTDC, false
	}
	return geometry.ATDC, false
}

// fromTop counts a crank angle of the sheet from the piston's top.
func (d dial) fromTop(at geometry.Angle) geometry.Angle {
	if d.sheet.Engine.RefersToThrow {
		at -= d.crank.ThrowToTDC()
	}
	return at.Wrap()
}

// at is where the crank stands at a drop: beyond its ends, at the top or the bottom.
func (d dial) at(drop geometry.Length, side geometry.Letters) geometry.Angle {
	a, err := d.crank.AngleOfDrop(max(0, drop), side)
	switch {
	case err == nil:
		return a
	case side == geometry.BTDC:
		return d.bdc - 360
	}
	return d.bdc
}

// slope is the millimetres of a degree where a line comes up.
func (d dial) slope(at geometry.Angle) float64 {
	return d.crank.SlopeAt(at).Abs().Millimetres()
}

// steep keeps a slope from nothing, as it is at TDC itself.
func (d dial) steep(at geometry.Angle) float64 {
	return max(d.slope(at), d.slope(leastTop), 1e-9)
}

// see takes the readings of one line in one setup to a drop. Where the piston sank as
// the line came, dial and bearings hang behind the top, which was read as it rose:
// half of the slack's limit and all of the dial's lost motion are put back.
func (d dial) see(m sheet.Mark, mounting int) (Seen, stats.Scatter, bool) {
	at := d.top.Mountings[mounting]
	side, _ := d.side(m)
	sides := map[sheet.Approach][]geometry.Angle{} // what the dial shows, in millimetres; only looked up
	for _, i := range at.Setups {
		for _, x := range d.sheet.Setups[i].Marks[m.Name] {
			if !x.Struck {
				sides[x.Approach] = append(sides[x.Approach], geometry.Angle(x.Length))
			}
		}
	}
	seen := Seen{At: tdc.Zero{Mounting: mounting, Cylinder: at.Tops[0].Cylinder}}
	height := d.top.Setups[at.Tops[0].Setups[0]].Height
	var n, mean, sinking float64
	var scatter stats.Scatter
	for _, way := range []sheet.Approach{sheet.Forward, sheet.Backward} {
		all := sides[way]
		if len(all) == 0 {
			continue
		}
		ss, dof := stats.Spread(all)
		if dof > 0 {
			scatter = stats.Pool(scatter, stats.Scatter{Variance: ss / dof, DOF: dof})
		}
		n++
		mean += stats.MeanAngle(all).Degrees()
		seen.PerLine += 1 / float64(len(all))
		if (way == sheet.Backward) == (side == geometry.BTDC) {
			sinking++
		}
	}
	if n == 0 {
		return Seen{}, scatter, false
	}
	seen.PerLine /= n * n
	seen.Shown, seen.Sinking = geometry.Length(mean/n), sinking/n
	seen.Drop = d.below(at, seen.Shown-height.Shown)*d.along + geometry.Length(seen.Sinking)*d.hangs()
	theta := d.at(seen.Drop, side)
	seen.Reading = theta
	seen.Offset = (theta - d.fromTop(m.At)).Wrap()
	// Readings in degrees, as the slope at their mean has it, for figures and scatter.
	per := geometry.Angle(sign(side) * d.along.Millimetres() / d.steep(theta))
	spread := func(all []geometry.Angle) (out []geometry.Angle) {
		for _, x := range all {
			away := x - geometry.Angle(mean/n)
			if d.below(at, 1) < 0 {
				away = -away
			}
			out = append(out, theta+per*away)
		}
		return out
	}
	seen.Forward, seen.Backward = spread(sides[sheet.Forward]), spread(sides[sheet.Backward])
	scatter.Variance *= stats.Square(float64(per))
	return seen, scatter, true
}

// below is how far below the top a reading lies that differs from it by so much. A dial
// counts either way as the piston sinks, which the line furthest down tells; close to
// the top a piston that hangs may stand above it.
func (d dial) below(m tdc.Mounting, apart geometry.Length) geometry.Length {
	var furthest geometry.Length
	for _, i := range m.Setups {
		top, _ := d.sheet.Setups[i].TopOf()
		for _, mark := range d.sheet.Marks {
			for _, x := range d.sheet.Setups[i].Marks[mark.Name] {
				if away := x.Length - top; !x.Struck && away.Abs() > furthest.Abs() {
					furthest = away
				}
			}
		}
	}
	if furthest < 0 {
		return -apart
	}
	return apart
}

// hangs is by how much the drop of a sinking piston comes out too small.
func (d dial) hangs() geometry.Length {
	return d.sheet.Readout.LostLength*d.along + d.sheet.Limits.Slack.Half/2
}

// shareDialScatter gives each line the scatter that its interval uses, as for any readout.
// A line close to TDC keeps its own: degrees stretch there.
func (d dial) shareDialScatter(all []Line, spreads []stats.Scatter) []warning.Warning {
	pooled := make([]stats.Scatter, len(all))
	var step geometry.Angle
	for i, l := range all {
		if l.Read() && l.Seen[0].Reading.Abs() > nearTop {
			pooled[i] = spreads[i]
			step = max(step, geometry.Angle(d.sheet.Readout.StepLength.Millimetres()*d.along.Millimetres()/d.steep(l.Seen[0].Reading)))
		}
	}
	warnings := shareScatter(all, pooled, step)
	for i := range all {
		if l := &all[i]; l.Read() && l.Seen[0].Reading.Abs() <= nearTop {
			l.Scatter = Scatter{SD: deviation(spreads[i]), DOF: spreads[i].DOF}
			l.Compared = l.Scatter
		}
	}
	return warnings
}

// judge gives a line its drop, its interval and its probabilities.
func (d dial) judge(l *Line) (warnings []warning.Warning, faults inputerror.List) {
	side, said := d.side(l.Mark)
	var h geometry.Length
	for _, s := range l.Seen {
		h += s.Drop / geometry.Length(len(l.Seen))
	}
	theta, belongs := d.at(h, side), d.fromTop(l.At)
	drop := &Drop{Found: max(0, h), Belongs: d.crank.Drop(belongs), Side: side, PerDegree: geometry.Length(d.slope(theta))}
	if l.Mark.Drop > 0 {
		drop.Belongs = l.Mark.Drop
	}
	l.ByDial, l.DropAt = drop, drop.Found
	mm := d.combination(l, h, theta, side)
	e, sum := mm.Evaluate(d.sheet.Limits.Confidence)
	drop.U = geometry.Length(e.Expanded)
	offset := (theta - belongs).Wrap()
	low, high := theta, theta
	if e.Known {
		low, high, drop.SideTold = d.interval(h, drop.U, side)
	}
	drop.Low, drop.High = offset+low-theta, offset+high-theta
	drop.Firm = e.Known && drop.SideTold && firmDrop*drop.U <= h && firmDrop*drop.U <= d.travel()-h
	if !said && e.Known && drop.SideTold {
		path := l.Path
		return nil, inputerror.List{{
			Path: path + ".name", Text: fmt.Sprintf("found readings of %s without a side, %.2f below the top, expected BTDC or ATDC behind them", inputerror.Shown(l.Name), h),
			Hint: "on which side of TDC does the crank stand? The dial shows every drop twice. Or say how it moves further on: further: [at the line, a few degrees further]",
		}}
	}
	_, told := d.sheet.Further(l.Mark)
	if drop.Proven = told; !told && drop.SideTold {
		warnings = append(warnings, warning.Warning{Code: warning.SideNotProven, Mark: l.Name})
	}
	// Degrees are those of the larger side, so that every row, and their sum, is that
	// of the interval in millimetres at one slope.
	per := d.steep(theta)
	if u := max(high-theta, theta-low); e.Expanded > 0 && u > 0 {
		per = e.Expanded.Degrees() / u.Degrees()
	}
	l.From = mm.Times(sign(side) / per)
	for i := range l.From.Groups[0].Values {
		l.From.Groups[0].Values[i] += offset - geometry.Angle(sign(side)*h.Millimetres()/per)
	}
	l.Alone = l.From
	degrees, _ := l.From.Evaluate(d.sheet.Limits.Confidence)
	degrees.Value = offset
	l.Offset, l.ComesUpAt = &degrees, l.At+offset
	l.OnRim = Along(*d.sheet, degrees)
	if len(l.Seen) >= uncertainty.EnoughSetups || d.sheet.Limits.Remount.Half > 0 {
		l.Covers = Remounting
	}
	l.NotIncluded = d.notIncluded(l)
	if !e.Known {
		if d.top.DOF > 0 {
			warnings = append(warnings, warning.Warning{Code: warning.ReadOnce, Mark: l.Name})
		}
		return warnings, nil
	}
	l.Conformity = d.sides(l.Mark, h, sum, side)
	if (high-low)/2 > l.Tolerance {
		warnings = append(warnings, warning.Warning{Code: warning.UAboveTolerance, Mark: l.Name, Values: []float64{(high - low).Degrees() / 2, l.Tolerance.Degrees()}})
	}
	if len(l.Seen) < uncertainty.EnoughSetups && l.Scatter.DOF == 1 && l.Readings() == 2 {
		warnings = append(warnings, warning.Warning{Code: warning.ReadTwice, Mark: l.Name})
	}
	return warnings, nil
}

func (d dial) travel() geometry.Length { return d.crank.Drop(d.bdc) }

// interval turns the interval of a drop into one of the angle. Where the doubt reaches
// over TDC, or over the piston's lowest point, nothing tells the side.
func (d dial) interval(h, u geometry.Length, side geometry.Letters) (low, high geometry.Angle, told bool) {
	least, most := h-u, h+u
	switch {
	case least <= 0:
		return d.at(most, geometry.BTDC), d.at(most, geometry.ATDC), false
	case most >= d.travel() && side == geometry.BTDC:
		return d.at(least, geometry.ATDC) - 360, d.at(least, side), false
	case most >= d.travel():
		return d.at(least, side), d.at(least, geometry.BTDC) + 360, false
	case side == geometry.BTDC:
		return d.at(most, side), d.at(least, side), true
	}
	return d.at(least, side), d.at(most, side), true
}

// sides are the probabilities of a line. They are those of the drop: the borders are
// the drops at the ends of the tolerance, and one at or beyond TDC takes all drops
// below it. Where the drop does not tell the side at the probability of a verdict, each
// is the smaller of the two sides, and they add up to less than one.
func (d dial) sides(m sheet.Mark, h geometry.Length, sum uncertainty.Sum, side geometry.Letters) uncertainty.Sides {
	out := d.onSide(m, h, sum, side)
	if half := geometry.Length(sum.HalfWidth(2*d.sheet.Limits.Threshold() - 1)); h > half && d.travel()-h > half {
		return out
	}
	other := d.onSide(m, h, sum, geometry.BTDC+geometry.ATDC-side)
	return uncertainty.Sides{
		Early: math.Min(out.Early, other.Early), Within: math.Min(out.Within, other.Within), Late: math.Min(out.Late, other.Late),
	}
}

func (d dial) onSide(m sheet.Mark, h geometry.Length, sum uncertainty.Sum, side geometry.Letters) (out uncertainty.Sides) {
	early, late := m.Allowed()
	first, last := d.fromTop(m.At)-early, d.fromTop(m.At)+late
	near, far := first, last // the ends nearer to TDC and further from it
	if side == geometry.BTDC {
		near, far = -last, -first
	}
	below := sum.Within((h - d.border(near, side)).Millimetres(), math.Inf(1))
	above := sum.Within(math.Inf(-1), (h - d.border(far, side)).Millimetres())
	out.Early, out.Late = below, above
	if side == geometry.BTDC {
		out.Early, out.Late = above, below
	}
	out.Within = math.Max(0, 1-below-above)
	return out
}

// border is the drop at an angle away from TDC on one side of it: less than any at and
// beyond TDC, more than any at and beyond the piston's lowest point.
func (d dial) border(away geometry.Angle, side geometry.Letters) geometry.Length {
	lowest := d.bdc
	if side == geometry.BTDC {
		lowest = 360 - d.bdc
	}
	switch {
	case away <= 0:
		return geometry.Length(math.Inf(-1))
	case away >= lowest:
		return geometry.Length(math.Inf(1))
	}
	return d.crank.Drop(geometry.Angle(sign(side)) * away)
}
