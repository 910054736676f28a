package inputerror

import (
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	keys := []string{"counts", "step", "kind", "diameter", "up", "down"}
	for word, want := range map[string]string{
		"cuonts": "counts", "count": "counts", "kint": "kind", "diamter": "diameter", "wheel": "", "": "", "pu": "up", "knot": "",
		"diametre": "diameter", strings.Repeat("x", 1000): "",
	} {
		if got := Nearest(word, keys); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}
