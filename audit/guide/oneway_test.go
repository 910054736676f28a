package guide_test

import (
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/audit/sheet"
)

// On an engine that may not be turned backward, or of which nobody knows, no line is
// come to from the other side, with a dial and with a sweep; one that was chosen so
// before anybody asked is read the way the engine runs.
func TestNothingIsReadBackwardAgainstANo(t *testing.T) {
	for _, said := range []string{"no", "unsure"} {
		s := dialSession(t)
		s, _ = say(t, s, guide.Event{Kind: guide.Choose, Item: "spark", Approach: sheet.Backward})
		s, _ = say(t, s, guide.Event{Kind: guide.Answer, Text: said})
		if step := s.View().Step; step.Item != "spark" || step.Approach != sheet.Forward || !step.OneWay {
			t.Errorf("%s: got %+v, want spark the way the engine runs", said, step)
		}
		for _, item := range []string{"port", "spark"} {
			if _, _, err := s.Apply(guide.Event{Kind: guide.Choose, Item: item, Approach: sheet.Backward}); err == nil || !strings.Contains(err.Error(), "turned backward") {
				t.Errorf("%s: %s backward: %v", said, item, err)
			}
		}
		if _, _, err := s.Apply(guide.Event{Kind: guide.Choose, Item: "port"}); err != nil {
			t.Errorf("%s: port: %v", said, err)
		}
	}
	s := dialSession(t)
	s, _ = say(t, s, guide.Event{Kind: guide.Answer, Text: "yes"})
	s, _ = say(t, s, guide.Event{Kind: guide.Choose, Item: "spark", Approach: sheet.Backward})
	if step := s.View().Step; step.Approach != sheet.Backward {
		t.Errorf("with a yes: %+v", step)
	}
}

// With a dial nothing is said of a stop, also where the engine will not turn.
func TestStuckWithADial(t *testing.T) {
	s := dialSession(t)
	s, _ = say(t, s, guide.Event{Kind: guide.Answer, Text: "yes"})
	_, _, err := s.Apply(guide.Event{Kind: guide.Stuck})
	if err == nil || strings.Contains(err.Error(), "`out`") || !strings.Contains(err.Error(), "do not force it") {
		t.Errorf("got %v", err)
	}
}
