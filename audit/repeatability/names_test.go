package repeatability

import (
	"slices"
	"strings"
	"testing"
)

// Blanks, capitals and how an accent is stored make no other person; a letter does.
func TestNames(t *testing.T) {
	n := newNames()
	for _, c := range [][2]string{
		{"Ilse", "Ilse"},
		{" ilse ", "Ilse"},
		{"ILSE", "Ilse"},
		{"Isle", "Isle"},
		{"Ren\u00e9", "Ren\u00e9"},
		{"rene\u0301", "Ren\u00e9"},
		{"Ana  Maria", "Ana Maria"},
		{"ana maria", "Ana Maria"},
	} {
		if got := n.of(c[0]); got != c[1] {
			t.Errorf("%q is %q, want %q", c[0], got, c[1])
		}
	}
	if len(n.Aliases) != 4 {
		t.Errorf("aliases %v, want four", n.Aliases)
	}
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"Ilse", "Isle", true},
		{"Ilse", "Ilsa", true},
		{"Ilse", "Ilses", true},
		{"Ilse", "Ilse", false},
		{"Ana", "Eva", false},
		{"Ana", "Ane", false},
		{"Pavel", "Pedro", false},
		{"Nora", "Nara", true},
	} {
		if got := oneApart([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("%s, %s: %v", c.a, c.b, got)
		}
		if got := oneApart([]rune(c.b), []rune(c.a)); got != c.want {
			t.Errorf("%s, %s: %v", c.b, c.a, got)
		}
	}
}

// A slip is named with its row and is in nothing; looked up, it counts. Who has a
// row with a name alone, or is only on the list, is absent.
func TestStudyIsReadWithCare(t *testing.T) {
	var b strings.Builder
	b.WriteString("by,mark,value,trial\n")
	values := []string{"0.21", "0.25", "0.23", "0.18", "0.24", "0.22"}
	for _, by := range []string{"Ilse", "Omar", "Tove"} {
		for i, v := range values {
			name := by
			if by == "Ilse" && i > 2 {
				name = "ilse"
			}
			if by == "Omar" && i == 4 {
				v = "22"
			}
			b.WriteString(name + "," + []string{"TDC", "10 BTDC"}[i/3] + "," + v + "," + string(rune('1'+i%3)) + "\n")
		}
	}
	b.WriteString("Sten,,,\n")
	d, err := ReadStudy("class.csv", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	d.Expect([]string{"ILSE", "Rika"})
	r := Analyse(d, PoolAuto)
	if len(r.Slips) != 1 || r.Slips[0].Line != 12 || r.Slips[0].By != "Omar" || r.Slips[0].Fits != 0.22 {
		t.Errorf("slips %+v, want row 12", r.Slips)
	}
	if len(r.Flags) != 0 || len(r.Data.Values) != 17 || len(r.People) != 3 {
		t.Errorf("%d values, %d people, flags %+v", len(r.Data.Values), len(r.People), r.Flags)
	}
	if len(r.Data.People) != 1 || r.Data.People[0] != (Alias{"Ilse", "ilse"}) || !slices.Equal(r.Data.Absent, []string{"Sten", "Rika"}) {
		t.Errorf("aliases %v, absent %v", r.Data.People, r.Data.Absent)
	}
	d.AsRead = true
	if r := Analyse(d, PoolAuto); len(r.Slips) != 1 || len(r.Data.Values) != 18 || !codes(r)[Scatters] {
		t.Errorf("as read: %d values, flags %+v", len(r.Data.Values), r.Flags)
	}
	if _, err := ReadStudy("class.csv", []byte("by,mark,value\nSten,,\n")); err == nil {
		t.Error("nobody measured anything, and it is a study")
	}
	if _, err := ReadStudy("class.csv", []byte("by,mark,value\nSten,TDC,\n")); err == nil {
		t.Error("half a form is taken for a whole one")
	}
}
