package words

import (
	"strings"

	"markaudit/audit/rehearse"
)

// Rehearsal says an opened rehearsal in sentences.
type Rehearsal struct{ rehearse.Opened }

// AboutRehearsal says what a rehearsal is.
const AboutRehearsal = "A rehearsal is a sheet of a stand that does not exist, and its truth in a sealed file. Choose one:"

// Lessons says what the truth teaches.
func (v Rehearsal) Lessons() []string {
	var out []string
	say := func(what string, of func(l rehearse.Line) bool) {
		var names []string
		for _, l := range v.Lines {
			if of(l) {
				names = append(names, Clean(l.Name))
			}
		}
		if len(names) > 0 {
			out = append(out, strings.Join(names, ", ")+": "+what)
		}
	}
	say("the answer says within or outside, and it is not so.", func(l rehearse.Line) bool { return l.Misjudge })
	say("decided where the readings do not decide: who says undecided is right here.", func(l rehearse.Line) bool { return l.Overbold && !l.Misjudge })
	say("the offset written down is farther from the truth than the readings allow: count again which is late, and from which middle.", func(l rehearse.Line) bool { return l.Answer != nil && l.Answer.HasOff && !l.Near })
	say("the audit, too, is wrong by itself here: what was so is not in the readings alone.", func(l rehearse.Line) bool { return l.Wrong })
	say("the ± of the audit does not hold the truth.", func(l rehearse.Line) bool {
		return l.Mark.Offset != nil && l.Mark.Offset.Known && !l.Held && !l.Wrong
	})
	if v.Answered == 0 {
		out = append(out, "No answers were given. Write down yours before you open the seal, and give them with --answers.")
	} else if len(out) == 0 {
		out = append(out, "Every answer is right, and no surer than the readings allow.")
	}
	for _, w := range v.Result.Warnings {
		if toDoFirst(w.Code) {
			out = append(out, "The audit said: "+Sentence(NewAudit(v.Result, nil).Warning(w)))
		}
	}
	return out
}
