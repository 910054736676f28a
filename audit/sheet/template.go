package sheet

import _ "embed"

//go:embed blank.yaml
var blankSheet string

//go:embed demo.yaml
var demoSheet string

// Blank returns a sheet to fill in, with a comment on every key. It cannot be
// read before it is filled in.
func Blank() string { return blankSheet }

// Demo returns the demonstration sheet: an invented engine with invented
// readings.
func Demo() string { return demoSheet }
