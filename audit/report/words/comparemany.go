package words

import (
	"fmt"

	"markaudit/audit/compare"
	"markaudit/audit/report/rounding"
)

// Others are the lines that a page need not show one by one: where there are more
// than most, those that did not change and were not to. text is one sentence about
// all of them. Nil where every line is shown.
func (v Comparison) Others(most int) (rest map[string]bool, text string) {
	names := v.Result.Names()
	if len(names) <= most {
		return nil, ""
	}
	rest = map[string]bool{}
	for _, name := range names {
		rest[name] = true
	}
	for _, ch := range v.Result.Changes {
		if ch.Differs || ch.Scribed || ch.Moved {
			delete(rest, ch.Mark)
		}
	}
	var largest *compare.Change
	for i, ch := range v.Result.Changes {
		if rest[ch.Mark] && ch.Difference.Known && (largest == nil || ch.Difference.Value.Abs() > largest.Difference.Value.Abs()) {
			largest = &v.Result.Changes[i]
		}
	}
	text = fmt.Sprintf("The other %d did not change", len(rest))
	if largest != nil {
		e := largest.Difference
		text += fmt.Sprintf("; largest of them: %s, %s", Clean(largest.Mark), rounding.LaterSure(e.Value, e.Expanded))
	}
	return rest, text + "."
}
