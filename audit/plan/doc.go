// Package plan says, before anything is measured, how deep a stop should sit, how
// much to read, and how sure the result is likely to be.
//
// It assumes readings as an earlier audit had them, or as the person guesses: the
// scatter of a middle, of a reading, and of remounting. It promises nothing that
// the readings will not keep: what it predicts is what comes out on average.
package plan
