package rehearse_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/rehearse"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
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
	right := rehearse.Answer{Mark: "fire 10", Off: back.Truth.Lines[1].Offset, HasOff: true, Verdict: diagnosis.Outside, HasVerdict: true}
	wrong := rehearse.Answer{Mark: "1-6", Off: -3, HasOff: true, Verdict: diagnosis.Outside, HasVerdict: true}
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

// Points are given as they are promised: nothing for a blank, half for a needless
// undecided, all for what the readings allow.
func TestMarking(t *testing.T) {
	s, _ := rehearse.Find("one-line")
	read, sealed := staged(t, s, 7)
	off := sealed.Truth.Lines[1].Offset // of fire 10, outside
	all := func(answers ...rehearse.Answer) []rehearse.Scored {
		o, err := rehearse.Mark(sealed, read, rehearse.Answers{Lines: answers})
		if err != nil {
			t.Fatal(err)
		}
		return o.Score
	}
	o, err := rehearse.Mark(sealed, read, rehearse.Answers{})
	if err != nil || o.Score != nil {
		t.Fatalf("nothing handed in: %v, %v", o.Score, err)
	}
	sum := func(score []rehearse.Scored) (points, of float64) {
		for _, x := range score {
			points, of = points+x.Points, of+x.Of
		}
		return points, of
	}
	var undecided, blank, right []rehearse.Answer
	for i, l := range sealed.Truth.Lines {
		undecided = append(undecided, rehearse.Answer{Mark: l.Name, Verdict: diagnosis.Undecided, HasVerdict: true})
		blank = append(blank, rehearse.Answer{Mark: l.Name})
		right = append(right, rehearse.Answer{Mark: l.Name, Off: l.Offset, HasOff: true, Verdict: o.Lines[i].Mark.Verdict, HasVerdict: true})
	}
	for name, c := range map[string]struct {
		answers    []rehearse.Answer
		points, of float64
	}{"all undecided": {undecided, 2, 8}, "all blank": {blank, 0, 8}, "all right": {right, 8, 8}} {
		if points, of := sum(all(c.answers...)); points != c.points || of != c.of {
			t.Errorf("%s: %g of %g, want %g of %g", name, points, of, c.points, c.of)
		}
	}
	for _, c := range []struct {
		answer rehearse.Answer
		item   int
		reason rehearse.Reason
	}{
		{rehearse.Answer{Mark: "fire 10", Off: -off, HasOff: true}, 2, rehearse.WrongWay},
		{rehearse.Answer{Mark: "fire 10", Off: off + 3, HasOff: true}, 2, rehearse.Far},
		{rehearse.Answer{Mark: "fire 10", Off: off + 0.3, HasOff: true}, 2, rehearse.RatherNear},
		{rehearse.Answer{Mark: "fire 10", Verdict: diagnosis.Within, HasVerdict: true}, 3, rehearse.Mistaken},
		{rehearse.Answer{Mark: "fire 10", Off: off, HasOff: true}, 3, rehearse.NotAnswered},
	} {
		if got := all(c.answer)[c.item].Reason; got != c.reason {
			t.Errorf("%+v: %s, want %s", c.answer, got, c.reason)
		}
	}
	unsure, _ := rehearse.Find("undecided")
	read, sealed = staged(t, unsure, 3)
	for _, v := range []diagnosis.Verdict{diagnosis.Within, diagnosis.Outside} {
		o, err := rehearse.Mark(sealed, read, rehearse.Answers{Lines: []rehearse.Answer{{Mark: "fire 10", Verdict: v, HasVerdict: true}}})
		if err != nil || o.Lines[1].Mark.Verdict != diagnosis.Undecided {
			t.Fatalf("fire 10 is %v, %v", o.Lines[1].Mark.Verdict, err)
		}
		want := rehearse.TooBold
		if (v == diagnosis.Within) != o.Lines[1].Within() {
			want = rehearse.Mistaken
		}
		if got := o.Score[3]; got.Points != 0 || got.Reason != want {
			t.Errorf("%v where the readings do not decide: %+v, want %s", v, got, want)
		}
	}
}

// A class is marked by its hands: a hit each, one less for a good hand that is
// blamed.
func TestMarkingOfHands(t *testing.T) {
	s, _ := rehearse.Find("class")
	read, sealed := staged(t, s, 3)
	sealed.Hands = []simulate.TrueHand{{By: "Ada"}, {By: "Bo", SitsOff: true}, {By: "Dag", Scatters: true}}
	yes := [2]bool{true, true}
	for name, c := range map[string]struct {
		answers []rehearse.HandAnswer
		points  float64
	}{
		"all right":  {[]rehearse.HandAnswer{{By: "Ada", Answered: yes}, {By: "Bo", SitsOff: true, Answered: yes}, {By: "Dag", Scatters: true, Answered: yes}}, 2},
		"one blamed": {[]rehearse.HandAnswer{{By: "Ada", Scatters: true, Answered: yes}, {By: "Bo", SitsOff: true, Answered: yes}, {By: "Dag", Answered: yes}}, 0},
		"left blank": {[]rehearse.HandAnswer{{By: "Ada"}, {By: "Bo"}, {By: "Dag"}}, 0},
	} {
		o, err := rehearse.Mark(sealed, read, rehearse.Answers{Hands: c.answers})
		points, of := o.Points()
		if err != nil || points != c.points || of != 2 {
			t.Errorf("%s: %g of %g, %v; want %g of 2", name, points, of, err, c.points)
		}
	}
	if _, err := rehearse.Mark(sealed, read, rehearse.Answers{Hands: []rehearse.HandAnswer{{By: "Eve"}}}); err == nil {
		t.Error("an answer for nobody passes")
	}
}
