package words

import (
	"markaudit/audit/repeatability"
	"markaudit/audit/report/rounding"
	"markaudit/audit/wheel"
)

// Centring says below the picture of a wheel what to do about its centre, in two
// short lines; the second may be empty.
func (v Wheel) Centring() (first, second string) {
	o := v.OffCentre
	sits := "It sits off centre"
	if v.Diameter > 0 {
		sits = "It sits " + v.slid(o.By) + " off centre"
	}
	switch o.Worth {
	case wheel.WorthDoing:
		move := ""
		if v.Diameter > 0 {
			move = v.slid(o.By) + " "
		}
		return "Slide it so that its " + Graduation(o.Slide) + " graduation", "moves " + move + "AWAY from the shaft's centre."
	case wheel.LittleGained:
		return sits + ",", "but centring gains little."
	case wheel.ColumnsDoubted:
		return "Do not centre it by this:", "the columns may be exchanged."
	case wheel.NotSeen, wheel.StepRules:
		return "Leave it where it sits: off centre", "by no more than readings scatter or round."
	}
	return sits + ".", "Leave it there: too little, or not sure."
}

// OffCentreSeen reports whether it shows at all which way the wheel sits off.
func (v Wheel) OffCentreSeen() bool {
	switch v.OffCentre.Worth {
	case wheel.NotSeen, wheel.StepRules, wheel.ColumnsDoubted:
		return false
	}
	return true
}

// Range is how far the reading error goes from its least to its most.
func (v Wheel) Range(low, high float64) string { return rounding.Fixed(high-low, v.Places()) + "°" }

// OfHand is where a person sits and how far a second try lands, for beside a
// picture.
func OfHand(p repeatability.Person) (sits, tries string) {
	sits, tries = "not known", "one value a line"
	if p.Deviation.Known {
		sits = SideOf(p.Deviation.Value)
	}
	if p.SD.Known {
		tries = "a second try within " + again(p.SD)
	}
	return sits, tries
}
