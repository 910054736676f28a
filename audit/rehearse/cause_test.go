package rehearse_test

import (
	"strings"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/rehearse"
	"markaudit/audit/simulate"
)

// The cause and what would confirm it are marked once a sheet. What points are given
// is common practice, no source.
func TestMarkingOfTheCause(t *testing.T) {
	for _, c := range []struct {
		scenario string
		seed     uint64
		answer   rehearse.SheetAnswer
		cause    rehearse.Reason
		confirm  rehearse.Reason
		points   float64
	}{
		{"one-line", 7, rehearse.SheetAnswer{}, rehearse.NotAnswered, rehearse.NotAnswered, 0},
		{"one-line", 7, rehearse.SheetAnswer{Cause: rehearse.OneLine, Confirmed: true}, rehearse.RightCause, rehearse.AsAsked, 2},
		{"one-line", 7, rehearse.SheetAnswer{Cause: rehearse.Ring, Confirm: diagnosis.QuarterTurn, Confirmed: true}, rehearse.OtherCause, rehearse.NotNeeded, 0.5},
		{"one-line", 7, rehearse.SheetAnswer{Cause: rehearse.CannotBeTold, Confirm: diagnosis.SecondSetup, Confirmed: true}, rehearse.CouldBeTold, rehearse.TellsToo, 0.5},
		{"moved-readout", 3, rehearse.SheetAnswer{Cause: rehearse.CannotBeTold, Confirm: diagnosis.SecondSetup, Confirmed: true}, rehearse.AnotherReading, rehearse.AsAsked, 1.5},
		{"moved-readout", 3, rehearse.SheetAnswer{Cause: rehearse.Readout, Confirmed: true}, rehearse.RightCause, rehearse.SomethingAsked, 1},
		{"moved-readout", 3, rehearse.SheetAnswer{Cause: rehearse.Readout, Confirm: diagnosis.QuarterTurn, Confirmed: true}, rehearse.RightCause, rehearse.TellsNothing, 1},
		{"creeping-stop", 3, rehearse.SheetAnswer{Cause: rehearse.CreepingStop, Confirm: diagnosis.ReadAgain, Confirmed: true}, rehearse.RightCause, rehearse.AsAsked, 2},
	} {
		s, _ := rehearse.Find(c.scenario)
		read, sealed := staged(t, s, c.seed)
		sealed.Cause = s.Cause
		o, err := rehearse.Mark(sealed, read, rehearse.Answers{Lines: []rehearse.Answer{}, Sheet: c.answer})
		if err != nil {
			t.Fatal(err)
		}
		score := o.Score[len(o.Score)-2:]
		if score[0].Reason != c.cause || score[1].Reason != c.confirm || score[0].Points+score[1].Points != c.points || score[0].Of+score[1].Of != 2 {
			t.Errorf("%s, %+v: %+v", c.scenario, c.answer, score)
		}
	}
	for _, s := range rehearse.Scenarios() {
		if (s.Cause == "") != (s.Name == "class") {
			t.Errorf("%s: cause %q", s.Name, s.Cause)
		}
	}
}

// The form is read with what it says of the sheet in any row, once.
func TestReadAnswers(t *testing.T) {
	got, err := rehearse.ReadAnswers("a.csv", []byte("sep=;\nmark;off_by;verdict;confirm;cause\n'=A;0,5;within;;\nB;;;second setup;readout_moved\nC;;;;readout moved\n"))
	want := rehearse.SheetAnswer{Cause: rehearse.Readout, Confirm: diagnosis.SecondSetup, Confirmed: true}
	if err != nil || got.Sheet != want || len(got.Lines) != 3 || got.Lines[0].Mark != "=A" || got.Lines[0].Off != 0.5 {
		t.Errorf("got %+v, %v", got, err)
	}
	for text, want := range map[string]string{
		"mark,verdict,cause\nA,,rings\n":         "a.csv:2:4: cause: found rings, expected one of none, line",
		"mark,verdict,cause\nA,,ring\nB,,line\n": "a.csv:3:4: cause: found line as well as ring, expected one cause a sheet",
		"mark,verdict,confirm\nA,,drink\n":       "confirm: found drink, expected one of none, look",
	} {
		if _, err := rehearse.ReadAnswers("a.csv", []byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// Who is told what a hand needs has a point; words of one's own are the instructor's
// to judge.
func TestMarkingOfAdvice(t *testing.T) {
	s, _ := rehearse.Find("class")
	read, sealed := staged(t, s, 3)
	sealed.Hands = []simulate.TrueHand{{By: "Ada"}, {By: "Bo", SitsOff: true, Needs: "direction"}}
	for advice, want := range map[string]rehearse.Scored{
		"":            {Mark: "Bo", Item: rehearse.Advice, Of: 1, Reason: rehearse.NotAnswered},
		"direction":   {Mark: "Bo", Item: rehearse.Advice, Points: 1, Of: 1, Reason: rehearse.RightAdvice},
		"touch":       {Mark: "Bo", Item: rehearse.Advice, Of: 1, Reason: rehearse.OtherAdvice},
		"come slowly": {Mark: "Bo", Item: rehearse.Advice, Reason: rehearse.OwnWords},
	} {
		o, err := rehearse.Mark(sealed, read, rehearse.Answers{Hands: []rehearse.HandAnswer{{By: "Bo", Answered: [2]bool{true, true}, Advice: advice}}})
		if err != nil || o.Score[len(o.Score)-1] != want {
			t.Errorf("%q: %+v, %v", advice, o.Score[len(o.Score)-1], err)
		}
	}
}
