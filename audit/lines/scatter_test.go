package lines

import (
	"math"
	"testing"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

func read(n int) []Line {
	out := make([]Line, n)
	for i := range out {
		out[i] = Line{Seen: []Seen{{}}}
		out[i].Name = string(rune('A' + i))
	}
	return out
}

// Lines that were read seldom borrow at most four degrees of freedom from the lines
// that were read more often: 0.12 on 1 beside 0.10 on 13 comes to 0.104307238 on 5
// (check value of the rule, another program).
func TestSparseLinesBorrow(t *testing.T) {
	lines := read(4) // read once, twice, five and ten times
	shareScatter(lines, []stats.Scatter{{}, {Variance: 0.0144, DOF: 1}, {Variance: 0.01, DOF: 4}, {Variance: 0.01, DOF: 9}}, 0.001)
	want := Scatter{SD: 0.104307238, DOF: 5, Lent: 4, Shared: true, Pooled: true}
	for i := range 2 {
		got := lines[i].Scatter
		if math.Abs((got.SD - want.SD).Degrees()) > 1e-9 {
			t.Errorf("%s: scatter %v, want %v", lines[i].Name, got.SD, want.SD)
		}
		if got.SD = want.SD; got != want {
			t.Errorf("%s: %+v, want %+v", lines[i].Name, got, want)
		}
	}
	for i, dof := range map[int]float64{2: 4, 3: 9} {
		if got := lines[i].Scatter; got != (Scatter{SD: 0.1, DOF: dof}) {
			t.Errorf("%s: %+v, want its own", lines[i].Name, got)
		}
	}
}

func TestWhoLendsAndWhoDoesNot(t *testing.T) {
	for _, c := range []struct {
		name    string
		spreads []stats.Scatter
		want    []Scatter
	}{
		{
			"a pool of four needs nothing",
			[]stats.Scatter{{Variance: 0.01, DOF: 2}, {Variance: 0.01, DOF: 2}, {Variance: 1e-4, DOF: 9}},
			[]Scatter{{SD: 0.1, DOF: 4, Shared: true, Pooled: true}, {SD: 0.1, DOF: 4, Shared: true, Pooled: true}, {SD: 0.01, DOF: 9}},
		},
		{
			"read once beside a line of four",
			[]stats.Scatter{{}, {Variance: 0.01, DOF: 4}},
			[]Scatter{{SD: 0.1, DOF: 4, Lent: 4, Shared: true, Pooled: true}, {SD: 0.1, DOF: 4}},
		},
		{
			"one line alone",
			[]stats.Scatter{{Variance: 0.01, DOF: 1}},
			[]Scatter{{SD: 0.1, DOF: 1, Shared: true}},
		},
		{"nothing repeated", []stats.Scatter{{}, {}}, []Scatter{{Shared: true, Pooled: true}, {Shared: true, Pooled: true}}},
	} {
		lines := read(len(c.spreads))
		shareScatter(lines, c.spreads, 0.001)
		for i, want := range c.want {
			got := lines[i].Scatter
			if math.Abs((got.SD - want.SD).Degrees()) > 1e-12 {
				t.Errorf("%s, line %d: scatter %v, want %v", c.name, i, got.SD, want.SD)
			}
			if got.SD = want.SD; got != want {
				t.Errorf("%s, line %d: %+v, want %+v", c.name, i, got, want)
			}
		}
	}
}

// A line of few readings that scatters far more than its like keeps its own.
func TestALooseLineKeepsItsOwn(t *testing.T) {
	spreads := []stats.Scatter{{Variance: 100, DOF: 3}, {Variance: 0.01, DOF: 3}, {Variance: 0.01, DOF: 3}, {Variance: 0.01, DOF: 2}}
	lines := read(4)
	warnings := shareScatter(lines, spreads, 0.001)
	if got := lines[0].Scatter; got != (Scatter{SD: 10, DOF: 3}) || len(warnings) != 1 || warnings[0].Mark != "A" {
		t.Errorf("%+v, %+v", got, warnings)
	}
	lines = read(4)
	if warnings := shareScatter(lines, spreads, geometry.Angle(20)); len(warnings) != 0 || !lines[0].Scatter.Pooled {
		t.Errorf("below the step: %+v, %+v", lines[0].Scatter, warnings)
	}
}
