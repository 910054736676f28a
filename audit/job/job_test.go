package job_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/job"
	"markaudit/audit/sheet"
)

// resultOf audits one of the good sheets. Their verdicts are those of the golden
// files, which other tests check against sources outside.
func resultOf(t *testing.T, name string) *audit.Result {
	t.Helper()
	s, _, err := sheet.Read(name, testkit.Read(t, "sheets/good/"+name), testkit.Beside(t, "sheets/good"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	return &r
}

// withAfter audits the pump with what was found after scribing.
func withAfter(t *testing.T, text string) *audit.Result {
	t.Helper()
	s, _, err := sheet.Read("pump.yaml", append(testkit.Read(t, "sheets/good/pump.yaml"), "\n"+text+"\n"...), testkit.Beside(t, "sheets/good"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	return &r
}

// Where a job stands, for each of what may be known of it. What counts comes from
// the issue of this program: being measured, undecided, to scribe, to prove, done.
func TestStand(t *testing.T) {
	pump, genset, logger, ring, spun := resultOf(t, "pump.yaml"), resultOf(t, "genset.yaml"), resultOf(t, "logger.yaml"), resultOf(t, "ring.yaml"), resultOf(t, "spun.yaml")
	eye := func(answer string) job.Said { return job.Said{Answer: answer, About: job.CheckOf(*pump)} }
	scribed := func(answer string) job.Said { return job.Said{Answer: answer, About: job.OrdersOf(*pump)} }
	all := func(within, outside int) job.Count {
		return job.Count{All: within + outside, Within: within, Outside: outside}
	}
	tests := []struct {
		name string
		seen job.Seen
		want job.Standing
	}{
		{"answers open", job.Seen{Asking: true}, job.Standing{Stage: job.Asking}},
		{"something wrong on the sheet", job.Seen{Faulty: true, Result: genset}, job.Standing{Stage: job.Asking, Faulty: true, Lines: all(2, 0)}},
		{"answers open, the stop in", job.Seen{Asking: true, Stop: "in"}, job.Standing{Stage: job.Asking, StopIn: true}},
		{"nothing read", job.Seen{Item: "stop"}, job.Standing{Stage: job.Measuring}},
		{"no line on the sheet", job.Seen{Result: spun}, job.Standing{Stage: job.Measuring}},
		{"a line outside, the closing pair missing", job.Seen{Result: pump, Item: "closing", Stop: "in"}, job.Standing{Stage: job.Measuring, StopIn: true, Lines: all(1, 1)}},
		{"another cylinder to come", job.Seen{Result: genset, Cylinder: "6", Stop: "out"}, job.Standing{Stage: job.Measuring, Lines: all(2, 0)}},
		{"undecided", job.Seen{Result: logger}, job.Standing{Stage: job.Undecided, Lines: job.Count{All: 2, Undecided: 2}}},
		{"a slipped ring: nothing is scribed", job.Seen{Result: ring}, job.Standing{Stage: job.Outside, Lines: all(2, 3)}},
		{"all within", job.Seen{Result: genset}, job.Standing{Stage: job.Done, Lines: all(2, 0)}},
		{"an eye check of another day at a job without orders", job.Seen{Result: genset, Told: job.Told{Eye: job.Said{Answer: job.Yes, About: job.CheckOf(*genset)}}}, job.Standing{Stage: job.Done, Lines: all(2, 0)}},

		{"to scribe, the metal not looked at", job.Seen{Result: pump}, job.Standing{Stage: job.Scribing, Lines: all(1, 1)}},
		{"the eye check says no", job.Seen{Result: pump, Told: job.Told{Eye: eye(job.No)}}, job.Standing{Stage: job.Stopped, Eye: job.No, Lines: all(1, 1)}},
		{"the eye check says yes", job.Seen{Result: pump, Told: job.Told{Eye: eye(job.Yes)}}, job.Standing{Stage: job.Scribing, Eye: job.Yes, Lines: all(1, 1)}},
		{"yes to another question", job.Seen{Result: pump, Told: job.Told{Eye: job.Said{Answer: job.Yes, About: "from TDC to inject 23, anticlockwise"}}}, job.Standing{Stage: job.Scribing, Lines: all(1, 1)}},
		{"scribed, but nobody looked", job.Seen{Result: pump, Told: job.Told{Scribed: scribed(job.Yes)}}, job.Standing{Stage: job.Scribing, Lines: all(1, 1)}},
		{"the dividers say no", job.Seen{Result: pump, Told: job.Told{Eye: eye(job.Yes), Scribed: scribed(job.No)}}, job.Standing{Stage: job.Stopped, Eye: job.Yes, Lines: all(1, 1)}},
		{"scribed", job.Seen{Result: pump, Told: job.Told{Eye: eye(job.Yes), Scribed: scribed(job.Yes)}}, job.Standing{Stage: job.Proving, Eye: job.Yes, Lines: all(1, 1)}},
		{"scribed by other orders", job.Seen{Result: pump, Told: job.Told{Eye: eye(job.Yes), Scribed: job.Said{Answer: job.Yes, About: `"TDC" clockwise`}}}, job.Standing{Stage: job.Scribing, Eye: job.Yes, Lines: all(1, 1)}},
		{"scribed, and a sheet faulty since", job.Seen{Faulty: true, Told: job.Told{Eye: eye(job.Yes), Scribed: scribed(job.Yes)}}, job.Standing{Stage: job.Asking, Faulty: true}},
		{"the sheet says that the check failed", job.Seen{Result: withAfter(t, "after_scribing: {eye_check: not as said}"), Told: job.Told{Eye: eye(job.Yes)}}, job.Standing{Stage: job.Stopped, Eye: job.No, Lines: all(1, 1)}},
		{"the sheet says scribed, the journal nothing", job.Seen{Result: withAfter(t, "after_scribing: {by: Finn, eye_check: as said}")}, job.Standing{Stage: job.Proving, Eye: job.Yes, Lines: all(1, 1)}},
		{"the sheet says scribed, and that nobody looked", job.Seen{Result: withAfter(t, "after_scribing: {by: Finn, eye_check: not done}")}, job.Standing{Stage: job.Scribing, Lines: all(1, 1)}},
		{"the sheet says scribed, the journal takes it back", job.Seen{Result: withAfter(t, "after_scribing: {by: Finn, eye_check: as said}"), Told: job.Told{Eye: eye(job.Yes)}}, job.Standing{Stage: job.Scribing, Eye: job.Yes, Lines: all(1, 1)}},
		{
			"the proof is under way",
			job.Seen{Result: pump, Told: job.Told{Eye: eye(job.Yes), Scribed: scribed(job.Yes), Proof: "pump-2.yaml"}, Proven: &job.Standing{Stage: job.Measuring}},
			job.Standing{Stage: job.Proving, Eye: job.Yes, Lines: all(1, 1), Proof: "pump-2.yaml"},
		},
		{
			"proven",
			job.Seen{Result: pump, Told: job.Told{Eye: eye(job.Yes), Scribed: scribed(job.Yes), Proof: "pump-2.yaml"}, Proven: &job.Standing{Stage: job.Done}},
			job.Standing{Stage: job.Done, Eye: job.Yes, Lines: all(1, 1), Proof: "pump-2.yaml", Proven: true},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, job.Stand(tt.seen)); diff != "" {
				t.Errorf("-want +got\n%s", diff)
			}
		})
	}
}

// The words of the stages, and a number that is none.
func TestStageWords(t *testing.T) {
	for stage, want := range map[job.Stage]string{job.Asking: "answers open", job.Measuring: "being measured", job.Proving: "to prove", job.Done: "done", 200: "unknown 200"} {
		if got := stage.String(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// What stands for an order is the line and the side, and not how far: a further
// reading that changes a millimetre leaves what was said of it.
func TestOrders(t *testing.T) {
	for name, want := range map[string]string{"pump.yaml": `"inject 23" clockwise`, "banks.yaml": "all anticlockwise", "ring.yaml": "", "genset.yaml": ""} {
		r := resultOf(t, name)
		if got := job.OrdersOf(*r); got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
		if got := job.Scribes(*r); got != (want != "") {
			t.Errorf("%s: got %v", name, got)
		}
	}
}
