package repeatability

import (
	"slices"

	"markaudit/audit/internal/enum"
	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// Value is one value: how far one person, at one trial, found one mark from
// where it belongs. Positive is late. Trials count from 1; those of one person
// and mark may have gaps.
type Value struct {
	By, Mark string
	Value    geometry.Angle
	Trial    int
}

// Setup is what one person's setup shows beside its values.
type Setup struct {
	By       string
	Stop     bool             // TDC was found with a stop: HalfArcs are of one depth
	Middles  []geometry.Angle // of the pairs of contacts, in order; unwrapped
	HalfArcs []geometry.Angle
	// Sides is, for each mark read from both sides, by how much it was found
	// later when approached forward than backward.
	Sides []geometry.Angle
	// Places are readings that were taken independently of each other but for
	// the readout's zero: the first of each mark and of each kind of contact.
	Places []geometry.Angle
	Top    geometry.Angle // reading at TDC
}

// Each says what a value is.
type Each uint8

// Given: as the file says. PerSetup: the offset that one setup found for the
// mark. PerReading: the offset by one reading, all with the TDC of their setup.
const (
	Given Each = iota
	PerSetup
	PerReading
)

var eachWords = []string{"given", "per setup", "per reading"}

func (e Each) String() string { return enum.Word(eachWords, e) }

var poolingWords = []string{"auto", "always", "never"}

func (p Pooling) String() string { return enum.Word(poolingWords, p) }

// Data is a study.
type Data struct {
	Values    []Value
	Lines     []int // of the file, value by value; nil where there is none
	Each      Each
	Setups    []Setup        // of a sheet
	Nameless  int            // setups that say nothing of who took them
	Step      geometry.Angle // of the readout; zero if not known
	Tolerance geometry.Angle // each way; zero if none is stated

	Known         []Known  // marks of which the truth is known from elsewhere
	People, Marks []Alias  // names that were written in another way too
	Absent        []string // who was expected and measured nothing; in no count
	AsRead        bool     // values that a slip of the pen explains were looked up: they count as they are
	Digest        string   // SHA-256 of the file, hexadecimal; empty for a sheet
	Texts         []string // the values as they are written, value by value; nil where not known
}

// Known is where a mark truly is, known from elsewhere, with its expanded
// uncertainty at 95 %.
type Known struct {
	Mark            string
	Value, Expanded geometry.Angle
}

// Anonymous returns the study with people named A, B, C and so on, in the order
// in which they appear.
func (d Data) Anonymous() Data {
	letters := map[string]string{}
	letter := func(by string) string {
		l, ok := letters[by]
		if !ok {
			n := len(letters)
			for l = string(rune('A' + n%26)); n >= 26; l = string(rune('A'+n%26)) + l {
				n = n/26 - 1
			}
			letters[by] = l
		}
		return l
	}
	d.Values, d.Setups = slices.Clone(d.Values), slices.Clone(d.Setups)
	for i := range d.Values {
		d.Values[i].By = letter(d.Values[i].By)
	}
	for i := range d.Setups {
		d.Setups[i].By = letter(d.Setups[i].By)
	}
	d.People, d.Absent = nil, nil // names are left out everywhere
	return d
}

// cell is what one person found of one mark.
type cell struct {
	by, mark int
	values   []float64 // differences from the study's first value, by trial
	trials   []int
	mean     float64
	squares  float64 // of the deviations from mean
}

// alike reports whether no two values differ.
func (c *cell) alike() bool {
	return slices.Max(c.values)-slices.Min(c.values) < geometry.Tie.Degrees()
}

func (c *cell) n() float64 { return float64(len(c.values)) }

// table is the study by people and marks.
type table struct {
	people, marks []string
	cells         []cell // in the order of people, then marks; only those with values
	grid          []int  // index into cells by person and mark, or -1
	values        int
}

func tabulate(values []Value) *table {
	t := &table{values: len(values)}
	person, mark := map[string]int{}, map[string]int{}
	index := func(name string, known map[string]int, names *[]string) int {
		i, ok := known[name]
		if !ok {
			i = len(*names)
			known[name], *names = i, append(*names, name)
		}
		return i
	}
	at := make([][2]int, len(values))
	for i, v := range values {
		at[i] = [2]int{index(v.By, person, &t.people), index(v.Mark, mark, &t.marks)}
	}
	counts := make([]int, len(t.people)*len(t.marks))
	for _, x := range at {
		counts[x[0]*len(t.marks)+x[1]]++
	}
	t.grid = make([]int, len(counts))
	for i, n := range counts {
		t.grid[i] = -1
		if n > 0 {
			t.grid[i] = len(t.cells)
			t.cells = append(t.cells, cell{by: i / len(t.marks), mark: i % len(t.marks), values: make([]float64, 0, n), trials: make([]int, 0, n)})
		}
	}
	for i, v := range values {
		c := &t.cells[t.grid[at[i][0]*len(t.marks)+at[i][1]]]
		// What is common to all values is of no interest, and would take digits.
		c.values = append(c.values, (v.Value - values[0].Value).Degrees())
		c.trials = append(c.trials, v.Trial)
	}
	for i := range t.cells {
		c := &t.cells[i]
		c.sort()
		if c.alike() {
			c.mean = c.values[0]
			for j := range c.values {
				c.values[j] = c.mean // what computing left behind is no scatter
			}
			continue
		}
		m, s := stats.MeanStdDev(c.values)
		c.mean, c.squares = m, s*s*(c.n()-1)
	}
	return t
}

// sort brings the values into the order of their trials, so that the order of
// rows changes nothing.
func (c *cell) sort() {
	if slices.IsSorted(c.trials) {
		return
	}
	order := make([]int, len(c.trials))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return c.trials[i] - c.trials[j] })
	values, trials := make([]float64, len(order)), make([]int, len(order))
	for i, o := range order {
		values[i], trials[i] = c.values[o], c.trials[o]
	}
	c.values, c.trials = values, trials
}

func (t *table) cell(by, mark int) *cell {
	if i := t.grid[by*len(t.marks)+mark]; i >= 0 {
		return &t.cells[i]
	}
	return nil
}

// balanced returns the number of values in every cell, or 0 where they differ or
// a cell is empty.
func (t *table) balanced() int {
	if len(t.cells) != len(t.grid) {
		return 0
	}
	n := len(t.cells[0].values)
	for i := range t.cells {
		if len(t.cells[i].values) != n {
			return 0
		}
	}
	return n
}

// squaresWithin returns the squares of the deviations within cells and their degrees of
// freedom.
func (t *table) squaresWithin() (squares, dof float64) {
	for i := range t.cells {
		squares += t.cells[i].squares
	}
	return squares, float64(t.values - len(t.cells))
}

// connected reports whether all people can be compared with each other: through
// marks that they share, if not directly.
func (t *table) connected() bool {
	seen := make([]bool, len(t.people)+len(t.marks))
	queue := []int{0}
	seen[0] = true
	reached := 0
	visit := func(i int) {
		if !seen[i] {
			seen[i] = true
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		at := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		reached++
		if at < len(t.people) {
			for m := range t.marks {
				if t.cell(at, m) != nil {
					visit(len(t.people) + m)
				}
			}
			continue
		}
		for p := range t.people {
			if t.cell(p, at-len(t.people)) != nil {
				visit(p)
			}
		}
	}
	return reached == len(seen)
}

// meet reports whether two people have a trial of some mark both.
func (t *table) meet(a, b int) bool {
	for m := range t.marks {
		x, y := t.cell(a, m), t.cell(b, m)
		if x == nil || y == nil {
			continue
		}
		if slices.ContainsFunc(x.trials, func(n int) bool {
			_, both := slices.BinarySearch(y.trials, n)
			return both
		}) {
			return true
		}
	}
	return false
}

// only is the table with some of its people, and where each of them was.
func (t *table) only(keep []bool) (*table, []int) {
	out := &table{marks: t.marks}
	var index []int
	place := make([]int, len(t.people))
	for i, by := range t.people {
		place[i] = len(out.people)
		if keep[i] {
			out.people, index = append(out.people, by), append(index, i)
		}
	}
	out.grid = make([]int, len(out.people)*len(t.marks))
	for i := range out.grid {
		out.grid[i] = -1
	}
	for i := range t.cells {
		c := t.cells[i]
		if !keep[c.by] {
			continue
		}
		c.by = place[c.by]
		out.grid[c.by*len(t.marks)+c.mark] = len(out.cells)
		out.cells = append(out.cells, c)
		out.values += len(c.values)
	}
	return out, index
}
