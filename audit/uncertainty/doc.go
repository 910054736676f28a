// Package uncertainty turns what is not known exactly into a budget, an exact
// coverage interval and probabilities of conformity (JCGM 100, 101 and 106).
//
// A value that is still to be summed or compared is a [Combination]: what several
// mountings say of it, and the inputs on which it depends. What two results share
// has one [ID]; in their difference it may cancel. [Combination.Evaluate] makes an
// [Estimate] of it, by one rule for every result. Where a doubt comes from is a
// [Source]; the table of sources says what makes it smaller, and its cure.
//
// The rows of a budget are independent and symmetric about zero; their [Sum] is
// exact up to arithmetic.
package uncertainty
