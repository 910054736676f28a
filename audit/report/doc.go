// Package report assembles documents: one function a result, which puts sentences
// (package words), tables and figures into their order. What is said, how numbers
// are rounded, how a document is printed and what other programs get stands in
// the packages below it: words, rounding, document, figure, paper and export.
package report
