package teststand

import (
	"maps"
	"math/rand/v2"
	"slices"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// stories are stands with something wrong, or done in an unusual way, and what the
// pen then does to their sheets.
var stories = map[string]struct {
	of    string // a good sheet, where it is not a stand
	stand func(r *simulate.Rig)
	pen   func(s *sheet.Sheet)
}{
	"nothing wrong":               {},
	"three mountings":             {stand: func(r *simulate.Rig) { *r = r.Repeated(3) }},
	"two mountings, counts down":  {stand: func(r *simulate.Rig) { *r = r.Repeated(2); r.Readout.Counts = geometry.CountsDown }},
	"remounting as stated":        {stand: remounted(0.1, 0.15)},
	"remounting beyond its limit": {stand: remounted(0.9, 0.15)},
	"remounting of two":           {stand: func(r *simulate.Rig) { *r = r.Repeated(2); r.Told.Remount = 0.1 }},
	"stop in the dwell":           {stand: first(func(u *simulate.Setup) { u.HalfArc = 4 })},
	"stop works its way in":       {stand: first(func(u *simulate.Setup) { u.Hand.Creep, u.Trials = 0.15, 5 })},
	"stop jumps":                  {stand: first(func(u *simulate.Setup) { u.Hand.StopSD, u.Trials = 0.6, 6 })},
	"readout creeps": {pen: func(s *sheet.Sheet) {
		for i := range s.Setups[0].Trials {
			s.Setups[0].Trials[i].Forward.Value += 2 * geometry.Angle(i)
			s.Setups[0].Trials[i].Backward.Value += 2 * geometry.Angle(i)
		}
	}},
	"readout bumped":  {stand: first(func(u *simulate.Setup) { u.Closing, u.Bumped = true, 3 })},
	"closing pair":    {stand: first(func(u *simulate.Setup) { u.Closing = true })},
	"one pair":        {stand: first(func(u *simulate.Setup) { u.Trials, u.Readings = 1, 1 })},
	"no line read":    {pen: func(s *sheet.Sheet) { s.Setups[0].Marks = nil }},
	"one line unread": {pen: func(s *sheet.Sheet) { delete(s.Setups[0].Marks, "line b"); delete(s.Setups[0].Marks, "line 2") }},
	"lines read unlike": {stand: func(r *simulate.Rig) {
		*r = r.Repeated(2)
		r.Lines[0].Readings, r.Lines[1].Readings, r.Lines[2].Readings = 1, 2, 6
	}},
	"rock, two depths":             {stand: depths(0.6)},
	"rock the other way":           {stand: depths(-0.6)},
	"two depths without rock":      {stand: depths(0)},
	"second bank off":              {stand: banks(62)},
	"second bank right":            {stand: banks(60)},
	"second bank never found":      {stand: func(r *simulate.Rig) { banks(60)(r); r.Setups = r.Setups[:1] }},
	"drops, piston rising":         {stand: byDrops(sheet.Rising)},
	"drops, forward only":          {stand: byDrops(sheet.OneWay)},
	"drops, approach not said":     {stand: func(r *simulate.Rig) { byDrops(sheet.Rising)(r); r.Setups[0].Unsaid = true }},
	"drops by a slanting dial":     {stand: func(r *simulate.Rig) { byDrops(sheet.Rising)(r); r.Setups[0].Drops[0].Slant = 25 }},
	"drops by a tilted dial":       {stand: func(r *simulate.Rig) { byDrops(sheet.Rising)(r); r.Setups[0].Fallen = 0.5 }},
	"drops, one reading wrong":     {stand: byDrops(sheet.Rising), pen: func(s *sheet.Sheet) { s.Setups[0].Drops[1].After[2].Value += 9 }},
	"sweep, piston rising":         {stand: bySweep(sheet.Rising, -30, 30)},
	"sweep, forward only":          {stand: bySweep(sheet.OneWay, -30, 30)},
	"sweep, approach not said":     {stand: func(r *simulate.Rig) { bySweep(sheet.Rising, -30, 30)(r); r.Setups[0].Unsaid = true }},
	"sweep of one side":            {stand: bySweep(sheet.Rising, -30, 4)},
	"sweep beside the top":         {stand: bySweep(sheet.Rising, 8, 40)},
	"sweep with a bent rod":        {stand: func(r *simulate.Rig) { bySweep(sheet.OneWay, -30, 30)(r); r.Setups[0].Fallen = 0.4 }},
	"sweep with a wrong stroke":    {stand: bySweep(sheet.OneWay, -30, 30), pen: func(s *sheet.Sheet) { s.Engine.Stroke = 70 }},
	"sweep by a dial counting on":  {stand: func(r *simulate.Rig) { bySweep(sheet.OneWay, -25, 35)(r); r.Setups[0].Sweep.CountsDown = true }},
	"sweep of three points":        {stand: func(r *simulate.Rig) { bySweep(sheet.OneWay, -25, 35)(r); r.Setups[0].Sweep.Points = 3 }},
	"stop and drops that differ":   {stand: func(r *simulate.Rig) { twoWays("A", "A")(r); r.Setups[1].Fallen = 0.6 }},
	"stop and drops, one mounting": {stand: twoWays("A", "A")},
	"stop and drops, a mounting each": {stand: func(r *simulate.Rig) {
		twoWays("A", "B")(r)
		r.Told.Remount = 0.1
	}},
	"stop and drops, two mountings each": {stand: func(r *simulate.Rig) {
		twoWays("A", "B")(r)
		r.Setups = append(r.Setups, r.Setups...)
		r.Setups[2].Mounting, r.Setups[3].Mounting = "C", "D"
	}},
	"lost motion seen":      {stand: lostMotion(0.8, 0, 0)},
	"lost motion otherwise": {stand: lostMotion(0.8, 2, 0.1)},
	"lost motion as stated": {stand: lostMotion(0.8, 0.8, 0.3)},
	"lines read backward": {stand: func(r *simulate.Rig) {
		lostMotion(0.8, 0.8, 0.3)(r)
		r.Setups[0].Approaches = []sheet.Approach{sheet.Backward}
	}},
	"distances measured":      {stand: spaced(0)},
	"a distance that differs": {stand: spaced(6)},
	"teeth miscounted":        {stand: spaced(0), pen: func(s *sheet.Sheet) { s.Part.Spacings[2].Teeth += 4 }},
	"wheel off centre, seen": {stand: func(r *simulate.Rig) {
		turned(8)(r)
		r.Readout.OffCentre, r.Readout.Towards, r.Readout.Bored, r.Told.OffCentre = 1.5, 40, true, 0.2
	}},
	"wheel centred":         {stand: turned(6)},
	"wheel turned twice":    {stand: turned(2)},
	"wheel turned thrice":   {stand: turned(3)},
	"wheel turned a little": {stand: func(r *simulate.Rig) { turned(5)(r); r.Setups[3].Zero, r.Setups[4].Zero = 4, 6 }},
	"a contact misread":     {stand: first(func(u *simulate.Setup) { u.Trials = 5 }), pen: func(s *sheet.Sheet) { s.Setups[0].Trials[3].Backward.Value += 10 }},
	"a line misread":        {pen: func(s *sheet.Sheet) { s.Setups[0].Marks["line 2"][1].Value -= 10 }},
	"one of two misread":    {stand: first(func(u *simulate.Setup) { u.Readings = 2 }), pen: func(s *sheet.Sheet) { s.Setups[0].Marks["line 3"][0].Value += 5 }},
	"a reading struck": {pen: func(s *sheet.Sheet) {
		s.Setups[0].Marks["line 2"][1].Struck, s.Setups[0].Trials[0].Forward.Struck = true, true
	}},
	"one line off":          {stand: func(r *simulate.Rig) { *r = r.Repeated(3); r.Lines[2].Offset = 3 }},
	"all lines late":        {stand: func(r *simulate.Rig) { *r = r.Repeated(3); r.Part.Bent = 1.5 }},
	"pointer bent a little": {stand: func(r *simulate.Rig) { r.Part.Bent = -0.8 }},
	"ring slipped": {stand: func(r *simulate.Rig) {
		*r = r.Repeated(3)
		r.Part.Bonded, r.Part.RingSlip = true, 4
		r.Lines[3].On = "hub"
	}},
	"two lines too close": {stand: func(r *simulate.Rig) {
		r.Lines = append(r.Lines, simulate.Line{Name: "line 5", At: 2, Offset: -3, Tolerance: 0.5})
	}},
	"names swapped":   {stand: func(r *simulate.Rig) { r.Slips.Swapped = [2]string{"line 2", "line 4"} }},
	"all mirrored":    {stand: func(r *simulate.Rig) { r.Slips.Mirrored = true }},
	"quarter turn":    {stand: func(r *simulate.Rig) { r.Told.QuarterTurn, r.Told.Side = true, true }},
	"TDC lines alone": {stand: func(r *simulate.Rig) { r.Lines = r.Lines[:1] }},
	"two lines, sides unsure": {stand: func(r *simulate.Rig) {
		r.Lines = []simulate.Line{{Name: "line 1", Tolerance: 0.5}, {Name: "line 2", At: 0.4, Tolerance: 0.5}}
	}},
	"marks on the engine": {stand: func(r *simulate.Rig) {
		r.Part.MarksOn, r.Engine.Turns = sheet.OnEngine, geometry.Anticlockwise
		r.Lines[2].Offset = 2
	}},
	"half speed": {stand: func(r *simulate.Rig) {
		r.Part.HalfSpeed, r.Part.Teeth, r.Lines[2].Offset = true, 96, 2
		*r = r.Repeated(2)
	}},
	"wheel, everything stated": {stand: func(r *simulate.Rig) {
		*r = r.Repeated(2)
		r.Readout.Kind, r.Readout.Diameter, r.Readout.Step = sheet.Wheel, 280, 0.25
		r.Told.OffCentre, r.Told.Sighting, r.Told.Contact, r.Told.Remount, r.Told.DiameterLimit = 0.2, 0.3, 0.04, 0.1, 0.5
		r.Part.Teeth, r.Engine.Pin, r.Engine.Bore = 135, 0.8, 1
	}, pen: func(s *sheet.Sheet) { s.Engine.PinOffset.Limit.Half, s.Engine.BoreOffset.Limit.Half = 0.2, 0.3 }},
	"counted from the throw": {stand: func(r *simulate.Rig) { r.Engine.FromThrow, r.Engine.Pin, r.Engine.Bore = true, 1, 2 }},
	"stop works its way out": {stand: first(func(u *simulate.Setup) { u.Hand.Creep, u.Trials = -0.15, 5 })},
	"stop slips once": {stand: first(func(u *simulate.Setup) { u.Trials = 7 }), pen: func(s *sheet.Sheet) {
		s.Setups[0].Trials[3].Forward.Value -= 1.5
		s.Setups[0].Trials[3].Backward.Value += 1.5
	}},
	"two depths, coarse step": {stand: func(r *simulate.Rig) { depths(0.3)(r); r.Readout.Step = 1 }},
	"three depths and drops": {stand: func(r *simulate.Rig) {
		depths(0.2)(r)
		drops := r.Setups[0]
		drops.Method, drops.Drops = sheet.EqualDrop, []simulate.Drop{{Drop: 3, Taken: sheet.Rising}}
		r.Setups[2].HalfArc = 30
		r.Setups = append(r.Setups, drops)
	}},
	"drops that disagree": {stand: byDrops(sheet.Rising), pen: func(s *sheet.Sheet) {
		d := s.Setups[0].Drops[1]
		for i := range d.Before {
			d.Before[i].Value += 1.5
			d.After[i].Value += 1.5
		}
	}},
	"one drop": {stand: func(r *simulate.Rig) { byDrops(sheet.OneWay)(r); r.Setups[0].Drops = r.Setups[0].Drops[:1] }},
	"stop and drops, approach not said": {stand: func(r *simulate.Rig) {
		twoWays("A", "A")(r)
		r.Setups[1].Unsaid = true
	}},
	"stop and sweep, lines both ways": {stand: func(r *simulate.Rig) {
		twoWays("A", "B")(r)
		r.Setups[1].Method = sheet.Sweep
		r.Setups[1].Sweep = simulate.Sweep{Points: 15, From: -30, To: 30, Taken: sheet.OneWay, HeightSD: 0.01}
		r.Setups[1].Approaches = []sheet.Approach{sheet.Forward, sheet.Backward}
		r.Lines[1].Readings = 5
	}},
	"two sweeps":         {stand: func(r *simulate.Rig) { bySweep(sheet.Rising, -30, 30)(r); *r = r.Repeated(2) }},
	"dial counting down": {of: "plug-hole", pen: dialReadings(func(x geometry.Length) geometry.Length { return 10 - x })},
	"dial, every line once": {of: "plug-hole", pen: func(s *sheet.Sheet) {
		for name, all := range s.Setups[0].Marks {
			s.Setups[0].Marks[name] = all[:1]
		}
		s.Setups[0].Top = s.Setups[0].Top[:1]
	}},
	"dial, two of each, some struck": {of: "plug-hole", pen: func(s *sheet.Sheet) {
		for _, all := range s.Setups[0].Marks {
			all[1].Struck = true
		}
		s.Setups[0].Top[0].Struck = true
	}},
	"dial, three setups": {of: "plug-hole", pen: threeTimes},
	"dial, remounting stated": {of: "plug-hole", pen: func(s *sheet.Sheet) {
		threeTimes(s)
		s.Setups = s.Setups[:2]
		s.Limits.Remount.Half = 0.3
	}},
	"dial moved after the lines": {of: "plug-hole", pen: func(s *sheet.Sheet) { s.Setups[0].ClosingTop.Length += 0.2 }},
	"dial, no letters":           {of: "plug-hole", pen: dialLetters(geometry.NoLetters)},
	"dial, a line misread":       {of: "plug-hole", pen: func(s *sheet.Sheet) { s.Setups[0].Marks["full"][1].Length++ }},
	"dial, the top misread":      {of: "plug-hole", pen: func(s *sheet.Sheet) { s.Setups[0].Top[2].Length += 0.4 }},
	"dial, counted from the throw": {of: "plug-hole", pen: func(s *sheet.Sheet) {
		s.Engine.RefersToThrow, s.Engine.PinOffset.Value, s.Engine.PinOffset.Limit.Half = true, 1.5, 0.2
	}},
	"dial, narrow tolerances, coarse step": {of: "plug-hole", pen: func(s *sheet.Sheet) {
		s.Readout.StepLength = 0.04
		for i := range s.Marks {
			s.Marks[i].Tolerance, s.Marks[i].Early, s.Marks[i].Late = 0.4, 0.2, 0.4
		}
	}},
	"dial, a line low down": {of: "plug-hole", pen: func(s *sheet.Sheet) {
		for i := range 3 {
			s.Setups[0].Marks["check"][i].Length += 53.3
		}
		s.Marks[2].At = 172
	}},
	"earlier audits object": {of: "past", pen: func(s *sheet.Sheet) {
		s.Setups[0].Trials[1].Forward.Value += 4
		s.Setups[0].Marks["2-3"][0].Value += 4
	}},
	"rim, one line off, a distance": {of: "rim", pen: func(s *sheet.Sheet) {
		for _, u := range s.Setups {
			for i := range u.Marks[s.Marks[1].Name] {
				u.Marks[s.Marks[1].Name][i].Value += 1.5
			}
		}
		s.Part.DiameterLimit.Half = 25
	}},
	"two banks, narrow": {of: "banks", pen: func(s *sheet.Sheet) {
		s.Engine.Cylinders[1].TDC += 0.7
		s.Limits.Remount.Half = 0.05
	}},
	"teeth and a coarse diameter": {of: "spacings", pen: func(s *sheet.Sheet) {
		s.Part.DiameterLimit.Half, s.Part.Spacings[0].Chord = 4, s.Part.Spacings[0].Chord+3
	}},
	"fixed scale, mirrored part": {of: "window", pen: func(s *sheet.Sheet) { s.Engine.Turns = geometry.Clockwise; s.Readout.QuarterTurn = nil }},
	"ring, hub alone off": {of: "ring", pen: func(s *sheet.Sheet) {
		for _, m := range s.Marks {
			if m.On == "hub" {
				for _, u := range s.Setups {
					for i := range u.Marks[m.Name] {
						u.Marks[m.Name][i].Value += 4
					}
				}
			}
		}
	}},
}

func first(change func(u *simulate.Setup)) func(r *simulate.Rig) {
	return func(r *simulate.Rig) { change(&r.Setups[0]) }
}

func remounted(by, stated geometry.Angle) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Setups[0].Hand.RemountSD, r.Told.Remount = by, stated
		*r = r.Repeated(5)
	}
}

func depths(rock geometry.Length) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Readout.Step, r.Told.Contact = 0.1, 0.04
		r.Engine.Rock = rock
		*r = r.Mounted(2, 2)
		for i := range r.Setups {
			r.Setups[i].HalfArc = []geometry.Angle{18, 50}[i%2]
		}
	}
}

func banks(at geometry.Angle) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Engine.Cylinders = []simulate.Cylinder{{Name: "1"}, {Name: "4", Declared: 60, TDC: at}}
		r.Lines[2].Cylinder = "4"
		*r = r.Mounted(3, 1)
	}
}

func byDrops(taken sheet.Taken) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Told.Slack, r.Told.Lost, r.Told.LostLimit, r.Readout.Lost, r.Readout.Step = 0.05, 0.3, 0.1, 0.3, 0.1
		u := &r.Setups[0]
		u.Method, u.Trials = sheet.EqualDrop, 3
		u.Drops = []simulate.Drop{{Drop: 2, Taken: taken}, {Drop: 5, Taken: taken}, {Drop: 9, Taken: taken}}
	}
}

func bySweep(taken sheet.Taken, from, to geometry.Angle) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Told.Slack, r.Told.Lost, r.Told.LostLimit, r.Readout.Lost, r.Readout.Step = 0.05, 0.3, 0.1, 0.3, 0.1
		u := &r.Setups[0]
		u.Method, u.Sweep = sheet.Sweep, simulate.Sweep{Points: 17, From: from, To: to, Taken: taken, HeightSD: 0.01, Step: 0.01, Zero: 5}
	}
}

func twoWays(one, other string) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		byDrops(sheet.Rising)(r)
		drops := r.Setups[0]
		stop := drops
		stop.Method, stop.Mounting, drops.Mounting = sheet.Stop, one, other
		r.Setups = []simulate.Setup{stop, drops}
	}
}

func lostMotion(lost, stated, limit geometry.Angle) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Readout.Lost, r.Told.Lost, r.Told.LostLimit, r.Readout.Step = lost, stated, limit, 0.1
		r.Setups[0].Approaches, r.Setups[0].Readings = []sheet.Approach{sheet.Forward, sheet.Backward}, 4
	}
}

func spaced(off geometry.Length) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Part.Teeth = 120
		limit := geometry.Limit[geometry.Length]{Half: 0.3}
		r.Told.Spacings = []sheet.Spacing{
			{From: "line 1", To: "line 2", Chord: r.Spans(r.Lines[0], r.Lines[1]) + off, Limit: limit},
			{From: "line 3", To: "line 1", Chord: r.Spans(r.Lines[2], r.Lines[0])},
			{From: "line 2", To: "line 4", Teeth: r.Teeth(r.Lines[1], r.Lines[3])},
		}
	}
}

func turned(n int) func(r *simulate.Rig) {
	return func(r *simulate.Rig) {
		r.Readout.Kind, r.Readout.Diameter, r.Readout.Step = sheet.Wheel, 280, 0.1
		*r = r.Repeated(n)
		for i := range r.Setups {
			r.Setups[i].Fitting, r.Setups[i].Zero = "A", geometry.Angle(1+i*360/n)
		}
	}
}

func dialReadings(change func(x geometry.Length) geometry.Length) func(s *sheet.Sheet) {
	return func(s *sheet.Sheet) {
		u := &s.Setups[0]
		for i := range u.Top {
			u.Top[i].Length = change(u.Top[i].Length)
		}
		u.ClosingTop.Length = change(u.ClosingTop.Length)
		for i := range s.Marks {
			if f := s.Marks[i].Further; f != nil {
				f[0].Length, f[1].Length = change(f[0].Length), change(f[1].Length)
			}
			for j := range u.Marks[s.Marks[i].Name] {
				r := &u.Marks[s.Marks[i].Name][j]
				r.Length = change(r.Length)
			}
		}
	}
}

func dialLetters(side geometry.Letters) func(s *sheet.Sheet) {
	return func(s *sheet.Sheet) {
		for i := range s.Marks {
			s.Marks[i].Further = nil
			for j := range s.Setups[0].Marks[s.Marks[i].Name] {
				s.Setups[0].Marks[s.Marks[i].Name][j].Side = side
			}
		}
	}
}

// threeTimes has the first setup done three times, the dial fitted anew. The line at
// TDC, whose side the letters do not tell, is left out.
func threeTimes(s *sheet.Sheet) {
	first := s.Setups[0]
	s.Setups, s.Marks = nil, s.Marks[:3]
	for n := range 3 {
		u := first
		lower := geometry.Length(n) * 0.5
		u.Name, u.Marks, u.Top, u.ClosingTop = string(rune('1'+n)), map[string][]sheet.Reading{}, slices.Clone(first.Top), nil
		for i := range u.Top {
			u.Top[i].Length += lower
		}
		for name, all := range first.Marks {
			for _, r := range all {
				r.Length += lower
				u.Marks[name] = append(u.Marks[name], r)
			}
		}
		s.Setups = append(s.Setups, u)
	}
}

// Stories are the sheets of stands of which much is unusual, by what that is. They
// are the same on every run, for figures that are kept.
func Stories(t testkit.T) map[string]sheet.Sheet {
	t.Helper()
	out := Good(t)
	for _, name := range slices.Sorted(maps.Keys(stories)) {
		story := stories[name]
		var s sheet.Sheet
		if story.of != "" {
			s = good(t, story.of)
		} else {
			r := simulate.Steady(0.5, 0, 120, -30, 240)
			if story.stand != nil {
				story.stand(&r)
			}
			s, _ = r.Measure(rand.New(rand.NewPCG(20261128, 12)))
		}
		if story.pen != nil {
			story.pen(&s)
		}
		out[name] = s
	}
	return out
}
