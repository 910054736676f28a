package sheet

import (
	"slices"
	"strings"

	"markaudit/audit/inputerror"
)

// Entries are the tables of a list, such as part.spacings, each with its keys and
// their texts. It is empty where there is none.
func (f Form) Entries(path inputerror.Path) (all [][][2]string) {
	n := f.root.find(path)
	if n == nil || n.kind != list {
		return nil
	}
	for _, item := range n.items {
		var pairs [][2]string
		for i, key := range item.keys {
			pairs = append(pairs, [2]string{key, item.items[i].text})
		}
		all = append(all, pairs)
	}
	return all
}

// SetEntries writes a list of tables on one line; without any the key is taken off the
// sheet. A list over several lines is left to the hand.
func (f Form) SetEntries(path inputerror.Path, entries [][][2]string) (Form, error) {
	if len(entries) == 0 {
		return f.Remove(path)
	}
	shown := make([]string, len(entries))
	for i, pairs := range entries {
		shown[i] = flow(pairs...)
	}
	value := "[" + strings.Join(shown, ", ") + "]"
	g, err := f.set(path, value, func(n *node) bool { return n.kind == list && n.flow() == value })
	if err != nil || !slices.EqualFunc(g.Entries(path), entries, slices.Equal) {
		return f, errByHand
	}
	return g, nil
}
