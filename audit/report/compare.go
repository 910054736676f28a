package report

import (
	"io"
	"strings"
	"time"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
)

// Comparison turns audits of one part into a document: what changed first, then
// what to look at, then line by line. Paths are those of the sheets as given.
func Comparison(c audit.Comparison, paths []string, o document.Options) document.Doc {
	v := words.Comparison{Result: c, Paths: paths}
	d := document.Doc{document.Heading{Text: v.Title()}}
	d = append(d, document.Sentence{Lead: "WHAT CHANGED"}, document.Steps{Items: v.Steps()}, document.Space{}, document.Sentence{Lead: "LINE BY LINE"}, comparedLines(v))
	if trends := v.Trends(); len(trends) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "OVER THE YEARS", Text: strings.Join(trends, " ")})
	}
	d = append(d, document.Space{}, document.Sentence{Text: v.Meaning()})
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// comparedLines is one row an audit of each line.
func comparedLines(v words.Comparison) document.Table {
	t := document.Table{Header: []string{"line", "audit", "off by", "since the one before", ""}}
	seen := map[string]bool{} // only looked up
	for _, r := range v.Result.Audits {
		for _, m := range r.Marks {
			if !seen[m.Name] {
				seen[m.Name] = true
				t.Rows = append(t.Rows, comparedLine(v, m.Name)...)
			}
		}
	}
	return t
}

func comparedLine(v words.Comparison, name string) (rows [][]string) {
	for i, r := range v.Result.Audits {
		for _, m := range r.Marks {
			if m.Name != name || m.Offset == nil {
				continue
			}
			row := []string{words.Clean(name), v.Name(i), words.Offset(m.Offset), "", ""}
			for _, ch := range v.Result.Changes {
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
	v := words.Comparison{Result: c, Paths: paths}
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
			Finding: s.Finding.String(), StandsOut: append([]string{}, s.StandsOut...), Text: v.Step(s),
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
