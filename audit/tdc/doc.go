// Package tdc finds top dead centre, setup by setup, each by its own way: contacts
// with a positive stop, readings at equal drop, or a sweep through the top. It
// joins what shares one mounting of the readout, and says how each doubt reaches
// the result.
//
// It is a stage of the audit, after the readout and before the lines. Only its
// types are meant for other programs.
//
// It assumes that the piston stands equally far below its top at both contacts,
// but for what the limits of the sheet allow, and that the readout kept its zero
// within one mounting.
package tdc
