package repeatability

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// levels looks at each mark by itself, as ISO 5725-2 looks at each level: clause
// 7.4 for the standard deviations, with unequal numbers of values, 7.3 for the
// tests.
func levels(base geometry.Angle, t *table) (out []Level) {
	for m, name := range t.marks {
		l := Level{Mark: name}
		var cells []*cell
		for p := range t.people {
			if c := t.cell(p, m); c != nil {
				cells = append(cells, c)
			}
		}
		var n, n2, sum, squares float64
		means := make([]float64, len(cells))
		for i, c := range cells {
			means[i] = c.mean
			n, n2, sum, squares = n+c.n(), n2+c.n()*c.n(), sum+c.n()*c.mean, squares+c.squares
		}
		p, mean := float64(len(cells)), sum/n
		l.N, l.Mean = int(n), base+geometry.Angle(mean)
		within := n - p
		if within > 0 {
			l.Repeatability = deviation(squares/within, within)
		}
		if len(cells) > 1 {
			_, s := stats.MeanStdDev(means)
			l.SpreadOfMeans = know(s)
			var between float64
			for _, c := range cells {
				between += c.n() * (c.mean - mean) * (c.mean - mean) / (p - 1)
			}
			switch {
			case within > 0:
				perPerson := (n - n2/n) / (p - 1)
				own := l.Repeatability.Value * l.Repeatability.Value
				l.Reproducibility = know(math.Sqrt(own + math.Max(0, (between-own)/perPerson)))
			default: // one value each
				l.Reproducibility = deviation(between, p-1)
			}
		}
		l.outliers(t, cells, means)
		out = append(out, l)
	}
	return out
}

// outliers tests the people's variances and means at one mark.
func (l *Level) outliers(t *table, cells []*cell, means []float64) {
	dof := usualDOF(cells)
	var variances []float64
	var whose []int
	for _, c := range cells {
		if d := c.n() - 1; d > 0 && d == dof {
			variances, whose = append(variances, c.squares/d), append(whose, c.by)
		}
	}
	if i, c, critical := stats.Cochran(variances, dof, significant); i >= 0 {
		l.Cochran, l.CochranCritical, l.CochranBy = know(c), know(critical), t.people[whose[i]]
	}
	if i, g, critical := stats.Grubbs(means, significant); i >= 0 {
		l.Grubbs, l.GrubbsCritical, l.GrubbsBy = know(g), know(critical), t.people[cells[i].by]
	}
	if p := len(cells); p >= 3 {
		l.H1, l.H5 = know(stats.MandelH(p, 0.01)), know(stats.MandelH(p, 0.05))
	}
	if p := float64(len(cells)); p >= 2 && dof > 0 && len(variances) == len(cells) {
		l.KCritical1, l.KCritical5 = know(stats.MandelK(dof, (p-1)*dof, 0.01)), know(stats.MandelK(dof, (p-1)*dof, 0.05))
	}
}

// usualDOF is the number of degrees of freedom that most cells have, the smaller
// of two that are equally frequent: Cochran's test asks for cells of one size.
func usualDOF(cells []*cell) (dof float64) {
	most := 0
	for _, c := range cells {
		if c.n() < 2 {
			continue
		}
		same := 0
		for _, d := range cells {
			if d.n() == c.n() {
				same++
			}
		}
		if d := c.n() - 1; same > most || same == most && d < dof {
			most, dof = same, d
		}
	}
	return dof
}
