// Package compare holds audits of one part against each other: what changed of each
// line and of all together, and how fast.
//
// It assumes that the audits are of one part on one engine, with the same running
// direction. What two audits share, as one lost motion of one readout or one
// correction, is not counted twice: it drops out of their difference.
package compare
