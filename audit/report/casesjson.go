package report

import (
	"encoding/json"
	"slices"

	"markaudit/audit"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// optional is a key that is there only where the sheet uses what it tells of;
// there it is null where not known.
type optional[T any] struct {
	used  bool
	value *T
}

// IsZero leaves the key out.
func (o optional[T]) IsZero() bool { return !o.used }

// MarshalJSON writes the value, or null.
func (o optional[T]) MarshalJSON() ([]byte, error) { return json.Marshal(o.value) }

func some[T any](used bool, value T) optional[T] {
	if !used {
		return optional[T]{}
	}
	return optional[T]{true, &value}
}

func maybe[T any](used bool, value *T) optional[T] { return optional[T]{used, value} }

type jsonSetupCase struct {
	Mounting optional[string]  `json:"mounting,omitzero"`
	Cylinder optional[string]  `json:"cylinder,omitzero"`
	Points   optional[int]     `json:"points,omitzero"`
	Fit      optional[float64] `json:"fit_standard_uncertainty_deg,omitzero"`
}

type jsonMarkCase struct {
	On            optional[string]  `json:"on,omitzero"`
	Cylinder      optional[string]  `json:"cylinder,omitzero"`
	NominalDrop   optional[float64] `json:"nominal_drop_mm,omitzero"`
	Drop          optional[float64] `json:"drop_mm,omitzero"`
	DropTolerance optional[float64] `json:"tolerance_drop_mm,omitzero"`
	Early         optional[float64] `json:"tolerance_early_deg,omitzero"`
	Late          optional[float64] `json:"tolerance_late_deg,omitzero"`
	Corrected     optional[float64] `json:"correction_deg,omitzero"`
}

type jsonCases struct {
	Groups    optional[[]jsonGroup]    `json:"groups,omitzero"`
	Between   optional[[]jsonBetween]  `json:"between_groups,omitzero"`
	Slip      optional[string]         `json:"slip,omitzero"`
	Cylinders optional[[]jsonCylinder] `json:"cylinders,omitzero"`
	Methods   optional[[]jsonMethod]   `json:"methods,omitzero"`
	Spacings  optional[[]jsonSpacing]  `json:"spacings,omitzero"`
	Rock      optional[jsonRock]       `json:"rock,omitzero"`
	Centring  optional[[]jsonCentring] `json:"centring,omitzero"`
}

type jsonCentring struct {
	Fitting   string   `json:"fitting"`
	Setups    []string `json:"setups"`
	Range     float64  `json:"blocked_arc_range_deg"`
	Varies    bool     `json:"varies"`
	Amplitude *float64 `json:"amplitude_deg"`
	Expanded  *float64 `json:"expanded_uncertainty_deg"`
	Toward    *float64 `json:"toward_deg"`
	OffCentre *float64 `json:"off_centre_mm"`
	OffU      *float64 `json:"off_centre_expanded_mm"`
	Seen      bool     `json:"seen"`
}

type jsonGroup struct {
	Name      string   `json:"name"`
	Marks     []string `json:"marks"`
	Offset    *float64 `json:"offset_deg"`
	Expanded  *float64 `json:"expanded_uncertainty_deg"`
	Finding   string   `json:"finding"`
	StandsOut []string `json:"stands_out"`
}

type jsonBetween struct {
	From     string  `json:"from"`
	To       string  `json:"to"`
	Offset   float64 `json:"offset_deg"`
	Expanded float64 `json:"expanded_uncertainty_deg"`
	Differ   bool    `json:"differ"`
}

type jsonCylinder struct {
	From      string   `json:"from"`
	To        string   `json:"to"`
	Declared  float64  `json:"declared_deg"`
	Angle     float64  `json:"angle_deg"`
	Standard  *float64 `json:"standard_uncertainty_deg"`
	Expanded  *float64 `json:"expanded_uncertainty_deg"`
	Mountings int      `json:"mountings"`
	Differs   *bool    `json:"differs"`
}

type jsonMethod struct {
	First        string   `json:"first"`
	Second       string   `json:"second"`
	Later        float64  `json:"second_later_by_deg"`
	Expanded     *float64 `json:"expanded_uncertainty_deg"`
	SameMounting bool     `json:"same_mounting"`
	Differ       *bool    `json:"differ"`
}

type jsonSpacing struct {
	From     string   `json:"from"`
	To       string   `json:"to"`
	Unit     string   `json:"unit"`
	Measured float64  `json:"measured"`
	Expected float64  `json:"by_readings"`
	Expanded *float64 `json:"expanded_uncertainty"`
	Nominal  float64  `json:"nominal"`
	Differs  *bool    `json:"differs"`
}

type jsonRock struct {
	Height   float64  `json:"height_mm"`
	Expanded float64  `json:"expanded_uncertainty_mm"`
	Shift    float64  `json:"deep_against_shallow_deg"`
	Seen     bool     `json:"seen"`
	Used     bool     `json:"used"`
	Setups   []string `json:"setups"`
}

func methodJSON(t *audit.TDC) string {
	first := t.Setups[0].Method
	if slices.ContainsFunc(t.Setups, func(s audit.SetupTDC) bool { return s.Method != first }) {
		return "mixed"
	}
	return first.String()
}

func setupCaseJSON(s audit.SetupTDC) jsonSetupCase {
	out := jsonSetupCase{
		Mounting: maybe(true, text(s.Mounting)), Cylinder: maybe(true, text(s.Cylinder)),
		Points: maybe[int](true, nil), Fit: maybe[float64](true, nil),
	}
	if s.Method == sheet.Sweep {
		out.Points.value, out.Fit.value = &s.Points, known(s.MiddleSD.Degrees())
	}
	return out
}

func markCaseJSON(v words.Audit, m audit.Mark) jsonMarkCase {
	any := func(of func(m audit.Mark) bool) bool { return slices.ContainsFunc(v.Result.Marks, of) }
	drops := any(func(m audit.Mark) bool { return m.Drop > 0 })
	limits := any(func(m audit.Mark) bool { return m.DropLimit > 0 })
	early, late := m.Allowed()
	return jsonMarkCase{
		On:            maybe(any(func(m audit.Mark) bool { return m.On != "" }), text(m.On)),
		Cylinder:      maybe(len(v.Result.Sheet.Engine.Cylinders) > 0, text(m.Mark.Cylinder)),
		NominalDrop:   maybe(drops, when(m.Drop > 0, m.Drop.Millimetres())),
		Drop:          maybe(drops, when(m.DropAt > 0, m.DropAt.Millimetres())),
		DropTolerance: maybe(limits, when(m.DropLimit > 0, m.DropLimit.Millimetres())),
		Early:         maybe(limits, known(early.Degrees())),
		Late:          maybe(limits, known(late.Degrees())),
		Corrected:     maybe(v.Result.Sheet.Readout.Correction != nil, when(m.Offset != nil, m.Corrected.Degrees())),
	}
}

func casesJSON(v words.Audit) jsonCases {
	r := v.Result
	grouped := r.Slip != audit.NoGroups
	groups, between := []jsonGroup{}, []jsonBetween{}
	for _, g := range r.Groups {
		out := jsonGroup{Name: g.Name, Marks: g.Lines, Finding: g.Finding.String(), StandsOut: append([]string{}, g.StandsOut...)}
		if g.Common != nil {
			out.Offset, out.Expanded = known(g.Common.Value.Degrees()), known(g.Common.Expanded.Degrees())
		}
		groups = append(groups, out)
	}
	for _, b := range r.Between {
		between = append(between, jsonBetween{b.From, b.To, b.Difference.Value.Degrees(), b.Difference.Expanded.Degrees(), b.Differ})
	}
	cylinders := []jsonCylinder{}
	for _, b := range r.Banks {
		e := b.Angle
		cylinders = append(cylinders, jsonCylinder{
			From: b.From, To: b.To, Declared: b.Declared.Degrees(), Angle: e.Value.Degrees(), Mountings: b.Mountings,
			Standard: when(e.Known, e.Standard.Degrees()), Expanded: when(e.Known, e.Expanded.Degrees()), Differs: told(e.Known, b.Differs),
		})
	}
	methods := []jsonMethod{}
	for _, c := range r.Methods {
		e := c.Difference
		methods = append(methods, jsonMethod{
			First: c.First.String(), Second: c.Second.String(), Later: e.Value.Degrees(), SameMounting: c.Together,
			Expanded: when(e.Known, e.Expanded.Degrees()), Differ: told(e.Known, c.Differ),
		})
	}
	spacings := []jsonSpacing{}
	for _, s := range r.Spacings {
		unit := "mm"
		if s.Teeth > 0 {
			unit = "teeth"
		}
		spacings = append(spacings, jsonSpacing{
			From: s.From, To: s.To, Unit: unit, Measured: s.Measured, Expected: s.Expected,
			Expanded: when(s.U > 0, s.U), Nominal: s.Nominal, Differs: told(s.U > 0, s.Differs),
		})
	}
	out := jsonCases{
		Groups: some(grouped, groups), Between: some(grouped, between), Slip: some(grouped, r.Slip.String()),
		Cylinders: some(len(r.Sheet.Engine.Cylinders) > 0, cylinders), Methods: some(len(methods) > 0, methods),
		Spacings: some(len(r.Sheet.Part.Spacings) > 0, spacings),
	}
	if len(r.Centrings) > 0 {
		all := []jsonCentring{}
		for _, c := range r.Centrings {
			all = append(all, jsonCentring{
				Fitting: c.Fitting, Setups: c.Setups, Range: c.Range.Degrees(), Varies: c.Varies, Seen: c.Seen,
				Amplitude: when(c.Fitted, c.Amplitude.Degrees()), Expanded: when(c.Fitted, c.U.Degrees()), Toward: when(c.Fitted, c.Toward.Degrees()),
				OffCentre: when(c.Fitted && c.OffCentre > 0, c.OffCentre.Millimetres()), OffU: when(c.Fitted && c.OffCentre > 0, c.OffU.Millimetres()),
			})
		}
		out.Centring = some(true, all)
	}
	if k := r.Rock; k != nil {
		out.Rock = some(true, jsonRock{k.Height.Millimetres(), k.U.Millimetres(), k.Shift.Degrees(), k.Seen, k.Used, k.Setups})
	}
	return out
}

// told is null where it is not known.
func told(known, yes bool) *bool {
	if !known {
		return nil
	}
	return &yes
}
