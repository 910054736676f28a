package diagnosis

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Edit puts one wrong declaration of a sheet right. It reports false where the
// sheet has nothing to change, and changes nothing that it was given.
type Edit func(sheet.Sheet) (sheet.Sheet, bool)

// Diagnosis is what the evidence comes to.
type Diagnosis struct {
	Standing  []Explanation // least surprise first; of one kind only those that put lines elsewhere than the ones before
	Measured  Explanation   // the lines as measured, whether it stands or not
	Refuted   bool          // the lines are not as measured: nothing is ordered
	Story     Story         // of the lines as measured
	Shift     geometry.Angle
	Sharing   []int      // lines that share Shift; nil where each is off by itself
	Decisions []Decision // one for each line, in their order, then those for the pointer or a part
	Ring      Ring
	Ask       []Observation // what to do first, in that order
	// CloseFirst is the closing pair to take before the scriber touches metal, if
	// the readout is still on: without it the same habit in every setup goes
	// unseen. nil where nothing is ordered or a pair was taken.
	CloseFirst *Observation
}

// Explain weighs every explanation and applies the rule. The evidence holds at
// least one mounting with its TDC. reread takes the offsets of an edited sheet,
// [mounting][line], and reports false where the edit changes nothing or the sheet
// can then not be read; nil tries no edits. The result depends on nothing but the
// arguments, and changes neither.
func Explain(e Evidence, reread func(Edit) ([][]geometry.Angle, bool)) Diagnosis {
	w := newWeigher(&e, reread)
	all := w.weighAll()
	w.measured = all[0]
	d := Diagnosis{Measured: all[0].Explanation}
	slices.SortStableFunc(all, func(x, y weighed) int { return cmp.Compare(round(x.Surprise), round(y.Surprise)) })
	d.Refuted = refuted(w, all)
	standing := w.keep(all)
	for _, s := range standing {
		d.Standing = append(d.Standing, s.Explanation)
	}
	decide(w, &d, standing)
	return d
}

// When an explanation stands, and when one piece of evidence alone refutes the
// lines as measured. Chosen by simulation.
const (
	stands      = 6.0
	contradicts = 14.0
)

// round makes surprises equal that differ by arithmetic alone, so that then the
// order of the list decides.
func round(surprise float64) float64 { return math.Round(surprise * 1e6) }

// weighed is a claim with its surprise.
type weighed struct {
	Explanation
	claim   claim
	entry   int // of the list
	stories []told
	loudest float64 // surprise of the piece that costs it most, those left out that move no line
}

// weigher is the evidence laid out for weighing, in degrees.
type weigher struct {
	evidence *Evidence
	reread   func(Edit) ([][]geometry.Angle, bool)
	late     [][]float64 // [mounting][line] as measured; NaN where not read or copied
	mean     []float64   // [line] over the mountings
	reads    []int       // [line]: mountings that read it
	last     int         // the last mounting that was not copied
	used     []int       // mountings that count
	perOwn   []float64   // [line]: 1/(0.5² + u²)
	spread   []float64   // [line]: u
	all      []bool
	parts    []part
	ordered  []pairOfLines // whose order a maker does not change
	close    []float64     // [line]: how close to a shift it lies that shares it
	shown    []float64     // [pair]: its value, within half a turn
	odd      float64       // surprise of the reading that stands out
	creep    []float64

	measured weighed
	tried    int     // claims weighed, for tests
	skipAt   float64 // a surprise that cannot stand
	told     []told  // scratch
	at       []float64
	then     []float64 // [line]: the mean of a claim
	count    []float64 // [line]: mountings that then read it
	sums     []sums    // [mounting]
}

// sums is what the lines of one mounting come to together.
type sums struct{ shift, variance, lines float64 }

// pairOfLines is two lines of one cylinder: b belongs gap degrees after a, and blur
// is the standard deviation of how far it comes up after it.
type pairOfLines struct {
	a, b      int
	gap, blur float64
}

// part is the lines that one part carries.
type part struct {
	on      string
	members []bool
}

func newWeigher(e *Evidence, reread func(Edit) ([][]geometry.Angle, bool)) *weigher {
	p, k := len(e.Lines), len(e.Offset)
	w := &weigher{
		evidence: e, reread: reread, late: make([][]float64, k),
		reads: make([]int, p), perOwn: make([]float64, p), spread: make([]float64, p), all: make([]bool, p),
		then: make([]float64, p), count: make([]float64, p), sums: make([]sums, k),
	}
	for i := range k {
		w.late[i] = make([]float64, p)
		copied := slices.Contains(e.Copied, i)
		if !copied {
			w.used, w.last = append(w.used, i), i
		}
		for j := range p {
			w.late[i][j] = e.Offset[i][j].Degrees()
			if copied {
				w.late[i][j] = math.NaN()
			}
			if !math.IsNaN(w.late[i][j]) {
				w.reads[j]++
				w.spread[j] += square(e.Own[i][j]) + square(e.TDC[i]*geometry.Angle(w.move(j)))
			}
		}
	}
	w.mean = w.means(make([]float64, p), w.late)
	for j, l := range e.Lines {
		w.all[j] = true
		if w.reads[j] > 0 {
			w.spread[j] = math.Sqrt(w.spread[j]) / float64(w.reads[j])
		}
		w.close = append(w.close, math.Max(l.tolerance().Degrees(), leastAlike)+tiny)
		w.perOwn[j] = 1 / (ownWidth*ownWidth + w.spread[j]*w.spread[j])
		if l.On == "" {
			continue
		}
		at := slices.IndexFunc(w.parts, func(g part) bool { return g.on == l.On })
		if at < 0 {
			at = len(w.parts)
			w.parts = append(w.parts, part{l.On, make([]bool, p)})
		}
		w.parts[at].members[j] = true
	}
	// A part that carries all lines tells nothing apart.
	w.parts = slices.DeleteFunc(w.parts, func(g part) bool { return !slices.Contains(g.members, false) })
	for b := range e.Lines {
		for a := range b {
			if e.Lines[a].Cylinder == e.Lines[b].Cylinder && w.reads[a] > 0 && w.reads[b] > 0 {
				gap := (e.Lines[b].belongs() - e.Lines[a].belongs()).Degrees()
				w.ordered = append(w.ordered, pairOfLines{a, b, math.Remainder(gap, w.turn()), math.Hypot(w.spread[a], w.spread[b])})
			}
		}
	}
	for _, q := range e.Pairs {
		w.shown = append(w.shown, wrap(q.Value.Degrees()))
	}
	if e.Odd != nil {
		w.odd = unlikely(e.Odd.P, freeOdd)
	}
	for _, c := range e.Creep {
		w.creep = append(w.creep, unlikely(c.P, freeCreep))
	}
	return w
}

// means is the mean offset of each line over the mountings, NaN where none read
// it. It fills out and returns it.
func (w *weigher) means(out []float64, late [][]float64) []float64 {
	for j := range out {
		first, sum, n := math.NaN(), 0.0, 0
		for i := range late {
			d := late[i][j]
			switch {
			case math.IsNaN(d):
				continue
			case n == 0:
				first = d
			}
			sum += near(d - first)
			n++
		}
		out[j] = first
		if n > 1 {
			out[j] = wrap(first + sum/float64(n))
		}
	}
	return out
}

// weighAll weighs every claim of the list, the lines as measured first.
func (w *weigher) weighAll() []weighed {
	var out []weighed
	w.skipAt = math.Inf(1)
	for entry, x := range explanations {
		if x.price > w.skipAt { // none of its claims can stand
			continue
		}
		for _, c := range x.propose(w, x.price) {
			w.tried++
			if one, ok := w.weigh(c); ok {
				one.entry = entry
				w.skipAt = math.Min(w.skipAt, one.Surprise+c.chance+stands+1)
				out = append(out, one)
			}
		}
	}
	return out
}

// weigh adds up what a claim costs. It reports false for one that cannot stand,
// as soon as that is seen.
func (w *weigher) weigh(c claim) (weighed, bool) {
	e := w.evidence
	total, worst := c.price, Item{Mounting: -1, Line: -1, Index: -1}
	loudest := 0.0
	add := func(item Item, costs float64) bool { // false once the claim cannot stand
		total += costs
		if !mild(w, item) {
			loudest = max(loudest, item.Surprise)
		}
		if item.Surprise > worst.Surprise {
			worst = item
		}
		return total <= w.skipAt
	}
	for i, p := range e.Pairs {
		expected := 0.0
		if c.pairs != nil {
			expected = c.pairs[i]
		}
		if math.IsNaN(expected) || slices.Contains(e.Copied, p.Mounting) {
			continue
		}
		s := seen(near(w.shown[i]-expected)/some(p.SD.Degrees()), p.DOF)
		if !add(Item{ItemPair, p.Mounting, -1, i, s}, s) {
			return weighed{}, false
		}
	}
	if e.Odd != nil && !c.noOdd {
		add(Item{ItemOdd, e.Odd.Mounting, e.Odd.Line, -1, w.odd}, w.odd)
	}
	for i, s := range w.creep {
		if c.creeps != e.Creep[i].Mounting+1 {
			add(Item{ItemCreep, e.Creep[i].Mounting, -1, i, s}, s)
		}
	}
	if total > w.skipAt {
		return weighed{}, false
	}
	late, mean := w.late, w.mean
	if c.late != nil {
		late = c.late()
		mean = w.means(w.then, late)
	}
	// Whatever the story, it costs no less than each line by itself or a shift.
	if total+math.Min(w.alone(mean, nil, 0), sharedPrice) > w.skipAt {
		return weighed{}, false
	}
	w.setups(late, mean, add)
	w.distances(mean, c.renamed, add)
	w.orders(mean, c.renamed, add)
	if total > w.skipAt {
		return weighed{}, false
	}
	stories := w.stories(mean)
	best := cheapest(stories)
	total += best.cost
	if total > w.skipAt {
		return weighed{}, false
	}
	out := weighed{claim: c, loudest: loudest, Explanation: Explanation{
		Code: c.code, Lines: c.lines, Mountings: c.mountings, Shift: geometry.Angle(c.shift),
		Story: best.story, Surprise: total, Worst: worst, Offset: make(Row, len(mean)),
	}}
	for j, d := range mean {
		out.Offset[j] = geometry.Angle(d)
	}
	if c.code == AsMeasured {
		out.stories = slices.Clone(stories)
	}
	return out, true
}

// setups holds the mountings against each other, each as a whole and line by line.
// What is printed as a piece's surprise is that of its deviation; in the sum it
// counts by (K-1)/K, for so many of K deviations from their mean are free.
func (w *weigher) setups(late [][]float64, mean []float64, add func(Item, float64) bool) {
	e := w.evidence
	if len(w.used) < 2 {
		return
	}
	reads := w.count
	clear(reads)
	for i := range late {
		for j, d := range late[i] {
			if !math.IsNaN(d) {
				reads[j]++
			}
		}
	}
	wholes := 0.0
	for i := range late {
		var m sums
		for j, d := range late[i] {
			if !math.IsNaN(d) && reads[j] > 1 {
				m.shift += near(d - mean[j])
				own := w.ownSD(i, j)
				m.variance += own * own
				m.lines++
			}
		}
		if m.lines > 0 {
			wholes++
			m.shift /= m.lines
		}
		w.sums[i] = m
	}
	remount := remountUnsaid
	if e.Remount > 0 {
		remount = math.Max(e.Remount.Degrees(), leastRemount)
	}
	for i, m := range w.sums {
		if m.lines == 0 || wholes < 2 {
			continue
		}
		free := (wholes - 1) / wholes
		sd := math.Sqrt((square(e.TDC[i]) + remount*remount + m.variance/m.lines/m.lines) * free)
		s := seen(m.shift/sd, setupsDOF)
		if !add(Item{ItemSetup, i, -1, -1, s}, s*free) {
			return
		}
		for j, d := range late[i] {
			if math.IsNaN(d) || reads[j] < 2 {
				continue
			}
			free := 1 - 1/reads[j]
			s := seen(near(near(d-mean[j])-m.shift)/some(w.ownSD(i, j)*math.Sqrt(free)), math.Min(e.Scatter.LineDOF+dofAdded, lineDOFLimit))
			if !add(Item{ItemLine, i, j, -1, s}, s*free) {
				return
			}
		}
	}
}

// ownSD is the standard deviation of a line's offset in one mounting from its own
// readings; that of one reading where there it has another line's, which was read.
func (w *weigher) ownSD(i, j int) float64 {
	if own := w.evidence.Own[i][j].Degrees(); !isNaN(own) {
		return own
	}
	return w.evidence.Scatter.Line.Degrees()
}

// some keeps a standard deviation of zero from dividing by it: what is known
// exactly contradicts as soon as it differs.
func some(sd float64) float64 { return math.Max(sd, 1e-6) }

// place is where a line lies, in crank degrees after the reference cylinder's
// TDC.
func (w *weigher) place(j int, mean, renamed []float64) float64 {
	at := w.evidence.Lines[j].belongs().Degrees() + mean[j]
	if renamed != nil {
		at += renamed[j]
	}
	return at
}

// turn is a turn of the part in crank degrees.
func (w *weigher) turn() float64 {
	if w.evidence.HalfSpeed {
		return 720
	}
	return 360
}

// distances holds what was measured on the part against the places of the lines.
func (w *weigher) distances(mean, renamed []float64, add func(Item, float64) bool) {
	for i, d := range w.evidence.Distances {
		gap := w.place(d.To, mean, renamed) - w.place(d.From, mean, renamed)
		if math.IsNaN(gap) {
			continue
		}
		var z float64
		if d.Chord > 0 {
			z = float64(d.Chord-w.chord(d.Diameter, gap)) / some(float64(d.ChordSD))
		} else {
			one := geometry.Angle(gap*360/w.turn()).Turn().Degrees() / 360 * float64(d.TeethRound)
			off := math.Min(math.Abs(d.Teeth-one), math.Abs(d.Teeth-(float64(d.TeethRound)-one)))
			z = off / some(d.TeethSD)
		}
		s := seen(z, distanceDOF)
		add(Item{ItemDistance, -1, d.From, i, s}, s)
	}
}

// chord is the distance straight across between two lines that are a gap apart, in
// crank degrees.
func (w *weigher) chord(diameter geometry.Length, gap float64) geometry.Length {
	c := geometry.Rim{Diameter: diameter}.Chord(geometry.Angle(gap * 360 / w.turn()))
	return max(c, -c)
}

// orders looks for lines of one cylinder that would come up in the wrong order,
// beyond what their scatter lets one see.
func (w *weigher) orders(mean, renamed []float64, add func(Item, float64) bool) {
	for _, pair := range w.ordered {
		a, b, gap := pair.a, pair.b, pair.gap
		if renamed != nil {
			gap = math.Remainder(gap+renamed[b]-renamed[a], w.turn())
		}
		if gap < 0 {
			a, b, gap = b, a, -gap
		}
		if gap > tiny && gap < nearLines && gap+mean[b]-mean[a] < -pair.blur {
			add(Item{ItemOrder, -1, a, b, wrongOrder}, wrongOrder)
		}
	}
}

// agree reports whether an explanation puts a line where it was measured: within
// half its tolerance, its uncertainty or 0.15°, whichever is most.
func (w *weigher) agree(x, y geometry.Angle, j int) bool {
	return (x - y).Wrap().Abs() <= w.slack(j)+tiny
}

const leastSlack = geometry.Angle(0.15) // common practice, no source

func (w *weigher) slack(j int) geometry.Angle {
	l := &w.evidence.Lines[j]
	return max(l.tolerance()/2, l.U, leastSlack)
}

// keep returns the explanations that stand. Of those that tell of one mistake
// with several shifts it keeps the best, and each that puts a line elsewhere than
// as measured where none before it did.
func (w *weigher) keep(all []weighed) []weighed {
	var out []weighed
	least := math.Inf(1)
	for _, x := range all {
		least = math.Min(least, x.Surprise+x.claim.chance)
	}
	elsewhere := map[string][]bool{} // only looked up
	for _, x := range all {
		if x.Surprise+x.claim.chance > least+stands+tiny {
			continue
		}
		name := w.name(x)
		moved, known := elsewhere[name]
		if !known {
			moved = make([]bool, 2*len(w.mean))
			elsewhere[name] = moved
		}
		worth := !known
		for j, l := range w.evidence.Lines {
			if w.reads[j] == 0 {
				continue
			}
			for k, here := range []bool{!w.agree(x.Offset[j], geometry.Angle(w.mean[j]), j), beyond(x.Offset[j], l)} {
				worth = worth || here && !moved[2*j+k]
				moved[2*j+k] = moved[2*j+k] || here
			}
		}
		if worth {
			out = append(out, x)
		}
	}
	return out
}

// name tells mistakes apart that are not the same with another shift. Which lines
// a moved readout concerns hangs on its shift.
func (w *weigher) name(x weighed) string {
	if x.Code == ReadoutMoved {
		return fmt.Sprint(x.entry, x.Mountings)
	}
	return fmt.Sprint(x.entry, x.Mountings, x.Lines)
}

// beyond reports whether an offset lies outside a line's tolerance.
func beyond(late geometry.Angle, l Line) bool { return late > l.Late+tiny || late < -l.Early-tiny }
