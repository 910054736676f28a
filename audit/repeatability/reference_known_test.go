package repeatability

import (
	"math"
	"strings"
	"testing"

	"markaudit/audit/sheet"
)

// By hand: people off by 0.1, 0.2 and 0.3 against a known 0.35: the class by 0.2,
// s 0.1, t 4.302653 of 2: ± 4.302653 · 0.1/√3 = 0.248414 where the known value has no
// doubt; with U 0.2 its normal row makes it wider.
func TestKnownMarks(t *testing.T) {
	file := func(u string) string {
		return "by,mark,value,trial,known,known_u\nAna,T,0.44,1,0.35," + u + "\nAna,T,0.46,2,,\nBo,T,0.54,1,,\nBo,T,0.56,2,,\nCleo,T,0.64,1,0.35," + u + "\nCleo,T,0.66,2,,\n"
	}
	d, err := ReadStudy("class.csv", []byte(file("0")))
	if err != nil {
		t.Fatal(err)
	}
	r := Analyse(d, PoolAuto).Reference
	if r == nil || math.Abs(r.Bias.Value-0.2) > 1e-12 || math.Abs(r.Bias.High-0.2-0.248414) > 1e-6 || math.Abs(r.People[2].Value-0.3) > 1e-12 {
		t.Fatalf("got %+v", r)
	}
	if d, err = ReadStudy("class.csv", []byte(file("0.2"))); err != nil {
		t.Fatal(err)
	}
	wide := Analyse(d, PoolAuto).Reference
	if half := wide.Bias.High - 0.2; half < math.Hypot(0.248414, 0.1) || half > 0.248414+0.2 {
		t.Errorf("with doubt: ± %g", half)
	}
	if half := wide.People[0].High - wide.People[0].Value; half < 0.196 {
		t.Errorf("a person: ± %g", half)
	}
	for _, c := range []struct{ text, want string }{
		{"by,mark,value,known\nAna,T,0.4,0.35\n", "known_u: found nothing, expected the uncertainty"},
		{"by,mark,value,known,known_u\nAna,T,0.4,0.35,0.1\nBo,T,0.4,0.3,0.1\n", "another known value of T"},
		{"by,mark,value,known,known_u\nAna,T,0.4,x,0.1\n", "known: found x"},
	} {
		if _, err := ReadStudy("class.csv", []byte(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
}

// ISO 5725-4's figure is the standard deviation of the mean of p people with n values
// each, times 1.96: √(((s_R² - s_r²) + s_r²/n)/p). Worked by hand with s_r 0.1, s_R 0.2,
// three people with two values: 1.96 √((0.03 + 0.005)/3) = 0.211704.
func TestBiasOfAMark(t *testing.T) {
	c := Components{Repeatability: know(0.1), Reproducibility: know(0.2)}
	tab := tabulate([]Value{{"A", "T", 0, 1}, {"A", "T", 0, 2}, {"B", "T", 0, 1}, {"B", "T", 0, 2}, {"C", "T", 0, 1}, {"C", "T", 0, 2}})
	if got := biasOfMark(c, tab); !got.Known || math.Abs(got.Value-0.211704) > 1e-6 {
		t.Errorf("got %+v, want 0.211704", got)
	}
	c.Repeatability = Estimate{}
	if got := biasOfMark(c, tab); got.Known {
		t.Errorf("without repeatability: %+v", got)
	}
}

// A sheet says what is known of a mark as a file of values does.
func TestKnownOnASheet(t *testing.T) {
	s, _, err := sheet.Read("a.yaml", []byte(`
engine: {turns: clockwise}
part: {marks_on: part}
readout: {step: 0.1, counts: up}
limits: {tolerance: 1}
marks: [{name: T, at: 0, known: 0.35 late ± 0.05}, {name: U, at: 90}]
setups:
  - {by: Ana, stop: {forward: [338, 338], backward: [22, 22]}, marks: {T: [0.5, 0.6], U: [90]}}
  - {by: Bo, stop: {forward: [338, 338], backward: [22, 22]}, marks: {T: [0.7, 0.6], U: [90]}}
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	d, err := FromSheet(s)
	if err != nil || len(d.Known) != 1 || d.Known[0] != (Known{"T", 0.35, 0.05}) {
		t.Fatalf("got %+v, %v", d.Known, err)
	}
	if r := Analyse(d, PoolAuto).Reference; r == nil || math.Abs(r.Bias.Value-0.25) > 1e-9 {
		t.Errorf("the class found 0.6 where 0.35 is known: %+v", r)
	}
}
