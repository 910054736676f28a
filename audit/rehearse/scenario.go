package rehearse

import (
	"math/rand/v2"

	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// Scenario is a stand with a story, for apprentices to find out.
type Scenario struct {
	Name  string
	About string // what is asked, told before
	Story string // what was so, told after
	Cause Cause  // what was so, in a word of the form; none of a class
	rig   func(rng *rand.Rand) simulate.Rig
}

// Rig draws a stand of the scenario. Offsets, half arcs and zeros lie between the
// graduations, where roundings do not cancel.
func (s Scenario) Rig(rng *rand.Rand) simulate.Rig {
	r := s.rig(rng)
	r.Title = "Rehearsal"
	return r
}

// Find returns the scenario of a name.
func Find(name string) (Scenario, bool) {
	for _, s := range Scenarios() {
		if s.Name == name {
			return s, true
		}
	}
	return Scenario{}, false
}

// stand is a six with a wheel, as most scenarios begin with.
func stand(rng *rand.Rand, setups int) simulate.Rig {
	r := simulate.Steady(0.75, 0, -10, 120, 240)
	for i, name := range []string{"1-6", "fire 10", "5-2", "3-4"} {
		r.Lines[i].Name = name
		r.Lines[i].Offset = geometry.Angle(0.24 * (rng.Float64() - 0.5))
	}
	r.Readout = simulate.Readout{Kind: sheet.Wheel, Step: 0.25, Counts: geometry.CountsUp, Diameter: 280, OffCentre: 0.05, Towards: geometry.Angle(360 * rng.Float64())}
	r.Told.OffCentre, r.Told.Contact, r.Told.Sighting = 0.1, 0.04, 0.2
	r.Told.Side, r.Told.QuarterTurn = true, true
	r.Engine.Rock = geometry.Length(0.02 * (rng.Float64() - 0.5))
	r.Setups[0] = simulate.Setup{
		By: "apprentice", HalfArc: geometry.Angle(22 + 9*rng.Float64()), Trials: 4, Readings: 3, Closing: true,
		Hand: simulate.Hand{MiddleSD: 0.05, ReadSD: 0.06, RemountSD: 0.04},
	}
	return r.Repeated(setups)
}

// Scenarios are all that there are, the easier first.
func Scenarios() []Scenario {
	return []Scenario{
		{
			"good", "Four lines on a front pulley, three setups. Which of them may be trusted?",
			"Nothing was wrong: every line lay within a tenth of a degree of its place.",
			NothingWrong,
			func(rng *rand.Rand) simulate.Rig { return stand(rng, 3) },
		},
		{
			"one-line", "Four lines on a front pulley, three setups. Is any line in the wrong place, and by how much?",
			"The line fire 10 was stamped wrong; the others were in place.",
			OneLine,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 3)
				r.Lines[1].Offset = geometry.Angle(1.35 + 0.4*rng.Float64())
				return r
			},
		},
		{
			"bent-pointer", "The timing has been wrong since the radiator was changed. Three setups. What is to be moved?",
			"The engine pointer was bent: all lines came up alike, and none was wrong.",
			Pointer,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 3)
				r.Part.Bent = geometry.Angle(1.3 + 0.5*rng.Float64())
				return r
			},
		},
		{
			"slipped-ring", "A pulley with an outer ring on rubber, and lines on ring and hub. Two setups. What is to be done?",
			"The outer ring had slipped on its rubber. Such a pulley is replaced, not re-marked.",
			Ring,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 2)
				r.Part.Bonded, r.Part.RingSlip = true, geometry.Angle(2.2+2*rng.Float64())
				for i := range r.Lines {
					r.Lines[i].On = simulate.Ring
				}
				for i, at := range []geometry.Angle{0, 180} {
					r.Lines = append(r.Lines, simulate.Line{Name: []string{"keyway", "hub line"}[i], At: at, Offset: geometry.Angle(0.1 * (rng.Float64() - 0.5)), Tolerance: 0.75, On: "hub"})
				}
				r.Told.Remount = 0.1
				return r
			},
		},
		{
			"moved-readout", "One setup, taken in a hurry. Which lines are off?",
			"The readout was bumped after the stop contacts. No line can be judged by these readings; the closing pair shows it.",
			Readout,
			func(rng *rand.Rand) simulate.Rig {
				return stand(rng, 1).Each(func(s *simulate.Setup) { s.Bumped = geometry.Angle(1.1 + rng.Float64()) })
			},
		},
		{
			"differing-setups", "Two setups on two days. What do they tell together?",
			"One of the two mountings sat crooked. Two setups that differ show that something changed, not which is right: a third is needed.",
			Mounting,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 2)
				r.Setups[1].Added = geometry.Angle(1.3 + 0.4*rng.Float64())
				return r
			},
		},
		{
			"off-centre", "Three setups with a wheel that nobody centred. Lines far from TDC seem wrong.",
			"The wheel sat 0.9 mm off centre. Near TDC that hardly shows, half way round it is tenths of a degree: the lines were in place.",
			OffCentre,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 3)
				r.Readout.OffCentre, r.Told.OffCentre = 0.9, 1
				return r
			},
		},
		{
			"lost-motion", "An encoder on a belt; lines read from one side by some, from both by others.",
			"The belt lost 0.6 degrees when the engine was reversed: lines read forward seem early by half of it.",
			LostMotion,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 3)
				r.Readout = simulate.Readout{Kind: sheet.Encoder, Step: 0.05, Counts: geometry.CountsDown, Lost: 0.6}
				r.Told.OffCentre = 0
				return r.Each(func(s *simulate.Setup) {
					s.Readings, s.Approaches = 4, []sheet.Approach{sheet.Forward, sheet.Backward}
				})
			},
		},
		{
			"shallow-stop", "One setup, the stop screwed in as far as it would go at the top. How sure is it?",
			"The stop sat where the piston hardly moves, so a hair of height was tenths of a degree. Deeper, for a half arc of 20 to 35.",
			ShallowStop,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 1)
				r.Engine.Rock = 0.03
				return r.Each(func(s *simulate.Setup) { s.HalfArc, s.Hand.HeightSD = 3.3, 0.01 })
			},
		},
		{
			"creeping-stop", "One setup of eight pairs. Look at the half arcs.",
			"The lock had come loose, and the stop worked its way in from pair to pair.",
			CreepingStop,
			func(rng *rand.Rand) simulate.Rig {
				return stand(rng, 1).Each(func(s *simulate.Setup) { s.Trials, s.Hand.Creep, s.Hand.MiddleSD = 8, 0.05, 0.03 })
			},
		},
		{
			"misread", "Three setups, one of them read by lamplight. Does every reading belong?",
			"One reading of the line 5-2 had a wrong digit: ten degrees off.",
			Misread,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 3).Each(func(s *simulate.Setup) { s.Readings = 5 })
				r.Slips.Misread = &simulate.Misread{Setup: 1, Reading: 2, Line: "5-2", By: 10}
				return r
			},
		},
		{
			"swapped-names", "Two setups. Two lines are far off. Scribe them anew?",
			"The names 5-2 and 3-4 were swapped on the sheet. No line was wrong.",
			Names,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 2)
				r.Slips.Swapped = [2]string{"5-2", "3-4"}
				return r
			},
		},
		{
			"undecided", "One setup, a coarse wheel, a line close to its tolerance. What would settle it?",
			"The line fire 10 was off by just about its tolerance. Who calls it within or outside by these readings guesses.",
			CannotBeTold,
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 1)
				r.Readout.Step = 0.5
				r.Lines[1].Offset = geometry.Angle(0.70 + 0.1*rng.Float64())
				return r
			},
		},
		{
			"class", "Five apprentices, three setups each. Who repeats how well, who sits off, and who needs what?",
			"Bo came to the lines from the wrong side, Cleo squinted along the pointer, Dag was hasty; Ada and Eli were steady.",
			"",
			func(rng *rand.Rand) simulate.Rig {
				r := stand(rng, 15)
				r.Readout = simulate.Readout{Kind: sheet.Encoder, Step: 0.05, Counts: geometry.CountsUp, Lost: 0.35}
				r.Told.OffCentre = 0
				for i := range r.Setups {
					s := &r.Setups[i]
					s.By, s.Closing = []string{"Ada", "Bo", "Cleo", "Dag", "Eli"}[i%5], false
					switch s.By {
					case "Bo":
						s.Hand.WrongSide = true
					case "Cleo":
						s.Hand.Squint = 0.7
					case "Dag":
						s.Hand.ReadSD, s.Hand.MiddleSD = 0.3, 0.25
					}
				}
				return r
			},
		},
	}
}
