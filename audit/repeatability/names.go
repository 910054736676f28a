package repeatability

import (
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Alias is a name that was written in another way too, and is taken as one.
type Alias struct{ Name, Also string }

// names gives people, or lines, one spelling each: the first. Names that differ
// by blanks, by capitals or by how a letter with its accent is stored are one.
type names struct {
	first   map[string]string // by what is compared
	Aliases []Alias
	seen    map[Alias]bool
}

func newNames() *names { return &names{first: map[string]string{}, seen: map[Alias]bool{}} }

// of returns the spelling of a name.
func (n *names) of(text string) string {
	text = strings.Join(strings.Fields(norm.NFC.String(text)), " ")
	key := strings.ToLower(strings.ToUpper(text)) // ß and ss, ς and σ fall together so
	first, ok := n.first[key]
	if !ok {
		n.first[key] = text
		return text
	}
	if also := (Alias{first, text}); first != text && !n.seen[also] {
		n.seen[also] = true
		n.Aliases = append(n.Aliases, also)
	}
	return first
}

// nearNames are the pairs of people whose names are one letter apart, from four
// letters on, and who have no trial of a mark in common: one of the two may be a
// slip of the pen. Of a class of n they are n²/2 comparisons.
func nearNames(t *table) (pairs [][2]string) {
	for a := range t.people {
		for b := a + 1; b < len(t.people); b++ {
			if oneApart([]rune(t.people[a]), []rune(t.people[b])) && !t.meet(a, b) {
				pairs = append(pairs, [2]string{t.people[a], t.people[b]})
			}
		}
	}
	return pairs
}

const leastLetters = 4 // below it many names are one letter apart; common practice, no source

// oneApart reports whether a letter changed, more, less, or two exchanged makes
// one of the other.
func oneApart(a, b []rune) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a) < leastLetters || len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	ra, rb := a[i:], b[i:]
	switch {
	case len(ra) < len(rb):
		return string(ra) == string(rb[1:])
	case len(ra) == 0:
		return false // the same
	case string(ra[1:]) == string(rb[1:]):
		return true
	}
	return len(ra) > 1 && ra[0] == rb[1] && ra[1] == rb[0] && string(ra[2:]) == string(rb[2:])
}
