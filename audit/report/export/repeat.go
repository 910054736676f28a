package export

import (
	"io"

	"markaudit/audit/repeatability"
	"markaudit/audit/report/words"
)

// Repeat writes a study of people as one object and a newline.
func Repeat(w io.Writer, r repeatability.Result) error {
	c := r.Components
	tolerance := r.Data.Tolerance.Degrees()
	out := jsonRepeat{
		Operators:     []jsonOperator{},
		Repeatability: estimate(c.Repeatability), Reproducibility: estimate(c.Reproducibility),
		Operator: estimate(c.Person), Interaction: estimate(c.Interaction), Mark: estimate(c.Mark),
		RepeatInterval: interval(c.Repeatability), ReproInterval: interval(c.Reproducibility),
		OperatorInterval: interval(c.Person), InteractInterval: interval(c.Interaction), MarkInterval: interval(c.Mark),
		RepeatDOF: when(c.RepeatabilityDOF > 0, c.RepeatabilityDOF), CategoriesRatio: estimate(r.Categories),
		Share: estimate(r.ShareOfTolerance), Tolerance: when(tolerance > 0, tolerance),
		Method: r.Method.String(), Pooled: r.Pooled, Confidence: repeatability.Confidence,
		Values: [...]string{"given", "setups", "readings"}[r.Data.Each],
		H1:     estimate(r.H1), H5: estimate(r.H5), K1: estimate(r.K1), K5: estimate(r.K5),
		Anova: []jsonSource{}, Marks: []jsonLevel{}, Flags: []jsonFlag{}, Unknown: []jsonGap{}, Sentences: words.AboutMethod(r),
	}
	if x := r.Reference; x != nil {
		out.Bias, out.BiasInterval, out.BiasOfMark = estimate(x.Bias), interval(x.Bias), estimate(x.OfMark)
	}
	out.BetweenChance, out.Steadiest = estimate(r.BetweenChance), textOrNull(r.Steadiest)
	out.Slips, out.Aliases, out.Near, out.Absent = []jsonPenSlip{}, []jsonAlias{}, append([][2]string{}, r.Near...), append([]string{}, r.Data.Absent...)
	for _, x := range r.Slips {
		slip := jsonPenSlip{nil, x.By, x.Mark, x.Trial, x.Value.Degrees(), known(x.Fits.Degrees()), known(x.Probability), r.Data.AsRead, words.AboutSlip(r, x)}
		if x.Line > 0 {
			slip.Row = &x.Line
		}
		out.Slips = append(out.Slips, slip)
	}
	for _, list := range [][]repeatability.Alias{r.Data.People, r.Data.Marks} {
		for _, a := range list {
			out.Aliases = append(out.Aliases, jsonAlias(a))
		}
	}
	if r.Categories.Known {
		n := words.Categories(r.Categories)
		out.Categories = &n
	}
	for _, p := range r.People {
		o := jsonOperator{
			By: p.By, N: p.N, Mean: estimate(p.Deviation), SD: estimate(p.SD), SDInterval: interval(p.SD),
			H: estimate(p.H), K: estimate(p.K), KCritical: estimate(p.K1), MeanValue: p.Mean.Degrees(),
			MeanBounds: interval(p.Deviation), MeanChance: estimate(p.Chance), DOF: when(p.DOF > 0, p.DOF),
			Drift: estimate(p.Drift.Slope), DriftChance: estimate(p.Drift.Chance), Sides: estimate(p.Sides),
			MiddleSD: estimate(p.Stop.MiddleSD), HalfArcSD: estimate(p.Stop.HalfArcSD),
			Creep: estimate(p.Stop.Creep.Slope), CreepChance: estimate(p.Stop.Creep.Chance),
			DigitChance: estimate(p.Digits.Chance), Text: words.AboutPerson(r, p), ByMark: []jsonAtMark{},
		}
		for _, m := range p.ByMark {
			o.ByMark = append(o.ByMark, jsonAtMark{m.Mark, m.N, m.Mean.Degrees(), m.Deviation.Degrees(), estimate(m.SD), estimate(m.H), estimate(m.K)})
		}
		out.Operators = append(out.Operators, o)
	}
	for _, s := range r.Anova {
		out.Anova = append(out.Anova, jsonSource{s.Name, s.DOF, s.Squares, s.MeanSquare(), estimate(s.F), estimate(s.P), estimate(s.FWithin), estimate(s.WithinChance)})
	}
	for _, l := range r.Marks {
		out.Marks = append(out.Marks, jsonLevel{
			l.Mark, l.N, l.Mean.Degrees(), estimate(l.Repeatability), estimate(l.Reproducibility),
			estimate(l.Cochran), estimate(l.CochranCritical), textOrNull(l.CochranBy), estimate(l.Grubbs), estimate(l.GrubbsCritical), textOrNull(l.GrubbsBy),
			estimate(l.H1), estimate(l.H5), estimate(l.KCritical1), estimate(l.KCritical5),
		})
	}
	for _, f := range r.Flags {
		flag := jsonFlag{string(f.Code), f.By, textOrNull(f.Mark), nil, estimate(f.Statistic), estimate(f.Critical), words.AboutFlag(f)}
		if f.Trial > 0 {
			flag.Trial = &f.Trial
		}
		out.Flags = append(out.Flags, flag)
	}
	for _, g := range r.Gaps {
		out.Unknown = append(out.Unknown, jsonGap{string(g), words.AboutGap(r, g)})
	}
	return indented(w, out)
}

type jsonRepeat struct {
	Operators        []jsonOperator `json:"operators"`
	Repeatability    *float64       `json:"repeatability_sd_deg"`
	Reproducibility  *float64       `json:"reproducibility_sd_deg"`
	Operator         *float64       `json:"operator_sd_deg"`
	Interaction      *float64       `json:"interaction_sd_deg"`
	Mark             *float64       `json:"mark_sd_deg"`
	RepeatInterval   *[2]float64    `json:"repeatability_interval_deg"`
	ReproInterval    *[2]float64    `json:"reproducibility_interval_deg"`
	OperatorInterval *[2]float64    `json:"operator_interval_deg"`
	InteractInterval *[2]float64    `json:"interaction_interval_deg"`
	MarkInterval     *[2]float64    `json:"mark_interval_deg"`
	RepeatDOF        *float64       `json:"repeatability_dof"`
	Categories       *int           `json:"categories"`
	CategoriesRatio  *float64       `json:"categories_ratio"`
	Share            *float64       `json:"share_of_tolerance"`
	Tolerance        *float64       `json:"tolerance_deg"`
	Method           string         `json:"method"`
	Pooled           bool           `json:"interaction_pooled"`
	Confidence       float64        `json:"confidence"`
	Values           string         `json:"values_are"`
	H1               *float64       `json:"h_critical_1pct"`
	H5               *float64       `json:"h_critical_5pct"`
	K1               *float64       `json:"k_critical_1pct"`
	K5               *float64       `json:"k_critical_5pct"`
	Anova            []jsonSource   `json:"anova"`
	Marks            []jsonLevel    `json:"marks"`
	Flags            []jsonFlag     `json:"flags"`
	Unknown          []jsonGap      `json:"not_known"`
	Sentences        []string       `json:"together"`
	Bias             *float64       `json:"bias_from_known_deg"`
	BiasInterval     *[2]float64    `json:"bias_from_known_interval_deg"`
	BiasOfMark       *float64       `json:"bias_of_mark_expanded_deg"`
	BetweenChance    *float64       `json:"people_differ_p"`
	Steadiest        *string        `json:"steadiest"`
	Slips            []jsonPenSlip  `json:"slips"`
	Aliases          []jsonAlias    `json:"taken_as_one"`
	Near             [][2]string    `json:"one_letter_apart"`
	Absent           []string       `json:"absent"`
}

type jsonPenSlip struct {
	Row    *int     `json:"row"`
	By     string   `json:"by"`
	Mark   string   `json:"mark"`
	Trial  int      `json:"trial"`
	Value  float64  `json:"value_deg"`
	Fits   *float64 `json:"would_fit_deg"`
	P      *float64 `json:"p"`
	AsRead bool     `json:"as_read"`
	Text   string   `json:"text"`
}

type jsonAlias struct {
	Name string `json:"name"`
	Also string `json:"also"`
}

type jsonOperator struct {
	By          string       `json:"by"`
	N           int          `json:"n"`
	Mean        *float64     `json:"mean_deg"`
	SD          *float64     `json:"sd_deg"`
	SDInterval  *[2]float64  `json:"sd_interval_deg"`
	H           *float64     `json:"h"`
	K           *float64     `json:"k"`
	KCritical   *float64     `json:"k_critical_1pct"`
	MeanValue   float64      `json:"mean_value_deg"`
	MeanBounds  *[2]float64  `json:"mean_interval_deg"`
	MeanChance  *float64     `json:"mean_p"`
	DOF         *float64     `json:"dof"`
	Drift       *float64     `json:"drift_deg_per_trial"`
	DriftChance *float64     `json:"drift_p"`
	Sides       *float64     `json:"forward_later_deg"`
	MiddleSD    *float64     `json:"middle_sd_deg"`
	HalfArcSD   *float64     `json:"half_arc_sd_deg"`
	Creep       *float64     `json:"half_arc_creep_deg_per_trial"`
	CreepChance *float64     `json:"half_arc_creep_p"`
	DigitChance *float64     `json:"last_digits_p"`
	Text        string       `json:"text"`
	ByMark      []jsonAtMark `json:"by_mark"`
}

type jsonAtMark struct {
	Mark      string   `json:"mark"`
	N         int      `json:"n"`
	MeanValue float64  `json:"mean_value_deg"`
	Mean      float64  `json:"mean_deg"`
	SD        *float64 `json:"sd_deg"`
	H         *float64 `json:"h"`
	K         *float64 `json:"k"`
}

type jsonSource struct {
	Source       string   `json:"source"`
	DOF          float64  `json:"dof"`
	Squares      float64  `json:"sum_of_squares_deg2"`
	MeanSquare   float64  `json:"mean_square_deg2"`
	F            *float64 `json:"f"`
	P            *float64 `json:"p"`
	FWithin      *float64 `json:"f_against_repeatability"`
	WithinChance *float64 `json:"p_against_repeatability"`
}

type jsonLevel struct {
	Mark            string   `json:"mark"`
	N               int      `json:"n"`
	MeanValue       float64  `json:"mean_value_deg"`
	Repeatability   *float64 `json:"repeatability_sd_deg"`
	Reproducibility *float64 `json:"reproducibility_sd_deg"`
	Cochran         *float64 `json:"cochran"`
	CochranCritical *float64 `json:"cochran_critical_5pct"`
	CochranBy       *string  `json:"cochran_by"`
	Grubbs          *float64 `json:"grubbs"`
	GrubbsCritical  *float64 `json:"grubbs_critical_5pct"`
	GrubbsBy        *string  `json:"grubbs_by"`
	H1              *float64 `json:"h_critical_1pct"`
	H5              *float64 `json:"h_critical_5pct"`
	K1              *float64 `json:"k_critical_1pct"`
	K5              *float64 `json:"k_critical_5pct"`
}

type jsonFlag struct {
	Code      string   `json:"code"`
	By        string   `json:"by"`
	Mark      *string  `json:"mark"`
	Trial     *int     `json:"trial"`
	Statistic *float64 `json:"statistic"`
	Critical  *float64 `json:"critical"`
	Text      string   `json:"text"`
}

type jsonGap struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

func estimate(e repeatability.Estimate) *float64 { return when(e.Known, e.Value) }

func interval(e repeatability.Estimate) *[2]float64 {
	if !e.Bounded {
		return nil
	}
	return &[2]float64{e.Low, e.High}
}
