package enum

import "testing"

type colour uint8

var colours = []string{"red", "green"}

func TestWords(t *testing.T) {
	for i, want := range []string{"red", "green", "unknown 2"} {
		if got := Word(colours, colour(i)); got != want {
			t.Errorf("%d: got %q, want %q", i, got, want)
		}
	}
	var c colour
	if err := From(&c, colours, []byte("green")); err != nil || c != 1 {
		t.Errorf("got %d and %v", c, err)
	}
	if err := From(&c, colours, []byte("blue")); err == nil || c != 1 {
		t.Errorf("a word that is none: got %d and %v", c, err)
	}
}
