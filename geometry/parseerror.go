package geometry

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// Refusal is the error of every parsing function, and of every function that
// is given a measurement which cannot be: a sentence for the person who wrote
// it. Text says what was found and what was expected, in lower case and without
// a full stop. Hint says what to write instead, or is empty. Neither holds
// control characters.
type Refusal struct{ Text, Hint string }

func (r *Refusal) Error() string {
	if r.Hint == "" {
		return r.Text
	}
	return r.Text + "\n  hint: " + r.Hint
}

// refuse builds a Refusal that begins with what was found.
func refuse(found, sentence, hint string) *Refusal {
	return &Refusal{Text: "found " + shown(found) + ", " + sentence, Hint: hint}
}

// shown renders input for an error: as it stands where it prints as it stands,
// else quoted, because a sheet may carry anything into a terminal.
func shown(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text[:min(len(text), most*utf8.UTFMax)])[:most]) + "…"
	}
	if text == "" {
		return "nothing"
	}
	plain := strings.TrimSpace(text) == text && utf8.ValidString(text)
	for _, r := range text {
		plain = plain && strconv.IsPrint(r)
	}
	if plain {
		return text
	}
	return strconv.Quote(text)
}
