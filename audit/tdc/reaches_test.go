package tdc_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// wheel is the sensitivity of a TDC to a wheel off centre.
func wheel(t *testing.T, top tdc.Top) []float64 {
	t.Helper()
	i := slices.IndexFunc(top.At.Inputs, func(c uncertainty.Contribution) bool { return c.Source == uncertainty.OffCentre })
	if i < 0 {
		t.Fatalf("no wheel in %+v", top.At.Inputs)
	}
	return top.At.Inputs[i].Sensitivity
}

func onWheel(s sheet.Sheet) sheet.Sheet {
	s.Readout.Kind, s.Readout.Diameter, s.Readout.OffCentre = sheet.Wheel, 300, 0.5
	return s
}

// A wheel off centre errs by E sin of where its graduations stand: the middle of two
// contacts h to either side by cos h of that, at the middle. Where it stands is counted
// from the TDC of the reference cylinder, be it read or declared.
func TestWheelReachesEachTop(t *testing.T) {
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		turn := geometry.Angle(counts)
		both := func(mounting string, cylinder string, at geometry.Angle) sheet.Setup {
			u := stops(pair(50+turn*at, turn*40), pair(50+turn*at, turn*40))
			u.Mounting, u.Cylinder = mounting, cylinder
			return u
		}
		s := onWheel(read(0.1, both("A", "4", 60), both("A", "", 0), both("B", "4", 60)))
		s.Readout.Counts = counts
		s.Engine.Cylinders = []sheet.Cylinder{{Name: "1"}, {Name: "4", TDC: 60}}
		f := find(t, s)
		for _, c := range []struct {
			mounting, top int
			cylinder      string
			from          geometry.Angle
		}{{0, 0, "1", 0}, {0, 1, "4", 60}, {1, 0, "4", 60}} {
			top := f.Mountings[c.mounting].Tops[c.top]
			if top.Cylinder != c.cylinder {
				t.Fatalf("%+v: cylinder %q", c, top.Cylinder)
			}
			got, sin := wheel(t, top), math.Sin((turn * c.from).Radians())
			testkit.Near(t, "cosine", got[0], math.Cos(geometry.Angle(40).Radians())*math.Cos(c.from.Radians()), 1e-9)
			testkit.Near(t, "sine", got[1], math.Cos(geometry.Angle(40).Radians())*sin, 1e-9)
			testkit.Near(t, "origin", f.Mountings[c.mounting].Origin(s).Turn(), 50, 1e-9)
		}
	}
}

// Drops at several half arcs are reached by the mean of their cosines.
func TestWheelReachesDrops(t *testing.T) {
	s := onWheel(read(0.1, drops(drop(2, sheet.Rising, 50, 50), drop(30, sheet.Rising, 50))))
	var want float64
	for depth, n := range map[geometry.Length]float64{2: 2, 30: 1} {
		_, after, err := bare.Contacts(depth)
		if err != nil {
			t.Fatal(err)
		}
		want += n / 3 * math.Cos(after.Radians())
	}
	got := wheel(t, find(t, s).Mountings[0].Tops[0])
	testkit.Near(t, "cosine", got[0], want, 1e-9)
	testkit.Near(t, "sine", got[1], 0, 1e-9)
}

// What a wheel off centre does to the top of a sweep is what the top moves by when its
// readings are moved so: by cos or sin of where each stands from the top.
func TestWheelReachesASweep(t *testing.T) {
	const e = 1e-4
	at := []geometry.Angle{-35, -24, -13, -4, 6, 12, 20, 24}
	s := onWheel(read(0.1, sweep(sheet.OneWay, at, falls)))
	f := find(t, s)
	got := wheel(t, f.Mountings[0].Tops[0])
	for k, of := range []func(float64) float64{math.Cos, math.Sin} {
		moved := onWheel(read(0.1, sweep(sheet.OneWay, at, falls)))
		for i, a := range at {
			moved.Setups[0].Sweep.Points[i].Reading.Value += geometry.Angle(e * of(a.Radians()))
		}
		testkit.Near(t, fmt.Sprint("component ", k), got[k], (find(t, moved).Setups[0].Middle-f.Setups[0].Middle).Degrees()/e, 1e-4)
	}
}

// What a wrong offset of the bore does to the lines is what TDC moves by when another
// offset is stated, the other way: by a stop, by drops and by a sweep, on a readout that
// counts up or down, counted from the piston or from the throw. The limit of the pin
// offset has no sign, and reaches them by as much.
func TestOffsetsReachEachWay(t *testing.T) {
	const e = 1e-3
	c := geometry.Crank{Stroke: 92, Rod: 152, Offset: 2}
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		turn := geometry.Angle(counts)
		at := func(depth geometry.Length) sheet.Trial {
			before, after, err := c.Contacts(depth)
			if err != nil {
				t.Fatal(err)
			}
			return sheet.Trial{Forward: &sheet.Reading{Value: 50 + turn*before, Approach: sheet.Forward}, Backward: &sheet.Reading{Value: 50 + turn*after, Approach: sheet.Backward}}
		}
		stop := stops(at(10), at(10))
		byDrop := drops(sheet.Drop{Drop: 5, Taken: sheet.Rising, Before: []sheet.Reading{*at(5).Forward}, After: []sheet.Reading{*at(5).Backward}})
		bySweep := sheet.Setup{Method: sheet.Sweep, Sweep: &sheet.Swept{Taken: sheet.Rising}}
		for _, a := range []geometry.Angle{-30, -20, -10, -5, 6, 11, 19, 28} {
			bySweep.Sweep.Points = append(bySweep.Sweep.Points, sheet.Point{Reading: sheet.Reading{Value: 50 + turn*a}, Height: 9 - c.Drop(a)})
		}
		for _, u := range []sheet.Setup{stop, byDrop, bySweep} {
			for _, throw := range []bool{false, true} {
				stated := func(bore geometry.Length) tdc.Found {
					s := read(0.1, u)
					s.Readout.Counts, s.Engine.RefersToThrow = counts, throw
					s.Engine.BoreOffset.Value, s.Engine.BoreOffset.Limit.Half, s.Engine.PinOffset.Limit.Half = bore, 0.2, 0.3
					return find(t, s)
				}
				tdcOf := func(bore geometry.Length) geometry.Angle { // from which the lines count
					f := stated(bore)
					top := f.Mountings[0].Tops[0].At.Value()
					if throw {
						top -= f.ThrowToTDC
					}
					return top
				}
				want := -(tdcOf(2+e) - tdcOf(2-e)).Wrap().Degrees() / (2 * e)
				top := stated(2).Mountings[0].Tops[0]
				what := fmt.Sprint(u.Method, counts, throw)
				testkit.Near(t, what+" bore", top.At.Sensitivity(uncertainty.BoreOffset), want, 1e-3*math.Abs(want))
				testkit.Near(t, what+" pin", top.At.Sensitivity(uncertainty.PinOffset), want, 1e-3*math.Abs(want))
			}
		}
	}
}

// What is doubtful of a stop that is still to be set is what Find has of one that was
// set so.
func TestStopInputsAreThoseOfAStop(t *testing.T) {
	s := read(0.1, stops(pair(50, 35), pair(50, 35)))
	s.Engine.PinOffset = geometry.Offset{Value: 1, Limit: geometry.Limit[geometry.Length]{Half: 0.2}}
	s.Engine.BoreOffset.Limit.Half = 0.1
	s.Limits.Contact.Half = 0.05
	want := find(t, s).Mountings[0].Tops[0].At
	got := tdc.StopInputs(s, 35)
	if len(got) != 3 {
		t.Fatalf("%d doubts", len(got))
	}
	for _, c := range got {
		testkit.Near(t, fmt.Sprint(c.Source), c.Sensitivity[0], want.Sensitivity(c.Source), 1e-12)
	}
	s.Engine.Stroke = 0
	if got := tdc.StopInputs(s, 35); len(got) != 0 {
		t.Errorf("without a stroke: %+v", got)
	}
}

// Each way of finding a TDC by itself has its own setups, middle and approach.
func TestEachWayByItself(t *testing.T) {
	stop, byDrop := stops(pair(50, 40), pair(50, 40)), drops(drop(5, sheet.Unknown, 53, 53))
	stop.Mounting, byDrop.Mounting = "A", "A"
	s := read(0.1, byDrop, stop)
	s.Readout.HasLostMotion, s.Readout.LostMotion, s.Readout.LostLimit.Half = true, 0.3, 0.1
	top := find(t, s).Mountings[0].Tops[0]
	testkit.Near(t, "joined", top.Middle, 51.5, 1e-9)
	for m, want := range map[sheet.Method]struct {
		setup  int
		middle geometry.Angle
		unsaid bool
	}{sheet.Stop: {1, 50, false}, sheet.EqualDrop: {0, 53, true}} {
		one, ok := top.By(m)
		if !ok || !slices.Equal(one.Setups, []int{want.setup}) || one.Unsaid != want.unsaid {
			t.Errorf("%v: %v, %+v", m, ok, one)
		}
		testkit.Near(t, m.String(), one.Middle, want.middle, 1e-9)
		// The scatter is named after the setup on the sheet, counted from 1.
		if of := one.At.Groups[0].Scatter[0].Of; of != fmt.Sprintf("setup %d", want.setup+1) {
			t.Errorf("%v: scatter of %q", m, of)
		}
	}
	if _, ok := top.By(sheet.Sweep); ok || !top.Unsaid {
		t.Errorf("a sweep: %v, unsaid: %v", ok, top.Unsaid)
	}
}

// Of two ways with as many trials each the first, a stop, tells the scatter.
func TestScatterOfTheUsualWay(t *testing.T) {
	f := find(t, read(0.1, stops(pair(49, 40), pair(51, 40)), drops(drop(5, sheet.Rising, 50, 50.2))))
	testkit.Near(t, "scatter", f.Scatter, math.Sqrt2, 1e-9)
}

// From one cylinder to another that the same setups found, and between two tops of one
// cylinder, there is a way; none from a top to itself.
func TestApartIsNoneForOneTopAlone(t *testing.T) {
	s := read(0.1)
	s.Engine.Cylinders = []sheet.Cylinder{{Name: "1"}, {Name: "4", TDC: 60}}
	a := tdc.Top{Cylinder: "1", Setups: []int{0}, Middle: 10}
	other, again := a, a
	other.Cylinder, other.Middle = "4", 71
	again.Setups, again.Middle = []int{1}, 12
	testkit.Near(t, "itself", tdc.Apart(s, a, a), 0, 0)
	testkit.Near(t, "other cylinder", tdc.Apart(s, a, other), 61, 1e-9)
	testkit.Near(t, "other setup", tdc.Apart(s, a, again), 2, 1e-9)
}

// Rock comes back from three depths of one mounting as well, of which one alone
// repeats, beside a pin offset and with TDC a quarter turn from the readout's zero.
// Without an angle for a height there is none.
func TestRockOfThreeDepths(t *testing.T) {
	c := geometry.Crank{Stroke: 92, Rod: 152, Offset: -3}
	s := read(0.001)
	for _, half := range []geometry.Angle{18, 35, 60} {
		beta, err := c.MidCorrection(half)
		if err != nil {
			t.Fatal(err)
		}
		u := stops(pair(90+beta+geometry.Angle(0.2/(2*c.DropPerDegree(half).Millimetres())), half))
		if half == 35 {
			u.Trials = append(u.Trials, u.Trials[0])
		}
		u.Name, u.Mounting = fmt.Sprint("at ", half), "A"
		s.Setups = append(s.Setups, u)
	}
	s.Engine.PinOffset.Value = 3
	f := find(t, s)
	if f.Rock == nil || len(f.Rock.Setups) != 3 || f.DOF != 1 {
		t.Fatalf("%+v on %v", f.Rock, f.DOF)
	}
	testkit.Near(t, "height", f.Rock.Height.Millimetres(), 0.2, 1e-9)
	s.Engine.Stroke = 0
	if f := find(t, s); f.Rock != nil {
		t.Errorf("without a stroke: %+v", f.Rock)
	}
}
