package audit

import (
	"math"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Compared is how far one way of finding TDC puts it after another.
type Compared struct {
	First, Second sheet.Method
	Difference    Estimate // Second later than First: positive
	Together      bool     // taken in the same mountings; else over the lines that both saw
	Differ        bool     // the interval leaves out zero
}

// compareMethods holds the ways of finding TDC against the first one used: in the
// mountings that used both where there are any, else by the lines' offsets.
func (a *analysis) compareMethods() {
	tdc := a.result.TDC
	first := tdc.Setups[0].Method
	for _, second := range []sheet.Method{sheet.Stop, sheet.EqualDrop, sheet.Sweep} {
		if second == first || !a.used(second) {
			continue
		}
		c, ok := a.methodsInOne(first, second)
		if !ok {
			c, ok = a.methodsByLines(first, second)
		}
		if !ok {
			continue
		}
		c.Differ = c.Difference.Known && c.Difference.Value.Abs() > c.Difference.Expanded
		a.result.Methods = append(a.result.Methods, c)
		if c.Differ {
			a.warn(Warning{
				Code: MethodsDiffer, Names: []string{first.String(), second.String()},
				Values: []float64{c.Difference.Value.Degrees(), c.Difference.Expanded.Degrees()},
			})
		}
	}
}

func (a *analysis) used(m sheet.Method) bool {
	for _, s := range a.result.TDC.Setups {
		if s.Method == m {
			return true
		}
	}
	return false
}

// by is the TDC of a cylinder by one method alone, nil where it was not used.
func (a *analysis) by(t *top, m sheet.Method) *top {
	one := &top{cylinder: t.cylinder}
	for _, f := range t.found {
		if a.result.TDC.Setups[f].Method == m {
			one.found = append(one.found, f)
		}
	}
	if len(one.found) == 0 {
		return nil
	}
	a.join(one)
	return one
}

// methodsInOne compares two methods where the readout stayed.
func (a *analysis) methodsInOne(first, second sheet.Method) (Compared, bool) {
	c := Compared{First: first, Second: second, Together: true}
	var gaps []geometry.Angle
	var r reach
	m, plus, minus := mix{}, mix{}, mix{}
	for _, s := range a.stations {
		for _, t := range s.tops {
			one, other := a.by(t, first), a.by(t, second)
			if one == nil || other == nil {
				continue
			}
			gaps = append(gaps, a.apart(one, other))
			m.tops = append(m.tops, weighed{other, 1}, weighed{one, -1})
			plus.tops, minus.tops = append(plus.tops, weighed{other, 1}), append(minus.tops, weighed{one, 1})
			r = r.plus(other.reach, 1).plus(one.reach, -1)
		}
	}
	if len(gaps) == 0 {
		return c, false
	}
	n := float64(len(gaps))
	m.over, plus.over, minus.over = n, n, n
	rows := a.topRepeats(m, 1).stopRows()
	known := a.topRepeats(m, 1).stopKnown()
	// Rock and slack reach each method in its own way.
	rows = append(append(rows, a.contactRows(plus)...), a.contactRows(minus)...)
	rows = append(rows, a.readoutRows(r.over(n))...)
	c.Difference, _ = a.estimate(mean(geometry.Unwrap(gaps, gaps[0])), rows, known)
	return c, true
}

// methodsByLines compares two methods that were used in different mountings, by
// what the lines that all of these saw are off on average. A later TDC makes
// every line come earlier.
func (a *analysis) methodsByLines(first, second sheet.Method) (Compared, bool) {
	c := Compared{First: first, Second: second}
	lines, _ := a.largestGroup()
	if len(lines) == 0 {
		return c, false
	}
	p := float64(len(lines))
	var offsets [2][]geometry.Angle
	var mixes [2]mix
	var own uncertainty.Budget
	known := true
	for j, t := range a.lines[lines[0]].tops() {
		side := -1
		for i, m := range []sheet.Method{first, second} {
			if one := a.by(t, m); one != nil && len(one.found) == len(t.found) {
				side = i
			}
		}
		if side < 0 {
			continue
		}
		var sum geometry.Angle
		for _, i := range lines {
			sum += a.lines[i].offsets()[j] / geometry.Angle(p)
		}
		offsets[side] = append(offsets[side], sum)
		mixes[side].tops = append(mixes[side].tops, weighed{t, 1})
	}
	if len(offsets[0]) == 0 || len(offsets[1]) == 0 {
		return c, false
	}
	var rows uncertainty.Budget
	for side := range mixes {
		n := float64(len(offsets[side]))
		mixes[side].over = n
		r := a.topRepeats(mixes[side], 1)
		known = known && r.stopKnown()
		rows = append(append(rows, r.stopRows()...), a.contactRows(mixes[side])...)
		for _, i := range lines {
			l := &a.lines[i]
			known = known && l.scatter.dof > 0
			r := a.repeats(l)
			r.perLine *= float64(len(l.seen)) / n
			for _, row := range r.lineRows() {
				if !row.Idle {
					row.Sensitivity /= p
					own = merge(own, row, l.scatter.source)
				}
			}
		}
		if limit := a.sheet.Limits.Remount; limit.Half > 0 {
			for range offsets[side] {
				rows = append(rows, limitRow(rowRemount, limit, 1/n))
			}
		}
	}
	value := mean(offsets[0]) - mean(offsets[1])
	c.Difference, _ = a.estimate(value.Wrap(), append(rows, own...), known)
	if a.sheet.Limits.Remount.Half == 0 { // nothing says what remounting does
		c.Difference.Known = c.Difference.Known && math.Min(float64(len(offsets[0])), float64(len(offsets[1]))) > 1
	}
	return c, true
}
