package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
)

// The shape of the result for other programs lives here and not on
// [audit.Result]. Keys are always present; null means not known. Keys that only
// some engines have a use for are there, on every entry, where the sheet uses
// what they tell of.

type jsonResult struct {
	Format      int            `json:"format"`
	Software    string         `json:"software"`
	Digest      string         `json:"digest"`
	Sheet       string         `json:"sheet"`
	Title       string         `json:"title"`
	Confidence  float64        `json:"confidence"`
	TDC         *jsonTDC       `json:"tdc"`
	Marks       []jsonMark     `json:"marks"`
	CommonShift jsonShift      `json:"common_shift"`
	Distances   []jsonDistance `json:"distances"`
	jsonCases
	Warnings []jsonWarning `json:"warnings"`
}

type jsonTDC struct {
	Method        string      `json:"method"`
	Trials        int         `json:"trials"`
	Setups        int         `json:"setups"`
	Repeatability *float64    `json:"repeatability_deg"`
	DOF           *float64    `json:"dof"`
	Standard      *float64    `json:"standard_uncertainty_deg"`
	ThrowToTDC    *float64    `json:"throw_to_tdc_deg"`
	BySetup       []jsonSetup `json:"by_setup"`
}

type jsonSetup struct {
	Setup      string   `json:"setup"`
	By         string   `json:"by"`
	Method     string   `json:"method"`
	Reading    float64  `json:"reading_deg"`
	HalfArc    float64  `json:"half_arc_deg"`
	HalfArcSD  *float64 `json:"half_arc_sd_deg"`
	Correction float64  `json:"pin_offset_correction_deg"`
	Trials     int      `json:"trials"`
	Closing    *float64 `json:"closing_difference_deg"`
	jsonSetupCase
}

type jsonMark struct {
	Name        string      `json:"name"`
	Nominal     float64     `json:"nominal_deg"`
	NominalText string      `json:"nominal_text"`
	ComesUpAt   *float64    `json:"comes_up_at_deg"`
	Offset      *float64    `json:"offset_deg"`
	Standard    *float64    `json:"standard_uncertainty_deg"`
	DOF         *float64    `json:"effective_dof"`
	Expanded    *float64    `json:"expanded_uncertainty_deg"`
	Interval    *[2]float64 `json:"interval_deg"`
	Tolerance   float64     `json:"tolerance_deg"`
	Conformity  *float64    `json:"conformity_probability"`
	Verdict     string      `json:"verdict"`
	Covers      string      `json:"covers"`
	NotIncluded []string    `json:"not_included"`
	Arc         *float64    `json:"arc_mm"`
	ArcExpanded *float64    `json:"arc_expanded_mm"`
	Chord       *float64    `json:"chord_mm"`
	Teeth       *float64    `json:"teeth"`
	jsonMarkCase
	Scribe   jsonScribe `json:"scribe"`
	ToDecide *string    `json:"to_decide"`
	Next     *jsonNext  `json:"next"`
	Budget   []jsonRow  `json:"budget"`
}

type jsonScribe struct {
	Direction  string   `json:"direction"`
	Along      string   `json:"along"`
	Move       string   `json:"move"`
	Arc        *float64 `json:"arc_mm"`
	Chord      *float64 `json:"chord_mm"`
	Worthwhile bool     `json:"worthwhile"`
	Then       *float64 `json:"then_expanded_deg"`
	Withheld   *string  `json:"withheld"`
	Check      *string  `json:"check"`

	Window optional[string] `json:"window,omitzero"`
}

type jsonNext struct {
	Trials   int     `json:"trials"`
	Readings int     `json:"readings"`
	Setups   int     `json:"setups"`
	Chance   float64 `json:"chance"`
}

type jsonRow struct {
	Source       string   `json:"source"`
	Evaluation   string   `json:"evaluation"`
	Distribution string   `json:"distribution"`
	HalfWidth    *float64 `json:"half_width_deg"`
	N            *int     `json:"n"`
	DOF          *float64 `json:"dof"`
	Sensitivity  float64  `json:"sensitivity"`
	Standard     float64  `json:"standard_uncertainty_deg"`
	Share        float64  `json:"share"`
	Shared       bool     `json:"shared"`
}

type jsonShift struct {
	Offset      *float64   `json:"offset_deg"`
	Expanded    *float64   `json:"expanded_uncertainty_deg"`
	Homogeneity *float64   `json:"homogeneity_p"`
	Finding     string     `json:"finding"`
	StandsOut   []string   `json:"stands_out"`
	Scribe      jsonScribe `json:"scribe"`
	Text        string     `json:"text"`
}

type jsonDistance struct {
	From  string   `json:"from"`
	To    string   `json:"to"`
	Now   float64  `json:"now_chord_mm"`
	After float64  `json:"after_chord_mm"`
	U     *float64 `json:"now_expanded_mm"`
}

type jsonWarning struct {
	Code  string  `json:"code"`
	Text  string  `json:"text"`
	Setup *string `json:"setup"`
	Mark  *string `json:"mark"`
}

// JSON writes one result as one object and a newline: degrees and millimetres
// in full precision, whatever units the sheet used.
func JSON(w io.Writer, r audit.Result, next []audit.Next, o document.Options) error {
	return indented(w, toJSON(r, next, o))
}

// indented writes one object and a newline. Characters that a terminal would act
// on are escaped, also those that JSON allows as they are.
func indented(w io.Writer, object any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(object); err != nil {
		return err
	}
	var out strings.Builder
	for _, r := range b.String() {
		switch {
		case r == '\n' || strconv.IsPrint(r):
			out.WriteRune(r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			fmt.Fprintf(&out, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&out, `\u%04x`, r)
		}
	}
	_, err := io.WriteString(w, out.String())
	return err
}

func toJSON(r audit.Result, next []audit.Next, o document.Options) jsonResult {
	v := words.NewAudit(r, next)
	out := jsonResult{
		Format: 1, Software: o.Software, Digest: r.Sheet.Digest, Sheet: o.Path, Title: r.Sheet.Title,
		Confidence: r.Sheet.Limits.Confidence, Marks: []jsonMark{}, Distances: []jsonDistance{}, Warnings: []jsonWarning{},
		TDC: tdcJSON(v), CommonShift: shiftJSON(v), jsonCases: casesJSON(v),
	}
	for i, m := range r.Marks {
		out.Marks = append(out.Marks, markJSON(v, m, next[i]))
	}
	for _, d := range r.Distances {
		out.Distances = append(out.Distances, jsonDistance{d.From, d.To, d.Now.Millimetres(), d.After.Millimetres(), when(d.U > 0, d.U.Millimetres())})
	}
	for _, w := range r.Warnings {
		out.Warnings = append(out.Warnings, jsonWarning{string(w.Code), v.Warning(w), text(w.Setup), text(w.Mark)})
	}
	return out
}

// known is null for what is not finite.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// when is null unless the condition holds.
func when(ok bool, x float64) *float64 {
	if !ok {
		return nil
	}
	return known(x)
}

// text is null for an empty text.
func text(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func tdcJSON(v words.Audit) *jsonTDC {
	r, t := v.Result, v.Result.TDC
	if t == nil {
		return nil
	}
	_, hasCrank := r.Sheet.Engine.Crank()
	repeats := t.DOF > 0
	out := &jsonTDC{
		Method: methodJSON(t), Trials: t.Trials, Setups: len(t.Setups),
		Repeatability: when(repeats, t.Scatter.Degrees()), DOF: when(repeats, t.DOF),
		Standard: when(repeats, t.Standard.Degrees()), ThrowToTDC: when(hasCrank, t.ThrowToTDC.Degrees()), BySetup: []jsonSetup{},
	}
	for _, s := range t.Setups {
		setup := jsonSetup{
			Setup: s.Name, By: s.By, Method: s.Method.String(), Reading: s.Reading.Degrees(), HalfArc: s.HalfArc.Degrees(),
			HalfArcSD: when(len(s.HalfArcs) > 1, s.HalfArcSD.Degrees()), Correction: s.Correction.Degrees(), Trials: len(s.Middles),
		}
		if !v.PlainSetups() {
			setup.jsonSetupCase = setupCaseJSON(s)
		}
		if s.Closing != nil {
			setup.Closing = known(s.Closing.Degrees())
		}
		out.BySetup = append(out.BySetup, setup)
	}
	return out
}

func markJSON(v words.Audit, m audit.Mark, next audit.Next) jsonMark {
	out := jsonMark{
		Name: m.Name, Nominal: m.At.Degrees(), NominalText: m.AtText, Tolerance: m.Tolerance.Degrees(),
		Verdict: m.Verdict.String(), Covers: m.Covers.String(), NotIncluded: v.NotIncluded(m), Budget: []jsonRow{},
		Scribe: scribeJSON(v, m.Scribe, m.Offset), ToDecide: text(v.ToDecide(m, next)),
		jsonMarkCase: markCaseJSON(v, m),
	}
	if next.Way == audit.MoreReadings || next.Way == audit.MoreSetups {
		out.Next = &jsonNext{next.Trials, next.Readings, next.Setups, next.Chance}
	}
	e := m.Offset
	if e == nil {
		return out
	}
	d := e.Value.Degrees()
	out.Offset, out.ComesUpAt = known(d), known(m.ComesUpAt.Degrees())
	part := v.Result.Sheet.Part
	if part.Diameter > 0 {
		out.Arc, out.Chord = known(m.Arc.Millimetres()), known(m.Chord.Millimetres())
		out.ArcExpanded = when(e.Known, e.ArcU.Millimetres())
	}
	if part.Teeth > 0 {
		out.Teeth = known(m.Teeth)
	}
	if e.Known {
		u := e.Expanded.Degrees()
		out.Standard, out.DOF, out.Expanded = known(e.Standard.Degrees()), known(e.DOF), known(u)
		out.Interval, out.Conformity = &[2]float64{d - u, d + u}, known(m.Conformity)
	}
	shares := e.Budget.Shares()
	for i, row := range e.Budget {
		out.Budget = append(out.Budget, rowJSON(row, shares[i]))
	}
	return out
}

func rowJSON(row uncertainty.Row, share float64) jsonRow {
	out := jsonRow{
		Source: row.Source, Evaluation: row.Evaluation.String(), Distribution: row.Shape.String(),
		DOF: known(row.DOF), Sensitivity: row.Sensitivity, Standard: row.Standard().Degrees(), Share: share, Shared: row.Shared,
	}
	switch row.Shape {
	case uncertainty.Rectangular, uncertainty.Triangular, uncertainty.Arcsine:
		out.HalfWidth = known(row.Scale.Degrees())
	}
	if row.N > 0 {
		out.N = &row.N
	}
	return out
}

func scribeJSON(v words.Audit, s audit.Scribe, e *audit.Estimate) jsonScribe {
	out := jsonScribe{
		Direction: "none", Along: s.Along.String(), Move: s.Move.String(),
		Worthwhile: s.Worthwhile, Withheld: text(v.Withheld(s.Withheld)),
		Window: optional[string]{used: v.Result.Sheet.Part.Moves != ""},
	}
	if s.Along == audit.NoWay {
		return out
	}
	out.Direction, out.Check, out.Window.value = s.Rotation.String(), text(v.Check()), text(v.InWindow(s.Along))
	if s.HasLengths {
		out.Arc, out.Chord = known(s.Arc.Millimetres()), known(s.Chord.Millimetres())
		out.Then = when(e.Known, s.Then.Degrees())
	}
	return out
}

func shiftJSON(v words.Audit) jsonShift {
	s := v.Result.Shift
	out := jsonShift{
		Homogeneity: known(s.Homogeneity), Finding: s.Finding.String(), StandsOut: []string{},
		Scribe: scribeJSON(v, s.Scribe, s.Common), Text: v.Together(),
	}
	out.StandsOut = append(out.StandsOut, s.StandsOut...)
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine && s.Scribe.Along == audit.NoWay {
		out.Scribe.Move = audit.MoveLine.String()
	} else if s.Scribe.Along == audit.NoWay {
		out.Scribe.Move = audit.MovePointer.String()
	}
	if s.Common != nil {
		out.Offset, out.Expanded = known(s.Common.Value.Degrees()), known(s.Common.Expanded.Degrees())
	}
	return out
}
