package paper

import "markaudit/audit/advise"

// onlyIf says what has to have been found where all lines are off alike: a move that puts
// them right is no proof that this is what moved.
func onlyIf(s stripper) string {
	given, ok := s.offAlike()
	switch {
	case !ok || len(s.o.Tape) > 0 || s.o.Full:
		return ""
	case given.Move != advise.MovePointer && s.tight():
		return " Turning line not found at fault: scribe nothing."
	case given.Move != advise.MovePointer:
		return " Only if the turning line alone is at fault: a scale is moved, a part that slipped refitted. Nothing found: scribe nothing."
	case s.tight():
		return " Pointer not found bent or loose, or an outer ring slipped: set nothing."
	}
	return " Only if pointer or tab is found bent or loose. Nothing found, or an outer ring slipped on its hub (rubber torn, paint mark broken): set nothing."
}
