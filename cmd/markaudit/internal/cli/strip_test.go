package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// A strip rendered by another program measures what it should: the check line
// 100 mm, and the new line as far from the old one as 100 mm and π say. Needs
// pdftoppm of poppler-utils, which .ci/run fetches.
func TestStripRendered(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("needs pdftoppm")
	}
	const (
		within = 0.05 // mm, what a steel rule shows; a dot is 0.02 mm
		stroke = 0.18 // mm, of the check line
		late   = 4.0  // degrees that the line comes up late
	)
	for _, diameter := range []float64{25, 600} {
		t.Run(fmt.Sprintf("%g mm", diameter), func(t *testing.T) {
			dir := t.TempDir()
			name := filepath.Join(dir, "job.yaml")
			text := fmt.Sprintf(`engine: {turns: clockwise}
part: {marks_on: part, diameter: %g mm}
readout: {step: 0.1, counts: up, quarter_turn: [10, 100]}
limits: {tolerance: 0.5, remount: ± 0.05, placement: 0.05 mm}
marks: [{name: TDC, at: 0}, {name: fire, at: 14 BTDC}]
setups:
  - stop: {forward: [338.0, 338.1, 338.0, 338.1], backward: [22.0, 21.9, 22.0, 21.9]}
    marks: {TDC: [0, 0, 0], fire: [%[2]g, %[2]g, %[2]g]}
`, diameter, 346+late)
			if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
			pdf := filepath.Join(dir, "strip.pdf")
			if _, trouble, status := call(t, "", "strip", name, "--force", "--output", pdf); status != 0 {
				t.Fatal(trouble)
			}
			// The foot, where the check line is: sheets are 297 by 210 mm.
			checks := map[float64]bool{100: false, 101.6: false} // 4 in of 25.4 mm
			for _, row := range render(t, pdf, 1, 195.5, 198) {
				for _, run := range darkRuns(row) {
					for want := range checks {
						checks[want] = checks[want] || math.Abs(run.long()-stroke-want) <= within
					}
				}
			}
			for want, found := range checks {
				if !found {
					t.Errorf("no check line measures %g mm", want)
				}
			}
			want := math.Pi * (diameter + 0.1) * late / 360
			rows := render(t, pdf, 1, 18, 128) // where the strip is, above its steps
			edge, from := 0, dark{}            // its working edge: the lowest line as long as that
			for i, row := range rows {
				for _, run := range darkRuns(row) {
					if run.long() > 65 {
						edge, from = i, run
					}
				}
			}
			seen := 0
			for _, row := range rows[edge+toDots(2.6) : edge+toDots(3.8)] {
				// Below the edge, in the waste, the old line and the new one run on alone.
				var beside []dark
				for _, run := range darkRuns(row) {
					if run.left > from.left && run.right < from.right {
						beside = append(beside, run)
					}
				}
				if len(beside) == 2 {
					seen++
					if got := beside[1].middle() - beside[0].middle(); math.Abs(got-want) > within {
						t.Fatalf("the lines are %.3f mm apart, want %.3f", got, want)
					}
				}
			}
			if seen < 20 {
				t.Errorf("both lines alone are seen in %d rows", seen)
			}
		})
	}
}

// toDots is how many there are, at 1200 to the inch, in so many millimetres.
func toDots(mm float64) int { return int(mm * dotsPerMillimetre) }

const dotsPerMillimetre = 1200 / 25.4

// render returns the dots of a page between two heights, darker than
// half, row by row.
func render(t *testing.T, pdf string, page int, top, bottom float64) [][]bool {
	t.Helper()
	c := exec.Command("pdftoppm", "-gray", "-singlefile", "-f", fmt.Sprint(page), "-r", "1200", "-x", "0", "-y", fmt.Sprint(toDots(top)),
		"-W", fmt.Sprint(toDots(297)), "-H", fmt.Sprint(toDots(bottom-top)), pdf)
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	r := bufio.NewReader(bytes.NewReader(out))
	var width, height, most int
	if _, err := fmt.Fscanf(r, "P5\n%d %d\n%d\n", &width, &height, &most); err != nil {
		t.Fatal(err)
	}
	rows := make([][]bool, height)
	for i := range rows {
		row := make([]byte, width)
		if _, err := io.ReadFull(r, row); err != nil {
			t.Fatal(err)
		}
		rows[i] = make([]bool, width)
		for j, grey := range row {
			rows[i][j] = int(grey) < most/2
		}
	}
	return rows
}

// dark is a run of dark dots in a row, in millimetres.
type dark struct{ left, right float64 }

func (d dark) long() float64 { return d.right - d.left }

func (d dark) middle() float64 { return (d.left + d.right) / 2 }

// darkRuns are all that is dark in a row.
func darkRuns(row []bool) []dark {
	var all []dark
	start := -1
	for x, is := range row {
		switch {
		case is && start < 0:
			start = x
		case !is && start >= 0:
			all = append(all, dark{float64(start) / dotsPerMillimetre, float64(x) / dotsPerMillimetre})
			start = -1
		}
	}
	return all
}
