package words

import (
	"fmt"
	"strings"

	"markaudit/audit/lines"
	"markaudit/audit/report/rounding"
	"markaudit/audit/uncertainty"
)

// lent says which lines were read so seldom that the others lend their scatter.
func (v Audit) lent() string {
	var names []string
	var counted float64
	for _, m := range v.Result.ByLine() {
		if m.Scatter.Lent > 0 && len(m.Seen) < uncertainty.EnoughSetups {
			names, counted = append(names, Clean(m.Name)+" "+readTimes(m.Line)), m.Scatter.Lent
		}
	}
	if len(names) == 0 {
		return ""
	}
	whose := "its scatter is"
	if len(names) > 1 {
		whose = "their scatter is"
	}
	return fmt.Sprintf("Read seldom: %s; %s lent by the lines read more often (counted as %s more).",
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
