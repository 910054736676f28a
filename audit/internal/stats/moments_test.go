package stats

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// lre is the log relative error: the number of right digits.
func lre(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got/want - 1))
}

// NIST StRD, univariate summary statistics. The digits asked for are those that
// float64 leaves once the decimal data are rounded to it: 8.3 and 9.5 for the
// standard deviation of NumAcc4 and NumAcc3.
func TestMeanStdDevAgreesWithStRD(t *testing.T) {
	data := map[string][]float64{}
	for _, r := range readCSV(t, "strd-univariate.csv") {
		data[r["dataset"]] = append(data[r["dataset"]], r.number("y"))
	}
	for name, base := range map[string]string{"NumAcc2": "1", "NumAcc3": "1000000", "NumAcc4": "10000000"} {
		decimal := func(s string) float64 { v, _ := strconv.ParseFloat(base+s, 64); return v }
		x := []float64{decimal(".2")}
		for range 500 {
			x = append(x, decimal(".1"), decimal(".3"))
		}
		data[name] = x
	}
	for _, c := range []struct {
		name                   string
		n                      int
		mean, sd, digits, sdig float64
	}{
		{"Michelso", 100, 299.8524, 0.0790105478190518, 14, 13},
		{"Mavro", 50, 2.001856, 0.000429123454003053, 14, 12},
		{"Lew", 200, -177.435, 277.332168044316, 14, 14},
		{"NumAcc1", 3, 10000002, 1, 15, 15},
		{"NumAcc2", 1001, 1.2, 0.1, 14, 13},
		{"NumAcc3", 1001, 1000000.2, 0.1, 14, 9.4},
		{"NumAcc4", 1001, 10000000.2, 0.1, 14, 8.2},
	} {
		x := data[c.name]
		if len(x) != c.n {
			t.Errorf("%s: %d values, want %d", c.name, len(x), c.n)
			continue
		}
		mean, sd := MeanStdDev(x)
		if lre(mean, c.mean) < c.digits || lre(sd, c.sd) < c.sdig {
			t.Errorf("%s: got %.15g and %.15g, want %.15g and %.15g", c.name, mean, sd, c.mean, c.sd)
		}
	}
}

// oneWay is the one-way analysis of variance from means and standard deviations,
// pooled as the audit pools setups and lines: squares over degrees of freedom.
func oneWay(groups [][]float64) (f, residual float64) {
	var means []float64
	var squares, dof float64
	for _, g := range groups {
		m, s := MeanStdDev(g)
		means = append(means, m)
		squares, dof = squares+s*s*float64(len(g)-1), dof+float64(len(g)-1)
	}
	within := squares / dof
	_, between := MeanStdDev(means)
	return float64(len(groups[0])) * between * between / within, math.Sqrt(within)
}

// NIST StRD, one-way analysis of variance. At an offset of 1e12 the rounded
// data themselves hold 4.4 digits of F, so SmLs07 and SmLs09 ask for 3.
func TestOneWayAgreesWithStRD(t *testing.T) {
	sirstv := make([][]float64, 5)
	for _, r := range readCSV(t, "strd-anova.csv") {
		if r["dataset"] == "SiRstv" {
			i := int(r.number("treatment")) - 1
			sirstv[i] = append(sirstv[i], r.number("response"))
		}
	}
	// Offset B, centres as below: B+c once, then B+c-0.1 and B+c+0.1 by turns.
	smls := func(base string, pairs int) (groups [][]float64) {
		for _, c := range []int{4, 3, 5, 3, 5, 3, 5, 3, 5} {
			decimal := func(tenth int) float64 { v, _ := strconv.ParseFloat(base+"."+strconv.Itoa(tenth), 64); return v }
			g := []float64{decimal(c)}
			for range pairs {
				g = append(g, decimal(c-1), decimal(c+1))
			}
			groups = append(groups, g)
		}
		return groups
	}
	for _, c := range []struct {
		name                string
		groups              [][]float64
		f, residual, digits float64
	}{
		{"SiRstv", sirstv, 1.18046237440255, 0.104076068334656, 12},
		{"SmLs01", smls("1", 10), 21, 0.1, 12},
		{"SmLs04", smls("1000000", 10), 21, 0.1, 8.7},
		{"SmLs07", smls("1000000000000", 10), 21, 0.1, 3},
		{"SmLs09", smls("1000000000000", 1000), 2001, 0.1, 3},
	} {
		f, residual := oneWay(c.groups)
		if lre(f, c.f) < c.digits || lre(residual, c.residual) < c.digits {
			t.Errorf("%s: F %.15g, residual %.15g, want %.15g and %.15g", c.name, f, residual, c.f, c.residual)
		}
	}
}

// JCGM 100:2008, H.5: mean and standard deviation of the daily means, pooled
// standard deviation within days, and the F quantiles of H.5.2.3.
func TestZenerExample(t *testing.T) {
	var means []float64
	var squares, dof float64
	for _, r := range readCSV(t, "gum-h5.csv") {
		means = append(means, r.number("mean_V"))
		n := r.number("n") - 1
		squares, dof = squares+n*r.number("sd_uV")*r.number("sd_uV"), dof+n
	}
	mean, sd := MeanStdDev(means)
	within := squares / dof
	a := math.Sqrt(5) * sd * 1e6
	pooled := (9*a*a + dof*within) / 49
	for _, c := range []struct {
		name           string
		got, want, tol float64
	}{
		{"mean / V", mean, 10.000097, 0.5e-6},
		{"s of the means / µV", sd * 1e6, 57, 0.5},
		{"s_a / µV", a, 128, 0.5},
		{"s_b / µV", math.Sqrt(within), 85, 0.5},
		{"degrees of freedom", dof, 40, 0},
		{"F", a * a / within, 2.25, 0.02}, // printed from rounded figures
		{"F 5 %", FQuantile(0.05, 9, 40), 2.12, 0.005},
		{"F 2.5 %", FQuantile(0.025, 9, 40), 2.45, 0.005},
		{"u with a day effect / µV", sd * 1e6 / math.Sqrt(10), 18, 0.5},
		{"u without / µV", math.Sqrt(pooled / 50), 13, 0.5},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s: got %.6g, want %g", c.name, c.got, c.want)
		}
	}
}

func TestMeanStdDevOfEqualReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "reading")
		x := make([]float64, rapid.IntRange(1, 9).Draw(t, "n"))
		for i := range x {
			x[i] = v
		}
		if mean, sd := MeanStdDev(x); mean != v || sd != 0 {
			t.Fatalf("got %v and %v, want %v and 0", mean, sd, v)
		}
	})
}
