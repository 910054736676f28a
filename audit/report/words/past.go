package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/lines"
	"markaudit/audit/past"
	"markaudit/audit/report/rounding"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// AsFitted reports whether a verdict answers only for the setups taken.
func AsFitted(m audit.LineResult) bool {
	return m.Offset != nil && m.Offset.Known && m.Covers == lines.Repeatability
}

// Fitted marks a verdict that answers only for the setups taken, or for remounting as
// it was in earlier audits.
func Fitted(m audit.LineResult) string {
	switch {
	case AsFitted(m):
		return ", as fitted"
	case m.Offset != nil && m.Offset.Known && m.Remounted.Used:
		return ", as in " + earlier(m.Remounted.Sheets)
	}
	return ""
}

func earlier(n int) string { return rounding.Count(n, "earlier audit", "earlier audits") }

// aboutRemounting says what the ± knows of remounting, where no line is as fitted.
func aboutRemounting(v Audit) string {
	for _, m := range v.Result.ByLine() {
		if m.Offset == nil || !m.Remounted.Used {
			continue
		}
		text := " Remounting is included: it is taken from " + earlier(m.Remounted.Sheets)
		if len(m.Seen) == 1 {
			text += ". One mounting cannot show it if today's was worse"
		}
		return text + "."
	}
	return " Remounting is included."
}

// aboutHistory says what the history of the readout did.
func aboutHistory(v Audit) string {
	h := v.Result.Sheet.Readout.History
	if h == nil {
		return ""
	}
	name := fmt.Sprintf("The history of %s (%s, SHA-256 %.12s)", Clean(h.Readout), rounding.Count(len(h.Sheets), "sheet", "sheets"), h.Digest)
	var parts []string
	say := func(what string, u past.Use, repeated bool) {
		if !u.Used {
			return
		}
		today := "not repeated today"
		if repeated {
			today = scatterOf(u.Today) + " today"
		}
		parts = append(parts, fmt.Sprintf("%s as in %s (%s then, %s)", what, earlier(u.Sheets), scatterOf(u.Then), today))
	}
	say("scatter of middles", v.Result.TDC.Before, v.Result.TDC.DOF > 0)
	for _, m := range v.Result.ByLine() {
		if m.Before.Used {
			say("scatter of readings", m.Before, m.Scatter.DOF > 0)
			break
		}
	}
	for _, m := range v.Result.ByLine() {
		if m.Remounted.Used {
			parts = append(parts, fmt.Sprintf("remounting as in %s (%s)", earlier(m.Remounted.Sheets), scatterOf(m.Remounted.Then)))
			break
		}
	}
	if len(parts) == 0 {
		return name + " is not used."
	}
	return name + " counts: " + strings.Join(parts, "; ") + ". Each counts as four readings more."
}

// scatterOf is a standard deviation with two digits, of values that may be all alike.
func scatterOf(sd geometry.Angle) string {
	if sd < geometry.Tie {
		return allAlike
	}
	return rounding.TwoDigits(sd)
}

// historyNotUsed says why a history does not count.
func historyNotUsed(v Audit, w warning.Warning, name, in string) string {
	if w.Names[0] == past.OtherHands {
		return in + "the readout's history is of other hands than " + Clean(w.Names[1]) + "'s, and is not used. Gather one with their sheets"
	}
	what := map[string]string{past.Middles: "middles", past.Readings: "readings", past.Mountings: "setups"}[w.Names[0]]
	whose := "today's " + what + " scatter"
	if name != "" {
		whose = name + ": today's " + what + " scatter"
	}
	sd := func(i int) string { return scatterOf(geometry.Angle(w.Values[i])) }
	return fmt.Sprintf("%s more than they used to (%s against %s). The history is not used for them. Look for what is loose", whose, sd(1), sd(0))
}

// historyOutOfControl names the sheets of a history that lie outside.
func historyOutOfControl(v Audit, w warning.Warning) string {
	names := slices.Clone(w.Names)
	for i, n := range names {
		names[i] = fmt.Sprintf("%.12s", n)
	}
	return "the readout's history is out of control, and is not used. Outside lie " + strings.Join(names, ", ") + ". Look at pointer, stop and wheel. Then gather the history anew from the sheets after that, or strike those that lie outside, `markaudit history --without`"
}

// budgetNote says in a budget what the past lends.
func budgetNote(e *uncertainty.Estimate) string {
	if slices.ContainsFunc(e.Budget, func(r uncertainty.Row) bool { return r.Source == uncertainty.AsBefore }) {
		return " The row of setups joins today's with those of the readout's history, counted as four readings more."
	}
	return ""
}

// lentScatter says which lines were read so seldom that the others lend their scatter.
func lentScatter(v Audit) string {
	var names []string
	var counted float64
	for _, m := range v.Result.ByLine() {
		if m.Scatter.Lent > 0 && len(m.Seen) < uncertainty.EnoughSetups {
			names, counted = append(names, Quoted(m.Name)+" "+readTimes(m.Line)), m.Scatter.Lent
		}
	}
	if len(names) == 0 {
		return ""
	}
	whose := "its scatter is"
	if len(names) > 1 {
		whose = "their scatter is"
	}
	return fmt.Sprintf("Read seldom: %s. For the ± %s lent by the lines read more often, counted as %s more.",
		strings.Join(names, ", "), whose, rounding.Count(int(counted), "reading", "readings"))
}

func readTimes(l lines.Line) string {
	switch n := l.Readings(); n {
	case 1:
		return "once"
	case 2:
		return "twice"
	default:
		return fmt.Sprintf("%d times", n)
	}
}
