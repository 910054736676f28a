package repeatability_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/repeatability"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// unusual are small classes of which much is unusual, and what the pen does to their
// values.
var unusual = map[string]struct {
	class simulate.Class
	pen   func(d *repeatability.Data)
}{
	"alone":              {class: simulate.Class{People: 1, Marks: 2, Repeats: 4, Scatter: 0.2}},
	"one mark":           {class: simulate.Class{People: 4, Marks: 1, Repeats: 4, Person: 0.3, Scatter: 0.2}},
	"read once":          {class: simulate.Class{People: 4, Marks: 3, Repeats: 1, Person: 0.3, Scatter: 0.2}},
	"one value":          {class: simulate.Class{People: 4, Marks: 1, Repeats: 1, Person: 0.3, Scatter: 0.2}},
	"two by two once":    {class: simulate.Class{People: 2, Marks: 2, Repeats: 1, Person: 0.3, Scatter: 0.2}},
	"two by two twice":   {class: simulate.Class{People: 2, Marks: 2, Repeats: 2, Person: 0.3, Interaction: 0.5, Mark: 0.3, Scatter: 0.1}},
	"two, one mark":      {class: simulate.Class{People: 2, Marks: 1, Repeats: 2, Person: 0.3, Scatter: 0.2}},
	"two, one mark once": {class: simulate.Class{People: 2, Marks: 1, Repeats: 1, Person: 0.3, Scatter: 0.2}, pen: known(0)},
	"one, one mark":      {class: simulate.Class{People: 1, Marks: 1, Repeats: 2, Scatter: 0.2}},
	"one, two marks":     {class: simulate.Class{People: 1, Marks: 2, Repeats: 2, Scatter: 0.2}, pen: known(0)},
	"two, one sits off":  {class: simulate.Class{People: 2, Marks: 3, Repeats: 3, Scatter: 0.1}, pen: add("p1", func(float64) float64 { return 1 })},
	"two, one scatters":  {class: simulate.Class{People: 2, Marks: 2, Repeats: 4, Scatter: 0.1}, pen: add("p1", func(trial float64) float64 { return 1.5 * math.Cos(math.Pi*trial) })},
	"one steady, one off": {class: simulate.Class{People: 5, Marks: 2, Repeats: 5, Scatter: 0.2}, pen: func(d *repeatability.Data) {
		for i := range d.Values {
			switch v := &d.Values[i]; v.By {
			case "p0":
				v.Value /= 20
			case "p3":
				v.Value += 1.5
			}
		}
	}},
	"four cells, one repeat": {class: simulate.Class{People: 2, Marks: 2, Repeats: 2, Person: 0.3, Interaction: 0.3, Scatter: 0.1}, pen: lost(func(by, mark string, trial int) bool { return trial == 2 && by+mark != "p0m0" })},
	"corners twice":          {class: simulate.Class{People: 2, Marks: 2, Repeats: 2, Person: 0.3, Scatter: 0.1}, pen: lost(func(by, mark string, _ int) bool { return by+mark == "p1m1" })},
	"a hole, read once":      {class: simulate.Class{People: 3, Marks: 3, Repeats: 1, Person: 0.3, Scatter: 0.1}, pen: lost(func(by, mark string, _ int) bool { return by+mark == "p1m1" })},
	"one, a value lost":      {class: simulate.Class{People: 1, Marks: 3, Repeats: 3, Mark: 0.5, Scatter: 0.1}, pen: lost(func(_, mark string, trial int) bool { return mark == "m1" && trial == 3 })},
	"one mark, a value lost": {class: simulate.Class{People: 4, Marks: 1, Repeats: 3, Person: 0.5, Scatter: 0.1}, pen: lost(func(by, _ string, trial int) bool { return by == "p1" && trial == 3 })},
	"alike, a value lost": {class: simulate.Class{People: 3, Marks: 3, Repeats: 2, Person: 1, Interaction: 1, Scatter: 0.001}, pen: func(d *repeatability.Data) {
		rounded(0.5, "")(d)
		lost(func(by, mark string, trial int) bool { return by+mark == "p2m2" && trial == 2 })(d)
	}},
	"trials together": {class: simulate.Class{People: 3, Marks: 3, Repeats: 5, Person: 0.3, Scatter: 0.05}, pen: func(d *repeatability.Data) {
		for i := range d.Values {
			v := &d.Values[i]
			v.Value += geometry.Angle(0.3 * math.Sin(float64(7*v.Trial+3*int(v.By[1]))))
		}
	}},
	"holes":              {class: simulate.Class{People: 6, Marks: 3, Repeats: 2, Person: 0.3, Scatter: 0.2, Missing: 0.15}},
	"many holes":         {class: simulate.Class{People: 5, Marks: 4, Repeats: 2, Person: 0.3, Interaction: 0.2, Scatter: 0.2, Missing: 0.4}},
	"two with holes":     {class: simulate.Class{People: 2, Marks: 3, Repeats: 3, Person: 0.5, Scatter: 0.2, Missing: 0.2}},
	"nobody differs":     {class: simulate.Class{People: 4, Marks: 3, Repeats: 3, Scatter: 0.2}},
	"interaction":        {class: simulate.Class{People: 4, Marks: 3, Repeats: 3, Person: 0.1, Interaction: 0.8, Scatter: 0.1}},
	"marks differ":       {class: simulate.Class{People: 4, Marks: 3, Repeats: 3, Person: 0.1, Mark: 2, Scatter: 0.1}, pen: known(0)},
	"known otherwise":    {class: simulate.Class{People: 4, Marks: 2, Repeats: 3, Person: 0.1, Scatter: 0.1}, pen: known(1)},
	"one sits off":       {class: simulate.Class{People: 6, Marks: 2, Repeats: 3, Person: 0.05, Scatter: 0.1}, pen: add("p2", func(float64) float64 { return 2 })},
	"one scatters":       {class: simulate.Class{People: 6, Marks: 2, Repeats: 4, Person: 0.05, Scatter: 0.1}, pen: add("p2", func(trial float64) float64 { return 1.5 * math.Cos(math.Pi*trial) })},
	"one drifts":         {class: simulate.Class{People: 4, Marks: 2, Repeats: 6, Person: 0.05, Scatter: 0.05}, pen: add("p2", func(trial float64) float64 { return -0.4 * trial })},
	"one drifts later":   {class: simulate.Class{People: 4, Marks: 2, Repeats: 6, Person: 0.05, Scatter: 0.05}, pen: add("p1", func(trial float64) float64 { return 0.2 * trial })},
	"a sign":             {class: simulate.Class{People: 4, Marks: 2, Repeats: 5, Mark: 3, Scatter: 0.1}, pen: slip(-1, 0)},
	"a point":            {class: simulate.Class{People: 4, Marks: 2, Repeats: 5, Mark: 3, Scatter: 0.1}, pen: slip(10, 0)},
	"a point before":     {class: simulate.Class{People: 4, Marks: 2, Repeats: 5, Mark: 3, Scatter: 0.1}, pen: slip(0.1, 0)},
	"a degree":           {class: simulate.Class{People: 4, Marks: 2, Repeats: 5, Scatter: 0.05}, pen: slip(1, 1)},
	"ten degrees":        {class: simulate.Class{People: 4, Marks: 2, Repeats: 5, Scatter: 0.05}, pen: slip(1, -10)},
	"no slip explains":   {class: simulate.Class{People: 4, Marks: 2, Repeats: 5, Scatter: 0.05}, pen: slip(1, 2.4)},
	"among few":          {class: simulate.Class{People: 3, Marks: 2, Repeats: 1, Scatter: 0.05}, pen: slip(1, 10)},
	"among few, no slip": {class: simulate.Class{People: 3, Marks: 2, Repeats: 1, Scatter: 0.05}, pen: slip(1, 33.3)},
	"looked up":          {class: simulate.Class{People: 4, Marks: 2, Repeats: 5, Scatter: 0.05}, pen: func(d *repeatability.Data) { slip(1, 1)(d); d.AsRead = true }},
	"a coarse hand":      {class: simulate.Class{People: 4, Marks: 3, Repeats: 5, Person: 0.2, Scatter: 1}, pen: rounded(0.5, "p1")},
	"all coarse":         {class: simulate.Class{People: 4, Marks: 3, Repeats: 5, Person: 0.2, Scatter: 1}, pen: rounded(1, "")},
	"all alike":          {class: simulate.Class{People: 3, Marks: 2, Repeats: 2, Scatter: 0.01}, pen: rounded(0.5, "")},
	"two islands": {class: simulate.Class{People: 4, Marks: 2, Repeats: 3, Person: 0.2, Scatter: 0.1}, pen: func(d *repeatability.Data) {
		d.Values = slices.DeleteFunc(d.Values, func(v repeatability.Value) bool { return (v.By == "p0" || v.By == "p1") == (v.Mark == "m0") })
	}},
}

func add(by string, what func(trial float64) float64) func(d *repeatability.Data) {
	return func(d *repeatability.Data) {
		for i := range d.Values {
			if v := &d.Values[i]; v.By == by {
				v.Value += geometry.Angle(what(float64(v.Trial)))
			}
		}
	}
}

func lost(which func(by, mark string, trial int) bool) func(d *repeatability.Data) {
	return func(d *repeatability.Data) {
		d.Values = slices.DeleteFunc(d.Values, func(v repeatability.Value) bool { return which(v.By, v.Mark, v.Trial) })
	}
}

func slip(times, plus geometry.Angle) func(d *repeatability.Data) {
	return func(d *repeatability.Data) {
		v := &d.Values[3]
		v.Value = times*v.Value + plus
	}
}

func rounded(step float64, by string) func(d *repeatability.Data) {
	return func(d *repeatability.Data) {
		d.Step = 0.1
		for i := range d.Values {
			if v := &d.Values[i]; by == "" || v.By == by {
				v.Value = geometry.Angle(step * math.Round(v.Value.Degrees()/step))
			}
		}
	}
}

func known(off geometry.Angle) func(d *repeatability.Data) {
	return func(d *repeatability.Data) {
		d.Known = []repeatability.Known{{Mark: "m1", Value: off, Expanded: 0.1}}
		d.Tolerance = 1
	}
}

// short leaves out what was put in, and what each person found at each mark, which
// the figures of the classes have.
func short(r repeatability.Result) repeatability.Result {
	r.Data.Values, r.Data.Setups = nil, nil
	for i := range r.People {
		r.People[i].ByMark = nil
	}
	return r
}

// Whole results of unusual studies, as they are. People, trials and marks come in the
// order in which they were drawn.
func TestFiguresOfUnusualClasses(t *testing.T) {
	found := map[string]repeatability.Result{}
	for name, u := range unusual {
		var d repeatability.Data
		for _, v := range u.class.Draw(rand.New(rand.NewPCG(20261128, 14))) {
			d.Values = append(d.Values, repeatability.Value{By: v.By, Mark: v.Mark, Trial: v.Trial, Value: geometry.Angle(math.Round(v.Value.Degrees()*100) / 100)})
		}
		d.Step = 0.01
		if u.pen != nil {
			u.pen(&d)
		}
		found[name] = short(repeatability.Analyse(d, repeatability.PoolAuto))
	}
	testkit.Figures(t, "figures/repeat-unusual.txt", found)
}

// The same of people who read a stand, by the sheet of it.
func TestFiguresOfPeopleAtAStand(t *testing.T) {
	r := simulate.Steady(0.5, 0, 120, -30)
	r.Readout.Step = 0.1
	first := r.Setups[0]
	r.Setups = nil
	for i, by := range []string{"Ann", "Bob", "Cleo", "Dora", "Ann", "Bob", "Cleo", "Dora"} {
		u := first
		u.By, u.Trials, u.Readings = by, 5, 4
		u.Approaches = []sheet.Approach{sheet.Forward, sheet.Backward}
		switch by {
		case "Bob":
			u.Hand.Creep = 0.12
		case "Cleo":
			u.Hand.StopSD = 0.5
		case "Dora":
			u.Hand.Rounds, u.Hand.WrongSide = 1, i > 4
		}
		r.Setups = append(r.Setups, u)
	}
	found := map[string]repeatability.Result{}
	for name, setups := range map[string]int{"once": 4, "twice": 8} {
		r := r
		r.Setups = r.Setups[:setups]
		s, _ := r.Measure(rand.New(rand.NewPCG(20261128, 15)))
		d, err := repeatability.FromSheet(s)
		if err != nil {
			t.Fatal(err)
		}
		found[name] = short(repeatability.Analyse(d, repeatability.PoolAuto))
	}
	testkit.Figures(t, "figures/repeat-stand.txt", found)
}
