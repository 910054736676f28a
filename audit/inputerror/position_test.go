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
