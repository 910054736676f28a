package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
)

// undecided says what would decide the lines that are not decided, lines with
// the same advice together.
func (v Audit) undecided() []string {
	type advice struct {
		text  string
		names []string // none where it goes for the whole sheet
	}
	var all []advice
	for i, m := range v.Result.Marks {
		text := v.ToDecide(m, v.Next[i])
		if text == "" {
			continue
		}
		var names []string
		if w := v.Next[i].Way; w != audit.Repeat && w != audit.ThirdSetup && !(w == audit.NoScatter && m.RepeatsLine()) {
			names = []string{Clean(m.Name)}
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
			out = append(out, strings.Join(a.names, ", ")+": "+Dot(a.text))
		}
	}
	return out
}

// ToDecide says what would decide a line, or nothing where nothing is to be
// decided.
func (v Audit) ToDecide(m audit.Mark, next audit.Next) string {
	name := Clean(m.Name)
	switch next.Way {
	case audit.ReadIt:
		if v.Result.TDC == nil {
			return "find TDC first: three pairs of stop contacts, then read " + name + " three times"
		}
		return "read " + name + " three times, approached forward"
	case audit.Repeat:
		return "the readout moved: begin a new setup with new stop contacts, read the marks again, and strike the contacts of the setup that moved, with the reason"
	case audit.ThirdSetup:
		return "the two setups disagree: take a third, with the readout off and on again"
	case audit.NoScatter:
		if v.Result.TDC.DOF == 0 {
			if m.RepeatsLine() {
				return "one pair shows no scatter: take two more pairs of stop contacts"
			}
			return "one pair shows no scatter: take two more pairs of stop contacts, and read " + name + " three times"
		}
		return "one reading shows no scatter: read " + name + " twice more"
	case audit.MoreReadings:
		var parts []string
		if next.Trials > 0 {
			parts = append(parts, v.morePairs(next.Trials))
		}
		if next.Readings > 0 {
			parts = append(parts, rounding.Count(next.Readings, "more reading of ", "more readings of ")+name)
		}
		return strings.Join(parts, " and ") + ", nothing moved or zeroed in between, " + decides(next.Chance)
	case audit.MoreSetups:
		return rounding.Count(next.Setups, "more setup like those before", "more setups like those before") + " " + decides(next.Chance)
	case audit.Blocked:
		return v.blocked(next)
	}
	return ""
}

// decides says a chance as people do.
func decides(p float64) string {
	switch {
	case p >= 0.895:
		return "will decide it nine times in ten"
	case p >= 0.8:
		return "will decide it four times in five"
	}
	return "may decide it, " + rounding.Fixed(10*p, 0) + " times in ten; nothing affordable promises more"
}

// blocked names what stands in the way and what would clear it.
func (v Audit) blocked(next audit.Next) string {
	if next.Largest == "" || next.LargestShare < 0.1 {
		return "more readings will hardly decide it: the line lies too close to its tolerance"
	}
	cure := "take more setups, or a finer readout"
	switch {
	case strings.HasPrefix(next.Largest, "wheel"):
		cure = "centre the wheel more closely, or check how far it is off"
	case strings.HasPrefix(next.Largest, "step"):
		cure = "use a readout with a finer step"
	case strings.HasPrefix(next.Largest, "lost motion"):
		cure = "read the line from both sides"
	case strings.HasPrefix(next.Largest, "sighting"):
		cure = "sight the line more finely: a sharp pointer close to the rim, the eye in line with pointer and shaft centre"
	case strings.HasPrefix(next.Largest, "contact"):
		cure = "fit the stop nearer the pin's axis, or deeper, so that rock matters less"
	case strings.HasPrefix(next.Largest, "pin"), strings.HasPrefix(next.Largest, "bore"):
		cure = "find out to which side the " + next.Largest + " goes"
	case strings.HasPrefix(next.Largest, "remount"):
		cure = "take three setups or more, so that remounting is seen and not assumed"
	}
	return fmt.Sprintf("more readings will hardly decide it; with all of them %s of the doubt would be %s: %s", rounding.Most(next.LargestShare), next.Largest, cure)
}

// morePairs says further trials in the words of the method that takes them.
func (v Audit) morePairs(n int) string {
	if slices.ContainsFunc(v.Result.TDC.Setups, func(s audit.SetupTDC) bool { return s.Method == sheet.Stop }) {
		return rounding.Count(n, "more pair of stop contacts", "more pairs of stop contacts")
	}
	return rounding.Count(n, "more pair of readings at equal drop", "more pairs of readings at equal drop")
}
