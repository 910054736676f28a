package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Plan turns a plan into a document: where to set the stop, how much to read, what
// that will tell, and what would make it better.
func Plan(p audit.Planned, s sheet.Sheet, g audit.Guess, guessed []string, o document.Options) document.Doc {
	v := planning{p: p, sheet: s, Lengths: rounding.Lengths{Unit: s.Part.Unit}}
	d := document.Doc{document.Heading{Text: v.title()}}
	d = append(d, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: v.steps()})
	if len(p.Depths) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "HOW DEEP", Text: aboutDepths}, v.depths())
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "WHAT IT GIVES", Text: v.worst()}, v.usual())
	if len(p.Gains) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "WHAT WOULD MAKE IT BETTER"}, v.gains())
	}
	if o.Budget {
		d = append(d, document.Space{}, document.Sentence{Lead: "BUDGET OF " + clean(p.Worst.Name)}, budget(p.Budget))
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "TAKEN FOR GRANTED", Text: v.granted(g, guessed)})
	d = append(d, document.Space{}, document.Sentence{Lead: "CAUTION", Text: strings.Join(Cautions(), " ")})
	if o.Software != "" {
		d = append(d, document.Space{}, document.Sentence{Text: o.Software})
	}
	return d
}

// planning says a plan in sentences.
type planning struct {
	p     audit.Planned
	sheet sheet.Sheet
	rounding.Lengths
}

// title names what is to be audited.
func (v planning) title() string {
	return "Plan for an audit" + strings.TrimSuffix(", "+clean(v.sheet.Title), ", ")
}

// aboutDepths says what speaks for a shallow stop and what for a deep one.
const aboutDepths = "A shallow stop turns a hair of height into degrees; a deep one leans on pin and bore offset, meets valves sooner, and asks for a long tool."

// worst says of which line the uncertainties of a plan are.
func (v planning) worst() string {
	return "± of " + clean(v.p.Worst.Name) + ", the line that is known worst, on average:"
}

// sure prints a ±, with its millimetres on the rim where the diameter is known.
func (v planning) sure(u geometry.Angle) string {
	if math.IsInf(u.Degrees(), 0) {
		return "± ?"
	}
	text := "± " + rounding.TwoDigits(u)
	if d := v.sheet.Part.Diameter; d > 0 {
		if v.sheet.Part.HalfSpeed {
			u /= 2
		}
		text += " (" + v.Of(geometry.Rim{Diameter: d}.Arc(u)) + " on the rim)"
	}
	return text
}

// steps says where to set the stop and how much to read, and what that will tell.
func (v planning) steps() []string {
	best := v.p.Best
	var out []string
	if best.Drop > 0 {
		out = append(out, fmt.Sprintf("Set the stop for a half arc of %s: bring the piston to %s below its top, before TDC and on its way up, screw the stop in until it touches, and lock it there.",
			rounding.Degrees(best.HalfArc, 0), v.Of(best.Drop)))
	} else {
		out = append(out, fmt.Sprintf("Set the stop for a half arc of about %s. Give stroke and rod, and it is said in millimetres of piston.", rounding.Degrees(best.HalfArc, 0)))
	}
	if l := v.p.Least; l != nil {
		text := fmt.Sprintf("Take %s, each with %s of stop contacts and %s of every line", rounding.Count(l.Setups, "setup", "setups"), rounding.Count(l.Trials, "pair", "pairs"), rounding.Count(l.Readings, "reading", "readings"))
		if l.Setups > 1 {
			text += ", the readout off and on again in between"
		}
		out = append(out, text+fmt.Sprintf(": the least that is likely to give %s. It was asked for %s.", v.sure(l.U), v.sure(v.p.Wanted)))
	} else {
		out = append(out, fmt.Sprintf("Nothing up to 6 setups with 10 pairs and 6 readings is likely to give %s. See below what would make it better.", v.sure(v.p.Wanted)))
	}
	out = append(out, fmt.Sprintf("With that an offset of %s from its place is found outside ±%s° four times in five.", strings.TrimPrefix(v.sure(v.p.Outside), "± "), rounding.Plain(rounding.Trimmed(v.p.Worst.Tolerance.Degrees()))))
	if u := v.p.Best.U; u > v.p.Worst.Tolerance {
		out = append(out, "The ± is larger than the tolerance: such an audit can never show this line to be within.")
	}
	return out
}

// depths is one row a depth of the stop.
func (v planning) depths() document.Table {
	t := document.Table{
		Header: []string{"half arc", "piston down by", "mm a degree", "rock makes", "offset makes", "± of the worst"},
		Right:  []bool{true, true, true, true, true, true},
	}
	for _, d := range v.p.Depths {
		row := []string{
			rounding.Degrees(d.HalfArc, 0), v.Of(d.Drop), rounding.Fixed(d.PerDegree.Millimetres(), 3), "-", "-", "± " + rounding.TwoDigits(d.U),
		}
		if d.Rock > 0 {
			row[3] = "± " + rounding.Degrees(d.Rock, 3)
		}
		if d.Correction != 0 {
			row[4] = rounding.Degrees(d.Correction, 3)
		}
		if d.HalfArc == v.p.Best.HalfArc {
			row[0] = "-> " + row[0]
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// usual is one row for each usual amount of work, and one for the least.
func (v planning) usual() document.Table {
	t := document.Table{Header: []string{"setups", "pairs", "readings", "likely ±", ""}, Right: []bool{true, true, true, false, false}}
	add := func(s audit.Scheme, note string) {
		covers := "as fitted"
		if s.Covers == audit.Remounting {
			covers = "remounting included"
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(s.Setups), fmt.Sprint(s.Trials), fmt.Sprint(s.Readings), v.sure(s.U), covers + note})
	}
	for _, s := range v.p.Usual {
		add(s, "")
	}
	if v.p.Least != nil {
		add(*v.p.Least, ", the least")
	}
	return t
}

// better names a means that would make an audit surer.
func better(m audit.Means) string { return means[m] }

var means = map[audit.Means]string{ // only looked up
	audit.FinerStep:     "a readout with a fifth of the step",
	audit.CentredWheel:  "the wheel centred four times as closely",
	audit.BothSides:     "lines read from both sides, so that lost motion drops out",
	audit.FinerSighting: "lines sighted twice as finely",
	audit.LessRock:      "half the rock: a stop nearer the pin's axis",
}

// gains is one row for each better means.
func (v planning) gains() document.Table {
	t := document.Table{Header: []string{"with", "likely ±"}}
	for _, g := range v.p.Gains {
		t.Rows = append(t.Rows, []string{better(g.Means), v.sure(g.U)})
	}
	return t
}

// granted says what a plan rests on, and what of it was guessed.
func (v planning) granted(g audit.Guess, guessed []string) string {
	text := fmt.Sprintf("Standard deviation of one middle of two contacts %s°, of one reading of a line %s°, of remounting %s°; step %s°.",
		rounding.Plain(rounding.Trimmed(g.Middle.Degrees())), rounding.Plain(rounding.Trimmed(g.Reading.Degrees())), rounding.Plain(rounding.Trimmed(g.Remount.Degrees())), rounding.Plain(rounding.Trimmed(v.sheet.Readout.Step.Degrees())))
	if len(guessed) > 0 {
		text += " Guessed, as is usual for such a readout: " + strings.Join(guessed, ", ") + ". Take them from an earlier audit with --like, or measure five pairs and see."
	}
	return text + " What comes out scatters about what is planned; the audit itself goes by what was read."
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
		out.Gains = append(out.Gains, jsonGain{better(x.Means), known(x.U.Degrees())})
	}
	shares := p.Budget.Shares()
	for i, row := range p.Budget {
		out.Budget = append(out.Budget, rowJSON(row, shares[i]))
	}
	return indented(w, out)
}
