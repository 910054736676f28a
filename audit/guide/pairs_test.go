package guide

import (
	"fmt"
	"strings"
	"testing"
)

// Two pairs may be called enough; the lines come then, and the stop comes out first.
func TestEnoughPairsEarly(t *testing.T) {
	s := script(t, begin(t, form, nil), "out", "skip", "skip", "answer:yes", "answer:yes", "down", "in", "338", "22")
	if line := s.View().ToLine; line != "" {
		t.Errorf("after one pair the lines are offered: %q", line)
	}
	s = script(t, s, "338.5")
	if line := s.View().ToLine; line != "" {
		t.Errorf("between two contacts the lines are offered: %q", line)
	}
	s = script(t, s, "22")
	line := s.View().ToLine
	sure, _, err := s.Apply(Event{Kind: Choose, Item: line, Sure: true})
	if step := sure.View().Step; err != nil || step.Kind != TakeOut || step.Item != line || step.Rests == 0 {
		t.Errorf("with nothing turned since got %s, %v, want the stop out at once", where(sure), err)
	}
	s, _, err = s.Apply(Event{Kind: Choose, Item: line})
	if err != nil || line == "" {
		t.Fatalf("after two pairs %q is offered: %v", line, err)
	}
	if s = script(t, s, "answer:with"); s.View().Step.Kind != TakeOut || s.View().Step.Item != line {
		t.Errorf("got %s, want the stop out for %s", where(s), line)
	}
}

// A stop that blocks much is spoken of once.
func TestDeepArcIsSaidOnce(t *testing.T) {
	for _, tt := range []struct {
		first, second string
		want          bool
	}{{"338", "22", false}, {"326", "34", false}, {"320", "40", true}} {
		s := script(t, begin(t, form, nil), "out", "skip", "skip", "answer:yes", "answer:yes", "down", "in", tt.first, tt.second)
		if d := s.View().Doubts; (len(d) == 1 && d[0].Kind == DeepArc) != tt.want {
			t.Errorf("%s and %s: got %+v", tt.first, tt.second, d)
		}
		if d := script(t, s, tt.first, tt.second).View().Doubts; len(d) != 0 {
			t.Errorf("%s and %s again: got %+v", tt.first, tt.second, d)
		}
	}
}

// A mistyped first contact is asked about by both numbers, in no word of the sheet,
// when the second one comes.
func TestMistypedFirstContact(t *testing.T) {
	s := script(t, begin(t, form, nil), "out", "skip", "skip", "answer:yes", "answer:yes", "down", "in", "400")
	if d := s.View().Doubts; len(d) != 1 || d[0].Kind != BeyondTurn {
		t.Errorf("at 400 got %+v", d)
	}
	_, _, err := s.Apply(Event{Kind: Read, Text: "320,5"})
	text := fmt.Sprint(err)
	if err == nil || !strings.Contains(text, "first contact 400, now 320.5. Is one mistyped?") || strings.Contains(text, "readout.") || strings.Contains(text, "limits.") {
		t.Errorf("got %s", text)
	}
}
