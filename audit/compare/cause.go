package compare

import (
	"math"
	"slices"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/enum"
	"markaudit/audit/lines"
	"markaudit/geometry"
)

// Cause is what moved between two audits.
type Cause uint8

// Unmoved: no part did. Ring: the outer ring slipped on its rubber. Pointer: the
// engine's pointer or tab, or the whole with its key; lines on the hub moved too. HubLine: the
// line on the hub alone. RingOrPointer: one of the two, for no line on the hub was
// read. Open: a readout that moved during one of the audits would look the same.
const (
	Unmoved Cause = iota
	Ring
	Pointer
	HubLine
	RingOrPointer
	Open
)

var causeWords = []string{"none", "ring", "pointer", "hub_line", "ring_or_pointer", "open"}

func (c Cause) String() string { return enum.Word(causeWords, c) }

// MarshalText writes the word.
func (c Cause) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (c *Cause) UnmarshalText(text []byte) error { return enum.From(c, causeWords, text) }

// findCause weighs what moved from one audit to the next: the changes of the lines are
// explained as the offsets of one audit are. one and two are the indexes of the
// same lines in the two audits.
func findCause(c *Comparison, s *Step, one, two []int) {
	if s.Finding == lines.Unknown || s.Finding == lines.None {
		return
	}
	e := changeEvidence(c, s, one, two)
	s.Cause = causeOf(diagnosis.Explain(e, nil), e)
}

// causeOf is what moved, by the story of the metal that the changes tell.
func causeOf(told diagnosis.Diagnosis, e diagnosis.Evidence) Cause {
	on := func(part string) bool {
		return slices.ContainsFunc(e.Lines, func(l diagnosis.Line) bool { return l.On == part })
	}
	story := told.Measured.Story
	switch {
	case story.Kind == diagnosis.EachByItself && !hubAlone(e):
		return Unmoved
	case told.Refuted || told.Stands(diagnosis.ReadoutMoved):
		return Open
	case story.Kind == diagnosis.EachByItself, story.Kind == diagnosis.PartAlike && story.On == lines.OnHub:
		return HubLine
	case story.Kind == diagnosis.PartAlike && story.On == lines.OnRing:
		return Ring
	case story.Kind == diagnosis.AllAlike && on(lines.OnHub):
		return Pointer
	}
	return RingOrPointer
}

// hubAlone reports whether the lines on the hub changed, and no others by as much as
// a quarter of that.
func hubAlone(e diagnosis.Evidence) bool {
	hub, other := geometry.Angle(0), geometry.Angle(0)
	for j, l := range e.Lines {
		if d := e.Offset[0][j].Abs(); l.On == lines.OnHub {
			hub = max(hub, d-2*e.Own[0][j])
		} else {
			other = max(other, d)
		}
	}
	return hub > 0 && other < hub/4
}

// changeEvidence lays out the changes as the evidence of one mounting. A closing
// pair counts where both audits took one in every setup, or where one has three
// setups or more, which would have to have moved alike.
func changeEvidence(c *Comparison, s *Step, one, two []int) diagnosis.Evidence {
	a, b := c.Audits[s.From], c.Audits[s.To]
	e := diagnosis.Evidence{
		Offset: diagnosis.Table{make([]geometry.Angle, len(one))}, Own: diagnosis.Table{make([]geometry.Angle, len(one))},
		BondedRing: b.Sheet.Part.BondedRing, HalfSpeed: b.Sheet.Part.HalfSpeed, DecideAt: b.Sheet.Limits.Confidence, Counts: b.Sheet.Readout.Counts,
		QuarterTurn: true, Checked: diagnosis.Checked{Letters: true, Names: true, Nominals: true, Cylinders: true},
	}
	top := math.Hypot(a.TDC.Standard.Degrees(), b.TDC.Standard.Degrees())
	e.TDC = []geometry.Angle{geometry.Angle(top)}
	e.Scatter = diagnosis.Scatter{Middle: geometry.Angle(top), MiddleDOF: a.TDC.DOF + b.TDC.DOF}.Filled()
	for i := range one {
		before, now := a.Lines[one[i]], b.Lines[two[i]]
		e.Offset[0][i] = (now.Offset.Value - before.Offset.Value).Wrap()
		e.Own[0][i] = geometry.Angle(math.Hypot(ownSD(before).Degrees(), ownSD(now).Degrees()))
		early, late := now.Allowed()
		e.Lines = append(e.Lines, diagnosis.Line{Name: now.Name, At: now.At, CylinderTDC: now.Zero, On: now.On, Early: early, Late: late, Checked: true})
	}
	if Proven(a) && Proven(b) {
		p := diagnosis.Pair{Kind: diagnosis.Closing, Value: closing(b) - closing(a), AfterLines: true}
		e.Pairs = append(e.Pairs, e.Scatter.OfPair(p, e.TDC[0], e.TDC[0]))
	}
	return e
}

// ownSD is the standard deviation of a line's mean from its own readings.
func ownSD(l lines.Line) geometry.Angle {
	return l.Scatter.SD * geometry.Angle(math.Sqrt(l.PerLine()))
}

// Proven reports whether an audit shows that its readout stayed where it was: by a
// closing pair in every setup, or by three setups or more that agree.
func Proven(r audit.Result) bool {
	if len(r.TDC.Mountings) >= 3 && !r.Diagnosis.SetupsDiffer() {
		return true
	}
	for _, s := range r.TDC.Setups {
		if s.Closing == nil {
			return false
		}
	}
	return true
}

// closing is the mean difference of an audit's closing pairs.
func closing(r audit.Result) geometry.Angle {
	var sum, n geometry.Angle
	for _, s := range r.TDC.Setups {
		if s.Closing != nil {
			sum, n = sum+*s.Closing, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}
