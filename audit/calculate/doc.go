// Package calculate answers at the bench, before there is a sheet: where one pair
// of stop contacts puts top dead centre, what a drop of the piston is in degrees,
// what an angle is along a rim, and each of these back.
//
// Errors are of type [*geometry.Refusal]: what was found and what was expected.
// They name no flag. A measurement that is missing is an [*Unstated], so that
// whoever asked for the others can say how to give it.
package calculate
