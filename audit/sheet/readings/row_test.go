package readings

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit/csvfile"
)

// What is written for a row is read back as the same row, whatever its texts.
func TestRowsSurvive(t *testing.T) {
	rows := []Row{
		{Setup: "1", By: `Ana "the hand", B; C`, Trial: "1", Item: "stop", Approach: "forward", Reading: "338.5", Time: "2026-03-14T09:30:00+01:00", Note: "=1+1", Struck: "wrench, slipped"},
		{Setup: "second; day", By: "<b>", Item: `a, "b"`, Approach: "backward", Reading: "-0.5", Note: `"`},
		{Setup: "3", Trial: "1", Item: "drop", Approach: "forward", Reading: "340", Mounting: "A", Fitting: "a,b", Cylinder: "6", Side: "before", Height: "2.0 mm", ID: "k3v9xq2d-17"},
	}
	var got []Row
	_, err := csvfile.Read(Kind(false), "a.csv", Write(rows), func(f *csvfile.File) { got = append(got, At(f)) })
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(rows, got); diff != "" {
		t.Errorf("- want, + got\n%s", diff)
	}
}

// Half of a row must never look like a row: its end is the end of a line.
func TestLineEndsTheRow(t *testing.T) {
	line := Row{Setup: "1", Item: "TDC", Approach: "forward", Reading: "0.5"}.Line()
	if !strings.HasSuffix(line, "\n") || strings.Count(line, "\n") != 1 || strings.Count(line, ",") != strings.Count(Header(), ",") {
		t.Errorf("got %q under %q", line, Header())
	}
}

// A file that holds its header alone is a fault, but while it is being written.
func TestHeaderAlone(t *testing.T) {
	for mayBeEmpty, want := range map[bool]string{
		true: "", false: "a.csv:2:1: readings: the readings file ends after its header, expected readings",
	} {
		got := ""
		if _, err := csvfile.Read(Kind(mayBeEmpty), "a.csv", []byte(Header()), func(*csvfile.File) {}); err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("may be empty %v: got %q, want %q", mayBeEmpty, got, want)
		}
	}
}

// A file of the older layout is read back as it was written, but for the
// identities, and says when it cannot hold a row.
func TestShortLayout(t *testing.T) {
	row := Row{Setup: "1", By: "Ana", Trial: "1", Item: "stop", Approach: "forward", Reading: "338.5", ID: "k3v9xq2d-17"}
	var got []Row
	if _, err := csvfile.Read(Kind(false), "a.csv", Short.Write([]Row{row}), func(f *csvfile.File) { got = append(got, At(f)) }); err != nil {
		t.Fatal(err)
	}
	want := row
	want.ID = ""
	if diff := cmp.Diff([]Row{want}, got); diff != "" {
		t.Errorf("- want, + got\n%s", diff)
	}
	sided := row
	sided.Side = "before"
	if !Short.Holds(row) || Short.Holds(sided) || !Full.Holds(sided) {
		t.Error("a layout holds a row of which it would lose a part, or not one that it could")
	}
}

// What a spreadsheet would carry out as a formula is made harmless, and comes back as
// it was; with commas in the numbers too.
func TestHarmlessRows(t *testing.T) {
	row := Row{
		Setup: "=1+1", By: "@Ana", Trial: "1", Item: "-5", Approach: "forward", Reading: "-338.5", Note: "+note", Struck: "=HYPERLINK()",
		Mounting: "-m", Height: "2.61 mm", ID: "k3v9xq2d-17",
	}
	for _, data := range [][]byte{Write([]Row{row}), WriteComma([]Row{row})} {
		var got []Row
		if _, err := csvfile.Read(Kind(false), "a.csv", data, func(f *csvfile.File) { got = append(got, At(f)) }); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff([]Row{row}, got); diff != "" {
			t.Errorf("- want, + got\n%s", diff)
		}
		for _, cell := range strings.FieldsFunc(string(data), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
			if strings.ContainsAny(cell[:1], "=@+") || cell[0] == '-' && !strings.HasPrefix(cell, "-338") {
				t.Errorf("%s would be carried out", cell)
			}
		}
	}
	if text := string(WriteComma([]Row{row})); !strings.HasPrefix(text, "sep=;\n") || !strings.Contains(text, ";-338,5;") || !strings.Contains(text, ";2,61 mm;") {
		t.Errorf("with commas: %s", text)
	}
}
