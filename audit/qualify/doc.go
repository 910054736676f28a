// Package qualify compares a new piston stop with a trusted one that found the
// same top dead centre on the same readout mountings, and says whether the new
// one may be trusted too (docs/method.md, a new stop against a trusted one).
//
// It assumes that the readings of a setup share one zero and that a setup is
// the unit that repeats: what a remounting adds is in the differences between
// setups, not in the trials of one. It takes the trusted stop as it is; what
// both stops get wrong alike, such as a pin offset or a plug hole out of the
// middle, no comparison can show.
//
// It reads nothing and speaks nothing: doubts are codes with numbers.
package qualify
