package paper

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// stretch is a range of crank angles: from the first on to the last, which is larger.
type stretch struct {
	first, last geometry.Angle
	said        string
}

// stretchOf reads the ends of a tape: two of them the short way round the part, three
// over the one between.
func stretchOf(s stripper, ends []geometry.Angle) (stretch, error) {
	turn := s.turnOfPart()
	a, b := ends[0], ends[len(ends)-1]
	plain := func(x geometry.Angle) string { return x.Crank(min(rounding.StepPlaces(x), 3)) }
	onward := wrapInto(b-a, turn)
	if onward < geometry.Tie || onward > turn-geometry.Tie {
		if len(ends) < 3 {
			return stretch{}, fmt.Errorf("found a tape from %s to itself, expected two angles\n  hint: --full draws once round the part", plain(a))
		}
		onward = turn
	}
	if len(ends) == 3 {
		over := wrapInto(ends[1]-a, turn)
		if over < geometry.Tie || over > turn-geometry.Tie || (over-onward).Abs() < geometry.Tie {
			return stretch{}, fmt.Errorf("found a tape over %s, one of its own ends, expected an angle between", plain(ends[1]))
		}
		if over > onward {
			a, b, onward = b, a, turn-onward
		}
		return stretch{a, a + onward, fmt.Sprintf("Tape from %s to %s, over %s: %s degrees", plain(ends[0]), plain(ends[2]), plain(ends[1]), degrees(onward))}, nil
	}
	switch half := turn / 2; {
	case (onward - half).Abs() < geometry.Tie:
		return stretch{}, fmt.Errorf("found a tape from %s to %s, exactly half a turn of the part apart, expected the way as well\n  hint: name an angle on the way, such as %s..%s..%s",
			plain(a), plain(b), plain(a), plain((a + half/2).Wrap()), plain(b))
	case onward > half:
		a, onward = b, turn-onward
	}
	over := ""
	if lands := wrapInto(-a, turn); lands > 0 && lands < onward {
		over = ", over 0"
	}
	return stretch{a, a + onward, fmt.Sprintf("Tape from %s to %s, the short way%s: %s degrees", plain(ends[0]), plain(ends[1]), over, degrees(onward))}, nil
}

func degrees(a geometry.Angle) string { return rounding.Plain(rounding.Trimmed(a.Degrees())) }

// graduatedTape is a tape with crank degrees.
func graduatedTape(s stripper, t stretch) job {
	on := s.surface()
	j := job{heading: t.said + ", with the lines as found", before: before, steps: tapeSteps(s), notes: append(numberedLines(s), s.ifShort()), doubts: s.doubtsInFull("", false), named: s.doubtsNamed("", false)}
	j.build = func(margin geometry.Length, level int, id string) ribbon {
		r := ribbon{on: on, level: level, length: on.along(t.last-t.first) + 2*margin}
		per := s.later(on.along(1))
		r.scale = scale{per: per, zero: margin - per*geometry.Length(t.first), turn: s.turnOfPart(), first: margin - 0.01, last: r.length - margin + 0.01}
		if per < 0 {
			r.scale.zero = margin - per*geometry.Length(t.last)
		}
		for i, m := range s.Result.ByLine() {
			if m.Offset == nil {
				continue
			}
			if comes := t.first + wrapInto(m.Place+m.Offset.Value-t.first, s.turnOfPart()); comes <= t.last {
				r.discs = append(r.discs, disc{x: r.scale.zero + per*geometry.Length(comes), number: fmt.Sprint(i + 1)})
			}
		}
		r.inOrder()
		r.signs = append(s.usual(on), passesFirst(s, per, r.length))
		r.signs = append(append(r.signs, lineSign(true, signSize, s.forRim())), forcedSigns(s)...)
		r.signs = append(append(r.signs, s.doubts("", false)...), s.identity(id)...)
		return r
	}
	return j
}

// passesFirst says which end of a tape comes to the pointer, or the turning line to
// it, before the other. Earlier angles lie to the left where degrees grow to the right.
func passesFirst(s stripper, per, length geometry.Length) sign {
	text := "this end passes the pointer FIRST"
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		text = "the line passes this end FIRST"
	}
	out := lineSign(true, signSize, "◄ "+text)
	if per < 0 {
		out = lineSign(true, signSize, text+" ►")
		out.near = length
	}
	return out
}

// forcedSigns are the signs of a strip that the audit gives no instruction for.
func forcedSigns(s stripper) []sign {
	if why := words.ShortWithheld(s.whole()); why != "" {
		return []sign{tagged("FORCED: " + why)}
	}
	return nil
}

// numberedLines says which line each number stands for.
func numberedLines(s stripper) []string {
	var all []string
	for i, m := range s.Result.ByLine() {
		if m.Offset != nil {
			all = append(all, fmt.Sprintf("%d: %s", i+1, s.letters(words.Clean(m.Name))))
		}
	}
	if len(all) == 0 {
		return nil
	}
	return []string{"The numbers are " + strings.Join(all, "; ") + "."}
}

// inOrder sorts the discs from left to right, and keeps each line whole.
func (r *ribbon) inOrder() {
	slices.SortStableFunc(r.discs, func(a, b disc) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	for _, d := range r.discs {
		r.keep(d.x-1, d.x+1)
	}
}

// allRound is one strip all the way round, with every line that was read.
func allRound(s stripper, chosen []audit.LineResult) job {
	on, turn := s.surface(), s.turnOfPart()
	per := s.later(on.along(1))
	// Cut where the lines leave the widest gap, so that none lies on the joint.
	var places []geometry.Angle
	for _, m := range s.Result.ByLine() {
		if m.Offset != nil {
			places = append(places, wrapInto(m.Place+m.Offset.Value, turn), wrapInto(m.Place, turn))
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
		return on.along(wrapInto(d, turn))
	}
	j := job{
		heading: fmt.Sprintf("All the way round, %s on this paper: its ends meet", s.ByTape(on.turn(), 0)),
		before:  before, fixed: true, steps: roundSteps(s, chosen), notes: append(numberedLines(s), s.ifShort()), doubts: s.doubtsInFull("", false), named: s.doubtsNamed("", false),
	}
	for _, m := range chosen {
		given := m.Forced
		text := fmt.Sprintf("%s: a new line %s %s: %s, to the %s on this strip.", s.name(m.Name), s.way(given), s.letters(s.Goes(given)), given.Rotation, side(right(given.Rotation, 1)))
		if !m.Scribe.Worthwhile {
			text += " FORCED: the audit does not ask for this line" + s.because(m) + "."
		}
		j.notes = append(j.notes, text)
	}
	j.build = func(_ geometry.Length, level int, id string) ribbon {
		r := ribbon{on: on, level: level, length: on.turn()}
		r.scale = scale{zero: place(0), per: per, turn: turn, last: r.length}
		forced := false
		for i, m := range s.Result.ByLine() {
			if m.Offset == nil {
				continue
			}
			found := place(m.Place + m.Offset.Value)
			r.discs = append(r.discs, disc{x: found, number: fmt.Sprint(i + 1)})
			if !slices.ContainsFunc(chosen, func(c audit.LineResult) bool { return c.Name == m.Name }) {
				continue
			}
			way := right(m.Forced.Rotation, on.along(m.Forced.Angle))
			r.flags = append(r.flags, flag{x: found, left: way > 0}, flag{x: found + way, fresh: true, left: way < 0})
			r.discs = append(r.discs, disc{x: found + way, number: fmt.Sprint(i + 1), fresh: true})
			r.keep(found, found+way)
			forced = forced || !m.Scribe.Worthwhile
		}
		r.inOrder()
		r.signs = append(s.usual(on), lineSign(true, signSize, "WHITE ball: OLD line; BLACK ball: NEW"), lineSign(true, signSize, s.forRim()))
		if forced {
			r.signs = append(r.signs, tagged("FORCED: not all is asked for"))
		}
		r.signs = append(append(r.signs, s.doubts("", false)...), s.identity(id)...)
		return r
	}
	return j
}

// tapeSteps are the steps for a tape.
func tapeSteps(s stripper) []step {
	against := "under the pointer"
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		against = "under the turning line"
	}
	return append(plainSteps(s),
		lowerEnd("one of the numbered lines", ". Where there is none, set the crank to TDC and lay TDC "+against),
		step{word: "PROVE", text: "All other numbered lines must meet theirs. If one does not, STOP: look again at the line, at the side that is up, and at the outlined arrow."})
}

// plainSteps are the first steps of a strip without flags: its lines tell by themselves
// how it lies.
func plainSteps(s stripper) []step {
	steps := s.firstSteps(strings.TrimSuffix(s.whose(), ", "))
	for i := range steps {
		steps[i].picture = noPicture
	}
	return steps
}

// lowerEnd is the step that brings a strip without flags to a line.
func lowerEnd(of, orElse string) step {
	return step{word: "BRING", text: "the lower end of " + of + " to its line on the part" + orElse + ". Half of that line's length shows beyond the edge. Tape the black bar's side only."}
}

// roundSteps are the steps for a strip all the way round with new lines.
func roundSteps(s stripper, chosen []audit.LineResult) []step {
	const most = 6 // lengths that a step has room for
	tips, dot := "at the lower end of the line with the BLACK ball", "the dot"
	if len(chosen) > 1 {
		tips, dot = "at the lower end of each line with a BLACK ball", "each dot"
	}
	var lengths []string
	for _, m := range chosen {
		lengths = append(lengths, s.name(m.Name)+" "+s.way(m.Forced))
	}
	said := strings.Join(lengths, ", ") + ", each ± 0.3 mm"
	if len(lengths) > most {
		said = "the lengths in small type, ± 0.3 mm"
	}
	return append(plainSteps(s),
		lowerEnd("a line with a WHITE ball", ". White is OLD. A BLACK ball is the NEW line: never bring it to a line"),
		step{word: "PROVE", text: "The ends must meet, and all other lines with a WHITE ball must fall on theirs. If not, STOP and scribe nothing."},
		step{word: "DOT", text: "A fine felt dot " + tips + ". Take the " + s.surface().noun() + " off."},
		step{word: "CHECK", text: "Dividers, middle of the old line to its dot: " + said + ". If not, STOP."},
		step{word: "SCRIBE", text: s.surface().across(dot) + "."},
		step{word: "MARK", text: "CHECK once more. If it holds, cross the OLD line out. If not, cross both out and ask."})
}
