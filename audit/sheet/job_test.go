package sheet

import (
	"errors"
	"io/fs"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/jobrecord"
)

const paperwork = `instruments:
  - {what: stop, name: stop 2, number: "17"}
  - {what: wheel, name: wheel 4, certificate: C-118, due: 2027-01-31}
conditions: {temperature: 19 °C, place: bench 2}
photos:
  - {file: before.jpg, of: before scribing, sha256: 9834876DCFB0}
  - {file: more/after.jpg}
after_scribing:
  by: Finn
  date: 2026-03-15
  scribed_by: 9c1e0d123456
  eye_check: not done
  dividers: [{from: TDC, to: inject 23, measured: 1 1/4 in}]
  read_again: {inject 23: [337.5, 337.6 struck blinked]}
  timing_light: {line: TDC, agrees: yes, at: 900 rpm}
  witness_line: painted
`

// What a sheet says beside the measurement arrives, and comes back from a sheet
// written anew.
func TestPaperworkArrives(t *testing.T) {
	text := string(testkit.Read(t, "sheets/good/pump.yaml"))
	s, _, err := Read("x.yaml", []byte(paperwork+text), nil)
	if err != nil {
		t.Fatal(err)
	}
	want := Sheet{
		Instruments: []jobrecord.Instrument{{Role: "stop", Name: "stop 2", Number: "17"}, {Role: "wheel", Name: "wheel 4", Certificate: "C-118", Due: "2027-01-31"}},
		Conditions:  Conditions{Temperature: "19 °C", Place: "bench 2"},
		Photos:      []Photo{{File: "before.jpg", Of: "before scribing", Digest: "9834876dcfb0"}, {File: "more/after.jpg"}},
		After: &AfterScribing{
			By: "Finn", Date: "2026-03-15", ScribedBy: "9c1e0d123456", EyeCheck: EyeNotDone, WitnessLine: Painted,
			Dividers:    []Divided{{From: "TDC", To: "inject 23", Measured: 31.75}},
			TimingLight: &TimingLight{Line: "TDC", Agrees: true, At: "900 rpm"},
		},
	}
	again, _, err := Read("y.yaml", []byte(Write(s)), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, got := range []Sheet{s, again} {
		r := got.After.ReadAgain["inject 23"]
		if len(got.After.ReadAgain) != 1 || len(r) != 2 || r[0].Value != 337.5 || r[0].Struck || !r[1].Struck || r[1].Reason != "blinked" {
			t.Errorf("read again: got %+v", got.After.ReadAgain)
		}
		got = Sheet{Instruments: got.Instruments, Conditions: got.Conditions, Photos: got.Photos, After: got.After}
		opts := cmp.Options{cmpopts.IgnoreTypes(inputerror.Path("")), cmpopts.IgnoreFields(AfterScribing{}, "ReadAgain")}
		if diff := cmp.Diff(want, got, opts); diff != "" {
			t.Errorf("- want, + got\n%s", diff)
		}
	}
}

// Nothing of it is taken loosely: each fault has its place, and says what was
// expected.
func TestPaperworkFaults(t *testing.T) {
	text := string(testkit.Read(t, "sheets/good/pump.yaml"))
	for _, c := range []struct{ from, to, want string }{
		{"what: stop", "wat: stop", "x.yaml:2:6: instrument 1, wat: unknown key"},
		{"{what: stop, name", "{name", "x.yaml:2:5: instrument 1, what: missing, expected stop, wheel"},
		{"due: 2027-01-31", "due: 2027-02-30", "x.yaml:3:59: instrument 2, due: found 2027-02-30, a day that there is not"},
		{"due: 2027-01-31", "due: next year", "instrument 2, due: found next year, expected a day such as 2026-03-14"},
		{"date: 2026-03-15", "date: 15.3.2026", "after_scribing.date: found 15.3.2026, expected a day"},
		{"19 °C", "19", "conditions.temperature: found 19, expected a temperature with its unit, such as 19 °C"},
		{"place:", "plaice:", "conditions.plaice: unknown key"},
		{"conditions: {", "conditions: [", "conditions"},
		{"sha256: 9834876DCFB0", "sha256: 9834", "photo 1, sha256: found 9834, expected a SHA-256: 64 hexadecimal digits, or the first 12"},
		{"sha256: 9834876DCFB0", "sha256: 9834876DCFBZ", "photo 1, sha256"},
		{"file: before.jpg", "file: /before.jpg", "photo 1, file: found /before.jpg, expected a path relative to the folder"},
		{"file: more/after.jpg", `file: more\after.jpg`, "expected / between folders"},
		{"file: more/after.jpg", "file: before.jpg", "photo 2, file: found before.jpg a second time"},
		{"file: more/after.jpg", "of: it", "photo 2, file: missing"},
		{"eye_check: not done", "eye_check: ok", "x.yaml:12:14: after_scribing.eye_check: found ok, expected as said, not as said or not done"},
		{"witness_line: painted", "witness_line: yes", "after_scribing.witness_line: found yes, expected painted, broken or not done"},
		{"from: TDC", "from: TDD", "after_scribing.dividers 1, from: found TDD, no line of this name under marks"},
		{"from: TDC", "from: inject 23", "as both ends"},
		{"measured: 1 1/4 in", "measured: 31.75", "after_scribing.dividers 1, measured: found 31.75"},
		{"{inject 23: [", "{inject 24: [", "after_scribing.read_again.inject 24: no line of this name under marks"},
		{"line: TDC, agrees", "line: TDX, agrees", "after_scribing.timing_light.line: found TDX"},
		{"agrees: yes, ", "", "after_scribing.timing_light.agrees: missing, expected yes or no"},
		{"agrees: yes", "agrees: true", "after_scribing.timing_light.agrees: found true, expected yes or no"},
		{"scribed_by: 9c1e0d123456", "scribed_by: pump.yaml", "after_scribing.scribed_by: found pump.yaml, expected a SHA-256"},
		{"  by: Finn", "  buy: Finn", "after_scribing.buy: unknown key"},
	} {
		with := strings.Replace(paperwork, c.from, c.to, 1)
		if with == paperwork {
			t.Fatalf("%q is not there", c.from)
		}
		_, _, err := Read("x.yaml", []byte(with+text), nil)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.to, err, c.want)
		}
	}
	for with, want := range map[string]string{
		"after_scribing: {}\n":   "after_scribing: found nothing, expected what was found",
		"after_scribing: done\n": "after_scribing: found done, expected keys with values",
		"instruments: []\n":      "instruments: found an empty list",
		"photos: [a.jpg]\n":      "x.yaml:1:10: photo 1: found a.jpg, expected keys with values, such as {file: pulley-before.jpg, of: before scribing}",
		"photos:\n" + func() (all string) {
			for range 101 {
				all += "  - {file: a.jpg}\n"
			}
			return all
		}(): "photos: found 101 entries, expected at most 100",
	} {
		if _, _, err := Read("x.yaml", []byte(with+text), nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

// A certificate that ends on the day of the sheet still holds on that day. The
// sheet's own day counts, and only without one the latest of its setups.
func TestDueByTheDayOfTheSheet(t *testing.T) {
	setups := []Setup{{Date: "2026-03-10"}, {Date: "2026-03-12"}, {Date: "spring"}}
	for _, c := range []struct {
		date, due      string
		setups         []Setup
		overdue, known bool
	}{
		{"2026-03-14", "2026-03-13", setups, true, true},
		{"2026-03-14", "2026-03-14", setups, false, true},
		{"2026-03-14", "2026-03-15", setups, false, true},
		{"", "2026-03-11", setups, true, true},
		{"in March", "2026-03-12", setups, false, true},
		{"in March", "2020-01-01", nil, false, false},
		{"2026-03-14", "", setups, false, true},
	} {
		s := Sheet{Date: c.date, Setups: c.setups, Instruments: []jobrecord.Instrument{{Role: "wheel", Due: c.due}}}
		overdue, _, known := s.Due()
		if (len(overdue) == 1) != c.overdue || known != c.known {
			t.Errorf("%+v: got %v, %v", c, overdue, known)
		}
	}
}

func TestPhotosAreHeldAgainstTheirFiles(t *testing.T) {
	s := Sheet{Photos: []Photo{{File: "a", Digest: "0123456789ab"}, {File: "b", Digest: "0123456789ab"}, {File: "c"}, {File: "d", Digest: "0123456789ab"}}}
	files := map[string]string{"a": "0123456789abcd", "b": "1123456789abcd", "c": "2123456789abcd"}
	s.LookAtPhotos(func(path string) (string, error) {
		if d, ok := files[path]; ok {
			return d, nil
		}
		return "half", errors.Join(fs.ErrNotExist)
	})
	for i, want := range []PhotoState{Agrees, Changed, NotStated, Missing} {
		if p := s.Photos[i]; p.State != want || p.Found != files[p.File] {
			t.Errorf("%s: got %v, %q, want %v", p.File, p.State, p.Found, want)
		}
	}
}
