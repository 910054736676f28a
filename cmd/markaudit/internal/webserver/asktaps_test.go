package webserver

import (
	"net/http"
	"strings"
	"testing"

	"markaudit/audit/questions"
)

// work counts what a person presses and types on the forms: a field that has the
// focus needs no tap.
func (j *askedJob) work(steps [][]string) (taps, characters int) {
	j.t.Helper()
	for _, step := range steps {
		focused := strings.Contains(j.page, " autofocus")
		taps++ // the button
		for n := 0; n < len(step); n += 2 {
			switch name, value := step[n], step[n+1]; name {
			case "choice":
			case "way", "unit", "side":
				taps++
			default:
				characters += len(value)
				if !focused {
					taps++
				}
				focused = false
			}
		}
		if code := j.post(step...); code != http.StatusOK {
			j.t.Fatalf("%v: got %d at %s:\n%s", step, code, j.at, j.page)
		}
	}
	return taps, characters
}

// docs/questions.md says how much there is to press, for six lines.
func TestTapsForSixLines(t *testing.T) {
	pick := func(value string) []string { return []string{"choice", value} }
	line := func(name, number, side string) []string { return []string{"name", name, "text", number, "side", side} }
	j := newAskedJob(t)
	j.get("/job/1/ask")
	rim := []string{"way", "across", "text", "212", "unit", "mm"}
	taps, characters := j.work([][]string{
		{"text", "Ferry"},
		pick("pulley"), pick("pulley end"), pick("anticlockwise"), pick("wheel"), pick("anticlockwise"), pick("0.5"), pick("round"),
		{"text", "20.5", "text2", "111"},
		{"name", "1-6", "side", "TDC"},
		line("2-5", "120", "ATDC"), line("3-4", "240", "ATDC"), line("inject 14", "14", "BTDC"), line("static 4", "4", "BTDC"), line("check 90", "90", "BTDC"), pick("all"),
		{"text", "0.6"},
		rim, pick("no"), pick("one"), pick("no"), pick("yes"), pick("yes"),
	})
	j.shows("begin to measure")
	if taps++; taps != 39 || characters != 63 {
		t.Errorf("%d taps and %d characters, docs/questions.md says 39 and 63", taps, characters)
	}
	earlier, err := questions.Read("a.yaml", j.sheet, nil)
	if err != nil {
		t.Fatal(err)
	}
	j.sheet = questions.Copy(earlier).Sheet()
	j.get("/job/1/ask")
	taps, characters = j.work([][]string{
		{"text", "Ferry"}, pick("pulley"), pick("anticlockwise"), pick("yes"), pick("anticlockwise"), {"text", "20.5", "text2", "111"}, {"text", "0.6"}, rim, pick("yes"), pick("yes"),
	})
	j.shows("begin to measure")
	if taps++; taps != 15 || characters != 18 {
		t.Errorf("like an earlier job: %d taps and %d characters, docs/questions.md says 15 and 18", taps, characters)
	}
}
