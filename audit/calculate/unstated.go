package calculate

import "markaudit/geometry"

// Statement is something that was not stated and cannot be done without.
type Statement uint8

// SenseOfCounting: whether the lengths on a rim grow or fall while the engine
// turns the way it runs. RimDiameter: the diameter on which they were taken.
// ShorterRod: that the rod really is shorter than the stroke. LongerRod: that it
// really is so many times as long. SameStop: that half arcs which differ are those of
// one stop.
const (
	SenseOfCounting Statement = iota + 1
	RimDiameter
	ShorterRod
	LongerRod
	SameStop
)

func (s Statement) String() string {
	return [...]string{"nothing", "the sense of counting", "the diameter of the rim", "a rod shorter than the stroke", "a rod so long", "half arcs that differ"}[s]
}

// Unstated is the refusal of measurements that say nothing without a further
// one. Its text is that of Found with what was expected behind it.
type Unstated struct {
	geometry.Refusal
	Found string    // the beginning of the text, up to what was expected
	What  Statement // that is missing
}

// Unwrap returns the refusal that it is.
func (u *Unstated) Unwrap() error { return &u.Refusal }

func unstated(what Statement, found, expected string) *Unstated {
	return &Unstated{geometry.Refusal{Text: found + ", expected " + expected}, found, what}
}
