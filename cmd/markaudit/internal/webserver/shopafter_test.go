package webserver

import (
	"net/http"
	"path/filepath"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/folder"
	"markaudit/cmd/markaudit/internal/testsheet"
)

// Once the new line is scribed, the page asks what was found, one thing at a time, and
// writes it on the sheet: all else stays, and so does where the job stands.
func TestAfterScribing(t *testing.T) {
	dir := pumpFolder(t)
	at := filepath.Join(dir, "pump.yaml")
	commented := strings.Replace(pump, "at: 23 BTDC\n", "at: 23 BTDC   # from the plate\n", 1)
	testsheet.Write(t, at, commented)
	s := openShop(t, ShopOptions{Folder: dir})
	j := jobPath(folder.ID("pump.yaml"))
	takes := func(want int, action string, pairs ...string) {
		t.Helper()
		if code := s.send(t, action, pairs...); code != want {
			t.Fatalf("%s: status %d, want %d:\n%s", action, code, want, s.page)
		}
	}
	s.get(t, j+"after/who-1")
	if s.at != j {
		t.Errorf("asked before anything is scribed: %s", s.at)
	}
	takes(http.StatusOK, j+"eye", "way", "clockwise", "rim", "yes", "who", "Ruth")
	takes(http.StatusOK, j+"scribed", "answer", "yes", "who", "Finn")
	s.shows(t, "Say what you found after scribing", "Timing light</a>: open")
	for _, page := range []string{"report", "record"} { // the journal alone knows it
		s.get(t, j+page)
		s.shows(t, "What was ordered is done")
		s.hides(t, "scribe a new line", "Before anything is scribed")
	}
	by := s.digestOf(t, j)
	if testsheet.Contents(t, at) != commented {
		t.Error("the sheet was written before anything was answered")
	}

	s.get(t, j+"after")
	s.shows(t, "Who scribed, and by which sheet?", `value="Finn"`, by)
	takes(http.StatusUnprocessableEntity, j+"after/who-1", "name", "Finn", "digest", "by heart")
	s.shows(t, "Not taken: Found by heart, expected a SHA-256: 64 hexadecimal digits, or the first 12.")
	s.hides(t, "pump.yaml:")
	s.get(t, j+"after/who-1")
	takes(http.StatusOK, j+"after/who-1", "name", "Finn", "digest", by)
	s.shows(t, "What do the dividers show now from line TDC to line inject 23")
	takes(http.StatusUnprocessableEntity, j+"after/dividers-1", "text", "-3", "unit", "mm")
	s.shows(t, "Not taken: Found -3 mm, expected a length above zero.")
	s.get(t, j+"after/dividers-1")
	takes(http.StatusOK, j+"after/dividers-1", "text", "103,6", "unit", "mm")
	s.shows(t, "What does the readout show at line inject 23 now?")

	// Another hand was faster: nothing is written over.
	other := testsheet.Contents(t, at) + "# by another hand\n"
	testsheet.Write(t, at, other)
	takes(http.StatusConflict, j+"after/again-1", "text", "343.5")
	if testsheet.Contents(t, at) != other {
		t.Error("written over")
	}
	s.get(t, j+"after?behind=again-1") // it is left open
	s.shows(t, "does a timing light agree?")
	takes(http.StatusOK, j+"after/light-1", "answer", "yes", "at", "900 rpm")
	if s.at != j {
		t.Errorf("the last question leads to %s", s.at)
	}
	s.shows(t, "Scribed: prove it", "The metal is as the sheet says, Ruth", "The timing light agrees with line inject 23 at 900 rpm", "inject 23 read again</a>: open", "Begin the proof")
	s.get(t, j+"after")
	takes(http.StatusOK, j+"after/again-1", "text", "343.5", "text2", "344")

	text, ok := strings.CutPrefix(testsheet.Contents(t, at), commented)
	if !ok {
		t.Errorf("the sheet was changed:\n%s", testsheet.Contents(t, at))
	}
	want := `
after_scribing:
  by: Finn
  scribed_by: ` + by + `
  date: 2026-03-14
  eye_check: as said
  dividers: [{from: TDC, to: inject 23, measured: 103.6 mm}]
  timing_light: {line: inject 23, agrees: yes, at: 900 rpm}
  read_again: {inject 23: [343.5, 344]}
# by another hand
`
	if text != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
	for _, page := range []string{"report", "record"} {
		s.get(t, j+page)
		s.shows(t, by, "Dividers from “TDC” to “inject 23”", "900 rpm", "What was ordered is done: line “inject 23” scribed anew")
		s.hides(t, "scribe a new line", "Before anything is scribed")
	}
	if now := s.digestOf(t, j); now == by {
		t.Error("the answers did not change the sheet's digest")
	}

	// The proof is a sheet of its own, and nothing was scribed by it.
	s.get(t, j)
	takes(http.StatusOK, j+"proof")
	if text := testsheet.Contents(t, filepath.Join(dir, "brickworks-pump.yaml")); strings.Contains(text, "\nafter_scribing:") {
		t.Errorf("the proof has\n%s", text)
	}

	// Taken back: the answers are named, for a person to take off.
	s.get(t, j)
	takes(http.StatusOK, j+"scribed", "answer", "again")
	s.shows(t, "take after_scribing off the sheet")
	s.get(t, j+"after/light-1")
	if s.at != j {
		t.Errorf("asked of a line that is not scribed: %s", s.at)
	}
}

// digestOf is how the pages call the sheet of a job as it is now.
func (s *shopPage) digestOf(t *testing.T, path string) string {
	t.Helper()
	j, err := s.shop.folder.Job("pump.yaml")
	if err != nil || j.Result == nil {
		t.Fatal(err)
	}
	s.get(t, path)
	return j.Result.Sheet.Digest[:12]
}

// A check by eye that was not as said stands on the sheet, so that no report orders
// anything; once something on the sheet is put right, or somebody looks again, it is
// asked anew.
func TestEyeCheckFailsOnSheet(t *testing.T) {
	dir := pumpFolder(t)
	at := filepath.Join(dir, "pump.yaml")
	s := openShop(t, ShopOptions{Folder: dir})
	j := jobPath(folder.ID("pump.yaml"))
	fails := func() {
		t.Helper()
		s.get(t, j)
		if code := s.send(t, j+"eye", "way", "anticlockwise", "rim", "yes", "who", "Ruth"); code != http.StatusOK {
			t.Fatalf("status %d: %s", code, s.page)
		}
		text := testsheet.Contents(t, at)
		if rest, ok := strings.CutPrefix(text, pump); !ok || rest != "\nafter_scribing:\n  by: Ruth\n  date: 2026-03-14\n  eye_check: not as said\n" {
			t.Fatalf("the sheet has\n%s", text)
		}
		s.shows(t, "Stopped: the sheet is not as the metal", "Scribe nothing", "Put the sheet right", "Ruth, 2026-03-14 12:00")
	}
	fails()
	for _, page := range []string{"report", "record"} {
		s.get(t, j+page)
		s.shows(t, "The sheet is not as the metal, so no report of it holds.")
	}
	s.get(t, j)
	s.send(t, j+"eye", "again", "1")
	s.shows(t, "Which way does the finger go?")
	if text := testsheet.Contents(t, at); text != pump {
		t.Errorf("looking again left\n%s", text)
	}

	fails()
	s.get(t, j+"ask/turns")
	s.send(t, j+"answer", "choice", "clockwise", "sure", "yes")
	if text := testsheet.Contents(t, at); strings.Contains(text, "after_scribing") {
		t.Errorf("putting the sheet right left\n%s", text)
	}
	s.get(t, j)
	s.hides(t, "Stopped")
}
