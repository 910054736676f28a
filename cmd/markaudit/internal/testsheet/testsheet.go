// Package testsheet has a sheet without readings, for the tests of all rooms.
package testsheet

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Unfinished is the text of a sheet that lacks its readings.
const Unfinished = `engine:
  turns: clockwise
part:
  marks_on: part
  btdc_lines: clockwise
  diameter: 158.0 ± 0.2 mm
readout:
  step: 0.5
  counts: up
  quarter_turn: [10, 100]
limits:
  tolerance: 1.5
marks:
  - name: TDC
    at: 0
  - name: fire 10
    at: 10 BTDC
`

// New writes the sheet into a folder of its own and returns its path.
func New(t testing.TB) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "mill.yaml")
	Write(t, path, Unfinished)
	return path
}

// Readings returns the path of the file that the recorder begins for a sheet.
func Readings(path string) string { return strings.TrimSuffix(path, ".yaml") + ".csv" }

// Noon is when every reading of a test is taken.
func Noon() time.Time { return time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC) }

// Contents returns what a file holds.
func Contents(t testing.TB, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// Write writes a file.
func Write(t testing.TB, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}
