package report

import "markaudit/audit/sheet"

// clean shows control characters escaped, so that a name cannot rewrite the
// screen.
func clean(s string) string { return sheet.Visible(s) }
