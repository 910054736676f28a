package words

import (
	"slices"
	"strings"

	"markaudit/audit/diagnosis"
	"markaudit/audit/rehearse"
	"markaudit/audit/report/rounding"
)

// Rehearsal says an opened rehearsal in sentences.
type Rehearsal struct{ rehearse.Opened }

// AboutRehearsal says what a rehearsal is.
const AboutRehearsal = "A rehearsal is a sheet of a stand that does not exist. Its truth is in a sealed file. Choose one:"

// Lessons says what the truth teaches.
func (v Rehearsal) Lessons() []string {
	var out []string
	say := func(what string, of func(l rehearse.Line) bool) {
		var names []string
		for _, l := range v.Lines {
			if of(l) {
				names = append(names, Quoted(l.Name))
			}
		}
		if len(names) > 0 {
			out = append(out, ofLines(names)+": "+what)
		}
	}
	said := func(item rehearse.Item, reason rehearse.Reason) func(rehearse.Line) bool {
		return func(l rehearse.Line) bool {
			return slices.ContainsFunc(v.Score, func(s rehearse.Scored) bool { return s.Mark == l.Name && s.Item == item && s.Reason == reason })
		}
	}
	say("the answer says within or outside, and it is not so.", func(l rehearse.Line) bool { return l.Misjudge })
	say("decided where the readings do not decide. The right answer here is undecided.", func(l rehearse.Line) bool { return l.Overbold && !l.Misjudge })
	for _, l := range v.Lines {
		if said(rehearse.Verdict, rehearse.Needless)(l) {
			out = append(out, lineBegins(l.Name)+": undecided was not needed. The readings decide here: "+Offset(l.Mark.Offset)+" "+besideTolerance(l)+".")
		}
	}
	say("early and late are exchanged. Count again from the middle.", said(rehearse.OffBy, rehearse.WrongWay))
	say("the offset written down is farther from the truth than the readings allow. Count again which way is late, and from which middle.", func(l rehearse.Line) bool {
		return l.Answer != nil && l.Answer.HasOff && !l.Near && !said(rehearse.OffBy, rehearse.WrongWay)(l)
	})
	say("the verdict was not answered.", said(rehearse.Verdict, rehearse.NotAnswered))
	say("how far it is off was not answered.", said(rehearse.OffBy, rehearse.NotAnswered))
	say("the audit, too, is wrong here. The readings alone do not tell what was so.", func(l rehearse.Line) bool { return l.Wrong })
	say("the truth lies outside the ± of the audit.", func(l rehearse.Line) bool {
		return l.Mark.Offset != nil && l.Mark.Offset.Known && !l.Held && !l.Wrong
	})
	out = append(out, v.aboutSheet()...)
	out = append(out, v.aboutHands()...)
	points, of := v.Points()
	switch {
	case v.Score == nil:
		out = append(out, "No answers were given. Write down yours before you open the seal. Give them with --answers.")
	case points == of:
		out = append(out, "Every answer is right, and no surer than the readings allow.")
	}
	for _, w := range v.Result.Warnings {
		if toDoFirst(w.Code) {
			out = append(out, "The audit said: "+Sentence(Warning(NewAudit(v.Result, nil), w)))
		}
	}
	return out
}

// besideTolerance says on which side of its tolerance an offset lies.
func besideTolerance(l rehearse.Line) string {
	where := "lies beyond"
	if l.Mark.Verdict == diagnosis.Within {
		where = "lies within"
	}
	return where + " " + rounding.Plain(rounding.Trimmed(l.Tolerance.Degrees())) + "°"
}

// handSentences say what came of naming a hand; with the item, and the reason.
var handSentences = map[rehearse.Item]map[rehearse.Reason]string{ // only looked up
	rehearse.Scatters: {
		rehearse.Missed: "scatters more than the others, and was not named.", rehearse.FalseBlame: "does not scatter more than the others, and was blamed for it.",
		rehearse.NotAnswered: "whether this hand scatters was not answered.",
	},
	rehearse.SitsOff: {
		rehearse.Missed: "sits off, and was not named.", rehearse.FalseBlame: "does not sit off, and was blamed for it.",
		rehearse.NotAnswered: "whether this hand sits off was not answered.",
	},
	rehearse.Advice: {
		rehearse.OtherAdvice: "needs something else than was advised.",
	},
}

// aboutSheet says what came of the cause, and of what to look at next.
func (v Rehearsal) aboutSheet() (out []string) {
	for _, s := range v.Score {
		switch {
		case s.Item == rehearse.OfCause && s.Reason == rehearse.NotAnswered:
			out = append(out, "What was wrong was not answered.")
		case s.Item == rehearse.OfCause && s.Points < s.Of:
			out = append(out, "The cause was: "+string(v.Cause)+". Of the answer: "+AboutScored(s)+".")
		case s.Item == rehearse.Confirm && s.Reason == rehearse.NotAnswered:
			out = append(out, "What to look at or to measure next was not answered.")
		case s.Item == rehearse.Confirm && s.Points < s.Of:
			out = append(out, "What to look at or to measure next: "+AboutScored(s)+".")
		}
	}
	return out
}

// aboutHands says what came of the answers about a class.
func (v Rehearsal) aboutHands() (out []string) {
	for _, s := range v.Score {
		if text := handSentences[s.Item][s.Reason]; text != "" {
			out = append(out, Clean(s.Mark)+": "+text)
		}
	}
	return out
}

// PointsLine is the score in a sentence; empty where nothing was handed in.
func (v Rehearsal) PointsLine() string {
	if v.Score == nil {
		return ""
	}
	points, of := v.Points()
	return rounding.Plain(points) + " of " + rounding.Plain(of) + "."
}

// AboutScored says why an item has its points.
func AboutScored(s rehearse.Scored) string { return scoredWords[s.Reason] }

var scoredWords = map[rehearse.Reason]string{ // only looked up
	rehearse.NotAnswered: "not answered",
	rehearse.Near:        "as near as the readings allow",
	rehearse.RatherNear:  "within twice what the readings allow",
	rehearse.Far:         "too far from the truth",
	rehearse.WrongWay:    "early and late exchanged",
	rehearse.AsAudited:   "right, and no surer than the readings allow",
	rehearse.Needless:    "undecided where the readings decide",
	rehearse.TooBold:     "decided where the readings do not",
	rehearse.Mistaken:    "decided against the truth",
	rehearse.AuditWrong:  "the audit, too, is wrong here",
	rehearse.Hit:         "named rightly",
	rehearse.Missed:      "not named, and it is so",
	rehearse.FalseBlame:  "a good hand was blamed",
	rehearse.RightlyLeft: "rightly not named",

	rehearse.RightCause:     "that was it",
	rehearse.AnotherReading: "another reading is needed to tell",
	rehearse.CouldBeTold:    "these readings tell",
	rehearse.OtherCause:     "it was something else",
	rehearse.AsAsked:        "as the audit asks",
	rehearse.TellsToo:       "tells too, and less would do",
	rehearse.NotNeeded:      "nothing more is asked for",
	rehearse.SomethingAsked: "something has to be looked at first",
	rehearse.TellsNothing:   "does not tell one explanation from another",
	rehearse.RightAdvice:    "what this hand needs",
	rehearse.OtherAdvice:    "this hand needs something else",
	rehearse.OwnWords:       "own words: the instructor reads them",
}

// About names what an item is of: a line, a person, or the sheet as a whole.
func About(s rehearse.Scored) string {
	if s.Mark == "" {
		return "the sheet"
	}
	return Clean(s.Mark)
}

// AboutAnswers says how the form is filled in, for the head of the sheet.
func AboutAnswers(hands bool) []string {
	if hands {
		return []string{"scatters, sits_off: yes or no. advice, what the hand needs: " + strings.Join(rehearse.Advised(), ", ") + ", or your own words."}
	}
	return []string{
		"off_by: such as 0.5 late. verdict: within, outside or undecided.",
		"cause, once, in any row: " + strings.Join(rehearse.Causes(), ", ") + ".",
		"confirm, once, what you would look at or measure next: " + strings.Join(rehearse.Observations(), ", ") + ".",
	}
}

// Missed are the items without their points, each with the reason.
func (v Rehearsal) Missed() (out []string) {
	for _, s := range v.Score {
		if s.Points < s.Of || s.Points < 0 {
			out = append(out, About(s)+" "+s.Item.String()+": "+AboutScored(s))
		}
	}
	return out
}
