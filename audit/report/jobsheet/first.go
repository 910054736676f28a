package jobsheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/jobrecord"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Title of the record.
const Title = "Record of timing marks"

const (
	mostLines                  = 12 // of the answer; more are counted
	mostDoubts                 = 4
	rowHeight  geometry.Length = 5
)

// Sheet is the first sheet of a record: one page, whatever is on it. What it leaves
// out, and the annex has to hold, it tells once it is made.
type Sheet struct {
	v      words.Audit
	letter func(string) string // shows names whose letters print lacks by their number
	key    []string            // and says what it did
	record jobrecord.Record
	paper  document.Paper
	shown  []audit.LineResult
	more   int // lines that are only counted
	steps  [][]string
	checks []check
	left   int // checks that find no room
	doubts [][]string
	where  *drawing.Scene
	foot   geometry.Length // how far down the sections go, once drawn

	LinesCut, StepsCut, DoubtsCut, ChecksCut bool
}

// Picture draws where the lines are, no higher than it is told; nil where that is not
// enough, or there is nothing to show.
type Picture func(most geometry.Length) []drawing.Scene

// New lays out the sheet.
func New(v words.Audit, o document.Options, paper document.Paper, picture Picture) *Sheet {
	s := &Sheet{v: v, record: Record(v, o), paper: paper, shown: outsideFirst(v.Result.ByLine())}
	s.letter, s.key = words.Lettered(v, drawing.Has)
	if len(s.shown) <= mostLines {
		s.shown = v.Result.ByLine()
	} else {
		here := mostLines - 1
		if n := len(slices.DeleteFunc(slices.Clone(s.shown), func(m audit.LineResult) bool { return m.Verdict == diagnosis.Within })); n > 0 {
			here = min(here, n) // lines that are within give way to what is to be done
		}
		s.more, s.LinesCut = len(s.shown)-here, true
		s.shown = s.shown[:here]
	}
	s.checks = checks(v, s.letter)
	all, doubts := len(s.checks), words.Warnings(v)
	free := s.free()
	steps := s.allSteps()
	for n := mostChecks; ; n-- { // sections to write in give way to what is to be done, down to two rows
		s.checks = s.checks[:min(n, len(s.checks))]
		s.doubts = nil
		for _, text := range doubts[:min(n, mostDoubts, len(doubts))] {
			s.doubts = append(s.doubts, drawing.Wrap(s.letter(words.Sentence(text)), smallSize, drawing.PageWidth-5, 2))
		}
		s.left, s.DoubtsCut = all-len(s.checks), len(doubts) > len(s.doubts)
		room := free - s.fixed()
		if n == 2 || height(steps) <= room {
			s.steps, s.StepsCut = cut(steps, room)
			break
		}
	}
	s.picture(picture)
	if n := len(s.checks); s.where == nil && n == mostChecks { // a picture is worth the last row
		last := s.checks[n-1]
		s.checks, s.left = s.checks[:n-1], s.left+1
		if s.picture(picture); s.where == nil {
			s.checks, s.left = append(s.checks, last), s.left-1
		}
	}
	s.ChecksCut = s.left > 0
	return s
}

// picture takes the picture where there is room for it.
func (s *Sheet) picture(draw Picture) {
	if draw == nil {
		return
	}
	s.Draw(1)
	const heading, least = 2*leading + 8, 15 // of the picture
	if most := s.blockAt() - s.foot - heading; most > least {
		if scenes := draw(most); len(scenes) > 0 {
			where := scenes[0].Said(s.letter)
			s.where = &where
		}
	}
}

// blockAt is where the title block begins.
func (s *Sheet) blockAt() geometry.Length { return s.paper.Height - document.Margin - blockHeight }

// free is the room between the title and the title block.
func (s *Sheet) free() geometry.Length {
	return s.paper.Height - 2*document.Margin - 10.5 - blockHeight - 2
}

// fixed is what all sections take but for what is to be done, and the picture.
func (s *Sheet) fixed() geometry.Length {
	rows := len(s.shown)
	if s.more > 0 {
		rows++
	}
	h := 8 + leading + 5 + geometry.Length(rows)*rowHeight + geometry.Length(len(s.meaning()))*(smallSize+1) + 1 // the answer
	h += 8                                                                                                       // what to do: its heading
	h += checkHeight(s.v, s.letter, len(s.checks)) + 2 + 14                                                      // checks, signatures
	h += 8 + height(s.doubts)*smallSize/textSize + 8                                                             // doubts, caution
	return h
}

func (s *Sheet) meaning() []string {
	lines := drawing.Wrap(s.letter(s.v.Meaning()), smallSize, drawing.PageWidth, 3)
	if len(s.key) > 0 {
		lines = append(lines, drawing.Wrap(s.key[0]+" All such names: annex.", smallSize, drawing.PageWidth, 1)...)
	}
	return lines
}

// allSteps is what to do, each step in lines; the check by eye is a section of its own.
func (s *Sheet) allSteps() (all [][]string) {
	for _, step := range words.Steps(s.v) {
		if rest, ok := strings.CutPrefix(step, words.EyeStep(s.v)); ok {
			step = "Before anything is scribed or moved, check by eye, as it stands below." + rest
		}
		all = append(all, drawing.Wrap(s.letter(step), textSize, drawing.PageWidth-6, 40))
	}
	return all
}

// height is that of texts in lines, a little apart from each other.
func height(all [][]string) (h geometry.Length) {
	for _, lines := range all {
		h += geometry.Length(len(lines))*leading + 0.8
	}
	return h
}

// cut takes whole texts as long as there is room; the last one says that there are
// more.
func cut(all [][]string, room geometry.Length) (out [][]string, isCut bool) {
	if height(all) <= room {
		return all, false
	}
	const more = "The rest of what to do: annex."
	room -= leading + 0.8
	for _, lines := range all {
		if room < height([][]string{lines}) {
			break
		}
		room -= height([][]string{lines})
		out = append(out, lines)
	}
	return append(out, []string{more}), true
}

// Draw draws the sheet, as the first of so many.
func (s *Sheet) Draw(sheets int) drawing.Scene {
	v := s.v
	p := newPage(Title+", page 1 of "+strconv.Itoa(sheets), "The page to sign: answer, where, what to do, checks, signatures, title block.", s.paper.Width, s.paper.Height)
	of := words.Clean(v.Result.Sheet.Title)
	p.letter = s.letter
	if name := words.Clean(v.Result.Sheet.Part.Name); name != "" && of != "" {
		of += " · " + name
	} else {
		of += name
	}
	p.begin(Title, s.letter(of))
	n := 0
	number := func() string { n++; return strconv.Itoa(n) }
	p.lead(number()+" Answer", s.Answer())
	s.answer(p)
	if s.where != nil {
		p.lead(number()+" Where", s.where.Title)
		at := p.at(0, p.y+1)
		p.scene.Add(s.where.Placed(at, 0, 0).Items...)
		p.y += s.where.Height + 1
	}
	p.lead(number()+" What to do", "")
	for i, lines := range s.steps {
		for j, text := range lines {
			p.y += leading
			if j == 0 && (i < len(s.steps)-1 || !s.StepsCut) {
				p.put(0, p.y, drawing.Text{Size: textSize, Bold: true, Text: strconv.Itoa(i + 1)})
			}
			p.put(5, p.y, drawing.Text{Size: textSize, Text: text})
		}
		p.y += 0.8
	}
	p.checked(v, number(), s.checks, s.left)
	p.y += 2
	scribed := ""
	if a := v.Result.Sheet.After; a != nil {
		scribed = strings.Trim(a.By+", "+a.Date, ", ")
	}
	p.signed(s.record.By, scribed)
	s.doubted(p, number())
	s.foot = p.y + 8
	p.lead("Caution", "Stop out before TDC is passed. Turn by hand only, never with the starter while a stop is fitted. All cautions: annex.")
	p.y = s.blockAt()
	scribedBy := ""
	if a := v.Result.Sheet.After; a != nil {
		scribedBy = a.ScribedBy
	}
	p.titleBlock(s.record, scribedBy, sheets)
	return p.scene
}

func (s *Sheet) doubted(p *page, number string) {
	text := ""
	switch {
	case len(s.doubts) == 0:
		text = "None."
	case s.DoubtsCut:
		text = "The first; all of them: annex."
	}
	p.lead(number+" Doubts", text)
	for i, lines := range s.doubts {
		for j, line := range lines {
			p.y += smallSize + 0.8
			if j == 0 {
				p.put(0, p.y, drawing.Text{Size: smallSize, Bold: true, Text: strconv.Itoa(i + 1)})
			}
			p.put(5, p.y, drawing.Text{Size: smallSize, Text: line})
		}
		p.y += 0.4
	}
}

// rank is how soon a line is shown where not all of them are.
func rank(m audit.LineResult) int {
	switch {
	case m.Verdict == diagnosis.Outside:
		return 0
	case m.Offset == nil:
		return 2
	case m.Verdict == diagnosis.Undecided:
		return 1
	}
	return 3
}

// Answer counts the verdicts in one sentence.
func (s *Sheet) Answer() string {
	all := s.v.Result.ByLine()
	if len(all) == 0 || !s.v.Result.TDC.Any() {
		return s.v.Meaning()
	}
	var n [4]int
	for _, m := range all {
		n[rank(m)]++
	}
	if n[3] == len(all) {
		if n[3] == 1 {
			return "The line is within its tolerance."
		}
		return fmt.Sprintf("All %d lines are within their tolerance.", n[3])
	}
	var parts []string
	for i, one := range []string{"outside the tolerance", "undecided", "not read", "within"} {
		if n[i] == 0 {
			continue
		}
		of := ""
		if len(parts) == 0 {
			of = " of " + rounding.Count(len(all), "line", "lines")
		}
		parts = append(parts, strconv.Itoa(n[i])+of+are(n[i])+one)
	}
	return strings.Join(parts, "; ") + "."
}

func are(n int) string {
	if n == 1 {
		return " is "
	}
	return " are "
}

// answer is the table of the lines.
func (s *Sheet) answer(p *page) {
	all := s.v.Result.ByLine()
	if len(all) == 0 {
		return
	}
	same := true
	for _, m := range all {
		same = same && s.v.Allowed(m.Mark) == s.v.Allowed(all[0].Mark)
	}
	heads := []string{"line", "belongs at", "comes up at", "off by (± holds in " + s.v.Confidence() + ")", "verdict"}
	if same {
		heads[4] = "within " + s.v.Allowed(all[0].Mark) + "?"
	}
	columns := []geometry.Length{0, 44, 71, 100, 142}
	p.y += leading
	for i, head := range heads {
		p.put(columns[i], p.y, drawing.Text{Size: smallSize, Ink: drawing.Grey, Text: head})
	}
	p.line(0, p.y+1.4, drawing.PageWidth, p.y+1.4, rule)
	p.y += 1.4
	for _, m := range s.shown {
		row := []string{words.Clean(m.Name), m.AtText, "-", "-", "not read"}
		if m.Offset != nil {
			row[2], row[3], row[4] = words.ComesUp(m), words.OffBy(m), words.Verdict(m)
			if !same {
				row[4] += " " + s.v.Allowed(m.Mark)
			}
			row[4] += words.Fitted(m)
		}
		p.y += rowHeight
		p.scene.Add(sign(p.at(columns[4]+1.4, p.y-1), m)...)
		for i, text := range row {
			x, width := columns[i], drawing.PageWidth-columns[i]
			if i < len(columns)-1 {
				width = columns[i+1] - columns[i]
			} else {
				x, width = x+4.5, width-4.5
			}
			lines, size := fitted(s.letter(text), (width-2)*0.93)
			for j, line := range lines {
				p.put(x, p.y+(geometry.Length(j)-geometry.Length(len(lines)-1)/2)*2.4, drawing.Text{Size: size, Bold: m.Verdict == diagnosis.Outside, Text: line})
			}
		}
	}
	if s.more > 0 {
		p.y += rowHeight
		p.put(0, p.y, drawing.Text{Size: textSize, Text: s.others()})
	}
	p.y += 1
	p.say(s.meaning(), smallSize, drawing.Grey)
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

// sign is the sign of a verdict, as in the figures: a disc is within, a square with a
// cross outside, a diamond undecided, a dash not read.
func sign(at drawing.Point, m audit.LineResult) []drawing.Item {
	const r, d geometry.Length = 1.1, 1.5
	switch {
	case m.Offset == nil:
		return []drawing.Item{drawing.Line{From: at.Plus(-r, 0), To: at.Plus(r, 0), Stroke: drawing.Thin}}
	case m.Verdict == diagnosis.Within:
		return []drawing.Item{drawing.Circle{Centre: at, Radius: r, Fill: drawing.Deep}}
	case m.Verdict == diagnosis.Outside:
		cross := drawing.Stroke{Width: 0.35, Ink: drawing.White}
		return []drawing.Item{
			drawing.Rectangle(at.Plus(-1.3, -1.3), 2.6, 2.6, drawing.Black, drawing.Stroke{}),
			drawing.Line{From: at.Plus(-0.8, -0.8), To: at.Plus(0.8, 0.8), Stroke: cross},
			drawing.Line{From: at.Plus(-0.8, 0.8), To: at.Plus(0.8, -0.8), Stroke: cross},
		}
	}
	return []drawing.Item{drawing.Polygon{
		Points: []drawing.Point{at.Plus(0, -d), at.Plus(d, 0), at.Plus(0, d), at.Plus(-d, 0)},
		Fill:   drawing.White, Stroke: frame,
	}}
}
