package wheel_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// comparison is how a readout is compared, and how it errs.
type comparison struct {
	stations, rounds int
	mountings        int
	bothWays         bool
	byTurns          bool // one station forward, the next backward
	down             bool
	opposite         bool
	from, to         float64 // of the reference; to zero: all round
	noise, lost      float64
	first, second    float64 // amplitudes; the first by mounting
	slipped          float64 // of one reading
	options          wheel.Options
}

func (c comparison) rows() (out []wheel.Row) {
	rng := rand.New(rand.NewPCG(20261128, 16))
	if c.to == 0 {
		c.to = 360
	}
	e := func(mounting int, reading float64) float64 {
		a := reading * math.Pi / 180
		return c.first*math.Sin(a-float64(mounting)) + c.second*math.Cos(2*a-0.5) + 0.03*math.Sin(3*a)
	}
	rounded := func(x float64) geometry.Angle { return geometry.Angle(math.Round(x*100) / 100).Turn() }
	for m := range max(1, c.mountings) {
		for round := range max(1, c.rounds) {
			for i := range c.stations {
				reference := c.from + (c.to-c.from)*float64(i)/float64(c.stations)
				sign := 1.0
				if c.down {
					sign = -1
				}
				row := wheel.Row{}
				if c.mountings > 0 {
					row.Mounting = strconv.Itoa(m + 1)
				}
				side := 0.0
				if c.bothWays {
					row.Approach, side = []sheet.Approach{sheet.Forward, sheet.Backward}[round%2], float64(round%2)-0.5
				}
				if c.byTurns {
					row.Approach, side = []sheet.Approach{sheet.Forward, sheet.Backward}[i%2], float64(i%2)-0.5
				}
				shown := sign*reference + 20*float64(m)
				shown += e(m, shown) + side*c.lost*sign + c.noise*rng.NormFloat64()
				if c.slipped != 0 && m == 0 && round == 0 && i == c.stations/3 {
					shown += c.slipped
				}
				if c.opposite {
					over := sign*reference + 180
					row.Pointers, row.Reading, row.Opposite = true, rounded(shown), rounded(over+e(m, over)+c.noise*rng.NormFloat64())
				} else {
					row.Reference, row.Reading = geometry.Angle(reference), rounded(shown)
				}
				out = append(out, row)
			}
		}
	}
	return out
}

// Whole results of unusual comparisons, as they are; a refusal by its words.
func TestFiguresOfUnusualTables(t *testing.T) {
	found := map[string]any{}
	for name, c := range map[string]comparison{
		"twelve stations":           {stations: 12, rounds: 2, noise: 0.02, first: 0.2, second: 0.1},
		"counts down":               {stations: 12, rounds: 2, noise: 0.02, first: 0.2, second: 0.1, down: true, options: wheel.Options{Diameter: 300, Step: 0.1}},
		"four stations":             {stations: 4, noise: 0.02, first: 0.3},
		"six stations":              {stations: 6, rounds: 3, noise: 0.01, first: 0.3},
		"seven stations":            {stations: 7, rounds: 1, noise: 0.01, first: 0.3, second: 0.2},
		"three stations":            {stations: 3, rounds: 2, noise: 0.02},
		"part of a turn":            {stations: 10, rounds: 2, to: 140, noise: 0.02, first: 0.2},
		"both ways":                 {stations: 10, rounds: 4, bothWays: true, noise: 0.02, lost: 0.3, first: 0.2},
		"both ways, none lost":      {stations: 10, rounds: 4, bothWays: true, noise: 0.02, first: 0.2},
		"ways by turns":             {stations: 11, rounds: 1, byTurns: true, noise: 0.02, lost: 0.3, first: 0.2},
		"few, ways by turns":        {stations: 6, rounds: 1, byTurns: true, noise: 0.02, lost: 0.3, first: 0.2},
		"two mountings":             {stations: 10, rounds: 2, mountings: 2, noise: 0.02, first: 0.3, second: 0.1, options: wheel.Options{Diameter: 280}},
		"three mountings":           {stations: 10, rounds: 1, mountings: 3, noise: 0.02, first: 0.3, second: 0.1, options: wheel.Options{Diameter: 280, Slide: 0.2}},
		"opposite pointers":         {stations: 16, rounds: 2, opposite: true, noise: 0.02, first: 0.3, second: 0.1},
		"opposite, counts down":     {stations: 16, rounds: 2, opposite: true, noise: 0.02, first: 0.3, down: true, options: wheel.Options{Diameter: 280}},
		"one slips":                 {stations: 12, rounds: 2, noise: 0.01, first: 0.2, slipped: 1},
		"one slips, looked up":      {stations: 12, rounds: 2, noise: 0.01, first: 0.2, slipped: 1, options: wheel.Options{AsRead: true}},
		"one of a single round":     {stations: 14, noise: 0.01, first: 0.2, slipped: -0.5},
		"centred, no curve":         {stations: 12, rounds: 3, noise: 0.05},
		"coarse step":               {stations: 12, rounds: 2, first: 0.4, options: wheel.Options{Step: 1, Diameter: 200}},
		"reference errs":            {stations: 12, rounds: 2, noise: 0.01, first: 0.4, options: wheel.Options{Reference: wheel.Reference{Limit: 0.1}, Set: wheel.SetReference}},
		"wheel set":                 {stations: 12, rounds: 2, noise: 0.01, first: 0.4, second: 0.1, options: wheel.Options{Set: wheel.SetWheel, Step: 0.1}},
		"turned by whole stations":  {stations: 18, mountings: 3, noise: 0.02, first: 0.3, second: 0.1},
		"the same, both ways":       {stations: 18, rounds: 2, mountings: 3, bothWays: true, noise: 0.02, lost: 0.2, first: 0.3, second: 0.1, options: wheel.Options{Diameter: 280}},
		"the same, counts down":     {stations: 18, rounds: 2, mountings: 3, bothWays: true, noise: 0.02, lost: 0.2, first: 0.3, second: 0.1, down: true, options: wheel.Options{Step: 0.1}},
		"the same, runs":            {stations: 18, rounds: 3, mountings: 2, noise: 0.05, first: 0.3},
		"turned by half a station":  {stations: 9, mountings: 3, bothWays: true, rounds: 2, noise: 0.02, first: 0.3},
		"too few to turn":           {stations: 3, mountings: 2, noise: 0.02, first: 0.3},
		"one slips, remounted":      {stations: 18, mountings: 3, noise: 0.02, first: 0.3, slipped: 1},
		"one slips, mountings":      {stations: 12, mountings: 2, noise: 0.02, first: 0.3, slipped: -1},
		"one slips, both ways":      {stations: 16, rounds: 2, bothWays: true, noise: 0.02, lost: 0.2, first: 0.3, slipped: 1},
		"without scatter":           {stations: 12, first: 0.3, options: wheel.Options{Diameter: 280, Step: 0.001}},
		"a straight line":           {stations: 12, rounds: 2, options: wheel.Options{Diameter: 280}},
		"small, large wheel":        {stations: 12, rounds: 2, noise: 0.001, first: 0.02, options: wheel.Options{Diameter: 100}},
		"slid with care":            {stations: 12, rounds: 2, noise: 0.02, first: 0.2, options: wheel.Options{Diameter: 100, Slide: 0.01}},
		"slid without":              {stations: 12, rounds: 2, noise: 0.02, first: 0.2, options: wheel.Options{Diameter: 100, Slide: 0.3}},
		"second rules":              {stations: 12, rounds: 2, noise: 0.01, first: 0.1, second: 0.4, options: wheel.Options{Diameter: 280}},
		"reference errs, remounted": {stations: 18, mountings: 3, noise: 0.02, first: 0.3, options: wheel.Options{Reference: wheel.Reference{Limit: 0.1}}},
		"on the graduations":        {stations: 24, rounds: 2, noise: 0.02, first: 0.2, options: wheel.Options{Step: 0.5, Diameter: 280}},
		"far off, on graduations":   {stations: 24, rounds: 2, noise: 0.02, first: 2, options: wheel.Options{Step: 0.5, Diameter: 280}},
		"nearly on them":            {stations: 27, rounds: 2, noise: 0.02, first: 0.2, options: wheel.Options{Step: 0.5, Diameter: 280}},
		"one round, both ways":      {stations: 8, rounds: 2, bothWays: true, noise: 0.05, lost: 0.2, first: 0.3},
		"stations at every tenth":   {stations: 36, rounds: 1, noise: 0.02, first: 0.2, second: 0.3, from: 5, to: 365},
	} {
		var a wheel.Accumulator
		for _, row := range c.rows() {
			a.Add(row)
		}
		r, err := a.Audit(c.options)
		if err != nil {
			found[name] = err.Error()
			continue
		}
		type at struct{ Error, Expanded geometry.Angle }
		var curve []at
		if r.CurveKnown() {
			for reading := geometry.Angle(10); reading < 360; reading += 90 {
				curve = append(curve, at{r.ErrorAt(reading), r.Expanded(reading)})
			}
		}
		found[name] = struct {
			Result wheel.Result
			Curve  []at
		}{r, curve}
	}
	testkit.Figures(t, "figures/wheel-unusual.txt", found)
}
