package jobrecord

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const good = `by: Ana
date: 2026-03-14
conditions: 21 °C, stand 2
revision: QP-7 rev 3
instruments:
  - {role: new stop, name: B-17, number: "17"}
  - {role: reference, name: dividing head 2, certificate: C-118, due: 2027-01-31}
`

func TestRead(t *testing.T) {
	got, err := Read("record.yaml", []byte(good))
	if err != nil {
		t.Fatal(err)
	}
	want := Record{
		By: "Ana", Date: "2026-03-14", Conditions: "21 °C, stand 2", Revision: "QP-7 rev 3",
		Instruments: []Instrument{{Role: "new stop", Name: "B-17", Number: "17"}, {Role: "reference", Name: "dividing head 2", Certificate: "C-118", Due: "2027-01-31"}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	got.Named("reference", "head 3")
	got.Named("readout", "wheel 4")
	got.Named("readout", "")
	if len(got.Instruments) != 3 || got.Instruments[1].Name != "head 3" || got.Instruments[2] != (Instrument{Role: "readout", Name: "wheel 4"}) {
		t.Errorf("named: %+v", got.Instruments)
	}
}

func TestOverdue(t *testing.T) {
	r := Record{Date: "2026-03-14"}
	for _, c := range []struct {
		due, used      string
		overdue, known bool
	}{
		{"2026-03-13", "", true, true},
		{"2026-03-14", "", false, true},
		{"", "", false, false},
		{"soon", "", false, false},
		{"2026-03-13", "2026-03-12", false, true},
		{"2026-03-20", "2026-04-01", true, true},
	} {
		if overdue, known := r.Overdue(Instrument{Due: c.due, Used: c.used}); overdue != c.overdue || known != c.known {
			t.Errorf("%+v: got %v, %v", c, overdue, known)
		}
	}
	if overdue, known := (Record{}).Overdue(Instrument{Due: "2026-03-13"}); overdue || known {
		t.Error("judged without a day")
	}
}

func TestCarry(t *testing.T) {
	r := Record{Instruments: []Instrument{{Role: "trusted stop", Name: "B"}, {Role: "readout", Name: "B"}}}
	from := Instrument{Role: "new stop", Name: "B", Number: "17", Certificate: "C", Due: "2027-01-31"}
	r.Carry("trusted stop", from)
	if diff := cmp.Diff([]Instrument{{Role: "trusted stop", Name: "B", Number: "17", Certificate: "C", Due: "2027-01-31"}, {Role: "readout", Name: "B"}}, r.Instruments); diff != "" {
		t.Error(diff)
	}
	stated := Record{Instruments: []Instrument{{Role: "trusted stop", Name: "B", Number: "18"}}}
	if stated.Carry("trusted stop", from); stated.Instruments[0].Certificate != "" {
		t.Error("what the record says itself is written over")
	}
}

func TestReadFaults(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"date: 2026-03-14", "date: 2026-02-30", "record.yaml:2:7: date: found 2026-02-30, expected a day that there is"},
		{"due: 2027-01-31", "due: 2027-13-01", "due: found 2027-13-01"},
		{"by: Ana", "bye: Ana", "record.yaml:1:1: found the unknown key bye, expected one of"},
		{"by: Ana", "by: [Ana]", "by: found a list or keys, expected a text"},
		{"by: Ana", "by: Ana\nby: Bo", "second time"},
		{"role: reference", "rule: reference", "found the unknown key rule"},
		{good, "", "the file is empty"},
		{good, "a\x00b", "record.yaml"},
		{good, "- Ana", "found no keys"},
		{good, "instruments: none", "instruments: found no list"},
		{good, "by: [", "record.yaml: line"},
	} {
		_, err := Read("record.yaml", []byte(strings.Replace(good, c.from, c.to, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: got %v, want %q", c.to, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte("instruments: [{role: [a]}, 3]"))
	f.Fuzz(func(_ *testing.T, data []byte) { _, _ = Read("record.yaml", data) })
}
