package recorder

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"syscall"
	"testing"

	"markaudit/audit/guide"
	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

// The file cut off at every single byte of its last row, as a power cut may leave
// it: the rows before are there, and the last one is whole or set aside.
func TestTornAnywhere(t *testing.T) {
	rows := []readings.Row{
		{Setup: "1", By: "Ana", Trial: "1", Item: "stop", Approach: "forward", Reading: "338.5", Time: "2026-03-14T12:00:00Z"},
		{Setup: "1", By: "Ana, the \"hand\"", Trial: "1", Item: "stop", Approach: "backward", Reading: "22.5", Time: "2026-03-14T12:00:00Z", Note: "a, b"},
	}
	whole := string(readings.Write(rows))
	start := len(whole) - len(rows[1].Line())
	for cut := range len(whole) + 1 {
		for _, tail := range []string{"", "\x00\x00"} {
			path := testsheet.New(t)
			file := testsheet.Readings(path)
			testsheet.Write(t, path, guide.Attach(testsheet.Unfinished, "mill.csv"))
			testsheet.Write(t, file, whole[:cut]+tail)
			r, err := Open(world.System(), path)
			if err != nil {
				t.Fatalf("cut at %d of %d: %v", cut, len(whole), err)
			}
			want := 2
			switch {
			case cut < start:
				want = 0
			case cut < len(whole):
				want = 1 // also where nothing but its end is missing
			}
			if got := len(r.state.Rows()); got != want {
				t.Errorf("cut at %d of %d, then %q: got %d rows, want %d", cut, len(whole), tail, got, want)
			}
			torn := strings.Contains(strings.Join(r.told, " "), "torn")
			_, err = os.Stat(file + ".torn")
			if torn != (err == nil) {
				t.Errorf("cut at %d: said %q, and the torn row set aside: %v", cut, r.told, err)
			}
			r.Close()
			if got := testsheet.Contents(t, file); got != string(readings.Write(rows[:want])) {
				t.Errorf("cut at %d: the file is\n%s", cut, got)
			}
		}
	}
}

// fullDisk takes so many bytes and then no more, or does not sync.
type fullDisk struct {
	rowFile
	room int
	sync error
}

func (f *fullDisk) Write(p []byte) (int, error) {
	if len(p) > f.room {
		n, err := f.rowFile.Write(p[:f.room])
		f.room = 0
		if err == nil {
			err = &fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}
		}
		return n, err
	}
	f.room -= len(p)
	return f.rowFile.Write(p)
}

func (f *fullDisk) Sync() error {
	if f.sync != nil {
		return f.sync
	}
	return f.rowFile.Sync()
}

// A disk that is full, or that does not say that it has written: the reading is
// not acknowledged, what was kept stays, and with room again work goes on.
func TestFullDisk(t *testing.T) {
	for _, room := range []int{0, 1, 30} {
		for _, sync := range []error{nil, syscall.EIO} {
			path := testsheet.New(t)
			r, err := Open(world.System(), path)
			if err != nil {
				t.Fatal(err)
			}
			disk := &fullDisk{room: 1 << 20}
			r.file.open = func(path string) (rowFile, error) {
				f, err := openToAppend(path)
				disk.rowFile = f
				return disk, err
			}
			if err := r.file.follow(nil); err != nil {
				t.Fatal(err)
			}
			read := func(text string) error {
				_, err := r.Do(guide.Event{Kind: guide.Read, Text: text})
				return err
			}
			if _, err := r.Do(guide.Event{Kind: guide.StopIn}); err != nil {
				t.Fatal(err)
			}
			if err := read("338"); err != nil {
				t.Fatal(err)
			}
			before := testsheet.Contents(t, r.file.path)
			if sync == nil {
				disk.room = room
			}
			disk.sync = sync
			var lost *world.Unwritten
			if err := read("22"); !errors.As(err, &lost) || !strings.Contains(NotKept(err), "this was NOT kept") {
				t.Errorf("got %v, want the reading not written", err)
			}
			if n := len(r.State().Rows()); n != 1 {
				t.Errorf("%d readings count as taken, want the one before", n)
			}
			if got := testsheet.Contents(t, r.file.path); got != before {
				t.Errorf("room for %d bytes: the file became\n%s", room, got)
			}
			disk.room, disk.sync = 1<<20, nil
			if err := read("22.5"); err != nil {
				t.Error(err)
			}
			if got := testsheet.Contents(t, r.file.path); !strings.Contains(got, "backward,22.5,") || strings.Contains(got, "backward,22,") {
				t.Errorf("with room again the file is\n%s", got)
			}
			r.Close()
		}
	}
}

// Another program's changes are not written over.
func TestChangedMeanwhile(t *testing.T) {
	path := testsheet.New(t)
	r, err := Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	theirs := string(readings.Write([]readings.Row{{Setup: "1", Item: "TDC", Approach: "forward", Reading: "0"}}))
	testsheet.Write(t, r.file.path, theirs)
	for _, e := range []guide.Event{{Kind: guide.StopIn}, {Kind: guide.Read, Text: "338"}} {
		_, err = r.Do(e)
	}
	if err == nil || !strings.Contains(err.Error(), "another program has changed it") {
		t.Errorf("got %v, want the change said", err)
	}
	if got := testsheet.Contents(t, r.file.path); got != theirs {
		t.Errorf("the file became\n%s", got)
	}
}

// What the sheet says meanwhile does not count half, and is not written over.
func TestSheetChangedMeanwhile(t *testing.T) {
	path := testsheet.New(t)
	r, err := Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	theirs := testsheet.Contents(t, path) + "# another hand\n"
	testsheet.Write(t, path, theirs)
	for _, e := range []guide.Event{{Kind: guide.StopIn}, {Kind: guide.Read, Text: "338"}} {
		_, err = r.Do(e)
	}
	if err == nil || !strings.Contains(err.Error(), "was changed or moved meanwhile") {
		t.Errorf("got %v, want the change said", err)
	}
	if got := testsheet.Contents(t, path); got != theirs {
		t.Errorf("the sheet became\n%s", got)
	}
	if got := testsheet.Contents(t, r.file.path); got != readings.Header() {
		t.Errorf("the readings became\n%s", got)
	}
}

// A readings file that somebody deletes comes back whole with the next reading,
// and one that is missing at the start is said to be.
func TestReadingsGone(t *testing.T) {
	path := testsheet.New(t)
	r, err := Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range []guide.Event{{Kind: guide.StopIn}, {Kind: guide.Read, Text: "338"}, {Kind: guide.Read, Text: "22"}} {
		if i == 2 {
			if err := os.Remove(r.file.path); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := r.Do(e); err != nil {
			t.Fatal(err)
		}
	}
	if got := testsheet.Contents(t, r.file.path); strings.Count(got, "\n") != 3 {
		t.Errorf("the file is\n%s", got)
	}
	r.Close()
	if err := os.Remove(r.file.path); err != nil {
		t.Fatal(err)
	}
	r, err = Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if told := strings.Join(r.Told(), "\n"); !strings.Contains(told, "which was not there, so it is begun empty") {
		t.Errorf("told\n%s", told)
	}
}

// An older file keeps its columns, and a last row of another program without its
// end counts, until a row needs a column that is not there.
func TestOlderFileKeepsItsColumns(t *testing.T) {
	rows := []readings.Row{
		{Setup: "1", Trial: "1", Item: "stop", Approach: "forward", Reading: "338.5"},
		{Setup: "1", Trial: "1", Item: "stop", Approach: "backward", Reading: "22.5"},
	}
	path := testsheet.New(t)
	file := testsheet.Readings(path)
	testsheet.Write(t, path, guide.Attach(testsheet.Unfinished, "mill.csv"))
	testsheet.Write(t, file, strings.TrimSuffix(string(readings.Short.Write(rows)), "\n"))
	r, err := Open(world.System(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if got := testsheet.Contents(t, file); got != string(readings.Short.Write(rows)) {
		t.Errorf("the file became\n%s", got)
	}
	rows[0].Mounting, rows[1].Mounting = "A", "A"
	if err := r.file.rewrite(rows); err != nil {
		t.Fatal(err)
	}
	if got := testsheet.Contents(t, file); got != string(readings.Full.Write(rows)) {
		t.Errorf("with a mounting the file became\n%s", got)
	}
}
