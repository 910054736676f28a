package uncertainty

import (
	"strconv"
	"strings"
	"testing"
)

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// parseTerms reads terms written as shape:scale:dof with blanks between.
func parseTerms(t *testing.T, s string) (out []Term) {
	t.Helper()
	for _, f := range strings.Fields(s) {
		p := strings.Split(f, ":")
		term := Term{Scale: number(t, p[1]), DOF: number(t, p[2])}
		for term.Shape = Normal; term.Shape.String() != p[0]; term.Shape++ {
			if term.Shape == Arcsine {
				t.Fatalf("no shape %q", p[0])
			}
		}
		out = append(out, term)
	}
	return out
}
