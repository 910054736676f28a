package paper

// onlyIf says what has to have been found where all lines are off alike: a move that puts
// them right is no proof that this is what moved.
func onlyIf(s stripper) string {
	switch {
	case s.shared == nil:
		return ""
	case !s.sets() && s.tight():
		return " Turning line not found at fault: scribe nothing."
	case !s.sets():
		return " Only if the turning line alone is at fault: a scale is moved, a part that slipped refitted. Nothing found: scribe nothing."
	case s.tight():
		return " Pointer not found bent or loose, or an outer ring slipped: set nothing."
	}
	return " Only if pointer or tab is found bent or loose. Nothing found, or an outer ring slipped on its hub (rubber torn, paint mark broken): set nothing."
}
