package qualify_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/qualify"
	"markaudit/geometry"
)

// Whole results of studies of which much is unusual, as they are; a refusal by its
// words.
func TestFiguresOfUnusualStudies(t *testing.T) {
	crank := &geometry.Crank{Stroke: 90, Rod: 144, Offset: 3}
	found := map[string]any{}
	for name, c := range map[string]struct {
		bench   func(b *bench)
		pen     func(s *qualify.Study)
		options func(o *qualify.Options)
	}{
		"sound":           {},
		"counts down":     {bench: func(b *bench) { b.counts = -1 }},
		"late":            {bench: func(b *bench) { b.bias = 0.25 }},
		"early":           {bench: func(b *bench) { b.bias = -0.25 }},
		"on the border":   {bench: func(b *bench) { b.bias = 0.09 }},
		"scatters more":   {bench: func(b *bench) { b.sdNew = 0.15 }},
		"steadier":        {bench: func(b *bench) { b.sdNew = 0.01 }},
		"creeps":          {bench: func(b *bench) { b.creep = 0.1 }},
		"creeps outwards": {bench: func(b *bench) { b.creep = -0.1 }},
		"readout drifts":  {bench: func(b *bench) { b.drift = 0.05 }},
		"one after the other, drifting": {bench: func(b *bench) {
			b.drift, b.order = 0.02, []qualify.Tool{qualify.ReferenceTool, qualify.ReferenceTool, qualify.ReferenceTool, qualify.ReferenceTool, qualify.NewTool}
		}},
		"coarse step":     {bench: func(b *bench) { b.step = 0.25 }, options: func(o *qualify.Options) { o.Step = 0.25 }},
		"step of scatter": {bench: func(b *bench) { b.step = 0.1 }, options: func(o *qualify.Options) { o.Step = 0.1 }},
		"one setup":       {bench: func(b *bench) { b.setups = 1 }},
		"two setups":      {bench: func(b *bench) { b.setups = 2 }},
		"one trial each":  {bench: func(b *bench) { b.trials = 1 }},
		"two trials each": {bench: func(b *bench) { b.trials = 2 }},
		"depths alike":    {bench: func(b *bench) { b.halfNew = 22.1 }},
		"no new stop":     {pen: only(qualify.ReferenceTool)},
		"no trusted stop": {pen: only(qualify.NewTool)},
		"unpaired":        {pen: apart},
		"unpaired, two":   {bench: func(b *bench) { b.setups = 2 }, pen: apart},
		"one setup less": {pen: func(s *qualify.Study) {
			s.Trials = slices.DeleteFunc(s.Trials, func(x qualify.Trial) bool { return x.Setup == "3" && x.Tool == qualify.NewTool })
		}},
		"a contact misread":    {pen: add(1), bench: func(b *bench) { b.trials = 5 }},
		"the same, looked up":  {pen: add(1), bench: func(b *bench) { b.trials = 5 }, options: func(o *qualify.Options) { o.AsRead = true }},
		"a contact of two":     {pen: add(-1), bench: func(b *bench) { b.trials = 2 }},
		"labels exchanged":     {pen: func(s *qualify.Study) { s.Trials[0].Tool, s.Trials[1].Tool = s.Trials[1].Tool, s.Trials[0].Tool }, bench: func(b *bench) { b.halfNew = 25 }},
		"geometry known":       {options: func(o *qualify.Options) { o.Crank, o.OffsetLimit = crank, 0.5 }, bench: func(b *bench) { b.halfNew = 35 }},
		"geometry open":        {options: func(o *qualify.Options) { o.Crank, o.OffsetLimit = crank, 3 }, bench: func(b *bench) { b.halfNew = 45 }},
		"trusted with a bias":  {options: func(o *qualify.Options) { o.Trusted = &qualify.Stated{Bias: 0.02, Expanded: 0.03} }},
		"stricter about ratio": {options: func(o *qualify.Options) { o.AllowedRatio = 2 }},
		"no tolerance":         {options: func(o *qualify.Options) { o.Tolerance = 0 }},
	} {
		b := newBench(rand.New(rand.NewPCG(20261128, 17)))
		if c.bench != nil {
			c.bench(&b)
		}
		s := b.study()
		if c.pen != nil {
			c.pen(&s)
		}
		o := options()
		if c.options != nil {
			c.options(&o)
		}
		r, err := qualify.Run(s, o)
		if err != nil {
			found[name] = err.Error()
			continue
		}
		for i := range r.Setups { // what was put in
			r.Setups[i].Reference, r.Setups[i].New = qualify.Cell{}, qualify.Cell{}
		}
		found[name] = r
	}
	testkit.Figures(t, "figures/qualify-unusual.txt", found)
}

func only(tool qualify.Tool) func(s *qualify.Study) {
	return func(s *qualify.Study) {
		s.Trials = slices.DeleteFunc(s.Trials, func(x qualify.Trial) bool { return x.Tool != tool })
	}
}

// apart leaves one tool in each setup, all zeroed alike.
func apart(s *qualify.Study) {
	s.Trials = slices.DeleteFunc(s.Trials, func(x qualify.Trial) bool { return (x.Setup[0]%2 == 0) != (x.Tool == qualify.NewTool) })
	zero := map[string]geometry.Angle{}
	for i := range s.Trials {
		x := &s.Trials[i]
		middle := (x.Forward.Value + x.Backward.Value) / 2
		if _, ok := zero[x.Setup]; !ok {
			zero[x.Setup] = middle
		}
		f, b := *x.Forward, *x.Backward
		f.Value, b.Value = f.Value-zero[x.Setup], b.Value-zero[x.Setup]
		x.Forward, x.Backward = &f, &b
	}
}

func add(by geometry.Angle) func(s *qualify.Study) {
	return func(s *qualify.Study) {
		f := *s.Trials[5].Forward
		f.Value += by
		s.Trials[5].Forward = &f
	}
}
