package repeatability

import "markaudit/audit/internal/stats"

// additive reports whether people and marks alone, by least squares, say where every
// cell's mean lies. Of one mark, of one person, and of no more cells than people and
// marks have differences, they always do.
func additive(t *table) bool {
	people, _ := t.deviations(nil)
	if people == nil { // one person
		people = make([]float64, len(t.people))
	}
	ofMark, count := make([]float64, len(t.marks)), make([]float64, len(t.marks))
	for i := range t.cells {
		c := &t.cells[i]
		ofMark[c.mark] += c.n() * (c.mean - people[c.by])
		count[c.mark] += c.n()
	}
	for i := range t.cells {
		c := &t.cells[i]
		if square(c.mean-people[c.by]-ofMark[c.mark]/count[c.mark]) > nothing {
			return false
		}
	}
	return true
}

// withoutScatter is a study in which nothing is left beside people and marks. How
// they differ is then a matter of their own differences, as in [Result.anova] with
// no mean square to take off, and the likelihood has no maximum.
func withoutScatter(c *Components, t *table, interaction bool) {
	c.Repeatability = know(0)
	if interaction {
		c.Interaction = know(0)
	}
	spread := func(effects []float64) Estimate {
		_, sd := stats.MeanStdDev(effects)
		return deviation(sd*sd, float64(len(effects)-1))
	}
	people, _ := t.deviations(nil)
	if people != nil {
		c.Person = spread(people)
		c.Reproducibility = c.Person
	}
	if len(t.marks) > 1 {
		marks := make([]float64, len(t.marks))
		for i := range t.cells {
			x := &t.cells[i]
			marks[x.mark] = x.mean
			if people != nil {
				marks[x.mark] -= people[x.by]
			}
		}
		c.Mark = spread(marks)
	}
}
