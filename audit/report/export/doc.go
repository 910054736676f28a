// Package export writes results for other programs: JSON for each kind of result,
// CSV for many audits. The shapes and their keys live here and not on the results,
// so that a type may change and no reader breaks. Angles are in degrees and lengths
// in millimetres, in full precision, whatever units a person used. Keys are always
// present, and null means not known, but for keys that only some sheets have a use
// for. Sentences in it are those of package words.
package export
