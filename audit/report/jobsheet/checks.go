package jobsheet

import (
	"slices"

	"markaudit/audit"
	"markaudit/audit/advise"
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
}

// checks are what dividers have to find before and after scribing, those that tell of
// a new line first.
func checks(v words.Audit, letter func(string) string) (all []check) {
	scribed := map[string]bool{} // only looked up
	for _, m := range v.Result.ByLine() {
		if m.Scribe.Worthwhile {
			scribed[m.Name] = true
			if m.Scribe.HasLengths {
				all = append(all, check{what: letter(words.Clean(m.Name)) + ": old line – new line", after: dividers(v, m.Scribe.Chord, placed), first: true})
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
		one := check{what: letter(words.Clean(d.From)) + " – " + letter(words.Clean(d.To)), before: dividers(v, d.Now, d.U), first: scribed[d.From] || scribed[d.To]}
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
					one.found = v.Of(found.Measured)
				}
			}
		}
		all = append(all, one)
	}
	slices.SortStableFunc(all, func(a, b check) int {
		switch {
		case a.first == b.first:
			return 0
		case a.first:
			return -1
		}
		return 1
	})
	return all
}

// dividers is a length as dividers are held against it: no finer than they are set.
func dividers(v words.Audit, x, u geometry.Length) string {
	u = max(u, setting)
	if v.Unit.Imperial() {
		return rounding.Fixed(x.In(geometry.Inch), 2) + " ± " + rounding.NotNothing(u.In(geometry.Inch), 2) + " in"
	}
	return rounding.Fixed(x.Millimetres(), 1) + " ± " + rounding.NotNothing(u.Millimetres(), 1) + " mm"
}

const cellHeight geometry.Length = 9 // room to write in

const mostChecks = 4

// checkHeight is that of the section with n rows.
func checkHeight(v words.Audit, letter func(string) string, n int) geometry.Length {
	h := geometry.Length(8)
	if v.Scribes() {
		h += eyeHeight(v, letter)
	}
	if n > 0 {
		h += 4.5 + geometry.Length(n)*cellHeight + 4.5
	}
	return h
}

func eyeLines(v words.Audit, letter func(string) string) []string {
	return drawing.Wrap(letter(words.Sentence(v.Check())), textSize, 114, 6)
}

func eyeHeight(v words.Audit, letter func(string) string) geometry.Length {
	return max(tick+1, geometry.Length(len(eyeLines(v, letter)))*leading) + 2.5
}

// checked is the section to fill in by hand.
func (p *page) checked(v words.Audit, number string, all []check, left int) {
	scribes := v.Scribes()
	lined := slices.ContainsFunc(all, func(c check) bool { return c.after != "" })
	name := "Checked"
	switch {
	case lined:
		name = "Checked before and after scribing"
	case scribes:
		name = "Checked before anything is scribed or moved"
	}
	p.lead(number+" "+name, "to be filled in by hand")
	if scribes {
		p.y += 1.5
		p.box(0, p.y, tick, tick, frame)
		for i, line := range eyeLines(v, p.letter) {
			p.put(tick+2, p.y+3.6+geometry.Length(i)*leading, drawing.Text{Size: textSize, Text: line})
		}
		p.put(drawing.PageWidth-tick-2, p.y+3.6, drawing.Text{Size: textSize, Bold: true, Anchor: drawing.End, Text: "not so: STOP, the sheet is wrong"})
		p.box(drawing.PageWidth-tick, p.y, tick, tick, frame)
		if a := v.Result.Sheet.After; a != nil && a.EyeCheck == sheet.AsSaid {
			p.cross(0, p.y)
		} else if a != nil && a.EyeCheck == sheet.NotAsSaid {
			p.cross(drawing.PageWidth-tick, p.y)
		}
		p.y += eyeHeight(v, p.letter) - 1.5
	}
	if len(all) == 0 {
		return
	}
	heads := []string{"dividers, straight across", "before: should be", "before: measured", "after: should be", "after: measured"}
	widths := []geometry.Length{60, 27, 30, 27, 36}
	if !lined {
		heads, widths = []string{heads[0], "should be", "measured"}, []geometry.Length{80, 40, 60}
	}
	p.y += 4
	x := geometry.Length(0)
	for i, head := range heads {
		p.put(x+1.2, p.y-1, drawing.Text{Size: smallSize, Ink: drawing.Grey, Text: head})
		x += widths[i]
	}
	for _, c := range all {
		texts := []string{c.what, c.before, "", c.after, c.found}[:len(widths)]
		x = 0
		for i, text := range texts {
			p.box(x, p.y, widths[i], cellHeight, rule)
			lines, size := fitted(text, widths[i]-3)
			for j, line := range lines {
				p.put(x+1.5, p.y+cellHeight/2+1.1+(geometry.Length(j)-geometry.Length(len(lines)-1)/2)*2.8, drawing.Text{Size: size, Bold: i == 3, Text: line})
			}
			if i%2 == 1 && text == "" || i > 0 && i%2 == 0 && texts[i-1] == "" { // nothing to be measured
				p.line(x+6, p.y+cellHeight/2, x+widths[i]-6, p.y+cellHeight/2, drawing.Hair)
			}
			x += widths[i]
		}
		p.y += cellHeight
	}
	note := "Off by more than its ±: a wrong reading or a wrong sheet; nothing is moved or scribed."
	if lined {
		note = "Before, off by more than its ±: a wrong reading or a wrong sheet; nothing is scribed. After: strike the new line through and begin again."
	}
	if left > 0 {
		note += " More pairs: annex."
	}
	p.put(0, p.y+3.6, drawing.Text{Size: smallSize, Ink: drawing.Grey, Text: note})
	p.y += 4.5
}

// cross ticks a box that the sheet has an answer for.
func (p *page) cross(x, y geometry.Length) {
	const in geometry.Length = 0.9
	p.line(x+in, y+in, x+tick-in, y+tick-in, drawing.Thick)
	p.line(x+in, y+tick-in, x+tick-in, y+in, drawing.Thick)
}

// signed are the four boxes of those who answer for it. A name from the sheet is no
// signature: the line below it stays open.
func (p *page) signed(by, scribed string) {
	const width, height geometry.Length = drawing.PageWidth / 4, 14
	for i, role := range []string{"measured", "scribed", "checked (not by the one who scribed)", "released"} {
		x := geometry.Length(i) * width
		p.box(x, p.y, width, height, rule)
		if name := []string{by, scribed, "", ""}[i]; name != "" {
			role += " by " + name
		}
		lines, size := fitted(p.letter(words.Clean(role)), width-3)
		for j, line := range lines {
			p.put(x+1.4, p.y+3.6+geometry.Length(j)*2.8, drawing.Text{Size: size, Ink: drawing.Grey, Text: line})
		}
		p.line(x+1.4, p.y+height-3.8, x+width-1.4, p.y+height-3.8, drawing.Hair)
		p.put(x+1.4, p.y+height-1.2, drawing.Text{Size: hintSize, Ink: drawing.Grey, Text: "name, date, signature"})
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
