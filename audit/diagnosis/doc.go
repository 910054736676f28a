// Package diagnosis finds out how everything that was read on a part can have
// come about, and says what may be done about its lines.
//
// The evidence is what was read: where each line comes up, setup by setup;
// closing pairs and second contacts; distances measured on the part; how the
// readings repeat. An explanation is one way in which all of it can have come
// about: the lines are where they were measured, the readout moved before the
// lines, BTDC was written for ATDC. It says what each piece of evidence should
// be, and where each line then is.
//
// Each explanation gets a number, its surprise: -2 ln of a probability, so that
// 6 is odds of 1 to 20. It has three parts: the price of the mistake, what the
// evidence costs, and what the part itself costs, for makers' lines are off by
// little and parts slip seldom. An explanation stands while its surprise is at
// most 6 above the least. A surprise is no probability and is never printed as
// one.
//
// One rule follows. Metal is cut, a pointer moved or a part replaced only where
// the lines as measured stand, and every other explanation that stands puts the
// line in the same place. Otherwise the first step is the cheapest observation
// that tells the explanations apart.
//
// The thresholds were chosen by simulation. Prices of mistakes and widths of
// metal are common practice, no source. Only the types are promised to other
// modules.
package diagnosis
