package jobsheet

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// CustomerTitle is the name of the customer's page.
const CustomerTitle = "Your timing marks"

const (
	halfHeight geometry.Length = 148.5 // of A4
	mostSet                    = 3     // lines that are outside; more are counted
	largeSize  geometry.Length = 5.2
)

// Customer draws the half page that goes out with the engine: what it was set to and
// what that gave, what was done, when to look again. It is no sheet of the record.
func Customer(v words.Audit, o document.Options) drawing.Scene {
	p := newPage(CustomerTitle, "Half a page for the customer: what was set, what it gave, what was done.", document.A4.Width, halfHeight)
	v, o.Path = words.InPrint(v, drawing.Has, o.Path)
	v.ByDividers = true
	r := Record(v, o)
	letter, _ := words.Lettered(v, drawing.Has)
	p.letter = letter
	var of []string
	for _, x := range [][2]string{{"", r.Job.Engine}, {"", r.Job.Part}, {"job ", r.Job.Number}, {"measured ", r.Job.Measured}} {
		switch {
		case x[1] != "":
			of = append(of, x[0]+words.Clean(x[1]))
		case x[0] == "job ": // or the paper would fit any such engine
			of = append(of, "engine No"+toFillIn, strings.TrimSpace(x[0])+toFillIn)
		case x[0] != "":
			of = append(of, strings.TrimSpace(x[0])+toFillIn)
		}
	}
	p.begin(CustomerTitle, letter(strings.Join(of, " · ")))
	outside := slices.DeleteFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return m.Verdict != diagnosis.Outside })
	shown := outside[:min(mostSet, len(outside))]
	row, box := geometry.Length(7.4), geometry.Length(8)
	if len(shown) == mostSet { // or they would run into the signatures
		row, box = 6.2, 7.6
	}
	for _, m := range shown {
		p.set(m, row)
	}
	p.y += 6
	p.put(0, p.y, drawing.Text{Size: textSize, Bold: true, Text: others(len(shown), len(v.Result.ByLine()))})
	for i, line := range drawing.Wrap(letter(lines(v, shown)), textSize, drawing.PageWidth-40, 4) {
		if i > 0 {
			p.y += leading
		}
		p.put(40, p.y, drawing.Text{Size: textSize, Text: line})
	}
	p.y += 3
	p.line(0, p.y, drawing.PageWidth, p.y, rule)
	p.lead("What was done", "")
	p.y += 1
	all := done(v, shown)
	in := geometry.Length(0) // beside the words that part what excludes each other
	if len(all) > 1 {
		in = 17
		p.put(0, p.y+3.9, drawing.Text{Size: textSize, Bold: true, Text: "EITHER"})
		if len(all) > 2 {
			p.put(0, p.y+7.9, drawing.Text{Size: textSize, Text: "tick " + []string{"both", "all 3", "all 4", "all 5"}[min(len(all)-3, 3)]})
		}
	}
	for n, text := range all {
		if n > 0 && n == len(all)-1 {
			p.line(0, p.y-0.7, drawing.PageWidth, p.y-0.7, rule)
			p.y += 0.9
			p.put(0, p.y+3.9, drawing.Text{Size: textSize, Bold: true, Text: "OR"})
		}
		p.box(in, p.y, tick+0.6, tick+0.6, frame)
		lines := drawing.Wrap(letter(text), textSize, drawing.PageWidth-in-9, 2)
		for i, line := range lines {
			p.put(in+9, p.y+3.8+geometry.Length(i)*3.6, drawing.Text{Size: textSize, Text: line})
		}
		if p.y += box; len(lines) > 1 && len(shown) < mostSet {
			p.y += 1.4
		}
	}
	p.y += 4.5
	x := p.put(0, p.y, drawing.Text{Size: textSize, Bold: true, Text: "Check again"})
	for _, blank := range []string{"after", "hours, or on"} {
		x = p.put(x+5, p.y, drawing.Text{Size: textSize, Text: blank}) + 2
		p.line(x, p.y+1, x+38, p.y+1, rule)
		x += 38
	}
	p.y += 6.5
	for _, line := range []string{
		"All degrees are of the crank. A ± holds in " + outOf(v) + ".",
		"A line tells where the crank stands, nothing more. What the engine did while it ran was not measured.",
		"Timing under load, and the limits, are the engine maker's; this page does not replace them.",
	} {
		p.put(0, p.y, drawing.Text{Size: textSize, Text: line})
		p.y += leading
	}
	foot := halfHeight - document.Margin - 2
	for i, word := range []string{"workshop, name", "date", "signature"} {
		from := []geometry.Length{0, 70, 120}[i]
		p.line(from, foot, from+[]geometry.Length{60, 40, 60}[i], foot, rule)
		p.put(from, foot+3.6, drawing.Text{Size: textSize, Text: word})
	}
	if w := words.Clean(r.Job.Workshop); w != "" {
		p.put(0, foot-1.4, drawing.Text{Size: textSize, Text: drawing.Wrap(w, textSize, 60, 1)[0]})
	}
	return p.scene
}

// outOf says how often a ± holds.
func outOf(v words.Audit) string {
	text := strings.TrimSuffix(v.Confidence(), " %") + " of 100 such measurements"
	if slices.ContainsFunc(v.Result.ByLine(), words.AsFitted) {
		text += " with one fitting of the wheel"
	}
	return text
}

// set says of a line that is outside what was set by it and what that gave.
func (p *page) set(m audit.LineResult, row geometry.Length) {
	n := words.MarkPlaces(m)
	came := strings.NewReplacer("late", "late (retarded)", "early", "early (advanced)").Replace(rounding.OffBy(m.Offset.Value, n))
	for _, texts := range [][3]string{
		{"You set", degrees(m.AtText), "crank degrees, by the line " + words.Quoted(m.Name) + "."},
		{"You got", degrees(words.ComesUp(m)), fmt.Sprintf("± %s: what is timed by it came %s.", rounding.TwoDigits(m.Offset.Expanded), came)},
	} {
		p.y += row
		p.put(0, p.y, drawing.Text{Size: leadSize, Text: texts[0]})
		lines, size := drawing.Wrap(texts[1], largeSize, 40, 1), largeSize
		if drawing.Width(texts[1], largeSize) > 37 {
			lines, size = fitted(texts[1], 40), textSize
		}
		p.put(24, p.y, drawing.Text{Size: size, Bold: true, Text: lines[0]})
		p.put(68, p.y, drawing.Text{Size: textSize, Text: drawing.Wrap(p.letter(texts[2]), textSize, drawing.PageWidth-68, 1)[0]})
	}
}

func others(set, all int) string {
	switch {
	case set > 0 && all == set+1:
		return "The other line"
	case set > 0:
		return "The other lines"
	}
	return "The lines"
}

// lines says in a few sentences what the lines are that were not shown.
func lines(v words.Audit, shown []audit.LineResult) string {
	var within, undecided, unread, outside []string
	same := map[string]bool{} // only counted
	for _, m := range v.Result.ByLine() {
		name := words.Quoted(m.Name)
		switch {
		case slices.ContainsFunc(shown, func(s audit.LineResult) bool { return s.Name == m.Name }):
		case m.Offset == nil:
			unread = append(unread, name)
		case m.Verdict == diagnosis.Within:
			within = append(within, name)
			same[v.Allowed(m.Mark)] = true
		case m.Verdict == diagnosis.Outside:
			outside = append(outside, name+", "+words.OffBy(m))
		default:
			undecided = append(undecided, name+", "+words.OffBy(m))
		}
	}
	var b strings.Builder
	say := func(what string, names []string) {
		switch {
		case len(names) > 8:
			fmt.Fprintf(&b, "%s: %d lines. ", what, len(names))
		case len(names) > 0:
			fmt.Fprintf(&b, "%s: %s. ", what, strings.Join(names, "; "))
		}
	}
	where := "Where they belong"
	if len(within) == 1 {
		where = "Where it belongs"
	}
	if len(same) == 1 {
		for allowed := range same {
			where += " (within " + allowed + ")"
		}
	}
	say(where, within)
	say("Outside too", outside)
	say("Not decided", undecided)
	say("Not read", unread)
	if b.Len() == 0 {
		return "There are none."
	}
	return strings.TrimSpace(b.String())
}

// known is the ± of a new line behind some words; empty where it is not known.
func known(v words.Audit, m audit.LineResult, before string) string {
	u := m.Scribe.Then(v.Result.Sheet)
	if u == 0 {
		return ""
	}
	return before + "± " + rounding.TwoDigits(u)
}

// done are the boxes to tick: what may have been done with the lines that are outside.
// The last excludes the others.
func done(v words.Audit, shown []audit.LineResult) (out []string) {
	ordered := slices.DeleteFunc(slices.Clone(shown), func(m audit.LineResult) bool { return !m.Scribe.Worthwhile })
	var several []string
	for _, m := range ordered {
		way := rounding.SureDegrees(m.Scribe.Angle, m.Offset.Expanded)
		if m.Scribe.HasLengths {
			way = v.Of(m.Scribe.Arc)
		}
		if len(ordered) == mostSet {
			several = append(several, fmt.Sprintf("%s, %s %s%s", words.Quoted(m.Name), way, m.Scribe.Rotation, known(v, m, ", ")))
			continue
		}
		out = append(out, fmt.Sprintf("%s: a new line was scribed %s %s of the old one, as you look at the marks, and checked. %s", words.Quoted(m.Name), way, m.Scribe.Rotation, words.Sentence(known(v, m, "it is known to "))))
	}
	if len(several) > 0 {
		out = append(out, "New lines were scribed and checked, from the old ones as you look at the marks: "+strings.Join(several, "; ")+".")
	}
	switch {
	case len(ordered) > 1:
		out = append(out, "The old lines were struck through, so that nobody sets to them.")
	case len(ordered) > 0:
		out = append(out, "The old line was struck through, so that nobody sets to it.")
	}
	if anew := words.SetAnew(v); anew != "" && len(ordered) > 0 {
		anew = strings.NewReplacer("set the timing", "The timing was set", "engine maker's", "maker's").Replace(anew)
		out = append(out, anew+". The engine must not run before this is done.")
	}
	if v.Result.Advice.Together.Worthwhile {
		out = append(out, together(v.Result.Advice.Together), "The timing was set anew, by the maker's data. The engine must not run before this is done.")
	}
	switch {
	case len(shown) == 1:
		out = append(out, fmt.Sprintf("Nothing was scribed. Setting to the line %s gives %s, not %s.", words.Quoted(shown[0].Name), degrees(words.ComesUp(shown[0])), degrees(shown[0].AtText))+askFirst)
	case len(shown) > 1 && v.Result.Advice.Together.Worthwhile:
		out = append(out, "Nothing was moved or scribed. Setting to these lines gives what stands above."+askFirst)
	case len(shown) > 1:
		out = append(out, "Nothing was scribed. Setting to these lines gives what stands above."+askFirst)
	case slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return m.Verdict != diagnosis.Within }):
		out = append(out, "Nothing was scribed: what is not decided needs further readings.")
	case v.Unseen(): // no surer than the record
		out = append(out, "It was seen on the engine that it runs as the record says. Nothing had to be done to the lines.")
	default:
		out = append(out, "Nothing had to be done to the lines.")
	}
	return out
}

// toFillIn is a blank behind a word in a line of text, not torn from it.
const toFillIn = ":____________"

// askFirst follows what is outside and was left so: whether the engine may run is not for
// a reading of its lines to say.
const askFirst = " Ask the workshop before the engine runs."

func together(s advise.Scribe) string {
	if s.Move == advise.MovePointer {
		return "The lines are off alike. The pointer was set anew, and every line read again."
	}
	return "The lines are off alike. The turning line or its scale was set anew, and every line read again."
}
