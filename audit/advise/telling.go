package advise

import (
	"cmp"
	"slices"

	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// Setting dividers on scribed lines is good to Setting; laying a new line adds Placed.
// Common practice, no source.
const (
	Setting geometry.Length = 0.2
	Placed  geometry.Length = 0.3
)

// DividersAfter is with which ± dividers check a distance once so many of its lines are
// scribed, from its ± now.
func DividersAfter(now geometry.Length, scribed int) geometry.Length {
	return max(now, Setting) + geometry.Length(scribed)*Placed
}

// Telling lists the distances that show whether a new line was scribed on the wrong side:
// those that change with the order. One of their lines is scribed and the other stays, or
// both are and go opposite ways; between two that go alike nothing changes, whichever way
// both went. Every line that is scribed has one where one qualifies, those of two such
// lines first, else the nearest.
//
// Doubt is with which ± a distance is checked once so many of its lines are scribed, from
// its ± now. What a line changes in a distance has to be more, or the wrong side, which
// lies twice as far off, could pass. Of each line the nearest twelve are tried.
func (a *Advice) Telling(s sheet.Sheet, top tdc.Found, placed []lines.Line, doubt func(now geometry.Length, scribed int) geometry.Length) (out []Distance) {
	if s.Part.Diameter == 0 || !top.Any() {
		return nil
	}
	type candidate struct {
		i, j int
		of   []int // its lines that are scribed
		now  geometry.Length
	}
	var all []candidate
	for _, group := range byPart(s, placed) {
		for k, i := range group {
			for _, j := range group[k+1:] {
				if of := a.scribedOf(i, j); a.changes(s, top, placed, i, j, of) {
					all = append(all, candidate{i, j, of, lines.Chord(s.Part, lines.Gap(s, top, placed[i], placed[j]))})
				}
			}
		}
	}
	tries := map[int]int{} // of each line that still has none; only looked up
	for i := range placed {
		if a.Lines[i].Worthwhile {
			tries[i] = mostPairs
		}
	}
	covers := func(c candidate) (n int) {
		for _, i := range c.of {
			if tries[i] > 0 {
				n++
			}
		}
		return n
	}
	for {
		all = slices.DeleteFunc(all, func(c candidate) bool { return covers(c) == 0 })
		if len(all) == 0 {
			return out
		}
		best := slices.MinFunc(all, func(x, y candidate) int {
			return cmp.Or(cmp.Compare(covers(y), covers(x)), cmp.Compare(x.now, y.now))
		})
		all = slices.DeleteFunc(all, func(c candidate) bool { return c.i == best.i && c.j == best.j })
		d, tells := a.tells(s, top, placed, best.i, best.j, best.of, doubt)
		if tells {
			out = append(out, d)
		}
		for _, i := range best.of {
			if tries[i]--; tells {
				tries[i] = 0
			}
		}
	}
}

// scribedOf are those of two lines that are scribed anew.
func (a *Advice) scribedOf(i, j int) (of []int) {
	for _, k := range []int{i, j} {
		if a.Lines[k].Worthwhile {
			of = append(of, k)
		}
	}
	return of
}

// changes reports whether the distance between two lines changes with the order, and is
// good for dividers before and after.
func (a *Advice) changes(s sheet.Sheet, top tdc.Found, placed []lines.Line, i, j int, of []int) bool {
	if len(of) == 0 || !placed[i].Read() || !placed[j].Read() || len(of) == 2 && a.Lines[i].Along == a.Lines[j].Along {
		return false
	}
	gap := lines.Gap(s, top, placed[i], placed[j])
	for _, apart := range []geometry.Angle{between(s.Part, gap), between(s.Part, a.after(gap, placed, i, j))} {
		if apart < leastSpan || apart > mostSpan {
			return false
		}
	}
	return true
}

// tells reports whether a distance that changes shows the wrong side of each of its lines
// that is scribed.
func (a *Advice) tells(s sheet.Sheet, top tdc.Found, placed []lines.Line, i, j int, of []int, doubt func(geometry.Length, int) geometry.Length) (Distance, bool) {
	d, perDegree := a.straight(s, top, placed, i, j)
	if d.U == 0 {
		return d, false
	}
	for _, k := range of {
		if perDegree*placed[k].Offset.Value.Abs().Degrees() <= doubt(d.U, len(of)).Millimetres() {
			return d, false
		}
	}
	return d, true
}
