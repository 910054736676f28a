package geometry

import "testing"

func TestParseOffBy(t *testing.T) {
	for text, want := range map[string]Angle{"0.5 late": 0.5, "0.5° early": -0.5, "-1.25": -1.25, "0": 0, "2 late ": 2, "0°30' early": -0.5} {
		if got, err := ParseOffBy(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "late", "-0.5 late", "0.5 BTDC", "0.5 later", "x"} {
		if got, err := ParseOffBy(text); err == nil {
			t.Errorf("%q: got %v, want an error", text, got)
		}
	}
}
