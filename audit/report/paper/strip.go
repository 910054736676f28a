package paper

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// StripOptions says what strip is wanted.
type StripOptions struct {
	Paper     Size
	Thickness geometry.Length    // of the paper; above zero
	Measured  geometry.Length    // what the printer makes of 100 mm; zero: exactly that
	Tape      *[2]geometry.Angle // a graduated tape from one crank angle to the other, in place of strips for new lines
	Full      bool               // one strip, all the way round
	Force     bool               // also where the audit gives no instruction
	Path      string             // of the sheet, as given
	Software  string             // name and version
}

// Size is a size of paper. The zero value is A4.
type Size uint8

// The papers.
const (
	A4 Size = iota
	Letter
)

// Drawn is a strip ready for paper: as sheets, and in one piece as long as it
// comes.
type Drawn struct {
	Title string
	Pages []drawing.Scene
	Whole drawing.Scene
}

// Strip draws 1:1 strips to be laid round the rim: the line as found on the line
// that is there, and the new line where its tip points. Lengths are those on
// paper of the given thickness bent round the rim ([geometry.Rim.Tape]).
// Directions are those of the audit's own instructions. It is an error where
// there is nothing to scribe, or the audit gives no instruction, or doubts it to
// be worthwhile, unless it is forced.
func Strip(r audit.Result, o StripOptions) (Drawn, error) {
	v := words.NewAudit(r, nil)
	s := stripper{Audit: v, o: o, tape: geometry.Rim{Diameter: r.Sheet.Part.Diameter}}
	if r.Sheet.Part.Diameter == 0 {
		return Drawn{}, errors.New("found no part.diameter, expected it: a strip can't be drawn without the size of the rim")
	}
	if whole := s.whole(); o.Tape != nil || o.Full {
		if whole != advise.NotWithheld && !o.Force {
			return Drawn{}, fmt.Errorf("no strip is drawn: %s\n  hint: --force draws it all the same", v.Withheld(whole))
		}
	}
	if o.Tape != nil {
		t, err := s.graduated(o.Tape[0], o.Tape[1])
		if err != nil {
			return Drawn{}, err
		}
		return s.lay([]strip{t}), nil
	}
	chosen, err := s.choose()
	if err != nil {
		return Drawn{}, err
	}
	if o.Full {
		return s.lay([]strip{s.round(chosen)}), nil
	}
	var all []strip
	for _, m := range chosen {
		all = append(all, s.single(m))
	}
	return s.lay(all), nil
}

type stripper struct {
	words.Audit
	o    StripOptions
	tape geometry.Rim
}

// whole is why nothing at all is to be scribed.
func (s stripper) whole() advise.Withheld {
	for _, m := range s.Result.ByLine() {
		switch w := m.Scribe.Withheld; w {
		case advise.WithheldSuspect, advise.WithheldMoved, advise.WithheldSetups, advise.WithheldDwell, advise.WithheldEyeCheck:
			return w
		}
	}
	return advise.NotWithheld
}

// choose returns the marks that get a new line, or why none does.
func (s stripper) choose() ([]audit.LineResult, error) {
	var worth, forced, off []audit.LineResult
	var why []string
	for _, m := range s.Result.ByLine() {
		name := words.Clean(m.Name)
		switch {
		case m.Scribe.Worthwhile:
			worth = append(worth, m)
		case m.Offset == nil:
			why = append(why, name+" has no offset")
		case m.Scribe.Withheld != advise.NotWithheld:
			reason := s.Withheld(m.Scribe.Withheld)
			if i := slices.IndexFunc(why, func(w string) bool { return strings.HasSuffix(w, ": "+reason) }); i >= 0 {
				why[i] = strings.TrimSuffix(why[i], ": "+reason) + ", " + name + ": " + reason
			} else {
				why = append(why, name+": "+reason)
			}
		case m.Verdict == diagnosis.Outside:
			why = append(why, name+" is outside, but a new line would be known no better than the old one is wrong")
		default:
			why = append(why, name+" is "+m.Verdict.String())
		}
		if m.Offset == nil || m.Forced.Along == advise.NoWay {
			continue
		}
		off = append(off, m)
		if m.Verdict != diagnosis.Within {
			forced = append(forced, m)
		}
	}
	if s.o.Force {
		if worth = forced; len(worth) == 0 {
			worth = off
		}
	}
	switch {
	case len(worth) > 0:
		return worth, nil
	case len(s.Result.ByLine()) == 0:
		return nil, errors.New("found no marks, expected at least one to be scribed anew")
	case len(off) == 0:
		return nil, errors.New("nothing is to be scribed: " + strings.Join(why, "; "))
	}
	return nil, errors.New("nothing is to be scribed: " + strings.Join(why, "; ") + "\n  hint: --force draws it all the same")
}

var (
	oldLine = drawing.Stroke{Width: 0.18, Ink: drawing.Black, Dashed: true}
	newLine = drawing.Stroke{Width: 0.18, Ink: drawing.Black}
)

// side anchors a label away from another line.
func side(toTheRight bool, x geometry.Length) (geometry.Length, drawing.Anchor) {
	const gap geometry.Length = 1
	if toTheRight {
		return x + gap, drawing.Start
	}
	return x - gap, drawing.End
}

// single is the strip for one line.
func (s stripper) single(m audit.LineResult) strip {
	const margin geometry.Length = 34 // beside both lines, for their labels
	instruction := m.Forced
	way := s.moved(instruction)
	r := strip{title: words.Clean(m.Name), runs: s.runs(), length: max(way, -way) + 2*margin}
	r.length = min(r.length, max(s.turn(), max(way, -way)+8))
	found := (r.length - way) / 2
	belongs := found + way
	per := s.perDegree()
	r.graduate(belongs-per*geometry.Length(m.At), per, func(a geometry.Angle, n int) string { return a.Wrap().Crank(n) })
	r.lines = []stripLine{{x: found, stroke: oldLine}, {x: belongs, stroke: newLine, tip: true}}
	room := max(min(found, belongs)-2, 10) // the lines stand about the middle
	for _, l := range []struct {
		x     geometry.Length
		right bool
		text  []string
	}{
		{found, way < 0, append([]string{"AS FOUND"}, drawing.Wrap(words.Clean(m.Name), drawing.NoteSize, room, 2)...)},
		{belongs, way > 0, []string{"NEW", m.AtText}},
	} {
		for lane, text := range l.text {
			x, anchor := side(l.right, l.x)
			r.label(x, anchor, lane, text)
		}
	}
	if !m.Scribe.Worthwhile {
		r.head = append(r.head, "FORCED: the audit does not ask for this line"+s.because(m)+".")
	}
	told := m
	told.Scribe = instruction
	r.head = append(r.head, s.Scribe(told))
	r.head = append(r.head, fmt.Sprintf("On this strip the two are %s apart. Lay the dashed line on %s, press the strip round the rim, and scribe where the tip points.",
		s.Of(s.along(instruction.Angle)), words.Clean(m.Name)+" as it is"))
	return r
}

func (s stripper) because(m audit.LineResult) string {
	if w := m.Scribe.Withheld; w != advise.NotWithheld {
		return "; " + s.Withheld(w)
	}
	return ""
}

// round is one strip all the way round, with every line that was read. Where
// names would crowd it, numbers stand for them.
func (s stripper) round(chosen []audit.LineResult) strip {
	const crowd = 4              // lanes of labels
	names := map[string]string{} // only looked up
	var key []string
	for i, m := range s.Result.ByLine() {
		names[m.Name] = drawing.Wrap(words.Clean(m.Name), drawing.NoteSize, 30, 1)[0]
		key = append(key, fmt.Sprintf("%d: %s", i+1, words.Clean(m.Name)))
	}
	r := s.roundWith(chosen, names)
	if r.lanes <= crowd {
		return r
	}
	for i, m := range s.Result.ByLine() {
		names[m.Name] = fmt.Sprint(i + 1)
	}
	r = s.roundWith(chosen, names)
	r.head = slices.Insert(r.head, 1, "The numbers are "+strings.Join(key, "; ")+".")
	return r
}

func (s stripper) roundWith(chosen []audit.LineResult, names map[string]string) strip {
	r := strip{title: "all the way round", runs: s.runs(), length: s.turn()}
	per := s.perDegree()
	turn := geometry.Angle(360)
	if s.Result.Sheet.Part.HalfSpeed {
		turn = 720
	}
	// Cut where the lines leave the widest gap, so that none lies on the joint.
	var places []geometry.Angle
	for _, m := range s.Result.ByLine() {
		if m.Offset == nil {
			continue
		}
		for _, a := range []geometry.Angle{m.Place + m.Offset.Value, m.Place} {
			places = append(places, wrapInto(a, turn))
		}
	}
	slices.Sort(places)
	cut, widest := geometry.Angle(0), geometry.Angle(-1)
	for i, a := range places {
		next := places[(i+1)%len(places)]
		if i == len(places)-1 {
			next += turn
		}
		if next-a > widest {
			cut, widest = a+(next-a)/2, next-a
		}
	}
	// x grows from the cut on, whichever way degrees do.
	place := func(a geometry.Angle) geometry.Length {
		d := a - cut
		if per < 0 {
			d = -d
		}
		return s.along(wrapInto(d, turn))
	}
	zero := place(0)
	r.graduate(zero, per, func(a geometry.Angle, n int) string { return s.named(wrapInto(a+turn/2, turn)-turn/2, n) })
	for _, m := range s.Result.ByLine() {
		if m.Offset == nil {
			continue
		}
		found := place(m.Place + m.Offset.Value)
		r.lines = append(r.lines, stripLine{x: found, stroke: oldLine})
		name := names[m.Name]
		i := slices.IndexFunc(chosen, func(c audit.LineResult) bool { return c.Name == m.Name })
		if i < 0 {
			x, anchor := side(true, found)
			r.label(x, anchor, 0, name)
			continue
		}
		way := s.moved(m.Forced)
		x, anchor := side(way < 0, found)
		r.label(x, anchor, 0, name+" found")
		r.lines = append(r.lines, stripLine{x: found + way, stroke: newLine, tip: true})
		x, anchor = side(way > 0, found+way)
		r.label(x, anchor, 0, name+" NEW")
		r.keep(found, found+way)
	}
	r.head = append(r.head,
		fmt.Sprintf("All the way round, %s on the paper: its ends meet. Dashed: the lines as found; lay one on its line, and the others must fall on theirs. Scribe where the tips point.", s.Of(r.length)))
	for _, m := range chosen {
		told := m
		told.Scribe = m.Forced
		if !m.Scribe.Worthwhile {
			r.head = append(r.head, "FORCED, "+words.Clean(m.Name)+": the audit does not ask for this line"+s.because(m)+".")
		}
		r.head = append(r.head, s.Scribe(told))
	}
	return r
}
