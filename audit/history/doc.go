// Package history gathers from past audits what one readout did in the hands of one
// shop: how middles and readings scattered, and what remounting changed (JCGM 100,
// 4.2.4). A sheet may name the result, and its control chart shows when it no longer
// holds (NIST/SEMATECH e-Handbook, 2.2).
//
// It reads no clock: the days are those of the sheets. Nothing is left out silently.
package history
