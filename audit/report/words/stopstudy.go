package words

import (
	"fmt"

	"markaudit/audit/qualify"
	"markaudit/audit/report/rounding"
	"markaudit/geometry"
)

// StopStudy says how large a study of two stops should be.
func StopStudy(p qualify.Planned) string {
	if p.Least == nil {
		return "No study of up to ten setups of eight pairs qualifies such a stop four times in five: the step hides too much, it scatters too much, or its bias lies too near to what is allowed. Take a finer readout, or allow more."
	}
	return fmt.Sprintf("Take %d setups of %d pairs of each stop, in the order reference, new, new, reference: the fewest that qualify a stop as good as this with %s.",
		p.Least.Setups, p.Least.Pairs, rounding.Percent(p.Least.Qualified))
}

// AboutStopStudy says what the chances are of.
func AboutStopStudy(p qualify.Planned) string {
	show := func(a geometry.Angle) string { return rounding.Plain(rounding.Trimmed(a.Degrees())) + "°" }
	return fmt.Sprintf("Of a stop whose bias is %s with ±%s allowed, middles of either stop to %s, fittings to %s, a step of %s (standard deviations; 4,000 studies drawn).",
		show(p.Bias), show(p.AllowedBias), show(p.Scatter), show(p.Fitting), show(p.Step))
}
