package folder

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/audit/job"
	"markaudit/cmd/markaudit/internal/recorder"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

func opened(t *testing.T, path string) *Folder {
	t.Helper()
	env := world.System()
	env.Clock = testsheet.Noon
	f, err := Open(env, path)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func links(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need a right there")
	}
}

func link(t *testing.T, to, at string) {
	t.Helper()
	if err := os.Symlink(to, at); err != nil {
		t.Fatal(err)
	}
}

func files(l Listing) (names []string) {
	for _, j := range l.Jobs {
		names = append(names, j.File)
	}
	return names
}

const read = `readings: NAME.csv
`

// The order comes from what the files hold: the stop in, then what nobody has read
// yet, then the latest first, then the names.
func TestOrder(t *testing.T) {
	folder := t.TempDir()
	sheet := func(name, when string) {
		testsheet.Write(t, filepath.Join(folder, name+".yaml"), testsheet.Unfinished+strings.Replace(read, "NAME", name, 1))
		rows := "setup,by,trial,item,approach,reading,time,note,struck\n"
		if when != "" {
			rows += "1,,1,stop,forward,338.5," + when + ",,\n"
		}
		testsheet.Write(t, filepath.Join(folder, name+".csv"), rows)
	}
	sheet("a-old", "2025-01-02T10:00:00+01:00")
	sheet("b-later", "2026-03-14T09:30:00+01:00")
	sheet("c-same", "2026-03-14T08:30:00Z") // the same moment on another clock
	sheet("d-untouched", "")
	sheet("e-stop-in", "2024-01-01T10:00:00Z")
	testsheet.Write(t, filepath.Join(folder, "e-stop-in.journal"), `{"t":"2024-01-01T10:00:00Z","did":"in","stop":"in","setup":"1"}`+"\n")
	testsheet.Write(t, filepath.Join(folder, "f-dated.yaml"), "date: 2025-06-01\n"+testsheet.Unfinished)
	testsheet.Write(t, filepath.Join(folder, "g-undated.yaml"), testsheet.Unfinished+"setups:\n  - stop: {forward: [338.5], backward: [22]}\n")
	testsheet.Write(t, filepath.Join(folder, "compose.yaml"), "services:\n  a: 1\n")
	testsheet.Write(t, filepath.Join(folder, ".hidden.yaml"), testsheet.Unfinished)
	f := opened(t, folder)
	for range 2 { // the second time from what was worked out
		list, err := f.List()
		if err != nil {
			t.Fatal(err)
		}
		want := []string{"e-stop-in.yaml", "d-untouched.yaml", "b-later.yaml", "c-same.yaml", "f-dated.yaml", "a-old.yaml", "g-undated.yaml"}
		if got := files(list); !slices.Equal(got, want) {
			t.Errorf("got  %v\nwant %v", got, want)
		}
		if len(list.Others) != 1 || list.Others[0].File != "compose.yaml" || !list.Jobs[0].Standing.StopIn {
			t.Errorf("got %+v and %+v", list.Others, list.Jobs[0].Standing)
		}
	}
	// What another program writes is seen at once.
	testsheet.Write(t, filepath.Join(folder, "a-old.csv"), "setup,by,trial,item,approach,reading,time,note,struck\n1,,1,stop,forward,338.5,2026-12-01T10:00:00Z,,\n")
	list, err := f.List()
	if err != nil || files(list)[2] != "a-old.yaml" {
		t.Errorf("got %v and %v", files(list), err)
	}
}

// Nothing outside the folder is read, by whatever name or link, and a job whose files
// lead out of it is not opened.
func TestNothingOutside(t *testing.T) {
	links(t)
	top := t.TempDir()
	folder, secret := filepath.Join(top, "jobs"), filepath.Join(top, "secret")
	for _, d := range []string{folder, secret} {
		if err := os.Mkdir(d, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	hidden := filepath.Join(secret, "hidden.yaml")
	testsheet.Write(t, hidden, "title: SECRET\n"+testsheet.Unfinished)
	rows := filepath.Join(secret, "hidden.csv")
	testsheet.Write(t, rows, "setup,by,trial,item,approach,reading,time,note,struck\n1,SECRET,1,stop,forward,338.5,,,\n")
	link(t, hidden, filepath.Join(folder, "link.yaml"))
	link(t, secret, filepath.Join(folder, "sub"))
	link(t, filepath.Join(top, "none.yaml"), filepath.Join(folder, "dangling.yaml"))
	for name, readings := range map[string]string{
		"up": "../secret/hidden.csv", "down": "sub/hidden.csv", "deep": "none/../../secret/hidden.csv", "whole": rows,
		"lock": "lock.csv", "journal": "journal.csv", "torn": "torn.csv", "dangle": "dangle.csv",
	} {
		testsheet.Write(t, filepath.Join(folder, name+".yaml"), testsheet.Unfinished+"readings: "+readings+"\n")
	}
	precious := filepath.Join(secret, "precious")
	testsheet.Write(t, precious, "precious")
	link(t, precious, filepath.Join(folder, "lock.csv.lock"))
	link(t, precious, filepath.Join(folder, "journal.journal"))
	link(t, precious, filepath.Join(folder, "torn.csv.torn"))
	link(t, filepath.Join(secret, "new.csv"), filepath.Join(folder, "dangle.csv"))
	f := opened(t, folder)
	list, err := f.List()
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range list.Others {
		if o.File != "link.yaml" && o.File != "dangling.yaml" || !strings.Contains(o.Why, "outside the folder") {
			t.Errorf("%s: %s", o.File, o.Why)
		}
	}
	if len(list.Others) != 2 {
		t.Errorf("%d files are no sheets, want the two links", len(list.Others))
	}
	for _, j := range list.Jobs {
		if j.By == "SECRET" || j.Readings > 0 || strings.Contains(j.Name(), "SECRET") {
			t.Errorf("%s shows what lies outside: %+v", j.File, j)
		}
		r, err := recorder.Open(f.World(), f.At(j.File))
		if err == nil {
			r.Close()
			t.Errorf("%s was opened", j.File)
		}
	}
	for _, name := range []string{"link.yaml", "../secret/hidden.yaml", "sub/hidden.yaml", hidden} {
		if text, err := f.Text(name); err == nil {
			t.Errorf("%s: got %s", name, text)
		}
		if err := f.Save(name, nil, []byte("x")); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	if got := testsheet.Contents(t, precious); got != "precious" {
		t.Errorf("outside the folder stands now %q", got)
	}
	if entries, _ := os.ReadDir(secret); len(entries) != 3 {
		t.Errorf("outside the folder lie now %v", entries)
	}
	link(t, filepath.Join(secret, "lock"), filepath.Join(folder, ".markaudit.lock"))
	if _, err := recorder.HoldFolder(f.World(), f.Path()); err == nil {
		t.Error("the folder was locked through a link that leads out of it")
	}
}

// A link inside the folder to a file inside it is a sheet like others.
func TestLinkInside(t *testing.T) {
	links(t)
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, "2025"), 0o777); err != nil {
		t.Fatal(err)
	}
	testsheet.Write(t, filepath.Join(folder, "2025", "mill.yaml"), testsheet.Unfinished)
	link(t, filepath.Join("2025", "mill.yaml"), filepath.Join(folder, "mill.yaml"))
	f := opened(t, folder)
	list, err := f.List()
	if err != nil || len(list.Jobs) != 1 || list.Jobs[0].Standing.Stage != job.Measuring {
		t.Fatalf("got %+v and %v", list, err)
	}
	r, err := recorder.Open(f.World(), f.At("mill.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for _, e := range []guide.Event{{Kind: guide.StopIn}, {Kind: guide.Read, Text: "338"}} {
		if _, err := r.Do(e); err != nil {
			t.Fatal(err)
		}
	}
	if list, err = f.List(); err != nil || list.Jobs[0].Readings != 1 || !list.Jobs[0].Standing.StopIn {
		t.Errorf("got %+v and %v", list, err)
	}
}

// A new file has a name that every system takes, and never stands in the place of
// another one.
func TestCreate(t *testing.T) {
	folder := t.TempDir()
	f := opened(t, folder)
	testsheet.Write(t, filepath.Join(folder, "taken.csv"), "x")
	testsheet.Write(t, filepath.Join(folder, "also.yml"), "x")
	for _, tt := range []struct{ wanted, want string }{
		{"Brickworks pump", "brickworks-pump.yaml"},
		{"Brickworks pump", "brickworks-pump-2.yaml"},
		{"brickworks/pump", "brickworks-pump-3.yaml"},
		{"../../etc/passwd", "etc-passwd.yaml"},
		{`C:\Windows\x`, "c-windows-x.yaml"},
		{"", "job.yaml"},
		{"…", "job-2.yaml"},
		{"con", "job-con.yaml"},
		{"COM1", "job-com1.yaml"},
		{"lpt0", "job-lpt0.yaml"},
		{"com", "com.yaml"},
		{".hidden", "hidden.yaml"},
		{"a\x00b\r\nc", "a-b-c.yaml"},
		{"taken", "taken-2.yaml"},
		{"also", "also-2.yaml"},
		{"-", "job-3.yaml"},
		{"pump:stream", "pump-stream.yaml"},
		{strings.Repeat("long", 100), strings.Repeat("long", 15) + ".yaml"},
	} {
		got, err := f.Create(tt.wanted, []byte(tt.wanted))
		if err != nil || got != tt.want {
			t.Errorf("%q: got %q and %v, want %q", tt.wanted, got, err, tt.want)
			continue
		}
		if text := testsheet.Contents(t, filepath.Join(folder, got)); text != tt.wanted {
			t.Errorf("%s holds %q", got, text)
		}
	}
	if entries, err := os.ReadDir(filepath.Dir(folder)); err != nil || len(entries) != 1 {
		t.Errorf("beside the folder lie %v", entries)
	}
}

// What another hand wrote meanwhile is not written over.
func TestSave(t *testing.T) {
	folder := t.TempDir()
	f := opened(t, folder)
	at := filepath.Join(folder, "a.yaml")
	testsheet.Write(t, at, "one")
	if err := f.Save("a.yaml", []byte("one"), []byte("two")); err != nil || testsheet.Contents(t, at) != "two" {
		t.Errorf("got %v and %q", err, testsheet.Contents(t, at))
	}
	if err := f.Save("a.yaml", []byte("one"), []byte("three")); !errors.Is(err, ErrChanged) || testsheet.Contents(t, at) != "two" {
		t.Errorf("got %v and %q", err, testsheet.Contents(t, at))
	}
}

// An ID stands for one file, and no other text finds one.
func TestFind(t *testing.T) {
	folder := t.TempDir()
	f := opened(t, folder)
	for _, name := range []string{"a.yaml", "b.yml", "c.txt"} {
		testsheet.Write(t, filepath.Join(folder, name), "x")
	}
	for _, name := range []string{"a.yaml", "b.yml"} {
		if got, ok := f.Find(ID(name)); !ok || got != name {
			t.Errorf("%s: got %q", name, got)
		}
	}
	for _, id := range []string{"", "a.yaml", ID("c.txt"), ID("a.yaml")[:9], ID("a.yaml") + "0", "../a.yaml", strings.ToUpper(ID("a.yaml")) + "x"} {
		if got, ok := f.Find(id); ok {
			t.Errorf("%q finds %q", id, got)
		}
	}
}
