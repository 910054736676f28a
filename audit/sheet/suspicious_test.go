package sheet

import (
	"slices"
	"strings"
	"testing"

	"markaudit/audit/internal/testkit"
)

func TestCopied(t *testing.T) {
	const three = `
    stop: {forward: [338.0, 338.5, 338.0], backward: [22.0, 22.0, 22.5]}
    marks: {TDC: [0.5, 0.5]}`
	const closing = "\n    closing: {forward: 338.0, backward: 22.0}"
	const other = "\n    closing: {forward: 338.5, backward: 22.0}"
	for _, c := range []struct {
		name   string
		setups []string
		want   []int
	}{
		{"alone", []string{three}, nil},
		{"twice", []string{three, three}, []int{1}},
		{"three times, by others", []string{three, "\n    by: Ida" + three, "\n    date: 2026-05-01\n    note: again" + three}, []int{1, 2}},
		{"a copy of the first behind another", []string{three, strings.Replace(three, "22.5]", "22.0]", 1), three}, []int{2}},
		{"one reading differs", []string{three, strings.Replace(three, "[0.5, 0.5]", "[0.5, 0.0]", 1)}, nil},
		{"the same readings in another order", []string{three, strings.Replace(three, "338.0, 338.5", "338.5, 338.0", 1)}, nil},
		{"from the other side", []string{three, strings.Replace(three, "[0.5, 0.5]", "{backward: [0.5, 0.5]}", 1)}, nil},
		{"of another line", []string{three, strings.Replace(three, "TDC", "fire", 1)}, nil},
		{"seven readings", []string{strings.Replace(three, ", 0.5]", "]", 1), strings.Replace(three, ", 0.5]", "]", 1)}, nil},
		{"one struck", []string{three, strings.Replace(three, "338.5,", "338.5 struck bumped,", 1)}, []int{1}},
		{"another closing pair", []string{three + closing, three + other}, nil},
		{"the closing pair left out", []string{three + closing, three}, []int{1}},
		{"the same closing pair", []string{three + other, three + closing, three + other}, []int{2}},
		{"one mounting", []string{"\n    mounting: A" + three, "\n    mounting: A" + three}, nil},
		{"two mountings", []string{"\n    mounting: A" + three, "\n    mounting: B" + three}, []int{1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := "engine: {turns: clockwise}\npart: {marks_on: part}\nreadout: {step: 0.5, counts: up}\nlimits: {tolerance: 1}\n" +
				"marks: [{name: TDC, at: 0}, {name: fire, at: 10 BTDC}]\nsetups:\n"
			for _, setup := range c.setups {
				text += "  -" + setup + "\n"
			}
			s, _, err := Read("x.yaml", []byte(text), nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := s.Copied(); !slices.Equal(got, c.want) {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

// Drops and sweeps are copied as stops are; good sheets and the demonstration are
// not copied.
func TestCopiedByEveryMethod(t *testing.T) {
	for _, path := range testkit.Files(t, "sheets/good/*.yaml") {
		s, _, err := Read(path, testkit.Read(t, path), testkit.Beside(t, "sheets/good"))
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Copied(); len(got) > 0 {
			t.Errorf("%s: got %v, want none", path, got)
		}
		for i := range s.Setups {
			s.Setups[i].Mounting = ""
		}
		n := len(s.Setups)
		var want []int
		for i, setup := range s.Setups {
			if _, readings := s.allReadings(setup); readings >= copiedReadings {
				want = append(want, n+i)
			}
		}
		s.Setups = append(s.Setups, s.Setups...)
		if got := s.Copied(); !slices.Equal(got, want) {
			t.Errorf("%s twice: got %v, want %v", path, got, want)
		}
	}
	for _, change := range []func(*Sheet){
		func(s *Sheet) { s.Setups[0].Drops[0].Drop++ },
		func(s *Sheet) { s.Setups[0].Drops[1].After[0].Value++ },
	} {
		s := mustRead(t, "drops.yaml")
		again := mustRead(t, "drops.yaml")
		change(&again)
		s.Setups = []Setup{s.Setups[0], again.Setups[0]}
		if got := s.Copied(); len(got) > 0 {
			t.Errorf("got %v, want none", got)
		}
	}
	s, again := mustRead(t, "sweep.yaml"), mustRead(t, "sweep.yaml")
	again.Setups[0].Sweep.Points[3].Height += 0.01
	again.Setups[0].Mounting = "B"
	s.Setups = []Setup{s.Setups[0], again.Setups[0]}
	if got := s.Copied(); len(got) > 0 {
		t.Errorf("got %v, want none", got)
	}
}
