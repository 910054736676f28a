// Package stats holds the few statistics that gonum lacks, or gets wrong in
// the tails: quantiles safe at any degrees of freedom, tests for a value or a
// variance that stands out, and moments of few readings.
//
// Its functions know no units, never sort or change a caller's slice, and
// panic only on a caller's mistake, which each of them names.
package stats
