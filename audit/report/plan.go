package report

import (
	"fmt"
	"io"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// Plan turns a plan into a document: where to set the stop, how much to read, what
// that will tell, and what would make it better.
func Plan(p audit.Planned, s sheet.Sheet, g audit.Guess, guessed []string, o document.Options) document.Doc {
	v := words.Plan{Result: p, Sheet: s, Lengths: rounding.Lengths{Unit: s.Part.Unit}}
	d := document.Doc{document.Heading{Text: v.Title()}}
	d = append(d, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: v.Steps()})
	if len(p.Depths) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "HOW DEEP", Text: words.AboutDepths}, depthTable(v))
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "WHAT IT GIVES", Text: v.Worst()}, schemeTable(v))
	if len(p.Gains) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "WHAT WOULD MAKE IT BETTER"}, gainTable(v))
	}
	if o.Budget {
		d = append(d, document.Space{}, document.Sentence{Lead: "BUDGET OF " + words.Clean(p.Worst.Name)}, budget(p.Budget))
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "TAKEN FOR GRANTED", Text: v.Granted(g, guessed)})
	d = append(d, document.Space{}, document.Sentence{Lead: "CAUTION", Text: strings.Join(words.Cautions(), " ")})
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// depthTable is one row a depth of the stop.
func depthTable(v words.Plan) document.Table {
	t := document.Table{
		Header: []string{"half arc", "piston down by", "mm a degree", "rock makes", "offset makes", "± of the worst"},
		Right:  []bool{true, true, true, true, true, true},
	}
	for _, d := range v.Result.Depths {
		row := []string{
			rounding.Degrees(d.HalfArc, 0), v.Of(d.Drop), rounding.Fixed(d.PerDegree.Millimetres(), 3), "-", "-", "± " + rounding.TwoDigits(d.U),
		}
		if d.Rock > 0 {
			row[3] = "± " + rounding.Degrees(d.Rock, 3)
		}
		if d.Correction != 0 {
			row[4] = rounding.Degrees(d.Correction, 3)
		}
		if d.HalfArc == v.Result.Best.HalfArc {
			row[0] = "-> " + row[0]
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// schemeTable is one row for each usual amount of work, and one for the least.
func schemeTable(v words.Plan) document.Table {
	t := document.Table{Header: []string{"setups", "pairs", "readings", "likely ±", ""}, Right: []bool{true, true, true, false, false}}
	add := func(s audit.Scheme, note string) {
		covers := "as fitted"
		if s.Covers == audit.Remounting {
			covers = "remounting included"
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(s.Setups), fmt.Sprint(s.Trials), fmt.Sprint(s.Readings), v.PlusMinus(s.U), covers + note})
	}
	for _, s := range v.Result.Usual {
		add(s, "")
	}
	if v.Result.Least != nil {
		add(*v.Result.Least, ", the least")
	}
	return t
}

// gainTable is one row for each better means.
func gainTable(v words.Plan) document.Table {
	t := document.Table{Header: []string{"with", "likely ±"}}
	for _, g := range v.Result.Gains {
		t.Rows = append(t.Rows, []string{words.Better(g.Means), v.PlusMinus(g.U)})
	}
	return t
}

type jsonPlan struct {
	Format   int          `json:"format"`
	Software string       `json:"software"`
	HalfArc  float64      `json:"half_arc_deg"`
	Drop     *float64     `json:"drop_mm"`
	Wanted   float64      `json:"wanted_deg"`
	Least    *jsonScheme  `json:"least"`
	Usual    []jsonScheme `json:"usual"`
	Worst    string       `json:"worst"`
	U        *float64     `json:"expanded_uncertainty_deg"`
	Outside  float64      `json:"outside_deg"`
	Depths   []jsonDepth  `json:"depths"`
	Gains    []jsonGain   `json:"gains"`
	Budget   []jsonRow    `json:"budget"`
	Guess    jsonGuess    `json:"guess"`
}

type jsonScheme struct {
	Setups   int      `json:"setups"`
	Trials   int      `json:"trials"`
	Readings int      `json:"readings"`
	U        *float64 `json:"expanded_uncertainty_deg"`
	Covers   string   `json:"covers"`
}

type jsonDepth struct {
	HalfArc    float64  `json:"half_arc_deg"`
	Drop       float64  `json:"drop_mm"`
	PerDegree  float64  `json:"mm_per_deg"`
	Rock       float64  `json:"rock_half_width_deg"`
	Correction float64  `json:"pin_offset_correction_deg"`
	U          *float64 `json:"expanded_uncertainty_deg"`
}

type jsonGain struct {
	With string   `json:"with"`
	U    *float64 `json:"expanded_uncertainty_deg"`
}

type jsonGuess struct {
	Middle  float64 `json:"middle_deg"`
	Reading float64 `json:"reading_deg"`
	Remount float64 `json:"remount_deg"`
}

// PlanJSON writes the same as one object and a newline.
func PlanJSON(w io.Writer, p audit.Planned, g audit.Guess, o document.Options) error {
	scheme := func(s audit.Scheme) jsonScheme {
		return jsonScheme{s.Setups, s.Trials, s.Readings, known(s.U.Degrees()), s.Covers.String()}
	}
	out := jsonPlan{
		Format: 1, Software: o.Software, HalfArc: p.Best.HalfArc.Degrees(), Drop: when(p.Best.Drop > 0, p.Best.Drop.Millimetres()),
		Wanted: p.Wanted.Degrees(), Usual: []jsonScheme{}, Worst: p.Worst.Name, U: known(p.Best.U.Degrees()), Outside: p.Outside.Degrees(),
		Depths: []jsonDepth{}, Gains: []jsonGain{}, Budget: []jsonRow{}, Guess: jsonGuess{g.Middle.Degrees(), g.Reading.Degrees(), g.Remount.Degrees()},
	}
	if p.Least != nil {
		least := scheme(*p.Least)
		out.Least = &least
	}
	for _, s := range p.Usual {
		out.Usual = append(out.Usual, scheme(s))
	}
	for _, d := range p.Depths {
		out.Depths = append(out.Depths, jsonDepth{d.HalfArc.Degrees(), d.Drop.Millimetres(), d.PerDegree.Millimetres(), d.Rock.Degrees(), d.Correction.Degrees(), known(d.U.Degrees())})
	}
	for _, x := range p.Gains {
		out.Gains = append(out.Gains, jsonGain{words.Better(x.Means), known(x.U.Degrees())})
	}
	shares := p.Budget.Shares()
	for i, row := range p.Budget {
		out.Budget = append(out.Budget, rowJSON(row, shares[i]))
	}
	return indented(w, out)
}
