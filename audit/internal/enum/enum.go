// Package enum gives enumerations their words: one list of words for each serves
// print, JSON and what is read back.
package enum

import "fmt"

// Word is the word of a value; where the list has none, its number with a mark
// that it is none.
func Word[T ~uint8](words []string, value T) string {
	if int(value) >= len(words) {
		return fmt.Sprintf("unknown %d", value)
	}
	return words[value]
}

// From finds the value of a word. The error names the words there are.
func From[T ~uint8](value *T, words []string, text []byte) error {
	for i, w := range words {
		if w == string(text) {
			*value = T(i)
			return nil
		}
	}
	return fmt.Errorf("found %q, expected one of %q", text, words)
}
