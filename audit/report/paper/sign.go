package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// sign is something that stands on every piece of a strip, wherever there is room above
// the words at the flags. It has one form or several, the best first.
type sign struct {
	forms []shape
	near  geometry.Length // where it is best, from the left end of the strip
	first bool            // at the left end of the piece instead
}

// shape is one way to draw a sign: so wide, one band high or two.
type shape struct {
	wide  geometry.Length
	bands int
	words bool // may stand in the row of the words too
	plain bool // nothing but lines of type from its left end on
	draw  func(p *piece, left, low, high geometry.Length)
}

// place puts all signs of a piece where there is room.
func (p *piece) place(all []sign) bool {
	if tag := pieceWords(p.i, p.of); tag != "" {
		all = slices.Insert(slices.Clone(all), min(2, len(all)), tagged(tag))
	}
	for _, s := range all {
		if !slices.ContainsFunc(s.forms, func(f shape) bool { return p.sign(s, f) }) {
			return false
		}
	}
	return true
}

// sign puts one form of a sign into the nearest place with room for it.
func (p *piece) sign(s sign, f shape) bool {
	const beside geometry.Length = 1
	type spot struct{ low, high geometry.Length }
	var spots []spot
	b := p.rows.bands
	for i := range b {
		if j := i + f.bands - 1; j < len(b) {
			spots = append(spots, spot{b[j], b[i] + p.rows.band})
		}
	}
	if f.words && f.bands == 1 && len(p.r.discs) == 0 {
		spots = append(spots, spot{p.rows.words - 0.7, max(p.rows.low, p.rows.words+2.15)})
	}
	near := max(p.from, min(s.near-f.wide/2, p.to))
	if s.first {
		near = p.from
	}
	best, found := box{}, false
	try := func(left geometry.Length, at spot) {
		wide := f.wide
		if f.plain && !p.r.on.flat() { // farther out type takes less of the way at the edge
			wide *= p.r.on.radius() / (p.r.on.radius() + at.low)
		}
		place := box{left - beside, left + wide + beside, at.low, at.high}
		if place.left < p.from+0.5 || place.right > p.to-0.5 || found && math.Abs(float64(left-near)) >= math.Abs(float64(best.left+beside-near)) {
			return
		}
		if !slices.ContainsFunc(p.busy, place.hits) {
			best, found = place, true
		}
	}
	// The nearest free place is that wished for, or one beside something that stands.
	const hair geometry.Length = 1e-6
	for _, at := range spots {
		try(near, at)
		try(p.from+1.5, at)
		try(p.to-1.5-f.wide, at)
		for _, b := range p.busy {
			if b.low < at.high && at.low < b.high {
				try(b.right+beside+hair, at)
				try(b.left-beside-hair-f.wide, at)
			}
		}
	}
	if !found {
		return false
	}
	p.busy = append(p.busy, best)
	f.draw(p, best.left+beside, best.low, best.high)
	return true
}

// lined is a form of one or two lines of type, one above the other.
func lined(bold bool, size geometry.Length, middle bool, lines ...string) shape {
	wide := geometry.Length(0)
	for _, l := range lines {
		wide = max(wide, drawing.Text{Text: l, Size: size, Bold: bold}.Extent())
	}
	return shape{wide: wide, bands: len(lines), words: len(lines) == 1, plain: !middle, draw: func(p *piece, left, low, high geometry.Length) {
		each := (high - low) / geometry.Length(len(lines))
		for i, l := range lines {
			x, anchor := left, drawing.Start
			if middle {
				x, anchor = left+wide/2, drawing.Middle
			}
			base := high - each*geometry.Length(i) - each/2 - 0.3*size
			p.text(x, base, size, bold, anchor, drawing.Black, l)
		}
	}}
}

// tagged is a sign in white on black.
func tagged(text string) sign {
	return sign{forms: []shape{{wide: drawing.BoldWidth(text, numberSize) + 2, bands: 1, words: true, draw: func(p *piece, left, low, high geometry.Length) {
		middle := (low + high) / 2
		w := drawing.BoldWidth(text, numberSize) + 2
		p.shape(drawing.Black, 0, at(left, middle+1.3), at(left+w, middle+1.3), at(left+w, middle-1.3), at(left, middle-1.3))
		p.text(left+1, middle-0.8, numberSize, true, drawing.Start, drawing.White, text)
	}}}}
}

// doubted is a sign in a light frame: a doubt is to be read, and not to be taken for the
// arrow or for a line.
func doubted(text string) sign {
	return sign{forms: []shape{{wide: drawing.Width(text, numberSize) + 2, bands: 1, words: true, draw: func(p *piece, left, low, high geometry.Length) {
		middle := (low + high) / 2
		w := drawing.Width(text, numberSize) + 2
		p.shape(drawing.White, 0.15, at(left, middle+1.3), at(left+w, middle+1.3), at(left+w, middle-1.3), at(left, middle-1.3))
		p.text(left+1, middle-0.8, numberSize, false, drawing.Start, drawing.Black, text)
	}}}}
}

// running is the sign that says which way round a strip lies: only in outline, for the
// line may move the other way.
func running(text string, right bool) sign {
	return arrow(text, right, drawing.White, drawing.Black, [][3]geometry.Length{{1, 4, 2.4}})
}

// move is the solid arrow from the old line to the new one; where there is no room for
// it, its words alone.
func move(way string, right bool) sign {
	s := arrow("NEW: "+way, right, drawing.Black, drawing.White, [][3]geometry.Length{{2, 5.2, 2.9}, {1, 4, 2.4}})
	s.forms = append(s.forms, lined(true, 2.9, false, way))
	return s
}

// arrow has a form for each number of bands, height and size of type.
func arrow(text string, right bool, fill, ink drawing.Ink, sizes [][3]geometry.Length) sign {
	form := func(bands int, high, size geometry.Length) shape {
		const head geometry.Length = 6
		w := max(28, drawing.BoldWidth(text, size)+head+5)
		return shape{wide: w, bands: bands, words: true, draw: func(p *piece, left, low, top geometry.Length) {
			middle, high := (low+top)/2, min(high, top-low)
			x := func(along geometry.Length) geometry.Length { // from the tail on
				if right {
					return left + along
				}
				return left + w - along
			}
			shaft := max(0.34*high, 0.53*size) // the words stand within it
			p.shape(fill, 0.3, at(x(0), middle+shaft), at(x(w-head), middle+shaft), at(x(w-head), middle+high/2), at(x(w), middle),
				at(x(w-head), middle-high/2), at(x(w-head), middle-shaft), at(x(0), middle-shaft))
			p.text(x((w-head)/2), middle-0.36*size, size, true, drawing.Middle, ink, text)
		}}
	}
	var s sign
	for _, z := range sizes {
		s.forms = append(s.forms, form(int(z[0]), z[1], z[2]))
	}
	return s
}

// corner is the sign at the end of a piece: which side is towards the viewer.
func corner(towards string) sign {
	return sign{first: true, forms: []shape{
		lined(true, 2.6, true, "▲ TAPE ▲", "▼ "+towards+" ▼"),
		lined(true, signSize, false, "▲ TAPE ▼ "+towards),
	}}
}

// checkLength is a length on the strip itself, to hold against a rule or against
// dividers: what was cut out has lost the check lines of its sheet.
func checkLength(lengths ...geometry.Length) sign {
	var s sign
	for _, l := range lengths {
		text := lengthOnStrip(l)
		wide := l
		beside := drawing.BoldWidth(text, numberSize)+8 > l // else the line shows on either side of it
		if beside {
			wide += 1.5 + drawing.BoldWidth(text, numberSize)
		}
		s.forms = append(s.forms, shape{wide: wide, bands: 1, words: true, draw: func(p *piece, left, low, high geometry.Length) {
			middle := (low + high) / 2
			right := left + l
			if rho := p.r.on.radius(); !p.r.on.flat() { // straight across from end to end
				right = left + 2*rho*geometry.Length(math.Asin(float64(l/2/(rho+middle))))
			}
			p.line(left, middle, right, middle, 0.15)
			p.line(left, middle-1.1, left, middle+1.1, 0.2)
			p.line(right, middle-1.1, right, middle+1.1, 0.2)
			if beside {
				p.text(right+1.5, middle-0.8, numberSize, true, drawing.Start, drawing.Black, text)
				return
			}
			half := drawing.BoldWidth(text, numberSize)/2 + 0.8
			if !p.r.on.flat() {
				half *= p.r.on.radius() / (p.r.on.radius() + middle)
			}
			centre := (left + right) / 2
			p.items = append(p.items, drawing.Rectangle(at(centre-half, middle+1.2), 2*half, 2.4, drawing.White, drawing.Stroke{}))
			p.text(centre, middle-0.8, numberSize, true, drawing.Middle, drawing.Black, text)
		}})
	}
	return s
}

// narrow reports whether so narrow a strip was asked for that there is room for the
// most needed signs only.
func (s stripper) narrow() bool { return s.asked < 16 }

// signs are those of a strip with two flags: which way round it lies, how far the new
// line goes, for which part it is, what must stand on it, and what is in doubt. Short is
// what the flags have no room to say.
func (s stripper) signs(r ribbon, way string, toRight bool, short string, must []sign, line string, asked bool, id string) []sign {
	out := s.usual(r.on)
	flags := (r.flags[0].x + r.flags[1].x) / 2
	if s.narrow() {
		out = append(out, lineSign(true, numberSize, s.only()+", "+s.ByTape(s.Result.Sheet.Part.Diameter, 0)+": measure yours"))
	} else {
		goes := move(way, toRight)
		goes.near = flags // from the one flag to the other
		if r.on.flat() {  // both ends may be cut off, where room is short
			out[1].near = flags + 3
			if len(r.proofs) > 0 && r.proofs[0].x > flags { // what is said of the posts stands near them
				out[1].near = flags - 3
			}
			out = slices.Insert(out, 1, goes)
		} else {
			out = append(out, goes)
		}
		out = append(out, lineSign(true, signSize, s.forRim()))
	}
	if short != "" {
		out = append(out, lineSign(true, signSize, short))
	}
	out = append(append(out, must...), s.doubts(line, asked)...)
	if s.narrow() {
		return out
	}
	return append(out, s.identity(id)...)
}

// usual are the signs that every strip has first.
func (s stripper) usual(on surface) []sign {
	towards := "YOU"
	if on.slope == 90 {
		towards = "SHAFT"
	}
	what := "RUNS THIS WAY"
	part := s.Result.Sheet.Part
	if part.MarksOn == sheet.OnEngine {
		what = "THE LINE GOES THIS WAY"
	}
	if part.Moves != "" {
		what += ": " + strings.ToUpper(part.Moves)
	}
	return []sign{corner(towards), running(what, s.Result.Sheet.Engine.Turns == geometry.Clockwise)}
}

func lineSign(bold bool, size geometry.Length, text string) sign {
	return sign{forms: []shape{lined(bold, size, false, text)}}
}

// only is what the strip is for, and nothing else: on a face the same line moves by
// another length.
func (s stripper) only() string {
	switch s.o.Slope {
	case 0:
		return "RIM ONLY"
	case 90:
		return "FLAT FACE ONLY"
	}
	return "CHAMFER ONLY"
}

// forRim says for which part the strip is.
func (s stripper) forRim() string {
	across := s.ByTape(s.Result.Sheet.Part.Diameter, 0)
	if s.o.Slope == 0 {
		return s.only() + ", " + across + " across: measure yours"
	}
	return s.only() + ", outer edge " + across + ": measure yours"
}

// identity says whose strip this is: engine, sheet and number, for the head of the
// sheet of paper is cut off; and it has a length to measure.
func (s stripper) identity(id string) []sign {
	const most geometry.Length = 46
	in := s.Result.Sheet
	whose := in.Title
	if whose == "" {
		whose = in.Part.Name
	}
	if in.Job != "" {
		whose = "job " + in.Job + ", " + whose
	}
	out := []sign{checkLength(50, 40, 20)}
	if whose = strings.Trim(s.letters(words.Clean(whose)), ", "); whose != "" {
		out = append(out, lineSign(false, numberSize, drawing.Wrap(whose, numberSize, most, 1)[0]))
	}
	if s.o.Slope != 0 { // an arch has little room: its sheet of paper says the rest
		return out
	}
	return append(out, lineSign(false, numberSize, whichSheet(in.Digest, id)))
}

// whichSheet names the sheet by its fingerprint, and which strip of several this is.
func whichSheet(digest, id string) string {
	said := fmt.Sprintf("sheet %.12s", digest)
	if !strings.HasSuffix(id, " 1 of 1") {
		said += ", " + id
	}
	return said
}

// doubted are the warnings that concern a line; without a name those that concern no
// one line.
func (s stripper) doubted(line string) []warning.Warning {
	return slices.DeleteFunc(slices.Clone(s.Result.Warnings), func(w warning.Warning) bool { return w.Mark != "" && w.Mark != line })
}

// doubtsInFull says those doubts in whole sentences, for whoever asks what the piece
// means by the word. It is empty where there is none.
func (s stripper) doubtsInFull(line string, asked bool) []string {
	var out []string
	first, other := false, false
	for _, w := range s.doubted(line) {
		if w.Code == warning.SideUnchecked { // a STOP says so
			other = true
			continue
		}
		if text := s.letters(words.InPlainWords(words.Dot(words.Warning(s.Audit, w)))); !slices.Contains(out, text) {
			out = append(out, text)
		}
		first = first || !words.GoesOn(w.Code)
	}
	if len(out) == 0 {
		return nil
	}
	if asked && !first {
		out[0] = doubtLead(true, other) + "; this is for the next measuring. " + out[0]
	} else {
		out[0] = doubtLead(false, other) + ": " + out[0]
	}
	return out
}

// doubtLead begins what is said of doubts: whether one goes on in spite of them, and
// whether another one was spoken of before.
func doubtLead(on, other bool) string {
	lead := "The DOUBT"
	if other {
		lead = "The other DOUBT"
	}
	if on {
		lead += " need not stop you"
	}
	return lead
}

// doubtsInShort are what one does about each doubt about a line, which is asked for or not,
// and the doubt; what is looked at first comes first.
func (s stripper) doubtsInShort(line string, asked bool) [][2]string {
	var said [][2]string
	for _, w := range s.doubted(line) {
		one := [2]string{"DOUBT: ", words.Short(w.Code)}
		switch {
		case asked && words.GoesOn(w.Code):
			one[0] = "DOUBT, go on: "
		case asked:
			one[0] = "DOUBT, look first: "
		}
		switch {
		case slices.Contains(said, one):
		case asked && !words.GoesOn(w.Code):
			said = slices.Insert(said, 0, one)
		default:
			said = append(said, one)
		}
	}
	return said
}

// spare reports whether the piece has so little room that it says only that there are
// doubts: the sheet says which.
func (s stripper) spare() bool { return s.narrow() || s.o.Slope != 0 || s.brief }

// doubtsNamed names the doubts on the sheet where the piece has no room to.
func (s stripper) doubtsNamed(line string, asked bool) string {
	said := s.doubtsInShort(line, asked)
	all := len(said)
	said = slices.DeleteFunc(said, func(d [2]string) bool { return d[1] == words.Short(warning.SideUnchecked) }) // a STOP says so
	if len(said) == 0 {
		return ""
	}
	var named []string
	for _, d := range said {
		named = append(named, plainly(d[1]))
	}
	return doubtLead(asked && said[0][0] == "DOUBT, go on: ", len(said) < all) + ": " + strings.Join(named, "; ") + "."
}

// plainly says a short doubt to whoever did not measure, where its words are those of
// measuring.
func plainly(short string) string {
	switch short {
	case words.Short(warning.StepCoarse):
		return "the readout's step is coarse, and in the ±"
	case words.Short(warning.NoRemounting):
		return "the readout was fitted once only, what refitting adds is not in the ±"
	}
	return short
}

// doubts are signs for the doubts about a line, which is asked for or not. On a piece
// with little room they stand away from the arrow that runs, which they do not concern.
func (s stripper) doubts(line string, asked bool) []sign {
	const most = 3
	const far geometry.Length = 1e4 // beyond the right end of any piece
	said := s.doubtsInShort(line, asked)
	if len(said) == 0 {
		return nil
	}
	if s.spare() {
		todo := strings.TrimSuffix(said[0][0], ": ")
		if !asked {
			todo = "DOUBT: see the sheet"
		}
		one := doubted(todo)
		one.near = far
		return []sign{one}
	}
	var out []sign
	for i, d := range said {
		if i == most-1 && len(said) > most {
			out = append(out, doubted(fmt.Sprintf("DOUBT: %d more, see the report", len(said)-i)))
			break
		}
		out = append(out, doubted(d[0]+d[1]))
	}
	return out
}

// lineNamed is what a piece for a line is for.
func (s stripper) lineNamed(name string) string { return s.whose() + "line “" + name + "”" }

// whose names the job and the part as far as the sheet has them, each with a comma.
func (s stripper) whose() string {
	const most geometry.Length = 60
	in := s.Result.Sheet
	what := ""
	if in.Job != "" {
		what = "job " + words.Clean(in.Job) + ", "
	}
	name := in.Part.Name
	if name == "" || in.Job == "" && in.Title != "" {
		name = in.Title
	}
	if name = s.letters(words.Clean(name)); name != "" {
		name = drawing.Wrap(name, noteSize, most, 1)[0] + ", "
	}
	return s.letters(what) + name
}
