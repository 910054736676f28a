package recorder

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/cmd/markaudit/internal/testsheet"
	"markaudit/cmd/markaudit/internal/world"
)

func opened(t *testing.T, path string) *Recorder {
	t.Helper()
	env := world.System()
	env.Clock = testsheet.Noon
	r, err := Open(env, path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(r.Close)
	return r
}

func do(t *testing.T, r *Recorder, events ...guide.Event) {
	t.Helper()
	for _, e := range events {
		if _, err := r.Do(e); err != nil {
			t.Fatalf("%v: %v", e, err)
		}
	}
}

// The journal cut off at every byte, as a power cut may leave it: the rows are the
// same, and the stop is asked for in any case.
func TestJournalTornAnywhere(t *testing.T) {
	path := testsheet.New(t)
	r := opened(t, path)
	do(t, r, guide.Event{Kind: guide.Operator, Text: "Ana"}, guide.Event{Kind: guide.StopOut, Sure: true},
		guide.Event{Kind: guide.Answer, Text: "yes"}, guide.Event{Kind: guide.Answer, Text: "yes"}, guide.Event{Kind: guide.Down}, guide.Event{Kind: guide.StopIn},
		guide.Event{Kind: guide.Read, Text: "338"})
	id := r.State().Rows()[0].ID
	r.Close()
	journal := strings.TrimSuffix(path, ".yaml") + ".journal"
	whole := testsheet.Contents(t, journal)
	if strings.Count(whole, "\n") != 7 || !strings.Contains(whole, `"stop":"in"`) {
		t.Errorf("the journal is\n%s", whole)
	}
	for cut := range len(whole) + 1 {
		testsheet.Write(t, journal, whole[:cut])
		r := opened(t, path)
		if n := len(r.State().Rows()); n != 1 {
			t.Fatalf("cut at %d: %d rows", cut, n)
		}
		if q := r.State().View().Step.Question; q != guide.Touched {
			t.Fatalf("cut at %d: asked %d", cut, q)
		}
		if done, ok := r.Done(id); !ok || done.Said != "pair 1, forward: 338 (reading 1)" {
			t.Fatalf("cut at %d: the row's own identity is not known: %+v", cut, done)
		}
		r.Close()
	}
}

// What was begun and said without a number is known after a restart.
func TestJournalRemembers(t *testing.T) {
	path := testsheet.New(t)
	r := opened(t, path)
	do(t, r, guide.Event{Kind: guide.StopOut, Sure: true}, guide.Event{Kind: guide.Answer, Text: "yes"}, guide.Event{Kind: guide.Answer, Text: "yes"},
		guide.Event{Kind: guide.Down}, guide.Event{Kind: guide.StopIn}, guide.Event{Kind: guide.Read, Text: "338"}, guide.Event{Kind: guide.Read, Text: "22"},
		guide.Event{Kind: guide.Bumped, Text: guide.Knocked})
	r.Close()
	r = opened(t, path)
	if v := r.State().View(); v.Setup != "2" || v.Told != "in, 2026-03-14 12:00" {
		t.Errorf("got setup %s and %q", v.Setup, v.Told)
	}
	do(t, r, guide.Event{Kind: guide.Answer, Text: "no"}, guide.Event{Kind: guide.StopOut, Sure: true})
	if step := r.State().View().Step; step.Kind != guide.Lower {
		t.Errorf("valves and turning back are asked again: %+v", step)
	}
}

// A sheet reached by a link: readings, journal and lock stand beside the sheet
// itself.
func TestSheetThroughALink(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need a right there")
	}
	path := testsheet.New(t)
	link := filepath.Join(t.TempDir(), "link.yaml")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	r := opened(t, link)
	do(t, r, guide.Event{Kind: guide.StopIn}, guide.Event{Kind: guide.Read, Text: "338"})
	if got := testsheet.Contents(t, testsheet.Readings(path)); strings.Count(got, "\n") != 2 {
		t.Errorf("beside the sheet:\n%s", got)
	}
	if entries, _ := os.ReadDir(filepath.Dir(link)); len(entries) != 1 {
		t.Errorf("beside the link lie %v", entries)
	}
	if told := strings.Join(r.Told(), "\n"); !strings.Contains(told, "is a link") {
		t.Errorf("told\n%s", told)
	}
}

// The folder goes, as with a stick that is pulled: that is said truly, and with the
// folder back the file is made whole.
func TestFolderGone(t *testing.T) {
	path := testsheet.New(t)
	r := opened(t, path)
	do(t, r, guide.Event{Kind: guide.StopIn}, guide.Event{Kind: guide.Read, Text: "338"})
	folder := filepath.Dir(path)
	away := folder + "-away"
	if err := os.Rename(folder, away); err != nil {
		t.Skip("this system keeps folders that are in use:", err)
	}
	_, err := r.Do(guide.Event{Kind: guide.Read, Text: "22"})
	var gone *FolderGone
	if !errors.As(err, &gone) || gone.Held != 1 {
		t.Fatalf("got %v", err)
	}
	if text := NotKept(err); !strings.Contains(text, "the folder is gone. 1 reading is held here and nowhere else") || !strings.Contains(text, "pair 1, forward: 338") || strings.Contains(text, "is safe") {
		t.Errorf("said\n%s", text)
	}
	if err := os.Rename(away, folder); err != nil {
		t.Fatal(err)
	}
	do(t, r, guide.Event{Kind: guide.Read, Text: "22"})
	if got := testsheet.Contents(t, testsheet.Readings(path)); strings.Count(got, "\n") != 3 {
		t.Errorf("the file is\n%s", got)
	}
}

// An edit by another hand that leaves the size as it was is noticed.
func TestEditOfTheSameSize(t *testing.T) {
	path := testsheet.New(t)
	r := opened(t, path)
	do(t, r, guide.Event{Kind: guide.StopIn}, guide.Event{Kind: guide.Read, Text: "338"})
	file := testsheet.Readings(path)
	theirs := strings.Replace(testsheet.Contents(t, file), ",338,", ",339,", 1)
	testsheet.Write(t, file, theirs)
	if _, err := r.Do(guide.Event{Kind: guide.Read, Text: "22"}); err == nil || !strings.Contains(err.Error(), "another program has changed it") {
		t.Errorf("got %v", err)
	}
	if got := testsheet.Contents(t, file); got != theirs {
		t.Errorf("the file became\n%s", got)
	}
}

// What a killed program left half written is removed, and who holds the sheet is
// said to who comes second.
func TestDraftsAndHolder(t *testing.T) {
	path := testsheet.New(t)
	draft := filepath.Join(filepath.Dir(path), ".markaudit-4711-0-mill.csv")
	testsheet.Write(t, draft, "half")
	r := opened(t, path)
	if _, err := os.Stat(draft); err == nil {
		t.Error("the draft is still there")
	}
	r.Hold("http://127.0.0.1:8417")
	_, err := Open(world.System(), path)
	if err == nil || !strings.Contains(err.Error(), "another recorder has it open, since 2026-03-14 12:00 on ") || !strings.Contains(err.Error(), "http://127.0.0.1:8417") {
		t.Errorf("got %v", err)
	}
}
