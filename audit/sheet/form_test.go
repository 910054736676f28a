package sheet

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
)

// What is set on the sheets below. One value of each kind needs care in YAML.
var settings = []struct {
	path  inputerror.Path
	value string
}{
	{"title", `Pump: the "old" one # 2`},
	{"job", "26-041"},
	{"date", "2026-02-03"},
	{"engine.turns", "clockwise"},
	{"engine.stroke", "6 1/4 in"},
	{"engine.rod", `10 1/2"`},
	{"engine.number", "G 2208"},
	{"engine.pin_offset", "1.0 ± 0.2 mm to thrust side"},
	{"part.name", "- flywheel"},
	{"part.marks_on", "engine"},
	{"part.seen_from", "[far] end"},
	{"part.diameter", "158.0 ± 0.2 mm"},
	{"part.teeth", "120"},
	{"readout.kind", "encoder"},
	{"readout.step", "0.25"},
	{"readout.numbered", "round"},
	{"readout.name", "Räd, 2"},
	{"limits.tolerance", "0.6"},
	{"limits.contact", "± 0.04 mm"},
	{"marks[0].tolerance", "1.5"},
	{"marks[0].on", "ring"},
}

// Of 24 good sheets and the form, in both kinds of line ends, every other byte stays
// as it is: at most one line is another, or one is new with the head of its table.
func TestFormChangesOneValue(t *testing.T) {
	done, byHand := 0, 0
	texts := map[string]string{"blank": strings.Replace(Blank(), "marks_on:  ", "marks_on: part  ", 1)}
	for _, path := range testkit.Files(t, "sheets/good/*.yaml") {
		texts[path] = string(testkit.Read(t, path))
	}
	for name, text := range texts {
		for _, text := range []string{text, strings.ReplaceAll(text, "\n", "\r\n"), "\ufeff" + text} {
			f, err := ReadForm(name, []byte(text))
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range settings {
				g, err := f.Set(s.path, s.value)
				if errors.Is(err, errByHand) {
					byHand++
					continue
				}
				done++
				if got, _ := g.Value(s.path); err != nil || got != s.value {
					t.Fatalf("%s: %s: got %q, %v, want %q", name, s.path, got, err, s.value)
				}
				onlyOneLine(t, f.Text(), g.Text(), s.path)
			}
		}
	}
	t.Logf("%d values set, %d left to the hand", done, byHand)
	if byHand > done/12 { // measured: one in fifteen is in braces or has no mark
		t.Errorf("%d of %d values are left to the hand", byHand, done+byHand)
	}
}

// onlyOneLine compares two texts line by line.
func onlyOneLine(t *testing.T, before, after string, path inputerror.Path) {
	t.Helper()
	a, b := strings.SplitAfter(before, "\n"), strings.SplitAfter(after, "\n")
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	if len(a) > 1 || len(b) > 4 || len(a) == 1 && a[0] != "" && len(b) != 1 {
		t.Fatalf("%s: %q became %q", path, a, b)
	}
	if len(a) == 0 || !strings.Contains(a[0], " #") || strings.HasPrefix(strings.TrimSpace(a[0]), "#") {
		return
	}
	if _, comment, _ := strings.Cut(a[0], " #"); !strings.HasSuffix(b[0], " #"+comment) {
		t.Fatalf("%s: the comment of %q is not that of %q", path, a[0], b[0])
	}
}

func TestFormText(t *testing.T) {
	const before = "format: 1 # one\nengine:\n  turns:        # either way\nmarks:\n  - name: TDC\n    at: 0\n# the end\n"
	f, err := ReadForm("a.yaml", []byte(before))
	if err != nil {
		t.Fatal(err)
	}
	must := func(g Form, err error) Form {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	f = must(f.Set("engine.turns", "anticlockwise"))
	f = must(f.SetTable("engine.cylinders", [2]string{"1", "0"}, [2]string{"front, 2", "-90"}))
	f = must(f.SetList("readout.quarter_turn", "12.5", "102"))
	f = must(f.AddMark([2]string{"name", "inject: 23"}, [2]string{"at", ""}))
	f = must(f.Set("title", "Pump"))
	want := "format: 1 # one\ntitle: Pump\nengine:\n  turns: anticlockwise  # either way\n  cylinders: {1: 0, \"front, 2\": -90}\n" +
		"marks:\n  - name: TDC\n    at: 0\n  - name: \"inject: 23\"\n    at:\n# the end\n\nreadout:\n  quarter_turn: [12.5, 102]\n"
	if f.Text() != want {
		t.Errorf("got\n%s\nwant\n%s", f.Text(), want)
	}
	if got := f.Items("engine.cylinders"); !slices.Equal(got, []string{"0", "-90"}) || !slices.Equal(f.Keys("engine.cylinders"), []string{"1", "front, 2"}) {
		t.Errorf("got the cylinders %q", got)
	}
	if got := f.Comment("engine.turns"); got != "either way" {
		t.Errorf("got the comment %q", got)
	}
	g := must(f.RemoveMark(0))
	h := must(must(g.Set("after_scribing.by", "Ruth")).Set("after_scribing.eye_check", "not as said"))
	if h = must(h.Remove("after_scribing")); h.Text() != g.Text() {
		t.Errorf("a table that came and went left\n%s", h.Text())
	}
	g = must(g.Remove("engine.cylinders"))
	g = must(g.Set("engine.turns", ""))
	if got := g.Text(); got != strings.NewReplacer("  - name: TDC\n    at: 0\n", "", "  cylinders: {1: 0, \"front, 2\": -90}\n", "", "turns: anticlockwise  #", "turns:                #").Replace(want) {
		t.Errorf("got\n%s", got)
	}
	g = must(g.RemoveMark(0))
	if _, err := g.RemoveMark(0); err == nil {
		t.Error("a line that is not there was removed")
	}
	if g = must(g.AddMark([2]string{"name", "T"}, [2]string{"at", "0"})); !strings.Contains(g.Text(), "marks:\n  - name: T\n    at: 0\n#") {
		t.Errorf("got\n%s", g.Text())
	}
}

func TestFormRefuses(t *testing.T) {
	for name, text := range map[string]string{
		"braces":         "engine: {turns: clockwise}\nmarks: [{name: TDC, at: 0}]\n",
		"block text":     "engine:\n  turns: |\n    clockwise\nmarks:\n- {name: TDC, at: 0}\n",
		"two lines":      "engine:\n  turns: clock\n    wise\nmarks: here\n",
		"quoted key":     "engine:\n  'turns': clockwise\nmarks: here\n",
		"text, no table": "engine: here\nmarks: here\n",
	} {
		f, err := ReadForm("a.yaml", []byte(text))
		if err != nil {
			t.Fatal(name, err)
		}
		g, err := f.Set("engine.turns", "anticlockwise")
		if err == nil || g.Text() != text {
			t.Errorf("%s: got %v and %q, want a refusal and the text as it was", name, err, g.Text())
		}
		if _, err := f.AddMark([2]string{"name", "b"}); err == nil {
			t.Errorf("%s: a line was added", name)
		}
	}
	if _, err := ReadForm("a.yaml", []byte("- one\n")); err == nil {
		t.Error("a list was taken for a sheet")
	}
}

func FuzzForm(f *testing.F) {
	f.Add(Blank(), "engine.turns", "clockwise")
	f.Add("a:\r\n  b: 1 # c", "a.b", "# x")
	f.Add("marks:\n- name: a\n  at: 1\n", "marks[0].at", "[2]")
	f.Fuzz(func(t *testing.T, text, path, value string) {
		form, err := ReadForm("a.yaml", []byte(text))
		if err != nil {
			return
		}
		g, err := form.Set(inputerror.Path(path), value)
		if err != nil {
			return
		}
		if got, ok := g.Value(inputerror.Path(path)); !ok || got != value {
			t.Errorf("set %q to %q, got %q", path, value, got)
		}
		_, _ = form.Remove(inputerror.Path(path))
		_, _ = form.AddMark([2]string{"name", value})
		_, _ = form.RemoveMark(0)
	})
}
