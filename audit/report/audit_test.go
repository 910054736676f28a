package report

import (
	"encoding/json"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// variant is a sheet with other names and looser or no promises.
type variant struct {
	ending   string // of the name of every mark, setup and person
	own      bool   // tolerances of the marks' own, with the widest figures
	asFitted bool   // nothing covers remounting
}

func (x variant) of(s sheet.Sheet) sheet.Sheet {
	marks := make([]sheet.Mark, len(s.Marks))
	named := map[string]string{} // only looked up
	for i, m := range s.Marks {
		marks[i] = m
		if x.ending != "" {
			marks[i].Name = string(rune('A'+i)) + x.ending
		}
		named[m.Name] = marks[i].Name
		if m.On != "" {
			marks[i].On += x.ending
		}
		if x.own {
			marks[i].Tolerance = geometry.Angle(0.125 + float64(i))
		}
	}
	if x.asFitted {
		s.Limits.Remount = geometry.Limit[geometry.Angle]{}
		s.Setups = s.Setups[:min(2, len(s.Setups))]
	}
	s.Part.Spacings = slices.Clone(s.Part.Spacings)
	for i := range s.Part.Spacings {
		d := &s.Part.Spacings[i]
		d.From, d.To = named[d.From], named[d.To]
	}
	setups := make([]sheet.Setup, len(s.Setups))
	for i, setup := range s.Setups {
		setups[i] = setup
		setups[i].Name += x.ending
		setups[i].By += x.ending
		setups[i].Marks = map[string][]sheet.Reading{}
		for j, m := range s.Marks {
			setups[i].Marks[marks[j].Name] = setup.Marks[m.Name]
		}
	}
	s.Marks, s.Setups = marks, setups
	s.After = afterNamed(s.After, named)
	return s
}

// afterNamed is what was found after scribing under other names of the lines.
func afterNamed(a *sheet.AfterScribing, named map[string]string) *sheet.AfterScribing {
	if a == nil {
		return nil
	}
	out, light := *a, *a.TimingLight
	out.Dividers = slices.Clone(a.Dividers)
	for i, d := range a.Dividers {
		out.Dividers[i].From, out.Dividers[i].To = named[d.From], named[d.To]
	}
	out.ReadAgain = map[string][]sheet.Reading{}
	for name, readings := range a.ReadAgain {
		out.ReadAgain[named[name]] = readings
	}
	light.Line = named[light.Line]
	out.TimingLight = &light
	return &out
}

// fits reports whether a line of a report stays within a terminal. In prose a
// word longer than a line stays whole, behind the number of its step at most.
func fits(line string) bool {
	if document.Columns(line) <= document.Width {
		return true
	}
	words := strings.Fields(line)
	if _, err := strconv.Atoi(words[0]); err == nil {
		words = words[1:]
	}
	return len(words) == 1 && document.Columns(words[0]) > document.Width-len("10  ")
}

func TestReportsFitATerminal(t *testing.T) {
	endings := []string{""}
	for _, n := range []int{17, 40, 120} {
		spaced := strings.Repeat(" line of the front", n/17+1)[:n-1]
		endings = append(endings, spaced, strings.Repeat("x", n-1), strings.Repeat("線", n/2), strings.Repeat(" 線線", n/5))
	}
	fitted, cases := 0, 0
	for name, s := range reporttest.GoodSheets(t, os.DirFS("../../testdata")) {
		s.Checked = sheet.Checked{Tolerances: true} // which are widened here, and the lines renamed
		for i := range 4 * len(endings) {
			if (i+i/4)%2 > 0 { // half of the variants, each inch and each width with every ending
				continue
			}
			if cases++; !testkit.Drawn(cases) {
				continue
			}
			x := variant{endings[i/4], i%2 > 0, i%4 > 1}
			r, err := audit.Run(x.of(s))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			next := audit.Next(r)
			for _, budget := range []bool{false, true} {
				var b strings.Builder
				if err := document.Text(&b, Audit(r, next, document.Options{Path: name, Software: "markaudit", Budget: budget})); err != nil {
					t.Fatal(err)
				}
				if strings.Contains(b.String(), ", as fitted") {
					fitted++
				}
				for line := range strings.Lines(b.String()) {
					if line = strings.TrimRight(line, "\n"); !fits(line) {
						t.Errorf("%s, %+v: %d columns: %s", name, x, document.Columns(line), line)
					}
				}
			}
		}
	}
	if fitted == 0 {
		t.Error("no verdict is as fitted")
	}
}

// Advice that speaks of one line's readings names the line or stands under its
// name, on the terminal and in the record for other programs.
func TestAdviceNamesItsLine(t *testing.T) {
	told := map[advise.Way]int{}
	for name, s := range reporttest.GoodSheets(t, os.DirFS("../../testdata")) {
		// As they are, and with tolerances at which the lines are not decided.
		s.Checked.Tolerances = true
		for _, widths := range []geometry.Angle{0, -0.8, -0.7, 0.4, 0.6, 0.8} {
			r, err := audit.Run(s)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for i, m := range r.ByLine() {
				if m.Offset != nil && m.Offset.Known && widths != 0 {
					s.Marks = slices.Clone(s.Marks)
					s.Marks[i].Tolerance = max(0.01, m.Offset.Value.Abs()+widths*m.Offset.Expanded)
				}
			}
			if r, err = audit.Run(s); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			next := audit.Next(r)
			var b, record strings.Builder
			if err := document.Text(&b, Audit(r, next, document.Options{Path: name})); err != nil {
				t.Fatal(err)
			}
			onOneLine := strings.Join(strings.Fields(b.String()), " ")
			if err := export.Audit(&record, r, next, document.Options{}); err != nil {
				t.Fatal(err)
			}
			var kept struct {
				Marks []struct {
					Name     string
					ToDecide *string `json:"to_decide"`
				}
			}
			if err := json.Unmarshal([]byte(record.String()), &kept); err != nil {
				t.Fatal(err)
			}
			v := words.NewAudit(r, next)
			steps := words.Steps(v)
			for i, m := range r.ByLine() {
				if next[i].Way != advise.MoreReadings && next[i].Way != advise.MoreSetups {
					continue
				}
				if r.Advice.Together.Worthwhile && slices.Contains(r.Diagnosis.Sharing, i) {
					continue // what shifts them all is moved first
				}
				told[next[i].Way]++
				advice := words.ToDecide(v, m, next[i])
				if next[i].Readings > 0 && !strings.Contains(advice, words.Clean(m.Name)) {
					t.Errorf("%s, %s: %q does not name it", name, m.Name, advice)
				}
				step := slices.IndexFunc(steps, func(step string) bool { return strings.Contains(step, advice) })
				if step < 0 || !strings.Contains(steps[step], words.Clean(m.Name)) {
					t.Errorf("%s, %s: the steps give %q without its name", name, m.Name, advice)
				} else if step := strings.Join(strings.Fields(steps[step]), " "); !strings.Contains(onOneLine, step) {
					t.Errorf("%s, %s: the text lacks %q", name, m.Name, step)
				}
				if got := kept.Marks[i]; got.Name != m.Name || got.ToDecide == nil || *got.ToDecide != advice {
					t.Errorf("%s, %s: the record does not give %q", name, m.Name, advice)
				}
			}
		}
	}
	for _, way := range []advise.Way{advise.MoreReadings, advise.MoreSetups} {
		if told[way] < 5 {
			t.Errorf("only %d lines are decided by %v", told[way], way)
		}
	}
}

// Once something is scribed the report does not order it again, whether the sheet says
// so or whoever reads it out; it says what was ordered, and to prove it.
func TestScribedOnce(t *testing.T) {
	for _, name := range []string{"papers.yaml", "pump.yaml", "banks.yaml"} {
		s, _, err := sheet.Read(name, testkit.Read(t, "sheets/good/"+name), testkit.Beside(t, "sheets/good"))
		if err != nil {
			t.Fatal(err)
		}
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		for what, doc := range map[string]document.Doc{
			"report": Audit(r, audit.Next(r), document.Options{Scribed: true}),
			"record": JobSheet(r, audit.Next(r), document.Options{Scribed: true}),
		} {
			var b strings.Builder
			if err := document.Markdown(&b, doc); err != nil {
				t.Fatal(err)
			}
			text := b.String()
			for _, word := range []string{"scribe a new line", "scribe it anew", "move it", "Before anything is scribed", "CHECK BEFORE YOU SCRIBE", "SET TO A LINE"} {
				if strings.Contains(text, word) {
					t.Errorf("%s of %s says %q", what, name, word)
				}
			}
			for _, word := range []string{"What was ordered is done", "Prove it"} {
				if !strings.Contains(text, word) {
					t.Errorf("%s of %s does not say %q", what, name, word)
				}
			}
		}
	}
}

// What one more pair may show: t of 0.975 on 14 degrees of freedom, 2.145 (NIST/SEMATECH
// e-Handbook, 1.3.6.7.2, from memory), times √(0.204²/4 + 0.204²), the scatter of middles
// by hand from the successive differences of both setups, is 0.49.
//
// What is said as a step or as a finding is not said a second time in other words.
func TestSaidOnce(t *testing.T) {
	const sheetOf = `engine: {turns: clockwise}
part: {marks_on: part, diameter: 160.0 mm}
readout: {step: 0.5, counts: up, quarter_turn: [12, 102]}
limits: {tolerance: 1}
marks: [{name: T, at: 0}, {name: fire, at: 10 BTDC}, {name: adv, at: 20 BTDC}]
setups:
  - stop: {forward: [340.0, 340.5, 340.0, 340.0], backward: [20.5, 20.0, 20.0, 20.5]}
`
	for _, x := range []struct{ name, rest, once, never string }{
		{"letters", "    marks: {T: [0.5, 0.0, 0.5], fire: [10.0, 10.5, 10.0], adv: [20, 20.5, 20]}\n    closing: {forward: 340.0, backward: 20.5}\n", "What explains it best: BTDC", "One mistake on the sheet|check their names"},
		{"bumped", "    marks: {T: [3.5, 3.0, 3.5], fire: [353.0, 353.5, 353.0], adv: [343, 343.5, 343]}\n    closing: {forward: 343.0, backward: 23.5}\n", "Strike the contacts of the setup that moved", "begin a new setup"},
		{"odd", "    marks: {T: [0.5, 0.0, 0.5], fire: [350.0, 350.5, 358.0], adv: [340, 340.5, 340]}\n    closing: {forward: 340.0, backward: 20.5}\n", "reading 3, 358.0, stands out", "its readings scatter by"},
		{"a step to scribe", "    marks: {T: [0.5, 0.0, 0.5], fire: [353.0, 353.5, 353.0], adv: [340, 340.5, 340]}\n  - stop: {forward: [340.0, 340.5, 340.0, 340.0], backward: [20.5, 20.0, 20.0, 20.5]}\n    marks: {T: [0.0, 0.5, 0.5], fire: [353.5, 353.0, 353.0], adv: [340, 340, 340.5]}\n", "the middle of its two contacts must be 0.19° ± 0.49° again", "must show 0.19 again"},
	} {
		s, _, err := sheet.Read("a.yaml", []byte(sheetOf+x.rest), nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := document.Markdown(&b, Audit(r, audit.Next(r), document.Options{})); err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(b.String(), x.once); n != 1 {
			t.Errorf("%s: %q stands %d times in\n%s", x.name, x.once, n, b.String())
		}
		for _, never := range strings.Split(x.never, "|") {
			if strings.Contains(b.String(), never) {
				t.Errorf("%s: says %q too", x.name, never)
			}
		}
	}
}
