package sheet

import (
	"regexp"
	"time"

	"markaudit/audit/inputerror"
)

var likeDay = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`)

// dates refuses days that there are not. A date in words is left as it is.
func (c *checker) dates() {
	check := func(path inputerror.Path, text string) {
		if _, err := time.Parse(time.DateOnly, text); err != nil && likeDay.MatchString(text) {
			c.fault(path, "found "+text+", a day that there is not, expected one such as 2026-03-14", "")
		}
	}
	check("date", c.Date)
	for i, s := range c.Setups {
		check(pathOr(s.Path, "setups", i)+".date", s.Date)
	}
}
