package words

import (
	"strings"

	"markaudit/audit/inputerror"
)

// Clean shows control characters escaped, so that a name cannot rewrite the
// screen.
func Clean(s string) string { return inputerror.Visible(s) }

// CleanAll is [Clean] of several names.
func CleanAll(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = Clean(n)
	}
	return out
}

// Sentence begins with a capital and ends with a full stop.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[0])) + Dot(string(r[1:]))
}

// Dot ends a sentence with a full stop, unless it has one.
func Dot(s string) string {
	if strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}
