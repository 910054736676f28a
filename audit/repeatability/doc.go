// Package study says how well people repeat: what each of them adds to a
// measurement that all of them make.
//
// It takes values by person, mark and trial, and what setups show beside them.
// Balanced studies, in which everybody has found every mark equally often, are
// analysed by the two-way random analysis of variance, others by restricted
// maximum likelihood. What the values cannot tell is left unknown and named as a
// [Gap]; what stands out is a [Flag], never dropped.
//
// A constant added to all values of a mark changes nothing: people are compared
// with each other, not with where the mark should be. The package knows no
// files and no words; audit/report says what it finds. The formulas and their
// sources stand in docs/method.md, People.
package repeatability
