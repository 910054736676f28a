package audit

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Comparison is what two or more audits of one part say of each other, in the
// order of their dates where all have one, else in the order given.
type Comparison struct {
	Audits  []Result
	Order   []int       // where each audit stood among the arguments
	Taken   []time.Time // the zero time where an audit has no date
	Changes []Change    // of single lines, from each audit to the next that read them
	Steps   []Step      // of all lines together, from each audit to the next
	Trends  []Trend     // of lines with three dates or more, then of all together
	LeftOut []string    // lines that are not declared alike in all audits
	from    []*analysis
}

// Change is how much later a line comes up in a later audit.
type Change struct {
	Mark       string
	From, To   int // indexes into Audits
	Difference Estimate
	P          float64 // probability of a change as large if there was none; NaN where it is not known
	Differs    bool    // P, times the number of lines compared in this step, is below 5 %
	Moved      bool    // a readout moved in one of the two, so nothing is known of the change
	Scribed    bool    // the earlier audit sent someone to scribe this line anew
	Meant      geometry.Angle
	AsMeant    bool // the change is what was meant, as far as can be told
}

// Step is what the lines did together from one audit to the next.
type Step struct {
	From, To int
	Shift    // Finding and Common are of the changes
}

// Trend is how fast a line, or all of them, come later.
type Trend struct {
	Mark    string // empty: all lines together
	PerYear Estimate
	Rising  bool // the interval leaves out zero
}

// Compare audits sheets of one part and holds the audits against each other. The
// error is of type [inputerror.List] where a sheet cannot be audited, and of type
// [*geometry.Refusal] where the sheets are of different things.
func Compare(sheets []sheet.Sheet) (Comparison, error) {
	var c Comparison
	if len(sheets) < 2 {
		return c, &geometry.Refusal{Text: "found one sheet, expected at least two of one part"}
	}
	if err := onePart(sheets); err != nil {
		return c, err
	}
	for _, i := range c.arrange(sheets) {
		a, err := analyse(sheets[i])
		if err != nil {
			return c, err
		}
		c.from, c.Audits = append(c.from, a), append(c.Audits, a.result)
	}
	names := c.lines()
	for i := 1; i < len(c.Audits); i++ {
		c.step(i-1, i)
	}
	for _, name := range names {
		c.change(name)
	}
	c.test()
	for _, name := range names {
		c.trend(name, []string{name})
	}
	c.trend("", c.inAll(names))
	return c, nil
}

// onePart refuses audits whose offsets cannot be compared.
func onePart(sheets []sheet.Sheet) error {
	first := sheets[0]
	for i, s := range sheets[1:] {
		for _, d := range []struct {
			key      string
			one, two any
			differ   bool
		}{
			{"part.marks_on", first.Part.MarksOn, s.Part.MarksOn, first.Part.MarksOn != s.Part.MarksOn},
			{"engine.turns", first.Engine.Turns, s.Engine.Turns, first.Engine.Turns != s.Engine.Turns},
			{"part.number", first.Part.Number, s.Part.Number, first.Part.Number != "" && s.Part.Number != "" && first.Part.Number != s.Part.Number},
			{"engine.number", first.Engine.Number, s.Engine.Number, first.Engine.Number != "" && s.Engine.Number != "" && first.Engine.Number != s.Engine.Number},
		} {
			if d.differ {
				return &geometry.Refusal{
					Text: fmt.Sprintf("found another %s on sheet %d than on the first, expected sheets of one part", d.key, i+2),
					Hint: "compare audits of the same part on the same engine",
				}
			}
		}
	}
	return nil
}

// arrange puts the sheets into the order of their dates.
func (c *Comparison) arrange(sheets []sheet.Sheet) []int {
	dated := true
	taken := make([]time.Time, len(sheets))
	for i := range sheets {
		day, ok := sheets[i].Taken()
		taken[i], dated = day, dated && ok
		c.Order = append(c.Order, i)
	}
	if dated {
		slices.SortStableFunc(c.Order, func(i, j int) int { return taken[i].Compare(taken[j]) })
	}
	for _, i := range c.Order {
		c.Taken = append(c.Taken, taken[i])
	}
	return c.Order
}

// lines are the names that mean one line in every audit that declares them.
func (c *Comparison) lines() []string {
	var names []string
	at := map[string]geometry.Angle{} // only looked up
	odd := map[string]bool{}
	for _, r := range c.Audits {
		for _, m := range r.Marks {
			if where, ok := at[m.Name]; !ok {
				names = append(names, m.Name)
				at[m.Name] = m.At
			} else if (where - m.At).Wrap().Abs() > tie {
				odd[m.Name] = true
			}
		}
	}
	return slices.DeleteFunc(names, func(n string) bool {
		if odd[n] {
			c.LeftOut = append(c.LeftOut, n)
		}
		return odd[n]
	})
}

func (c *Comparison) inAll(names []string) (all []string) {
	for _, n := range names {
		read := true
		for i := range c.Audits {
			read = read && c.mark(i, n) >= 0
		}
		if read {
			all = append(all, n)
		}
	}
	return all
}

// mark is the index of a line in an audit, -1 where it has no offset there.
func (c *Comparison) mark(audit int, name string) int {
	return slices.IndexFunc(c.Audits[audit].Marks, func(m Mark) bool { return m.Name == name && m.Offset != nil })
}

// part is one audit's share of a sum over audits.
type part struct {
	a      *analysis
	rows   uncertainty.Budget
	reach  reach
	known  bool
	weight float64
}

func (c *Comparison) of(audit int, name string, weight float64) part {
	a := c.from[audit]
	i := c.mark(audit, name)
	return part{a, c.Audits[audit].Marks[i].Offset.Budget, a.lines[i].reach(), c.Audits[audit].Marks[i].Offset.Known, weight}
}

// change compares a line in each audit with the next that read it.
func (c *Comparison) change(name string) {
	last := -1
	for i := range c.Audits {
		j := c.mark(i, name)
		if j < 0 {
			continue
		}
		if last >= 0 {
			before, now := c.Audits[last].Marks[c.mark(last, name)], c.Audits[i].Marks[j]
			change := Change{Mark: name, From: last, To: i, P: math.NaN()}
			value := (now.Offset.Value - before.Offset.Value).Wrap()
			rows, known := combine([]part{c.of(last, name, -1), c.of(i, name, 1)})
			var sum uncertainty.Sum
			change.Difference, sum = c.from[i].estimate(value, rows, known)
			if known {
				change.P = 1 - sum.Probability(value.Abs().Degrees())
			}
			change.Moved = c.Audits[last].Moved || c.Audits[i].Moved
			if change.Moved {
				known, change.Difference.Known, change.P = false, false, math.NaN()
			}
			if before.Scribe.Worthwhile {
				change.Scribed, change.Meant = true, -before.Offset.Value
				change.AsMeant = known && (value-change.Meant).Abs() <= change.Difference.Expanded
			}
			c.Changes = append(c.Changes, change)
		}
		last = i
	}
}

// test claims a change where it is improbable among all that were looked at in
// the same step (Bonferroni).
func (c *Comparison) test() {
	for i := range c.Changes {
		n := 0.0
		for _, other := range c.Changes {
			if other.To == c.Changes[i].To {
				n++
			}
		}
		c.Changes[i].Differs = c.Changes[i].P*n < 0.05
	}
}

// combine is the budget of a weighted sum of results from several audits. What
// they share is not independent: one correction, one lost motion of one readout,
// one crank. Remounting is stated for all by one figure, which may be too small
// in all of them, so it adds up end to end.
func combine(parts []part) (uncertainty.Budget, bool) {
	var rows uncertainty.Budget
	known := true
	type key struct {
		source, readout string
		limit           geometry.Angle
		index           int
	}
	at := map[key]int{} // only looked up
	signed := func(k key, row uncertainty.Row, sensitivity float64) {
		i, ok := at[k]
		if !ok {
			row.Sensitivity = 0
			rows = append(rows, row)
			i = len(rows) - 1
			at[k] = i
		}
		rows[i].Sensitivity += sensitivity
	}
	for p, x := range parts {
		known = known && x.known
		remounts := 0
		for _, row := range x.rows {
			if row.Idle || row.Sensitivity == 0 {
				continue
			}
			switch row.Source {
			case rowRemount:
				signed(key{rowRemount, "", row.Scale, remounts}, row, math.Abs(x.weight)*row.Sensitivity)
				remounts++
			case rowLost:
				name := x.a.sheet.Readout.Name
				if name == "" { // perhaps another one
					name = fmt.Sprint(p)
				}
				signed(key{rowLost, name, row.Scale, 0}, row, x.weight*row.Sensitivity)
			case rowPin, rowBore: // one crank; by how much depends on the half arc
				scale := row.Scale
				row.Scale = 1
				signed(key{row.Source, "", 0, 0}, row, x.weight*scale.Degrees()*row.Sensitivity)
			case rowRim:
				signed(key{rowRim, "", row.Scale, 0}, row, x.weight*x.reach.rim)
			case rowCorrection: // below
			default:
				row.Sensitivity *= math.Abs(x.weight)
				rows = append(rows, row)
			}
		}
	}
	return append(rows, corrections(parts)...), known
}

// corrections are the rows of the readouts' corrections: one for all audits that
// use the same.
func corrections(parts []part) uncertainty.Budget {
	var rows uncertainty.Budget
	done := make([]bool, len(parts))
	for i, x := range parts {
		if done[i] || x.a.table == nil {
			continue
		}
		var r reach
		for j := i; j < len(parts); j++ {
			if t := parts[j].a.table; t != nil && same(t, x.a.table) {
				r = r.plus(reach{table: parts[j].reach.table}, parts[j].weight)
				done[j] = true
			}
		}
		rows = append(rows, x.a.tableRow(r.table))
	}
	return rows
}

func same(a, b *sheet.Correction) bool {
	return a.Name == b.Name && a.Date == b.Date && a.From == b.From && slices.Equal(a.Sine, b.Sine) && slices.Equal(a.Cosine, b.Cosine)
}

// step asks what the lines did together from one audit to the next, as an audit
// asks what they are off together.
func (c *Comparison) step(from, to int) {
	s := Step{From: from, To: to, Shift: Shift{Homogeneity: math.NaN()}}
	a, b := c.from[from], c.from[to]
	linesA, _ := a.largestGroup()
	linesB, _ := b.largestGroup()
	var one, two []int
	for _, i := range linesA {
		j := slices.IndexFunc(linesB, func(j int) bool {
			return b.lines[j].mark.Name == a.lines[i].mark.Name && (b.lines[j].mark.At-a.lines[i].mark.At).Wrap().Abs() <= tie
		})
		scribed := c.Audits[from].Marks[i].Scribe.Worthwhile // a line that was to be moved says nothing of the part
		if j >= 0 && !scribed {
			one, two = append(one, i), append(two, linesB[j])
			s.Lines = append(s.Lines, a.lines[i].mark.Name)
		}
	}
	if len(one) > 0 && !c.Audits[from].Moved && !c.Audits[to].Moved {
		s.find(a, b, one, two)
	}
	c.Steps = append(c.Steps, s)
}

// find fills in what the changes of some lines say together.
func (s *Step) find(a, b *analysis, one, two []int) {
	g, f, ok := changes(a, b, one, two)
	if !ok {
		return
	}
	common := func(f fit, one, two []int) {
		rowsA, knownA := (&group{a: a, lines: one, stations: a.lines[one[0]].stations()}).commonRows(f.weights)
		rowsB, knownB := (&group{a: b, lines: two, stations: b.lines[two[0]].stations()}).commonRows(f.weights)
		rows, known := combine([]part{
			{a, rowsA, weighted(a, one, f.weights), knownA, -1},
			{b, rowsB, weighted(b, two, f.weights), knownB, 1},
		})
		if !known {
			return
		}
		e, sum := b.estimate(geometry.Angle(f.c), rows, true)
		s.Common, s.Shifted = &e, math.Abs(f.c) > sum.HalfWidth(1-claimLevel)
	}
	p := float64(len(one))
	if p > 1 {
		s.Homogeneity = stats.FSurvival(f.q/(p-1), p-1, g.nu)
	}
	if p == 1 || s.Homogeneity >= claimLevel {
		common(f, one, two)
		switch {
		case s.Common == nil:
		case !s.Shifted:
			s.Finding = None
		case p == 1:
			s.Finding = Individual
		default:
			s.Finding = Common
		}
		return
	}
	s.Finding = Individual
	j, single := g.standsOut(f)
	if !single {
		common(f, one, two)
		return
	}
	s.Finding, s.StandsOut = SingleMark, []string{a.lines[one[j]].mark.Name}
	one, two = slices.Delete(slices.Clone(one), j, j+1), slices.Delete(slices.Clone(two), j, j+1)
	if _, rest, ok := changes(a, b, one, two); ok {
		common(rest, one, two)
	}
}

// changes lays out the changes of some lines with their covariance, what is
// common left out: the two audits' scatter adds up.
func changes(a, b *analysis, one, two []int) (*group, fit, bool) {
	ga, okA := a.newGroup(one)
	gb, okB := b.newGroup(two)
	if !okA || !okB {
		return nil, fit{}, false
	}
	n := len(one)
	g := &group{a: b, lines: two, v: mat.NewSymDense(n, nil), offsets: make([]float64, n)}
	g.v.AddSym(ga.v, gb.v)
	for i := range n {
		g.offsets[i] = geometry.Angle(gb.offsets[i] - ga.offsets[i]).Wrap().Degrees()
	}
	// Welch-Satterthwaite (JCGM 100, G.4.1).
	va, vb := ga.meanContrast(), gb.meanContrast()
	g.nu = math.Inf(1)
	if over := va*va/ga.nu + vb*vb/gb.nu; over > 0 {
		g.nu = square(va+vb) / over
	}
	f, ok := g.fit()
	return g, f, ok
}

func weighted(a *analysis, lines []int, weights []float64) reach {
	var r reach
	for i, l := range lines {
		r = r.plus(a.lines[l].reach(), weights[i])
	}
	return r
}

// trend fits a straight line over time through three dates or more: of one line,
// or of the plain mean of several.
func (c *Comparison) trend(name string, lines []string) {
	if len(lines) == 0 || name == "" && len(lines) < 2 {
		return
	}
	var audits []int
	var years []float64
	days := map[time.Time]bool{} // only counted
	for i := range c.Audits {
		read := !c.Taken[i].IsZero() && !c.Audits[i].Moved
		for _, n := range lines {
			read = read && c.mark(i, n) >= 0
		}
		if read {
			audits, years = append(audits, i), append(years, c.Taken[i].Sub(c.Taken[0]).Hours()/24/365.25)
			days[c.Taken[i]] = true
		}
	}
	if len(days) < 3 {
		return
	}
	mean, _ := stats.MeanStdDev(years)
	var sxx float64
	for _, x := range years {
		sxx += square(x - mean)
	}
	var parts []part
	var slope geometry.Angle
	for k, i := range audits {
		weight := (years[k] - mean) / sxx
		a := c.from[i]
		indexes, weights := make([]int, len(lines)), make([]float64, len(lines))
		var offset geometry.Angle
		first := c.Audits[audits[0]]
		for j, n := range lines {
			indexes[j], weights[j] = c.mark(i, n), 1/float64(len(lines))
			from := first.Marks[c.mark(audits[0], n)].Offset.Value
			offset += nearest(c.Audits[i].Marks[indexes[j]].Offset.Value, from) / geometry.Angle(len(lines))
		}
		slope += geometry.Angle(weight) * offset
		p := part{a: a, weight: weight, reach: weighted(a, indexes, weights)}
		if name != "" {
			p = c.of(i, name, weight)
		} else if sameStations(a, indexes) {
			p.rows, p.known = (&group{a: a, lines: indexes, stations: a.lines[indexes[0]].stations()}).commonRows(weights)
		}
		parts = append(parts, p)
	}
	rows, known := combine(parts)
	t := Trend{Mark: name}
	t.PerYear, _ = c.from[len(c.from)-1].estimate(slope, rows, known)
	t.Rising = known && t.PerYear.Value.Abs() > t.PerYear.Expanded
	c.Trends = append(c.Trends, t)
}

func sameStations(a *analysis, lines []int) bool {
	for _, i := range lines[1:] {
		if !slices.Equal(a.lines[i].stations(), a.lines[lines[0]].stations()) {
			return false
		}
	}
	return true
}
