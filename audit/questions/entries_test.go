package questions

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// What there may be several of is added one by one, changed, and taken off again; all
// else of the sheet stays as it is.
func TestEntriesAreAddedChangedAndTakenOff(t *testing.T) {
	i := answered(t, Begin(), "lines", "TDC", "lines", "TDC 2 at 90 ATDC", "rim", "across 200 mm")
	before := string(i.Sheet())
	for _, c := range []struct {
		add, second, more, want, said string
	}{
		{"spacing", "spacing-2", "TDC to TDC 2: 141,4 ± 0.2 mm", "spacings: [{from: TDC, to: TDC 2, chord: 141.4 ± 0.2 mm}]", "From TDC to TDC 2 it is 141.4 ± 0.2 mm straight across."},
		{"instrument", "instrument-2", "wheel, wheel 2, number W-4, due 2027-01-31", "instruments: [{what: wheel, name: wheel 2, number: W-4, due: 2027-01-31}]", "Measured with: wheel, wheel 2, number W-4, due 2027-01-31."},
		{"photo", "photo-2", "before.jpg, before scribing", "photos: [{file: before.jpg, of: before scribing}]", "The photo before.jpg shows: before scribing."},
		{"checked", "", "letters, line TDC 2", "checked: [letters, line TDC 2]", "Looked at again, and found as written: letters, line TDC 2."},
		{"temperature", "", "19 °C", "conditions:\n  temperature: 19 °C", "It was measured at 19 °C."},
	} {
		j, said, err := i.Answer(c.add, c.more)
		if err != nil {
			t.Fatalf("%s: %v", c.add, err)
		}
		if !strings.Contains(string(j.Sheet()), c.want) || said.Text != c.said {
			t.Errorf("%s: said %q, the sheet is\n%s", c.add, said.Text, j.Sheet())
		}
		if c.second == "" {
			j = answered(t, j, c.add, "remove")
		} else {
			if _, _, err := j.Answer(c.add, c.more); err == nil {
				t.Errorf("%s is taken twice", c.add)
			}
			if _, ok := j.Question(c.second); ok {
				t.Errorf("%s is asked and not there", c.second)
			}
			j = answered(t, j, c.add+"-1", "remove")
		}
		if got := strings.TrimSpace(string(j.Sheet())); got != strings.TrimSpace(before) {
			t.Errorf("%s: taken off, the sheet is\n%s", c.add, got)
		}
	}
	for _, wrong := range []string{"TDC", "TDC to TDC: 3 mm", "TDC to nothing: 3 mm", "TDC to TDC 2", "TDC to TDC 2: 300 mm", "TDC to TDC 2: 12 teeth"} {
		if j, _, err := i.Answer("spacing", wrong); err == nil {
			t.Errorf("%q is taken:\n%s", wrong, j.Sheet())
		}
	}
	for _, wrong := range []string{"wheel, number 1, number 2", "wheel, due tomorrow", ", name"} {
		if j, _, err := i.Answer("instrument", wrong); err == nil {
			t.Errorf("%q is taken:\n%s", wrong, j.Sheet())
		}
	}
}

// byOthers are the keys of the form that no question asks, with who writes them; docs/questions.md says so too.
var byOthers = map[string]string{
	"format": "the program", "readings": "recording", "setups": "recording", "after_scribing": "the page after scribing",
	"part.circumference": "the question of the rim", "readout.measured": "the question of the readout", "readout.counts": "the quarter turn",
	"readout.history": "a rare question", "limits.tolerance": "a usual question",
	"marks.name": "the question of the lines", "marks.at": "the question of the lines", "marks.tolerance": "a rare question of each line",
	"marks.on": "a question where a ring sits on rubber", "marks.cylinder": "a question where there are several cylinders",
	"conditions": "two questions",
}

var formKey = regexp.MustCompile(`^( *)(- )?#? ?([a-z_]+):( |$)`)

// Every key of the form is asked somewhere, or is written by what is named above.
func TestEveryKeyOfTheFormIsAsked(t *testing.T) {
	var asked []inputerror.Path
	i := answered(t, Begin(), "carries", "other", "lines", "TDC")
	for _, x := range append(i.items(), rareItems(i)...) {
		asked = append(append(asked, x.path), x.others...)
	}
	for _, k := range entryKeys() {
		asked = append(asked, k.path)
	}
	table, n := "", 0
	for line := range strings.Lines(sheet.Blank()) {
		m := formKey.FindStringSubmatch(strings.TrimRight(line, "\n"))
		if m == nil || table == "setups" || table == "after_scribing" {
			continue
		}
		key := m[3]
		deep := m[1] != "" || m[2] != ""
		if strings.HasPrefix(line, "#") && strings.HasPrefix(line[1:], " ") || len(m[1]) > 4 {
			continue // a sentence
		}
		if !deep {
			table = key
		} else {
			key = table + "." + key
		}
		if !deep && slices.Contains([]string{"engine", "part", "readout", "limits", "marks"}, key) {
			continue
		}
		n++
		if byOthers[key] == "" && !slices.Contains(asked, inputerror.Path(key)) {
			t.Errorf("no question asks %s", key)
		}
	}
	if n < 45 {
		t.Errorf("found %d keys of the form, expected them all", n)
	}
}

// However many lines there are, they count as one question: the numbers of the others do
// not jump.
func TestTheNumbersOfQuestionsDoNotJump(t *testing.T) {
	one := answered(t, Begin(), "lines", "TDC", "lines", "all")
	six := answered(t, Begin(), "lines", "TDC", "lines", "10 BTDC", "lines", "20 BTDC", "lines", "90 ATDC", "lines", "120 ATDC", "lines", "180 ATDC", "lines", "all")
	for _, key := range []string{"title", "lines", "tolerance", "stop"} {
		n, of := one.Number(key)
		if more, all := six.Number(key); n == 0 || more != n || all != of {
			t.Errorf("%s is question %d of %d with one line, %d of %d with six", key, n, of, more, all)
		}
	}
	if n, _ := six.Number("line-6"); n == 0 || n < 5 {
		t.Errorf("the sixth line is question %d", n)
	}
	if n, _ := six.Number("spacing"); n != 0 {
		t.Errorf("a rare question has number %d", n)
	}
}
