// Package simulate is a virtual engine stand that knows the truth: an engine, its
// lines, a readout, and the people who read it, with their scatter, habits and
// slips. It writes down what they would write, as a sheet, and keeps the truth
// beside it.
//
// It is apart from every estimator, so that a mistake in one cannot hide in the
// other: contacts come from bisection of the piston's height, an off-centre
// wheel from points in the plane. Of the project it knows the types in which a
// sheet is written, and no formula.
//
// Studies are drawn too: people who read the same marks again and again, two stops by
// turns, a wheel on its reference.
//
// Chance comes from the generator that the caller seeds; the same seed gives the
// same readings.
package simulate
