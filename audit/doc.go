// Package audit judges the timing marks of an engine from contacts against a
// positive stop and readings of the marks.
//
// [Run] is one pure function from a sheet to a result: it reads no file, no
// clock and no random number, and never changes the sheet. Bad input comes
// back as [inputerror.List]; a doubtful measurement is a [Warning] inside the
// result, and the analysis goes on. It never invents an uncertainty or a sign:
// what the readings cannot support is left unknown.
//
// Angles are crank degrees; the running direction is positive and zero is the
// piston's highest position. An offset above zero is late, below zero early.
// The formulas and their sources stand in docs/method.md.
package audit
