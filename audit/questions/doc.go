// Package questions leads from nothing to a sheet, one question at a time.
//
// The sheet is all there is: every answer goes onto it as it was typed, and what
// was answered is read from it again. So a page, a terminal and a person with an
// editor can take turns. What is no key of a sheet, such as that no ring sits on
// rubber, stands in a comment at its head.
//
// No answer is filled in, and none is taken for given. What is not known stays
// open, and [Interview.Open] names it with what it keeps shut. There are no files,
// no clock and no network here.
package questions
