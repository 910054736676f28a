package audit

import (
	"math"
	"slices"

	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// stages is what the stages before the diagnosis have found.
type stages struct {
	sheet  sheet.Sheet
	shown  readout.Readout
	top    tdc.Found
	lines  []lines.Line
	checks crosscheck.Checks
}

// diagnose weighs every explanation of what the stages have found.
func diagnose(in stages) diagnosis.Diagnosis {
	if !in.top.Any() {
		d := diagnosis.Diagnosis{Decisions: make([]diagnosis.Decision, len(in.lines))}
		for j := range d.Decisions {
			d.Decisions[j].Line = j
		}
		return d
	}
	return diagnosis.Explain(in.evidence(), in.reread)
}

// reread takes the offsets of an edited sheet.
func (in stages) reread(edit diagnosis.Edit) ([][]geometry.Angle, bool) {
	s, changed := edit(in.sheet)
	if !changed {
		return nil, false
	}
	return offsetsOf(s)
}

// offsetsOf are the offsets of a sheet, by mounting and line, NaN where a line was
// not read. It reports false where the sheet cannot be read.
func offsetsOf(s sheet.Sheet) ([][]geometry.Angle, bool) {
	shown := readout.New(s)
	top, err := tdc.Find(s, shown)
	if err != nil || !top.Any() {
		return nil, false
	}
	placed, err := lines.Place(s, shown, top)
	if err != nil {
		return nil, false
	}
	out := blank(len(top.Mountings), len(placed.Lines))
	for j, l := range placed.Lines {
		for _, seen := range l.Seen {
			if l.ByDial == nil || l.ByDial.Firm {
				out[seen.At.Mounting][j] = seen.Offset
			}
		}
	}
	return out, true
}

// blank is a table of nothing read.
func blank(mountings, lines int) diagnosis.Table {
	out := make(diagnosis.Table, mountings)
	for i := range out {
		out[i] = make([]geometry.Angle, lines)
		for j := range out[i] {
			out[i][j] = geometry.Angle(math.NaN())
		}
	}
	return out
}

// evidence is all that has to be explained.
func (in stages) evidence() diagnosis.Evidence {
	s, q := in.sheet, in.shown.Step()
	e := diagnosis.Evidence{
		Scatter: in.scatter(), Remount: s.Limits.Remount.Standard(),
		Checked: diagnosis.Checked{
			Letters: s.Checked.Letters, Names: s.Checked.Names, Nominals: s.Checked.Nominals, Cylinders: s.Checked.Cylinders,
		},
		QuarterTurn: s.Readout.QuarterTurn != nil, BondedRing: s.Part.BondedRing, HalfSpeed: s.Part.HalfSpeed,
		DecideAt: s.Limits.Threshold(), Counts: s.Readout.Counts, Diameter: s.Part.Diameter, DividersU: dividersU,
		Offset: blank(len(in.top.Mountings), len(in.lines)), Own: blank(len(in.top.Mountings), len(in.lines)), Later: make(diagnosis.Table, len(in.top.Mountings)),
	}
	if s.Readout.Kind == sheet.Rim {
		e.Decade = s.Part.OfCrank(geometry.Rim{Diameter: s.Part.Diameter}.AngleFromArc(10))
	}
	for i := range e.Later {
		e.Later[i] = make([]geometry.Angle, len(in.lines))
	}
	for j, l := range in.lines {
		for _, seen := range l.Seen {
			i := seen.At.Mounting
			e.Offset[i][j], e.Later[i][j] = seen.Offset, seen.Later
			e.Own[i][j] = e.Scatter.OfLine(len(seen.Forward)+len(seen.Backward), q)
		}
		e.Lines = append(e.Lines, in.line(l))
	}
	for _, c := range s.Engine.Cylinders {
		e.Cylinders = append(e.Cylinders, diagnosis.Cylinder{Name: c.Name, TDC: c.TDC})
	}
	if s.Readout.Kind == sheet.Dial {
		in.byDial(&e)
	}
	for i, m := range in.top.Mountings {
		if s.Readout.Kind == sheet.Dial {
			e.TDC = append(e.TDC, in.heightSD(m))
			e.Pairs = append(e.Pairs, in.topsAgain(i)...)
		} else {
			e.TDC = append(e.TDC, in.topSD(e.Scatter, m.Tops[0]))
			e.Pairs = append(e.Pairs, in.pairs(e.Scatter, i)...)
		}
		first := in.top.Setups[m.Tops[0].Setups[0]]
		if first.Height != nil { // millimetres there, as the dial has them
			first.Reading = geometry.Angle(first.Height.Shown)
		}
		e.Shows = append(e.Shows, first.Reading)
		e.Repeats = append(e.Repeats, in.repeats(e.Scatter, e.TDC[i], first))
		e.Before = append(e.Before, in.before(m))
		e.Order = append(e.Order, in.order(m))
	}
	copied := s.Copied()
	for i, m := range in.top.Mountings {
		if !slices.ContainsFunc(m.Setups, func(setup int) bool { return !slices.Contains(copied, setup) }) {
			e.Copied = append(e.Copied, i)
		}
	}
	e.Distances, e.Odd, e.Creep = in.distances(), in.odd(), in.creep()
	in.nextObservations(&e)
	return e
}

// repeats is how far a further pair, or the top of a dial read once more, comes from what
// a mounting showed at most in 19 of 20 cases if nothing moved, in what the readout
// shows: the prediction interval of one more middle (NIST/SEMATECH e-Handbook of
// Statistical Methods, 7.2.6.2, from memory), by the scatter that is used for comparing.
func (in stages) repeats(by diagnosis.Scatter, top geometry.Angle, first tdc.Setup) geometry.Angle {
	t := -stats.TQuantile(0.025, by.MiddleDOF+diagnosis.DOFAdded)
	if first.Height != nil {
		h := first.Height
		one := max(h.Pooled, in.sheet.Readout.StepLength/geometry.Length(math.Sqrt(12)))
		mean := float64(top) * float64(lines.DialSlope) / float64(in.sheet.Readout.Along())
		t = -stats.TQuantile(0.025, h.DOF+diagnosis.DOFAdded)
		return geometry.Angle(t * math.Hypot(float64(one), mean))
	}
	return geometry.Angle(t * math.Hypot(top.Degrees(), by.OfTDC(1, in.shown.Step()).Degrees()))
}

// dividersU is how well a distance between two lines is measured with dividers.
// Common practice, no source.
const dividersU geometry.Length = 0.3

// scatter is the pooled scatter that is used for comparing. That of the middles
// comes from their successive differences, so that a readout which creeps does not
// hide itself.
func (in stages) scatter() diagnosis.Scatter {
	var runs [][]float64
	for _, t := range in.top.Setups {
		runs = append(runs, stats.Degrees(t.Middles))
		if t.Method == sheet.Stop { // the half arcs of drops differ by design
			runs = append(runs, stats.Degrees(t.HalfArcs))
		}
	}
	v, dof := stats.Successive(runs...)
	out := diagnosis.Scatter{Middle: geometry.Angle(math.Sqrt(v)), MiddleDOF: dof}
	var each []stats.Scatter
	for _, l := range in.lines {
		if l.ByDial != nil && !l.ByDial.Firm {
			continue // close to TDC degrees stretch
		}
		for _, seen := range l.Seen {
			for _, side := range [][]geometry.Angle{seen.Forward, seen.Backward} {
				if squares, free := stats.Spread(side); free > 0 {
					each = append(each, stats.Scatter{Variance: squares / free, DOF: free})
				}
			}
		}
	}
	if all := stats.Pool(each...); all.DOF > 0 {
		out.Line, out.LineDOF = geometry.Angle(math.Sqrt(all.Variance)), all.DOF
	}
	return out.Filled()
}

// topSD is the standard deviation of a TDC, for comparing.
func (in stages) topSD(by diagnosis.Scatter, t tdc.Top) geometry.Angle {
	pairs := 0
	for _, i := range t.Setups {
		if in.top.Setups[i].Method == sheet.Sweep {
			rows, _ := t.At.Without(uncertainty.OfReadout()...).WithinMountings().Budget()
			u, _ := rows.Combined()
			return u
		}
		pairs += len(in.top.Setups[i].Middles)
	}
	return by.OfTDC(pairs, in.shown.Step())
}

// line is what the diagnosis is told of one line.
func (in stages) line(l lines.Line) diagnosis.Line {
	early, late := l.Allowed()
	out := diagnosis.Line{
		Name: l.Name, At: l.At, Cylinder: in.sheet.Engine.Cylinder(l.Cylinder), CylinderTDC: l.Zero,
		On: l.On, Early: early, Late: late, Checked: slices.Contains(in.sheet.Checked.Lines, l.Name),
	}
	if l.ByDial != nil {
		out.ByItself, out.SideProven = !l.ByDial.Firm, l.ByDial.Proven
		if l.Offset != nil {
			out.Off = l.Offset.Value
		}
	}
	if l.Offset != nil && l.Offset.Known {
		out.Known, out.U = true, l.Offset.Expanded
		out.TooEarly, out.Conforms, out.TooLate = l.Conformity.Early, l.Conformity.Within, l.Conformity.Late
	}
	return out
}

// before is, line by line, the share of the contacts of a mounting that were taken
// before the line was read there.
func (in stages) before(m tdc.Mounting) []float64 {
	out := make([]float64, len(in.lines))
	for j, l := range in.lines {
		out[j] = 1
		cylinder := in.sheet.Engine.Cylinder(l.Cylinder)
		t, ok := m.Top(cylinder)
		if !ok {
			t = m.Tops[0]
		}
		var share, reads float64
		for _, setup := range m.Setups {
			if !slices.ContainsFunc(in.sheet.Setups[setup].Marks[l.Name], func(r sheet.Reading) bool { return !r.Struck }) {
				continue
			}
			reads++
			for _, f := range t.Setups {
				if in.top.Setups[f].Index <= setup {
					share += 1 / float64(len(t.Setups))
				}
			}
		}
		if reads > 0 {
			out[j] = share / reads
		}
	}
	return out
}

// order is the order in which the lines of a mounting were read, where every
// reading carries its time; else nil.
func (in stages) order(m tdc.Mounting) []int {
	first := make([]string, len(in.lines))
	var read []int
	for j, l := range in.lines {
		for _, setup := range m.Setups {
			for _, r := range in.sheet.Setups[setup].Marks[l.Name] {
				switch {
				case r.Struck:
					continue
				case r.Time == "":
					return nil
				case first[j] == "":
					read = append(read, j)
					first[j] = r.Time
				case r.Time < first[j]:
					first[j] = r.Time
				}
			}
		}
	}
	slices.SortStableFunc(read, func(a, b int) int {
		switch {
		case first[a] < first[b]:
			return -1
		case first[a] > first[b]:
			return 1
		}
		return 0
	})
	return read
}

// pairs are the TDCs that were found a second time in one mounting: by a closing
// pair, by another fitting or way, or in another cylinder.
func (in stages) pairs(by diagnosis.Scatter, mounting int) (out []diagnosis.Pair) {
	m, q := in.top.Mountings[mounting], in.shown.Step()
	var setups []int // of this mounting that found TDC, in the order of the sheet
	for i, s := range in.top.Setups {
		if slices.Contains(m.Setups, s.Index) {
			setups = append(setups, i)
		}
	}
	alone := func(i int) tdc.Top { // one setup's TDC by itself
		s := in.top.Setups[i]
		return tdc.Top{Cylinder: s.Cylinder, Setups: []int{i}, Middle: s.Middle, Correction: s.Correction}
	}
	sd := func(i int) geometry.Angle {
		s := in.top.Setups[i]
		if s.Method == sheet.Sweep {
			return max(s.Scatter, q/geometry.Angle(math.Sqrt(12)))
		}
		return by.OfTDC(len(s.Middles), q)
	}
	first := map[string]int{} // by cylinder; only looked up
	for n, i := range setups {
		s := in.top.Setups[i]
		if s.Closing != nil {
			p := diagnosis.Pair{Mounting: mounting, Kind: diagnosis.Closing, Value: *s.Closing, AfterLines: true}
			out = append(out, by.OfPair(p, sd(i), by.OfTDC(1, q)))
		}
		reference, again := first[s.Cylinder]
		if !again {
			first[s.Cylinder] = i
			if n == 0 {
				continue
			}
			reference = setups[0]
		}
		p := diagnosis.Pair{Mounting: mounting, AfterLines: in.linesBetween(m, in.top.Setups[reference].Index, s.Index)}
		p.Value = tdc.Apart(in.sheet, alone(reference), alone(i))
		switch {
		case !again:
			p.Kind, p.Cylinder = diagnosis.OtherBank, s.Cylinder
			p.Declared = in.sheet.Engine.Declared(s.Cylinder) - in.sheet.Engine.Declared(in.top.Setups[reference].Cylinder)
			p.Value -= p.Declared
		case s.Method != in.top.Setups[reference].Method:
			p.Kind = diagnosis.OtherMethod
		default:
			p.Kind = diagnosis.OtherDepth
		}
		p.Value = p.Value.Wrap()
		p = by.OfPair(p, sd(reference), sd(i))
		if p.Kind == diagnosis.OtherMethod {
			p.SD = max(p.SD, in.wayU(in.top.Setups[reference].Method, s.Method)/2)
		}
		out = append(out, p)
	}
	return out
}

// wayU is the expanded uncertainty of the difference between two ways of finding
// TDC, zero where it is not known.
func (in stages) wayU(one, other sheet.Method) geometry.Angle {
	for _, w := range in.checks.Ways {
		if (w.First == one && w.Second == other || w.First == other && w.Second == one) && w.Difference.Known {
			return w.Difference.Expanded
		}
	}
	return 0
}

// linesBetween reports whether lines were read in a mounting from one setup on and
// before another.
func (in stages) linesBetween(m tdc.Mounting, from, to int) bool {
	for _, setup := range m.Setups {
		if setup < from || setup >= to {
			continue
		}
		for _, l := range in.lines {
			if slices.ContainsFunc(in.sheet.Setups[setup].Marks[l.Name], func(r sheet.Reading) bool { return !r.Struck }) {
				return true
			}
		}
	}
	return false
}

// distances are those that were measured on the part.
func (in stages) distances() (out []diagnosis.Distance) {
	named := func(name string) int {
		return slices.IndexFunc(in.lines, func(l lines.Line) bool { return l.Name == name })
	}
	for _, s := range in.checks.Spacings {
		if s.U == 0 {
			continue
		}
		d := diagnosis.Distance{From: named(s.From), To: named(s.To)}
		if s.Teeth > 0 {
			d.Teeth, d.TeethSD, d.TeethRound = s.Measured, s.U/2, in.sheet.Part.Teeth
		} else {
			d.Chord, d.ChordSD, d.Diameter = geometry.Length(s.Measured), geometry.Length(s.U/2), in.sheet.Part.Diameter
		}
		out = append(out, d)
	}
	return out
}

// nextObservations says what can still be observed, and what it takes.
func (in stages) nextObservations(e *diagnosis.Evidence) {
	last := in.top.Mountings[len(in.top.Mountings)-1]
	for _, c := range in.sheet.Engine.Cylinders {
		if _, found := last.Top(c.Name); !found && e.OpenCylinder == "" {
			e.OpenCylinder = c.Name
		}
	}
	for _, t := range last.Tops {
		for _, i := range t.Setups {
			e.SetupReadings += 2 * len(in.top.Setups[i].Middles)
			if h := in.top.Setups[i].Height; h != nil {
				e.SetupReadings += h.N
			}
		}
	}
	for _, l := range in.lines {
		for _, seen := range l.Seen {
			if seen.At.Mounting == len(in.top.Mountings)-1 {
				e.SetupReadings += len(seen.Forward) + len(seen.Backward)
			}
		}
	}
}
