// Package geometry knows angles, rims, cranks and wheels, and nothing of
// readings or statistics.
//
// An [Angle] holds degrees and a [Length] holds millimetres, so that a reading
// of 338.5 and a whole turn stay exact; radians live only inside calls of the
// math package. Parsing accepts what a person writes on a sheet and refuses
// everything else with a sentence; the functions that compute panic only on a
// caller's mistake.
package geometry
