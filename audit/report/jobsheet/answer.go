package jobsheet

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// answerRow is a line's row in the table of the lines.
type answerRow struct {
	mark   audit.LineResult
	cells  [][]string // each in lines
	height geometry.Length
}

// answerColumns are where its cells begin; the sign of the verdict stands before the last.
var answerColumns = []geometry.Length{0, 34, 62, 95, 134}

const besideSign geometry.Length = 4.5

// answerRows are the rows of the lines shown. Where long names would fill the sheet,
// each has one line.
func (s *Sheet) answerRows() (rows []answerRow) {
	const most geometry.Length = 72 // of all rows
	for _, nameLines := range []int{2, 1} {
		rows = nil
		var sum geometry.Length
		for _, m := range s.shown {
			row := s.answerRow(m, nameLines)
			rows, sum = append(rows, row), sum+row.height
		}
		if sum <= most {
			break
		}
	}
	return rows
}

func (s *Sheet) answerRow(m audit.LineResult, nameLines int) answerRow {
	texts := []string{words.Clean(m.Name), degrees(m.AtText), "", "", "not read"}
	if m.Offset != nil {
		texts[2], texts[3], texts[4] = degrees(words.ComesUp(m)), words.OffBy(m), s.v.VerdictInRow(m)
		if words.Ends(m) != nil && !m.ByDial.SideTold { // the row takes no side either
			size, _, _ := strings.Cut(texts[2], " ")
			ends := words.Ends(m)
			texts[2], texts[3] = size+" before or after TDC", "side not told: "+ends[1]+" to "+ends[2]
		}
		if own := words.AllowedInDegrees(m); own != "" { // one unit in a row
			texts[4] = strings.Replace(texts[4], s.v.Allowed(m.Mark), s.v.Allowed(m.Mark)+" ("+own+")", 1)
		}
	}
	row := answerRow{mark: m}
	lines := 1
	for i, text := range texts {
		width := drawing.PageWidth - answerColumns[i] - besideSign
		if i < len(answerColumns)-1 {
			width = answerColumns[i+1] - answerColumns[i] - 1.5
		}
		if m.Verdict == diagnosis.Outside {
			width *= 0.93 // bold letters are a little wider
		}
		cell := fitted(s.letter(text), width)
		if first, rest, two := strings.Cut(text, ", "); i == 2 && two { // of a dial: no number stands apart from its letters
			cell = append(fitted(s.letter(first+","), width)[:1], fitted(s.letter(rest), width)[:1]...)
		}
		if i == 0 && nameLines == 1 {
			cell = drawing.Wrap(s.letter(text), textSize, width, 1)
		}
		row.cells, lines = append(row.cells, cell), max(lines, len(cell))
	}
	row.height = rowHeight + geometry.Length(lines-1)*3.6
	return row
}

// degrees is an angle of the crank with its unit, as who knows no program writes it:
// "14° BTDC". Other texts stay as they are.
func degrees(at string) string {
	parts := strings.Split(at, ", ") // a dial's line is given in millimetres too
	for i, part := range parts {
		size, letters, _ := strings.Cut(part, " ")
		if size != "" && strings.Trim(size, "0123456789.") == "" && slices.Contains([]string{"", "BTDC", "ATDC", "BBDC", "ABDC"}, letters) {
			parts[i] = strings.TrimSpace(size + "° " + letters)
		}
	}
	return strings.Join(parts, ", ")
}

// answer is the table of the lines.
func (s *Sheet) answer(p *page) {
	all := s.v.Result.ByLine()
	if len(all) == 0 {
		return
	}
	heads := []string{"line", "belongs at", "comes up at", "off by (± in " + s.v.Confidence() + ")", "verdict"}
	if slices.ContainsFunc(all, func(m audit.LineResult) bool { return words.Ends(m) != nil }) {
		heads[3] = "off by (in " + s.v.Confidence() + " of cases)"
	}
	if s.v.SameTolerance() {
		heads[4] = "within " + s.v.Allowed(all[0].Mark) + "?"
	}
	p.y += leading
	for i, head := range heads {
		p.put(answerColumns[i], p.y, drawing.Text{Size: textSize, Text: head})
	}
	p.line(0, p.y+1.4, drawing.PageWidth, p.y+1.4, rule)
	p.y += 1.4
	for _, row := range s.answerRows() {
		first := p.y + rowHeight
		p.scene.Add(sign(p.at(answerColumns[4]+1.4, first-1.1), row.mark)...)
		for i, lines := range row.cells {
			x := answerColumns[i]
			if i == len(row.cells)-1 {
				x += besideSign
			}
			for j, line := range lines {
				p.put(x, first+geometry.Length(j)*3.6, drawing.Text{Size: textSize, Bold: row.mark.Verdict == diagnosis.Outside, Text: line})
			}
		}
		p.y += row.height
	}
	if _, own := s.answered(); own {
		p.y += rowHeight
		p.put(0, p.y, drawing.Text{Size: textSize, Text: s.others()})
	}
	p.y += 1
	p.say(s.meaning())
}

// answered counts the verdicts, and with them the lines that find no room where those
// are all that are within; it reports whether these need a row of their own.
func (s *Sheet) answered() (text string, own bool) {
	text = s.Answer()
	rest, ok := strings.CutSuffix(text, fmt.Sprintf("; %d are within.", s.more))
	switch {
	case s.more == 0:
		return text, false
	case ok:
		return rest + "; " + s.others(), false
	}
	return text, true
}

// inShort is the answer in a sentence or two, and no surer than the sheet is.
func (s *Sheet) inShort() string {
	text, _ := s.answered()
	if shared := words.SharedInShort(s.v); shared != "" {
		text += " " + shared
	}
	if s.v.Unseen() {
		text += " To be confirmed first: step 1 of What to do."
	}
	return text
}

// answerLines is how many lines the answer takes, the head of the table included.
func (s *Sheet) answerLines() int {
	const beside = 26 // what the number and the name of the section take
	return len(drawing.Wrap(s.inShort(), textSize, drawing.PageWidth-beside, 3))
}

// others says what the lines are that find no room.
func (s *Sheet) others() string {
	within := 0
	rest := outsideFirst(s.v.Result.ByLine())[len(s.shown):]
	for _, m := range rest {
		if m.Verdict == diagnosis.Within {
			within++
		}
	}
	if within == len(rest) {
		return fmt.Sprintf("%d others are within: annex.", within)
	}
	return fmt.Sprintf("%d others, of which %d are within: annex.", len(rest), within)
}
