package main

import (
	"slices"
	"strings"
	"testing"
)

const sample = `package sample

import "math"

const share = 0.25 // of 2

func f(a, b float64, s []int) (float64, bool) {
	a += b
	x := math.Abs(a-b) * 4
	if !(x < 1) && len(s) == 0 {
		x = -x
	}
	n := make([]int, 0, 7)
	var room [5]int
	_ = room
	return x, len(n) > 0 && "a"+"b" != "c" && x < math.Inf(1)
}

const tie = 1e-9

func g(x float64) (int, bool) {
	if x > 3+tie {
		return 7, false
	}
	return -1, true
}
`

func TestPlaces(t *testing.T) {
	found, err := placesIn(".", map[string][]byte{"sample.go": []byte(sample)})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range found {
		got = append(got, p.function+": "+p.before+" → "+p.after)
		if changed := string(p.source([]byte(sample))); !strings.Contains(strings.Join(strings.Fields(changed), " "), p.after) || changed == sample {
			t.Errorf("%s: the changed file has no such line", p.key())
		}
	}
	for _, want := range []string{
		": const share = 0.25 → const share = 1.0",
		"f: a += b → a -= b",
		"f: x := math.Abs(a-b) * 4 → x := math.Abs(a-b) / 4",
		"f: x := math.Abs(a-b) * 4 → x := math.Abs(a-b) * 5",
		"f: x := math.Abs(a-b) * 4 → x := math.Abs(a+b) * 4",
		"f: x := math.Abs(a-b) * 4 → x := math.Max(a-b, a-b) * 4",
		"f: if !(x < 1) && len(s) == 0 { → if !(x > 1) && len(s) == 0 {",
		"f: if !(x < 1) && len(s) == 0 { → if (x < 1) && len(s) == 0 {",
		"f: if !(x < 1) && len(s) == 0 { → if !(x < 1) || len(s) == 0 {",
		"f: if !(x < 1) && len(s) == 0 { → if !(x < 1) && len(s) != 0 {",
		"f: x = -x → x = x",
		"g: if x > 3+tie { → if x > 4+tie {",
		"g: return -1, true → return 1, true",
		`f: return x, len(n) > 0 && "a"+"b" != "c" && x < math.Inf(1) → return x, len(n) >= 0 && "a"+"b" != "c" && x < math.Inf(1)`,
	} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not among the places:\n%s", want, strings.Join(got, "\n"))
		}
	}
	for _, p := range got {
		for what, change := range map[string]string{
			"how much room is taken": "make([]int, 0, 8)", "how much room there is": "[6]int", "joined texts": `"a"-"b"`,
			"a border that no decimal meets": "x <= ", "a sign given twice over": "Inf(2)",
			"what arithmetic is trusted by": "3-tie", "a number beside false": "8, false", "which number says none": "-2, true",
		} {
			if strings.Contains(p, change) {
				t.Errorf("%s: %s is changed", p, what)
			}
		}
	}
}

// A line more in one place leaves the order of all other places as it was.
func TestTheDrawOfAPlaceDependsOnNoOther(t *testing.T) {
	found, err := placesIn(".", map[string][]byte{"sample.go": []byte(sample)})
	if err != nil {
		t.Fatal(err)
	}
	keys := func(all []place) (out []string) {
		for _, p := range drawn(all, 1) {
			if p.function != "h" {
				out = append(out, p.key())
			}
		}
		return out
	}
	more, err := placesIn(".", map[string][]byte{"sample.go": []byte(strings.Replace(sample, "func f", "func h(x int) int { return x + 1 }\n\nfunc f", 1))})
	if err != nil {
		t.Fatal(err)
	}
	if a, b := keys(found), keys(more); !slices.Equal(a, b) {
		t.Errorf("got the order\n%s\nwant\n%s", strings.Join(b, "\n"), strings.Join(a, "\n"))
	}
	if slices.Equal(keys(found), func() (out []string) {
		for _, p := range drawn(found, 2) {
			out = append(out, p.key())
		}
		return out
	}()) {
		t.Error("another seed draws the same")
	}
}
