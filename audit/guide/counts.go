package guide

import (
	"slices"
	"strconv"

	"markaudit/audit/sheet/readings"
)

func (k kept) last() *readings.Row {
	if len(k.rows) == 0 {
		return nil
	}
	return &k.rows[len(k.rows)-1]
}

// inSetup returns the rows of the current setup.
func (k kept) inSetup() []readings.Row { return k.of(k.setup) }

func (k kept) of(setup string) []readings.Row {
	var out []readings.Row
	for _, r := range k.rows {
		if r.Setup == setup {
			out = append(out, r)
		}
	}
	return out
}

// inMounting returns the rows of all setups that share the mounting of the
// current one.
func (k kept) inMounting() []readings.Row {
	if k.mounting == "" {
		return k.inSetup()
	}
	same := map[string]bool{k.setup: true} // only looked up
	for _, r := range k.rows {
		same[r.Setup] = same[r.Setup] || r.Mounting == k.mounting
	}
	var out []readings.Row
	for _, r := range k.rows {
		if same[r.Setup] {
			out = append(out, r)
		}
	}
	return out
}

// freshSetup names a setup that is not there yet.
func (k kept) freshSetup() string {
	most, names := 0, map[string]bool{}
	for _, r := range k.rows {
		names[r.Setup] = true
		if n, err := strconv.Atoi(r.Setup); err == nil {
			most = max(most, n)
		}
	}
	for n := max(most, len(names)) + 1; ; n++ {
		if name := strconv.Itoa(n); !names[name] {
			return name
		}
	}
}

// usable counts the pairs of the current setup that can be used.
func (k kept) usable() int {
	sides := map[string]int{}
	struck := map[string]bool{}
	for _, r := range k.inSetup() {
		if r.Item == "stop" || r.Item == "drop" && r.Side != "" {
			sides[r.Trial]++
			struck[r.Trial] = struck[r.Trial] || r.Struck != ""
		}
	}
	n := 0
	for trial, contacts := range sides {
		if contacts == 2 && !struck[trial] {
			n++
		}
	}
	return n
}

// closing reports which contacts of the closing pair are there.
func (k kept) closing() (there [2]bool) {
	for _, r := range k.inSetup() {
		if r.Item == "closing" {
			there[approachOf(r.Approach)-1] = true
		}
	}
	return there
}

// timesRead counts the readings of a line that can be used, from one mounting of
// the readout.
func (k kept) timesRead(name string) int {
	n := 0
	for _, r := range k.inMounting() {
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

func (k kept) pointsRead() int {
	n := 0
	for _, r := range k.inSetup() {
		if r.Item == "sweep" && r.Height != "" && r.Struck == "" {
			n++
		}
	}
	return n
}

func (k kept) freeTrial(item string, n int) string {
	for ; ; n++ {
		name := strconv.Itoa(n)
		if !slices.ContainsFunc(k.inSetup(), func(r readings.Row) bool { return r.Item == item && r.Trial == name }) {
			return name
		}
	}
}

// topsRead counts the readings of the top that can be used.
func (k kept) topsRead() int {
	n := 0
	for _, r := range k.inSetup() {
		if r.Item == "top" && r.Struck == "" {
			n++
		}
	}
	return n
}
