package qualify

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

const (
	slipLevel = 0.01 // of all readings of a study together
	mostSlips = 3    // of one tool; after so many the study is to be looked through anyway
	deepApart = 6    // times the scatter of half arcs from which two stops are told apart by them
)

// Slip is a pair of contacts that cannot belong where it is written.
type Slip struct {
	Exchanged    bool // written under the other tool's name
	Tool         Tool
	Setup, Trial string
	Suspects     []sheet.Approach // contacts; nil: the pair, and both of two pairs accuse each other
	By           geometry.Angle   // how far the contact lies from where the others let expect it; not where Exchanged
	Probability  float64          // of one as far out, from scatter alone; not where Exchanged
	Lines        []int            // of the file; nil where the study has none
	trial        int              // into the study
}

// slips looks for what cannot belong, before anything is concluded: labels that
// were exchanged first, for they move middles and half arcs both.
func (s *comparison) slips() {
	out := map[int]bool{} // trials that are named; only looked up
	s.exchanged(out)
	for _, t := range []Tool{ReferenceTool, NewTool} {
		for range mostSlips {
			if !s.standsOut(t, out) {
				break
			}
		}
	}
	slices.SortStableFunc(s.Slips, func(a, b Slip) int { return a.trial - b.trial })
	s.tellSlips()
}

// halves are the half arcs of a tool in degrees, all setups.
func (s *comparison) halves(t Tool) (arcs []float64) {
	for i := range s.Setups {
		arcs = append(arcs, degrees(s.Setups[i].cell(t).HalfArcs)...)
	}
	return arcs
}

// exchanged names pairs whose half arc is that of the other stop. It can tell only
// where the two sit differently deep.
func (s *comparison) exchanged(out map[int]bool) {
	arcs := [2][]float64{s.halves(ReferenceTool), s.halves(NewTool)}
	if len(arcs[0]) == 0 || len(arcs[1]) == 0 {
		return
	}
	var middle [2]float64
	scatter := s.Step.Degrees() / math.Sqrt(24)
	for t, all := range arcs {
		middle[t] = stats.Median(all)
		off := make([]float64, len(all))
		for i, a := range all {
			off[i] = math.Abs(a - middle[t])
		}
		// 1.4826 times the median deviation is the standard deviation of normal
		// values. The looser of the two counts: its pairs may stray to the other's.
		scatter = max(scatter, 1.4826*stats.Median(off))
	}
	if math.Abs(middle[0]-middle[1]) < deepApart*scatter {
		s.warn(Warning{Code: LabelsUnchecked})
		return
	}
	for i := range s.Setups {
		for t := range arcs {
			c := s.Setups[i].cell(Tool(t))
			for j, a := range degrees(c.HalfArcs) {
				if math.Abs(a-middle[1-t]) < math.Abs(a-middle[t]) {
					trial := s.trials[c.at[j]]
					out[c.at[j]] = true
					s.Slips = append(s.Slips, Slip{
						Exchanged: true, Tool: Tool(t), Setup: trial.Setup, Trial: trial.Name,
						Lines: trial.lines(), trial: c.at[j],
					})
				}
			}
		}
	}
}

// standsOut names the pair of a tool whose middle or half arc stands out most from
// those of its setup, and reports whether one does. Both see a slip of one
// contact, each by half of it.
func (s *comparison) standsOut(t Tool, out map[int]bool) bool {
	var middles, halves [][]float64
	var at [][]int
	for i := range s.Setups {
		c := s.Setups[i].cell(t)
		var m, h []float64
		var where []int
		for j, trial := range c.at {
			if !out[trial] {
				m, h, where = append(m, c.Middles[j].Degrees()), append(h, c.HalfArcs[j].Degrees()), append(where, trial)
			}
		}
		middles, halves, at = append(middles, m), append(halves, h), append(at, where)
	}
	looked := 2 * (s.Trials[ReferenceTool] + s.Trials[NewTool]) // middles and half arcs
	floor := s.Step.Degrees() / math.Sqrt(24)
	found := stats.StandsOut(middles, floor, looked)
	if half := stats.StandsOut(halves, floor, looked); half.P < found.P {
		found = half
	}
	if found.Index == nil || found.P >= slipLevel {
		return false
	}
	for _, j := range found.Index {
		trial := s.trials[at[found.Cell][j]]
		slip := Slip{Tool: t, Setup: trial.Setup, Trial: trial.Name, Probability: found.P, trial: at[found.Cell][j]}
		m, h := apart(middles[found.Cell], j), apart(halves[found.Cell], j)
		forward, backward := float64(s.Counts)*m-h, float64(s.Counts)*m+h
		slip.By = geometry.Angle(math.Max(math.Abs(forward), math.Abs(backward)))
		// One contact is off by all of it, and the other by little.
		switch {
		case len(found.Index) > 1:
		case math.Abs(forward) > 3*math.Abs(backward):
			slip.Suspects = []sheet.Approach{sheet.Forward}
		case math.Abs(backward) > 3*math.Abs(forward):
			slip.Suspects = []sheet.Approach{sheet.Backward}
		}
		slip.Lines = trial.lines(slip.Suspects...)
		s.Slips = append(s.Slips, slip)
		out[slip.trial] = true
	}
	return true
}

// apart is by how much a value lies above the mean of the others.
func apart(x []float64, which int) float64 {
	mean, _ := stats.MeanStdDev(slices.Delete(slices.Clone(x), which, which+1))
	return x[which] - mean
}

// lines are those of some contacts of a trial, of both without any.
func (t Trial) lines(of ...sheet.Approach) (lines []int) {
	for _, contact := range []*sheet.Reading{t.Forward, t.Backward} {
		if contact != nil && (len(of) == 0 || slices.Contains(of, contact.Approach)) {
			if line := t.Lines[contact.Approach]; line > 0 {
				lines = append(lines, line)
			}
		}
	}
	return lines
}

// tellSlips turns slips into warnings: one for each that stands out, one for all
// that are exchanged.
func (s *comparison) tellSlips() {
	exchanged := Warning{Code: LabelsExchanged}
	var arcs [2][]float64
	named := map[int]bool{}
	for _, slip := range s.Slips {
		if slip.Exchanged {
			exchanged.Lines = append(exchanged.Lines, slip.Lines...)
			named[slip.trial] = true
			continue
		}
		s.warn(Warning{Code: StandsOut, Setup: slip.Setup, Trial: slip.Trial, Tool: slip.Tool.String(), Values: []float64{slip.By.Degrees()}, Lines: slip.Lines})
	}
	if len(named) == 0 {
		return
	}
	var others [2][]float64
	for i := range s.Setups {
		for t := range arcs {
			c := s.Setups[i].cell(Tool(t))
			for j, a := range degrees(c.HalfArcs) {
				if named[c.at[j]] {
					arcs[t] = append(arcs[t], a)
				} else {
					others[t] = append(others[t], a)
				}
			}
		}
	}
	for _, all := range [][]float64{arcs[0], arcs[1], others[0], others[1]} {
		value := math.NaN()
		if len(all) > 0 {
			value = stats.Median(all)
		}
		exchanged.Values = append(exchanged.Values, value)
	}
	slices.Sort(exchanged.Lines)
	s.warn(exchanged)
}
