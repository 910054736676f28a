package compare

// Names are the lines of all audits, in the order in which they first appear.
func (c Comparison) Names() (names []string) {
	seen := map[string]bool{} // only looked up
	for _, r := range c.Audits {
		for _, m := range r.Lines {
			if !seen[m.Name] {
				seen[m.Name] = true
				names = append(names, m.Name)
			}
		}
	}
	return names
}
