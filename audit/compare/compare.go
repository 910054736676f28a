package compare

import (
	"fmt"
	"slices"
	"time"

	"markaudit/audit"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Comparison is what two or more audits of one part say of each other, in the
// order of their dates where all have one, else in the order given.
type Comparison struct {
	Audits  []audit.Result
	Order   []int       // where each audit stood among the arguments
	Taken   []time.Time // the zero time where an audit has no date
	Changes []Change    // of single lines, from each audit to the next that read them
	Steps   []Step      // of all lines together, from each audit to the next
	Trends  []Trend     // of lines with three dates or more, then of all together
	LeftOut []string    // lines that are not declared alike in all audits
}

// Change is how much later a line comes up in a later audit.
type Change struct {
	Mark       string
	From, To   int // indexes into Audits
	Difference uncertainty.Estimate
	P          *float64 // probability of a change as large if there was none; nil where it is not known
	Differs    bool     // P, times the number of lines compared in this step, is below 5 %
	Moved      bool     // a readout moved in one of the two, so nothing is known of the change
	Scribed    bool     // the earlier audit sent someone to scribe this line anew
	Meant      geometry.Angle
	AsMeant    bool // the change is what was meant, as far as can be told
}

// Step is what the lines did together from one audit to the next.
type Step struct {
	From, To    int
	lines.Shift // Finding and Common are of the changes
	Cause       Cause
	Parts       []Part
}

// Trend is how fast a line, or all of them, come later.
type Trend struct {
	Mark    string // empty: all lines together
	PerYear uncertainty.Estimate
	Rising  bool // the interval leaves out zero
}

// Sheets audits sheets of one part and holds the audits against each other. The
// error is of type [inputerror.List] where a sheet cannot be audited, and of type
// [*geometry.Refusal] where the sheets are of different things.
func Sheets(sheets []sheet.Sheet) (Comparison, error) {
	if err := onePart(sheets); err != nil {
		return Comparison{}, err
	}
	all := make([]audit.Result, len(sheets))
	for i, s := range sheets {
		r, err := audit.Run(s)
		if err != nil {
			return Comparison{}, err
		}
		all[i] = r
	}
	return Audits(all)
}

// Audits holds audits of one part against each other, results of today or read
// back. The error is of type [*geometry.Refusal].
func Audits(all []audit.Result) (Comparison, error) {
	var c Comparison
	sheets := make([]sheet.Sheet, len(all))
	for i, r := range all {
		sheets[i] = r.Sheet
	}
	if err := onePart(sheets); err != nil {
		return c, err
	}
	for _, i := range c.arrange(sheets) {
		c.Audits = append(c.Audits, all[i])
	}
	names := c.names()
	for i := 1; i < len(c.Audits); i++ {
		c.step(i-1, i)
	}
	for _, name := range names {
		c.change(name)
	}
	c.test()
	for _, name := range names {
		addTrend(&c, name, []string{name})
	}
	addTrend(&c, "", c.inAll(names))
	return c, nil
}

// onePart refuses audits whose offsets cannot be compared.
func onePart(sheets []sheet.Sheet) error {
	if len(sheets) < 2 {
		return &geometry.Refusal{Text: "found one sheet, expected at least two of one part"}
	}
	first := sheets[0]
	for i, s := range sheets[1:] {
		for _, d := range []struct {
			key      string
			one, two any
			differ   bool
		}{
			{"part.marks_on", first.Part.MarksOn, s.Part.MarksOn, first.Part.MarksOn != s.Part.MarksOn},
			{"engine.turns", first.Engine.Turns, s.Engine.Turns, first.Engine.Turns != s.Engine.Turns},
			{"part.number", first.Part.Number, s.Part.Number, first.Part.Number != "" && s.Part.Number != "" && first.Part.Number != s.Part.Number},
			{"engine.number", first.Engine.Number, s.Engine.Number, first.Engine.Number != "" && s.Engine.Number != "" && first.Engine.Number != s.Engine.Number},
		} {
			if d.differ {
				return &geometry.Refusal{
					Text: fmt.Sprintf("found another %s on sheet %d than on the first, expected sheets of one part", d.key, i+2),
					Hint: "compare audits of the same part on the same engine",
				}
			}
		}
	}
	return nil
}

// arrange puts the sheets into the order of their dates.
func (c *Comparison) arrange(sheets []sheet.Sheet) []int {
	dated := true
	taken := make([]time.Time, len(sheets))
	for i := range sheets {
		day, ok := sheets[i].Taken()
		taken[i], dated = day, dated && ok
		c.Order = append(c.Order, i)
	}
	if dated {
		slices.SortStableFunc(c.Order, func(i, j int) int { return taken[i].Compare(taken[j]) })
	}
	for _, i := range c.Order {
		c.Taken = append(c.Taken, taken[i])
	}
	return c.Order
}

// Names are the lines of all audits, in the order in which they first appear.
func (c Comparison) Names() (names []string) {
	seen := map[string]bool{} // only looked up
	for _, r := range c.Audits {
		for _, m := range r.Lines {
			if !seen[m.Name] {
				seen[m.Name] = true
				names = append(names, m.Name)
			}
		}
	}
	return names
}

// names are the lines that mean one line in every audit that declares them.
func (c *Comparison) names() []string {
	var names []string
	at := map[string]geometry.Angle{} // only looked up
	odd := map[string]bool{}
	for _, r := range c.Audits {
		for _, m := range r.Lines {
			if where, ok := at[m.Name]; !ok {
				names = append(names, m.Name)
				at[m.Name] = m.At
			} else if (where - m.At).Wrap().Abs() > geometry.Tie {
				odd[m.Name] = true
			}
		}
	}
	return slices.DeleteFunc(names, func(n string) bool {
		if odd[n] {
			c.LeftOut = append(c.LeftOut, n)
		}
		return odd[n]
	})
}

func (c *Comparison) inAll(names []string) (all []string) {
	for _, n := range names {
		read := true
		for i := range c.Audits {
			read = read && c.line(i, n) >= 0
		}
		if read {
			all = append(all, n)
		}
	}
	return all
}

// line is the index of a line in an audit, -1 where it has no offset there.
func (c *Comparison) line(at int, name string) int {
	return slices.IndexFunc(c.Audits[at].Lines, func(l lines.Line) bool { return l.Name == name && l.Offset != nil })
}
