// Package advise says what to do about a diagnosis: what to move, which way and how
// far, what to look at before metal is cut, what dividers should find, and what to
// measure next.
//
// It is the last stage of the audit. Only its types are meant for other programs.
package advise
