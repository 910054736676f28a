package crosscheck

import (
	"math"
	"slices"
	"strconv"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// OddReading is the reading that stands out most from those beside it.
type OddReading struct {
	Setup    int            // into the setups of the sheet
	Mounting int            // into the mountings of the readout that found TDC
	Line     string         // empty: a contact, a reading of a drop, or of the top of a dial
	Drop     int            // into the drops of the setup, where TDC was found by equal drops
	Side     sheet.Approach // of a drop Forward is the reading before TDC
	Index    []int          // into the setup's trials, the drop's readings on that side, or its readings of the line; two of two accuse each other
	Value    geometry.Angle // as it stands on the sheet; of two the first. Of a dial this and the next two are millimetres
	Others   geometry.Angle // mean of those beside it
	By       geometry.Angle // between the two, without a sign
	P        float64        // probability of one so far off among all readings of the sheet, if none is wrong
}

// Doubtful reports whether it stands out at 5 % for the whole sheet.
func (o OddReading) Doubtful() bool { return o.P < 0.05 }

// Numbers are its places, counted from one, in the list of its side on the sheet.
func (o OddReading) Numbers(s sheet.Sheet) []int {
	out := make([]int, len(o.Index))
	for k, i := range o.Index {
		out[k] = i + 1
		if o.Line != "" {
			out[k] = 0
			for _, r := range s.Setups[o.Setup].Marks[o.Line][:i+1] {
				if r.Approach == o.Side {
					out[k]++
				}
			}
		}
	}
	return out
}

// cell is readings that would all be alike if nothing scattered.
type cell struct {
	OddReading // whose readings these are; Index leads to each
	as, truly  []geometry.Angle
}

func (c *cell) add(in input, index int, r *sheet.Reading) {
	as, truly := r.Value, in.readout.Value(r)
	if in.sheet.Readout.Kind == sheet.Dial {
		as, truly = geometry.Angle(r.Length), geometry.Angle(r.Length)
	}
	c.Index, c.as, c.truly = append(c.Index, index), append(c.as, as), append(c.truly, truly)
}

// readings looks for a reading that stands out from those beside it: the contacts
// of a setup on one side, the readings of a line in one setup and from one side.
// Contacts, readings of drops and lines are three kinds, each with a scatter of its
// own; both sides of a stop scatter alike. The level holds for the whole sheet.
// Readings that round alike have no scatter to judge by, so that less than two
// steps is nothing (common practice, no source).
func readings(in input, c *Checks) {
	kinds, n := in.kinds()
	step := in.readout.Step()
	if in.sheet.Readout.Kind == sheet.Dial {
		step = geometry.Angle(in.sheet.Readout.StepLength)
	}
	for _, cells := range kinds {
		values := make([][]float64, len(cells))
		for i, cell := range cells {
			middle, _ := geometry.CircularMean(cell.truly)
			values[i] = stats.Degrees(geometry.Unwrap(cell.truly, middle))
		}
		out := stats.StandsOut(values, step.Degrees()/math.Sqrt(12), n)
		if out.Index == nil || geometry.Angle(out.Deviation) <= 2*step+geometry.Tie {
			continue
		}
		if c.Odd == nil || out.P < c.Odd.P {
			odd := cells[out.Cell].odd(out)
			c.Odd = &odd
		}
	}
	if c.Odd != nil && c.Odd.Doubtful() {
		c.warn(in.standsOut(*c.Odd))
	}
}

// odd is the reading of the cell that stands out.
func (c cell) odd(out stats.Outlier) OddReading {
	o, first := c.OddReading, out.Index[0]
	o.Index = nil
	for _, i := range out.Index {
		o.Index = append(o.Index, c.Index[i])
	}
	rest := slices.Delete(geometry.Unwrap(c.as, c.as[first]), first, first+1)
	o.Value, o.Others = c.as[first], stats.MeanAngle(rest)
	o.By, o.P = geometry.Angle(out.Deviation), out.P
	return o
}

// standsOut is the warning of a reading.
func (in input) standsOut(o OddReading) warning.Warning {
	setup := in.sheet.Setups[o.Setup]
	w := warning.Warning{Code: warning.StandsOut, Setup: setup.Name, Mark: o.Line, Values: []float64{o.Value.Degrees(), o.Others.Degrees()}}
	for _, n := range o.Numbers(*in.sheet) {
		w.Values = append(w.Values, float64(n))
	}
	oneSided := o.Line != "" && !slices.ContainsFunc(setup.Marks[o.Line], func(r sheet.Reading) bool { return r.Approach != o.Side })
	if !oneSided {
		w.Names = append(w.Names, o.Side.String())
	}
	if o.Line == "" && setup.Method == sheet.EqualDrop {
		w.Names = append(w.Names, strconv.Itoa(o.Drop+1))
	}
	return w
}

// kinds are the cells of two readings or more that count, by the kind of reading,
// and how many readings are in them.
func (in input) kinds() (kinds [][]cell, n int) {
	kinds = make([][]cell, 3) // contacts, drops, lines
	keep := func(kind int, c cell) {
		if len(c.Index) > 1 {
			kinds[kind], n = append(kinds[kind], c), n+len(c.Index)
		}
	}
	pairs := func(kind int, from OddReading, trials []sheet.Trial) {
		forward, backward := cell{OddReading: from}, cell{OddReading: from}
		forward.Side, backward.Side = sheet.Forward, sheet.Backward
		for i, t := range trials {
			if t.Usable() {
				forward.add(in, i, t.Forward)
				backward.add(in, i, t.Backward)
			}
		}
		keep(kind, forward)
		keep(kind, backward)
	}
	for i := range in.sheet.Setups {
		setup := &in.sheet.Setups[i]
		mounting := in.mounting(i)
		if mounting < 0 {
			continue // nothing of it is used
		}
		from := OddReading{Setup: i, Mounting: mounting}
		pairs(0, from, setup.Trials)
		top := cell{OddReading: from}
		top.Side = sheet.Forward
		for k := range setup.Top {
			if r := &setup.Top[k]; !r.Struck {
				top.add(in, k, r)
			}
		}
		keep(0, top)
		for k := range setup.Drops {
			from.Drop = k
			pairs(1, from, setup.Drops[k].Trials())
		}
		from.Drop = 0
		for _, l := range in.lines {
			for _, side := range []sheet.Approach{sheet.Forward, sheet.Backward} {
				c := cell{OddReading: from}
				c.Line, c.Side = l.Name, side
				for k := range setup.Marks[l.Name] {
					if r := &setup.Marks[l.Name][k]; !r.Struck && r.Approach == side {
						c.add(in, k, r)
					}
				}
				keep(2, c)
			}
		}
	}
	return kinds, n
}

// mounting is the one that a setup belongs to, -1 where none of it found TDC.
func (in input) mounting(setup int) int {
	for i, m := range in.top.Mountings {
		if slices.Contains(m.Setups, setup) {
			return i
		}
	}
	return -1
}
