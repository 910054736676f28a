package sheet

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"markaudit/geometry"
)

// WrittenCorrection is the file that a sheet with a correction names when it is
// written; whoever keeps the sheet keeps the correction there.
const WrittenCorrection = "correction.json"

// WrittenHistory is the same for a history.
const WrittenHistory = "history.json"

// Write writes a sheet as [Read] reads it, readings included. What only a person
// sees, comments and units, is not kept: lengths are in millimetres.
func Write(s Sheet) string {
	var b strings.Builder
	b.WriteString(withoutReadings(s))
	b.WriteString("setups:\n")
	for _, f := range s.Setups {
		writeSetup(&b, s, f)
	}
	writeAfter(&b, s)
	return b.String()
}

// bare are texts that need no quotes.
var bare = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9 .,+-]*[A-Za-z0-9.]$|^[A-Za-z0-9]$`)

// quoted puts a text into quotes where YAML would take it for something else.
func quoted(text string) string {
	if bare.MatchString(text) && !slices.Contains([]string{"null", "true", "false", "yes", "no", "on", "off"}, strings.ToLower(text)) && !strings.Contains(text, ",") {
		return text
	}
	return strconv.QuoteToASCII(text)
}

func keyed(b *strings.Builder, indent, key, value string) {
	if value != "" {
		fmt.Fprintf(b, "%s%s: %s\n", indent, key, value)
	}
}

func worded(b *strings.Builder, indent, key, value string) {
	if value != "" {
		keyed(b, indent, key, quoted(value))
	}
}

// withoutReadings writes all of a sheet up to its setups.
func withoutReadings(s Sheet) string {
	var b strings.Builder
	put := func(indent, key, value string) { keyed(&b, indent, key, value) }
	word := func(indent, key, value string) { worded(&b, indent, key, value) }
	length := func(key string, l geometry.Length) {
		if l != 0 {
			put("  ", key, fmt.Sprint(l))
		}
	}
	plusMinus := func(half float64, unit string, k float64) string {
		text := ""
		if half != 0 {
			text = "± " + number(half) + unit
		}
		if k != 0 {
			text += " (k=" + number(k) + ")"
		}
		return text
	}
	lengthLimit := func(l geometry.Limit[geometry.Length]) string { return plusMinus(float64(l.Half), " mm", l.K) }
	offset := func(key string, o geometry.Offset) {
		switch limit := lengthLimit(o.Limit); {
		case o.Value != 0:
			put("  ", key, strings.TrimSpace(fmt.Sprintf("%v %s", o.Value, limit)))
		default:
			put("  ", key, limit)
		}
	}
	choose := func(yes bool, a, b string) string {
		if yes {
			return a
		}
		return b
	}

	word("", "title", s.Title)
	word("", "job", s.Job)
	word("", "date", s.Date)
	word("", "workshop", s.Workshop)
	word("", "customer", s.Customer)
	word("", "issued", s.Issued)
	if checked := s.Checked.written(); len(checked) > 0 {
		for i, text := range checked {
			checked[i] = quoted(text)
		}
		put("", "checked", "["+strings.Join(checked, ", ")+"]")
	}
	writeJob(&b, s)
	e, p, o, l := s.Engine, s.Part, s.Readout, s.Limits
	b.WriteString("engine:\n")
	word("  ", "number", e.Number)
	put("  ", "turns", e.Turns.String())
	sized := func(key string, l geometry.Length, limit geometry.Limit[geometry.Length]) {
		if l != 0 {
			put("  ", key, strings.TrimSpace(fmt.Sprintf("%v %s", l, lengthLimit(limit))))
		}
	}
	sized("stroke", e.Stroke, e.StrokeLimit)
	sized("rod", e.Rod, e.RodLimit)
	offset("pin_offset", e.PinOffset)
	offset("bore_offset", e.BoreOffset)
	put("  ", "marks_refer_to", choose(e.RefersToThrow, "throw", "piston"))
	for i, c := range e.Cylinders {
		if i == 0 {
			b.WriteString("  cylinders:\n")
		}
		fmt.Fprintf(&b, "    %s: %s\n", quoted(c.Name), number(float64(c.TDC)))
	}
	b.WriteString("part:\n")
	word("  ", "name", p.Name)
	word("  ", "number", p.Number)
	word("  ", "seen_from", p.SeenFrom)
	if p.Diameter != 0 {
		put("  ", "diameter", strings.TrimSpace(fmt.Sprintf("%v %s", p.Diameter, lengthLimit(p.DiameterLimit))))
	}
	put("  ", "marks_on", choose(p.MarksOn == OnPart, "part", "engine"))
	if p.BTDCLines != 0 {
		put("  ", "btdc_lines", p.BTDCLines.String())
	}
	put("  ", "read_at", p.ReadAt)
	put("  ", "sighting", lengthLimit(p.Sighting))
	if p.Teeth != 0 {
		put("  ", "teeth", strconv.Itoa(p.Teeth))
	}
	put("  ", "build", choose(p.BondedRing, "bonded ring", ""))
	put("  ", "turns", choose(p.HalfSpeed, "half", ""))
	put("  ", "moves", p.Moves)
	for i, x := range p.Spacings {
		if i == 0 {
			b.WriteString("  spacings:\n")
		}
		word("    - ", "from", x.From)
		word("      ", "to", x.To)
		if x.Teeth != 0 {
			put("      ", "teeth", number(x.Teeth))
		} else {
			put("      ", "chord", strings.TrimSpace(fmt.Sprintf("%v %s", x.Chord, lengthLimit(x.Limit))))
		}
	}
	b.WriteString("readout:\n")
	word("  ", "name", o.Name)
	put("  ", "kind", o.Kind.String())
	switch o.Kind {
	case Rim:
		put("  ", "measured", choose(o.Chord, "chord", "tape"))
		length("step", o.StepLength)
	case Dial:
		b.WriteString(dialText(o, lengthLimit))
	default:
		put("  ", "step", number(float64(o.Step)))
	}
	switch {
	case o.BothWays:
		put("  ", "numbered", "both ways")
	case o.Kind != Dial:
		put("  ", "counts", choose(o.Counts == geometry.CountsDown, "down", "up"))
	}
	if q := o.QuarterTurn; q != nil {
		put("  ", "quarter_turn", "["+readingText(q[0])+", "+readingText(q[1])+"]")
	}
	length("diameter", o.Diameter)
	length("off_centre", o.OffCentre)
	if o.Correction != nil {
		put("  ", "correction", WrittenCorrection)
	}
	if o.History != nil {
		put("  ", "history", WrittenHistory)
	}
	if o.HasLostMotion && o.Kind != Dial {
		put("  ", "lost_motion", number(float64(o.LostMotion))+" "+plusMinus(float64(o.LostLimit.Half), "", o.LostLimit.K))
	}
	b.WriteString("limits:\n")
	put("  ", "confidence", number(l.Confidence))
	if l.DecideAt != 0 {
		put("  ", "decide_at", number(l.DecideAt))
	}
	put("  ", "remount", plusMinus(float64(l.Remount.Half), "", l.Remount.K))
	put("  ", "contact", lengthLimit(l.Contact))
	put("  ", "slack", lengthLimit(l.Slack))
	length("placement", l.Placement)
	put("  ", "deep_stop", choose(l.DeepStop, "true", "false"))
	if len(s.Marks) > 0 {
		b.WriteString("marks:\n")
	}
	for _, m := range s.Marks {
		word("  - ", "name", m.Name)
		word("    ", "at", m.AtText)
		if m.DropLimit != 0 {
			put("    ", "tolerance", fmt.Sprint(m.DropLimit)+" piston")
		} else {
			put("    ", "tolerance", number(float64(m.Tolerance)))
		}
		word("    ", "on", m.On)
		word("    ", "cylinder", m.Cylinder)
		if k := m.Known; k.Expanded > 0 {
			put("    ", "known", number(float64(k.Off))+" ± "+number(float64(k.Expanded)))
		}
		if m.Further != nil {
			put("    ", "further", listText(m.Further[:]))
		}
	}
	return b.String()
}

func writeSetup(b *strings.Builder, s Sheet, f Setup) {
	b.WriteString(methodText(f))
	worded(b, "    ", "mounting", f.Mounting)
	worded(b, "    ", "fitting", f.Fitting)
	worded(b, "    ", "cylinder", f.Cylinder)
	worded(b, "    ", "by", f.By)
	worded(b, "    ", "date", f.Date)
	worded(b, "    ", "note", f.Note)
	if c := f.Closing; c != nil {
		keyed(b, "    ", "closing", "{forward: "+readingText(*c.Forward)+", backward: "+readingText(*c.Backward)+"}")
	}
	if c := f.ClosingTop; c != nil {
		keyed(b, "    ", "closing", "{top: "+readingText(*c)+"}")
	}
	if len(f.Marks) > 0 {
		b.WriteString("    marks:\n")
	}
	writeReadings(b, "      ", s.Marks, f.Marks)
}

// writeReadings writes the readings of each line, in the order of the sheet.
func writeReadings(b *strings.Builder, indent string, marks []Mark, of map[string][]Reading) {
	for _, m := range marks {
		if len(of[m.Name]) == 0 {
			continue
		}
		fmt.Fprintf(b, "%s%s:\n", indent, quoted(m.Name))
		for _, a := range []Approach{Forward, Backward} {
			if side := approached(of[m.Name], a); len(side) > 0 {
				keyed(b, indent+"  ", a.String(), listText(side))
			}
		}
	}
}

func methodText(f Setup) string {
	taken := func(indent string, t Taken) string {
		return [...]string{"", indent + "approach: rising\n", indent + "approach: forward\n"}[t]
	}
	var b strings.Builder
	switch f.Method {
	case EqualDrop:
		b.WriteString("  - equal_drop:\n")
		for _, d := range f.Drops {
			fmt.Fprintf(&b, "      - drop: %v\n        probe_angle: %s\n", d.Drop, number(float64(d.Probe)))
			b.WriteString(taken("        ", d.Taken))
			fmt.Fprintf(&b, "        before: %s\n        after: %s\n", listText(d.Before), listText(d.After))
		}
	case Sweep:
		fmt.Fprintf(&b, "  - sweep:\n      height: mm\n%s      points:\n", taken("      ", f.Sweep.Taken))
		for _, p := range f.Sweep.Points {
			fmt.Fprintf(&b, "        - [%s, %s]\n", readingText(p.Reading), number(float64(p.Height)))
		}
	case AtTop:
		fmt.Fprintf(&b, "  - top: %s\n", listText(f.Top))
	default:
		var forward, backward []Reading
		for _, t := range f.Trials {
			forward, backward = append(forward, *t.Forward), append(backward, *t.Backward)
		}
		fmt.Fprintf(&b, "  - stop:\n      forward: %s\n      backward: %s\n", listText(forward), listText(backward))
	}
	return b.String()
}

func approached(all []Reading, a Approach) (side []Reading) {
	for _, r := range all {
		if r.Approach == a {
			side = append(side, r)
		}
	}
	return side
}

func listText(all []Reading) string {
	texts := make([]string, len(all))
	for i, r := range all {
		texts[i] = readingText(r)
	}
	return "[" + strings.Join(texts, ", ") + "]"
}

func readingText(r Reading) string {
	text := valueText(r)
	if r.Struck {
		text += " struck " + r.Reason
	}
	return quoted(text)
}

func valueText(r Reading) string {
	switch {
	case r.entered() && !strings.Contains(r.Text, ","):
		return r.Text
	case r.Measured:
		return strings.TrimSpace(fmt.Sprint(r.Length) + " " + r.Side.String())
	case r.Lettered && r.Value < 0:
		return number(-float64(r.Value)) + " BTDC"
	case r.Lettered:
		return number(float64(r.Value)) + " ATDC"
	}
	return number(float64(r.Value))
}
