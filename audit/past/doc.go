// Package past holds today's readings against what the same readout did before, in
// the same hands: the history that a sheet names (JCGM 100, 4.2.4; NIST/SEMATECH
// e-Handbook, 2.2.3.1).
//
// It says whether a history may be used at all, lends its scatter where today's
// readings do not object, and draws the limits of its control chart. Nothing is ever
// taken from a history that the sheet does not name.
package past
