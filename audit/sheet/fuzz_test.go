package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"markaudit/geometry"
)

// FuzzSheet reads any bytes as a sheet: no panic, no long wait, and what is
// accepted is finite and survives being written and read again.
func FuzzSheet(f *testing.F) {
	for _, kind := range []string{"good", "bad"} {
		for _, path := range glob(f, sheets+kind+"/*.yaml") {
			f.Add(load(f, path))
		}
	}
	f.Add([]byte(Blank()))
	f.Add([]byte(Demo()))
	files := map[string][]byte{}
	for _, path := range append(glob(f, sheets+"*/*.csv"), glob(f, sheets+"*/*.json")...) {
		files[filepath.Base(path)] = load(f, path)
	}
	open := func(path string) ([]byte, error) {
		if data, ok := files[path[strings.LastIndex(path, "/")+1:]]; ok {
			return data, nil
		}
		return nil, errors.New("no such file")
	}
	f.Fuzz(func(t *testing.T, data []byte) { survives(t, data, open) })
}

// FuzzCSV reads any bytes as a readings file.
func FuzzCSV(f *testing.F) {
	for _, path := range glob(f, sheets+"*/*.csv") {
		f.Add(load(f, path))
	}
	sheet := []byte("engine: {turns: clockwise}\npart: {marks_on: part}\nreadout: {step: 0.5, counts: up}\nlimits: {tolerance: 1}\n" +
		"marks: [{name: 1-6, at: 0}, {name: fire 12, at: 12 BTDC}, {name: T, at: 0}, {name: '#1', at: 0}, {name: TDC 1, at: 0}, {name: 10°, at: 0}]\nreadings: f.csv\n")
	f.Fuzz(func(t *testing.T, data []byte) {
		survives(t, sheet, func(string) ([]byte, error) { return data, nil })
	})
}

func survives(t *testing.T, data []byte, open Open) {
	if quick(t, "fuzz.yaml", data, open) != nil {
		return
	}
	first, p, err := Read("fuzz.yaml", data, open)
	if err != nil {
		t.Fatalf("got %v the second time", err)
	}
	finite(t, reflect.ValueOf(first), "sheet")
	for _, s := range first.Setups {
		if at, ok := p.find(s.Path); !ok || at.line == 0 {
			t.Errorf("setup %q has no place", s.Name)
		}
	}
	text, readings := written(first)
	second, _, err := Read("written.yaml", []byte(text), func(path string) ([]byte, error) {
		if strings.HasSuffix(path, ".json") {
			var b bytes.Buffer
			err := WriteCorrection(&b, *first.Readout.Correction)
			return b.Bytes(), err
		}
		return []byte(readings), nil
	})
	if err != nil {
		t.Fatalf("%v\n%s\n%s", err, text, readings)
	}
	same := cmp.Options{
		cmpopts.IgnoreTypes(geometry.Unit(0), Path("")), cmpopts.IgnoreFields(Sheet{}, "Digest"), cmpopts.EquateEmpty(),
	}
	if diff := cmp.Diff(first, second, same); diff != "" {
		t.Errorf("not the same sheet (-first +second):\n%s\nwritten as:\n%s\n%s", diff, text, readings)
	}
}

func finite(t *testing.T, v reflect.Value, name string) {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) > 1e6 && name != "sheet.Readout.Correction.DOF" {
			t.Errorf("%s is %v", name, x)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			finite(t, v.Field(i), name+"."+v.Type().Field(i).Name)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			finite(t, v.Elem(), name)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			finite(t, v.Index(i), fmt.Sprintf("%s[%d]", name, i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			finite(t, v.MapIndex(k), name+"."+k.String())
		}
	}
}

// written writes a sheet in the plainest form, and its readings file if it had
// one.
func written(s Sheet) (sheet, readings string) {
	var b strings.Builder
	put := func(indent, key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%s%s: %s\n", indent, key, value)
		}
	}
	word := func(indent, key, value string) {
		if value != "" {
			put(indent, key, strconv.QuoteToASCII(value))
		}
	}
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
	e, p, o, l := s.Engine, s.Part, s.Readout, s.Limits
	b.WriteString("engine:\n")
	word("  ", "number", e.Number)
	put("  ", "turns", e.Turns.String())
	length("stroke", e.Stroke)
	length("rod", e.Rod)
	offset("pin_offset", e.PinOffset)
	offset("bore_offset", e.BoreOffset)
	put("  ", "marks_refer_to", choose(e.RefersToThrow, "throw", "piston"))
	for i, c := range e.Cylinders {
		if i == 0 {
			b.WriteString("  cylinders:\n")
		}
		fmt.Fprintf(&b, "    %s: %s\n", strconv.QuoteToASCII(c.Name), number(float64(c.TDC)))
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
	put("  ", "kind", [...]string{"wheel", "encoder", "rim"}[o.Kind])
	if o.Kind == Rim {
		put("  ", "measured", choose(o.Chord, "chord", "tape"))
		length("step", o.StepLength)
	} else {
		put("  ", "step", number(float64(o.Step)))
	}
	if o.BothWays {
		put("  ", "numbered", "both ways")
	} else {
		put("  ", "counts", choose(o.Counts == geometry.CountsDown, "down", "up"))
	}
	if q := o.QuarterTurn; q != nil {
		put("  ", "quarter_turn", "["+readingText(q[0])+", "+readingText(q[1])+"]")
	}
	length("diameter", o.Diameter)
	length("off_centre", o.OffCentre)
	if o.Correction != nil {
		put("  ", "correction", "written.json")
	}
	if o.HasLostMotion {
		put("  ", "lost_motion", number(float64(o.LostMotion))+" "+plusMinus(float64(o.LostLimit.Half), "", o.LostLimit.K))
	}
	b.WriteString("limits:\n")
	put("  ", "confidence", number(l.Confidence))
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
	}
	if len(s.Setups) > 0 && strings.HasPrefix(string(s.Setups[0].Path), "readings[") {
		b.WriteString("readings: written.csv\n")
		return b.String(), writtenReadings(s)
	}
	b.WriteString("setups:\n")
	for _, f := range s.Setups {
		b.WriteString(methodText(f))
		word("    ", "mounting", f.Mounting)
		word("    ", "fitting", f.Fitting)
		word("    ", "cylinder", f.Cylinder)
		word("    ", "by", f.By)
		word("    ", "date", f.Date)
		word("    ", "note", f.Note)
		if c := f.Closing; c != nil {
			put("    ", "closing", "{forward: "+readingText(*c.Forward)+", backward: "+readingText(*c.Backward)+"}")
		}
		if len(f.Marks) > 0 {
			b.WriteString("    marks:\n")
		}
		for _, m := range s.Marks {
			if len(f.Marks[m.Name]) == 0 {
				continue
			}
			fmt.Fprintf(&b, "      %s:\n", strconv.QuoteToASCII(m.Name))
			for _, a := range []Approach{Forward, Backward} {
				if side := approached(f.Marks[m.Name], a); len(side) > 0 {
					put("        ", a.String(), listText(side))
				}
			}
		}
	}
	return b.String(), ""
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
	return strconv.QuoteToASCII(text)
}

func valueText(r Reading) string {
	switch {
	case r.Measured:
		return fmt.Sprint(r.Length)
	case r.Lettered && r.Value < 0:
		return number(-float64(r.Value)) + " BTDC"
	case r.Lettered:
		return number(float64(r.Value)) + " ATDC"
	}
	return number(float64(r.Value))
}

func writtenReadings(s Sheet) string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	row := func(fields ...string) {
		if err := w.Write(fields); err != nil {
			panic(err)
		}
	}
	row(readingsTable.columns...)
	for _, f := range s.Setups {
		put := func(trial, item string, r *Reading) {
			if r != nil {
				row(f.Name, f.By, trial, item, r.Approach.String(), valueText(*r), r.Time, r.Note, r.Reason)
			}
		}
		for i, t := range f.Trials {
			put(strconv.Itoa(i), "stop", t.Forward)
			put(strconv.Itoa(i), "stop", t.Backward)
		}
		if c := f.Closing; c != nil {
			put("c", "closing", c.Forward)
			put("c", "closing", c.Backward)
		}
		for _, m := range s.Marks {
			for i := range f.Marks[m.Name] {
				put("", m.Name, &f.Marks[m.Name][i])
			}
		}
	}
	w.Flush()
	return b.String()
}
