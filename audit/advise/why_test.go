package advise

import (
	"math"
	"testing"

	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

func explained(code diagnosis.Code) diagnosis.Explanation { return diagnosis.Explanation{Code: code} }

// Each reason for withholding, where nothing before it in the order holds.
func TestWhyAnOrderIsWithheld(t *testing.T) {
	on := func(part string) *lines.Line { return &lines.Line{Mark: sheet.Mark{On: part}} }
	bonded := sheet.Sheet{Part: sheet.Part{BondedRing: true}}
	against := func(code diagnosis.Code) diagnosis.Diagnosis {
		return diagnosis.Diagnosis{Standing: []diagnosis.Explanation{explained(diagnosis.AsMeasured), explained(code)}}
	}
	rivalled := diagnosis.Decision{Against: []int{1}}
	sharing := func(kind diagnosis.StoryKind) diagnosis.Diagnosis {
		return diagnosis.Diagnosis{Sharing: []int{0}, Story: diagnosis.Story{Kind: kind}}
	}
	for name, c := range map[string]struct {
		s    sheet.Sheet
		told diagnosis.Diagnosis
		c    diagnosis.Decision
		l    *lines.Line
		want Withheld
	}{
		"nothing":                {want: NotWithheld, l: on("")},
		"it is ordered":          {c: diagnosis.Decision{Scribe: true}, told: diagnosis.Diagnosis{Refuted: true}, want: NotWithheld},
		"the ring has slipped":   {s: bonded, told: diagnosis.Diagnosis{Ring: diagnosis.RingSlipped}, l: on(lines.OnRing), want: WithheldRing},
		"a ring that is no ring": {told: diagnosis.Diagnosis{Ring: diagnosis.RingSlipped}, l: on(lines.OnRing), want: NotWithheld},
		"a line beside the ring": {s: bonded, told: diagnosis.Diagnosis{Ring: diagnosis.RingSlipped}, l: on("flywheel"), want: NotWithheld},
		"the ring may slip":      {s: bonded, told: diagnosis.Diagnosis{Ring: diagnosis.RingMay}, l: on(lines.OnRing), want: WithheldRingUntold},
		"held for the ring":      {s: bonded, c: diagnosis.Decision{Held: true}, want: WithheldRingUntold},
		"held without a ring":    {c: diagnosis.Decision{Held: true}, want: NotWithheld},
		"a line on the hub":      {c: diagnosis.Decision{IfRight: diagnosis.Outside}, l: on(lines.OnHub), want: WithheldHub},
		"a good one on the hub":  {c: diagnosis.Decision{IfRight: diagnosis.Within}, l: on(lines.OnHub), want: NotWithheld},
		"all alike":              {told: sharing(diagnosis.AllAlike), l: on(""), want: WithheldCommon},
		"a part alike":           {told: sharing(diagnosis.PartAlike), l: on(""), want: WithheldGroup},
		"the pointer, all alike": {told: sharing(diagnosis.AllAlike), want: NotWithheld},
		"not among those alike":  {told: sharing(diagnosis.AllAlike), c: diagnosis.Decision{Line: 1}, l: on(""), want: NotWithheld},
		"may have moved":         {told: against(diagnosis.ReadoutMoved), c: rivalled, l: on(""), want: WithheldUnproven},
		"may have moved after":   {told: against(diagnosis.ReadoutMovedAfter), c: rivalled, l: on(""), want: WithheldUnproven},
		"may have moved between": {told: against(diagnosis.MovedBetween), c: rivalled, l: on(""), want: WithheldUnproven},
		"creeps":                 {told: against(diagnosis.ReadoutCreeps), c: rivalled, l: on(""), want: WithheldMoved},
		"a reading slipped":      {told: against(diagnosis.ReadingSlipped), c: rivalled, l: on(""), want: WithheldReading},
		"names may be swapped":   {told: against(diagnosis.Names), c: rivalled, l: on(""), want: WithheldSuspect},
	} {
		if got := why(c.s, c.told, c.c, c.l); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// What speaks against the lines as measured: the best explanation, or where that is
// none the piece of evidence that costs most.
func TestWhatContradictsTheLines(t *testing.T) {
	for name, c := range map[string]struct {
		best  diagnosis.Code
		worst diagnosis.ItemKind
		want  Withheld
	}{
		"moved":           {diagnosis.ReadoutMoved, 0, WithheldMoved},
		"slipped":         {diagnosis.ReadingSlipped, 0, WithheldReading},
		"names":           {diagnosis.Names, 0, WithheldSuspect},
		"a pair":          {diagnosis.AsMeasured, diagnosis.ItemPair, WithheldMoved},
		"creep":           {diagnosis.AsMeasured, diagnosis.ItemCreep, WithheldMoved},
		"a distance":      {diagnosis.AsMeasured, diagnosis.ItemDistance, WithheldDistances},
		"an odd reading":  {diagnosis.AsMeasured, diagnosis.ItemOdd, WithheldReading},
		"lines of setups": {diagnosis.AsMeasured, diagnosis.ItemLine, WithheldSetups},
		"setups":          {diagnosis.ReadoutMoved, diagnosis.ItemSetup, WithheldSetups},
		"setups, names":   {diagnosis.Names, diagnosis.ItemSetup, WithheldSuspect},
	} {
		told := diagnosis.Diagnosis{
			Refuted: true, Standing: []diagnosis.Explanation{explained(c.best)},
			Measured: diagnosis.Explanation{Worst: diagnosis.Item{Kind: c.worst}},
		}
		if got := contradicted(told); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// Lost motion of 0.4 moves a line read from one side by 0.2: a quarter of 0.8.
func TestLostMotionWithholdsAnOrder(t *testing.T) {
	for _, c := range []struct {
		lost      float64
		seen, tol geometry.Angle
		want      Withheld
	}{
		{0.5, 0.4, 0.8, NotWithheld}, {0.5, 0.41, 0.8, WithheldLostMotion}, {-0.5, 0.41, 0.8, WithheldLostMotion}, {0, 5, 0.8, NotWithheld},
	} {
		l := lines.Line{Mark: sheet.Mark{Tolerance: c.tol}, Lost: c.lost, Seen: make([]lines.Seen, 1)}
		if got := doubted(sheet.Sheet{}, tdc.Found{}, nil, crosscheck.Checks{LostMotion: c.seen}, &l); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
		l.Seen = nil
		if got := doubted(sheet.Sheet{}, tdc.Found{}, nil, crosscheck.Checks{LostMotion: c.seen}, &l); got != NotWithheld {
			t.Errorf("%+v, not read: %v", c, got)
		}
	}
}

// The way to a decision, by what stands in it.
func TestWaysToADecision(t *testing.T) {
	undecided, decided := diagnosis.Decision{}, diagnosis.Decision{Verdict: diagnosis.Within}
	moved := diagnosis.Diagnosis{Refuted: true, Standing: []diagnosis.Explanation{explained(diagnosis.ReadoutMoved)}}
	known := func() lines.Line { return within(0.35, 4, 4) }
	unknown := known()
	e := *unknown.Offset
	e.Known = false
	unknown.Offset = &e
	for name, c := range map[string]struct {
		l    lines.Line
		told diagnosis.Diagnosis
		c    diagnosis.Decision
		want Way
	}{
		"not read":         {lines.Line{}, diagnosis.Diagnosis{}, undecided, ReadIt},
		"decided":          {known(), diagnosis.Diagnosis{}, decided, Settled},
		"decided anyway":   {known(), moved, decided, Settled},
		"no scatter":       {unknown, diagnosis.Diagnosis{}, undecided, NoScatter},
		"refuted":          {known(), diagnosis.Diagnosis{Refuted: true, Standing: []diagnosis.Explanation{explained(diagnosis.Names)}}, undecided, Observe},
		"a rival":          {known(), diagnosis.Diagnosis{}, diagnosis.Decision{Against: []int{0}}, Observe},
		"nothing stands":   {known(), diagnosis.Diagnosis{}, undecided, MoreReadings},
		"moved":            {known(), moved, undecided, Repeat},
		"moved, unscathed": {unknown, moved, undecided, Repeat},
	} {
		c.told.Decisions = []diagnosis.Decision{c.c}
		if got := NextFor(sheet.Sheet{Limits: sheet.Limits{Confidence: 0.95}}, []lines.Line{c.l}, c.told)[0].Way; got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// A line that is early by as much as another is late has the same chances, its limits
// exchanged; a line without scatter is decided, or is not.
func TestChancesAreAlikeBothWays(t *testing.T) {
	for _, off := range []geometry.Angle{0.1, 0.35, 0.6} {
		late, early := within(off, 4, 4), within(-off, 4, 4)
		late.Early, late.Late = 0.3, 0.5
		early.Early, early.Late = 0.5, 0.3
		one, other := newSearch(late, 0.95), newSearch(early, 0.95)
		for n := range 5 {
			if a, b := one.chance(n, 2*n, 0), other.chance(n, 2*n, 0); math.Abs(a-b) > 1e-12 {
				t.Errorf("%v: chances %v and %v", off, a, b)
			}
		}
	}
	still := func(off geometry.Angle) lines.Line {
		l := within(off, 4, 4)
		l.From = uncertainty.Combination{Groups: []uncertainty.Group{{Mountings: []string{"1"}, Values: []geometry.Angle{off}}}}
		l.From = l.From.With(uncertainty.By(uncertainty.Limited(uncertainty.Sighting, "part", geometry.Limit[geometry.Angle]{Half: 0.1}), 1))
		return l
	}
	for off, want := range map[geometry.Angle]float64{0.3: 1, 0.47: 0, 0.53: 0, 0.7: 1} {
		for _, sign := range []geometry.Angle{1, -1} {
			if got := newSearch(still(sign*off), 0.95).chance(3, 3, 0); got != want {
				t.Errorf("%v off, without scatter: %v, want %v", sign*off, got, want)
			}
		}
	}
	if minutes := effort(3, 4); minutes != 10 {
		t.Errorf("three pairs and four readings take %d minutes, want 10", minutes)
	}
}
