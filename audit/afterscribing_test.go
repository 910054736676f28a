package audit_test

import (
	"math"
	"testing"

	"markaudit/audit/advise"
	"markaudit/audit/jobrecord"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// scribedSheet is the plain sheet with one line 3 degrees late, a pair that proves
// the readout, and so one order: TDC is where the wheel shows 0, the line comes up
// at 7.1 BTDC and belongs at 10.
func scribedSheet() sheet.Sheet {
	s := plainSheet()
	s.Setups[0].Trials = trials(340.0, 20.0, 340.1, 20.1, 339.9, 19.9, 340.0, 20.0)
	s.Setups[0].Closing = &trials(340.0, 20.0)[0]
	s.Setups[0].Marks["fire 10"] = readings(sheet.Forward, 352.9, 353.0, 352.8)
	s.Marks[1].Tolerance = 0.5
	return s
}

// By hand: the wheel shows TDC at 0 and counts up, so a line that is read at 350.1
// comes up at 9.9 BTDC, 0.1 late. The order leaves nothing, and its ± is larger than
// 0.1 and smaller than 0.9.
func TestALineReadAgainIsHeldAgainstItsOrder(t *testing.T) {
	s := scribedSheet()
	before := audited(t, s)
	if before.After != nil {
		t.Error("found something after scribing where the sheet says nothing of it")
	}
	order := before.Advice.Lines[1]
	if !order.Worthwhile || order.Then(s) <= 0.1 || order.Then(s) >= 0.9 {
		t.Fatalf("no order to hold a line against: %+v", order)
	}
	for _, c := range []struct {
		shows float64
		as    bool
	}{{350.1, true}, {349.9, true}, {350.9, false}, {352.9, false}, {347.1, false}} {
		s.After = &sheet.AfterScribing{ReadAgain: map[string][]sheet.Reading{
			"TDC": readings(sheet.Forward, 0.3), "fire 10": readings(sheet.Forward, c.shows, c.shows),
		}}
		again := audited(t, s).After.Again
		if len(again) != 2 || again[0].Name != "TDC" || again[0].Ordered {
			t.Fatalf("got %+v, want TDC without an order, and fire 10", again)
		}
		l := again[1]
		if math.Abs(l.Offset.Degrees()-(c.shows-350)) > 1e-9 || math.Abs(l.ComesUpAt.Degrees()-(c.shows-360)) > 1e-9 {
			t.Errorf("shows %v: off by %v at %v", c.shows, l.Offset, l.ComesUpAt)
		}
		if !l.Ordered || l.Expected != 0 || l.Allowed != order.Then(s) || l.AsOrdered != c.as {
			t.Errorf("shows %v: got %+v, want as ordered: %v", c.shows, l, c.as)
		}
	}
}

// By hand: on a rim of 158 mm two lines 10 degrees apart are 158·sin 5° = 13.7706 mm
// apart, straight across; TDC, which stays, is 0.3 late of its place, so its new
// neighbour lies 10.3 degrees from it: 158·sin 5.15° = 14.1827 mm.
func TestDividersAreHeldAgainstWhatShouldBe(t *testing.T) {
	s := scribedSheet()
	for _, c := range []struct {
		measured geometry.Length
		agrees   bool
	}{{14.2, true}, {13.9, true}, {9.7, false}, {16, false}} {
		s.After = &sheet.AfterScribing{Dividers: []sheet.Divided{{From: "fire 10", To: "TDC", Measured: c.measured}}}
		d := audited(t, s).After.Dividers
		if len(d) != 1 || !d[0].Computed || math.Abs(d[0].Should.Millimetres()-14.1827) > 1e-4 || !(d[0].U > s.Limits.Placement) || d[0].Agrees != c.agrees {
			t.Errorf("%v mm: got %+v, want %v", c.measured.Millimetres(), d, c.agrees)
		}
	}
	s.Part.Diameter, s.Part.Sighting = 0, lengthLimit(0)
	if d := audited(t, s).After.Dividers; len(d) != 1 || d[0].Computed || d[0].Agrees {
		t.Errorf("without a diameter: got %+v", d)
	}
}

// A sheet that the metal contradicts gives no order.
func TestAFailedEyeCheckWithholdsEveryOrder(t *testing.T) {
	s := scribedSheet()
	for found, held := range map[sheet.EyeCheck]bool{sheet.AsSaid: false, sheet.EyeNotDone: false, sheet.EyeUnsaid: false, sheet.NotAsSaid: true} {
		s.After = &sheet.AfterScribing{EyeCheck: found}
		r := audited(t, s)
		if _, said := values(r, warning.EyeCheckFailed); said != held {
			t.Errorf("%v: warned is %v", found, said)
		}
		for i, l := range r.Advice.Lines {
			if withheld := l.Withheld == advise.WithheldEyeCheck; withheld != held || held && (l.Worthwhile || l.Along != advise.NoWay) || !held && i == 1 && !l.Worthwhile {
				t.Errorf("%v: %+v", found, l)
			}
		}
	}
}

func TestPaperworkIsDoubted(t *testing.T) {
	s := plainSheet()
	s.Date = "2026-03-14"
	s.Instruments = []jobrecord.Instrument{{Role: "stop", Due: "2026-03-14"}, {Role: "wheel", Name: "wheel 4", Due: "2026-03-13"}}
	s.Photos = []sheet.Photo{{File: "a.jpg", State: sheet.Agrees}, {File: "b.jpg"}, {File: "c.jpg", State: sheet.NotStated}}
	if r := audited(t, s); len(r.Warnings) != 1 || r.Warnings[0].Code != warning.InstrumentOverdue || r.Warnings[0].Names[1] != "wheel 4" {
		t.Errorf("got %v, want the wheel overdue alone", r.Warnings)
	}
	s.Instruments = nil
	s.Photos[0].State, s.Photos[1].State = sheet.Changed, sheet.Missing
	if r := audited(t, s); len(r.Warnings) != 2 || r.Warnings[0].Code != warning.PhotoChanged || r.Warnings[1].Code != warning.PhotoMissing || r.Warnings[1].Names[0] != "b.jpg" {
		t.Errorf("got %v, want a.jpg changed and b.jpg missing", r.Warnings)
	}
}
