package audit_test

import (
	"fmt"
	"math"
	"strconv"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// The other ways to find TDC, on the engine of the tests' own rig: an indicator
// on the piston in place of the stop. Drops come from bisection of the piston's
// height as contacts do, and a sweep only writes heights down.

// way is how one setup finds TDC.
type way struct {
	method   sheet.Method
	mounting string  // setups with the same one share the readout's zero
	halfArc  float64 // of a stop; 0: the rig's

	drops  []float64 // that the indicator shows, mm
	pairs  int       // at each drop
	slant  float64   // of the indicator against the cylinder
	hidden bool      // the slant is not on the sheet

	points          int     // of a sweep, evenly from first to last
	first, last     float64 // crank angles from the piston's top
	graduations     bool    // the engine is turned to whole steps of the readout
	heightSD        float64 // of one height
	heightStep      float64 // of the indicator; 0: as fine as numbers go
	countsDown      bool    // the indicator counts down as the piston rises
	fallenBy        float64 // height by which all readings after the top are too low
	zero            float64 // what the indicator shows at the top
	taken, recorded sheet.Taken
	slack           float64 // the piston stands lower by this after TDC when turned forward
}

// byStop, byDrops and bySweep are the ways with nothing wrong.
func byStop() way { return way{method: sheet.Stop} }

func byDrops(pairs int, drops ...float64) way {
	return way{method: sheet.EqualDrop, drops: drops, pairs: pairs, taken: sheet.Rising, recorded: sheet.Rising}
}

func bySweep(points int, side float64) way {
	return way{
		method: sheet.Sweep, points: points, first: -side, last: side, zero: 3.2,
		taken: sheet.OneWay, recorded: sheet.OneWay,
	}
}

// in puts the setup into a mounting.
func (w way) in(mounting string) way {
	w.mounting = mounting
	return w
}

// approached is how the readings on either side of the top were come to.
func approached(t sheet.Taken) (before, after sheet.Approach) {
	if t == sheet.Rising {
		return sheet.Forward, sheet.Backward
	}
	return sheet.Forward, sheet.Forward
}

// lowered is by how much the piston stands lower after the top than the throw
// alone would have it: the rod pulls there, unless the piston rises.
func (w way) lowered() float64 {
	if w.taken == sheet.OneWay {
		return w.fallenBy + w.slack
	}
	return w.fallenBy
}

func (r *rig) equalDrop(m mounting, w way, drop float64) sheet.Drop {
	d := sheet.Drop{Drop: geometry.Length(drop), Taken: w.recorded}
	if !w.hidden {
		d.Probe = geometry.Angle(w.slant)
	}
	fell := drop * math.Cos(rad(w.slant)) // the tip slides along a flat crown
	before, after := r.contacts(fell, fell-w.lowered())
	scatter := r.stopSD * math.Sqrt2
	first, second := approached(w.taken)
	var told [2]sheet.Approach
	if w.recorded != sheet.Unknown {
		told[0], told[1] = approached(w.recorded)
	}
	for range w.pairs {
		b := r.shows(m, before+scatter*r.rng.NormFloat64(), first)
		a := r.shows(m, after+scatter*r.rng.NormFloat64(), second)
		d.Before = append(d.Before, sheet.Reading{Value: geometry.Angle(b), Approach: told[0]})
		d.After = append(d.After, sheet.Reading{Value: geometry.Angle(a), Approach: told[1]})
	}
	return d
}

func (r *rig) sweep(m mounting, w way) *sheet.Swept {
	s := &sheet.Swept{Taken: w.recorded}
	top := r.top()
	highest := r.height(top)
	first, second := approached(w.taken)
	scatter := r.stopSD * math.Sqrt2 // one reading of a contact has as much
	for i := range w.points {
		theta := w.first + (w.last-w.first)*float64(i)/float64(w.points-1)
		approach := first
		if theta > 0 {
			approach = second
		}
		shown := r.shows(m, theta, approach)
		if w.graduations { // turned to the line that lies nearest
			theta += r.counts * (shown - (r.counts*theta + m.zero))
		}
		theta += scatter * r.rng.NormFloat64()
		if !w.graduations {
			shown = r.shows(m, theta, approach)
		}
		height := r.height(top+theta) - highest + w.heightSD*r.rng.NormFloat64()
		if theta > 0 {
			height -= w.lowered()
		}
		if w.countsDown {
			height = -height
		}
		height += w.zero
		if w.heightStep > 0 {
			height = math.Round(height/w.heightStep) * w.heightStep
		}
		p := sheet.Point{Reading: sheet.Reading{Value: geometry.Angle(shown)}, Height: geometry.Length(height)}
		if w.recorded == sheet.OneWay {
			p.Reading.Approach = sheet.Forward
		}
		s.Points = append(s.Points, p)
	}
	return s
}

// setupsBy takes a setup in each of the rig's ways. The lines are read once in
// every mounting.
func (r *rig) setupsBy() []sheet.Setup {
	var setups []sheet.Setup
	mounted := map[string]mounting{} // only looked up
	for i, w := range r.ways {
		setup := sheet.Setup{
			Name: strconv.Itoa(i + 1), Path: inputerror.Path(fmt.Sprintf("setups[%d]", i)),
			Mounting: w.mounting, Method: w.method,
		}
		m, again := mounted[w.mounting]
		if !again || w.mounting == "" {
			m = r.mount()
			r.mountings = append(r.mountings, m)
			mounted[w.mounting] = m
			setup.Marks = map[string][]sheet.Reading{}
			for _, l := range r.lines {
				for j := range r.readings {
					setup.Marks[l.name] = append(setup.Marks[l.name], r.reading(m, l, r.approaches[j%len(r.approaches)]))
				}
			}
		}
		switch w.method {
		case sheet.EqualDrop:
			for j, d := range w.drops {
				setup.Drops = append(setup.Drops, r.equalDrop(m, w, d))
				setup.Drops[j].Path = setup.Path + inputerror.Path(fmt.Sprintf(".equal_drop[%d]", j))
			}
		case sheet.Sweep:
			setup.Sweep = r.sweep(m, w)
			setup.Sweep.Path = setup.Path + ".sweep"
		default:
			if w.halfArc > 0 {
				m.drop = r.height(r.top()) - r.height(r.top()+w.halfArc)
			}
			for range r.trials {
				setup.Trials = append(setup.Trials, r.trial(m))
			}
		}
		setups = append(setups, setup)
	}
	return setups
}
