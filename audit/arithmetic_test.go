package audit_test

import (
	"math"
	"strconv"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// NIST's Statistical Reference Datasets (StRD), handed to Run as readings: what
// comes out must have the certified digits after all that a reading goes
// through. The functions underneath are held to the same sets by themselves in
// internal/stats.

func decimal(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// rightDigits is the log relative error that NIST counts in.
func rightDigits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got/want - 1))
}

// bare is a sheet of one line at the nominal, without any doubt of its own.
func bare(at float64, setups ...sheet.Setup) sheet.Sheet {
	s := plainSheet()
	s.Readout.Step = 1e-6
	s.Readout.OffCentre, s.Part.Sighting, s.Limits.Contact, s.Limits.Remount = 0, lengthLimit(0), lengthLimit(0), angleLimit(0)
	s.Marks = s.Marks[:1]
	s.Marks[0].At = geometry.Angle(at).Wrap()
	s.Setups = setups
	return s
}

// Readings of a line: mean and standard deviation of the univariate sets. The
// digits are those that the rounded data hold. Readings stay below a million, so
// NumAcc3 lies lower by one here, and NumAcc4 is for the functions alone.
func TestReadingsAgreeWithStRD(t *testing.T) {
	data := map[string][]float64{}
	for _, r := range testkit.Reference(t, "strd-univariate.csv") {
		line := r.Texts()
		data[line[0]] = append(data[line[0]], decimal(t, line[1]))
	}
	for name, base := range map[string]string{"NumAcc2": "1", "NumAcc3": "999999"} {
		x := []float64{decimal(t, base+".2")}
		for range 500 {
			x = append(x, decimal(t, base+".1"), decimal(t, base+".3"))
		}
		data[name] = x
	}
	for _, c := range []struct {
		name             string
		n                int
		mean, sd, digits float64
	}{
		{"Michelso", 100, 299.8524, 0.0790105478190518, 12},
		{"Mavro", 50, 2.001856, 0.000429123454003053, 12},
		{"NumAcc2", 1001, 1.2, 0.1, 12},
		{"NumAcc3", 1001, 999999.2, 0.1, 9.4},
	} {
		if len(data[c.name]) != c.n {
			t.Fatalf("%s: %d values, want %d", c.name, len(data[c.name]), c.n)
		}
		setup := sheet.Setup{
			Name: "1", Trials: trials(-20, 20, -20, 20),
			Marks: map[string][]sheet.Reading{"TDC": readings(sheet.Forward, data[c.name]...)},
		}
		result, err := audit.Run(bare(math.Floor(c.mean), setup))
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		m := result.ByLine()[0]
		row := oneRow(t, m, "line readings")
		sd := row.Scale.Degrees() * math.Sqrt(float64(c.n))
		if row.N != c.n || row.DOF != uncertainty.DOF(c.n-1) || rightDigits(sd, c.sd) < c.digits {
			t.Errorf("%s: got %.15g of %d with %v degrees of freedom, want %.15g of %d", c.name, sd, row.N, row.DOF, c.sd, c.n)
		}
		// An offset near 0 keeps as many decimals as the readings have.
		if got, want := m.Offset.Value.Degrees(), c.mean-math.Floor(c.mean); math.Abs(got-want) > 4e-16*c.mean {
			t.Errorf("%s: got a mean of %.15g, want %.15g", c.name, got, want)
		}
	}
}

// Middles of setups: the one-way analysis of variance of setups as treatments
// and pairs as responses. A line that always reads alike leaves the setups'
// means as offsets. Contacts 20 either side of a middle of 196 round by 1e-14
// of 0.1; just below a million, where SmLs04 lies lower by a hundred here, they
// leave 8 digits.
func TestMiddlesAgreeWithStRD(t *testing.T) {
	sirstv := make([][]float64, 5)
	for _, r := range testkit.Reference(t, "strd-anova.csv") {
		line := r.Texts()
		if line[0] == "SiRstv" {
			i := int(decimal(t, line[1])) - 1
			sirstv[i] = append(sirstv[i], decimal(t, line[2]))
		}
	}
	// Smith and Lesjak: offset B, centres as below: B+c once, then B+c-0.1 and
	// B+c+0.1 by turns.
	smls := func(base string) (groups [][]float64) {
		for _, c := range []int{4, 3, 5, 3, 5, 3, 5, 3, 5} {
			at := func(tenth int) float64 { return decimal(t, base+"."+strconv.Itoa(tenth)) }
			g := []float64{at(c)}
			for range 10 {
				g = append(g, at(c-1), at(c+1))
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
		{"SiRstv", sirstv, 1.18046237440255, 0.104076068334656, 10},
		{"SmLs01", smls("1"), 21, 0.1, 12},
		{"SmLs04", smls("999900"), 21, 0.1, 8.2},
	} {
		k, n := float64(len(c.groups)), float64(len(c.groups[0]))
		line := math.Floor(c.groups[0][0])
		var setups []sheet.Setup
		for i, g := range c.groups {
			setup := sheet.Setup{Name: strconv.Itoa(i + 1), Marks: map[string][]sheet.Reading{"TDC": readings(sheet.Forward, line, line)}}
			for _, middle := range g {
				setup.Trials = append(setup.Trials, trials(middle-20, middle+20)...)
			}
			setups = append(setups, setup)
		}
		result, err := audit.Run(bare(0, setups...))
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		within := result.TDC.Scatter.Degrees()
		row := oneRow(t, result.ByLine()[0], "setups against each other")
		between := row.Scale.Degrees() * math.Sqrt(k) // of the setups' means
		f := n * between * between / (within * within)
		if result.TDC.DOF != k*(n-1) || row.DOF != uncertainty.DOF(k-1) {
			t.Errorf("%s: got %v and %v degrees of freedom, want %v and %v", c.name, result.TDC.DOF, row.DOF, k*(n-1), k-1)
		}
		if rightDigits(f, c.f) < c.digits || rightDigits(within, c.residual) < c.digits {
			t.Errorf("%s: F %.15g, residual %.15g, want %.15g and %.15g", c.name, f, within, c.f, c.residual)
		}
	}
}
