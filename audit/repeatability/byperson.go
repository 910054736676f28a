package repeatability

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// people looks at everybody by themselves and beside the others.
func (r *Result) people(t *table, ofCell func(*cell) float64, dof float64) {
	count := float64(len(t.people))
	deviations, variances := t.deviations(ofCell)
	squares, freedom := make([]float64, len(t.people)), make([]float64, len(t.people))
	for i := range t.cells {
		c := &t.cells[i]
		squares[c.by] += c.squares
		freedom[c.by] += c.n() - 1
	}
	allSquares, allFreedom := t.squaresWithin()
	_, spread := stats.MeanStdDev(orZero(deviations))
	if len(t.people) >= 3 && deviations != nil {
		r.H1, r.H5 = know(stats.MandelH(len(t.people), 0.01)), know(stats.MandelH(len(t.people), 0.05))
	}
	if alike := allFreedom / count; len(t.people) > 1 && alike > 0 && allEqual(freedom) {
		r.K1, r.K5 = know(stats.MandelK(alike, allFreedom-alike, 0.01)), know(stats.MandelK(alike, allFreedom-alike, 0.05))
	}
	hands := r.hands(t)
	common := r.sharing(t)
	r.SharedSetups = common != nil
	own, free := make([]float64, len(t.people)), make([]float64, len(t.people))
	for i := range own {
		if free[i] = freedom[i]; freedom[i] > 0 {
			own[i] = squares[i] / freedom[i]
			if common != nil && common.trials[i] > 0 {
				free[i] = common.trials[i]
			}
		}
	}
	scatter := scatterers(r.Data.Step, own, free)
	// One whose values are all equal may be as steady as the others, and read coarser.
	if best := steadiest(r.Data.Step, own, free, scatter); best >= 0 && own[best] > 0 {
		r.Steadiest = t.people[best]
	}
	by := scale{ofCell, dof, common}
	off := map[int]named{}
	if r.Data.Each != PerReading && deviations != nil { // a single setup may be what sits off
		by, off = r.sitters(t, by, scatter)
		if by.dof > 0 {
			deviations, variances = t.deviations(by.ofCell)
		}
	}
	for i, name := range t.people {
		p := Person{By: name, DOF: freedom[i]}
		p.ByMark = r.byMark(t, i)
		var sum float64
		for _, m := range p.ByMark {
			p.N += m.N
			sum += float64(m.N) * (m.Mean - r.Data.Values[0].Value).Degrees()
		}
		p.Mean = r.Data.Values[0].Value + geometry.Angle(sum/float64(p.N))
		if p.DOF > 0 {
			allDOF := allFreedom
			if common != nil && common.trials[i] > 0 {
				p.DOF, allDOF = common.trials[i], common.all
			}
			p.SD = deviation(squares[i]/freedom[i], p.DOF)
			if others := allDOF - p.DOF; others > 0 && allSquares > 0 {
				p.K = know(math.Sqrt(squares[i] / freedom[i] / (allSquares / allFreedom)))
				p.K1 = know(stats.MandelK(p.DOF, others, 0.01))
			}
			if x, out := scatter[i]; out {
				statistic := Estimate{}
				if !math.IsInf(x.statistic, 1) {
					statistic = know(x.statistic)
				}
				r.Flags = append(r.Flags, Flag{Code: Scatters, By: p.By, Statistic: statistic, Critical: know(x.critical), Values: []float64{p.SD.Value, x.rest}})
			}
		}
		if deviations != nil {
			p.Deviation = know(deviations[i])
			if r.H1.Known && spread > 0 {
				p.H = know(deviations[i] / spread)
			}
			if by.dof > 0 && variances[i] > 0 && r.Data.Each != PerReading {
				variance, dof := by.of(t, variances[i])
				_, scatters := scatter[i]
				if scatters { // the scatter of the class is not this person's
					variance, dof = math.Max(variance, square(p.SD.Value)/float64(p.N)), p.DOF
				}
				x, named := off[i]
				r.sitsOff(&p, middle(deviations), variance, dof, count, scatters, named, x.critical)
			}
		}
		r.standsOut(t, i, count)
		r.drifts(t, i, &p, count)
		p.Stop, p.Sides, p.SideN, p.Digits = hands[i].stop, hands[i].sides, hands[i].sideN, hands[i].digits
		r.People = append(r.People, p)
	}
}

func orZero(x []float64) []float64 {
	if x == nil {
		return []float64{0}
	}
	return x
}

func allEqual(x []float64) bool {
	for _, v := range x {
		if v != x[0] {
			return false
		}
	}
	return true
}

// sitters names who sits off, with the scale that the people without those who
// scatter give.
func (r *Result) sitters(t *table, by scale, scatter map[int]named) (scale, map[int]named) {
	keep := make([]bool, len(t.people))
	for i := range keep {
		_, out := scatter[i]
		keep[i] = !out
	}
	part, index := t.only(keep)
	if len(scatter) > 0 && len(part.people) > 1 {
		alone := Result{Data: r.Data, Pooling: r.Pooling}
		by = scale{}
		by.ofCell, by.dof = alone.components(part)
		if by.ofCell != nil {
			by.common = alone.sharing(part)
		}
	}
	out := map[int]named{} // only looked up
	if by.ofCell == nil {
		by.dof = 0
		return by, out
	}
	for i, x := range by.off(part, len(t.people)) {
		x.person = index[i]
		out[index[i]] = x
	}
	return by, out
}

// sitsOff bounds a person's deviation and flags it where it was named. It must
// also leave the middle one of the people: one who sits far off moves the mean away
// from all the others. Who scatters is tested alone, by that own scatter.
func (r *Result) sitsOff(p *Person, median, variance, dof, people float64, scatters, named bool, critical float64) {
	d := p.Deviation.Value
	s := math.Sqrt(variance)
	half := -stats.TQuantile((1-Confidence)/2, dof) * s
	p.Deviation = bounded(d, d-half, d+half)
	p.Chance = know(stats.FSurvival(d*d/variance, 1, dof))
	if scatters {
		named, critical = true, -stats.TQuantile(namedAt/people/2, dof)
	} else if named {
		critical = math.Min(critical, -stats.TQuantile(namedAt/people/2, dof))
	}
	if named && math.Min(math.Abs(d), math.Abs(d-median))/s > critical {
		r.Flags = append(r.Flags, Flag{Code: SitsOff, By: p.By, Statistic: know(math.Abs(d) / s), Critical: know(critical), Values: []float64{d, p.Chance.Value}})
	}
}

// sharing is how far values of one trial and person go together, as those of one
// setup do: all of them count from its TDC.
type sharing struct {
	meanSquare float64   // of trials within people
	trials     []float64 // degrees of freedom of each person's trials
	all        float64
}

// sharing finds whether values of one trial go together: those of setups do, those
// of a file where F of trials within people is significant. It returns
// nil where they do not. Then a person has only as many degrees of freedom as
// trials, whatever the number of marks.
func (r *Result) sharing(t *table) *sharing {
	if r.Data.Each == PerReading || len(t.marks) == 1 {
		return nil
	}
	out := &sharing{trials: make([]float64, len(t.people))}
	var between float64
	for p := range t.people {
		sums, counts := map[int]float64{}, map[int]float64{}
		var order []int // maps are not walked: sums keep their order
		for m := range t.marks {
			c := t.cell(p, m)
			if c == nil {
				continue
			}
			for i, trial := range c.trials {
				if counts[trial] == 0 {
					order = append(order, trial)
				}
				sums[trial] += c.values[i] - c.mean
				counts[trial]++
			}
		}
		for _, trial := range order {
			between += sums[trial] * sums[trial] / counts[trial]
		}
		out.trials[p] = float64(len(order) - 1)
		out.all += out.trials[p]
	}
	within, dof := t.squaresWithin()
	if out.all == 0 || dof <= out.all || within == 0 {
		return nil
	}
	chance := stats.FSurvival(between/out.all/math.Max((within-between)/(dof-out.all), 1e-300), out.all, dof-out.all)
	if r.Data.Each == Given && chance > significant {
		return nil
	}
	out.meanSquare = between / out.all
	return out
}

// perValue is the variance of a cell's mean as that of a single value, in the mean
// of the cells.
func (t *table) perValue(ofCell func(*cell) float64) (v float64) {
	for i := range t.cells {
		v += ofCell(&t.cells[i]) * t.cells[i].n() / float64(len(t.cells))
	}
	return v
}

// middle is the median.
func middle(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

func square(x float64) float64 { return x * x }

// standsOut tests the value of a person that lies farthest from the others of
// its mark (Grubbs; ISO 5725-2, 7.3.4). Of two values it could not say which.
func (r *Result) standsOut(t *table, person int, people float64) {
	var residuals []float64
	var from []*cell
	var which []int
	for m := range t.marks {
		c := t.cell(person, m)
		if c == nil || len(c.values) < 3 {
			continue
		}
		scale := math.Sqrt(c.n() / (c.n() - 1))
		for i, v := range c.values {
			residuals, from, which = append(residuals, (v-c.mean)*scale), append(from, c), append(which, i)
		}
	}
	i, g, critical := stats.Grubbs(residuals, significant/people)
	if i < 0 || g <= critical {
		return
	}
	c := from[i]
	v := c.values[which[i]]
	others := (c.mean*c.n() - v) / (c.n() - 1)
	if math.Abs(v-others) <= 2*r.Data.Step.Degrees() {
		return
	}
	base := r.Data.Values[0].Value.Degrees()
	r.Flags = append(r.Flags, Flag{
		Code: StandsOut, By: t.people[person], Mark: t.marks[c.mark], Trial: c.trials[which[i]],
		Statistic: know(g), Critical: know(critical), Values: []float64{base + v, base + others},
	})
}

// drifts lays one slope through a person's values, mark by mark, and tests it.
func (r *Result) drifts(t *table, person int, p *Person, people float64) {
	var line within
	if r.SharedSetups {
		line.add(t.trialMeans(person))
	}
	for m := range t.marks {
		if r.SharedSetups {
			break
		}
		if c := t.cell(person, m); c != nil {
			x := make([]float64, len(c.trials))
			for i, trial := range c.trials {
				x[i] = float64(trial)
			}
			line.add(x, c.values)
		}
	}
	p.Drift = line.trend()
	if r.climbs(p.Drift, people) {
		r.Flags = append(r.Flags, Flag{Code: Drifts, By: p.By, Statistic: p.Drift.Chance, Critical: know(significant / people), Values: []float64{p.Drift.Over()}})
	}
}

// trialMeans returns a person's trials in order and how far their values lie, in
// the mean of the marks, from those of all trials.
func (t *table) trialMeans(person int) (x, y []float64) {
	sums, counts := map[int]float64{}, map[int]float64{}
	var order []int
	for m := range t.marks {
		if c := t.cell(person, m); c != nil {
			for i, trial := range c.trials {
				if counts[trial] == 0 {
					order = append(order, trial)
				}
				sums[trial] += c.values[i] - c.mean
				counts[trial]++
			}
		}
	}
	slices.Sort(order)
	for _, trial := range order {
		x, y = append(x, float64(trial)), append(y, sums[trial]/counts[trial])
	}
	return x, y
}

// climbs reports whether a trend is significant and more than rounding.
func (r *Result) climbs(t Trend, people float64) bool {
	return t.Chance.Known && t.Chance.Value < significant/people && math.Abs(t.Over()) > r.Data.Step.Degrees()/2+1e-9
}

// within gathers groups of points for one slope common to all of them (analysis
// of covariance; NIST/SEMATECH e-Handbook, 4.1.4.1 for a single group).
type within struct {
	xx, xy, yy, dof, longest float64
}

func (w *within) add(x, y []float64) {
	if len(x) < 2 {
		return
	}
	mx, sx := stats.MeanStdDev(x)
	my, sy := stats.MeanStdDev(y)
	n := float64(len(x) - 1)
	w.xx, w.yy, w.dof = w.xx+sx*sx*n, w.yy+sy*sy*n, w.dof+n
	for i := range x {
		w.xy += (x[i] - mx) * (y[i] - my)
	}
	w.longest = math.Max(w.longest, x[len(x)-1]-x[0])
}

// trend returns the slope, and how likely one as steep is without any.
func (w *within) trend() Trend {
	if w.xx == 0 || w.dof < 2 {
		return Trend{}
	}
	slope := w.xy / w.xx
	t := Trend{Slope: know(slope), DOF: w.dof - 1, Trials: w.longest}
	rest := math.Max(0, w.yy-slope*w.xy)
	if rest <= 1e-13*w.yy { // a straight line, but for rounding
		if w.yy > 0 && slope != 0 {
			t.Chance = know(0)
		}
		return t
	}
	variance := rest / t.DOF / w.xx
	half := -stats.TQuantile((1-Confidence)/2, t.DOF) * math.Sqrt(variance)
	t.Slope = bounded(slope, slope-half, slope+half)
	t.Chance = know(stats.FSurvival(slope*slope/variance, 1, t.DOF))
	return t
}

// deviations returns every person's deviation from the mean of all, with the
// marks allowed for by least squares, and its variance; nil where people can't be
// compared, or where nothing is known of the variance.
func (t *table) deviations(ofCell func(*cell) float64) (deviation, variance []float64) {
	p, m := len(t.people), len(t.marks)
	if p == 1 || !t.connected() {
		return nil, nil
	}
	known := ofCell != nil
	weigh := func(c *cell) float64 {
		if known {
			if v := ofCell(c); v > 0 {
				return 1 / v
			}
		}
		return c.n()
	}
	if n := t.balanced(); n > 0 { // the same in closed form
		deviation, variance = make([]float64, p), make([]float64, p)
		var grand float64
		for i := range t.cells {
			deviation[t.cells[i].by] += t.cells[i].mean / float64(m)
			grand += t.cells[i].mean / float64(len(t.cells))
		}
		v := 0.0
		if known {
			v = ofCell(&t.cells[0]) * float64(p-1) / float64(p*m)
		}
		for i := range deviation {
			deviation[i] -= grand
			variance[i] = v
		}
		return deviation, variance
	}
	// Normal equations with the marks eliminated. Adding what all people have in
	// common makes them regular, and their inverse less the same is the
	// pseudo-inverse.
	perMark, sumOfMark := make([]float64, m), make([]float64, m)
	matrix, right := mat.NewSymDense(p, nil), mat.NewVecDense(p, nil)
	var scale float64
	for i := range t.cells {
		c := &t.cells[i]
		w := weigh(c)
		perMark[c.mark] += w
		sumOfMark[c.mark] += w * c.mean
		matrix.SetSym(c.by, c.by, matrix.At(c.by, c.by)+w)
		right.SetVec(c.by, right.AtVec(c.by)+w*c.mean)
		scale += w / float64(p)
	}
	for j := range m {
		for a := range p {
			ca := t.cell(a, j)
			if ca == nil {
				continue
			}
			wa := weigh(ca)
			right.SetVec(a, right.AtVec(a)-wa*sumOfMark[j]/perMark[j])
			for b := a; b < p; b++ {
				if cb := t.cell(b, j); cb != nil {
					matrix.SetSym(a, b, matrix.At(a, b)-wa*weigh(cb)/perMark[j])
				}
			}
		}
	}
	common := scale / float64(p)
	for a := range p {
		for b := a; b < p; b++ {
			matrix.SetSym(a, b, matrix.At(a, b)+common)
		}
	}
	var chol mat.Cholesky
	inverse := mat.NewSymDense(p, nil)
	if !chol.Factorize(matrix) || chol.InverseTo(inverse) != nil {
		return nil, nil
	}
	var solved mat.VecDense
	solved.MulVec(inverse, right)
	deviation, variance = make([]float64, p), make([]float64, p)
	for a := range p {
		deviation[a] = solved.AtVec(a)
		if known {
			variance[a] = inverse.At(a, a) - 1/(common*float64(p)*float64(p))
		}
	}
	return deviation, variance
}

// byMark looks at one person's marks in the terms of ISO 5725-2, 7.3.1.
func (r *Result) byMark(t *table, person int) []PersonMark {
	base := r.Data.Values[0].Value
	var out []PersonMark
	for m, name := range t.marks {
		c := t.cell(person, m)
		if c == nil {
			continue
		}
		x := PersonMark{Mark: name, N: len(c.values), Mean: base + geometry.Angle(c.mean)}
		var means []float64
		var squares, dof float64
		for p := range t.people {
			if o := t.cell(p, m); o != nil {
				means = append(means, o.mean)
				squares, dof = squares+o.squares, dof+o.n()-1
			}
		}
		mean, spread := stats.MeanStdDev(means)
		x.Deviation = geometry.Angle(c.mean - mean)
		if len(means) >= 3 && spread > 0 {
			x.H = know((c.mean - mean) / spread)
		}
		if own := c.n() - 1; own > 0 {
			x.SD = deviation(c.squares/own, own)
			if squares > 0 && dof > own {
				x.K = know(math.Sqrt(c.squares / own / (squares / dof)))
			}
		}
		out = append(out, x)
	}
	return out
}
