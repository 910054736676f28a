package rehearse_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/rehearse"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
)

// staged draws a scenario and reads its sheet back from what was written.
func staged(t *testing.T, s rehearse.Scenario, seed uint64) (sheet.Sheet, rehearse.Sealed) {
	t.Helper()
	measured, truth := s.Rig(rand.New(rand.NewPCG(seed, 0))).Measure(rand.New(rand.NewPCG(seed, 1)))
	read, _, err := sheet.Read(s.Name+".yaml", []byte(sheet.Write(measured)), nil)
	if err != nil {
		t.Fatalf("%s, seed %d: %v", s.Name, seed, err)
	}
	return read, rehearse.Sealed{Scenario: s.Name, Seed: seed, Digest: read.Digest, Story: s.Story, Truth: truth}
}

func warned(r audit.Result, code audit.Code) bool {
	for _, w := range r.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// Every scenario teaches what it is meant to: the audit comes to it nearly always.
func TestScenariosTeachWhatTheyMean(t *testing.T) {
	teaches := map[string]func(o rehearse.Opened) bool{
		"good": func(o rehearse.Opened) bool { return verdicts(o, uncertainty.Within) == len(o.Lines) },
		"one-line": func(o rehearse.Opened) bool {
			return o.Result.Shift.Finding == audit.SingleMark && o.Result.Shift.StandsOut[0] == "fire 10"
		},
		"bent-pointer": func(o rehearse.Opened) bool {
			return o.Result.Shift.Finding == audit.Common && o.Result.Shift.Scribe.Worthwhile
		},
		"slipped-ring":     func(o rehearse.Opened) bool { return o.Result.Slip == audit.RingSlipped },
		"moved-readout":    func(o rehearse.Opened) bool { return o.Result.Moved },
		"differing-setups": func(o rehearse.Opened) bool { return o.Result.Differ },
		"off-centre": func(o rehearse.Opened) bool {
			return verdicts(o, uncertainty.Outside) == 0 && o.Lines[2].Mark.Verdict == uncertainty.Undecided
		},
		"lost-motion":   func(o rehearse.Opened) bool { return warned(o.Result, audit.LostMotionSeen) },
		"shallow-stop":  func(o rehearse.Opened) bool { return warned(o.Result, audit.StopInDwell) },
		"creeping-stop": func(o rehearse.Opened) bool { return warned(o.Result, audit.HalfArcCreeps) },
		"misread":       func(o rehearse.Opened) bool { return warned(o.Result, audit.StandsOut) },
		"swapped-names": func(o rehearse.Opened) bool { return warned(o.Result, audit.DeclarationSuspect) },
		"undecided":     func(o rehearse.Opened) bool { return o.Lines[1].Mark.Verdict == uncertainty.Undecided },
		"class":         func(o rehearse.Opened) bool { return len(o.Result.TDC.Setups) == 15 },
	}
	n := uint64(60)
	if testing.Short() {
		n = 15
	}
	for _, s := range rehearse.Scenarios() {
		of, ok := teaches[s.Name]
		if !ok {
			t.Errorf("%s: nothing is asked of it", s.Name)
			continue
		}
		taught := uint64(0)
		for seed := range n {
			read, sealed := staged(t, s, seed)
			o, err := rehearse.Compare(sealed, read, nil)
			if err != nil {
				t.Fatal(err)
			}
			if of(o) {
				taught++
			}
		}
		if taught < n*85/100 {
			t.Errorf("%s: taught in %d of %d stands", s.Name, taught, n)
		}
	}
}

func verdicts(o rehearse.Opened, v uncertainty.Verdict) (n int) {
	for _, l := range o.Lines {
		if l.Mark.Verdict == v {
			n++
		}
	}
	return n
}

// A class of apprentices shows who they are.
func TestClassShowsItsHands(t *testing.T) {
	s, _ := rehearse.Find("class")
	bo, dag := 0, 0
	const n = 20
	for seed := range uint64(n) {
		read, _ := staged(t, s, seed)
		r, err := audit.Run(read)
		if err != nil {
			t.Fatal(err)
		}
		if warned(r, audit.ScattersDiffer) || warned(r, audit.HalfArcJumps) || warned(r, audit.StandsOut) {
			dag++
		}
		if len(read.Setups) == 15 && read.Setups[1].By == "Bo" {
			bo++
		}
	}
	if bo < n || dag < n/2 {
		t.Errorf("of %d classes Bo is in %d, Dag's hand shows in %d", n, bo, dag)
	}
}

func TestSealAndOpen(t *testing.T) {
	s, _ := rehearse.Find("one-line")
	read, sealed := staged(t, s, 3)
	text, err := rehearse.Seal(sealed)
	if err != nil {
		t.Fatal(err)
	}
	for _, told := range []string{"stamped", "fire 10", "Offset"} {
		if strings.Contains(text, told) {
			t.Errorf("the seal tells %q", told)
		}
	}
	back, err := rehearse.Open(text)
	if err != nil {
		t.Fatal(err)
	}
	right := rehearse.Answer{Mark: "fire 10", Off: back.Truth.Lines[1].Offset, HasOff: true, Verdict: uncertainty.Outside}
	wrong := rehearse.Answer{Mark: "1-6", Off: -3, HasOff: true, Verdict: uncertainty.Outside}
	o, err := rehearse.Compare(back, read, []rehearse.Answer{right, wrong})
	if err != nil {
		t.Fatal(err)
	}
	if l := o.Lines[1]; !l.Near || l.Misjudge || l.Overbold {
		t.Errorf("the right answer: %+v", l)
	}
	if l := o.Lines[0]; l.Near || !l.Misjudge {
		t.Errorf("the wrong answer: %+v", l)
	}
	if _, err := rehearse.Compare(back, read, []rehearse.Answer{{Mark: "no such"}}); err == nil {
		t.Error("an answer for no line passes")
	}
	read.Digest = "other"
	if _, err := rehearse.Compare(back, read, nil); err == nil {
		t.Error("another sheet passes")
	}
	for _, bad := range []string{"", "x", strings.Replace(text, "\n", "\n!", 1), text[:len(text)/2], strings.Split(text, "\n")[0]} {
		if _, err := rehearse.Open(bad); err == nil {
			t.Errorf("a broken seal opens: %.40q", bad)
		}
	}
}
