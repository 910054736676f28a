package sheet

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func aHistory() History {
	return History{
		Readout: "wheel 4", Step: 0.25, By: []string{"Ilse", "Uwe"},
		Sheets: []PastSheet{
			{
				Digest: "9c1e", Taken: "d1", Date: "2025-03-14", Setups: 3, Middle: Deviation{0.06, 6}, Reading: Deviation{0.11, 24}, Mounting: Deviation{0.12, 2},
				Pairs: 3, Readings: 3, Lines: []PastLine{{"T", 0.1}, {"fire", -0.2}},
			},
			{Digest: "77aa", Taken: "d2", Date: "2025-06-01", Setups: 1, Middle: Deviation{0.08, 4}, Reading: Deviation{0.09, 8}, Lines: []PastLine{{"T", 0.05}}},
		},
	}
}

func historyText(t *testing.T, h History) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteHistory(&b, h, "markaudit test"); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestHistorySurvivesItsFile(t *testing.T) {
	text := historyText(t, aHistory())
	got, err := ReadHistory([]byte(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if got.Digest != digestOf([]byte(text)) {
		t.Errorf("digest %s", got.Digest)
	}
	if diff := cmp.Diff(aHistory(), *got, cmpopts.IgnoreFields(History{}, "Digest")); diff != "" {
		t.Error(diff)
	}
}

// Squares pooled by their degrees of freedom (JCGM 100, 4.2.4), by hand; what stood
// behind one setup is a harmonic mean over setups.
func TestHistoryPools(t *testing.T) {
	h := aHistory()
	h.Sheets[1].Mounting, h.Sheets[1].Setups, h.Sheets[1].Pairs, h.Sheets[1].Readings = Deviation{0.06, 5}, 6, 6, 2
	middle, mounting := h.Middle(), h.Mounting()
	if want := math.Sqrt((6*0.06*0.06 + 4*0.08*0.08) / 10); math.Abs(middle.SD.Degrees()-want) > 1e-15 || middle.DOF != 10 || middle.Sheets != 2 {
		t.Errorf("middles %+v, want %g on 10", middle, want)
	}
	want := math.Sqrt((2*0.12*0.12 + 5*0.06*0.06) / 7)
	if math.Abs(mounting.SD.Degrees()-want) > 1e-15 || mounting.DOF != 7 || math.Abs(mounting.Pairs-9/(3./3+6./6)) > 1e-12 || math.Abs(mounting.Readings-9/(3./3+6./2)) > 1e-12 {
		t.Errorf("mountings %+v", mounting)
	}
	if none := (&History{Sheets: []PastSheet{{Digest: "a"}}}).Mounting(); none != (Past{}) {
		t.Errorf("nothing: %+v", none)
	}
}

func TestHistoryOrder(t *testing.T) {
	one, other := aHistory(), aHistory()
	other.Sheets[0], other.Sheets[1] = other.Sheets[1], other.Sheets[0]
	other.By = []string{"Uwe", "Ilse", "Uwe"}
	other.Sort()
	if diff := cmp.Diff(historyText(t, one), historyText(t, other)); diff != "" {
		t.Error(diff)
	}
	if day, known := one.Newest(); !known || day.Format("2006-01-02") != "2025-06-01" {
		t.Errorf("newest %v", day)
	}
	one.Sheets[0].Date = ""
	if _, known := one.Newest(); known {
		t.Error("undated, and its age is known")
	}
}

func TestBadHistories(t *testing.T) {
	good := historyText(t, aHistory())
	for _, c := range []struct{ name, old, new, want string }{
		{"a newer form", `"format": 1`, `"format": 2`, "newer markaudit"},
		{"another form", `"format": 1`, `"format": 0`, "found 0, expected 1"},
		{"no history", `"format": 1,`, ``, "this is no history file"},
		{"no readout", `"wheel 4"`, `""`, "readout: missing"},
		{"no step", `"step_deg": 0.25`, `"step_deg": 0`, "step_deg"},
		{"changed by hand", `"middle_sd_deg": 0.06`, `"middle_sd_deg": 0.02`, "changed by hand"},
		{"another sheet", `"digest": "9c1e"`, `"digest": "9c1f"`, "points[0].digest"},
		{"one sheet twice", `77aa`, `9c1e`, "found twice"},
		{"a day that is none", `2025-06-01`, `June`, "such as 2026-03-14"},
		{"a negative scatter", `"reading_sd_deg": 0.11`, `"reading_sd_deg": -1`, "reading_sd_deg"},
		{"nothing behind a setup", `"pairs": 3,` + "\n      \"readings\": 3,", `"pairs": 0, "readings": 3,`, "pairs"},
		{"an unknown key", `"by"`, `"hands"`, "unknown key"},
		{"torn", "}\n  ]\n}\n", "", "not written whole"},
		{"an offset of no angle", `"offset_deg": 0.1`, `"offset_deg": 400`, "lines"},
		{"more behind it", "}\n  ]\n}\n", "}\n  ]\n}\n{}", "after the object"},
	} {
		text := strings.Replace(good, c.old, c.new, 1)
		if c.name == "one sheet twice" { // and its point
			text = strings.ReplaceAll(good, c.old, c.new)
		}
		if text == good {
			t.Fatalf("%s: nothing was changed\n%s", c.name, good)
		}
		_, err := ReadHistory([]byte(text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
	if _, err := ReadHistory(nil); err == nil {
		t.Error("an empty file is a history")
	}
}

// A history belongs to one readout with one step, and a sheet is not in its own.
func TestHistoryOfAnotherReadout(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(s *Sheet)
		path   string
	}{
		{"its own", func(*Sheet) {}, ""},
		{"another readout", func(s *Sheet) { s.Readout.Name = "wheel 5" }, "readout.history"},
		{"no name", func(s *Sheet) { s.Readout.Name = "" }, "readout.name"},
		{"another step", func(s *Sheet) { s.Readout.Step = 0.5 }, "readout.history"},
		{"these very readings", func(s *Sheet) { s.Readout.History.Sheets[0].Taken = s.ReadingsDigest() }, "readout.history"},
		{"this very sheet", func(s *Sheet) { s.Digest = "77aa" }, "readout.history"},
	} {
		s, _, err := Read("demo.yaml", []byte(Demo()), nil)
		if err != nil {
			t.Fatal(err)
		}
		h := aHistory()
		s.Readout.Name, s.Readout.Step, s.Readout.History = "wheel 4", 0.25, &h
		c.change(&s)
		var got string
		for _, f := range s.Check() {
			got += string(f.Path)
		}
		if got != c.path {
			t.Errorf("%s: faults at %q, want %q", c.name, got, c.path)
		}
	}
}
