// Package words has every sentence that is said of a result, by topic: a file a
// topic. The terminal, the page, the strip and the record for other programs say a
// thing with the same words because they ask here. A type for each kind of result
// (Audit, Comparison, Plan, Qualify, Wheel, Rehearsal, Recording) says what there
// is to say of one; what needs one value alone is a function. All of them return
// texts, numbers in them as package rounding writes them, and hold no layout.
package words
