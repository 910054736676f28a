package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
)

// undecidedSteps says what would decide the lines that are not decided, lines with
// the same advice together.
func undecidedSteps(v Audit) []string {
	type advice struct {
		text  string
		names []string // none where it goes for the whole sheet
	}
	var all []advice
	for i, m := range v.Result.ByLine() {
		text := ToDecide(v, m, v.Next[i])
		if text == "" || v.Next[i].Way == advise.Observe { // that is a step of its own
			continue
		}
		if v.Next[i].Way == advise.Repeat && asksAnew(v) {
			continue // the same, but for striking
		}
		if v.Result.Advice.Together.Worthwhile && slices.Contains(v.Result.Diagnosis.Sharing, i) {
			continue // what shifts them all is moved first, and then they are read again
		}
		var names []string
		if w := v.Next[i].Way; w != advise.Repeat && w != advise.ThirdSetup && !(w == advise.NoScatter && m.RepeatsLine()) {
			names = []string{Quoted(m.Name)}
		}
		if j := slices.IndexFunc(all, func(a advice) bool { return a.text == text }); j >= 0 {
			all[j].names = append(all[j].names, names...)
		} else {
			all = append(all, advice{text, names})
		}
	}
	var out []string
	for _, a := range all {
		if len(a.names) == 0 {
			out = append(out, Sentence(a.text))
		} else {
			out = append(out, ofLines(a.names)+": "+Dot(a.text))
		}
	}
	return out
}

// asksAnew reports whether contacts, or a whole setup, are asked for anew.
func asksAnew(v Audit) bool { return slices.ContainsFunc(v.Result.Diagnosis.Ask, anew) }

func anew(o diagnosis.Observation) bool {
	return o.Kind == diagnosis.SecondSetup || o.Kind == diagnosis.ReadAgain && o.On == "" && len(o.Lines) == 0
}

// ToDecide says what would decide a line, or nothing where nothing is to be
// decided.
func ToDecide(v Audit, m audit.LineResult, next advise.Next) string {
	name := Quoted(m.Name)
	switch next.Way {
	case advise.ReadIt:
		switch {
		case v.onDial() && v.Result.TDC.DOF == 0:
			return "read the top three times, then " + name + " three times"
		case v.onDial():
			return "read " + name + " three times, the piston rising"
		}
		if !v.Result.TDC.Any() {
			if way, without := byIndicator(v); without {
				return "find TDC first by " + oneOf(way) + ", then read " + name + " three times"
			}
			return "find TDC first: three pairs of stop contacts, then read " + name + " three times"
		}
		if v.Result.TDC.DOF == 0 {
			return "take two more " + pairsOfTDC(v) + ", and read " + name + " three times, approached forward"
		}
		return "read " + name + " three times, approached forward"
	case advise.Repeat:
		if v.onDial() {
			return "the dial moved. Begin a new setup, and read the top and the lines again. Strike the readings of the setup that moved, with the reason"
		}
		if way, without := byIndicator(v); without {
			return "the readout moved. Begin a new setup, and take the " + way + " and the lines again. Strike those of the setup that moved, with the reason"
		}
		return "the readout moved. Begin a new setup with new stop contacts, and read the lines again. Strike the contacts of the setup that moved, with the reason"
	case advise.ThirdSetup:
		if len(v.Result.TDC.Mountings) > 2 {
			return "take another setup, with the readout off and on again: the setups disagree"
		}
		return "take a third setup, with the readout off and on again: the two disagree"
	case advise.NoScatter:
		if v.Result.TDC.DOF == 0 && v.onDial() {
			return "read the top twice more, and each line three times. One reading of the top shows no scatter"
		}
		if v.Result.TDC.DOF == 0 {
			if m.RepeatsLine() {
				return "take two more " + pairsOfTDC(v) + ". One pair shows no scatter"
			}
			return "take two more " + pairsOfTDC(v) + ", and read " + name + " three times. One pair shows no scatter"
		}
		return "read " + name + " twice more. One reading shows no scatter"
	case advise.MoreReadings:
		return "take " + moreNeeded(v, next.Trials, next.Readings, name) + ", with nothing moved or zeroed in between. " + decides(next.Chance) + inStages(v, next.First)
	case advise.MoreSetups:
		return "take " + rounding.Count(next.Setups, "more setup like those before", "more setups like those before") + ". " + decides(next.Chance)
	case advise.Blocked:
		return whyBlocked(v, next)
	case advise.Observe:
		return "settle first what else could explain it, as said among the steps"
	}
	return ""
}

// moreNeeded is so many pairs and so many readings of a line.
func moreNeeded(v Audit, trials, readings int, name string) string {
	var parts []string
	if trials > 0 {
		parts = append(parts, morePairs(v, trials))
	}
	if readings > 0 {
		parts = append(parts, rounding.Count(readings, "more reading of ", "more readings of ")+name)
	}
	return strings.Join(parts, " and ")
}

// inStages says what to begin with.
func inStages(v Audit, first advise.First) string {
	if first == (advise.First{}) {
		return ""
	}
	var parts []string
	if first.Trials > 0 {
		parts = append(parts, rounding.Count(first.Trials, "pair", "pairs"))
	}
	if first.Readings > 0 {
		parts = append(parts, rounding.Count(first.Readings, "reading", "readings"))
	}
	return fmt.Sprintf(". Begin with %s: %s in ten are settled by then. If this one is not, ask again", strings.Join(parts, " and "), countWord(first.Chance))
}

// countWord is a chance in tenths, as a word.
func countWord(p float64) string {
	return [...]string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}[int(math.Round(10*p))]
}

// decides says a chance as people do, in a sentence of its own without its full stop.
func decides(p float64) string {
	switch {
	case p >= 0.895:
		return "That will decide it nine times in ten"
	case p >= 0.8:
		return "That will decide it four times in five"
	}
	return "That may decide it, " + rounding.Fixed(10*p, 0) + " times in ten. Nothing affordable promises more"
}

// whyBlocked says what would clear the way, and what stands in it.
func whyBlocked(v Audit, next advise.Next) string {
	if next.Largest == 0 || next.LargestShare < 0.1 {
		return "take no more readings for it. The line lies too close to its tolerance, and they will hardly decide it"
	}
	return fmt.Sprintf("%s. More readings alone will hardly decide it: with all of them %s of the uncertainty would come from %s", next.Largest.Cure(), rounding.Most(next.LargestShare), next.Largest)
}

// morePairs says further trials in the words of the method that takes them.
func morePairs(v Audit, n int) string {
	if v.onDial() {
		return rounding.Count(n, "more reading of the top", "more readings of the top")
	}
	return rounding.Count(n, "more "+pairOfTDC(v), "more "+pairsOfTDC(v))
}
