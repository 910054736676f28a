package uncertainty

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// ID names one quantity that is not known exactly. Two results that hold the same
// ID share that quantity: in their difference it may cancel.
type ID struct {
	Source Source
	Of     string // whose it is: a line, a setup, a mounting, a cylinder, a readout, an engine
}

// Input is one quantity that is not known exactly (JCGM 100, 4.1).
type Input struct {
	ID
	Shape Shape
	Scale float64 // half width of a bounded input, else standard uncertainty; in degrees unless the source is folded

	// Of an input that is a vector, as the coefficients of a correction.
	Covariance [][]float64

	// Of an input that scatters.
	DOF  DOF    // of Scale; zero: nothing repeats, so that Scale is not known. +Inf is a normal input
	N    int    // readings behind it
	Pool string // inputs of one pool have one estimate of their scatter; empty: a pool of its own

	// Unsigned inputs add up where they meet, whatever the signs of their
	// sensitivities.
	Unsigned bool
}

// Contribution is an input with its sensitivity coefficients (JCGM 100, 5.1.3):
// one, or one a coordinate for a vector and for a wheel off centre.
type Contribution struct {
	Input
	Sensitivity []float64
}

// By returns a contribution with one sensitivity coefficient.
func By(input Input, sensitivity float64) Contribution {
	return Contribution{input, []float64{sensitivity}}
}

func (c Contribution) times(weight float64) Contribution {
	out := make([]float64, len(c.Sensitivity))
	for i, x := range c.Sensitivity {
		out[i] = weight * x
	}
	if c.Unsigned {
		for i := range out {
			out[i] = math.Abs(out[i])
		}
	}
	c.Sensitivity = out
	return c
}

// size is the length of the vector of sensitivities.
func (c Contribution) size() float64 {
	switch len(c.Sensitivity) {
	case 1:
		return math.Abs(c.Sensitivity[0])
	case 2:
		return math.Hypot(c.Sensitivity[0], c.Sensitivity[1])
	}
	var v float64
	for _, x := range c.Sensitivity {
		v += x * x
	}
	return math.Sqrt(v)
}

// Group is what several mountings of the readout say of one value, a value a
// mounting, all with the same weight.
type Group struct {
	Mountings []string
	Values    []geometry.Angle
	Alike     bool           // all zeroed in one place: they round alike, so that rounding does not average out
	Scatter   []Contribution // what repeats in these mountings
	Rounding  []Contribution
	Further   int     // mountings still to come that will scatter as these do
	Before    *Before // nil where no earlier audits count
}

// Before is what remounting changed in earlier audits: the standard deviation of a
// value over the mountings, with the scatter and the rounding of each in it.
type Before struct {
	SD     geometry.Angle
	DOF    float64
	Rounds bool // today's values round alike, which mountings of the past did not
}

// lent is the most degrees of freedom that the past lends. Chosen by simulation
// (docs/validation.md).
const lent = 4

// Combination is a value that is still to be summed or compared: what the
// mountings say, and the inputs on which it depends. Only Evaluate makes an
// interval of it.
type Combination struct {
	Groups []Group
	Inputs []Contribution // what no repetition shows
}

// Value is the sum over the groups of the mean of their values, not wrapped.
func (c Combination) Value() geometry.Angle {
	var v geometry.Angle
	for _, g := range c.Groups {
		if len(g.Values) > 0 {
			v += stats.MeanAngle(g.Values)
		}
	}
	return v
}

// Times returns the combination multiplied by a weight.
func (c Combination) Times(weight float64) Combination {
	out := Combination{Groups: make([]Group, len(c.Groups)), Inputs: scaled(c.Inputs, weight)}
	for i, g := range c.Groups {
		values := make([]geometry.Angle, len(g.Values))
		for j, v := range g.Values {
			values[j] = geometry.Angle(weight) * v
		}
		g.Values, g.Scatter, g.Rounding = values, scaled(g.Scatter, weight), scaled(g.Rounding, weight)
		if g.Before != nil {
			before := *g.Before
			before.SD *= geometry.Angle(math.Abs(weight))
			g.Before = &before
		}
		out.Groups[i] = g
	}
	return out
}

func scaled(all []Contribution, weight float64) []Contribution {
	out := make([]Contribution, len(all))
	for i, c := range all {
		out[i] = c.times(weight)
	}
	return out
}

// Add adds combinations. Groups of the same mountings add value by value; inputs
// with the same ID meet, and may cancel. What earlier audits say of one value they do
// not say of a sum.
func Add(all ...Combination) Combination {
	var out Combination
	for _, c := range all {
		for _, g := range c.Groups {
			at := slices.IndexFunc(out.Groups, func(o Group) bool { return slices.Equal(o.Mountings, g.Mountings) })
			if at < 0 {
				g.Values = slices.Clone(g.Values)
				g.Scatter, g.Rounding = Meet(nil, g.Scatter), Meet(nil, g.Rounding)
				out.Groups = append(out.Groups, g)
				continue
			}
			o := &out.Groups[at]
			for i, v := range g.Values {
				o.Values[i] += v
			}
			o.Alike, o.Before = o.Alike || g.Alike, nil
			o.Scatter, o.Rounding = Meet(o.Scatter, g.Scatter), Meet(o.Rounding, g.Rounding)
		}
		out.Inputs = Meet(out.Inputs, c.Inputs)
	}
	return out
}

// vanished is the size of a sensitivity below which an input has cancelled.
const vanished = 1e-12

// Meet adds contributions to a list: those of one ID become one, and none where
// they cancel.
func Meet(list, more []Contribution) []Contribution {
	for _, c := range more {
		at := slices.IndexFunc(list, func(o Contribution) bool { return o.ID == c.ID })
		if at < 0 {
			c.Sensitivity = slices.Clone(c.Sensitivity)
			list = append(list, c)
			continue
		}
		o := &list[at]
		o.Sensitivity = slices.Clone(o.Sensitivity) // another combination may hold them
		for i := range o.Sensitivity {
			if c.Unsigned {
				o.Sensitivity[i] = math.Abs(o.Sensitivity[i]) + math.Abs(c.Sensitivity[i])
			} else {
				o.Sensitivity[i] += c.Sensitivity[i]
			}
		}
		o.N += c.N
		if o.size() < vanished && c.size() >= vanished {
			list = slices.Delete(list, at, at+1)
		}
	}
	return list
}

// Sensitivity is the sum of the sensitivity coefficients to the inputs of one
// source that have a single coefficient.
func (c Combination) Sensitivity(source Source) float64 {
	var sum float64
	for _, x := range c.Inputs {
		if x.Source == source && len(x.Sensitivity) == 1 {
			sum += x.Sensitivity[0]
		}
	}
	return sum
}

// Covariance is what two combinations share of the inputs that no repetition
// shows, in degrees squared (JCGM 100, F.1.2.3).
func Covariance(a, b Combination) float64 {
	var v float64
	for _, x := range a.Inputs {
		for _, y := range b.Inputs {
			if x.ID != y.ID || len(x.Sensitivity) != len(y.Sensitivity) {
				continue
			}
			v += x.product(x.Sensitivity, y.Sensitivity)
		}
	}
	return v
}

// product is aᵀVb, V being the covariance of the input.
func (i Input) product(a, b []float64) float64 {
	var v float64
	if i.Covariance != nil {
		for r := range a {
			for c := range b {
				v += a[r] * i.Covariance[r][c] * b[c]
			}
		}
		return v
	}
	for r := range a {
		v += a[r] * b[r]
	}
	u := Term{Shape: i.Shape, Scale: i.Scale}.Standard()
	return v * u * u
}

// With returns the combination with further inputs.
func (c Combination) With(more ...Contribution) Combination {
	c.Inputs = Meet(slices.Clone(c.Inputs), more)
	return c
}

// WithinMountings is the combination as the scatter within the mountings alone
// shows it, however many there are.
func (c Combination) WithinMountings() Combination {
	c.Groups = slices.Clone(c.Groups)
	for i := range c.Groups {
		c.Groups[i].Mountings, c.Groups[i].Further, c.Groups[i].Before = []string{"within"}, 0, nil
	}
	return Add(c)
}

// Only returns the combination with the inputs of some sources alone.
func (c Combination) Only(all ...Source) Combination {
	c.Inputs = slices.DeleteFunc(slices.Clone(c.Inputs), func(x Contribution) bool { return !slices.Contains(all, x.Source) })
	return c
}

// Without returns the combination without the inputs of some sources.
func (c Combination) Without(all ...Source) Combination {
	c.Inputs = slices.DeleteFunc(slices.Clone(c.Inputs), func(x Contribution) bool { return slices.Contains(all, x.Source) })
	return c
}

// Mean is the mean of what several mountings say: of combinations of one group of
// one mounting each. alike says that all were zeroed in one place.
func Mean(parts []Combination, alike bool) Combination {
	n := float64(len(parts))
	group := Group{Alike: alike}
	var out Combination
	for _, p := range parts {
		p = p.Times(1 / n)
		g := p.Groups[0]
		group.Mountings = append(group.Mountings, g.Mountings...)
		group.Values = append(group.Values, parts[len(group.Values)].Groups[0].Values...)
		group.Scatter, group.Rounding = Meet(group.Scatter, g.Scatter), Meet(group.Rounding, g.Rounding)
		out.Inputs = Meet(out.Inputs, p.Inputs)
	}
	out.Groups = []Group{group}
	return out
}

// Renamed returns the combination with other IDs: what two results do not share
// must not have one name.
func (c Combination) Renamed(name func(ID) ID) Combination {
	renamed := func(all []Contribution) []Contribution {
		out := slices.Clone(all)
		for i := range out {
			out[i].ID = name(out[i].ID)
		}
		return out
	}
	c.Inputs = renamed(c.Inputs)
	c.Groups = slices.Clone(c.Groups)
	for i := range c.Groups {
		c.Groups[i].Scatter, c.Groups[i].Rounding = renamed(c.Groups[i].Scatter), renamed(c.Groups[i].Rounding)
	}
	return c
}

// OfTDC are the contributions that are doubts of TDC.
func OfTDC(all []Contribution) []Contribution {
	return slices.DeleteFunc(slices.Clone(all), func(x Contribution) bool { return !sources[x.Source].ofTDC })
}
