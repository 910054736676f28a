package words

import (
	"io/fs"
	"strings"
	"testing"

	"markaudit/audit/guide"
)

const dialJob = `format: 1
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

// sweepJob is read the way it runs only, and its lines come after a sweep.
var sweepJob = strings.Replace(dialJob, "  kind: dial\n  step: 0.01 mm\n", "  step: 0.5\n  counts: up\n  quarter_turn: [0, 90]\n", 1)

// told leads a job to its end and returns all that is said to turn by: in the
// terminal, and on the page.
func told(t *testing.T, job, turnBack string) (all []string) {
	t.Helper()
	s, err := guide.New("s.yaml", []byte(job), func(string) ([]byte, error) { return nil, fs.ErrNotExist }, guide.Memory{})
	if err != nil {
		t.Fatal(err)
	}
	points := [][2]string{{"340", "8.00 mm"}, {"345", "8.90 mm"}, {"350", "9.50 mm"}, {"10", "9.50 mm"}, {"15", "8.90 mm"}, {"20", "8.00 mm"}}
	for range 60 {
		v := s.View()
		r := NewRecording(v)
		e := guide.Event{Kind: guide.Answer, Text: "yes"}
		switch {
		case v.Step.Kind == guide.Decide:
			return all
		case v.Step.Kind == guide.Take && v.Step.Item == "sweep":
			if e = (guide.Event{Kind: guide.Skip}); len(s.Rows()) < len(points) {
				p := points[len(s.Rows())]
				e = guide.Event{Kind: guide.Read, Text: p[0], Height: p[1]}
			}
			all = append(all, r.Step(), r.Then())
		case v.Step.Kind == guide.Take:
			e = guide.Event{Kind: guide.Read, Text: map[string]string{"top": "0.00", "closing": "0.00", "spark": "1.95", "port": "4.50"}[v.Step.Item]}
			if strings.Contains(job, "quarter_turn") {
				e.Text = map[string]string{"spark": "340", "port": "30"}[v.Step.Item]
			}
			all = append(all, r.Step(), r.Then())
		case v.Step.Question == guide.FurtherOn:
			e.Text = map[string]string{"spark": "1.60", "port": "4.90"}[v.Step.Item]
		case v.Step.Question == guide.TurnBack:
			e.Text = turnBack
			if len(all) > 0 {
				t.Errorf("asked after %q", all)
			}
		case v.Step.Question == guide.WhereStop:
			e.Text = "out"
		}
		if s, _, err = s.Apply(e); err != nil {
			t.Fatalf("%+v: %v", v.Step, err)
		}
	}
	t.Fatalf("the job does not end, at %+v", s.View().Step)
	return nil
}

// Nobody is told to turn an engine back that must not be turned back, whatever finds
// TDC; where it may be, that is the way to come again.
func TestNobodyIsToldToTurnBackAgainstANo(t *testing.T) {
	for _, job := range []struct{ name, sheet string }{{"dial", dialJob}, {"sweep", sweepJob}} {
		for _, said := range []string{"no", "unsure"} {
			all := told(t, job.sheet, said)
			round := 0
			for _, text := range all {
				plain := strings.ReplaceAll(strings.ToLower(text), "do not turn back", "")
				for _, word := range []string{"back", "against", "to and fro"} {
					if strings.Contains(plain, word) {
						t.Errorf("%s, %s: told %q", job.name, said, text)
					}
				}
				if strings.Contains(plain, "round") {
					round++
				}
			}
			if round == 0 {
				t.Errorf("%s, %s: nothing says to go on round: %q", job.name, said, all)
			}
		}
	}
	if all := strings.Join(told(t, dialJob, "yes"), "\n"); !strings.Contains(all, "Turn the engine back about 20 degrees") || !strings.Contains(all, "AGAINST") || strings.Contains(all, "Do not turn back") {
		t.Errorf("with a yes the dial's job says %s", all)
	}
}
