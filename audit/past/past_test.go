package past

import (
	"math"
	"testing"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

func of(sd geometry.Angle, dof float64) sheet.Past {
	return sheet.Past{Deviation: sheet.Deviation{SD: sd, DOF: dof}, Sheets: 7}
}

// The one formula of lending, and the one-sided F that comes before it. 0.0081/0.0139
// on 2 and 14 is 0.5817, below 2.7265 (another program).
func TestLend(t *testing.T) {
	if f := stats.FQuantile(objects, 2, 14); math.Abs(f-2.7265) > 5e-5 {
		t.Errorf("F = %.4f", f)
	}
	for _, c := range []struct {
		name     string
		today    stats.Scatter
		past     sheet.Past
		variance float64
		dof      float64
		used     bool
		objected bool
	}{
		{"joined", stats.Scatter{Variance: 0.0081, DOF: 2}, of(0.118, 14), (2*0.0081 + 4*0.118*0.118) / 6, 6, true, false},
		{"nothing today", stats.Scatter{}, of(0.118, 14), 0.118 * 0.118, 4, true, false},
		{"a calm day", stats.Scatter{Variance: 1e-6, DOF: 20}, of(0.118, 14), (20*1e-6 + 4*0.118*0.118) / 24, 24, true, false},
		{"a bad day", stats.Scatter{Variance: 0.05, DOF: 6}, of(0.118, 14), 0.05, 6, false, true},
		{"too little past", stats.Scatter{Variance: 0.0081, DOF: 2}, of(0.118, 9), 0.0081, 2, false, false},
		{"a past without scatter", stats.Scatter{Variance: 0.0081, DOF: 2}, of(0, 14), 0.0081, 2, false, true},
		{"neither scatters", stats.Scatter{DOF: 2}, of(0, 14), 0, 6, true, false},
	} {
		got, use := Lend(c.today, c.past)
		if math.Abs(got.Variance-c.variance) > 1e-15 || got.DOF != c.dof || use.Used != c.used || use.Objected != c.objected {
			t.Errorf("%s: %+v, %+v", c.name, got, use)
		}
	}
}

func TestRemounted(t *testing.T) {
	for _, c := range []struct {
		name           string
		offsets        []geometry.Angle
		past           sheet.Past
		used, objected bool
	}{
		{"one mounting cannot object", []geometry.Angle{3}, of(0.1, 20), true, false},
		{"as before", []geometry.Angle{0, 0.1}, of(0.1, 20), true, false},
		{"worse than before", []geometry.Angle{0, 0.5}, of(0.1, 20), false, true},
		{"too little past", []geometry.Angle{0}, of(0.1, 8), false, false},
		{"what computing leaves behind", []geometry.Angle{0.3, 0.1 + 0.2}, of(0, 20), true, false},
	} {
		if u := Remounted(c.offsets, c.past); u.Used != c.used || u.Objected != c.objected {
			t.Errorf("%s: %+v", c.name, u)
		}
	}
}

func history(sds ...geometry.Angle) sheet.History {
	h := sheet.History{Readout: "wheel 4", Step: 0.25, By: []string{"Ilse"}}
	for i, sd := range sds {
		h.Sheets = append(h.Sheets, sheet.PastSheet{
			Digest: string(rune('a' + i)), Date: "2025-03-1" + string(rune('0'+i)), Setups: 1, Middle: sheet.Deviation{SD: sd, DOF: 10},
			Lines: []sheet.PastLine{{Name: "T", Offset: sd}},
		})
	}
	return h
}

// Outside from F on the sheets before at 0.5 %, here 10 and 30 degrees of freedom:
// 3.3440 (R: qf(0.995, 10, 30)).
func TestChart(t *testing.T) {
	limit := 0.1 * math.Sqrt(3.344)
	for _, c := range []struct {
		sd   geometry.Angle
		want bool
	}{{geometry.Angle(limit - 1e-4), false}, {geometry.Angle(limit + 1e-4), true}} {
		points := Chart(history(0.1, 0.1, 0.1, c.sd), OfMiddles)
		last := points[3]
		if last.Outside != c.want || math.Abs(last.Limit.Degrees()-limit) > 1e-4 || points[0].Limit != 0 || points[0].Outside {
			t.Errorf("%v: %+v", c.sd, last)
		}
		if got := len(Outside(history(0.1, 0.1, 0.1, c.sd))) > 0; got != c.want {
			t.Errorf("%v: outside %v", c.sd, got)
		}
	}
	// Four in a row in the upper tenth, none of them outside by itself.
	calm := []geometry.Angle{0.1, 0.1, 0.1, 0.1, 0.1}
	for n, want := range map[int]bool{3: false, 4: true} {
		h := history(append(append([]geometry.Angle{}, calm...), []geometry.Angle{0.14, 0.15, 0.15, 0.16}[:n]...)...)
		points := Chart(h, OfMiddles)
		for _, p := range points {
			if p.Outside {
				t.Fatalf("outside by itself: %+v", p)
			}
		}
		if got := points[len(points)-1].InRun; got != want {
			t.Errorf("%d in a row: %v, %+v", n, got, points)
		}
	}
	if points := Chart(history(0.1), OfReadings); len(points) != 0 {
		t.Errorf("readings that no sheet shows: %+v", points)
	}
}

// t on four degrees of freedom at 99.5 % is 4.6041 (R: qt(0.995, 4)).
func TestValues(t *testing.T) {
	h := history(0.1, 0.2, 0.3, 0.2, 0.2, 0.2)
	values := Values(h, "T")
	if len(values) != 6 || values[4].Half != 0 {
		t.Fatalf("%+v", values)
	}
	sd := math.Sqrt(0.02 / 4)
	if last := values[5]; math.Abs(last.Half.Degrees()-4.6041*sd*math.Sqrt(1+1./5)) > 1e-5 || math.Abs(last.Mean.Degrees()-0.2) > 1e-12 || last.Outside {
		t.Errorf("%+v", last)
	}
	h.Sheets[5].Lines[0].Offset = 0.7
	if !Values(h, "T")[5].Outside || len(Values(h, "none")) != 0 {
		t.Error("0.7 after 0.1 to 0.3 is inside")
	}
}

// When a history counts at all, and what is said where it does not.
func TestFor(t *testing.T) {
	day := func(date, by string) sheet.Sheet {
		h := history(0.1, 0.1, 0.1)
		return sheet.Sheet{Date: date, Readout: sheet.Readout{History: &h}, Setups: []sheet.Setup{{Name: "1", By: by}}}
	}
	wild := day("2026-01-01", "Ilse")
	out := history(0.1, 0.1, 0.1, 0.5)
	wild.Readout.History = &out
	undated := day("2026-01-01", "")
	undated.Readout.History.Sheets[1].Date = ""
	for _, c := range []struct {
		name string
		s    sheet.Sheet
		used bool
		code warning.Code
	}{
		{"none named", sheet.Sheet{}, false, ""},
		{"as it should be", day("2026-01-01", "Ilse"), true, ""},
		{"nobody named", day("2026-01-01", ""), true, ""},
		{"other hands", day("2026-01-01", "Uwe"), false, warning.HistoryNotUsed},
		{"out of control", wild, false, warning.HistoryOutOfControl},
		{"two years and more", day("2027-06-01", "Ilse"), true, warning.HistoryOld},
		{"this sheet undated", day("", "Ilse"), true, warning.HistoryOld},
		{"a sheet behind it undated", undated, true, warning.HistoryOld},
	} {
		p, warnings := For(c.s)
		var code warning.Code
		for _, w := range warnings {
			code += w.Code
		}
		if (p.Of != nil) != c.used || code != c.code {
			t.Errorf("%s: used %v, %q", c.name, p.Of != nil, code)
		}
	}
}
