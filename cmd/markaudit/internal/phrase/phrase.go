// Package phrase has the pieces of sentences that every room of the command
// uses: a name as it was typed, a number of things, words to choose from.
package phrase

import (
	"fmt"
	"strings"

	"markaudit/audit/inputerror"
)

// Shown renders for a sentence what somebody typed, such as the name of a file:
// signs that cannot be seen are written out, and an empty text is "nothing".
func Shown(typed string) string {
	if typed == "" {
		return "nothing"
	}
	return inputerror.Visible(typed)
}

// Count says a number of things, in the plural where it is not one: "2 readings".
func Count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// OneOf lists words to choose from, at least one: "text, json or csv".
func OneOf(words []string) string {
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
