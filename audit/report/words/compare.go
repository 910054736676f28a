package words

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"markaudit/audit/compare"
	"markaudit/audit/lines"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
)

// Comparison says a comparison in sentences.
type Comparison struct {
	Result compare.Comparison
	Paths  []string
}

// Title names the part, and how many audits there are of it.
func (v Comparison) Title() string {
	last := v.Result.Audits[len(v.Result.Audits)-1].Sheet
	title := last.Title
	if title == "" {
		title = last.Part.Name
	}
	title = strings.TrimPrefix(Clean(title)+", ", ", ") + rounding.Count(len(v.Result.Audits), "audit", "audits")
	if n := len(v.ways()); n > 1 {
		title += ", " + [...]string{2: "two", 3: "three", 4: "four"}[n] + " ways of measuring"
	}
	return title
}

// wayOf is how TDC was found, as one says it.
var wayOf = map[sheet.Method]string{sheet.Stop: "a positive stop", sheet.EqualDrop: "equal drops", sheet.Sweep: "a sweep", sheet.AtTop: "a dial"} // only looked up

// ways are the ways in which TDC was found, each with the first audit that took it.
func (v Comparison) ways() (all []string) {
	var seen []sheet.Method
	for i, r := range v.Result.Audits {
		for _, s := range r.TDC.Setups {
			if !slices.Contains(seen, s.Method) {
				seen = append(seen, s.Method)
				all = append(all, wayOf[s.Method]+" in "+v.Name(i))
			}
		}
	}
	return all
}

// Name is how an audit is called: by its day, else by its sheet.
func (v Comparison) Name(i int) string {
	if t := v.Result.Taken[i]; !t.IsZero() {
		day := t.Format(time.DateOnly)
		for j, other := range v.Result.Taken {
			if j != i && other.Equal(t) { // twice on one day
				return day + " (" + Clean(v.Paths[v.Result.Order[i]]) + ")"
			}
		}
		return day
	}
	return Clean(v.Paths[v.Result.Order[i]])
}

// Label is an audit's day, or its number where it has none.
func (v Comparison) Label(i int) string {
	if t := v.Result.Taken[i]; !t.IsZero() {
		return t.Format(time.DateOnly)
	}
	return fmt.Sprint(i + 1)
}

// Steps is what changed, most important first: what the lines did together, and
// whether lines that were to be scribed anew came up as meant.
func (v Comparison) Steps() []string {
	var out []string
	for _, s := range v.Result.Steps {
		out = append(out, v.Step(s))
	}
	for _, ch := range v.Result.Changes {
		if !ch.Scribed {
			continue
		}
		e := ch.Difference
		text := fmt.Sprintf("%s was to be scribed anew after %s, to come up %s", lineBegins(ch.Mark), v.Name(ch.From), rounding.Later(ch.Meant, rounding.Places(e.Expanded.Degrees())))
		switch {
		case ch.Moved:
			text += ". Whether it does cannot be told: a readout moved during one of the two audits."
		case !e.Known:
			text += fmt.Sprintf(". It comes up %s now, and no ± can be given.", rounding.Later(e.Value, rounding.Unsure))
		case ch.AsMeant:
			text += fmt.Sprintf(", and comes up %s: as meant.", rounding.LaterSure(e.Value, e.Expanded))
		default:
			text += fmt.Sprintf(", but comes up %s: NOT as meant.", rounding.LaterSure(e.Value, e.Expanded))
		}
		out = append(out, text)
	}
	return out
}

// Step says what the lines did together.
func (v Comparison) Step(s compare.Step) string {
	between := "From " + v.Name(s.From) + " to " + v.Name(s.To) + ": "
	moved := func() string {
		e := s.Common
		return rounding.LaterSure(e.Value, e.Expanded)
	}
	switch s.Finding {
	case lines.Common:
		return between + fmt.Sprintf("all lines moved together and come up %s. ", moved()) + v.cause(s)
	case lines.None:
		e := s.Common
		return between + fmt.Sprintf("no change that all lines share. One under %s could hide.", rounding.Degrees(e.Value.Abs()+e.Expanded, rounding.Places(e.Expanded.Degrees())))
	case lines.SingleMark:
		if text := v.ringAlone(s); text != "" {
			return between + text + v.cause(s)
		}
		text := between + fmt.Sprintf("%s moved against the others", Clean(s.StandsOut[0]))
		if s.Common != nil && s.Shifted {
			return text + ". These moved together and come up " + moved() + ". " + v.cause(s)
		}
		return strings.TrimSpace(text + ", which stayed. " + v.cause(s))
	case lines.Individual:
		if len(s.Lines) == 1 {
			return between + fmt.Sprintf("%s comes up %s. One line cannot tell a slipped ring from a line that was changed.", Clean(s.Lines[0]), moved())
		}
		if text := v.ringAlone(s); text != "" {
			return between + text + v.cause(s)
		}
		if cause := v.cause(s); cause != "" {
			return between + "the lines moved. " + cause
		}
		return between + "the lines moved, each in its own way. No slipped ring or bent pointer alone does that. Check names and readings."
	}
	if len(s.Lines) == 0 {
		return between + "no line can be compared that was not to be scribed anew in between."
	}
	return between + "what the lines did together cannot be told: a readout moved, or too little was repeated."
}

// ringAlone says that the lines on the ring moved and those elsewhere did not; empty
// where that is not so.
func (v Comparison) ringAlone(s compare.Step) string {
	if s.Cause != compare.Ring {
		return ""
	}
	ring, stayed := "", []string(nil)
	for _, p := range s.Parts {
		switch {
		case p.On == lines.OnRing && p.Moved:
			ring = rounding.LaterSure(p.Change.Value, p.Change.Expanded)
		case p.On == lines.OnRing, p.Moved:
			return ""
		default:
			stayed = append(stayed, p.Lines...)
		}
	}
	if ring == "" || len(stayed) == 0 {
		return ""
	}
	return "the lines on the ring moved together and come up " + ring + "; " + quotedAll(stayed) + " stayed. "
}

// Trends says how fast the lines move from year to year.
func (v Comparison) Trends() []string {
	var out []string
	for _, t := range v.Result.Trends {
		e, who := t.PerYear, "All lines together"
		if t.Mark != "" {
			who = lineBegins(t.Mark)
		}
		switch {
		case !e.Known:
			out = append(out, who+": no trend can be judged, because too little was repeated.")
		case t.Rising:
			n := rounding.Places(e.Expanded.Degrees())
			out = append(out, fmt.Sprintf("%s: %s a year, ± %s.", who, rounding.Later(e.Value, n), rounding.TwoDigits(e.Expanded)))
		default:
			n := rounding.Places(e.Expanded.Degrees())
			out = append(out, fmt.Sprintf("%s: no trend larger than its ±, %s a year, ± %s.", who, rounding.Later(e.Value, n), rounding.TwoDigits(e.Expanded)))
		}
	}
	for _, s := range v.Result.Steps {
		if s.Finding == lines.Common && len(out) > 0 {
			return append(out, "All lines moved together at one time, as said above. That alone makes such a slope.")
		}
	}
	return out
}

// Meaning says what ± and CHANGED stand for, and what was left out.
func (v Comparison) Meaning() string {
	limits := v.Result.Audits[len(v.Result.Audits)-1].Sheet.Limits
	text := fmt.Sprintf("The true change lies within the ± in %s of cases. CHANGED: if no line had moved, such a change would come up in fewer than 5 %% of comparisons. What audits share does not count twice: one readout's lost motion or correction, one crank. Remounting counts in full where one figure is stated for all. Later: the line comes up after where it did. Earlier: before.", rounding.Confidence(limits.Confidence))
	for i := range v.Result.Audits {
		if v.Result.Taken[i].IsZero() {
			text += " Not all sheets have a date, so they stand in the order given."
			break
		}
	}
	if ways := v.ways(); len(ways) > 1 {
		text += " TDC was found in more than one way, first by " + strings.Join(ways, ", by ") + ". What is said to have changed may be what these differ by."
	}
	if len(v.Result.LeftOut) > 0 {
		text += " Not compared, because the sheets do not agree where they belong: " + quotedAll(v.Result.LeftOut) + "."
	}
	return text
}

// cause says which part moved, and nothing where none did.
func (v Comparison) cause(s compare.Step) string {
	switch s.Cause {
	case compare.Ring:
		return "The outer ring slipped on its rubber" + v.another(s) + ". A ring that slips is replaced." + v.parts(s) + v.readoutStayed(s)
	case compare.Pointer:
		return "No line moved and no ring slipped. The engine pointer or its tab was bent or moved, the key is sheared, or parts were changed. Look at these." + v.parts(s) + v.readoutStayed(s)
	case compare.HubLine:
		return "The line on the hub moved alone. It was scribed anew, read by another name, or the hub turned on its key. The ring did not slip." + v.parts(s) + v.readoutStayed(s)
	case compare.RingOrPointer:
		return "No line moved. The outer ring slipped on its rubber, the engine pointer was bent or moved, or parts were changed. Read a line on the hub too: it tells which. A ring that slips is replaced." + v.readoutStayed(s)
	case compare.Open:
		return "A readout that moved during one of the audits would look the same" + v.unproven(s) + ". " + v.findAgain(s) + " before anything is replaced."
	}
	return ""
}

// parts says what each part did, where there are more than one.
func (v Comparison) parts(s compare.Step) string {
	if len(s.Parts) < 2 {
		return ""
	}
	var out []string
	for _, p := range s.Parts {
		name := "the lines on the " + Clean(p.On)
		if p.On == "" {
			name = "the lines of which no part is named"
		}
		switch e := p.Change; {
		case !e.Known:
			out = append(out, name+": no ± can be given")
		case p.Moved:
			out = append(out, name+" moved and come up "+rounding.LaterSure(e.Value, e.Expanded))
		default:
			out = append(out, name+" did not move by more than their ±, "+rounding.LaterSure(e.Value, e.Expanded))
		}
	}
	return " Part by part: " + strings.Join(out, "; ") + "."
}

// readoutStayed says that no readout moved, where both audits show it.
func (v Comparison) readoutStayed(s compare.Step) string {
	if !compare.Proven(v.Result.Audits[s.From]) || !compare.Proven(v.Result.Audits[s.To]) {
		return ""
	}
	return " That a readout moved is ruled out, by closing pairs or by three setups that agree."
}

// another says by how much the ring slipped beside the hub, where that is known.
func (v Comparison) another(s compare.Step) string {
	before, now := v.Result.Audits[s.From].Together.Between, v.Result.Audits[s.To].Together.Between
	for _, a := range before {
		for _, b := range now {
			if a.To == lines.OnRing && b.To == lines.OnRing && a.From == b.From {
				return fmt.Sprintf(". Its lines come %s beside the %s than before, and they came %s already", rounding.Later(b.Difference.Value-a.Difference.Value, rounding.Unsure), Clean(a.From), rounding.Later(a.Difference.Value, rounding.Unsure))
			}
		}
	}
	return ""
}

// findAgain shows whether the readout of the later audit has stayed.
func (v Comparison) findAgain(s compare.Step) string {
	if way, without := byIndicator(Audit{Result: v.Result.Audits[s.To]}); without {
		return "Take the " + way + " once more after the lines, the readout untouched,"
	}
	return "Take a closing pair"
}

// unproven names the audits that no closing pair proves.
func (v Comparison) unproven(s compare.Step) string {
	var without []string
	for _, i := range []int{s.From, s.To} {
		if !compare.Proven(v.Result.Audits[i]) {
			without = append(without, v.Name(i))
		}
	}
	if len(without) == 0 {
		return ""
	}
	return ": no closing pair proves the audit of " + strings.Join(without, " or of ")
}

// Others are the lines that a page need not show one by one: where there are more
// than most, those that did not change and were not to. text is one sentence about
// all of them. Nil where every line is shown.
func (v Comparison) Others(most int) (rest map[string]bool, text string) {
	names := v.Result.Names()
	if len(names) <= most {
		return nil, ""
	}
	rest = map[string]bool{}
	for _, name := range names {
		rest[name] = true
	}
	for _, ch := range v.Result.Changes {
		if ch.Differs || ch.Scribed || ch.Moved {
			delete(rest, ch.Mark)
		}
	}
	var largest *compare.Change
	for i, ch := range v.Result.Changes {
		if rest[ch.Mark] && ch.Difference.Known && (largest == nil || ch.Difference.Value.Abs() > largest.Difference.Value.Abs()) {
			largest = &v.Result.Changes[i]
		}
	}
	text = fmt.Sprintf("The other %d did not change", len(rest))
	if largest != nil {
		e := largest.Difference
		text += fmt.Sprintf(". Largest of them: %s, %s", Clean(largest.Mark), rounding.LaterSure(e.Value, e.Expanded))
	}
	return rest, text + "."
}
