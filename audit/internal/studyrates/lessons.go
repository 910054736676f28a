package studyrates

import (
	"math/rand/v2"

	"markaudit/audit/diagnosis"
	"markaudit/audit/rehearse"
	"markaudit/audit/repeatability"
	"markaudit/audit/sheet"
)

// staged is a rehearsal as an apprentice gets it, of a scenario.
func staged(s rehearse.Scenario, rng *rand.Rand) (rehearse.Sealed, sheet.Sheet, error) {
	rig := s.Rig(rng)
	measured, truth := rig.Measure(rng)
	read, _, err := sheet.Read(s.Name+".yaml", []byte(sheet.Write(measured)), nil)
	sealed := rehearse.Sealed{Scenario: s.Name, Digest: read.Digest, Story: s.Story, Truth: truth, Cause: s.Cause}
	if s.Name == "class" {
		sealed.Hands = rig.Hands()
	}
	return sealed, read, err
}

// lineStories are the scenarios about lines.
func lineStories() (out []rehearse.Scenario) {
	for _, s := range rehearse.Scenarios() {
		if s.Name != "class" {
			out = append(out, s)
		}
	}
	return out
}

// pupil is a way to answer, from what the pupil knows: the truth, or the audit.
type pupil func(o rehearse.Opened) rehearse.Answers

// lines answers every line.
func lines(o rehearse.Opened, one func(l rehearse.Line) rehearse.Answer) (out []rehearse.Answer) {
	for _, l := range o.Lines {
		a := one(l)
		a.Mark = l.Name
		out = append(out, a)
	}
	return out
}

// share is what part of the points of some items was had.
func share(o rehearse.Opened, items ...rehearse.Item) float64 {
	points, of := 0.0, 0.0
	for _, s := range o.Score {
		for _, i := range items {
			if s.Item == i {
				points, of = points+s.Points, of+s.Of
			}
		}
	}
	if of == 0 {
		return 0
	}
	return points / of
}

// pupilCell draws a scenario about lines and marks what the pupil answers.
func pupilCell(name string, answers pupil, asks []Ask, rated func(o rehearse.Opened) []Answer) Cell {
	stories := lineStories()
	return Cell{Name: "marked: " + name, Draws: 300, Asks: asks, Draw: func(rng *rand.Rand) ([]Answer, error) {
		sealed, read, err := staged(stories[rng.IntN(len(stories))], rng)
		if err != nil {
			return nil, err
		}
		o, err := rehearse.Compare(sealed, read, nil)
		if err != nil {
			return nil, err
		}
		marked, err := rehearse.Mark(sealed, read, answers(o))
		if err != nil {
			return nil, err
		}
		return rated(marked), nil
	}}
}

func truly(l rehearse.Line) diagnosis.Verdict {
	if l.Within() {
		return diagnosis.Within
	}
	return diagnosis.Outside
}

// Lessons ask what points ways of answering come to.
func Lessons() []Cell {
	const offsets, verdicts, all = "every offset has its point", "every verdict has its point", "all points are had"
	full := func(o rehearse.Opened) []Answer {
		return []Answer{answered(share(o, rehearse.OffBy) == 1), answered(share(o, rehearse.Verdict) == 1)}
	}
	return []Cell{
		pupilCell("as the audit has it", func(o rehearse.Opened) rehearse.Answers {
			return rehearse.Answers{Lines: lines(o, func(l rehearse.Line) (a rehearse.Answer) {
				a.Verdict, a.HasVerdict = l.Mark.Verdict, true
				if e := l.Mark.Offset; e != nil {
					a.Off, a.HasOff = e.Value, true
				}
				return a
			})}
		}, []Ask{atLeast(0.7, offsets), atLeast(1, verdicts)}, full),
		pupilCell("as it truly was", func(o rehearse.Opened) rehearse.Answers {
			return rehearse.Answers{Lines: lines(o, func(l rehearse.Line) rehearse.Answer {
				return rehearse.Answer{Off: l.Offset, HasOff: true, Verdict: truly(l), HasVerdict: true}
			})}
		}, []Ask{atLeast(1, offsets), atMost(0.9, verdicts)}, full),
		pupilCell("undecided everywhere, no offset", func(o rehearse.Opened) rehearse.Answers {
			return rehearse.Answers{Lines: lines(o, func(rehearse.Line) rehearse.Answer {
				return rehearse.Answer{Verdict: diagnosis.Undecided, HasVerdict: true}
			})}
		}, []Ask{atMost(0, "an offset has a point"), atMost(0.5, verdicts), atMost(0, "more than half of all points are had")}, func(o rehearse.Opened) []Answer {
			points, of := o.Points()
			return []Answer{answered(share(o, rehearse.OffBy) > 0), answered(share(o, rehearse.Verdict) == 1), answered(points > of/2)}
		}),
		pupilCell("nothing", func(o rehearse.Opened) rehearse.Answers {
			return rehearse.Answers{Lines: lines(o, func(rehearse.Line) rehearse.Answer { return rehearse.Answer{} })}
		}, []Ask{atMost(0, "a point is had")}, func(o rehearse.Opened) []Answer {
			points, _ := o.Points()
			return []Answer{answered(points != 0)}
		}),
		pupilCell("a guess: all within and in place, nothing wrong, nothing to look at", func(o rehearse.Opened) rehearse.Answers {
			return rehearse.Answers{
				Lines: lines(o, func(rehearse.Line) rehearse.Answer {
					return rehearse.Answer{HasOff: true, Verdict: diagnosis.Within, HasVerdict: true}
				}),
				Sheet: rehearse.SheetAnswer{Cause: rehearse.NothingWrong, Confirmed: true},
			}
		}, []Ask{atMost(0, "all points are had though something was wrong"), atMost(0.35, "three quarters of all points are had though something was wrong")}, func(o rehearse.Opened) []Answer {
			points, of := o.Points()
			wrong := o.Cause != rehearse.NothingWrong
			return []Answer{given(wrong, points == of), given(wrong, points >= 0.75*of)}
		}),
		handsCell("as they were", func(o rehearse.Opened, _ repeatability.Result) (out []rehearse.HandAnswer) {
			for _, h := range o.Hands {
				out = append(out, rehearse.HandAnswer{By: h.By, Scatters: h.Scatters, SitsOff: h.SitsOff, Answered: [2]bool{true, true}, Advice: h.Needs})
			}
			return out
		}, atLeast(1, all), atMost(0, "no point or less")),
		handsCell("everybody blamed for all", func(o rehearse.Opened, _ repeatability.Result) (out []rehearse.HandAnswer) {
			for _, h := range o.Hands {
				out = append(out, rehearse.HandAnswer{By: h.By, Scatters: true, SitsOff: true, Answered: [2]bool{true, true}})
			}
			return out
		}, atMost(0, all), atLeast(1, "no point or less")),
		handsCell("as the study of people names them", func(o rehearse.Opened, r repeatability.Result) (out []rehearse.HandAnswer) {
			for _, h := range o.Hands {
				a := rehearse.HandAnswer{By: h.By, Answered: [2]bool{true, true}, Advice: h.Needs}
				for _, f := range r.Flags {
					a.Scatters = a.Scatters || f.By == h.By && f.Code == repeatability.Scatters
					a.SitsOff = a.SitsOff || f.By == h.By && f.Code == repeatability.SitsOff
				}
				out = append(out, a)
			}
			return out
		}, atLeast(0.55, all), atMost(0.05, "no point or less")),
	}
}

// handsCell draws the class and marks what is answered of its hands.
func handsCell(name string, answers func(o rehearse.Opened, study repeatability.Result) []rehearse.HandAnswer, asks ...Ask) Cell {
	class, _ := rehearse.Find("class")
	return Cell{Name: "marked, a class: " + name, Draws: 150, Asks: asks, Draw: func(rng *rand.Rand) ([]Answer, error) {
		sealed, read, err := staged(class, rng)
		if err != nil {
			return nil, err
		}
		o, err := rehearse.Compare(sealed, read, nil)
		if err != nil {
			return nil, err
		}
		d, err := repeatability.FromSheet(read)
		if err != nil {
			return nil, err
		}
		marked, err := rehearse.Mark(sealed, read, rehearse.Answers{Hands: answers(o, repeatability.Analyse(d, repeatability.PoolAuto))})
		if err != nil {
			return nil, err
		}
		points, of := marked.Points()
		return []Answer{answered(points == of), answered(points <= 0)}, nil
	}}
}
