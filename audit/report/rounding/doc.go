// Package rounding turns numbers into text: it is the only place that rounds. An
// expanded uncertainty gets two significant digits, its value the same last place
// (JCGM 100, 7.2.6); what has no uncertainty gets two decimals. Lengths come in
// the unit in which the person wrote them. It puts the few words to a number that
// belong to its sign (late, later, after) and holds no sentence.
package rounding
