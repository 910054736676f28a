package report

import (
	"fmt"
	"io"
	"strings"
	"time"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
)

// Comparison turns audits of one part into a document: what changed first, then
// what to look at, then line by line. Paths are those of the sheets as given.
func Comparison(c audit.Comparison, paths []string, o document.Options) document.Doc {
	v := comparing{c: c, paths: paths}
	d := document.Doc{document.Heading{Text: v.title()}}
	d = append(d, document.Sentence{Lead: "WHAT CHANGED"}, document.Steps{Items: v.steps()}, document.Space{}, document.Sentence{Lead: "LINE BY LINE"}, v.lines())
	if trends := v.trends(); len(trends) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "OVER THE YEARS", Text: strings.Join(trends, " ")})
	}
	d = append(d, document.Space{}, document.Sentence{Text: v.meaning()})
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// comparing says a comparison in sentences.
type comparing struct {
	c     audit.Comparison
	paths []string
}

// title names the part, and how many audits there are of it.
func (v comparing) title() string {
	last := v.c.Audits[len(v.c.Audits)-1].Sheet
	title := last.Title
	if title == "" {
		title = last.Part.Name
	}
	return strings.TrimPrefix(clean(title)+", ", ", ") + rounding.Count(len(v.c.Audits), "audit", "audits")
}

// name is how an audit is called: by its day, else by its sheet.
func (v comparing) name(i int) string {
	if t := v.c.Taken[i]; !t.IsZero() {
		day := t.Format(time.DateOnly)
		for j, other := range v.c.Taken {
			if j != i && other.Equal(t) { // twice on one day
				return day + " (" + clean(v.paths[v.c.Order[i]]) + ")"
			}
		}
		return day
	}
	return clean(v.paths[v.c.Order[i]])
}

// steps is what changed, most important first: what the lines did together, and
// whether lines that were to be scribed anew came up as meant.
func (v comparing) steps() []string {
	var out []string
	for _, s := range v.c.Steps {
		out = append(out, v.step(s))
	}
	for _, ch := range v.c.Changes {
		if !ch.Scribed {
			continue
		}
		e := ch.Difference
		text := fmt.Sprintf("%s was to be scribed anew after %s, to come up %s", clean(ch.Mark), v.name(ch.From), rounding.Later(ch.Meant, rounding.Places(e.Expanded.Degrees())))
		switch {
		case ch.Moved:
			text += ". Whether it does cannot be told: a readout moved during one of the two audits."
		case !e.Known:
			text += fmt.Sprintf("; it comes up %s now, and nothing shows how sure that is.", rounding.Later(e.Value, rounding.Unsure))
		case ch.AsMeant:
			text += fmt.Sprintf(", and comes up %s: as meant.", rounding.LaterSure(e.Value, e.Expanded))
		default:
			text += fmt.Sprintf(", but comes up %s: NOT as meant.", rounding.LaterSure(e.Value, e.Expanded))
		}
		out = append(out, text)
	}
	return out
}

// step says what the lines did together.
func (v comparing) step(s audit.Step) string {
	between := "From " + v.name(s.From) + " to " + v.name(s.To) + ": "
	moved := func() string {
		e := s.Common
		return rounding.LaterSure(e.Value, e.Expanded)
	}
	switch s.Finding {
	case audit.Common:
		return between + fmt.Sprintf("all lines moved together and come up %s. So no line moved: the outer ring slipped on its rubber, the engine pointer was bent or moved, or parts were changed. Look at these; a ring that slips is replaced.", moved())
	case audit.None:
		e := s.Common
		return between + fmt.Sprintf("no change that all lines share; one under %s could hide.", rounding.Degrees(e.Value.Abs()+e.Expanded, rounding.Places(e.Expanded.Degrees())))
	case audit.SingleMark:
		text := between + fmt.Sprintf("%s moved against the others", clean(s.StandsOut[0]))
		if s.Common != nil && s.Shifted {
			return text + "; these moved together and come up " + moved() + "."
		}
		return text + ", which stayed."
	case audit.Individual:
		if len(s.Lines) == 1 {
			return between + fmt.Sprintf("%s comes up %s. One line cannot tell a slipped ring from a line that was changed.", clean(s.Lines[0]), moved())
		}
		return between + "the lines moved, each in its own way: no slipped ring or bent pointer alone does that. Check names and readings."
	}
	if len(s.Lines) == 0 {
		return between + "no line can be compared that was not to be scribed anew in between."
	}
	return between + "what the lines did together cannot be told: a readout moved, or too little was repeated."
}

// lines is one row an audit of each line.
func (v comparing) lines() document.Table {
	t := document.Table{Header: []string{"line", "audit", "off by", "since the one before", ""}}
	seen := map[string]bool{} // only looked up
	for _, r := range v.c.Audits {
		for _, m := range r.Marks {
			if !seen[m.Name] {
				seen[m.Name] = true
				t.Rows = append(t.Rows, v.line(m.Name)...)
			}
		}
	}
	return t
}

func (v comparing) line(name string) (rows [][]string) {
	for i, r := range v.c.Audits {
		for _, m := range r.Marks {
			if m.Name != name || m.Offset == nil {
				continue
			}
			row := []string{clean(name), v.name(i), offset(m.Offset), "", ""}
			for _, ch := range v.c.Changes {
				if ch.Mark != name || ch.To != i {
					continue
				}
				e := ch.Difference
				if !e.Known {
					row[3], row[4] = rounding.Later(e.Value, rounding.Unsure)+" ± ?", "?"
					continue
				}
				row[3] = rounding.LaterSure(e.Value, e.Expanded)
				if ch.Differs {
					row[4] = "CHANGED"
				}
			}
			if len(rows) > 0 {
				row[0] = ""
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// trends says how fast the lines move from year to year.
func (v comparing) trends() []string {
	var out []string
	for _, t := range v.c.Trends {
		e, who := t.PerYear, "All lines together"
		if t.Mark != "" {
			who = clean(t.Mark)
		}
		switch {
		case !e.Known:
			out = append(out, who+": no trend can be judged, for too little was repeated.")
		case t.Rising:
			n := rounding.Places(e.Expanded.Degrees())
			out = append(out, fmt.Sprintf("%s: %s a year, ± %s.", who, rounding.Later(e.Value, n), rounding.TwoDigits(e.Expanded)))
		default:
			n := rounding.Places(e.Expanded.Degrees())
			out = append(out, fmt.Sprintf("%s: no trend beyond its doubt, %s a year, ± %s.", who, rounding.Later(e.Value, n), rounding.TwoDigits(e.Expanded)))
		}
	}
	for _, s := range v.c.Steps {
		if s.Finding == audit.Common && len(out) > 0 {
			return append(out, "All lines moved together at one time, as said above, and that alone makes such a slope.")
		}
	}
	return out
}

// meaning says what ± and CHANGED stand for, and what was left out.
func (v comparing) meaning() string {
	limits := v.c.Audits[len(v.c.Audits)-1].Sheet.Limits
	text := fmt.Sprintf("± holds the true change in %s of cases. CHANGED: so large a change would come up in fewer than 5 %% of comparisons if no line had moved. What audits share, one readout's lost motion or correction, one crank, does not count twice; remounting, stated by one figure for all, counts end to end. Later: the line comes up after where it did.", rounding.Confidence(limits.Confidence))
	for i := range v.c.Audits {
		if v.c.Taken[i].IsZero() {
			text += " Not all sheets have a date, so they stand in the order given."
			break
		}
	}
	if len(v.c.LeftOut) > 0 {
		text += " Not compared, for the sheets do not agree where they belong: " + strings.Join(cleanAll(v.c.LeftOut), ", ") + "."
	}
	return text
}

type jsonComparison struct {
	Format   int           `json:"format"`
	Software string        `json:"software"`
	Audits   []jsonAudited `json:"audits"`
	Steps    []jsonStep    `json:"steps"`
	Changes  []jsonChange  `json:"changes"`
	Trends   []jsonTrend   `json:"trends"`
	LeftOut  []string      `json:"left_out"`
}

type jsonAudited struct {
	Sheet  string  `json:"sheet"`
	Title  string  `json:"title"`
	Date   *string `json:"date"`
	Digest string  `json:"digest"`
}

type jsonStep struct {
	From        int      `json:"from"`
	To          int      `json:"to"`
	Marks       []string `json:"marks"`
	Offset      *float64 `json:"offset_deg"`
	Expanded    *float64 `json:"expanded_uncertainty_deg"`
	Homogeneity *float64 `json:"homogeneity_p"`
	Finding     string   `json:"finding"`
	StandsOut   []string `json:"stands_out"`
	Text        string   `json:"text"`
}

type jsonChange struct {
	Mark     string   `json:"mark"`
	From     int      `json:"from"`
	To       int      `json:"to"`
	Offset   float64  `json:"offset_deg"`
	Expanded *float64 `json:"expanded_uncertainty_deg"`
	P        *float64 `json:"p"`
	Differs  *bool    `json:"differs"`
	Meant    *float64 `json:"meant_deg"`
	AsMeant  *bool    `json:"as_meant"`
}

type jsonTrend struct {
	Mark     *string  `json:"mark"`
	PerYear  float64  `json:"deg_per_year"`
	Expanded *float64 `json:"expanded_uncertainty_deg_per_year"`
	Rising   *bool    `json:"seen"`
}

// ComparisonJSON writes the same as one object and a newline.
func ComparisonJSON(w io.Writer, c audit.Comparison, paths []string, o document.Options) error {
	v := comparing{c: c, paths: paths}
	out := jsonComparison{
		Format: 1, Software: o.Software, Audits: []jsonAudited{}, Steps: []jsonStep{}, Changes: []jsonChange{},
		Trends: []jsonTrend{}, LeftOut: append([]string{}, c.LeftOut...),
	}
	for i, r := range c.Audits {
		a := jsonAudited{Sheet: paths[c.Order[i]], Title: r.Sheet.Title, Digest: r.Sheet.Digest}
		if !c.Taken[i].IsZero() {
			a.Date = text(c.Taken[i].Format(time.DateOnly))
		}
		out.Audits = append(out.Audits, a)
	}
	for _, s := range c.Steps {
		step := jsonStep{
			From: s.From, To: s.To, Marks: append([]string{}, s.Lines...), Homogeneity: known(s.Homogeneity),
			Finding: s.Finding.String(), StandsOut: append([]string{}, s.StandsOut...), Text: v.step(s),
		}
		if s.Common != nil {
			step.Offset, step.Expanded = known(s.Common.Value.Degrees()), known(s.Common.Expanded.Degrees())
		}
		out.Steps = append(out.Steps, step)
	}
	for _, ch := range c.Changes {
		e := ch.Difference
		out.Changes = append(out.Changes, jsonChange{
			Mark: ch.Mark, From: ch.From, To: ch.To, Offset: e.Value.Degrees(), Expanded: when(e.Known, e.Expanded.Degrees()), P: known(ch.P),
			Differs: told(e.Known, ch.Differs), Meant: when(ch.Scribed, ch.Meant.Degrees()), AsMeant: told(ch.Scribed && e.Known, ch.AsMeant),
		})
	}
	for _, t := range c.Trends {
		e := t.PerYear
		out.Trends = append(out.Trends, jsonTrend{Mark: text(t.Mark), PerYear: e.Value.Degrees(), Expanded: when(e.Known, e.Expanded.Degrees()), Rising: told(e.Known, t.Rising)})
	}
	return indented(w, out)
}
