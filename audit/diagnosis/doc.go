// Package diagnosis says what the offsets mean: which verdict each line gets,
// whether a part has slipped or the pointer is bent, and what speaks against an
// instruction.
//
// It is a stage of the audit, after the checks and before the advice. Only its
// types are meant for other programs. It holds no sentence.
package diagnosis
