package advise

import (
	"slices"

	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Distance is what dividers, or a tape round the rim, should find between two
// lines.
type Distance struct {
	From, To             string
	Now, After           geometry.Length // chords; After with the instructed new lines
	NowRound, AfterRound geometry.Length // round the rim, where a chord would not tell; zero where it does
	U, RoundU            geometry.Length // expanded uncertainties of Now and NowRound; zero where not known
}

// Dividers tell between lines this far apart on the part. Closer together they are
// hard to set, and further apart the chord follows the diameter more than the
// angle: there the length round the rim tells. Common practice, no source.
const (
	leastSpan geometry.Angle = 6
	mostSpan  geometry.Angle = 150
)

// Distances lists what dividers should find between lines that follow each other
// on one part, now and once the worthwhile instructions are carried out.
func (a *Advice) Distances(s sheet.Sheet, top tdc.Found, placed []lines.Line) (out []Distance) {
	if s.Part.Diameter == 0 || !top.Any() {
		return nil
	}
	for _, n := range spanned(s, top, placed) {
		first, second := placed[n[0]], placed[n[1]]
		d, perDegree := a.distance(s, top, placed, n[0], n[1])
		tells := d.U
		if d.NowRound > 0 {
			tells, perDegree = d.RoundU, geometry.Rim{Diameter: s.Part.Diameter}.Arc(s.Part.Turned(1)).Millimetres()
		}
		if tells > 0 && tells.Millimetres() >= perDegree*max(first.Tolerance, second.Tolerance).Degrees() {
			continue // a line that is off by its tolerance would not show in it
		}
		out = append(out, d)
	}
	return out
}

// distance is what dividers, or a tape round the rim, should find between two lines
// that were read, and the millimetres by which the chord grows for a degree of the
// crank.
func (a *Advice) distance(s sheet.Sheet, top tdc.Found, placed []lines.Line, i, j int) (d Distance, perDegree float64) {
	d, perDegree = a.straight(s, top, placed, i, j)
	gap := lines.Gap(s, top, placed[i], placed[j])
	if between(s.Part, gap) > mostSpan {
		d.NowRound = round(s.Part, s.Part.Round(gap))
		d.AfterRound = round(s.Part, s.Part.Round(gap)+a.after(gap, placed, i, j)-gap) // the same way round as now
		from, roundPerDegree, known := roundFrom(s.Part, placed[i], placed[j], d.NowRound)
		d.RoundU = sure(s, from, roundPerDegree, known)
	}
	return d, perDegree
}

// Pair is the distance between any two lines of one part, neighbours or not.
type Pair struct {
	Distance
	Checks        bool            // it is one of [Advice.Distances], by which the readings are checked
	Along, AlongU geometry.Length // along the rim, the shorter way, and its expanded uncertainty; zero where that is not known
}

// mostPairs is with how many lines that follow it round the part a line is paired. On a
// part with up to 25 lines those are all pairs.
const mostPairs = 12

// Pairs lists [Advice.Distances] first, then every other pair of lines of one part that
// were read, in the order in which they come up: a proof needs the ± of any two. Of more
// than 25 lines each is paired with the next twelve.
func (a *Advice) Pairs(s sheet.Sheet, top tdc.Found, placed []lines.Line) []Pair {
	if s.Part.Diameter == 0 || !top.Any() {
		return nil
	}
	index := map[string]int{}
	for i, l := range placed {
		index[l.Name] = i
	}
	var out []Pair
	done := map[[2]int]bool{}
	add := func(i, j int, d Distance, checks bool) {
		p := Pair{Distance: d, Checks: checks}
		var gap geometry.Angle
		gap, p.AlongU = AlongRim(s, top, placed[i], placed[j])
		p.Along = round(s.Part, gap)
		done[[2]int{i, j}], done[[2]int{j, i}] = true, true
		out = append(out, p)
	}
	for _, d := range a.Distances(s, top, placed) {
		add(index[d.From], index[d.To], d, true)
	}
	for _, group := range byPart(s, placed) {
		for k, i := range group {
			for step := 1; step < len(group) && step <= mostPairs; step++ {
				j := group[(k+step)%len(group)]
				if !done[[2]int{i, j}] {
					d, _ := a.distance(s, top, placed, i, j)
					add(i, j, d, false)
				}
			}
		}
	}
	return out
}

// after is the angle between two lines once the worthwhile instructions are carried
// out: a new line takes its offset out.
func (a *Advice) after(gap geometry.Angle, placed []lines.Line, i, j int) geometry.Angle {
	if a.Lines[i].Worthwhile {
		gap += placed[i].Offset.Value
	}
	if a.Lines[j].Worthwhile {
		gap -= placed[j].Offset.Value
	}
	return gap
}

// straight is the distance straight across between two lines that were read, and
// the millimetres by which it grows for a degree of the crank.
func (a *Advice) straight(s sheet.Sheet, top tdc.Found, placed []lines.Line, i, j int) (d Distance, perDegree float64) {
	first, second := placed[i], placed[j]
	gap := lines.Gap(s, top, first, second)
	d = Distance{From: first.Name, To: second.Name, Now: lines.Chord(s.Part, gap), After: lines.Chord(s.Part, a.after(gap, placed, i, j))}
	from, perDegree, known := lines.ChordFrom(s.Part, first, second, gap)
	d.U = sure(s, from, perDegree, known)
	return d, perDegree
}

// Straight is the distance straight across between any two lines, now and with the
// instructed new lines. It reports false where there is none: without a diameter,
// or where one was not read. AfterU is the expanded uncertainty of After, the
// placing of each new line included; zero where that of Now is not known.
func (a *Advice) Straight(s sheet.Sheet, top tdc.Found, placed []lines.Line, i, j int) (d Distance, afterU geometry.Length, ok bool) {
	if s.Part.Diameter == 0 || !placed[i].Read() || !placed[j].Read() {
		return Distance{}, 0, false
	}
	d, _ = a.straight(s, top, placed, i, j)
	if afterU = d.U; d.U > 0 {
		for _, k := range []int{i, j} {
			if a.Lines[k].Worthwhile {
				afterU += s.Limits.Placement
			}
		}
	}
	return d, afterU, true
}

// sure is the expanded uncertainty of a length; zero where it is not known.
func sure(s sheet.Sheet, from uncertainty.Combination, perDegree float64, known bool) geometry.Length {
	if !known {
		return 0
	}
	e, _ := from.Evaluate(s.Limits.Confidence)
	return geometry.Length(e.Expanded.Degrees() * perDegree)
}

// spanned returns, part by part, each line with the next one that is far enough
// from it for dividers, in the order in which they come up.
func spanned(s sheet.Sheet, top tdc.Found, placed []lines.Line) [][2]int {
	var out [][2]int
	for _, group := range byPart(s, placed) {
		for k, i := range group {
			for step := 1; step < len(group); step++ {
				j := group[(k+step)%len(group)]
				if between(s.Part, lines.Gap(s, top, placed[i], placed[j])) < leastSpan {
					continue
				}
				if !slices.Contains(out, [2]int{j, i}) {
					out = append(out, [2]int{i, j})
				}
				break
			}
		}
	}
	return out
}

// byPart returns the lines part by part, each in the order in which they come up.
func byPart(s sheet.Sheet, placed []lines.Line) [][]int {
	var parts []string
	var out [][]int
	for _, i := range lines.ByPlace(s.Part, placed) {
		k := slices.Index(parts, placed[i].On)
		if k < 0 {
			k = len(parts)
			parts, out = append(parts, placed[i].On), append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

// AlongRim is how far on the crank turns from one line to another as they were read,
// brought to the nearer way round the part, and the expanded uncertainty of the length
// along the rim between them, with the diameter's own doubt. Any two lines will do,
// not neighbours only. The uncertainty is zero where it is not known: the lines were
// not read in the same setups, or not often enough. Both lines have been read, and the
// part has a diameter.
func AlongRim(s sheet.Sheet, top tdc.Found, first, second lines.Line) (gap geometry.Angle, u geometry.Length) {
	gap = s.Part.Round(lines.Gap(s, top, first, second))
	from, perDegree, known := roundFrom(s.Part, first, second, round(s.Part, gap))
	return gap, sure(s, from, perDegree, known)
}

// between is how far apart on the part two lines lie, the nearer way round.
func between(part sheet.Part, gap geometry.Angle) geometry.Angle {
	return part.Turned(part.Round(gap)).Abs()
}

// round is the length along the rim of an angle of the crank, without its sign.
func round(part sheet.Part, gap geometry.Angle) geometry.Length {
	return geometry.Rim{Diameter: part.Diameter}.Arc(part.Turned(gap).Abs())
}

// roundFrom is a length along the rim with everything that it depends on, and the
// millimetres by which it grows for a degree of the crank. It reports false where
// the two lines were not read in the same setups.
func roundFrom(part sheet.Part, first, second lines.Line, length geometry.Length) (c uncertainty.Combination, perDegree float64, known bool) {
	perDegree = geometry.Rim{Diameter: part.Diameter}.Arc(part.Turned(1)).Millimetres()
	c, known = lines.GapFrom(first, second)
	if l := part.DiameterLimit; known && l.Half > 0 { // the length grows with the diameter
		half := length.Millimetres() * float64(l.Half/part.Diameter) / perDegree
		c = c.With(uncertainty.By(uncertainty.Limited(uncertainty.Diameter, "part", geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: l.K}), 1))
	}
	return c, perDegree, known
}
