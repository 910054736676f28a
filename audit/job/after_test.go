package job_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit"
	"markaudit/audit/job"
	"markaudit/audit/sheet"
)

// What is asked after scribing follows from what was to be scribed. The order is that
// of the work: common practice, no source.
func TestQuestions(t *testing.T) {
	pump, banks := *resultOf(t, "pump.yaml"), *resultOf(t, "banks.yaml")
	with := func(r audit.Result, change func(s *sheet.Sheet)) audit.Result { change(&r.Sheet); return r }
	who := job.Question{Key: "who-1", Asks: job.Who}
	dividers := job.Question{Key: "dividers-1", Asks: job.Dividers, Lines: []string{"TDC", "inject 23"}}
	again := job.Question{Key: "again-1", Asks: job.Again, Lines: []string{"inject 23"}}
	light := job.Question{Key: "light-1", Asks: job.Light, Lines: []string{"inject 23"}}
	witness := job.Question{Key: "witness-1", Asks: job.Witness}
	answered := func(q job.Question) job.Question { q.Answered = true; return q }
	first := banks.ByLine()[0].Name
	tests := []struct {
		name string
		r    audit.Result
		want []job.Question
		next string // what is asked first
	}{
		{"one line scribed anew", pump, []job.Question{who, dividers, again, light}, "who-1"},
		{"a bonded ring", with(pump, func(s *sheet.Sheet) { s.Part.BondedRing = true }), []job.Question{who, dividers, again, light, witness}, "who-1"},
		{
			"the pointer moved: no distance between lines is another", banks,
			[]job.Question{who, {Key: "again-1", Asks: job.Again, Lines: []string{first}}, {Key: "light-1", Asks: job.Light, Lines: []string{first}}},
			"who-1",
		},
		{
			"who, and a distance named the other way round",
			with(pump, func(s *sheet.Sheet) {
				s.After = &sheet.AfterScribing{By: "Finn", Dividers: []sheet.Divided{{From: "inject 23", To: "TDC", Measured: 1}}}
			}),
			[]job.Question{answered(who), answered(dividers), again, light},
			"again-1",
		},
		{
			"all",
			with(pump, func(s *sheet.Sheet) {
				s.Part.BondedRing = true
				s.After = &sheet.AfterScribing{
					By: "Finn", Dividers: []sheet.Divided{{From: "TDC", To: "inject 23", Measured: 1}}, ReadAgain: map[string][]sheet.Reading{"inject 23": {{}}},
					TimingLight: &sheet.TimingLight{Line: "TDC"}, WitnessLine: sheet.NotPainted,
				}
			}),
			[]job.Question{answered(who), answered(dividers), answered(again), answered(light), answered(witness)},
			"",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := job.Questions(tt.r)
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("-want +got\n%s", diff)
			}
			if q, more := job.NextOpen(got, ""); q.Key != tt.next || more != (tt.next != "") {
				t.Errorf("first %q, %v", q.Key, more)
			}
			if q, more := job.NextOpen(got, got[len(got)-1].Key); more {
				t.Errorf("behind the last comes %q", q.Key)
			}
		})
	}
}

// Who proves several new lines is asked first for a distance that changes with the order:
// of the crowd 3 and 9 go one way and 17 the other, so 17 to 9 tells of both, and 3 needs
// a line that stays. None is asked for twice.
func TestQuestionsBeginWithWhatShowsAWrongSide(t *testing.T) {
	r := *resultOf(t, "../../figures/crowd.yaml")
	var got [][]string
	for _, q := range job.Questions(r) {
		if q.Asks == job.Dividers {
			got = append(got, q.Lines)
		}
	}
	if len(got) < 2 {
		t.Fatalf("got %v", got)
	}
	if diff := cmp.Diff([][]string{{"line 17", "line 9"}, {"line 10", "line 3"}}, got[:2]); diff != "" {
		t.Error(diff)
	}
	for i, a := range got {
		for _, b := range got[:i] {
			if slices.Contains(b, a[0]) && slices.Contains(b, a[1]) {
				t.Errorf("%v is asked for twice", a)
			}
		}
	}
}

// Answers are written where the sheet has room for them, and all else stays: comments,
// ends of lines, answers to other questions.
func TestWriteAnswers(t *testing.T) {
	who, witness := job.Question{Asks: job.Who}, job.Question{Asks: job.Witness}
	dividers := job.Question{Asks: job.Dividers, Lines: []string{"T", "spark, 18"}}
	again := job.Question{Asks: job.Again, Lines: []string{"spark, 18"}}
	light := job.Question{Asks: job.Light, Lines: []string{"T", "spark, 18"}}
	stamp := job.Stamp{Digest: "9c1e0d123456", Day: "2026-03-15"}
	const stamped = "  date: 2026-03-15\n  scribed_by: 9c1e0d123456\n  eye_check: as said\n"
	tests := []struct {
		name, text string
		q          job.Question
		a          job.Answer
		want       string // the whole text, or what the error holds where it is none
		wrong      bool
	}{
		{"the first answer is stamped", "title: x # mine\n", who, job.Answer{Name: "Finn"}, "title: x # mine\n\nafter_scribing:\n  by: Finn\n" + stamped, false},
		{"another digest, as the paper has it", "title: x\n", who, job.Answer{Name: "Finn", Digest: "ABCDEF012345"}, "title: x\n\nafter_scribing:\n  by: Finn\n  scribed_by: abcdef012345\n  date: 2026-03-15\n  eye_check: as said\n", false},
		{"a stamp of another day stays", "after_scribing:\n  date: 2026-01-01 # a Thursday\n  scribed_by: abcdef012345\n  eye_check: not done\n", witness, job.Answer{Word: "broken"}, "after_scribing:\n  date: 2026-01-01 # a Thursday\n  scribed_by: abcdef012345\n  eye_check: not done\n  witness_line: broken\n", false},
		{"lines end as they did", "title: x\r\n", witness, job.Answer{Word: "painted"}, "title: x\r\n\r\nafter_scribing:\r\n  witness_line: painted\r\n" + strings.ReplaceAll(stamped, "\n", "\r\n"), false},
		{"a second distance", "after_scribing:\n  dividers: [{from: A, to: B, measured: 5 mm}] # cold\n" + stamped, dividers, job.Answer{Texts: []string{"16.4 mm"}}, "after_scribing:\n  dividers: [{from: A, to: B, measured: 5 mm}, {from: T, to: \"spark, 18\", measured: 16.4 mm}]  # cold\n" + stamped, false},
		{"the same distance anew, named the other way round", "after_scribing:\n  dividers: [{from: \"spark, 18\", to: T, measured: 5 mm}, {from: A, to: B, measured: 5 mm}]\n" + stamped, dividers, job.Answer{Texts: []string{"16.4 mm"}}, "after_scribing:\n  dividers: [{from: T, to: \"spark, 18\", measured: 16.4 mm}, {from: A, to: B, measured: 5 mm}]\n" + stamped, false},
		{"readings of another line stay", "after_scribing:\n  read_again: {T: {forward: [1, 2], backward: 3}, \"spark, 18\": 9}\n" + stamped, again, job.Answer{Texts: []string{"30.25", ""}}, "after_scribing:\n  read_again: {T: {forward: [1, 2], backward: 3}, \"spark, 18\": [30.25]}\n" + stamped, false},
		{"a timing light", "after_scribing:\n" + stamped, light, job.Answer{Line: "spark, 18", Word: job.No, At: "900 rpm"}, "after_scribing:\n" + stamped + "  timing_light: {line: \"spark, 18\", agrees: no, at: 900 rpm}\n", false},
		{"a timing light, no speed", "after_scribing:\n" + stamped, light, job.Answer{Line: "T", Word: job.Yes}, "after_scribing:\n" + stamped + "  timing_light: {line: T, agrees: yes}\n", false},

		{"a list on lines of its own", "after_scribing:\n  dividers:\n    - {from: A, to: B, measured: 5 mm}\n", dividers, job.Answer{Texts: []string{"16.4 mm"}}, "cannot be changed here", true},
		{"all on one line", "after_scribing: {by: Finn}\n", witness, job.Answer{Word: "painted"}, "cannot be changed here", true},
		{"no name", "title: x\n", who, job.Answer{Digest: "abcdef012345"}, "found no name", true},
		{"no distance", "title: x\n", dividers, job.Answer{Texts: []string{"", ""}}, "found no distance", true},
		{"no reading", "title: x\n", again, job.Answer{}, "found no reading", true},
		{"a line that was not asked about", "title: x\n", light, job.Answer{Line: "A", Word: job.Yes}, "found no line", true},
		{"a light that says nothing", "title: x\n", light, job.Answer{Line: "T"}, "found no answer", true},
		{"a witness line that is nothing", "title: x\n", witness, job.Answer{Word: "not said"}, "found no answer", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := sheet.ReadForm("x.yaml", []byte(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			got, err := tt.q.Write(f, tt.a, stamp)
			switch {
			case tt.wrong:
				if err == nil || !strings.Contains(err.Error(), tt.want) {
					t.Errorf("got %v, want %q", err, tt.want)
				}
			case err != nil:
				t.Error(err)
			case got.Text() != tt.want:
				t.Errorf("-want +got\n%s", cmp.Diff(tt.want, got.Text()))
			}
		})
	}
}

// Only what stands on the metal is asked about.
func TestScribed(t *testing.T) {
	pump, genset := resultOf(t, "pump.yaml"), resultOf(t, "genset.yaml")
	for _, tt := range []struct {
		name  string
		stage job.Stage
		r     *audit.Result
		want  bool
	}{
		{"to prove", job.Proving, pump, true},
		{"proven", job.Done, pump, true},
		{"to scribe", job.Scribing, pump, false},
		{"nothing to scribe", job.Done, genset, false},
		{"nothing audited", job.Done, nil, false},
	} {
		if got := (job.Standing{Stage: tt.stage}).Scribed(tt.r); got != tt.want {
			t.Errorf("%s: got %v", tt.name, got)
		}
	}
}
