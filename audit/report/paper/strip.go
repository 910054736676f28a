package paper

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// StripOptions says what strip is wanted.
type StripOptions struct {
	Paper     Size
	Thickness geometry.Length  // of the paper; above zero
	Measured  geometry.Length  // what the printer makes of 100 mm; zero: exactly that
	Width     geometry.Length  // 11 to 60 mm; zero: 18 mm, and 21 mm on a slope
	Slope     geometry.Angle   // 0: for a rim; 90: for a face; 1 to 90: for a chamfer that faces the viewer
	Tape      []geometry.Angle // a graduated tape from the first crank angle to the last, over one between where there are three
	Full      bool             // one strip, all the way round
	Force     bool             // also where the audit gives no instruction
	Groove    bool             // the sketch shows a V-belt pulley
	Path      string           // of the sheet, as given
	Software  string           // name and version
}

// Size is a size of paper. The zero value is A4.
type Size uint8

// The papers.
const (
	A4 Size = iota
	Letter
)

// Drawn is a strip ready for paper: as sheets, and in one piece as long as it
// comes.
type Drawn struct {
	Title string
	Pages []drawing.Scene
	Whole drawing.Scene
}

// Strip draws 1:1 strips to be laid round the rim, or templates for a chamfer or a
// face: the line that is there comes to the tip of one flag, and the new line belongs
// at the tip of the other. Lengths are those on paper of the given thickness, bent
// round the part. Directions are those of the audit's own instructions. It is an error
// where there is nothing to scribe, or the audit gives no instruction, or doubts it to
// be worthwhile, unless it is forced; and where no strip of that width fits the part.
func Strip(r audit.Result, o StripOptions) (Drawn, error) {
	s := newStripper(r, o)
	all, err := s.jobs()
	if err != nil {
		return Drawn{}, err
	}
	fits, err := s.fitAll(all)
	if err != nil {
		return Drawn{}, err
	}
	return s.lay(fits), nil
}

func newStripper(r audit.Result, o StripOptions) stripper {
	if o.Width == 0 {
		o.Width = usualOn(o.Slope)
	}
	shown, path := words.InPrint(words.NewAudit(r, nil), drawing.Has, fileName(o.Path))
	o.Path = path
	s := stripper{Audit: shown, o: o, asked: o.Width, known: map[[2]string]geometry.Length{}}
	s.letters, s.key = words.Lettered(s.Audit, drawing.Has)
	return s
}

// fileName is the last part of a path: where a file lies says nothing at the bench.
func fileName(path string) string { return path[1+strings.LastIndexAny(path, `/\`):] }

// usualOn is how wide a piece is where nobody asks for a width.
func usualOn(slope geometry.Angle) geometry.Length {
	if slope != 0 {
		return usualSlope
	}
	return usualWidth
}

// jobs are the strips that are wanted, each to be made at the width that it needs.
func (s stripper) jobs() (all []func(stripper) job, err error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if len(s.o.Tape) > 0 {
		t, err := stretchOf(s, s.o.Tape)
		return []func(stripper) job{func(s stripper) job { return graduatedTape(s, t) }}, err
	}
	chosen, err := s.choose()
	if s.o.Full {
		return []func(stripper) job{func(s stripper) job { return allRound(s, chosen) }}, err
	}
	if given, ok := s.offAlike(); ok {
		all = append(all, func(s stripper) job { return s.alike(given) })
		err = nil
	}
	for _, m := range chosen {
		all = append(all, func(s stripper) job { return s.single(m) })
	}
	return all, err
}

// check refuses what no strip can be drawn for.
func (s stripper) check() error {
	part := s.Result.Sheet.Part
	switch {
	case part.Diameter == 0:
		return errors.New("found no part.diameter, expected it: a strip can't be drawn without the size of the rim")
	case s.o.Width < leastWidth:
		return fmt.Errorf("found a strip %s wide, expected at least %s\n  hint: let it reach over the groove or onto the hub; only its graduations must lie on the land", s.ByTape(s.o.Width, 0), s.ByTape(leastWidth, 0))
	case s.o.Width > mostWidth:
		return fmt.Errorf("found a strip %s wide, expected at most %s", s.ByTape(s.o.Width, 0), s.ByTape(mostWidth, 0))
	}
	if on := s.surface(); !on.flat() && on.radius() < on.width {
		return fmt.Errorf("found a template %s wide for an outer edge of %s across, expected one that leaves room round the shaft\n  hint: choose a smaller --width", s.ByTape(s.o.Width, 0), s.ByTape(part.Diameter, 0))
	}
	if whole := s.whole(); (len(s.o.Tape) > 0 || s.o.Full) && whole != advise.NotWithheld && !s.o.Force {
		return fmt.Errorf("no strip is drawn: %s\n  hint: --force draws it all the same", words.Withheld(s.Audit, whole))
	}
	return nil
}

// verdict is a line's, and whether it is within with little to spare.
func verdict(m audit.LineResult) string { return m.Verdict.String() + words.OnlyJust(m) }

type stripper struct {
	words.Audit
	o       StripOptions
	letters func(string) string           // shows names by numbers where letters are missing
	key     []string                      // and says which
	asked   geometry.Length               // width of the strip, which may have to be more
	shared  *advise.Scribe                // what all lines share, on a strip for that
	brief   bool                          // the piece says no more than it must, for want of room
	known   map[[2]string]geometry.Length // the ± of the way between two lines, once it was asked for
}

// surface is what the strip lies on.
func (s stripper) surface() surface {
	part := s.Result.Sheet.Part
	return surface{corner: part.Diameter, width: s.o.Width, thickness: s.o.Thickness, slope: s.o.Slope, half: part.HalfSpeed}
}

// right is how far to the right something lies that is a way off in a direction.
func right(r geometry.Rotation, way geometry.Length) geometry.Length {
	if r == geometry.Clockwise {
		return way
	}
	return -way
}

// later is how far to the right a line stands that comes up later by a way.
func (s stripper) later(way geometry.Length) geometry.Length {
	return right(advise.Earlier(s.Result.Sheet).Opposite(), way)
}

// whole is why nothing at all is to be scribed.
func (s stripper) whole() advise.Withheld {
	for _, m := range s.Result.ByLine() {
		switch w := m.Scribe.Withheld; w {
		case advise.WithheldSuspect, advise.WithheldMoved, advise.WithheldSetups, advise.WithheldDwell, advise.WithheldEyeCheck:
			return w
		}
	}
	return advise.NotWithheld
}

// choose returns the marks that get a new line, or why none does.
func (s stripper) choose() ([]audit.LineResult, error) {
	var worth, forced, off []audit.LineResult
	var why []string
	for _, m := range s.Result.ByLine() {
		name := words.Clean(m.Name)
		switch {
		case m.Scribe.Worthwhile:
			worth = append(worth, m)
		case m.Offset == nil:
			why = append(why, name+" has no offset")
		case m.Scribe.Withheld != advise.NotWithheld:
			reason := words.Withheld(s.Audit, m.Scribe.Withheld)
			if i := slices.IndexFunc(why, func(w string) bool { return strings.HasSuffix(w, ": "+reason) }); i >= 0 {
				why[i] = strings.TrimSuffix(why[i], ": "+reason) + ", " + name + ": " + reason
			} else {
				why = append(why, name+": "+reason)
			}
		case m.Verdict == diagnosis.Outside:
			why = append(why, name+" is outside, but a new line would be known no better than the old one is wrong")
		default:
			why = append(why, name+" is "+verdict(m))
		}
		if m.Offset == nil || m.Forced.Along == advise.NoWay {
			continue
		}
		off = append(off, m)
		if m.Verdict != diagnosis.Within {
			forced = append(forced, m)
		}
	}
	if s.o.Force {
		if worth = forced; len(worth) == 0 {
			worth = off
		}
	}
	switch {
	case len(worth) > 0:
		return worth, nil
	case len(s.Result.ByLine()) == 0:
		return nil, errors.New("found no marks, expected at least one to be scribed anew")
	case len(off) == 0:
		return nil, errors.New("nothing is to be scribed: " + strings.Join(why, "; "))
	}
	return nil, errors.New("nothing is to be scribed: " + strings.Join(why, "; ") + "\n  hint: --force draws it all the same")
}

// job is one strip to draw, with all that is said about it.
type job struct {
	heading string
	before  string
	steps   []step
	notes   []string
	doubts  []string // in full, where there is room
	named   string   // the same in short, where there is not
	last    string   // after all else
	tells   bool     // it says by proof lines whether it lies right
	pointer bool     // what is brought to the open flag is a pointer
	fixed   bool     // its length is that of what is drawn
	build   func(margin geometry.Length, level int, id string) ribbon
}

// single is the strip for one line.
func (s stripper) single(m audit.LineResult) job {
	given := m.Forced
	name := s.name(m.Name)
	on := s.surface()
	way := right(given.Rotation, on.along(given.Angle))
	proofs := proofLines(s, m, way)
	old := name
	if at := s.readAt(); at != "" {
		old += ", its " + at
	}
	turn := strings.ToUpper(given.Rotation.String())
	j := job{
		heading: fmt.Sprintf("%s: a new line %s (%s) %s%s: %s, to the %s %s%s", name, s.way(given), rounding.Fixed(given.Angle.Abs().Degrees(), 2)+"°", s.letters(s.Goes(given)), s.behind(m), given.Rotation, side(right(given.Rotation, 1)), s.surface().onPaper(), s.warned(given)),
		before:  s.before(),
		tells:   len(proofs) > 0,
		steps:   s.lineSteps(m, proofs, name),
		doubts:  s.doubtsInFull(m.Name, m.Scribe.Worthwhile),
		named:   s.doubtsNamed(m.Name, m.Scribe.Worthwhile),
	}
	j.notes = append(j.notes, s.sureness(given))
	if beyond := s.beyond(given, proofs); beyond != "" {
		j.notes = append(j.notes, beyond)
	}
	forced := ""
	if !m.Scribe.Worthwhile {
		reason := words.ShortWithheld(m.Scribe.Withheld)
		if reason == "" {
			reason = "not asked for, " + verdict(m)
		}
		forced = "FORCED: " + reason
		j.heading = "FORCED, not asked for. " + j.heading
		j.notes = append(j.notes, "FORCED: the audit does not ask for this line"+s.because(m)+".")
	}
	j.build = func(margin geometry.Length, level int, id string) ribbon {
		r := ribbon{on: on, level: level}
		r.flags = s.flags(way, [][2]string{{old, "OLD LINE HERE"}, {"", "NEW LINE HERE"}}, on)
		for _, p := range proofs {
			r.proofs = append(r.proofs, p.proof)
		}
		s.frame(&r, margin)
		r.scale = scale{per: s.later(on.along(1)), turn: s.turnOfPart(), last: r.length}
		r.scale.zero = r.flags[1].x - r.scale.per*geometry.Length(m.At)
		if m.At > 180 && !s.Result.Sheet.Part.HalfSpeed {
			r.scale.count = onward
		}
		must := []sign{tagged("NO PROOF LINE: felt pen first, read it, then scribe")}
		if len(r.proofs) > 0 {
			must = []sign{proofSign(r.proofs, s.narrow() || s.o.Slope != 0 || s.brief)}
		}
		if forced != "" {
			must = append(must, tagged(forced))
		}
		short := ""
		if level > 0 {
			short = "old: " + old
		}
		r.signs = s.signs(r, s.way(given)+" "+turn, right(given.Rotation, 1) > 0, short, must, m.Name, m.Scribe.Worthwhile, id)
		return r
	}
	return j
}

// beyond says that the line ahead of the new one is not on the piece, where it is not: it
// would be looked for there.
func (s stripper) beyond(given advise.Scribe, proofs []proofLine) string {
	name := s.shortName(given.Towards)
	if s.tight() || given.Towards == "" || slices.ContainsFunc(proofs, func(p proofLine) bool { return p.name == name }) {
		return ""
	}
	return "Line “" + s.name(given.Towards) + "” lies beyond the " + side(right(given.Rotation, 1)) + " end of this " + s.surface().noun() + "."
}

// behind names the line that the new one goes away from, as far as that is another
// than the one ahead.
func (s stripper) behind(m audit.LineResult) string {
	i := slices.IndexFunc(s.Result.Lines, func(l lines.Line) bool { return l.Name == m.Name })
	line := advise.Behind(s.Result.Sheet, s.Result.Lines, i)
	if line == "" || line == m.Forced.Towards {
		return ""
	}
	return s.letters(", AWAY FROM " + words.TheLine(line))
}

// flags are those of an old place and of a new one, a way to the right of it: each
// leans away from the other.
func (s stripper) flags(way geometry.Length, said [][2]string, on surface) []flag {
	out := []flag{{x: 0, left: way > 0}, {x: way, fresh: true, left: way < 0}}
	for i := range out {
		name, what := said[i][0], said[i][1]
		if !on.flat() {
			what = strings.Replace(what, " LINE HERE", " HERE", 1)
		}
		full := what
		switch {
		case name == "":
		case out[i].left:
			full = name + ": " + what
		default:
			full = what + ": " + name
		}
		out[i].words = []string{full, what, strings.Replace(what, " LINE HERE", " HERE", 1), []string{"OLD", "NEW"}[i]}
	}
	return out
}

// frame gives a strip its length: a margin beside its flags, and a little beside its
// proof lines. Places so far count from the old line.
func (s stripper) frame(r *ribbon, margin geometry.Length) {
	const beside geometry.Length = 12
	low, high := geometry.Length(0), geometry.Length(0)
	for _, f := range r.flags {
		low, high = min(low, f.x-margin), max(high, f.x+margin)
	}
	for _, p := range r.proofs {
		low, high = min(low, p.x-p.half-beside), max(high, p.x+p.half+beside)
	}
	for i := range r.flags {
		r.flags[i].x -= low
	}
	for i := range r.proofs {
		r.proofs[i].x -= low
	}
	r.length = high - low
	for _, f := range r.flags {
		w := drawing.BoldWidth(f.words[min(r.level, len(f.words)-1)], r.rows().wordSize) + 4
		if f.left {
			w = -w
		}
		r.keep(f.x, f.x+w)
	}
	if a, b := r.flags[0].x, r.flags[1].x; max(a-b, b-a) < 150 {
		r.keep(a, b)
	}
	for _, p := range r.proofs {
		r.keep(p.x-p.half-4, p.x+p.half+4)
	}
}

func (s stripper) turnOfPart() geometry.Angle { return s.Result.Sheet.Part.OfCrank(360) }

func (s stripper) because(m audit.LineResult) string {
	if w := m.Scribe.Withheld; w != advise.NotWithheld {
		return "; " + words.Withheld(s.Audit, w)
	}
	return ""
}

// name is how a line is named on a strip: by its name as far as that fits, with its
// number on the sheet where it does not.
func (s stripper) name(line string) string {
	const most geometry.Length = 34
	name := s.letters(words.Clean(line))
	if drawing.BoldWidth(name, 3.3) <= most {
		return name
	}
	return s.number(line) + ", " + drawing.WrapBold(name, 3.3, most-12, 1)[0]
}

// shortName is how a proof line is named: where its name is long, by its number.
func (s stripper) shortName(line string) string {
	const most geometry.Length = 16
	if name := s.letters(words.Clean(line)); drawing.BoldWidth(name, 2.6) <= most {
		return name
	}
	return s.number(line)
}

// number is that of a line on the sheet.
func (s stripper) number(line string) string {
	return fmt.Sprintf("line %d", 1+slices.IndexFunc(s.Result.Lines, func(l lines.Line) bool { return l.Name == line }))
}

// offAlike is the instruction for what all lines share, where they are off alike.
func (s stripper) offAlike() (given advise.Scribe, ok bool) {
	a := s.Result.Advice
	if a.Together.Worthwhile {
		return a.Together, true
	}
	forced := a.TogetherHeld
	return forced, s.o.Force && a.Shared != nil && a.Together.Withheld != advise.WithheldGroup && forced.Along != advise.NoWay
}

// alike is the strip for what all lines share.
func (s stripper) alike(given advise.Scribe) job {
	s.shared = &given
	a := s.Result.Advice
	forced := !a.Together.Worthwhile
	on := s.surface()
	pointer := given.Move == advise.MovePointer
	turn := strings.ToUpper(given.Rotation.String())
	off := rounding.Fixed(a.Shared.Value.Abs().Degrees(), 2) + "°"
	if a.Shared.Value > 0 {
		off += " late"
	} else {
		off += " early"
	}
	to := turn + ", to the " + side(right(given.Rotation, 1)) + " " + s.surface().onPaper()
	if in := s.InWindow(given.Along); in != "" {
		to = turn + ", " + strings.ToUpper(in) + " in the window, "
		if here := side(right(given.Rotation, 1)); here == in {
			to = strings.TrimSuffix(to, ", ") + " and " + s.surface().onPaper()
		} else {
			to += here + " " + s.surface().onPaper()
		}
	}
	j := job{before: s.before(), pointer: pointer, steps: s.alikeSteps(given), doubts: s.doubtsInFull("", !forced), named: s.doubtsNamed("", !forced)}
	said := [][2]string{{"turning line", "OLD LINE HERE"}, {"", "NEW LINE HERE"}}
	tag := "NO PROOF LINE: felt pen first, read it, then scribe"
	j.heading = fmt.Sprintf("All lines are off alike, %s: leave the scale, scribe a new turning line %s %s", off, s.way(given), to)
	if pointer {
		said = [][2]string{{"", "POINTER IS HERE NOW"}, {"", "SET ITS TIP HERE: NEW"}}
		j.before = strings.NewReplacer(" scriber, square,", " spanner,", " scriber,", " spanner,").Replace(j.before)
		tag = "NO PROOF LINE: set it, then read every line again"
		j.heading = fmt.Sprintf("All lines are off alike, %s: if the pointer is at fault, set its tip %s %s", off, s.way(given), to)
	}
	if given.Move == advise.MoveLine {
		j.notes = append(j.notes, s.sureness(given))
	}
	if forced {
		j.heading = "FORCED, not asked for. " + j.heading + s.warned(given)
		j.notes = append(j.notes, "FORCED: the audit does not ask for this.")
	}
	j.build = func(margin geometry.Length, level int, id string) ribbon {
		r := ribbon{on: on, level: level}
		r.flags = s.flags(right(given.Rotation, on.along(given.Angle)), said, on)
		s.frame(&r, margin)
		r.scale = scale{zero: r.flags[1].x, per: on.along(1), count: both, turn: s.turnOfPart(), last: r.length}
		must := []sign{tagged("ALL LINES OFF ALIKE: " + off), tagged(tag)}
		if forced {
			must = append(must, tagged("FORCED: not asked for"))
		}
		r.signs = s.signs(r, s.way(given)+" "+turn, right(given.Rotation, 1) > 0, "", must, "", !forced, id)
		return r
	}
	return j
}

// way is how far an instruction goes at the working edge, to a tenth of a millimetre:
// the one number that a strip says.
func (s stripper) way(i advise.Scribe) string {
	part := s.Result.Sheet.Part
	return s.ByTape(s.surface().metal().Arc(part.Turned(i.Angle)), 0)
}

// lengthOnStrip says between which lengths one on the piece must measure: a steel rule
// tells 0.1 mm apart on it. Common practice, no source.
func lengthOnStrip(l geometry.Length) string {
	return rounding.Fixed((l-0.1).Millimetres(), 1) + " to " + rounding.Fixed((l+0.1).Millimetres(), 1) + " mm, or print again"
}

func side(right geometry.Length) string {
	if right > 0 {
		return "right"
	}
	return "left"
}
