package guide

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/sheet/readings"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// Whatever happens, no reading is asked for through the blocked arc, no row is
// lost or torn, and the file alone brings the session back.
func TestAnyEvents(t *testing.T) {
	words := []string{
		"in", "out", "tap out", "down", "down", "stuck", "answer:with", "answer:against", "answer:both", "bumped:turned", "bumped:refitted", "338", "22", "338.5", "22,5", "0", "0.5", "120", "350", "361", "-10", "wheel", "1e9", "",
		"undo", "skip", "bumped", "new", "next:stop", "next:closing", "next:TDC", "next:third", "by:Ana, B\nC \"the hand\"",
		"strike:1 =cmd", "strike:3 wrench, slipped", "answer:yes", "answer:no", "answer:clockwise", "answer:in", "answer:out", "answer:unsure",
	}
	rapid.Check(t, func(t *rapid.T) {
		s := begin(t, form, nil)
		for range rapid.IntRange(0, 60).Draw(t, "events") {
			w := rapid.SampledFrom(words).Draw(t, "word")
			before := slices.Clone(s.Rows())
			next, change, err := s.Apply(event(w))
			if !slices.Equal(before, s.Rows()) {
				t.Fatal("the state before has changed")
			}
			if err != nil {
				continue
			}
			if change.Add != nil && !change.Rows && (len(next.Rows()) != len(before)+1 || !slices.Equal(next.Rows()[:len(before)], before) || next.Rows()[len(before)] != *change.Add) {
				t.Fatalf("%s: more than a row was added", w)
			}
			if change.Add == nil && !change.Rows && !slices.Equal(before, next.Rows()) {
				t.Fatalf("%s: rows changed unsaid", w)
			}
			s = next
			step := s.View().Step
			if quarter := step.Question == QuarterFrom || step.Question == QuarterTo; step.Kind == Ask && quarter && s.stop == In {
				t.Fatalf("%s: asked for a quarter turn with the stop in", w)
			}
			if contact := step.Item == "stop" || step.Item == "closing"; step.Kind == Take && contact != (s.stop == In) {
				t.Fatalf("%s: asked for %s with the stop %v", w, step.Item, s.stop)
			}
		}
		again := begin(t, string(s.text), slices.Clone(s.Rows()))
		if diff := cmp.Diff(slices.Clone(s.Rows()), slices.Clone(again.Rows()), cmp.Transformer("none", func(r []readings.Row) []readings.Row { return append([]readings.Row{}, r...) })); diff != "" && len(s.Rows()) > 0 {
			t.Fatalf("- before, + after opening again\n%s", diff)
		}
		for i, l := range strings.Split(strings.TrimSuffix(string(readings.Write(s.Rows())), "\n"), "\n") {
			if i > 0 && !strings.Contains(l, ",forward,") && !strings.Contains(l, ",backward,") {
				t.Fatalf("a row takes more than one line: %q", l)
			}
		}
		if a, b := s.View().Result, again.View().Result; (a == nil) != (b == nil) || a != nil && cmp.Diff(a.Warnings, b.Warnings) != "" {
			t.Fatal("the session tells something else when opened again")
		}
	})
}

func TestInsert(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"block", "part:\n  a: 1\n", "part:\n  x: 1\n  a: 1\n"},
		{"with remarks", "part: # the pulley\n  # its side\n\n    a: 1\n", "part: # the pulley\n    x: 1\n  # its side\n\n    a: 1\n"},
		{"other line ends", "part:\r\n  a: 1\r\n", "part:\r\n  x: 1\r\n  a: 1\r\n"},
		{"in braces", "part: {a: 1}\n", ""},
		{"empty", "part:\nreadout:\n  a: 1\n", ""},
		{"not there", "readout:\n  a: 1\n", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := Insert(tt.text, "part", "x: 1")
			if got != tt.want || ok != (tt.want != "") {
				t.Errorf("got %q, %v, want %q", got, ok, tt.want)
			}
		})
	}
}

func TestAttach(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"plain", "a: 1\n", "a: 1\nreadings: f.csv\n"},
		{"no end", "a: 1", "a: 1\nreadings: f.csv\n"},
		{"form", "setups:  # here\n  - by: x\n\n    # remark\n    stop: []\n# more\nb: 2\n", "#setups:  # here\n#  - by: x\n\n#    # remark\n#    stop: []\n# more\nb: 2\nreadings: f.csv\n"},
		{"other line ends", "a: 1\r\n", "a: 1\r\nreadings: f.csv\r\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Attach(tt.text, "f.csv"); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

// One line comes up as far on the other side as it belongs: its letters may be
// wrong. Who has looked says so, and the sheet keeps it.
func TestAskedWhetherTheSheetIsAsTheMetal(t *testing.T) {
	text := strings.Replace(form, "  counts: up\n", "  counts: up\n  quarter_turn: [10, 100]\n", 1)
	text = strings.Replace(text, "  marks_on: part\n", "  marks_on: part\n  btdc_lines: clockwise\n", 1)
	var rows []readings.Row
	add := func(line string, values ...string) {
		for _, v := range values {
			rows = append(rows, readings.Row{Setup: "1", Item: line, Approach: "forward", Reading: v})
		}
	}
	for i, f := range []string{"338", "338.5", "338"} {
		pair := readings.Row{Setup: "1", Item: "stop", Trial: fmt.Sprint(i + 1), Approach: "forward", Reading: f}
		back := pair
		back.Approach, back.Reading = "backward", []string{"22", "21.5", "22"}[i]
		rows = append(rows, pair, back)
	}
	add("TDC", "0", "0.5", "0")
	add("fire 10", "10", "10.5", "10")
	add("third", "120", "120.5", "120")
	rows = append(rows,
		readings.Row{Setup: "1", Item: "closing", Trial: "1", Approach: "forward", Reading: "338"},
		readings.Row{Setup: "1", Item: "closing", Trial: "1", Approach: "backward", Reading: "22"})
	s := begin(t, text, rows)
	for range 8 {
		switch step := s.View().Step; {
		case step.Kind == Ask && step.Question == LookedAgain:
			if step.Checked != "letters" {
				t.Fatalf("asked for %q, want the letters", step.Checked)
			}
			no := script(t, s, "answer:no")
			if no.View().Step.Kind != Decide || strings.Contains(string(no.text), "checked") {
				t.Errorf("after no: %s", where(no))
			}
			if back := script(t, no, "undo"); back.View().Step.Question != LookedAgain {
				t.Errorf("after undo: %s", where(back))
			}
			yes := script(t, s, "answer:yes")
			if !yes.View().Sheet.Checked.Letters || !strings.HasSuffix(string(yes.text), "\nchecked: [letters]\n") {
				t.Errorf("after yes the sheet has %+v", yes.View().Sheet.Checked)
			}
			return
		case step.Kind == Ask && step.Question == Touched:
			s = script(t, s, "answer:no")
		case step.Kind == Ask && step.Question == WhereStop:
			s = script(t, s, "out")
		case step.Kind == Ask && step.Question == LastLook:
			s = script(t, s, "answer:yes")
		default:
			t.Fatalf("the step is %s", where(s))
		}
	}
	t.Fatal("never asked")
}
