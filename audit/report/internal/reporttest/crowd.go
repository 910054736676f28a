package reporttest

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"markaudit/audit"
)

// Crowd is a part with lines that stand close together, counted backwards from TDC.
type Crowd struct {
	Lines          int
	Gap            float64 // degrees of the crank from line to line
	Diameter       string  // as on the sheet, "158 mm"; empty for none
	Turns, MarksOn string  // as on the sheet
	Moves          string  // in a window, as on the sheet; empty for none
	Half           bool    // the part turns at half the crank's speed
	Name           string  // that each line has behind its number
	Off            float64 // degrees that every third line is late by
}

// Audit audits the crowd: two setups, three readings a line in each.
func (c Crowd) Audit(t *testing.T) audit.Result {
	t.Helper()
	part := "marks_on: " + c.MarksOn
	for _, more := range [][2]string{{"diameter", c.Diameter}, {"moves", c.Moves}} {
		if more[1] != "" {
			part += ", " + more[0] + ": " + more[1]
		}
	}
	if c.Half {
		part += ", turns: half"
	}
	round := func(x float64) float64 { return math.Mod(math.Round(x*100)/100+720, 360) }
	var marks strings.Builder
	var readings [2]strings.Builder
	for i := range c.Lines {
		at, off := -float64(i)*c.Gap, -0.08
		if i%3 == 0 {
			off = c.Off
		}
		name := strings.TrimSpace(fmt.Sprint(i+1, " ", c.Name))
		fmt.Fprintf(&marks, "  - {name: %q, at: %g}\n", name, round(at))
		for k := range readings {
			later := float64(k) * 0.06
			fmt.Fprintf(&readings[k], "      %q: [%g, %g, %g]\n", name, round(at+off+later), round(at+off+later+0.1), round(at+off+later))
		}
	}
	text := fmt.Sprintf("engine: {turns: %s, stroke: 92 mm, rod: 152 mm}\npart: {%s}\nreadout: {step: 0.1, counts: up, quarter_turn: [10, 100]}\nlimits: {tolerance: 0.5}\nmarks:\n%ssetups:\n", c.Turns, part, &marks)
	for k := range readings {
		text += "  - by: Ana\n    stop: {forward: [338.0, 338.1, 338.0, 338.0], backward: [22.0, 22.0, 22.1, 22]}\n    marks:\n" + readings[k].String()
	}
	return read(t, text)
}
