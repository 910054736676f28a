package rehearse_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/rehearse"
	"markaudit/audit/sheet"
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
	right := rehearse.Answer{Mark: "fire 10", Off: back.Truth.Lines[1].Offset, HasOff: true, Verdict: diagnosis.Outside}
	wrong := rehearse.Answer{Mark: "1-6", Off: -3, HasOff: true, Verdict: diagnosis.Outside}
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
