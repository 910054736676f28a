package jobsheet

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/jobrecord"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// blockHeight is that of the title block. Its fields follow ISO 7200 and ISO/IEC
// 17025, 7.8, as far as they apply; both from memory.
const blockHeight geometry.Length = 39

// cell is a field of the title block.
type cell struct {
	label, text string
	width       geometry.Length
	bold        bool
}

// titleBlock draws the block with its top at the page's y. What the sheet does not say
// is an empty cell to write in.
//
// Each of its rows has some air more, where the sheet has room.
//
// All doubts stand in the annex where this sheet has no room for them.
//
// Answers from after scribing change the digest of the sheet: then that of the sheet by
// which it was scribed stands beside it.
func (p *page) titleBlock(r jobrecord.Record, scribedBy string, sheets int, air geometry.Length, doubts bool) {
	row := 9 + air
	j := r.Job
	digest, named := "", "sheet digest (fingerprint)"
	if len(r.Files) > 0 {
		digest = words.ShortDigest(r.Files[0].Digest)
	}
	if scribedBy != "" {
		digest, named = digest+"; scribed by "+words.ShortDigest(scribedBy), "digest"
	}
	readout := j.Readout
	for _, i := range r.Instruments { // named as the sheet names it, and nothing claimed
		if i.Certificate != "" && slices.Contains([]string{"readout", "wheel", "encoder", "dial", "tape"}, i.Role) {
			readout += ", certificate " + i.Certificate
			break
		}
	}
	method := r.Software
	if j.Method != "" {
		method = j.Method + "; " + method
	}
	rows := [][]cell{
		{{label: "workshop", text: j.Workshop, width: 60}, {label: "customer", text: j.Customer, width: 60}, {label: "job", text: j.Number, width: 30, bold: true}, {label: "page", text: fmt.Sprintf("1 of %d", sheets), width: 30, bold: true}},
		{{label: "engine", text: j.Engine, width: 58}, {label: "part", text: j.Part, width: 48}, {label: "measured", text: j.Measured, width: 46}, {label: "issued", text: j.Issued, width: 28}},
		{{label: "readout", text: readout, width: 50}, {label: "conditions", text: r.Conditions, width: 32}, {label: "method; program", text: method, width: 53}, {label: named, text: digest, width: 45}},
	}
	top := p.y
	for _, cells := range rows {
		x := geometry.Length(0)
		for _, c := range cells {
			p.box(x, p.y, c.width, row, rule)
			p.cell(x, c, air)
			x += c.width
		}
		p.y += row
	}
	foot := "Holds for the part named here, as it was found. Uncertainties, readings, cautions: annex."
	if doubts {
		foot = strings.Replace(foot, "readings, cautions", "readings, all doubts and cautions", 1)
	}
	for i, line := range append(drawing.Wrap(r.Rule, textSize, drawing.PageWidth-2.4, 2), foot) {
		p.put(1.2, p.y+3.4+geometry.Length(i)*3.6, drawing.Text{Size: textSize, Text: line})
	}
	p.scene.Add(drawing.Rectangle(p.at(0, top), drawing.PageWidth, blockHeight+3*air, drawing.None, drawing.Stroke{Width: 0.5, Ink: drawing.Black}))
	p.y = top + blockHeight + 3*air
}

// cell writes a field: its label above, its text below it; a text that is longer begins
// beside the label.
func (p *page) cell(x geometry.Length, c cell, air geometry.Length) {
	const in geometry.Length = 1.2
	end := p.put(x+in, p.y+3.5+air*0.3, drawing.Text{Size: textSize, Text: c.label})
	text, wide := p.letter(words.Clean(c.text)), c.width-2*in
	if c.bold {
		wide *= 0.93 // bold letters are a little wider
	}
	put := func(x, y geometry.Length, text string) {
		p.put(x, y, drawing.Text{Size: textSize, Bold: c.bold, Text: text})
	}
	if rest := x + c.width - in - end - 2; drawing.Width(text, textSize) > wide && rest > 8 {
		if first, more, ok := broken(text, rest); ok {
			put(end+2, p.y+3.5+air*0.3, first)
			text = more
		}
	}
	for _, line := range drawing.Wrap(text, textSize, wide, 1) {
		put(x+in, p.y+7.7+air*0.7, line)
	}
}

// broken breaks a text between two words, the first part as wide as it may be.
func broken(text string, width geometry.Length) (first, rest string, ok bool) {
	at := -1
	for i, r := range text {
		if r == ' ' && drawing.Width(text[:i], textSize) <= width {
			at = i
		}
	}
	if at < 0 {
		return "", text, false
	}
	return text[:at], text[at+1:], true
}
