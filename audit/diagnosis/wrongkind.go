package diagnosis

import (
	"slices"
	"strings"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// proposeKind: something on the sheet is of another kind than was written, and the
// whole sheet is read again with it put right.
func proposeKind(w *weigher, price float64) (out []claim) {
	if w.reread == nil || w.evidence.Checked.Nominals {
		return nil
	}
	try := func(edit Edit, lines []int, nominal bool) {
		late, ok := w.reread(edit)
		if !ok || len(late) != len(w.late) {
			return
		}
		c := claim{code: Kind, lines: lines, price: price, late: w.changed(w.used, func(i, j int) float64 { return late[i][j].Degrees() })}
		if nominal { // the lines lie where they were, and belong elsewhere
			c.renamed = make([]float64, len(w.mean))
			for j, d := range w.means(w.then, c.late()) {
				c.renamed[j] = near(w.mean[j] - d)
			}
		}
		out = append(out, c)
	}
	var written []geometry.Nominal // of every line, read when the first edit asks
	nominals := func(other otherKind, least int, lines ...int) Edit {
		return func(s sheet.Sheet) (sheet.Sheet, bool) {
			if written == nil {
				written = nominalsOf(s)
			}
			return rewritten(s, written, other, least, lines)
		}
	}
	var lines []int
	for j := range w.mean {
		if w.looked(j) {
			continue
		}
		lines = append(lines, j)
		for _, other := range otherKinds {
			try(nominals(other, 1, j), []int{j}, true)
		}
	}
	for _, other := range otherKinds {
		try(nominals(other, 2, lines...), nil, true)
	}
	try(otherReference, nil, true)
	try(otherPinSide, nil, false)
	try(otherBoreSide, nil, false)
	try(otherMeasure, nil, false)
	return out
}

// otherKind is a way of misreading what a nominal counts. It returns where the line
// would then belong, and false where it could not have been meant.
type otherKind func(sheet.Sheet, geometry.Nominal) (geometry.Angle, bool)

var otherKinds = [...]otherKind{
	func(s sheet.Sheet, n geometry.Nominal) (geometry.Angle, bool) { // a drop of the piston, written as a length on the rim
		if n.Counted != geometry.RimLength {
			return 0, false
		}
		n.Counted = geometry.PistonDrop
		return belongsAt(s, n)
	},
	func(s sheet.Sheet, n geometry.Nominal) (geometry.Angle, bool) { // a length on the rim, written as a drop
		if n.Counted != geometry.PistonDrop || s.Part.Diameter == 0 {
			return 0, false
		}
		at := geometry.Rim{Diameter: s.Part.Diameter}.AngleFromArc(n.Length)
		if s.Part.HalfSpeed {
			at *= 2
		}
		return at, true
	},
	func(s sheet.Sheet, n geometry.Nominal) (geometry.Angle, bool) { // from the piston's lowest point, written as from the throw's
		if n.Counted != geometry.CrankDegrees || !fromBottom(n.Text) {
			return 0, false
		}
		return belongsAt(s, geometry.Nominal{Counted: geometry.PistonDegrees, Angle: n.Angle - 180})
	},
	func(_ sheet.Sheet, n geometry.Nominal) (geometry.Angle, bool) { // from the throw's, written as from the piston's
		return n.Angle + 180, n.Counted == geometry.PistonDegrees
	},
}

// fromBottom reports whether degrees were written from bottom dead centre: BDC,
// BBDC or ABDC.
func fromBottom(text string) bool { return strings.HasSuffix(text, "BDC") }

// belongsAt is where a line belongs that counts by the piston, and false where it
// does not or the crank is not stated.
func belongsAt(s sheet.Sheet, n geometry.Nominal) (at geometry.Angle, ok bool) {
	crank, stated := s.Engine.Crank()
	if !stated || crank.Check() != nil {
		return 0, false
	}
	switch n.Counted {
	case geometry.PistonDegrees:
		at = crank.PistonBDC() + n.Angle
	case geometry.PistonDrop:
		drop, side := n.Length, geometry.ATDC
		if drop < 0 {
			drop, side = -drop, geometry.BTDC
		}
		var err error
		if at, err = crank.AngleOfDrop(drop, side); err != nil {
			return 0, false
		}
	default:
		return 0, false
	}
	if s.Engine.RefersToThrow {
		at += crank.ThrowToTDC()
	}
	return at, true
}

// nominalsOf is what the sheet's lines count; one that cannot be read is at TDC, which
// no other kind could have meant.
func nominalsOf(s sheet.Sheet) []geometry.Nominal {
	out := make([]geometry.Nominal, len(s.Marks))
	for j, m := range s.Marks {
		if n, err := geometry.ParseNominal(m.AtText); err == nil {
			out[j] = n
		}
	}
	return out
}

// rewritten reads the nominals of some lines by another kind. It changes nothing
// where fewer than the least of them would change.
func rewritten(s sheet.Sheet, written []geometry.Nominal, other otherKind, least int, lines []int) (sheet.Sheet, bool) {
	given, changed := s.Marks, 0
	for _, j := range lines {
		at, ok := other(s, written[j])
		if !ok || (at-given[j].At).Abs() <= tiny {
			continue
		}
		if changed == 0 {
			s.Marks = slices.Clone(given)
		}
		s.Marks[j].At = at
		changed++
	}
	return s, changed >= least
}

// byPiston places anew the lines that count by the piston, once the crank or what
// the lines refer to has changed.
func byPiston(s sheet.Sheet) sheet.Sheet {
	s.Marks = slices.Clone(s.Marks)
	for j := range s.Marks {
		m := &s.Marks[j]
		if n, err := geometry.ParseNominal(m.AtText); err == nil {
			if at, ok := belongsAt(s, n); ok {
				m.At = at
			}
		}
	}
	return s
}

// otherReference counts the lines from the throw's top instead of the piston's, or
// the other way round.
func otherReference(s sheet.Sheet) (sheet.Sheet, bool) {
	crank, stated := s.Engine.Crank()
	if !stated || crank.Check() != nil || crank.ThrowToTDC().Abs() <= tiny {
		return s, false
	}
	s.Engine.RefersToThrow = !s.Engine.RefersToThrow
	return byPiston(s), true
}

// otherPinSide takes the pin's offset to the other side.
func otherPinSide(s sheet.Sheet) (sheet.Sheet, bool) {
	if s.Engine.PinOffset.Value == 0 {
		return s, false
	}
	s.Engine.PinOffset.Value = -s.Engine.PinOffset.Value
	return byPiston(s), true
}

// otherBoreSide takes the bore's offset to the other side.
func otherBoreSide(s sheet.Sheet) (sheet.Sheet, bool) {
	if s.Engine.BoreOffset.Value == 0 {
		return s, false
	}
	s.Engine.BoreOffset.Value = -s.Engine.BoreOffset.Value
	return byPiston(s), true
}

// otherMeasure takes lengths on the rim for chords instead of a tape's, or the
// other way round.
func otherMeasure(s sheet.Sheet) (sheet.Sheet, bool) {
	if s.Readout.Kind != sheet.Rim || s.Part.Diameter <= 0 {
		return s, false
	}
	s.Readout.Chord = !s.Readout.Chord
	good := true
	anew := func(r sheet.Reading) sheet.Reading {
		if !r.Measured {
			return r
		}
		a, err := lengthOnRim(s, r.Length)
		good = good && (err == nil || r.Struck)
		r.Value = a
		return r
	}
	list := func(readings []sheet.Reading) []sheet.Reading {
		out := slices.Clone(readings)
		for i := range out {
			out[i] = anew(out[i])
		}
		return out
	}
	contact := func(r *sheet.Reading) *sheet.Reading {
		if r == nil {
			return nil
		}
		a := anew(*r)
		return &a
	}
	trial := func(t sheet.Trial) sheet.Trial {
		return sheet.Trial{Forward: contact(t.Forward), Backward: contact(t.Backward)}
	}
	s.Setups = slices.Clone(s.Setups)
	for i := range s.Setups {
		u := &s.Setups[i]
		u.Trials = slices.Clone(u.Trials)
		for t := range u.Trials {
			u.Trials[t] = trial(u.Trials[t])
		}
		if u.Closing != nil {
			c := trial(*u.Closing)
			u.Closing = &c
		}
		u.Drops = slices.Clone(u.Drops)
		for d := range u.Drops {
			u.Drops[d].Before, u.Drops[d].After = list(u.Drops[d].Before), list(u.Drops[d].After)
		}
		if u.Sweep != nil {
			sweep := *u.Sweep
			sweep.Points = slices.Clone(sweep.Points)
			for p := range sweep.Points {
				sweep.Points[p].Reading = anew(sweep.Points[p].Reading)
			}
			u.Sweep = &sweep
		}
		marks := make(map[string][]sheet.Reading, len(u.Marks))
		for name, readings := range u.Marks { // into a map again: the order does not matter
			marks[name] = list(readings)
		}
		u.Marks = marks
	}
	if q := s.Readout.QuarterTurn; q != nil {
		s.Readout.QuarterTurn = &[2]sheet.Reading{anew(q[0]), anew(q[1])}
	}
	return s, good
}

// lengthOnRim is the crank angle that a length on the rim stands for.
func lengthOnRim(s sheet.Sheet, l geometry.Length) (geometry.Angle, error) {
	rim, turns := geometry.Rim{Diameter: s.Part.Diameter}, geometry.Angle(1)
	if s.Part.HalfSpeed {
		turns = 2
	}
	if !s.Readout.Chord {
		return turns * rim.AngleFromArc(l), nil
	}
	a, err := rim.AngleFromChord(l)
	return turns * a, err
}
