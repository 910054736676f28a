package wheel

import (
	"fmt"
	"strings"
	"testing"
)

// A station that stands out is named by its rows, and a row that is struck counts for
// nothing and stays in the record.
func TestRowsAreNamed(t *testing.T) {
	table := func(last string) (Result, Table) {
		var b strings.Builder
		b.WriteString("reading,reference,approach,struck\n")
		for i := range 24 {
			extra := 0.0
			if i == 5 {
				extra = 0.7
			}
			fmt.Fprintf(&b, "%.2f,%d,forward,\n", float64(15*i)+0.01*float64(i*i%7)+extra, 15*i)
		}
		b.WriteString(last)
		var a Accumulator
		read, err := ReadTable("t.csv", strings.NewReader(b.String()), a.Add)
		if err != nil {
			t.Fatal(err)
		}
		r, err := a.Audit(Options{Step: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		return r, read
	}
	r, read := table("\"80\",7.5,backward,\" slipped, \"\"bumped\"\" \"\n")
	if got := read.RowsOf(r.StandsOut); fmt.Sprint(got) != "[7]" {
		t.Errorf("rows %v, want 7: the sixth under the header", got)
	}
	all := read.Readings(r)
	if len(all) != 25 || r.Rows != 24 {
		t.Fatalf("%d readings in the record and %d counted, want 25 and 24", len(all), r.Rows)
	}
	if x := all[5]; x.Row != 7 || !x.Slip || x.Where != "reference 75, forward, reading" || x.Text != "75.74" {
		t.Errorf("the slip: %+v", x)
	}
	if x := all[24]; x.Row != 26 || x.Slip || x.Struck != `slipped, "bumped"` || x.Text != "80" {
		t.Errorf("what is struck: %+v", x)
	}
	if got := read.RowsOf(nil); got != nil {
		t.Errorf("of no station: %v", got)
	}
	// A log of many rows is known by its digest.
	var b strings.Builder
	b.WriteString("reading,opposite\n")
	for i := range mostWritten + 1 {
		fmt.Fprintf(&b, "%d,%d\n", i%360, (i+180)%360)
	}
	long, err := ReadTable("t.csv", strings.NewReader(b.String()), func(Row) {})
	if err != nil || long.Readings(Result{}) != nil {
		t.Errorf("of a log: %d readings, %v", len(long.Readings(Result{})), err)
	}
}
