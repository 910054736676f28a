package sheet

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit/sheet/readings"
)

// A sheet may be opened for recording in every state before its first reading,
// and in no other that an audit would refuse.
func TestReadUnfinished(t *testing.T) {
	const form = "engine:\n  turns: clockwise\npart:\n  marks_on: part\nreadout:\n  step: 0.5\n  counts: up\nlimits:\n  tolerance: 1\nmarks:\n  - name: TDC\n    at: 0\n"
	const header = "setup,trial,item,approach,reading\n"
	tests := []struct {
		name, text string
		file       string // "-": there is none
		want       Unfinished
		fault      string
	}{
		{"neither", form, "-", Unfinished{}, ""},
		{"setups of the form", form + "setups:\n  - by: Ana\n    stop:\n      forward: []\n      backward: []\n    marks:\n      TDC: []\n", "-", Unfinished{Blank: true}, ""},
		{"setups without a value", form + "setups:\n", "-", Unfinished{Blank: true}, ""},
		{"inline", form + "setups:\n  - stop: {forward: [338], backward: [22]}\n", "-", Unfinished{Inline: true}, ""},
		{"inline with drops", form + "setups:\n  - equal_drop:\n    - {drop: 1 mm, before: [338], after: [22]}\nengine2: 1\n", "-", Unfinished{Inline: true}, "unknown key"},
		{"file not there", form + "readings: a.csv\n", "-", Unfinished{Readings: "a.csv"}, ""},
		{"header alone", form + "readings: a.csv\n", header, Unfinished{Readings: "a.csv"}, ""},
		{"empty file", form + "readings: a.csv\n", "", Unfinished{Readings: "a.csv"}, "the readings file is empty"},
		{"readings", form + "readings: a.csv\n", header + "1,1,stop,forward,338.5\n\n1,,TDC,forward,0\n", Unfinished{Readings: "a.csv", Rows: []readings.Row{
			{Setup: "1", Trial: "1", Item: "stop", Approach: "forward", Reading: "338.5"},
			{Setup: "1", Item: "TDC", Approach: "forward", Reading: "0"},
		}}, ""},
		{"decimal commas", form + "readings: a.csv\n", "setup;trial;item;approach;reading;note\n1;1;stop;forward;338,5;\"a;b\"\n", Unfinished{Readings: "a.csv", Rows: []readings.Row{
			{Setup: "1", Trial: "1", Item: "stop", Approach: "forward", Reading: "338.5", Note: "a;b"},
		}}, ""},
		{"torn", form + "readings: a.csv\n", header + "1,1,stop,forw", Unfinished{Readings: "a.csv"}, "the row is torn"},
		{"another missing file", strings.Replace(form, "  counts: up\n", "  counts: up\n  name: w\n  correction: c.json\n", 1) + "readings: a.csv\n", "-", Unfinished{Readings: "a.csv"}, "cannot read c.json"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			open := func(string) ([]byte, error) {
				if tt.file == "-" {
					return nil, fs.ErrNotExist
				}
				return []byte(tt.file), nil
			}
			got, _, err := ReadUnfinished("s.yaml", []byte(tt.text), open)
			switch {
			case tt.fault == "" && err != nil:
				t.Fatalf("got %v, want no fault", err)
			case tt.fault != "" && (err == nil || !strings.Contains(err.Error(), tt.fault)):
				t.Fatalf("got %v, want %q in it", err, tt.fault)
			}
			got.Sheet = Sheet{}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("- want, + got\n%s", diff)
			}
		})
	}
}
