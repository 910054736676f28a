package diagnosis

import (
	"math"
	"slices"
)

// Prices of a readout that moved, beside that of moving at all. Common practice,
// no source.
const (
	moveWidth = 10.0 // degrees: typical of a move
	leastMove = 0.15 // degrees: a move below that is none
)

// Moving in a further mounting by the same shift as in another is twice unlikely:
// of a range of 5° only 0.2° will do.
var sameAgain = 2 * math.Log(5/0.2)

// moved is what a shift by x degrees in some mountings costs.
//
//	4 for each, once 2 ln(1 + (x/10)²), and 2 ln(5/0.2) for each further one
func moved(price float64, mountings int, x float64) float64 {
	n := float64(mountings)
	return price*n + 2*math.Log1p(x*x/(moveWidth*moveWidth)) + sameAgain*(n-1)
}

// where lists the sets of mountings in which a readout may have moved alike: each
// by itself, and all.
func (w *weigher) where() [][]int {
	var sets [][]int
	for _, i := range w.used {
		sets = append(sets, []int{i})
	}
	if len(w.used) > 1 {
		sets = append(sets, w.used)
	}
	return sets
}

// shifts lists by how much the readout may have moved in a set of mountings: what
// would bring one line to its place, or to where another mounting has it, or what
// a pair shows.
func (w *weigher) shifts(set []int) []float64 {
	var x []float64
	for q, p := range w.evidence.Pairs {
		if slices.Contains(set, p.Mounting) {
			x = append(x, w.shown[q])
		}
	}
	if len(set) > 1 {
		return distinct(append(x, withMedian(w.undone(w.mean))...), leastMove)
	}
	i := set[0]
	x = append(x, withMedian(w.undone(w.late[i]))...)
	for j, d := range w.late[i] {
		if other, ok := w.others(i, j); ok && w.move(j) != 0 {
			x = append(x, near(d-other)/w.move(j))
		}
	}
	return distinct(x, leastMove)
}

// seenByOthers reports whether a move by x shows beside the scatter of a line
// against the other mountings. Of many lines some differ by less than that in any
// case, and picking them out would make a move of chance.
func (w *weigher) seenByOthers(i, j int, x float64) bool {
	n := float64(w.reads[j])
	return math.Abs(x) >= plainly*w.evidence.Own[i][j].Degrees()*math.Sqrt(n/(n-1))
}

// plainly is how many standard deviations a difference must have that is picked out
// of many. Chosen by simulation.
const plainly = 3.0

// others is the mean offset of a line in the other mountings.
func (w *weigher) others(mounting, j int) (float64, bool) {
	d := w.late[mounting][j]
	if math.IsNaN(d) || w.reads[j] < 2 {
		return 0, false
	}
	n := float64(w.reads[j])
	return wrap(w.mean[j] - near(d-w.mean[j])/(n-1)), true
}

// withMedian returns what numbers there are, and their median.
func withMedian(x []float64) []float64 {
	out := slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	if len(out) > 0 {
		out = append(out, median(out))
	}
	return out
}

// distinct drops numbers below the least, and those equal to one before.
func distinct(x []float64, least float64) []float64 {
	var out []float64
	for _, v := range x {
		if math.Abs(v) >= least && !slices.ContainsFunc(out, func(o float64) bool { return math.Abs(o-v) < 1e-6 }) {
			out = append(out, v)
		}
	}
	return out
}

// share is how much of a move before the lines reaches an offset.
func (w *weigher) share(i, j int) float64 {
	if w.evidence.Before == nil {
		return w.move(j)
	}
	return w.evidence.Before[i][j] * w.move(j)
}

// move is by how much a line is out where the readout moved by a degree.
func (w *weigher) move(j int) float64 {
	if w.evidence.Move == nil {
		return 1
	}
	return w.evidence.Move[j]
}

// undone is by how much the readout would have moved for each line to be at its place.
func (w *weigher) undone(late []float64) []float64 {
	if w.evidence.Move == nil {
		return late
	}
	out := make([]float64, len(late))
	for j, d := range late {
		out[j] = math.NaN()
		if m := w.move(j); m != 0 {
			out[j] = d / m
		}
	}
	return out
}

// afterMove is what each pair, and a further closing pair, shows of a readout that
// moved by x after the contacts in some mountings.
func (w *weigher) afterMove(set []int, x float64) (pairs, closes []float64) {
	pairs, closes = make([]float64, len(w.evidence.Pairs)), make([]float64, len(w.late))
	for i, p := range w.evidence.Pairs {
		if p.AfterLines && slices.Contains(set, p.Mounting) {
			pairs[i] = x
		}
	}
	for _, i := range set {
		closes[i] = x
	}
	return pairs, closes
}

// justThat is what a move must pay before it may stand where a closing pair was
// taken. A readout that was knocked shows anything there, one that was not shows
// nothing but the scatter σ of the pair:
//
//	2 ln(10° / (σ √(2π)))
//
// which is the evenly spread density against the normal one at its top (D. MacKay,
// Information Theory, Inference, and Learning Algorithms, 2003, 28.1, from memory).
// Without it, a pair that by chance lies a little off would hold back one honest
// job in thirty.
func (w *weigher) justThat(set []int) float64 {
	for _, p := range w.evidence.Pairs {
		if p.Kind == Closing && slices.Contains(set, p.Mounting) {
			return math.Max(0, 2*math.Log(moveWidth/(some(p.SD.Degrees())*math.Sqrt(2*math.Pi))))
		}
	}
	return 0
}

// proposeMovedBeforeAll: everything that was read after the contacts is out by one
// shift.
func proposeMovedBeforeAll(w *weigher, price float64) (out []claim) {
	for _, set := range w.where() {
		for _, x := range w.shifts(set) {
			c := claim{code: ReadoutMoved, mountings: set, shift: x, price: moved(price, len(set), x), chance: w.justThat(set)}
			c.pairs, c.closes = w.afterMove(set, x)
			c.late = w.shifted(set, func(i, j int) float64 { return x * w.share(i, j) })
			out = append(out, c)
		}
	}
	return out
}

// shifted is the offsets with those of some mountings less a shift of their own.
func (w *weigher) shifted(set []int, by func(i, j int) float64) func() [][]float64 {
	return w.changed(set, func(i, j int) float64 {
		d := w.late[i][j]
		if s := by(i, j); s != 0 {
			d = wrap(d - s)
		}
		return d
	})
}

// changed is the offsets with others in some mountings.
func (w *weigher) changed(set []int, to func(i, j int) float64) func() [][]float64 {
	return func() [][]float64 {
		out := slices.Clone(w.late)
		all := make([]float64, len(set)*len(w.mean))
		for k, i := range set {
			out[i] = all[k*len(w.mean) : (k+1)*len(w.mean)]
			for j := range out[i] {
				out[i][j] = to(i, j)
			}
		}
		return out
	}
}

// proposeMovedBeforeSome: the readout moved while lines were read. Where the times
// tell the order these are the last ones; else those that come nearer to their
// place, or to where the other mountings have them.
func proposeMovedBeforeSome(w *weigher, price float64) (out []claim) {
	for _, set := range w.where() {
		for _, x := range w.shifts(set) {
			ways := []func(i int) []bool{func(i int) []bool { return w.nearerToPlace(i, x) }}
			if len(set) == 1 && len(w.used) > 1 {
				ways = append(ways, func(i int) []bool { return w.nearerToOthers(i, x) })
			}
			var last [][]float64
			for _, way := range ways {
				in := make(map[int][]bool, len(set)) // only looked up
				var lines []int
				every := true
				for _, i := range set {
					in[i] = way(i)
					for j, d := range w.late[i] {
						switch {
						case math.IsNaN(d):
						case !in[i][j]:
							every = false
						case !slices.Contains(lines, j):
							lines = append(lines, j)
						}
					}
				}
				if len(lines) == 0 || every { // all of them: told already
					continue
				}
				c := claim{code: ReadoutMoved, lines: lines, mountings: set, shift: x, price: moved(price, len(set), x), chance: w.justThat(set)}
				slices.Sort(c.lines)
				c.pairs, c.closes = w.afterMove(set, x)
				c.late = w.shifted(set, func(i, j int) float64 {
					if in[i][j] {
						return x * w.share(i, j)
					}
					return 0
				})
				if len(ways) > 1 {
					late := c.late()
					if last != nil && sameTable(last, late) {
						continue
					}
					last = late
				}
				out = append(out, c)
			}
		}
	}
	return out
}

func sameTable(a, b [][]float64) bool {
	for i := range a {
		for j, x := range a[i] {
			if math.Abs(x-b[i][j]) > tiny {
				return false
			}
		}
	}
	return true
}

// nearerToPlace picks the lines of a mounting that a move by x explains by their
// place.
func (w *weigher) nearerToPlace(i int, x float64) []bool {
	gain := make([]float64, len(w.late[i]))
	for j, d := range w.late[i] {
		gain[j] = math.Abs(d) - math.Abs(near(d-x*w.share(i, j)))
	}
	return w.readLast(i, gain)
}

// nearerToOthers picks the lines of a mounting that a move by x explains by the
// other mountings.
func (w *weigher) nearerToOthers(i int, x float64) []bool {
	gain := make([]float64, len(w.late[i]))
	for j, d := range w.late[i] {
		gain[j] = math.NaN()
		if other, ok := w.others(i, j); ok && w.seenByOthers(i, j, x) {
			gain[j] = math.Abs(near(d-other)) - math.Abs(near(near(d-x*w.share(i, j))-other))
		}
	}
	return w.readLast(i, gain)
}

// readLast picks the lines with a gain, NaN being none; where the order of reading
// is known the last ones that gain most together.
func (w *weigher) readLast(i int, gain []float64) []bool {
	in := make([]bool, len(gain))
	e := w.evidence
	if e.Order == nil || e.Order[i] == nil {
		for j, g := range gain {
			in[j] = g > tiny
		}
		return in
	}
	order, best, sum, from := e.Order[i], tiny, 0.0, len(e.Order[i])
	for at := len(order) - 1; at >= 0; at-- {
		if g := gain[order[at]]; !math.IsNaN(g) {
			sum += g
		}
		if sum > best {
			best, from = sum, at
		}
	}
	for _, j := range order[from:] {
		in[j] = true
	}
	return in
}

// proposeMovedAfter: a closing pair differs because the readout moved once the
// lines were read.
func proposeMovedAfter(w *weigher, price float64) (out []claim) {
	e := w.evidence
	for _, i := range w.used {
		var x []float64
		for q, p := range e.Pairs {
			if p.Mounting == i && p.AfterLines {
				x = append(x, w.shown[q])
			}
		}
		for _, x := range distinct(x, leastMove) {
			c := claim{code: ReadoutMovedAfter, mountings: []int{i}, shift: x, price: price, chance: w.justThat([]int{i})}
			c.pairs, c.closes = w.afterMove(c.mountings, x)
			for q, p := range e.Pairs {
				// Second contacts may have been taken before that move too.
				if c.pairs[q] != 0 && p.Kind != Closing {
					c.pairs[q] = nearest(w.shown[q], 0, x)
				}
			}
			out = append(out, c)
		}
	}
	return out
}

// nearest is the one of some numbers that lies nearest to x.
func nearest(x float64, among ...float64) float64 {
	best := among[0]
	for _, a := range among[1:] {
		if math.Abs(x-a) < math.Abs(x-best) {
			best = a
		}
	}
	return best
}

// proposeMovedBetween: two sets of contacts in one mounting differ because the
// readout moved between them. The lines then count from the one, the other or
// something between.
func proposeMovedBetween(w *weigher, price float64) (out []claim) {
	e := w.evidence
	for q, p := range e.Pairs {
		g := w.shown[q]
		if p.Kind == Closing || math.Abs(g) < leastMove || !slices.Contains(w.used, p.Mounting) {
			continue
		}
		add := func(s float64, of func(j int) bool) {
			c := claim{code: MovedBetween, mountings: []int{p.Mounting}, shift: g, price: price}
			c.pairs, c.closes = make([]float64, len(e.Pairs)), make([]float64, len(w.late))
			c.closes[p.Mounting] = s
			for r, other := range e.Pairs {
				switch {
				case other.Mounting != p.Mounting:
				case r == q:
					c.pairs[r] = g
				case other.Kind == Closing: // after either set
					c.pairs[r] = nearest(w.shown[r], 0, s, g)
				default:
					c.pairs[r] = nearest(w.shown[r], 0, g)
				}
			}
			c.late = w.shifted(c.mountings, func(_, j int) float64 {
				if of(j) {
					return s
				}
				return 0
			})
			out = append(out, c)
		}
		second := func(j int) bool { return e.Lines[j].Cylinder == p.Cylinder }
		for _, s := range []float64{0, g / 2, -g / 2, g, -g} {
			add(s, func(int) bool { return true })
			if p.Kind == OtherBank && s != 0 {
				add(s, second)
				add(s, func(j int) bool { return !second(j) })
			}
		}
	}
	return out
}

// proposeCreeps: the readout creeps while the contacts are taken. The middles then
// stand for the time half way, the lines for that or for the end.
func proposeCreeps(w *weigher, price float64) (out []claim) {
	for i, c := range w.evidence.Creep {
		if w.creep[i] == 0 || !slices.Contains(w.used, c.Mounting) {
			continue
		}
		for _, part := range []float64{0, 0.5} {
			x := part * c.Drift.Degrees()
			one := claim{code: ReadoutCreeps, mountings: []int{c.Mounting}, shift: c.Drift.Degrees(), price: price, creeps: c.Mounting + 1}
			one.pairs, one.closes = make([]float64, len(w.evidence.Pairs)), make([]float64, len(w.late))
			one.closes[c.Mounting] = x
			for q, p := range w.evidence.Pairs {
				if p.Mounting == c.Mounting && p.AfterLines {
					one.pairs[q] = nearest(w.shown[q], 0, c.Drift.Degrees()/2, c.Drift.Degrees())
				}
			}
			one.late = w.shifted(one.mountings, func(int, int) float64 { return x })
			out = append(out, one)
		}
	}
	return out
}

// proposeSlipped: the reading that stands out most is wrong.
func proposeSlipped(w *weigher, price float64) []claim {
	odd := w.evidence.Odd
	if odd == nil || w.odd == 0 {
		return nil
	}
	c := claim{code: ReadingSlipped, mountings: []int{odd.Mounting}, price: price, noOdd: true}
	c.late = w.changed(w.used, func(i, j int) float64 { return odd.Without[i][j].Degrees() })
	if odd.Line >= 0 {
		c.lines = []int{odd.Line}
	} else { // what a pair then shows against those contacts is not known
		c.pairs = make([]float64, len(w.evidence.Pairs))
		for q, p := range w.evidence.Pairs {
			if p.Mounting == odd.Mounting {
				c.pairs[q] = math.NaN()
			}
		}
	}
	return []claim{c}
}
