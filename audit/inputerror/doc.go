// Package inputerror says to the person who wrote a file what is wrong in it and
// where: file, line, column and key, what was found, what was expected and what
// to do.
//
// A reader gathers faults in a [Collector], each at the [Path] of its value, and
// puts the place of every value into its [Positions]. Whoever computes with the
// values later returns a [List] by paths alone; [Positions.Explain] adds the
// places. Texts that came from a file are escaped before they are shown, because
// a file may carry anything into a terminal.
package inputerror
