// Package geometry knows angles, rims, cranks and wheels, and nothing of
// readings or statistics.
//
// An [Angle] holds degrees and a [Length] millimetres, the units in which people
// read them, so that half a degree has no rounding; only trigonometry sees
// radians. Parsing accepts what a person writes on a sheet and refuses
// everything else with a sentence; the functions that compute panic only on a
// caller's mistake.
package geometry
