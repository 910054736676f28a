package tdc

import (
	"fmt"
	"slices"

	"markaudit/audit/inputerror"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// A way finds TDC in one setup. Each has a file of its own.
type way interface {
	// find returns nil where the setup holds no usable trial; the warnings then say
	// why. Faults are what cannot be right on the sheet.
	find(in input, setup *sheet.Setup) (*reached, []warning.Warning, inputerror.List)
}

// ways are the ways of finding TDC.
var ways = [...]way{sheet.Stop: stop{}, sheet.EqualDrop: equalDrop{}, sheet.Sweep: sweep{}, sheet.AtTop: atTop{}}

// input is what every way has to go by.
type input struct {
	sheet    *sheet.Sheet
	readout  readout.Readout
	crank    geometry.Crank
	hasCrank bool
}

// reached is what a way found, with how the readout reaches it.
type reached struct {
	Setup
	reach readout.Sensitivity
}

// Find finds TDC in every setup of a sheet and joins setups that share a mounting.
// The error is of type [inputerror.List].
func Find(s sheet.Sheet, r readout.Readout) (Found, error) {
	in := input{sheet: &s, readout: r}
	in.crank, in.hasCrank = s.Engine.Crank()
	var f Found
	if in.hasCrank {
		f.ThrowToTDC = in.crank.ThrowToTDC()
	}
	var all []reached
	var faults inputerror.List
	for i := range s.Setups {
		setup := &s.Setups[i]
		at := f.mounting(setup, i)
		found, warnings, wrong := ways[setup.Method].find(in, setup)
		f.Warnings, faults = append(f.Warnings, warnings...), append(faults, wrong...)
		at.Setups = append(at.Setups, i)
		if found == nil {
			continue
		}
		found.Name, found.By, found.Index, found.Mounting = setup.Name, setup.By, i, setup.Mounting
		found.Method, found.Cylinder = setup.Method, s.Engine.Cylinder(setup.Cylinder)
		f.Trials += len(found.Middles)
		at.add(found.Cylinder, len(all))
		all = append(all, *found)
	}
	if len(faults) > 0 {
		return Found{}, faults
	}
	f.Mountings = slices.DeleteFunc(f.Mountings, func(m Mounting) bool { return len(m.Tops) == 0 })
	if len(all) == 0 {
		return Found{Warnings: f.Warnings}, nil
	}
	if s.Readout.Kind == sheet.Dial {
		heights(&f, s, all)
		return f, nil
	}
	shareScatter(&f, all)
	lend(&f, s, all)
	for i := range f.Mountings {
		join(&f, in, all, &f.Mountings[i])
	}
	for _, a := range all {
		f.Setups = append(f.Setups, a.Setup)
	}
	drifts(&f, in)
	f.Rock = stopDepths(in, f)
	if f.Rock != nil && f.Rock.Seen {
		f.Warnings = append(f.Warnings, warning.Warning{Code: warning.RockSeen, Values: []float64{f.Rock.Shift.Degrees(), f.Rock.Height.Millimetres(), f.Rock.U.Millimetres()}})
	}
	for i := range f.Mountings {
		m := &f.Mountings[i]
		for j := range m.Tops {
			enter(&f, in, all, *m, &m.Tops[j])
		}
	}
	f.sumUp()
	f.Warnings = append(f.Warnings, doubtContacts(in, f)...)
	return f, nil
}

// mounting returns the mounting of a setup, a new one where it shares none.
func (f *Found) mounting(setup *sheet.Setup, index int) *Mounting {
	name := fmt.Sprintf("setup %d alone", index+1)
	if setup.Mounting != "" {
		name = "mounting " + setup.Mounting
	}
	at := slices.IndexFunc(f.Mountings, func(m Mounting) bool { return m.Name == name })
	if at < 0 {
		f.Mountings = append(f.Mountings, Mounting{Name: name})
		at = len(f.Mountings) - 1
	}
	return &f.Mountings[at]
}

// add enters a setup's TDC under its cylinder.
func (m *Mounting) add(cylinder string, found int) {
	for i := range m.Tops {
		if m.Tops[i].Cylinder == cylinder {
			m.Tops[i].Setups = append(m.Tops[i].Setups, found)
			return
		}
	}
	m.Tops = append(m.Tops, Top{Cylinder: cylinder, Setups: []int{found}})
}

// sumUp takes the mean of the reference TDCs over the mountings, as the scatter of
// their contacts shows it.
func (f *Found) sumUp() {
	n := float64(len(f.Mountings))
	var mean uncertainty.Combination
	for _, m := range f.Mountings {
		mean = uncertainty.Add(mean, m.Tops[0].At.Without(uncertainty.OfReadout()...).WithinMountings().Times(1/n))
	}
	var known bool
	f.Budget, known = mean.Budget()
	f.Standard, _ = f.Budget.Combined()
	switch {
	case len(f.Mountings) >= uncertainty.EnoughSetups: // the setups show the scatter
	case !known:
		f.Warnings = append(f.Warnings, warning.Warning{Code: warning.OneTrial})
	case uncertainty.ScatterDOF(mean.Groups[0].Scatter) == 1:
		f.Warnings = append(f.Warnings, warning.Warning{Code: warning.TwoTrials})
	}
}
