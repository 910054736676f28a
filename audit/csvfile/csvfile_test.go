package csvfile

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit/inputerror"
)

var kind = Kind{Name: "weights", Most: 1 << 20, Columns: []string{"by", "mass", "note"}, Required: []string{"by", "mass"}}

// rows reads a file of weights: line, name and mass of each row.
func rows(text string) (all []string, err error) {
	_, err = Read(kind, "w.csv", []byte(text), func(f *File) {
		all = append(all, fmt.Sprint(f.Line(), " ", f.Field("by"), " ", f.Number("mass"), " ", f.Has("note")))
	})
	return all, err
}

func TestRead(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"plain":            {"by,mass\nAna,1.5\nBen,2\n", []string{"2 Ana 1.5 false", "3 Ben 2 false"}},
		"another order":    {"mass,note,by\n1.5,,Ana\n", []string{"2 Ana 1.5 true"}},
		"decimal commas":   {"by;mass\nAna;1,5\n", []string{"2 Ana 1.5 false"}},
		"thousands stay":   {"by;mass\nAna;1.234,5\n", []string{"2 Ana 1.234,5 false"}},
		"a separator line": {"\ufeffsep=;\r\nby;mass\r\nAna;1,5\r\n;\r\n", []string{"3 Ana 1.5 false"}},
		"quotes":           {"by,mass,note\n\"Ana, B\",\"2\",\"two\nlines\"\nBen,3,\n", []string{"2 Ana, B 2 true", "4 Ben 3 true"}},
		"a blank row":      {"by,mass\n\nAna,1\n , \n", []string{"3 Ana 1 false"}},
	} {
		got, err := rows(c.text)
		if diff := cmp.Diff(c.want, got); err != nil || diff != "" {
			t.Errorf("%s: %v\n%s", name, err, diff)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                                "w.csv: weights: the weights file is empty, expected the header by,mass,note",
		"by,mass\n":                       "w.csv:2:1: weights: the weights file ends after its header, expected weights",
		"sep=|\nby|mass\n":                "w.csv:1:5: weights: found the separator |, expected ; or ,",
		"by\tmass\nAna\t1\n":              "w.csv:1:1: header: found tabs between the columns, expected , or ;",
		"by,mas\nAna,1\n":                 "w.csv:1:4: header: found mas, an unknown column\n  hint: did you mean \"mass\"?",
		"by,mass,by\nAna,1,Ana\n":         "w.csv:1:9: header: found the column by a second time",
		"by,note\nAna,x\n":                "w.csv:1:1: header: found no column mass, expected one\n  hint: the columns are by,mass,note",
		"by,mass\nAna\n":                  "w.csv:2:1: row: found 1 field, expected 2 as in the header: the row is torn\n  hint: complete the row, or delete it if the reading was taken again",
		"by,mass\nÄn\"a,1\n":              "w.csv:2:3: row: found a quotation mark inside a field\n  hint: put quotes round the whole field and double the one inside it",
		"by,mass\n\xffna,1\n":             "w.csv:2:1: weights: found the byte 0xFF, which is not UTF-8\n  hint: save the file again with the encoding UTF-8",
		"by,mass\n" + "a" + "\x07" + "\n": "w.csv:2:2: weights: found the control character U+0007\n  hint: delete it; the file may be damaged",
	} {
		if _, err := rows(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v\nwant %s", text, err, want)
		}
	}
}

// A fault of a field is pointed at where the field begins, in characters.
func TestFaultOfAField(t *testing.T) {
	_, err := Read(kind, "w.csv", []byte("by,mass\nÄnne,x\n"), func(f *File) { f.Fault(f.At("mass"), "found x, expected a number", "") })
	if want := "w.csv:2:6: mass: found x, expected a number"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Nobody reads the ten-thousandth fault.
func TestFaultsAreBounded(t *testing.T) {
	_, err := rows("by,mass\n" + strings.Repeat("Ana\n", 10_000))
	var faults inputerror.List
	if !errors.As(err, &faults) || len(faults) != MostFaults+2 {
		t.Errorf("got %d faults, want %d and a last one that says so", len(faults), MostFaults+1)
	}
}
