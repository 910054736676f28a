package guide

import (
	"slices"
	"strconv"

	"markaudit/audit/sheet/readings"
)

// unpaired is the index of the contact that waits for its partner, or -1.
func (s State) unpaired() int {
	if s.onDial() {
		return -1
	}
	last := -1
	for i, r := range s.rows {
		if r.Setup != s.setup || !isContact(r.Item) && r.Side == "" || r.Struck != "" {
			continue
		}
		partner := slices.ContainsFunc(s.rows, func(o readings.Row) bool {
			return o.Setup == r.Setup && o.Item == r.Item && o.Trial == r.Trial && (o.Approach != r.Approach || o.Side != r.Side)
		})
		if !partner {
			last = i
		}
	}
	return last
}

// Waits reports whether a contact waits for the other one of its pair, so that
// the latest reading tells nothing yet.
func (s State) Waits() bool { return s.unpaired() >= 0 }

// usable counts the pairs of the current setup that can be used.
func (s State) usable() int {
	sides := map[string]int{}
	struck := map[string]bool{}
	for _, r := range s.inSetup() {
		if r.Item == "stop" || r.Item == "drop" && r.Side != "" {
			sides[r.Trial]++
			struck[r.Trial] = struck[r.Trial] || r.Struck != ""
		}
	}
	n := 0
	for trial, k := range sides {
		if k == 2 && !struck[trial] {
			n++
		}
	}
	return n
}

// closing reports which contacts of the closing pair are there.
func (s State) closing() (there [2]bool) {
	for _, r := range s.inSetup() {
		if r.Item == "closing" {
			there[approachOf(r.Approach)-1] = true
		}
	}
	return there
}

// timesRead counts the readings of a line that can be used, from one mounting of
// the readout.
func (s State) timesRead(name string) int {
	n := 0
	for _, r := range s.inMounting() {
		if r.Item == name && r.Side == "" && r.Height == "" && r.Struck == "" {
			n++
		}
	}
	return n
}

// LeastPoints is how many points of a sweep tell anything: what the fit of two
// unknowns and a judgement of it take. Common practice, no source.
const LeastPoints = 5

// mostPoints is how many are asked for.
const mostPoints = 9

func (s State) pointsRead() int {
	n := 0
	for _, r := range s.inSetup() {
		if r.Item == "sweep" && r.Height != "" && r.Struck == "" {
			n++
		}
	}
	return n
}

func (s State) freeTrial(item string, n int) string {
	for ; ; n++ {
		name := strconv.Itoa(n)
		if !slices.ContainsFunc(s.inSetup(), func(r readings.Row) bool { return r.Item == item && r.Trial == name }) {
			return name
		}
	}
}
