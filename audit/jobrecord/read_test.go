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
