package repeatability

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit/internal/testkit"
)

func TestReadValues(t *testing.T) {
	want := []Value{{"Ana", "1-6", -0.5, 1}, {"Ben", "1-6", 0.25, 2}}
	for name, text := range map[string]string{
		"plain":          "by,mark,value,trial\nAna,1-6,-0.5,1\nBen,1-6,0.25,2\n",
		"another order":  "trial,value,by,mark\n1,-0.5,Ana,1-6\n2,0.25,Ben,1-6\n",
		"decimal commas": "by;mark;value;trial\nAna;1-6;-0,5;1\nBen;1-6;0,25;2\n",
		"spreadsheet":    "\ufeffsep=;\r\nby;mark;value;trial\r\nAna;1-6;−0,5;1\r\nBen;1-6;0,25;2\r\n;;;\r\n",
		"quotes":         "by,mark,value,trial\n\"Ana\",\"1-6\",\"-0.5\",1\nBen, 1-6 ,0.25,2\n",
	} {
		got, err := ReadValues("f.csv", []byte(text))
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%s: %v\n%s", name, err, diff)
		}
	}
	got, err := ReadValues("f.csv", []byte("by,mark,value\nA,m,1\nB,m,2\nA,m,3\nA,n,4\n"))
	if diff := cmp.Diff([]Value{{"A", "m", 1, 1}, {"B", "m", 2, 1}, {"A", "m", 3, 2}, {"A", "n", 4, 1}}, got); err != nil || diff != "" {
		t.Errorf("without trials: %v\n%s", err, diff)
	}
}

func TestReadValuesFaults(t *testing.T) {
	many := "by,mark,value\n"
	for i := range 502 {
		many += fmt.Sprintf("p%d,m,1\n", i)
	}
	for _, c := range []struct{ text, want string }{
		{"", "f.csv: values: the values file is empty, expected the header by,mark,value,trial"},
		{"by,mark,value\n", "f.csv:2:1: values: the values file ends after its header, expected values"},
		{"by,mark\nA,m\n", "f.csv:1:1: header: found no column value, expected one\n  hint: the columns are by,mark,value,trial"},
		{"by,mark,valeu\nA,m,1\n", "f.csv:1:9: header: found valeu, an unknown column\n  hint: did you mean \"value\"?"},
		{"by,mark,value,by\nA,m,1,A\n", "f.csv:1:15: header: found the column by a second time"},
		{"by,mark,value\nA,m,0,5\n", "f.csv:2:1: row: found 4 fields, expected 3 as in the header\n  hint: put quotes round a field with the separator in it, and write numbers with a point"},
		{"by,mark,value,trial\nA,m,0.5,0\n", "f.csv:2:9: trial: found 0, expected the number of the trial, counted from 1"},
		{"by,mark,value\nA,m,1e9\n", "f.csv:2:5: value: found 1e9, expected a number without an exponent"},
		{"b\x00y,mark,value\n", "f.csv:1:2: values: found a zero byte: this is no text file"},
		{many, "f.csv:502:1: by: found more than 500 people in one study"},
	} {
		got, err := ReadValues("f.csv", []byte(c.text))
		if err == nil || got != nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%.40q: got %v, want %s", c.text, err, c.want)
		}
	}
}

// FuzzValues reads any bytes as a file of values: no panic, and what is accepted
// is finite, named and read again alike.
func FuzzValues(f *testing.F) {
	seeds := testkit.Files(f, "study/*.csv")
	for _, path := range seeds {
		f.Add(testkit.Read(f, path))
	}
	f.Add([]byte("by;mark;value\nA;m;0,5\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		values, err := ReadValues("f.csv", data)
		if err != nil {
			return
		}
		var again strings.Builder
		again.WriteString("by,mark,value,trial\n")
		quoted := func(s string) string { return `"` + strings.ReplaceAll(s, `"`, `""`) + `"` }
		for _, v := range values {
			if v.By == "" || v.Mark == "" || v.Trial < 1 || math.IsNaN(v.Value.Degrees()) || math.IsInf(v.Value.Degrees(), 0) {
				t.Fatalf("accepted %+v", v)
			}
			fmt.Fprintf(&again, "%s,%s,%s,%d\n", quoted(v.By), quoted(v.Mark), formatted(v.Value.Degrees()), v.Trial)
		}
		second, err := ReadValues("f.csv", []byte(again.String()))
		if diff := cmp.Diff(values, second); err != nil || diff != "" {
			t.Fatalf("read again: %v\n%s", err, diff)
		}
	})
}

func formatted(x float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.30f", x), "0"), ".")
}

// Twice as many values take twice the work, and none is lost.
func TestManyValues(t *testing.T) {
	testkit.Doubles(t, "values", 10_000, func(n int) {
		var b strings.Builder
		b.WriteString("by,mark,value,trial\n")
		for i := range n {
			fmt.Fprintf(&b, "person %d,mark %d,%d.%02d,%d\n", i%100, i/100%100, i%7, i%97, i/10000+1)
		}
		if values, err := ReadValues("f.csv", []byte(b.String())); err != nil || len(values) != n {
			t.Errorf("got %d values of %d and %v", len(values), n, err)
		}
	})
}
