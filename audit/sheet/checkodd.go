package sheet

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// What stands here is possible and most unlikely, and what follows from it cuts
// metal. It is asked about, and [Checked] answers.

// What tolerances usually are, and what none is. Common practice, no source. Up
// to the first they are no slip, even where two lines lie close together.
const (
	usualTolerance geometry.Angle = 2
	wideTolerance  geometry.Angle = 15
)

// tolerances asks about tolerances that reach more than half way to the next line
// of the part and are no usual ones, or that are wider than any: mostly minutes or
// millimetres that were written as degrees. Stated says where the sheet holds a
// value. A tolerance that stands under limits is asked about once.
func (c *checker) tolerances(stated func(inputerror.Path) bool) {
	if c.Checked.Tolerances {
		return
	}
	places := c.places()
	asked := false
	for i, m := range c.Marks {
		early, late := m.Allowed()
		wide := max(early, late)
		against := ""
		near, gap := c.nextLine(places, i)
		switch {
		case !(wide <= 180): // no tolerance at all, which is said
		case wide > wideTolerance:
			against = fmt.Sprintf("expected at most %v", float64(wideTolerance))
		case gap > 0 && wide > max(usualTolerance, gap/2)+geometry.Tie:
			against = fmt.Sprintf("more than half of the %s to the next line, %s", rounded(gap), inputerror.Shown(near))
		}
		path := pathOr(m.Path, "marks", i) + ".tolerance"
		const shared = "limits.tolerance"
		if stated != nil && !stated(path) && stated(shared) {
			path = shared
		}
		if against == "" || asked && path == shared {
			continue
		}
		asked = asked || path == shared
		found := rounded(wide) + " degrees each way"
		if said := c.as(path, geometry.Length(m.Tolerance), ""); strings.ContainsAny(said, "'′’") {
			found = said + ", which are " + found
		}
		hint := fmt.Sprintf("minutes? millimetres? %s minutes are %s degrees, and a length has its unit, such as 1 mm rim.", rounded(wide), rounded(wide/60))
		if m.DropLimit != 0 {
			found = fmt.Sprintf("%s, which are %s degrees", c.as(path, m.DropLimit, fmt.Sprintf("%v piston", m.DropLimit)), rounded(wide))
			hint = "thou? a tenth of it?"
		}
		c.fault(path, fmt.Sprintf("found %s for %s, %s", found, inputerror.Shown(m.Name), against),
			hint+" If it is right, say that you looked: checked: [tolerances] at the top of the sheet", shared, "engine.cylinders", "part.turns")
	}
}

// rounded is a number of degrees that a person can compare.
func rounded(a geometry.Angle) string { return number(math.Round(float64(a)*100) / 100) }

// places returns where each line belongs, counted from the reference cylinder's
// TDC; NaN where it could not be read.
func (c *checker) places() []geometry.Angle {
	all := make([]geometry.Angle, len(c.Marks))
	for i, m := range c.Marks {
		all[i] = m.At + c.Engine.Declared(m.Cylinder)
		path := pathOr(m.Path, "marks", i)
		if (path + ".at").Within(c.faulted) || (path + ".cylinder").Within(c.faulted) || !(math.Abs(float64(all[i])) <= 2*mostNominal) {
			all[i] = geometry.Angle(math.NaN())
		}
	}
	return all
}

// nextLine returns the line nearest to one on the part, among those of one group
// (ring, hub), and how many crank degrees lie between the two. Lines at one place
// are no neighbours. The gap is zero where there is no other.
func (c *checker) nextLine(places []geometry.Angle, i int) (name string, gap geometry.Angle) {
	for j, other := range c.Marks {
		if j == i || other.On != c.Marks[i].On {
			continue
		}
		between := c.Part.Round(places[j] - places[i]).Abs()
		if between > geometry.Tie && (gap == 0 || between < gap) { // never so for NaN
			name, gap = other.Name, between
		}
	}
	return name, gap
}

// crankTurns holds stroke, rod and offsets against each other.
func (c *checker) crankTurns(crank geometry.Crank) {
	others := []inputerror.Path{"engine.stroke", "engine.pin_offset", "engine.bore_offset"}
	hint := ""
	if crank.LongStroke() {
		hint = fmt.Sprintf("are the two exchanged: stroke %s, rod %s?", c.as("engine.rod", crank.Rod, fmt.Sprint(crank.Rod)), c.as("engine.stroke", crank.Stroke, fmt.Sprint(crank.Stroke)))
	}
	if err := crank.Check(); err != nil {
		text := strings.Replace(err.Error(), fmt.Sprint(crank.Rod), c.as("engine.rod", crank.Rod, fmt.Sprint(crank.Rod)), 1)
		c.fault("engine.rod", text, hint, others...)
		return
	}
	worst := c.Engine.PinOffset.Limit.Half + c.Engine.BoreOffset.Limit.Half
	for _, side := range []geometry.Length{worst, -worst} {
		far := crank
		far.Offset += side
		if err := far.Check(); err != nil {
			c.fault("engine.rod", err.Error()+", with the offsets at their limits", hint, others...)
			return
		}
	}
	if crank.LongStroke() && !c.Checked.Rod {
		c.fault("engine.rod", fmt.Sprintf("found %s with a stroke of %s, expected a rod longer than the stroke", c.as("engine.rod", crank.Rod, fmt.Sprint(crank.Rod)), c.as("engine.stroke", crank.Stroke, fmt.Sprint(crank.Stroke))),
			hint+" If the rod really is shorter, say that you looked: checked: [rod] at the top of the sheet", others...)
	}
	if crank.LongRod() && !c.Checked.Rod {
		c.fault("engine.rod", fmt.Sprintf("found %s with a stroke of %s, expected at most three and a half strokes", c.as("engine.rod", crank.Rod, fmt.Sprint(crank.Rod)), c.as("engine.stroke", crank.Stroke, fmt.Sprint(crank.Stroke))),
			"another unit, or half the stroke? If the rod really is so long, say that you looked: checked: [rod] at the top of the sheet", others...)
	}
}
