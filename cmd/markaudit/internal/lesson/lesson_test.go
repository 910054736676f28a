package lesson

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"markaudit/audit/rehearse"
	"markaudit/audit/report/export"
	"markaudit/cmd/markaudit/internal/world"
)

// The same seed gives the same stand, another another; files that are there stay.
func TestStage(t *testing.T) {
	folder := t.TempDir()
	s, _ := rehearse.Find("one-line")
	stage := func(seed uint64) Stand {
		stand, err := Stage(export.CSV{}, s, seed, "mine", "Ana")
		if err != nil {
			t.Fatal(err)
		}
		return stand
	}
	one, other := stage(7), stage(8)
	if one != stage(7) || one.Sheet == other.Sheet || one.Sealed == other.Sealed {
		t.Error("a stand does not follow from its seed alone")
	}
	var said []string
	if err := one.Write(world.System(), folder, func(path string) { said = append(said, filepath.Base(path)) }); err != nil {
		t.Fatal(err)
	}
	if strings.Join(said, " ") != "mine.yaml mine-answers.csv mine.sealed" {
		t.Errorf("written: %v", said)
	}
	if err := other.Write(world.System(), folder, func(string) {}); err == nil {
		t.Error("a stand is written over another")
	}
}

// A class is read back as it was left: who sits where, and what comes next. Every line
// comes once a round, in another order in each.
func TestClass(t *testing.T) {
	folder, env := t.TempDir(), world.System()
	for _, bad := range [][2]string{{"", "3"}, {"T", "0"}, {"T", "x"}, {"T\x07", "3"}, {strings.Repeat("T", 41), "3"}} {
		if _, err := NewClass(env, folder, bad[0], bad[1]); err == nil {
			t.Errorf("begun with %q", bad)
		}
	}
	if c, err := OpenClass(env, folder); c != nil || err != nil {
		t.Fatalf("no class: %v, %v", c, err)
	}
	c, err := NewClass(env, folder, "T, =U, T", "2")
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Join("tablet", " Ana  Lund "); err != nil {
		t.Fatal(err)
	}
	order := ""
	for {
		line, _, more := c.Next("Ana Lund")
		if !more {
			break
		}
		order += line
		if err := c.Keep("Ana Lund", "0.25 early"); err != nil {
			t.Fatal(err)
		}
		if c, err = OpenClass(env, folder); err != nil {
			t.Fatal(err)
		}
	}
	if order != "T=U=UT" {
		t.Errorf("in the order %s", order)
	}
	if c.Whose("tablet") != "Ana Lund" || c.Whose("phone") != "" {
		t.Errorf("who sits where: %+v", c.People)
	}
	if _, enough := c.Study(); enough {
		t.Error("one person alone is no class")
	}
	values, err := os.ReadFile(filepath.Join(folder, ValuesFile))
	if err != nil || !strings.Contains(string(values), "Ana Lund,'=U,-0.25,1\n") {
		t.Errorf("values: %s, %v", values, err)
	}
	if err := os.WriteFile(filepath.Join(folder, ClassFile), []byte("{}"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenClass(env, folder); err == nil {
		t.Error("a file that is no class is read")
	}
}
