package guide_test

import (
	"io/fs"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/audit/sheet"
)

const dialSheet = `format: 1
engine: {turns: clockwise, stroke: 54 mm, rod: 110 mm}
part: {marks_on: part, btdc_lines: clockwise}
readout:
  kind: dial
  step: 0.01 mm
limits:
  tolerance: 2
marks:
  - name: spark
    at: 20 BTDC
  - name: port
    at: 30 ATDC
readings: r.csv
`

// dialSession opens a session on a dial; nothing stands in its readings file yet.
func dialSession(t *testing.T) guide.State {
	t.Helper()
	s, err := guide.New("s.yaml", []byte(dialSheet), func(string) ([]byte, error) { return nil, fs.ErrNotExist }, guide.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// say applies an event that has to be taken.
func say(t *testing.T, s guide.State, e guide.Event) (guide.State, guide.Change) {
	t.Helper()
	next, change, err := s.Apply(e)
	if err != nil {
		t.Fatalf("%+v: %v", e, err)
	}
	return next, change
}

// A whole job with a dial: the top three times, the lines with the piston rising to
// each, once a few degrees further on, the top once more, and the dial out. No stop is
// asked for, and none can be put in.
func TestRecordingWithADial(t *testing.T) {
	s := dialSession(t)
	var asked []string
	for range 40 {
		step := s.View().Step
		switch {
		case step.Kind == guide.Decide:
			rows := s.Rows()
			got := strings.Join(asked, " ")
			want := "turn-back top top top port further spark further port spark port spark closing last-look"
			if got != want {
				t.Errorf("asked for %s, want %s", got, want)
			}
			if len(rows) != 10 || rows[3].Reading != "4.50 mm ATDC" || rows[3].Approach != "backward" || rows[4].Reading != "1.95 mm BTDC" || rows[4].Approach != "forward" {
				t.Errorf("rows: %+v", rows)
			}
			read := s.View().Sheet
			marks := read.Marks
			for i, side := range []string{"BTDC", "ATDC"} {
				if got := read.SideOf(marks[i]); marks[i].Further == nil || got.String() != side {
					t.Errorf("%s: %v, proven by %v", marks[i].Name, got, marks[i].Further)
				}
			}
			return
		case step.Kind == guide.Take && step.OneWay:
			t.Fatalf("told not to turn back, which was allowed: %+v", step)
		case step.Kind == guide.Take:
			asked = append(asked, step.Item)
			text := map[string]string{"top": "0.00", "closing": "0,01", "spark": "1.95", "port": "4.50 mm"}[step.Item]
			s, _ = say(t, s, guide.Event{Kind: guide.Read, Text: text})
		case step.Question == guide.TurnBack:
			asked = append(asked, "turn-back")
			s, _ = say(t, s, guide.Event{Kind: guide.Answer, Text: "yes"})
		case step.Question == guide.FurtherOn:
			asked = append(asked, "further")
			away := map[string]string{"spark": "1.60", "port": "4.90"}[step.Item]
			wrong := map[string]string{"spark": "2.40", "port": "4.10"}[step.Item]
			if _, _, err := s.Apply(guide.Event{Kind: guide.Answer, Text: wrong}); err == nil {
				t.Errorf("%s: a dial that moves the wrong way is taken", step.Item)
			}
			var change guide.Change
			s, change = say(t, s, guide.Event{Kind: guide.Answer, Text: away})
			if !strings.Contains(string(change.Sheet), "further: [") {
				t.Errorf("the sheet is now\n%s", change.Sheet)
			}
		case step.Question == guide.LastLook:
			asked = append(asked, "last-look")
			if _, _, err := s.Apply(guide.Event{Kind: guide.Answer, Text: "no"}); err == nil {
				t.Error("a dial that is still in ends the job")
			}
			s, _ = say(t, s, guide.Event{Kind: guide.Answer, Text: "yes"})
		default:
			t.Fatalf("asked %+v", step)
		}
	}
	t.Error("the job does not end")
}

// What a dial's job refuses, and what it leaves open.
func TestRecordingWithADialRefuses(t *testing.T) {
	s := dialSession(t)
	for _, e := range []guide.Event{
		{Kind: guide.StopIn}, {Kind: guide.StopOut, Sure: true}, {Kind: guide.Skip}, {Kind: guide.Read, Text: "?"}, {Kind: guide.Choose, Item: "closing"}, {Kind: guide.Choose, Item: "stop"},
	} {
		if next, _, err := s.Apply(e); err == nil {
			t.Errorf("%+v is taken: %+v", e, next.View().Step)
		}
	}
	if step := s.View().Step; step.Question != guide.TurnBack {
		t.Fatalf("got %+v, want turning back asked before anybody is told to do it", step)
	}
	s, _ = say(t, s, guide.Event{Kind: guide.Answer, Text: "no"})
	if step := s.View().Step; step.Item != "top" || !step.OneWay {
		t.Errorf("got %+v, want the top, without turning back", step)
	}
	s, _ = say(t, s, guide.Event{Kind: guide.Read, Text: "0.00"})
	s, _ = say(t, s, guide.Event{Kind: guide.Bumped, Text: guide.Refitted})
	if v := s.View(); v.Setup != "2" || v.Step.Item != "top" || v.Step.Number != 1 || v.Method != sheet.AtTop {
		t.Errorf("after the dial was moved: setup %s, %+v", v.Setup, v.Step)
	}
	for range 3 {
		s, _ = say(t, s, guide.Event{Kind: guide.Read, Text: "0.01"})
	}
	// Not turned back: lines after TDC come sinking.
	if step := s.View().Step; step.Item != "port" || step.Approach != sheet.Forward || !step.OneWay {
		t.Errorf("got %+v, want port turning the way it runs", step)
	}
	s, _ = say(t, s, guide.Event{Kind: guide.Read, Text: "4.50"})
	s, _ = say(t, s, guide.Event{Kind: guide.Skip}) // nobody looks further on
	if step := s.View().Step; step.Item != "spark" {
		t.Errorf("got %+v, want the next line", step)
	}
	rows, err := guide.Export(s.View().Sheet)
	if err != nil || len(rows) != 5 || rows[1].Item != "top" || rows[4].Reading != "4.50 mm ATDC" {
		t.Errorf("exported: %+v, %v", rows, err)
	}
}
