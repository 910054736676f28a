package jobsheet

import (
	"cmp"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// check is a row of the table of dividers. What is empty is not measured.
type check struct {
	what, before, after string
	found               string // what the sheet says was measured after scribing
	rank                int    // how much it tells of what is scribed, from 0
	far                 geometry.Length
}

// How much a check tells: that a new line is on its right side; that it is as far off as
// ordered, where nothing else tells of it or all the same; where it is beside a line that
// moves alike; or nothing of what is scribed.
const (
	tellsSide = iota
	tellsWayAlone
	tellsWay
	tellsLine
	tellsReading
)

// checks are what dividers have to find before and after scribing: first those that change
// with the order, and so show a new line that was scribed on the wrong side; then from
// the old line to the new, those first that no such distance tells of; of all others the
// nearest first. So many of them are needed.
func checks(v words.Audit, letter func(string) string) (all []check, needed int) {
	scribed, told := map[string]bool{}, map[string]bool{} // only looked up
	telling := v.Result.Telling()
	for _, d := range telling {
		told[d.From], told[d.To] = true, true
	}
	for _, m := range v.Result.ByLine() {
		if m.Scribe.Worthwhile {
			scribed[m.Name] = true
			if m.Scribe.HasLengths {
				rank := tellsWay
				if !told[m.Name] {
					rank = tellsWayAlone
				}
				all = append(all, check{what: letter(words.Quoted(m.Name)) + oldToNew, after: dividers(v, m.Scribe.Chord, advise.Placed), rank: rank})
			}
		}
	}
	all = inOneRow(all)
	if s := v.Result.Advice.Together; s.Worthwhile && s.HasLengths {
		what := "turning line or scale, if it is moved: old – new"
		if s.Move == advise.MovePointer {
			what = "pointer, if it is moved: old – new"
		}
		all = append(all, check{what: what, after: dividers(v, s.Chord, advise.Placed), rank: tellsWayAlone})
	}
	add := func(d advise.Distance, rank int) {
		n := 0
		for _, name := range []string{d.From, d.To} {
			if scribed[name] {
				n++
			}
		}
		if n > 0 {
			rank = min(rank, tellsLine)
		}
		one := check{what: letter(words.Quoted(d.From) + " – " + words.Quoted(d.To)), before: dividers(v, d.Now, d.U), rank: rank, far: d.Now}
		if slices.ContainsFunc(all, func(c check) bool {
			return c.what == one.what || c.what == letter(words.Quoted(d.To)+" – "+words.Quoted(d.From))
		}) {
			return
		}
		if len(scribed) > 0 {
			one.after = dividers(v, d.After, advise.DividersAfter(d.U, n))
		}
		if a := v.Result.Sheet.After; a != nil {
			for _, found := range a.Dividers {
				if found.From == d.From && found.To == d.To || found.From == d.To && found.To == d.From {
					one.found = v.Fine().Of(found.Measured)
				}
			}
		}
		all = append(all, one)
	}
	for _, d := range telling {
		add(d, tellsSide)
	}
	for _, d := range v.Distances() {
		if d.NowRound == 0 && d.U > 0 {
			add(d, tellsReading)
		}
	}
	slices.SortStableFunc(all, func(a, b check) int {
		if byRank := cmp.Compare(a.rank, b.rank); byRank != 0 || a.rank == tellsReading || a.rank == tellsSide {
			return byRank
		}
		return cmp.Compare(a.far, b.far)
	})
	// What can be measured now is measured before anything is scribed: one such pair
	// comes first of all.
	if i := slices.IndexFunc(all, func(c check) bool { return c.before != "" }); i > 0 {
		now := all[i]
		all = slices.Insert(slices.Delete(all, i, i+1), 0, now)
	}
	for i, c := range all {
		if c.rank <= tellsWayAlone {
			needed = i + 1
		}
	}
	return all, needed
}

// dividers is a length as dividers are held against it: no finer than they are set.
func dividers(v words.Audit, x, u geometry.Length) string {
	u = max(u, advise.Setting)
	by := rounding.Lengths{ByDividers: true}
	if v.Unit.Imperial() {
		return rounding.Fixed(x.In(geometry.Inch), by.InchPlaces()) + " ± " + rounding.NotNothing(u.In(geometry.Inch), by.InchPlaces()) + " in"
	}
	return by.Sure(x, u)
}

// oldNew is the pair of a line that is to be scribed.
const (
	oldNew   = "old line – new line"
	oldToNew = ": " + oldNew
)

// inOneRow puts new lines that are as far from their old ones into one row: it takes
// little room, and nothing else catches a new line that is placed badly by less than what
// shows a wrong side.
func inOneRow(all []check) []check {
	if len(all) < 2 || slices.ContainsFunc(all, func(c check) bool { return c.after != all[0].after }) {
		return all
	}
	one := check{what: "each new line" + oldToNew, after: all[0].after, rank: tellsWayAlone}
	if len(all) <= 3 {
		var names []string
		for _, c := range all {
			names = append(names, strings.TrimSuffix(c.what, oldToNew))
		}
		one.what = strings.Join(names, ", ") + ", each" + oldToNew
	}
	return []check{one}
}

// roomyCell is how high a row is to be, with room to write in for greasy hands.
const roomyCell geometry.Length = 9

// cellHeight is how high a row of so many is at least.
func cellHeight(rows int) geometry.Length {
	if rows > 4 {
		return 7.6
	}
	return 8
}

// checkHeight is that of the section with n rows.
func checkHeight(v words.Audit, n int) geometry.Length {
	h := leadRoom
	if n > 0 {
		h += leading + 4.5 + geometry.Length(n)*cellHeight(n) + 0.8 + geometry.Length(len(checkNote(v, true, true)))*leading
	}
	return h
}

// checkNote says what follows from what is measured after scribing, or where nothing is
// scribed. What follows from what is measured before is a step of what to do.
func checkNote(v words.Audit, lined, left bool) []string {
	note := "One off by more than its ±: STOP. A reading or the sheet is wrong; nothing is moved or scribed."
	if lined && v.Scribes() {
		note = "AFTER: one off: strike both lines through, ask. All hold: strike the OLD line through."
		switch s := v.Result.Advice.Together; {
		case s.Worthwhile && s.Move == advise.MovePointer:
			note = "AFTER moving, off by more than its ±: move it again."
		case s.Worthwhile:
			note = "AFTER a): off, move the scale again. AFTER b): off, strike both lines through, ask; holds, strike the OLD one through."
		}
	}
	if left {
		note += " More pairs: annex."
	}
	return drawing.WrapBold(note, textSize, drawing.PageWidth, 2)
}

const besideBoxes geometry.Length = 112 // the width of what is to be seen

func eyeLines(v words.Audit, letter func(string) string) []string {
	return drawing.Wrap(letter("Check this first: "+words.Dot(v.ToSee())), textSize, besideBoxes, 6)
}

func eyeHeight(v words.Audit, letter func(string) string) geometry.Length {
	return max(2*tick+2, geometry.Length(len(eyeLines(v, letter)))*leading) + 1.2
}

// byEye is the first thing to do: what to look at before metal is touched, and a box for
// either answer.
func (p *page) byEye(v words.Audit) {
	top := p.y + 0.8
	p.put(0, top+3.3, drawing.Text{Size: textSize, Bold: true, Text: "1"})
	for i, line := range eyeLines(v, p.letter) {
		p.put(5, top+3.3+geometry.Length(i)*leading, drawing.Text{Size: textSize, Text: line})
	}
	const x = besideBoxes + 9
	for i, text := range []string{"as it says here", "not so: STOP, the sheet is wrong"} {
		y := top + geometry.Length(i)*(tick+1)
		p.box(x, y, tick, tick, frame)
		p.put(x+tick+1.5, y+3.7, drawing.Text{Size: textSize, Bold: i == 1, Text: text})
	}
	if a := v.Result.Sheet.After; a != nil && a.EyeCheck == sheet.AsSaid {
		p.tickOff(x, top)
	} else if a != nil && a.EyeCheck == sheet.NotAsSaid {
		p.tickOff(x, top+tick+1)
	}
	p.y += eyeHeight(v, p.letter)
}

// checked is the section to fill in by hand, in rows so high.
func (p *page) checked(v words.Audit, number string, all []check, left int, height geometry.Length) {
	any := func(has func(c check) string) bool {
		return slices.ContainsFunc(all, func(c check) bool { return has(c) != "" })
	}
	lined, now := any(func(c check) string { return c.after }), any(func(c check) string { return c.before })
	did, does := "scribing", "scribed"
	if s := v.Result.Advice.Together; s.Worthwhile && s.Move == advise.MovePointer {
		did, does = "moving", "moved"
	} else if s.Worthwhile {
		did, does = "the move", "scribed or moved"
	}
	name := "Checked"
	switch {
	case lined && now:
		name = "Checked before and after " + did
	case lined:
		name = "Checked after " + did
	case v.Scribes():
		name = "Checked before anything is " + does
	}
	filled := "to be filled in by hand"
	if about := v.AboutDiameter(); about != "" && any(func(c check) string { return c.before }) {
		filled += "; " + about
	}
	p.lead(number+" "+name, filled)
	if len(all) == 0 {
		return
	}
	heads := []string{"dividers, straight across", "should be", "measured", "should be", "measured"}
	widths := []geometry.Length{60, 29, 30, 29, 32}
	both := lined && now
	if !both {
		heads, widths = []string{heads[0], "should be", "measured"}, []geometry.Length{80, 40, 60}
	}
	if both {
		p.y += leading
		for i, head := range []string{"NOW, before " + did, "AFTER " + strings.ToUpper(did)} {
			p.put(widths[0]+1.2+geometry.Length(i)*(widths[1]+widths[2]), p.y, drawing.Text{Size: textSize, Bold: true, Text: head})
		}
	}
	p.y += 4.5
	x := geometry.Length(0)
	for i, head := range heads {
		p.put(x+1.2, p.y-1.2, drawing.Text{Size: textSize, Text: head})
		x += widths[i]
	}
	for _, c := range all {
		texts := []string{c.what, c.before, "", c.after, c.found}
		switch {
		case lined && !now:
			texts = []string{c.what, c.after, c.found}
		case !both:
			texts = texts[:3]
		}
		x = 0
		for i := 0; i < len(texts); i++ {
			text, wide := texts[i], widths[i]
			if i%2 == 1 && text == "" { // nothing to be measured: one cell that says why
				text, wide = c.why(i == 1, v), wide+widths[i+1]
			}
			p.box(x, p.y, wide, height, rule)
			lines := fitted(text, (wide-3)*0.94)
			for j, line := range lines {
				p.put(x+1.5, p.y+height/2+1.1+(geometry.Length(j)-geometry.Length(len(lines)-1)/2)*3.6, drawing.Text{Size: textSize, Bold: i == 3 && texts[3] != "", Text: line})
			}
			x += wide
			if wide > widths[i] {
				i++
			}
		}
		p.y += height
	}
	p.y += 0.8
	for _, line := range checkNote(v, lined, left > 0) {
		p.y += leading
		p.put(0, p.y-0.6, drawing.Text{Size: textSize, Bold: true, Text: line})
	}
}

// why says why there is nothing to measure in a row, now or afterwards.
func (c check) why(now bool, v words.Audit) string {
	switch {
	case !now:
		return "as before: it was not moved"
	case v.Result.Advice.Together.Worthwhile:
		return "nothing was moved yet"
	}
	return "there is no new line yet"
}

// Distances lists the pairs for which the table to fill in has no room, as it does.
func (s *Sheet) Distances() document.Table {
	t := document.Table{Header: []string{"from – to", "now"}, Right: []bool{false, true}}
	lined := slices.ContainsFunc(s.all, func(c check) bool { return c.after != "" })
	if lined {
		t.Header, t.Right = append(t.Header, "after scribing"), append(t.Right, true)
	} else {
		t.Header[1] = "should be"
	}
	for _, c := range s.all[len(s.checks):] {
		row := []string{strings.Replace(c.what, oldNew, "old – new", 1), c.before}
		if lined {
			row = append(row, c.after)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// tickOff ticks a box that the sheet has an answer for. It is no cross, which is the sign
// of a line that is outside.
func (p *page) tickOff(x, y geometry.Length) {
	p.line(x+0.9, y+2.6, x+2, y+tick-1, drawing.Thick)
	p.line(x+2, y+tick-1, x+tick-0.8, y+1, drawing.Thick)
}

// signed are the boxes of those who answer for it; one for scribing or moving only where
// that is ordered or done. A name from the sheet is no signature: the line below it stays
// open.
func (p *page) signed(v words.Audit, by, scribed string) {
	const height geometry.Length = 14
	did := "scribed"
	if s := v.Result.Advice.Together; s.Worthwhile && s.Move == advise.MovePointer {
		did = "moved"
	} else if s.Worthwhile {
		did = "scribed or moved"
	}
	roles := [][2]string{{"measured", by}, {did, scribed}, {"checked by another", ""}, {"released", ""}}
	if !v.Scribes() && scribed == "" {
		roles = slices.Delete(roles, 1, 2)
	}
	width := drawing.PageWidth / geometry.Length(len(roles))
	for i, r := range roles {
		x, role := geometry.Length(i)*width, r[0]
		p.box(x, p.y, width, height, rule)
		if r[1] != "" {
			role += " by " + r[1]
		}
		p.put(x+1.4, p.y+3.7, drawing.Text{Size: textSize, Text: drawing.Wrap(p.letter(words.Clean(role)), textSize, width-2.8, 1)[0]})
		p.line(x+1.4, p.y+height-4, x+width-1.4, p.y+height-4, drawing.Hair)
		p.put(x+1.4, p.y+height-1, drawing.Text{Size: textSize, Text: "name, date, signature"})
	}
	p.y += height
}

// outsideFirst are the lines in the order in which a short table has them: those that
// ask for something, then the others.
func outsideFirst(all []audit.LineResult) []audit.LineResult {
	out := slices.Clone(all)
	slices.SortStableFunc(out, func(a, b audit.LineResult) int { return rank(a) - rank(b) })
	return out
}
