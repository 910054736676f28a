package testkit

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// told keeps what a test would have said.
type told struct{ errors []string }

func (*told) Helper()                        {}
func (t *told) Errorf(f string, args ...any) { t.errors = append(t.errors, fmt.Sprintf(f, args...)) }
func (t *told) Fatalf(f string, args ...any) { t.Errorf(f, args...) }

// A helper that cannot fail would hide every mistake.
func TestHelpersFail(t *testing.T) {
	for name, ask := range map[string]func(T){
		"near":      func(t T) { Near(t, "x", 1, 1.2, 0.1) },
		"near, NaN": func(t T) { Near(t, "x", math.NaN(), 1, 10) },
		"golden":    func(t T) { Golden(t, "sheets/bad/anchor-and-alias.golden", "something else") },
		"doubles": func(t T) {
			var kept [][]int
			Doubles(t, "squares", 100, func(n int) {
				kept = nil
				for range n * n {
					kept = append(kept, make([]int, 1))
				}
			})
		},
		"doubles, without work": func(t T) { Doubles(t, "nothing", 1000, func(int) {}) },
	} {
		var heard told
		ask(&heard)
		if len(heard.errors) == 0 {
			t.Errorf("%s: nothing is said", name)
		}
	}
	var heard told
	Near(&heard, "x", 1, 1.05, 0.1)
	if len(heard.errors) > 0 {
		t.Errorf("got %v of two numbers that are near", heard.errors)
	}
}

func TestReferenceAndFiles(t *testing.T) {
	rows := Reference(t, "slider-crank-contacts.csv")
	if got := rows[0].Number("rod"); !(got > 0) || len(rows[0].Numbers()) != len(rows[0].Texts()) {
		t.Errorf("got a rod of %v", got)
	}
	for _, name := range Files(t, "sheets/good/*.yaml") {
		if !strings.HasPrefix(name, "sheets/good/") || len(Read(t, name)) == 0 {
			t.Errorf("%s: not a sheet", name)
		}
	}
	if _, err := Beside(t, "sheets/good")("genset.csv"); err != nil {
		t.Error(err)
	}
}

// Three standard errors of 0.05 over 100 are 0.065 (a binomial's variance).
func TestRateBounds(t *testing.T) {
	var r Rate
	for i := range 100 {
		r.Add(i < 11)
	}
	Near(t, "slack", r.Slack(0.05, 3), 0.0653835, 1e-7)
	if !r.AtMost(0.05, 3) || r.AtMost(0.05, 2.5) || !r.AtLeast(0.2, 3) || r.AtLeast(0.25, 3) {
		t.Errorf("%v is bounded wrongly", r)
	}
}
