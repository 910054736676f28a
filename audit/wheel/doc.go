// Package wheel audits a readout: a degree wheel or an encoder, compared with a
// reference, with a second pointer opposite the first, or with the same
// reference after being remounted.
//
// It assumes that the reading error depends on the reading alone, smoothly
// enough for a few harmonics, and that scatter is alike all round. It refuses
// what the stations cannot carry, and says of every harmonic that it leaves out
// what it would be mistaken for. A fault of the reference looks like one of the
// readout unless remounting tells them apart.
package wheel
