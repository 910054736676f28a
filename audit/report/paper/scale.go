package paper

import (
	"fmt"
	"math"
	"slices"

	"markaudit/audit/advise"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

func (s stripper) turn() geometry.Length { return s.tape.Tape(360, s.o.Thickness) }

// along is the length on the paper, unsigned, of an angle of the crank.
func (s stripper) along(crank geometry.Angle) geometry.Length {
	if s.Result.Sheet.Part.HalfSpeed {
		crank /= 2
	}
	return s.tape.Tape(crank.Abs(), s.o.Thickness)
}

// perDegree is how far to the right a line stands that comes up a degree later.
func (s stripper) perDegree() geometry.Length {
	if advise.Earlier(s.Result.Sheet) == geometry.Clockwise {
		return -s.along(1)
	}
	return s.along(1)
}

// moved is how far to the right, along the paper, an instruction goes.
func (s stripper) moved(i advise.Scribe) geometry.Length {
	if i.Rotation == geometry.Clockwise {
		return s.along(i.Angle)
	}
	return -s.along(i.Angle)
}

// runs says which way the part goes, of which only what turns does.
func (s stripper) runs() string {
	what := "it runs this way"
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		what = "the turning line goes this way"
	}
	if s.Result.Sheet.Engine.Turns == geometry.Clockwise {
		return what + " ►"
	}
	return "◄ " + what
}

// graduate puts crank degrees along the strip: per is the length of a degree on
// the paper with its sign, zero the place of 0 degrees. Graduations are at least
// a millimetre apart, numbered ones far enough for their numbers.
func (r *strip) graduate(zero, per geometry.Length, text func(a geometry.Angle, decimals int) string) {
	fine := rounding.Step(1 / math.Abs(per.Millimetres()))
	coarse := rounding.Step(15 / math.Abs(per.Millimetres()))
	every := int(math.Round(coarse / fine))
	decimals := max(0, -int(math.Floor(math.Log10(coarse)+1e-9)))
	ends := []float64{float64(-zero / per), float64((r.length - zero) / per)}
	slices.Sort(ends)
	for i := int(math.Ceil(ends[0]/fine - 1e-9)); float64(i) <= ends[1]/fine+1e-9; i++ {
		angle := geometry.Angle(float64(i) * fine)
		t := stripTick{x: zero + per*geometry.Length(angle), deep: 2}
		switch {
		case i%every == 0:
			t.deep, t.text = 4.4, text(angle, decimals)
		case every%2 == 0 && i%(every/2) == 0:
			t.deep = 3.2
		}
		r.ticks = append(r.ticks, t)
	}
}

// wrapInto brings an angle into [0, turn).
func wrapInto(a, turn geometry.Angle) geometry.Angle {
	if turn == 720 {
		return (a / 2).Turn() * 2
	}
	return a.Turn()
}

// named is a graduation with its letters.
func (s stripper) named(a geometry.Angle, n int) string {
	if a == 0 {
		return "TDC"
	}
	return a.Crank(n)
}

// graduated is a tape with crank degrees.
func (s stripper) graduated(a, b geometry.Angle) (strip, error) {
	first, last := min(a, b), max(a, b)
	most := geometry.Angle(360)
	if s.Result.Sheet.Part.HalfSpeed {
		most = 720
	}
	switch {
	case first == last:
		return strip{}, fmt.Errorf("found a tape from %s to itself, expected two angles", first.Crank(2))
	case last-first > most:
		return strip{}, fmt.Errorf("found a tape of %s degrees, expected at most a turn of the part, %s", rounding.Plain((last - first).Degrees()), rounding.Plain(most.Degrees()))
	}
	const margin geometry.Length = 12
	r := strip{title: "tape", runs: s.runs(), length: s.along(last-first) + 2*margin}
	per := s.perDegree()
	zero := margin - per*geometry.Length(first)
	if per < 0 {
		zero = margin - per*geometry.Length(last)
	}
	r.graduate(zero, per, func(x geometry.Angle, n int) string { return s.named(x, n) })
	r.ticks = slices.DeleteFunc(r.ticks, func(t stripTick) bool { return t.x < margin-1e-6 || t.x > r.length-margin+1e-6 })
	if first <= 0 && last >= 0 {
		r.lines = append(r.lines, stripLine{x: zero, stroke: newLine, tip: true})
		x, anchor := side(true, zero)
		r.label(x, anchor, 0, "TDC")
	}
	r.labelEnds(per, margin)
	for _, m := range s.Result.ByLine() {
		if m.Offset == nil {
			continue
		}
		comes := m.Place + m.Offset.Value
		for comes-most >= first {
			comes -= most
		}
		for comes < first {
			comes += most
		}
		if comes > last {
			continue
		}
		found := zero + per*geometry.Length(comes)
		r.lines = append(r.lines, stripLine{x: found, stroke: oldLine})
		x, anchor := side(found < r.length/2, found)
		r.label(x, anchor, 1, drawing.Wrap(words.Clean(m.Name), drawing.NoteSize, 30, 1)[0]+" as found")
	}
	way := s.perWords()
	r.head = []string{
		fmt.Sprintf("Tape from %s to %s for a rim of %s, paper of %s thick. %s", first.Crank(min(rounding.StepPlaces(first), 3)), last.Crank(min(rounding.StepPlaces(last), 3)), s.Of(s.tape.Diameter), s.Of(s.o.Thickness), way),
		"Dashed: lines as found. Lay one on its line, with the crank anywhere; with none here, set the crank to TDC and lay TDC " + s.against() + ".",
	}
	return r, nil
}

// labelEnds says at the end that comes first that it does. Earlier angles lie to
// the left where degrees grow to the right.
func (r *strip) labelEnds(per, margin geometry.Length) {
	x, anchor := margin, drawing.Start
	if per < 0 {
		x, anchor = r.length-margin, drawing.End
	}
	text := "this end FIRST"
	if per > 0 {
		text = "◄ " + text
	} else {
		text += " ►"
	}
	r.label(x, anchor, 0, text)
}

// perWords says which end of a tape comes first, and past what.
func (s stripper) perWords() string {
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "The scale stands still: the turning line passes the end marked FIRST before the other."
	}
	return "The tape turns with the part: the end marked FIRST goes first past the pointer."
}

func (s stripper) against() string {
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "under the turning line"
	}
	return "under the pointer"
}
