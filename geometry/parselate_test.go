package geometry

import "testing"

func TestParseOffBy(t *testing.T) {
	for text, want := range map[string]Angle{"0.5 late": 0.5, "0.5° early": -0.5, "-1.25": -1.25, "0": 0, "2 late ": 2, "0°30' early": -0.5} {
		if got, err := ParseOffBy(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "late", "-0.5 late", "0.5 BTDC", "0.5 later", "x"} {
		if got, err := ParseOffBy(text); err == nil || got != 0 {
			t.Errorf("%q: got %v, %v, want an error", text, got, err)
		}
	}
}

// The bounds of a factor are met from both sides; beside an error there is none.
func TestReadCoverage(t *testing.T) {
	for text, want := range map[string]float64{"(k=2)": 2, "( k = 1.96 )": 1.96, "(k=0.001)": 0.001, "(k=1000)": 1000} {
		if got, err := readCoverage(text); err != nil || got != want {
			t.Errorf("%s: got %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"(k=0.0009)", "(k=1000.1)", "(k=-2)", "(k=x)", "(k)", "(2)", "()", "(K=2)"} {
		if got, err := readCoverage(text); err == nil || got != 0 {
			t.Errorf("%s: got %v, %v, want an error", text, got, err)
		}
	}
}
