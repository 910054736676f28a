package history_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/history"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// shop is one audit of the shop's wheel, by the virtual stand.
func shop(rng *rand.Rand, day int, setups int, change func(*simulate.Rig)) sheet.Sheet {
	r := simulate.Steady(0.6, 0, -10, 120, 240)
	r.Readout = simulate.Readout{Kind: sheet.Wheel, Step: 0.05, Counts: geometry.CountsUp, Diameter: 280}
	for i := range r.Lines {
		r.Lines[i].Offset = geometry.Angle(0.2 * (rng.Float64() - 0.5))
	}
	r.Told.QuarterTurn, r.Told.Side = true, true
	r.Setups[0].By = "Ilse"
	r.Setups[0].Hand = simulate.Hand{MiddleSD: 0.07, ReadSD: 0.1, RemountSD: 0.08}
	if change != nil {
		change(&r)
	}
	s, _ := r.Repeated(setups).Measure(rng)
	s.Readout.Name, s.Date, s.Digest = "wheel 4", fmt.Sprintf("2025-%02d-%02d", 1+day/28, 1+day%28), fmt.Sprintf("%04x%060d", day, day)
	return s
}

func run(t *testing.T, s sheet.Sheet) audit.Result {
	t.Helper()
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func several(t *testing.T, n, setups int) []audit.Result {
	rng := rand.New(rand.NewPCG(20261128, 7))
	out := make([]audit.Result, n)
	for i := range out {
		out[i] = run(t, shop(rng, i, setups, nil))
	}
	return out
}

func text(t *testing.T, h sheet.History) string {
	t.Helper()
	var b bytes.Buffer
	if err := sheet.WriteHistory(&b, h, "test"); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Sheets in any order give the same bytes, and a sheet that is given twice counts once.
func TestOrderAndDoubles(t *testing.T) {
	results := several(t, 6, 3)
	h, left, err := history.Gather(results, "", nil)
	if err != nil || len(left) != 0 {
		t.Fatalf("%v, %v", left, err)
	}
	turned := slices.Clone(results)
	slices.Reverse(turned)
	again, left, err := history.Gather(append(turned, results[2]), "", nil)
	if err != nil || len(left) != 1 || left[0] != (history.Left{Result: 6, Reason: history.Twice}) {
		t.Fatalf("%v, %v", left, err)
	}
	if text(t, h) != text(t, again) {
		t.Error("another order, another history")
	}
}

// What comes out is what went in: scatters of 0.07 and 0.1, and of a line over the
// mountings √(0.08² + 0.07²/3 + 0.1²/3), to four standard errors.
func TestGatherFindsWhatWasPutIn(t *testing.T) {
	h, _, err := history.Gather(several(t, 40, 3), "", nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		past sheet.Past
		sd   float64
		dof  float64
	}{
		{"middles", h.Middle(), 0.07, 40 * 3 * 2},
		{"readings", h.Reading(), 0.1, 40 * 3 * 4 * 2},
		{"mountings", h.Mounting(), math.Sqrt(0.08*0.08 + 0.07*0.07/3 + 0.1*0.1/3), 40 * 2},
	} {
		if c.past.DOF != c.dof || math.Abs(c.past.SD.Degrees()/c.sd-1) > 4/math.Sqrt(2*c.dof)+0.02 { // a step of half a scatter adds a hundredth
			t.Errorf("%s: %v on %v, want %.4f on %v", c.name, c.past.SD, c.past.DOF, c.sd, c.dof)
		}
	}
	if m := h.Mounting(); m.Pairs != 3 || m.Readings != 3 || m.Sheets != 40 {
		t.Errorf("behind one setup: %+v", m)
	}
}

func TestWhatIsLeftOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(20261128, 8))
	good := run(t, shop(rng, 0, 3, nil))
	of := func(setups int, change func(*simulate.Rig)) audit.Result { return run(t, shop(rng, 1, setups, change)) }
	struck := shop(rng, 1, 3, nil)
	struck.Setups[0].Trials[0].Forward.Struck = true
	for _, c := range []struct {
		name   string
		result audit.Result
		by     string
		reason history.Reason
		whole  bool // the whole sheet
	}{
		{"moved", of(1, func(r *simulate.Rig) { r.Setups[0].Closing, r.Setups[0].Bumped = true, 3 }), "", history.Moved, true},
		{"in the dwell", of(1, func(r *simulate.Rig) { r.Setups[0].HalfArc = 3 }), "", history.InDwell, true},
		{"suspect", of(1, func(r *simulate.Rig) { r.Slips.Swapped = [2]string{"line 3", "line 4"} }), "", history.Suspect, true},
		{"other hands", of(3, func(r *simulate.Rig) { r.Setups[0].By = "Uwe" }), "Ilse", history.OtherHands, true},
		{"zeroed alike", of(3, func(r *simulate.Rig) { r.ZeroAlike, r.Readout.Step = true, 2 }), "", history.ZeroedAlike, false},
		{"struck", run(t, struck), "", history.Struck, false},
	} {
		first := good
		first.Sheet.Readout.Step = c.result.Sheet.Readout.Step
		h, left, err := history.Gather([]audit.Result{first, c.result}, c.by, nil)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		want := 2
		if c.whole {
			want = 1
		}
		if len(h.Sheets) != want || !slices.ContainsFunc(left, func(l history.Left) bool { return l.Reason == c.reason && l.Result == 1 }) {
			t.Errorf("%s: %d sheets, left %+v", c.name, len(h.Sheets), left)
		}
	}
}

func TestGatherRefuses(t *testing.T) {
	results := several(t, 2, 1)
	for _, c := range []struct {
		name    string
		change  func(s *sheet.Sheet)
		without []string
		want    string
	}{
		{"another readout", func(s *sheet.Sheet) { s.Readout.Name = "wheel 5" }, nil, "expected sheets of one"},
		{"another step", func(s *sheet.Sheet) { s.Readout.Step = 0.5 }, nil, "steps"},
		{"no name", func(s *sheet.Sheet) { s.Readout.Name = "" }, nil, "readout.name"},
		{"a digest of none", func(*sheet.Sheet) {}, []string{"ffff"}, "no sheet with the digest"},
		{"all struck", func(*sheet.Sheet) {}, []string{"0000", "0001"}, "no sheet is left"},
	} {
		changed := slices.Clone(results)
		c.change(&changed[1].Sheet)
		if _, _, err := history.Gather(changed, "", c.without); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

func TestStrike(t *testing.T) {
	h, _, err := history.Gather(several(t, 4, 1), "", nil)
	if err != nil {
		t.Fatal(err)
	}
	kept, left, err := history.Strike(h, []string{"0002"})
	if err != nil || len(kept.Sheets) != 3 || len(left) != 1 || len(h.Sheets) != 4 {
		t.Errorf("%d of %d sheets, %v, %v", len(kept.Sheets), len(h.Sheets), left, err)
	}
	for _, d := range []string{"000", "ffff", ""} {
		if _, _, err := history.Strike(h, []string{d}); err == nil {
			t.Errorf("%q is struck", d)
		}
	}
}

// One setup with a history covers remounting; without, it says nothing of it. A day
// that scatters more than the past refuses it, and says so.
func TestOneSetupCoversRemounting(t *testing.T) {
	h, _, err := history.Gather(several(t, 10, 3), "", nil)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(20261128, 9))
	s := shop(rng, 100, 1, nil)
	alone := run(t, s)
	s.Readout.History = &h
	with := run(t, s)
	for i, l := range with.Lines {
		if !l.Remounted.Used || l.Remounted.Sheets != 10 || l.Offset.Value != alone.Lines[i].Offset.Value || l.Covers.String() != "remounting" {
			t.Errorf("%s: %+v, %v, alone %v", l.Name, l.Remounted, l.Offset, alone.Lines[i].Offset)
		}
		if r := l.Offset.Budget[0]; r.Source != uncertainty.AsBefore || r.DOF != 4 || math.Abs((r.Scale-h.Mounting().SD).Degrees()) > 1e-12 {
			t.Errorf("%s: %+v", l.Name, r)
		}
	}
	wild := shop(rng, 101, 1, func(r *simulate.Rig) { r.Setups[0].Hand.MiddleSD, r.Setups[0].Hand.ReadSD = 1, 1 })
	wild.Readout.History = &h
	refused := run(t, wild)
	wild.Readout.History = nil
	without := run(t, wild)
	for i, l := range refused.Lines {
		if l.Remounted.Used || l.Before.Used || l.Offset.Budget[0] != without.Lines[i].Offset.Budget[0] {
			t.Errorf("%s: %+v, %+v", l.Name, l.Before, l.Offset.Budget)
		}
	}
	if !refused.TDC.Before.Objected || !slices.ContainsFunc(refused.Warnings, func(w warning.Warning) bool { return w.Code == warning.HistoryNotUsed }) {
		t.Errorf("%+v, %+v", refused.TDC.Before, refused.Warnings)
	}
	// Fewer pairs than stood behind the past: its mountings cannot speak for this one.
	few := shop(rng, 102, 1, func(r *simulate.Rig) { r.Setups[0].Trials = 2 })
	few.Readout.History = &h
	if l := run(t, few).Lines[0]; l.Remounted.Used {
		t.Errorf("two pairs where the past had three: %+v", l.Remounted)
	}
}
