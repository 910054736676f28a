package inputerror

import "testing"

func TestPositionsWithoutAFile(t *testing.T) {
	var p Positions
	if p.Explain(nil) != nil {
		t.Error("got an error without a fault")
	}
	got := p.Explain(List{{Path: "readout.counts", Text: "found \x1b[2J", Hint: "look"}}).Error()
	if want := "readout.counts: found \\x1b[2J\n  hint: look"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A person counts from one.
func TestSaid(t *testing.T) {
	for path, want := range map[Path]string{
		"":                                 "",
		"readout.counts":                   "readout.counts",
		"setups[0]":                        "setup 1",
		"setups[0].stop.forward[2]":        "setup 1, stop.forward, value 3",
		"setups[11].marks.fire 10[0]":      "setup 12, marks.fire 10, value 1",
		"marks[1].at":                      "mark 2, at",
		"setups[0].equal_drop[1].after[0]": "setup 1, drop 2, after, value 1",
		"part.spacings[2].chord":           "part.spacing 3, chord",
		"setups[0].sweep.points[1][0]":     "setup 1, sweep.point 2, value 1",
		"x[99999999999999999999]":          "x[99999999999999999999]",
	} {
		if got := path.Said(); got != want {
			t.Errorf("%s: got %q, want %q", path, got, want)
		}
	}
}
