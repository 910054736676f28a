// Package readout takes what a degree wheel, an encoder or a rim shows to true
// angles, and back, and says how each error of the readout reaches a result.
//
// It is a stage of the audit, between the sheet and finding top dead centre. Only
// its types are meant for other programs.
//
// It assumes that a readout errs in four ways: it loses motion when the engine is
// reversed, it sits off the axis of the crank, its divisions err as a correction
// says, and, where a rim is the readout, its diameter is not known exactly.
package readout
