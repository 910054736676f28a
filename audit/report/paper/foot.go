package paper

import (
	"fmt"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/geometry"
)

// checkLine is what every sheet carries to see whether the printer keeps to scale; a
// second one is in inches.
const (
	checkLine   geometry.Length = 100
	checkInches geometry.Length = 4 * 25.4
)

// footRoom is from where the check lines begin to the edge of the paper.
const footRoom geometry.Length = 25.5

// end puts the check lines at the foot and turns over.
func (p *sheetOfPaper) end() {
	foot := p.height - footRoom
	if p.height == 0 {
		foot = p.y + 6
		if p.s.beside() > 0 { // the upright check line stands above it
			foot = max(foot, checkLine*geometry.Length(p.s.stretch())+paperMargin+12)
		}
		p.scene.Height = foot + footRoom
	}
	k := geometry.Length(p.s.stretch())
	lines := "both"
	if p.s.beside() > 0 {
		lines = "all three"
	}
	good := "Hold a steel rule to " + lines + " check lines. GOOD is 99.8 to 100.2 mm, or 3.992 to 4.008 in. Else throw this sheet away."
	printing := "For whoever prints: 100 %, nothing fitted to the page. Still BAD: have it drawn again for what the line of 100 mm measures."
	if p.s.o.Measured != 0 {
		good = "Drawn for a printer that makes " + rounding.Plain(rounding.Trimmed(p.s.o.Measured.Millimetres())) + " mm of 100. If the first line now measures 99.8 to 100.2 mm, use this sheet and throw the first print away."
		printing = "If not: begin again with a print that nothing is made up for, and measure that."
	}
	size := geometry.Length(3.6)
	if room := p.width - 2*paperMargin; drawing.BoldWidth(good, size) > room {
		size *= room / drawing.BoldWidth(good, size)
	}
	p.scene.Add(drawing.Text{At: drawing.Point{X: paperMargin, Y: foot + 3}, Size: size, Bold: true, Text: good})
	p.check(drawing.Point{X: paperMargin, Y: foot + 12.3}, checkLine*k, 10, "100.0 mm")
	p.check(drawing.Point{X: paperMargin + checkLine*k + 12, Y: foot + 12.3}, checkInches*k, 8, "4.000 in")
	if p.s.beside() > 0 {
		p.uprightCheck(drawing.Point{X: p.width - paperMargin + 1, Y: foot - 4}, checkLine*k)
	}
	small := func(x geometry.Length, ink drawing.Ink, text string) {
		p.scene.Add(drawing.Text{At: drawing.Point{X: x, Y: foot + footRoom - 6.5}, Size: drawing.NoteSize, Ink: ink, Text: text})
	}
	small(paperMargin, drawing.Grey, p.s.o.Software)
	small(paperMargin+30, drawing.Black, printing)
	p.done = append(p.done, p.scene)
	p.begun = false
}

// check draws a check line from left to right, both ends named.
func (p *sheetOfPaper) check(from drawing.Point, length geometry.Length, parts int, name string) {
	stroke := drawing.Stroke{Width: 0.18, Ink: drawing.Black}
	p.scene.Add(drawing.Line{From: from, To: from.Plus(length, 0), Stroke: stroke})
	for i := range parts + 1 {
		deep := geometry.Length(1.2)
		if i%(parts/2) == 0 {
			deep = 3
		}
		x := length * geometry.Length(i) / geometry.Length(parts)
		p.scene.Add(drawing.Line{From: from.Plus(x, -deep), To: from.Plus(x, 0), Stroke: stroke})
	}
	p.scene.Add(
		drawing.Text{At: from.Plus(0, -4), Size: 2.9, Bold: true, Text: "0"},
		drawing.Text{At: from.Plus(length, -4), Size: 2.9, Bold: true, Anchor: drawing.End, Text: name},
		drawing.Text{At: from.Plus(length/2, -4), Size: 2.9, Anchor: drawing.Middle, Text: "check line"})
}

// uprightCheck draws the check line across the sheet, from its lower end.
func (p *sheetOfPaper) uprightCheck(from drawing.Point, length geometry.Length) {
	stroke := drawing.Stroke{Width: 0.18, Ink: drawing.Black}
	p.scene.Add(drawing.Line{From: from, To: from.Plus(0, -length), Stroke: stroke})
	for i := range 11 {
		deep := geometry.Length(1.2)
		if i%5 == 0 {
			deep = 3
		}
		y := -length * geometry.Length(i) / 10
		p.scene.Add(drawing.Line{From: from.Plus(-deep, y), To: from.Plus(0, y), Stroke: stroke})
	}
	text := func(y geometry.Length, anchor drawing.Anchor, bold bool, words string) {
		p.scene.Add(drawing.Text{At: from.Plus(-4, y), Size: 2.9, Bold: bold, Anchor: anchor, Turn: -90, Text: words})
	}
	text(0, drawing.Start, true, "0")
	text(-length/2, drawing.Middle, false, "check line")
	text(-length, drawing.End, true, "100.0 mm")
}

// countSheets says on each sheet of paper which of how many it is.
func countSheets(pages []drawing.Scene) {
	for i := range pages {
		page := &pages[i]
		page.Title += rounding.PartOf(i, len(pages))
		page.Add(drawing.Text{At: drawing.Point{X: page.Width - paperMargin, Y: page.Height - 6.5}, Size: drawing.NoteSize, Anchor: drawing.End, Text: fmt.Sprintf("sheet of paper %d of %d", i+1, len(pages))})
	}
}
