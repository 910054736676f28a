// Package testkit has what the tests under audit share: the seed, reference
// files and sheets, goldens, tolerances and rates. It is imported by tests alone,
// and imports nothing of the project, so that the tests inside any package can
// use it.
package testkit

import (
	"cmp"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// defaultSeed is the seed of every run that names none: what passes today passes
// tomorrow, and another seed is a choice.
const defaultSeed = "20261125"

// T is a test, or a property of one that has no other methods of a test.
type T interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// Main runs the tests of a package whose properties run whole audits: each draws
// forty cases where the library would draw a hundred.
func Main(m *testing.M) {
	seed()
	// The library draws a fifth with -short, too few to show a property: the same
	// forty are wanted there.
	if checks := flag.Lookup("rapid.checks"); checks != nil && checks.Value.String() == checks.DefValue {
		draws := "40"
		if testing.Short() {
			draws = "200"
		}
		if err := checks.Value.Set(draws); err != nil {
			panic(err)
		}
	}
	m.Run()
}

// MainOfQuick runs the tests of a package whose properties are quick: each draws as
// many cases as the library does.
func MainOfQuick(m *testing.M) {
	seed()
	m.Run()
}

// seed has property tests draw from the seed that [Seed] returns, unless a flag of
// theirs says otherwise.
func seed() {
	flag.Parse()
	if property := flag.Lookup("rapid.seed"); property != nil && property.Value.String() == "0" {
		if err := property.Value.Set(seedText()); err != nil {
			panic(err)
		}
	}
}

func seedText() string { return cmp.Or(os.Getenv("MARKAUDIT_SEED"), defaultSeed) }

// Seed returns the seed of the random tests: MARKAUDIT_SEED, or a fixed one. A
// failing test prints it.
func Seed(t testing.TB) uint64 {
	t.Helper()
	s, err := strconv.ParseUint(seedText(), 10, 64)
	if err != nil {
		t.Fatalf("MARKAUDIT_SEED is %q, expected a whole number: %v", seedText(), err)
	}
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("MARKAUDIT_SEED=%d", s)
		}
	})
	return s
}

// Rand returns the generator of one stream of the seed. Tests with streams of
// their own do not depend on which runs first.
func Rand(t testing.TB, stream uint64) *rand.Rand {
	t.Helper()
	return rand.New(rand.NewPCG(Seed(t), stream))
}

// Near fails the test unless got lies within the tolerance of want. A NaN fails.
func Near[N ~float64](t T, what string, got, want N, tolerance float64) {
	t.Helper()
	if !(math.Abs(float64(got)-float64(want)) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, float64(got), float64(want), tolerance)
	}
}

// Path returns where a file of testdata lies, by its name from there on:
// "sheets/good/pump.yaml".
func Path(t T, name string) string {
	t.Helper()
	up := "testdata"
	for range 6 {
		// The one at the top has the reference files; a package may have its own.
		if _, err := os.Stat(filepath.Join(up, "reference")); err == nil {
			return filepath.Join(up, filepath.FromSlash(name))
		}
		up = filepath.Join("..", up)
	}
	t.Fatalf("no folder testdata above this package")
	return ""
}

// Read returns a file of testdata.
func Read(t T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(Path(t, name))
	if err != nil {
		t.Fatalf("%v", err)
	}
	return data
}

// Files returns the names, from testdata on, of the files that match a pattern.
// It fails where there is none.
func Files(t T, pattern string) []string {
	t.Helper()
	found, err := filepath.Glob(Path(t, pattern))
	if err != nil || len(found) == 0 {
		t.Fatalf("no files match %s: %v", pattern, err)
	}
	for i, f := range found {
		rest, err := filepath.Rel(Path(t, "."), f)
		if err != nil {
			t.Fatalf("%v", err)
		}
		found[i] = filepath.ToSlash(rest)
	}
	return found
}

// Beside opens files that a sheet in a folder of testdata names.
func Beside(t T, folder string) func(name string) ([]byte, error) {
	t.Helper()
	at := Path(t, folder)
	return func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(at, name)) }
}

// Record is a row of a reference file. Its methods panic where the file is not
// what the test takes it for.
type Record struct {
	file   string
	names  []string
	values []string
}

// Text returns the value of a column.
func (r Record) Text(column string) string {
	i := slices.Index(r.names, column)
	if i < 0 {
		panic(fmt.Sprintf("%s: no column %q among %q", r.file, column, r.names))
	}
	return r.values[i]
}

// Texts returns the values of all columns.
func (r Record) Texts() []string { return r.values }

// Number returns the value of a column as a number.
func (r Record) Number(column string) float64 { return r.number(r.Text(column)) }

// Numbers returns the values of all columns as numbers.
func (r Record) Numbers() []float64 {
	out := make([]float64, len(r.values))
	for i, v := range r.values {
		out[i] = r.number(v)
	}
	return out
}

func (r Record) number(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(r.file + ": " + err.Error())
	}
	return v
}

// Reference returns the rows of a table of testdata/reference, whose comment
// lines name the source of its figures and whose first line names the columns. It
// fails where the table is empty.
func Reference(t T, name string) []Record {
	t.Helper()
	r := csv.NewReader(strings.NewReader(string(Read(t, "reference/"+name))))
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: got %d lines and %v", name, len(lines), err)
	}
	var out []Record
	for _, line := range lines[1:] {
		out = append(out, Record{file: name, names: lines[0], values: line})
	}
	return out
}

var update = flag.Bool("update", false, "rewrite the goldens; then read the difference")

// Golden fails the test unless got is what a file of testdata holds. With -update
// the file is rewritten.
func Golden(t T, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(Path(t, name), []byte(got), 0o644); err != nil {
			t.Fatalf("%v", err)
		}
	}
	if want := string(Read(t, name)); got != want {
		t.Errorf("%s: got:\n%s\nwant:\n%s", name, got, want)
	}
}

// Rate counts how often something was so.
type Rate struct{ Yes, Of int }

// Add counts one more.
func (r *Rate) Add(yes bool) {
	r.Of++
	if yes {
		r.Yes++
	}
}

// Share is the share of those counted, NaN where there is none.
func (r Rate) Share() float64 { return float64(r.Yes) / float64(r.Of) }

// Slack is so many standard errors of a share, where the true one is p.
func (r Rate) Slack(p, errors float64) float64 {
	return errors * math.Sqrt(p*(1-p)/float64(r.Of))
}

// AtLeast reports whether the share is p, or less by so many standard errors.
func (r Rate) AtLeast(p, errors float64) bool { return r.Share() >= p-r.Slack(p, errors) }

// AtMost reports whether the share is p, or more by so many standard errors.
func (r Rate) AtMost(p, errors float64) bool { return r.Share() <= p+r.Slack(p, errors) }

// Doubles fails the test unless work that is twice as large takes at most 2.2
// times as many allocations: it grows as its input does, on a busy machine too.
// The work is done once for n and once for 2n to begin with.
func Doubles(t T, what string, n int, work func(n int)) {
	t.Helper()
	count := func(n int) float64 { return testing.AllocsPerRun(1, func() { work(n) }) }
	once, twice := count(n), count(2*n)
	if once < float64(n)/100 || twice > 2.2*once {
		t.Errorf("%s: %.0f allocations for %d, %.0f for %d, want at most 2.2 times as many", what, once, n, twice, 2*n)
	}
}

// Drawn reports whether a case of a grid is drawn, by its number: every third, or each
// with MARKAUDIT_LONG=1.
func Drawn(n int) bool { return n%3 == 0 || os.Getenv("MARKAUDIT_LONG") != "" }

// Cases is how many of n cases the quick set takes: a third, or all with
// MARKAUDIT_LONG=1.
func Cases(n int) int {
	if os.Getenv("MARKAUDIT_LONG") != "" {
		return n
	}
	return (n + 2) / 3
}
