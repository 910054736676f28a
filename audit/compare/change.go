package compare

import "markaudit/audit/uncertainty"

// change compares a line in each audit with the next that read it.
func (c *Comparison) change(name string) {
	last := -1
	for i := range c.Audits {
		j := c.line(i, name)
		if j < 0 {
			continue
		}
		if last >= 0 {
			c.Changes = append(c.Changes, c.between(name, last, i))
		}
		last = i
	}
}

// between is how a line changed from one audit to a later one.
func (c *Comparison) between(name string, last, now int) Change {
	k := c.line(last, name)
	before, after := c.Audits[last].Lines[k], c.Audits[now].Lines[c.line(now, name)]
	change := Change{Mark: name, From: last, To: now}
	value := (after.Offset.Value - before.Offset.Value).Wrap()
	var sum uncertainty.Sum
	change.Difference, sum = uncertainty.Add(c.of(last, name).Times(-1), c.of(now, name)).Evaluate(c.Audits[now].Sheet.Limits.Confidence)
	change.Difference.Value = value
	known := change.Difference.Known
	if change.Moved = moved(c.Audits[last]) || moved(c.Audits[now]); change.Moved {
		known, change.Difference.Known = false, false
	}
	if known {
		p := 1 - sum.Probability(value.Abs().Degrees())
		change.P = &p
	}
	if c.Audits[last].Advice.Lines[k].Worthwhile {
		change.Scribed, change.Meant = true, -before.Offset.Value
		change.AsMeant = known && (value-change.Meant).Abs() <= change.Difference.Expanded
	}
	return change
}

// falseChanges is the rate at which any change may be claimed of a step in which
// nothing changed.
const falseChanges = 0.05

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
		c.Changes[i].Differs = c.Changes[i].P != nil && *c.Changes[i].P*n < falseChanges
	}
}
