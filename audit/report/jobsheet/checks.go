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

// Setting dividers on scribed lines is good to this; and laying a new line adds as
// much as placed. Common practice, no source.
const (
	setting geometry.Length = 0.2
	placed  geometry.Length = 0.3
)

// check is a row of the table of dividers. What is empty is not measured.
type check struct {
	what, before, after string
	found               string // what the sheet says was measured after scribing
	first               bool   // it tells of a line that is to be scribed
	far                 geometry.Length
}

// checks are what dividers have to find before and after scribing, those that tell of
// a new line first, the shortest way before all others.
func checks(v words.Audit, letter func(string) string) (all []check) {
	scribed := map[string]bool{} // only looked up
	for _, m := range v.Result.ByLine() {
		if m.Scribe.Worthwhile {
			scribed[m.Name] = true
			if m.Scribe.HasLengths {
				all = append(all, check{what: letter(words.Quoted(m.Name)) + ": " + oldNew, after: dividers(v, m.Scribe.Chord, placed), first: true})
			}
		}
	}
	if s := v.Result.Advice.Together; s.Worthwhile && s.Move != advise.MovePointer && s.HasLengths {
		all = append(all, check{what: "turning line, if it is scribed: old – new", after: dividers(v, s.Chord, placed), first: true})
	}
	for _, d := range v.Distances() {
		if d.NowRound > 0 || d.U == 0 {
			continue
		}
		one := check{what: letter(words.Quoted(d.From) + " – " + words.Quoted(d.To)), before: dividers(v, d.Now, d.U), first: scribed[d.From] || scribed[d.To], far: d.Now}
		if len(scribed) > 0 {
			u := max(d.U, setting)
			if one.first {
				u += placed
			}
			one.after = dividers(v, d.After, u)
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
	slices.SortStableFunc(all, func(a, b check) int {
		switch {
		case a.first && b.first: // the nearest line tells most, and is that of the strip
			return cmp.Compare(a.far, b.far)
		case a.first == b.first:
			return 0
		case a.first:
			return -1
		}
		return 1
	})
	// What can be measured now is measured before anything is scribed: one such pair
	// comes first of all.
	if i := slices.IndexFunc(all, func(c check) bool { return c.before != "" }); i > 0 {
		now := all[i]
		all = slices.Insert(slices.Delete(all, i, i+1), 0, now)
	}
	return all
}

// dividers is a length as dividers are held against it: no finer than they are set.
func dividers(v words.Audit, x, u geometry.Length) string {
	u = max(u, setting)
	by := rounding.Lengths{ByDividers: true}
	if v.Unit.Imperial() {
		return rounding.Fixed(x.In(geometry.Inch), by.InchPlaces()) + " ± " + rounding.NotNothing(u.In(geometry.Inch), by.InchPlaces()) + " in"
	}
	return by.Sure(x, u)
}

// oldNew is the pair of a line that is to be scribed.
const oldNew = "old line – new line"

const cellHeight geometry.Length = 9 // room to write in

// checkHeight is that of the section with n rows.
func checkHeight(v words.Audit, n int) geometry.Length {
	h := leadRoom
	if n > 0 {
		h += leading + 4.5 + geometry.Length(n)*cellHeight + 0.8 + geometry.Length(len(checkNote(v, true, true, true)))*leading
	}
	return h
}

// checkNote says what follows from what is measured: after scribing, and before it where
// there is something to measure then.
func checkNote(v words.Audit, lined, now, left bool) []string {
	note := "One off by more than its ±: STOP. A reading or the sheet is wrong; nothing is moved or scribed."
	if lined && v.Scribes() {
		note = "After scribing, one off by more than its ±: strike the NEW line through, begin again. All hold: strike the OLD line through."
		if now {
			note = "Any NOW measure off by more than its ±: STOP, scribe nothing; a reading or the sheet is wrong. After scribing, one off: strike the NEW line through, begin again. All hold: strike the OLD line through."
		}
	}
	if left {
		note += " More pairs: annex."
	}
	return drawing.Wrap(note, textSize, drawing.PageWidth*0.92, 2)
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

// checked is the section to fill in by hand.
func (p *page) checked(v words.Audit, number string, all []check, left int) {
	lined := slices.ContainsFunc(all, func(c check) bool { return c.after != "" })
	name := "Checked"
	switch {
	case lined:
		name = "Checked before and after scribing"
	case v.Scribes():
		name = "Checked before anything is scribed or moved"
	}
	p.lead(number+" "+name, "to be filled in by hand")
	if len(all) == 0 {
		return
	}
	heads := []string{"dividers, straight across", "should be", "measured", "should be", "measured"}
	widths := []geometry.Length{60, 29, 30, 29, 32}
	if !lined {
		heads, widths = []string{heads[0], "should be", "measured"}, []geometry.Length{80, 40, 60}
	}
	if lined {
		p.y += leading
		for i, head := range []string{"NOW, before scribing", "AFTER SCRIBING"} {
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
		texts := []string{c.what, c.before, "", c.after, c.found}[:len(widths)]
		x = 0
		for i := 0; i < len(texts); i++ {
			text, wide := texts[i], widths[i]
			if i%2 == 1 && text == "" { // nothing to be measured: one cell that says why
				text, wide = map[int]string{1: "there is no new line yet", 3: "as before: it was not moved"}[i], wide+widths[i+1]
			}
			p.box(x, p.y, wide, cellHeight, rule)
			lines := fitted(text, (wide-3)*0.94)
			for j, line := range lines {
				p.put(x+1.5, p.y+cellHeight/2+1.1+(geometry.Length(j)-geometry.Length(len(lines)-1)/2)*3.6, drawing.Text{Size: textSize, Bold: i == 3 && texts[3] != "", Text: line})
			}
			x += wide
			if wide > widths[i] {
				i++
			}
		}
		p.y += cellHeight
	}
	p.y += 0.8
	for _, line := range checkNote(v, lined, slices.ContainsFunc(all, func(c check) bool { return c.before != "" }), left > 0) {
		p.y += leading
		p.put(0, p.y-0.6, drawing.Text{Size: textSize, Bold: true, Text: line})
	}
}

// Distances lists every pair as the table to fill in does, of which the sheet has room
// for the first only.
func (s *Sheet) Distances() document.Table {
	t := document.Table{Header: []string{"from – to", "now"}, Right: []bool{false, true}}
	lined := slices.ContainsFunc(s.all, func(c check) bool { return c.after != "" })
	if lined {
		t.Header, t.Right = append(t.Header, "after scribing"), append(t.Right, true)
	} else {
		t.Header[1] = "should be"
	}
	for _, c := range s.all {
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

// signed are the four boxes of those who answer for it. A name from the sheet is no
// signature: the line below it stays open.
func (p *page) signed(by, scribed string) {
	const width, height geometry.Length = drawing.PageWidth / 4, 14
	for i, role := range []string{"measured", "scribed", "checked by another", "released"} {
		x := geometry.Length(i) * width
		p.box(x, p.y, width, height, rule)
		if name := []string{by, scribed, "", ""}[i]; name != "" {
			role += " by " + name
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
