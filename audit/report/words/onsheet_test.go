package words_test

import (
	"os"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/job"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

func crowd(t *testing.T) words.Audit {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/figures/crowd.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, _, err := sheet.Read("crowd.yaml", data, nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	v := words.NewAudit(r, nil)
	v.ByDividers = true
	return v
}

// What an old line nearly stands on is named, and which of the two it is. By hand: line 3
// was read at 2.15 BTDC, line 2 at 2.0: of these two it is the one towards line 4, to which
// its new line goes. Where a line goes the other way it is the one away from there.
func TestOfTwoLinesThatNearlyTouchTheOldOneIsNamed(t *testing.T) {
	v := crowd(t)
	said := words.OldOnes(v)
	for _, want := range []string{"Line “line 3” stands 0.1 mm beside “line 2”", "“line 9” stands 0.1 mm beside “line 8”", "“line 17” stands 0.3 mm beside “line 18”", "nearer to its new line", "If you cannot tell the two apart: STOP, scribe nothing for that line."} {
		if !strings.Contains(said, strings.TrimPrefix(want, "Line ")) {
			t.Errorf("no %q in %q", want, said)
		}
	}
	for i, l := range v.Result.Lines {
		if l.Name != "line 3" {
			continue
		}
		for k := range l.Seen { // to the other side of line 2
			l.Seen[k].Offset += 0.3
		}
		if said := v.Scribe(v.Result.ByLine()[i]); !strings.Contains(said, "beside “line 2”: the old one is the one further anticlockwise") {
			t.Errorf("beyond line 2: %q", said)
		}
	}
	for i, l := range v.Result.Lines { // settled before scribing: the order itself does not say it again
		if said := v.ScribeOnSheet(v.Result.ByLine()[i]); strings.Contains(said, "beside") {
			t.Errorf("%s: %q", l.Name, said)
		}
	}
	demo := words.NewAudit(reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["demo"], nil)
	if said := words.OldOnes(demo); said != "" {
		t.Errorf("no line of the demonstration is near another: %q", said)
	}
}

// Whoever finds something finds what follows from it, a step each; pointer and ring, scale
// and turning line are kept apart, and where nothing is found nothing is moved. By hand:
// the lines come up late, so a pointer goes back to meet them, a scale against the way the
// line passes it, and the line that turns on, the other way.
func TestEachFindingHasItsStep(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for name, want := range map[string][]string{
		"banks.yaml":  {"Scribe none of the 4 lines anew. Look first, in this order, whether the engine pointer", "The pointer or its tab: mark where its tip stands. Move it 1.6 mm along the rim (1.07° ± 0.23°, what all 4 lines share), BACK", "The outer ring: replace it.", "Anything else, or nothing found: scribe nothing and move nothing."},
		"window.yaml": {"Scribe none of the 2 lines of the scale anew.", "The scale: move the whole scale 2.4 mm along the rim (0.88° ± 0.31°, what all 2 lines share), CLOCKWISE, RIGHT in the window.", "The turning line alone: scribe it anew 2.4 mm the other way, AHEAD, the way the engine runs. As you look at the marks (flywheel end), that is ANTICLOCKWISE, LEFT in the window.", "Anything else"},
		"pump.yaml":   nil,
	} {
		v := words.NewAudit(all[name], nil)
		v.ByDividers = true
		got := words.MoveOnSheet(v)
		if len(got) != len(want) {
			t.Fatalf("%s: %q", name, got)
		}
		for i := range want {
			if !strings.HasPrefix(got[i], want[i]) {
				t.Errorf("%s: %q, want %q", name, got[i], want[i])
			}
		}
		if moves := len(want) > 0; moves != strings.HasPrefix(words.SetAnew(v), "set the timing anew,") {
			t.Errorf("%s: %q", name, words.SetAnew(v))
		}
	}
}

// Each doubt says what it means for the order, by the one table that the strips use.
func TestEachDoubtSaysWhatItMeansForTheOrder(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, c := range []struct {
		of   string
		code warning.Code
		want string
	}{
		{"demo", warning.StepCoarse, "The order holds."},
		{"pump.yaml", warning.NoRemounting, "The order holds for the readout as it was fitted. If it must also hold after fitting it again, take 2 more setups first, the readout off and on in between."},
		{"pump.yaml", warning.DirectionUnchecked, "Do this first."},
		{"window.yaml", warning.SideUnchecked, "Do this first: step 1."},
		{"plug-hole.yaml", warning.SideNotProven, ""}, // nothing is ordered
		{"papers.yaml", warning.NoRemounting, ""},     // it is carried out
	} {
		if got := words.ForTheOrder(words.NewAudit(all[c.of], nil), c.code); got != c.want {
			t.Errorf("%s, %s: %q, want %q", c.of, c.code, got, c.want)
		}
	}
}

// A sheet on which nothing confirms which way the engine runs is not said to be finished.
func TestNothingIsLeftOnlyWhereTheSideWasSeen(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for name, done := range map[string]bool{"plug-hole.yaml": false, "banks.yaml": true} {
		j := words.Job{Audit: words.NewAudit(all[name], nil), Standing: job.Standing{Stage: job.Done}}
		if got := j.Todo(); (got == "Nothing is left to do.") != done {
			t.Errorf("%s: %q", name, got)
		}
		if got := j.Headline(); strings.HasSuffix(got, "to be confirmed") == done {
			t.Errorf("%s: %q", name, got)
		}
	}
}

// Who stops by a tape has a ± to stop by. By hand: 120 mm across are 377 mm round, and
// three in a hundred of that are 11. 172 ± 0.2 mm are 540.4 ± 0.6 mm round, and a tape
// 0.2 mm thick (common practice, no source) adds 0.6.
func TestTapeHasAPlusMinus(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for name, want := range map[string]string{"plug-hole.yaml": "377 ± 11 mm (the diameter has no ±)", "banks.yaml": "540.4 ± 1.3 mm"} {
		if got := words.NewAudit(all[name], nil).Round(); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

// What lines share that are off alike is said first, and what to suspect; of lines that
// are not, nothing. The figures are those of the steps, tested above.
func TestWhatLinesShareIsSaidFirst(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for name, want := range map[string]string{
		"banks.yaml":  "All 4 share 1.07° late: suspect pointer or ring, not lines.",
		"window.yaml": "Both share 0.88° late: suspect scale or turning line, not lines.",
		"pump.yaml":   "", "demo": "",
	} {
		if got := words.SharedInShort(words.NewAudit(all[name], nil)); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

// A doubt about a side says what the dial must show. By the crank: past TDC the piston
// sinks, whichever way the dial's number grows. One about refitting asks only once for
// more setups.
func TestDoubtsSayWhatMustBeSeen(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for name, want := range map[string]string{"plug-hole.yaml": "further from its top, for the piston sinks. Nearer: STOP", "pump.yaml": "to show what that adds"} {
		v := words.NewAudit(all[name], nil)
		said := ""
		for _, d := range words.Doubts(v) {
			said += words.DoubtOnSheet(v, d) + " "
		}
		if !strings.Contains(said, want) || strings.Contains(said, "Take three setups") {
			t.Errorf("%s: no %q in %q", name, want, said)
		}
	}
}
