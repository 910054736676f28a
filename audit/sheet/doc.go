// Package sheet holds what a person wrote down at the engine: the sheet, a YAML
// file, with the readings in it or in a CSV beside it.
//
// [Read] takes the bytes and returns a [Sheet], or every fault of the file with
// its place: what is unreadable, unknown, missing, or contradicts another value.
// [Sheet.Check] refuses the same contradictions on a sheet that a program built.
// A sheet that passes can be computed with. [Write] writes one.
//
// A value is in the unit that its type says: degrees of the crank, millimetres.
// Nothing is computed here but what a value means by itself: an inch in
// millimetres, a length on the rim or a piston drop in crank degrees.
package sheet
