package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
)

// goodSheets reads the sheets that the project keeps as examples, and the
// demonstration.
func goodSheets(t *testing.T) map[string]sheet.Sheet {
	t.Helper()
	folder := filepath.Join("..", "..", "testdata", "sheets", "good")
	files, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil || len(files) < 6 {
		t.Fatalf("found %d sheets, %v", len(files), err)
	}
	open := func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(folder, name)) }
	sheets := map[string]sheet.Sheet{}
	read := func(name string, data []byte) {
		s, _, err := sheet.Read(name, data, open)
		if err != nil {
			t.Fatal(err)
		}
		sheets[name] = s
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		read(filepath.Base(file), data)
	}
	read("demo", []byte(sheet.Demo()))
	return sheets
}

// renamed gives every mark a name of its own with the given ending.
func renamed(s sheet.Sheet, ending string) sheet.Sheet {
	marks := make([]sheet.Mark, len(s.Marks))
	setups := make([]sheet.Setup, len(s.Setups))
	for i, setup := range s.Setups {
		setups[i] = setup
		setups[i].Marks = map[string][]sheet.Reading{}
	}
	for i, m := range s.Marks {
		marks[i] = m
		marks[i].Name = string(rune('A'+i)) + ending
		marks[i].Tolerance += 0.25 * m.Tolerance * 0.5 // own tolerances make the widest answer
		if i == 0 {
			marks[i].Tolerance = 0.125
		}
		for j, setup := range s.Setups {
			setups[j].Marks[marks[i].Name] = setup.Marks[m.Name]
		}
	}
	s.Marks, s.Setups = marks, setups
	return s
}

func TestReportsFitATerminal(t *testing.T) {
	endings := []string{"", " line 14 of the front", strings.Repeat("x", 40), strings.Repeat(" very long", 12), strings.Repeat("線", 20)}
	for name, s := range goodSheets(t) {
		for _, ending := range endings {
			r, err := audit.Run(renamed(s, ending))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			next := audit.Further(r)
			for _, budget := range []bool{false, true} {
				var b strings.Builder
				if err := Text(&b, Audit(r, next, Options{Path: name, Software: "markaudit", Budget: budget})); err != nil {
					t.Fatal(err)
				}
				for line := range strings.Lines(b.String()) {
					line = strings.TrimRight(line, "\n")
					// A word longer than a line stays whole in prose.
					if columns(line) > width && !strings.Contains(strings.TrimSpace(line), strings.Repeat("x", 40)) {
						t.Errorf("%s with names ending in %q: %d columns: %s", name, ending, columns(line), line)
					}
				}
			}
		}
	}
}

// Advice that speaks of one line's readings names the line, in the text and in
// the record for other programs.
func TestAdviceNamesItsLine(t *testing.T) {
	told := 0
	for name, s := range goodSheets(t) {
		r, err := audit.Run(s)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		next := audit.Further(r)
		v := newVoice(r, next)
		steps := strings.Join(v.steps(), "\n")
		for i, m := range r.Marks {
			advice := v.toDecide(m, next[i])
			if next[i].Way != audit.MoreReadings && next[i].Way != audit.MoreSetups {
				continue
			}
			told++
			if next[i].Readings > 0 && !strings.Contains(advice, clean(m.Name)) {
				t.Errorf("%s, %s: %q does not name it", name, m.Name, advice)
			}
			if at := strings.Index(steps, advice); at < 0 || !strings.Contains(steps[strings.LastIndexByte(steps[:at], '\n')+1:at], clean(m.Name)) {
				t.Errorf("%s, %s: the steps give %q without its name", name, m.Name, advice)
			}
			if got := toJSON(r, next, Options{}).Marks[i]; got.ToDecide == nil || *got.ToDecide != advice || got.Next == nil {
				t.Errorf("%s, %s: the record does not give %q", name, m.Name, advice)
			}
		}
	}
	if told == 0 {
		t.Error("no sheet has a line that further readings decide")
	}
}
