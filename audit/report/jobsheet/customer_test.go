package jobsheet

import (
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
)

// The customer's page is half of A4 whatever is on the sheet, and promises nothing of
// the engine as it ran.
func TestCustomerPage(t *testing.T) {
	results := reporttest.GoodAudits(t, files)
	results["many"] = reporttest.ManyLines(t, 60, "line", "anticlockwise", "part", 0.45)
	results["long names"] = reporttest.ManyLines(t, 9, reporttest.LongName, "clockwise", "part", 1.1)
	for name, r := range results {
		r.Sheet.Workshop, r.Sheet.Customer, r.Sheet.Issued = "Hill Street Engines", "Ferry Co", "2026-05-22"
		s := Customer(words.NewAudit(r, audit.Next(r)), document.Options{Path: "job.yaml"})
		reporttest.CheckScene(t, s)
		if s.Width != document.A4.Width || s.Height != document.A4.Height/2 {
			t.Errorf("%s: %v by %v", name, s.Width, s.Height)
		}
		for _, item := range s.Items { // the signatures keep their room
			x, ok := item.(drawing.Text)
			if foot := halfHeight - document.Margin - 2; ok && x.Text != "workshop, name" && x.Text != "date" && x.Text != "signature" && x.Text != "Hill Street Engines" && x.At.Y > foot-5 {
				t.Errorf("%s: %q stands at %v, the signatures at %v", name, x.Text, x.At.Y, foot)
			}
		}
		if text := written(s); strings.Contains(text, "ran at") || !strings.Contains(text, "Check again") {
			t.Errorf("%s: got %s", name, text)
		}
	}
}

func TestCustomerPageOfTheDemonstration(t *testing.T) {
	text := written(Customer(spoken(t, "demo"), document.Options{Path: "demo.yaml"}))
	for _, want := range []string{
		"You set\n14° BTDC\ncrank degrees, by the line “inject 14”.", "You got\n12.96° BTDC\n± 0.31°: what is timed by it came 1.04° late (retarded).",
		"Where they belong (within ±0.6°): “1-6”; “2-5”; “3-4”; “static 4”.", "a new line was scribed 1.9 mm anticlockwise of the old one", "It is known to ± 0.33°.", "All degrees are of the crank. A ± holds in 95 of 100 such measurements.", "EITHER\n", "OR\nNothing was scribed. Setting to the line “inject 14” gives 12.96° BTDC, not 14° BTDC. Ask the workshop\nbefore the engine runs.",
		"The timing was set anew to the new line, by the maker's data. The engine must not run before this is done.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

// No surer than the record: where nothing confirms which way the engine runs, whoever
// ticks the box says that it was seen.
func TestCustomerPageIsNoSurerThanTheRecord(t *testing.T) {
	for name, want := range map[string]bool{"plug-hole.yaml": true, "bothways.yaml": false} {
		text := written(Customer(spoken(t, name), document.Options{Path: "job.yaml"}))
		if !strings.Contains(text, "Nothing had to be done to the lines.") || strings.Contains(text, "It was seen on the engine that it runs as the record says.") != want {
			t.Errorf("%s: %s", name, text)
		}
	}
}

// A page without job or date would fit any such engine: there is room to write them.
func TestCustomerPageHasBlanks(t *testing.T) {
	text := written(Customer(spoken(t, "pump.yaml"), document.Options{Path: "job.yaml"}))
	for _, want := range []string{"engine No:__", "job:__", "measured:__", "Ask the workshop"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %s", want, text)
		}
	}
	if text := written(Customer(spoken(t, "demo"), document.Options{Path: "demo.yaml"})); strings.Contains(text, "__") {
		t.Errorf("a blank for what is known: %s", text)
	}
}
