package lines

import (
	"fmt"
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// combination is the drop of a line with everything that it depends on, in
// millimetres.
func (d dial) combination(l *Line, h geometry.Length, theta geometry.Angle, side geometry.Letters) uncertainty.Combination {
	s, o := d.sheet, &d.sheet.Readout
	k := float64(len(l.Seen))
	along := d.along.Millimetres()
	rounding := func(source uncertainty.Source, of string) uncertainty.Contribution {
		return uncertainty.By(uncertainty.Rounded(source, of, uncertainty.Rectangular, geometry.Angle(o.StepLength/2)), along)
	}
	line := l.Scatter.contribution(*l)
	line.Sensitivity = []float64{line.Sensitivity[0] * d.steep(theta)}
	g := uncertainty.Group{
		Scatter:  []uncertainty.Contribution{},
		Rounding: []uncertainty.Contribution{rounding(uncertainty.StepAtTDC, "top"), rounding(uncertainty.StepAtLine, l.Name)},
	}
	var shown, sinking float64
	tops := make([]geometry.Angle, 0, len(l.Seen))
	for _, seen := range l.Seen {
		height := d.top.Setups[d.top.At(seen.At).Setups[0]].Height
		g.Mountings = append(g.Mountings, d.top.Mountings[seen.At.Mounting].Name)
		g.Values = append(g.Values, geometry.Angle(seen.Drop))
		tops = append(tops, geometry.Angle(height.Shown))
		g.Scatter = append(g.Scatter, uncertainty.By(uncertainty.Input{
			ID:    uncertainty.ID{Source: uncertainty.TopReadings, Of: fmt.Sprintf("mounting %d", seen.At.Mounting+1)},
			Shape: uncertainty.StudentT, Scale: height.Pooled.Millimetres(), DOF: uncertainty.DOF(height.DOF), N: height.N, Pool: "top",
		}, along/(k*math.Sqrt(float64(height.N)))))
		shown += d.below(d.top.Mountings[seen.At.Mounting], seen.Shown-height.Shown).Millimetres() / k
		sinking += seen.Sinking / k
	}
	g.Scatter = append(g.Scatter, line)
	lowest, highest := stats.Extremes(tops)
	g.Alike = highest-lowest <= geometry.Angle(o.StepLength)+geometry.Tie
	c := uncertainty.Combination{Groups: []uncertainty.Group{g}}
	add := func(source uncertainty.Source, of string, half, k, sensitivity float64) {
		if half > 0 && sensitivity != 0 {
			c.Inputs = append(c.Inputs, uncertainty.By(uncertainty.Limited(source, of, geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: k}), sensitivity))
		}
	}
	probe, crown := o.AlongLimits()
	add(uncertainty.DialError, l.Name, o.DialError.Half.Millimetres(), o.DialError.K, along)
	add(uncertainty.ProbeAngle, "dial", probe, o.ProbeLimit.K, shown)
	add(uncertainty.CrownLean, "dial", crown, o.CrownLimit.K, shown)
	per := DialSlope.Millimetres() // so that its size stands in degrees
	add(uncertainty.LostMotion, "dial", o.LostLengthLimit.Half.Millimetres()/per, o.LostLengthLimit.K, along*sinking*per)
	add(uncertainty.Slack, "piston", s.Limits.Slack.Half.Millimetres()/2, s.Limits.Slack.K, sinking)
	add(uncertainty.ContactHeight, "piston", s.Limits.Contact.Half.Millimetres(), s.Limits.Contact.K, 1)
	if l.Mark.Drop == 0 { // a drop that belongs at a drop hangs on no crank
		for _, x := range d.sizes(theta) {
			add(x.source, "engine", x.half, x.k, x.sign)
		}
	}
	for _, x := range Fixed(*s, g.Mountings) { // in degrees, along the way the engine runs
		at, by := theta.Abs(), geometry.Angle(x.Scale*x.Sensitivity[0])
		half := (d.crank.Drop(geometry.Angle(sign(side))*(at+by)) - d.crank.Drop(geometry.Angle(sign(side))*max(0, at-by))) / 2
		x.Sensitivity = []float64{sign(side) * half.Millimetres() / x.Scale}
		c.Inputs = append(c.Inputs, x)
	}
	return c
}

// size is what a limit of the engine's sizes does to a drop.
type size struct {
	source        uncertainty.Source
	half, k, sign float64
}

// engineSize is a size of the engine with its limit, and what it changes of the crank.
type engineSize struct {
	source uncertainty.Source
	limit  geometry.Limit[geometry.Length]
	change func(*geometry.Crank, geometry.Length)
	inTDC  bool // on a stop it makes a doubt of TDC too
}

func engineSizes(e sheet.Engine) []engineSize {
	return []engineSize{
		{uncertainty.Stroke, e.StrokeLimit, func(c *geometry.Crank, by geometry.Length) { c.Stroke += by }, false},
		{uncertainty.Rod, e.RodLimit, func(c *geometry.Crank, by geometry.Length) { c.Rod += by }, false},
		{uncertainty.PinOffset, e.PinOffset.Limit, func(c *geometry.Crank, by geometry.Length) { c.Offset -= by }, true},
		{uncertainty.BoreOffset, e.BoreOffset.Limit, func(c *geometry.Crank, by geometry.Length) { c.Offset += by }, true},
	}
}

// sizes are half of what the drop at one angle changes by between the ends of each
// limit.
func (d dial) sizes(theta geometry.Angle) (out []size) {
	for _, x := range engineSizes(d.sheet.Engine) {
		if x.limit.Half == 0 {
			continue
		}
		low, high := d.crank, d.crank
		x.change(&low, -x.limit.Half)
		x.change(&high, x.limit.Half)
		half := (high.Drop(theta) - low.Drop(theta)).Millimetres() / 2
		out = append(out, size{x.source, math.Abs(half), x.limit.K, math.Copysign(1, half)})
	}
	return out
}

// notIncluded names the doubts of a dial that nothing on the sheet covers.
func (d dial) notIncluded(l *Line) (out []warning.Code) {
	s, o := d.sheet, &d.sheet.Readout
	if s.Part.Sighting.Half == 0 {
		out = append(out, warning.SightingMissing)
	}
	if o.DialError.Half == 0 {
		out = append(out, warning.DialErrorMissing)
	}
	if o.ProbeLimit.Half == 0 {
		out = append(out, warning.ProbeMissing)
	}
	if s.Limits.Contact.Half == 0 {
		out = append(out, warning.RockMissing)
	}
	sinks := false
	for _, seen := range l.Seen {
		sinks = sinks || seen.Sinking > 0
	}
	if sinks && !o.HasLostMotion {
		out = append(out, warning.LostMotionMissing)
	}
	if sinks && s.Limits.Slack.Half == 0 {
		out = append(out, warning.SlackMissing)
	}
	return out
}
