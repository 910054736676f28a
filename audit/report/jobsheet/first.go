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
	mostLines                 = 12 // of the answer; more are counted
	rowHeight geometry.Length = 5
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
	last   []string // what to do once lines are scribed; it is never cut
	all    []check  // what dividers have to find
	checks []check  // those of them that find room
	needed int      // how many of them, from the first, somebody who scribes cannot do without
	doubts [][]string
	toSee  []bool          // which of them is settled by something that somebody sees
	roomy  geometry.Length // how much higher than they must be the rows of checks are
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
	s.all, s.needed = checks(v, s.letter)
	steps := s.allSteps()
	if anew := words.SetAnew(v); anew != "" {
		again := ""
		if v.Result.Advice.Together.Worthwhile {
			again = "After a move: read all lines again. "
		}
		s.last = s.wrapped(again + "Before the engine runs: " + anew + ".")
	}
	rows := mostRows
	for ; rows > 2; rows-- { // sections to write in give way to what is to be done, down to two rows
		if s.limit(rows, rows); height(steps) <= s.free()-s.fixed() {
			break
		}
	}
	s.limit(rows, rows)
	for n := len(s.shown) - 1; n > 2 && s.free()-s.fixed() < height([][]string{{""}}); n-- { // long names in many rows
		all := outsideFirst(v.Result.ByLine())
		s.shown, s.more, s.LinesCut = all[:n], len(all)-n, true
	}
	s.steps, s.StepsCut = cut(steps, s.free()-s.fixed())
	// A picture is worth rows of the table, but for those that show a wrong side, or the
	// way of a line that has none of these.
	fewest := min(rows, max(2, s.needed))
	smallest := geometry.Length(31.5)
	if asking := slices.DeleteFunc(slices.Clone(s.shown), func(m audit.LineResult) bool { return rank(m) > 1 }); len(asking) > 2 {
		smallest = 34 // three rows of lines beside it
	}
	for _, good := range []geometry.Length{44, 38, smallest} { // a large disc, or smaller ones
		for n := rows; n >= fewest && s.where == nil; n-- {
			s.limit(n, n)
			s.picture(picture, good)
		}
	}
	for n := rows - 1; n > 0 && s.where == nil; n-- { // one is worth doubts that the annex has
		s.limit(fewest, n)
		s.picture(picture, smallest)
	}
	for n := rows; n >= fewest && s.where == nil; n-- { // or none
		s.limit(n, n)
		s.picture(picture, 0)
	}
	for n := rows - 1; n > 0 && s.where == nil; n-- {
		s.limit(fewest, n)
		s.picture(picture, 0)
	}
	if s.where == nil {
		s.limit(rows, rows)
	}
	s.ChecksCut = len(s.checks) < len(s.all)
	for s.roomy = roomyCell - cellHeight(len(s.checks)); s.roomy > 0 && !s.foots(); {
		s.roomy = max(0, s.roomy-0.2)
	}
	return s
}

const mostRows = 6 // of the checks, and of the doubts

// limit leaves so many rows of checks, and doubts. What has to be done first is the first
// of the doubts, what the ± counts already the last.
func (s *Sheet) limit(rows, most int) {
	s.checks = s.all[:min(rows, len(s.all))]
	s.doubts, s.toSee = nil, nil
	doubts := words.Doubts(s.v)
	rank := func(d words.Doubt) int {
		switch {
		case !words.GoesOn(d.Code):
			return 0
		case strings.Contains(d.Text, "is counted in full"):
			return 2
		}
		return 1
	}
	slices.SortStableFunc(doubts, func(a, b words.Doubt) int { return rank(a) - rank(b) })
	for _, d := range doubts[:min(most, len(doubts))] {
		s.doubts, s.toSee = append(s.doubts, s.doubt(d)), append(s.toSee, words.IsSeen(d.Code))
	}
	s.DoubtsCut = len(doubts) > len(s.doubts)
}

// doubt is a doubt in lines, with what it means for the order, which is never cut.
func (s *Sheet) doubt(d words.Doubt) []string {
	const wide = drawing.PageWidth - 5
	text, order := s.letter(words.DoubtOnSheet(s.v, d)), words.ForTheOrder(s.v, d.Code)
	if lines := drawing.Wrap(strings.TrimSpace(text+" "+order), textSize, wide, 4); len(lines) < 4 {
		return lines
	}
	lines := drawing.Wrap(text, textSize, wide, 2)
	if order != "" {
		lines = append(lines, order)
	}
	return lines
}

// picture takes the picture where there is room for it, and no less than is good.
func (s *Sheet) picture(draw Picture, good geometry.Length) {
	if draw == nil {
		return
	}
	const heading, least = leadRoom + 1.1, 15             // of the picture
	for lines := geometry.Length(0); lines < 3; lines++ { // that its title takes more of
		s.Draw(1)
		most := s.blockAt() - s.foot - heading - lines*leading
		if most < max(least, good) {
			return
		}
		scenes := draw(min(most, tallestPicture))
		if len(scenes) == 0 {
			return
		}
		where := scenes[0].Said(s.letter)
		if s.where = &where; s.foots() {
			return
		}
		s.where = nil
	}
}

// foots reports whether all sections end above the title block.
func (s *Sheet) foots() bool {
	s.Draw(1)
	return s.foot <= s.blockAt()
}

// tallestPicture leaves the sheet to what is to be filled in.
const tallestPicture geometry.Length = 70

// blockAt is where the title block begins.
func (s *Sheet) blockAt() geometry.Length { return s.paper.Height - document.Margin - blockHeight }

// free is the room between the title and the title block.
func (s *Sheet) free() geometry.Length {
	return s.paper.Height - 2*document.Margin - 10.5 - blockHeight - 2
}

// fixed is what all sections take but for what is to be done, and the picture.
func (s *Sheet) fixed() geometry.Length {
	h := leadRoom + leading*geometry.Length(s.answerLines()) + 1.4 + geometry.Length(len(s.meaning()))*leading + 1 // the answer
	for _, row := range s.answerRows() {
		h += row.height
	}
	if _, own := s.answered(); own {
		h += rowHeight
	}
	h += leadRoom // what to do: its heading, and the check by eye
	if s.v.ToSeeFirst() {
		h += eyeHeight(s.v, s.letter)
	}
	h += checkHeight(s.v, len(s.checks)) + 2 + 14 // checks, signatures
	h += leadRoom + height(s.doubts) + leadRoom   // doubts, caution
	if len(s.last) > 0 {
		h += height([][]string{s.last})
	}
	return h
}

func (s *Sheet) meaning() []string {
	lines := drawing.Wrap(s.letter(s.v.Meaning()), textSize, drawing.PageWidth, 4)
	if len(s.key) > 0 {
		lines = append(lines, drawing.Wrap(s.key[0]+" All such names: annex.", textSize, drawing.PageWidth, 1)...)
	}
	return lines
}

// allSteps is what to do after the check by eye, each step in lines. Several new lines
// are one step, with a line of text each.
func (s *Sheet) allSteps() (all [][]string) {
	lead, each := s.v.ScribeAll()
	said := false
	near := words.OldOnes(s.v)
	now := s.v.Scribes() && slices.ContainsFunc(s.all, func(c check) bool { return c.before != "" })
	for _, step := range words.Steps(s.v) {
		if rest, ok := strings.CutPrefix(step, words.EyeStep(s.v)); ok {
			if strings.TrimSpace(rest) != "" {
				all = append(all, s.wrapped(words.CloseFirst(s.v)))
			}
			first := near // before metal is touched
			if now {
				first = strings.TrimSpace(words.MeasureNow(s.v) + " " + near)
			}
			if first != "" {
				all = append(all, s.wrapped(first))
			}
			continue
		}
		if branches := words.MoveOnSheet(s.v); len(branches) > 0 && step == words.MoveStep(s.v) {
			lines := s.wrapped(branches[0])
			for i, branch := range branches[1:] {
				lines = append(lines, s.wrapped(string(rune('a'+i))+") "+branch)...)
			}
			all = append(all, lines)
			continue
		}
		for _, m := range s.v.Result.ByLine() {
			if m.Scribe.Worthwhile && len(each) == 0 && step == s.v.Scribe(m) {
				step = s.v.ScribeOnSheet(m)
			}
		}
		if slices.Contains(each, step) {
			if said {
				continue
			}
			said = true
			lines := s.wrapped(lead)
			for _, m := range s.v.Result.ByLine() {
				if m.Scribe.Worthwhile {
					lines = append(lines, s.wrapped(s.v.ScribeInShort(m))...)
				}
			}
			all = append(all, lines)
			continue
		}
		all = append(all, s.wrapped(step))
	}
	return all
}

func (s *Sheet) wrapped(step string) []string {
	return drawing.Wrap(s.letter(words.InPlainWords(step)), textSize, drawing.PageWidth-6, 40)
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
	p.lead(number()+" Answer", s.inShort())
	s.answer(p)
	if s.where != nil {
		p.lead(number()+" Where", s.where.Title)
		at := p.at(0, p.y+1)
		p.scene.Add(s.where.Placed(at, 0, 0).Items...)
		p.y += s.where.Height + 1
	}
	p.lead(number()+" What to do", "")
	done := 0
	if v.ToSeeFirst() {
		done = 1
		p.byEye(v)
	}
	for i, lines := range s.steps {
		for j, text := range lines {
			p.y += leading
			if j == 0 && (i < len(s.steps)-1 || !s.StepsCut) {
				p.put(0, p.y, drawing.Text{Size: textSize, Bold: true, Text: strconv.Itoa(done + i + 1)})
			}
			p.put(5, p.y, drawing.Text{Size: textSize, Text: text})
		}
		p.y += 0.8
	}
	for j, text := range s.last {
		p.y += leading
		if j == 0 && !s.StepsCut {
			p.put(0, p.y, drawing.Text{Size: textSize, Bold: true, Text: strconv.Itoa(done + len(s.steps) + 1)})
		}
		p.put(5, p.y, drawing.Text{Size: textSize, Text: text})
	}
	if len(s.last) > 0 {
		p.y += 0.8
	}
	p.checked(v, number(), s.checks, len(s.all)-len(s.checks), cellHeight(len(s.checks))+s.roomy)
	p.y += 2
	scribed := ""
	if a := v.Result.Sheet.After; a != nil {
		scribed = strings.Trim(a.By+", "+a.Date, ", ")
	}
	p.signed(v, s.record.By, scribed)
	s.doubted(p, number())
	s.foot = p.y + leadRoom
	p.lead("Caution", words.CautionOnSheet(v)+" All cautions: annex.")
	air := min(2, max(0, (s.blockAt()-s.foot-4)/3)) // for the rows of the title block, where there is room
	p.y = s.blockAt() - 3*air
	scribedBy := ""
	if a := v.Result.Sheet.After; a != nil {
		scribedBy = a.ScribedBy
	}
	p.titleBlock(s.record, scribedBy, sheets, air, s.DoubtsCut)
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
			p.y += leading
			if j == 0 {
				p.put(0, p.y, drawing.Text{Size: textSize, Bold: true, Text: strconv.Itoa(i + 1)})
			}
			p.put(5, p.y, drawing.Text{Size: textSize, Text: line})
		}
		const x, small = drawing.PageWidth - 18, 3.4
		if last := lines[len(lines)-1]; s.toSee[i] && 5+drawing.Width(last, textSize) < x-2 { // where there is room
			p.box(x, p.y-2.9, small, small, frame)
			p.put(x+small+1.5, p.y, drawing.Text{Size: textSize, Text: "seen so"})
		}
		p.y += 0.8
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
