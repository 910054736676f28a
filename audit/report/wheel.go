package report

import (
	"math"
	"strings"

	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Wheel turns the audit of a readout into a document, for who wants to know
// whether the mark is wrong or the wheel: the answer first, then what to do,
// how it reads round the circle, and what this table cannot show.
func Wheel(r wheel.Result, o document.Options) document.Doc {
	v := words.Wheel{Result: r}
	d := document.Doc{document.Heading{Text: v.Title(o.Path)}, document.Sentence{Text: v.Answer()}, document.Sentence{Text: v.Because()}, document.Space{}}
	d = append(d, document.Sentence{Lead: "WHAT TO DO"}, document.Steps{Items: v.ToDo()}, document.Space{})
	d = append(d, document.Sentence{Lead: "HOW IT READS"}, curveTable(v), document.Space{}, harmonicTable(v), document.Sentence{Text: v.Above()})
	d = append(d, document.Space{}, document.Sentence{Lead: "SCATTER", Text: v.Scatter()})
	if r.LostMotion != nil {
		d = append(d, document.Sentence{Lead: "LOST MOTION", Text: v.AboutLostMotion()})
	}
	if r.Counts != 0 {
		d = append(d, document.Sentence{Lead: "COUNTS", Text: v.AboutCounts()})
	}
	if c := r.Closure; c != nil {
		d = append(d, document.Sentence{Lead: "MOUNTINGS", Text: v.AboutMountings()})
		if c.Complete {
			d = append(d, graduationTable(v))
		}
	}
	if r.Axis != nil {
		d = append(d, document.Space{}, document.Sentence{Lead: "AS A ROTARY AXIS"}, axisTable(v))
	}
	return append(d, document.Space{}, document.Sentence{Lead: "NOT SEEN HERE", Text: strings.Join(v.NotSeen(), " ")})
}

// curveTable is what to take off a reading, at twelve places.
func curveTable(v words.Wheel) document.Table {
	t := document.Table{Header: []string{"it shows", "too much by", "it shows", "too much by", "it shows", "too much by"}, Right: []bool{true, true, true, true, true, true}}
	for row := range 4 {
		var cells []string
		for column := range 3 {
			at := geometry.Angle(30 * (4*column + row))
			cells = append(cells, rounding.Fixed(at.Degrees(), 0), v.OfCurve(at))
		}
		t.Rows = append(t.Rows, cells)
	}
	t.Note = v.AboutCurve()
	return t
}

// harmonicTable lists the harmonics.
func harmonicTable(v words.Wheel) document.Table {
	t := document.Table{Header: []string{"harmonic", "amplitude", "phase", "seen", "such as"}, Right: []bool{true, true, true, false, false}}
	for _, h := range v.Harmonics {
		t.Rows = append(t.Rows, []string{
			rounding.Fixed(float64(h.Order), 0), v.Sure(h.Amplitude, v.ExpandedAmplitude(h)),
			words.Graduation(h.Phase), words.HarmonicSeen(v.Known && (v.Lattice == nil || h.Amplitude > v.Lattice.Limit), h), words.HarmonicCause(h.Order),
		})
	}
	t.Note = words.AboutHarmonics
	return t
}

// graduationTable lists the errors of readout and reference side by side.
func graduationTable(v words.Wheel) document.Table {
	c := v.Closure
	t := document.Table{Header: []string{"it shows", "too much by", "reference shows", "stands too far by"}, Right: []bool{true, true, true, true}}
	cell := func(of []wheel.Graduation, i int) []string {
		if i >= len(of) {
			return []string{"", ""}
		}
		g, n := of[i], v.Places()
		text := rounding.Fixed(g.Error.Degrees(), n)
		if c.Known {
			text += " ± " + rounding.NotNothing(c.Expanded(g).Degrees(), n)
		}
		return []string{rounding.Fixed(rounding.To(g.At, 1), 1), text + "°"}
	}
	for i := range max(len(c.Wheel), len(c.Reference)) {
		t.Rows = append(t.Rows, append(cell(c.Wheel, i), cell(c.Reference, i)...))
	}
	t.Note = words.AboutGraduations
	return t
}

// axisTable is the figures of ISO 230-2.
func axisTable(v words.Wheel) document.Table {
	a := v.Axis
	n := max(v.Places(), 3)
	shown := func(x geometry.Angle) string {
		if math.IsNaN(x.Degrees()) {
			return "-"
		}
		return rounding.Degrees(x, n)
	}
	return document.Table{
		Header: []string{"ISO 230-2", "forward", "backward", "both"}, Right: []bool{false, true, true, true},
		Rows: [][]string{
			{"positioning (A)", shown(a.AccuracyForward), shown(a.AccuracyBackward), shown(a.Accuracy)},
			{"systematic positioning (E)", shown(a.SystematicForward), shown(a.SystematicBackward), shown(a.Systematic)},
			{"repeatability (R)", shown(a.RepeatForward), shown(a.RepeatBackward), shown(a.Repeat)},
			{"mean positioning (M)", "-", "-", shown(a.MeanSystematic)},
			{"reversal (B), its mean", "-", "-", shown(a.Reversal) + ", " + shown(a.MeanReversal)},
		},
		Note: v.AboutAxis(),
	}
}
