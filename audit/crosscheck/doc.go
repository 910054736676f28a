// Package crosscheck finds what a sheet tells twice and says how well it agrees:
// setups against each other, the closing pair against the contacts, cylinders
// against the angle that the sheet declares, one way of finding TDC against
// another, distances measured on the part against the readings. It also names what
// nothing on the sheet checks.
//
// It is a stage of the audit, after the lines and before the diagnosis. Only its
// types are meant for other programs. It orders nothing.
package crosscheck
