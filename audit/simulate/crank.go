package simulate

import (
	"math"

	"markaudit/geometry"
)

// The slider-crank of this package is found by looking for it: nothing here is
// solved in closed form. Angles inside are plain degrees and lengths plain
// millimetres.

func rad(degrees float64) float64 { return degrees * (math.Pi / 180) }
func deg(radians float64) float64 { return radians * (180 / math.Pi) }

// bisect returns the root of f between low and high, between which f changes
// sign once.
func bisect(low, high float64, f func(float64) float64) float64 {
	rising := f(high) > 0
	for {
		middle := (low + high) / 2
		if middle == low || middle == high { // nothing lies between
			return middle
		}
		if (f(middle) > 0) == rising {
			high = middle
		} else {
			low = middle
		}
	}
}

// aside is how far the crankpin stands to the side of the line on which the
// piston pin runs, with the throw t from its top.
func (e Engine) aside(t float64) float64 {
	return float64(e.Stroke)/2*math.Sin(rad(t)) - float64(e.Bore-e.Pin)
}

// height of the piston pin above the crank's axis, with the throw t from its
// top.
func (e Engine) height(t float64) float64 {
	return float64(e.Stroke)/2*math.Cos(rad(t)) + math.Sqrt(float64(e.Rod)*float64(e.Rod)-e.aside(t)*e.aside(t))
}

// top is the throw's angle at which the piston stands highest: where its height
// no longer changes.
func (e Engine) top() float64 {
	if e.Bore == e.Pin {
		return 0
	}
	return bisect(-60, 60, func(t float64) float64 {
		sin, cos := math.Sincos(rad(t))
		return sin + e.aside(t)*cos/math.Sqrt(float64(e.Rod)*float64(e.Rod)-e.aside(t)*e.aside(t))
	})
}

// ThrowToTDC is how much later than the throw's top the piston's comes.
func (e Engine) ThrowToTDC() geometry.Angle { return geometry.Angle(e.top()) }

// Drop is how far the piston stands below its top with the crank so far from
// it.
func (e Engine) Drop(theta geometry.Angle) geometry.Length {
	top := e.top()
	return geometry.Length(e.height(top) - e.height(top+float64(theta)))
}

// Before and After are the crank angles from the piston's top, within 150
// degrees of it, at which the piston stands so far below it.
func (e Engine) Before(drop geometry.Length) geometry.Angle { return e.reached(drop, -150) }

// After is the one after the top.
func (e Engine) After(drop geometry.Length) geometry.Angle { return e.reached(drop, 150) }

func (e Engine) reached(drop geometry.Length, from float64) geometry.Angle {
	top := e.top()
	at := e.height(top) - float64(drop)
	return geometry.Angle(bisect(top+from, top, func(t float64) float64 { return e.height(t) - at }) - top)
}
