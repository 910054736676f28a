package past

import (
	"slices"
	"time"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// EnoughDOF is the number of degrees of freedom from which a part of a history is
// used. Chosen by simulation (docs/validation.md).
const EnoughDOF = 10

// objects is the significance at which today's readings refuse the past: one-sided,
// for a day that is calmer is only wider for it. Chosen by simulation.
const objects = 0.10

// old is the age from which a history is doubted. Common practice, no source.
const old = 2 * 365 * 24 * time.Hour

// Past is the history of one sheet, as far as it may be used. The zero value is
// none.
type Past struct {
	Of *sheet.History // nil: none is used
}

// For says whether the history that a sheet names may be used for it, and why not.
func For(s sheet.Sheet) (Past, []warning.Warning) {
	h := s.Readout.History
	if h == nil {
		return Past{}, nil
	}
	for _, setup := range s.Setups {
		if setup.By != "" && len(h.By) > 0 && !slices.Contains(h.By, setup.By) {
			return Past{}, []warning.Warning{{Code: warning.HistoryNotUsed, Setup: setup.Name, Names: []string{OtherHands, setup.By}}}
		}
	}
	if outside := Outside(*h); len(outside) > 0 {
		var digests []string
		for _, p := range outside {
			digests = append(digests, h.Sheets[p].Digest)
		}
		return Past{}, []warning.Warning{{Code: warning.HistoryOutOfControl, Names: digests}}
	}
	var warnings []warning.Warning
	newest, dated := h.Newest()
	taken, known := s.Taken()
	if !dated || !known || taken.Sub(newest) > old {
		days := 0.0 // not known
		if dated && known {
			days = taken.Sub(newest).Hours() / 24
		}
		warnings = append(warnings, warning.Warning{Code: warning.HistoryOld, Values: []float64{days}})
	}
	return Past{h}, warnings
}

// Why a history is not used: the first of the names of its warning.
const (
	OtherHands = "by"       // then whose
	Middles    = "middles"  // they scatter more than they used to
	Readings   = "readings" // likewise
	Mountings  = "mountings"
)

// Use is what became of one part of a history.
type Use struct {
	Used        bool
	Objected    bool           // today's readings scatter more
	Then, Today geometry.Angle // standard deviations; Today zero where nothing repeats
	Sheets      int            // earlier ones
}

// Lend returns today's scatter joined with that of the past, of which at most four
// degrees of freedom count, unless today's objects: s²/s_p² above F(ν, ν_p) at 10 %.
func Lend(today stats.Scatter, p sheet.Past) (stats.Scatter, Use) {
	u := Use{Then: p.SD, Today: deviation(today), Sheets: p.Sheets}
	if p.DOF < EnoughDOF {
		return today, u
	}
	then := stats.Scatter{Variance: stats.Square(p.SD.Degrees()), DOF: p.DOF}
	if u.Objected = objected(today, then); u.Objected {
		return today, u
	}
	u.Used = true
	return today.Lend(then), u
}

// objected reports whether a scatter is larger than that of the past. What computing
// leaves behind is none.
func objected(today, then stats.Scatter) bool {
	if today.DOF == 0 || today.Variance < stats.Square(geometry.Tie.Degrees()) {
		return false
	}
	return then.Variance == 0 || today.Variance/then.Variance > stats.FQuantile(objects, today.DOF, then.DOF)
}

func deviation(s stats.Scatter) geometry.Angle { return root(s.Variance) }

// Objection is the warning that today's readings scatter more than they used to.
func Objection(why, line string, u Use) warning.Warning {
	return warning.Warning{Code: warning.HistoryNotUsed, Mark: line, Names: []string{why}, Values: []float64{u.Then.Degrees(), u.Today.Degrees()}}
}

// Remounted says whether the spread of a line's offsets over today's mountings may be
// joined with that of the past. One mounting has none, and cannot object.
func Remounted(offsets []geometry.Angle, p sheet.Past) Use {
	u := Use{Then: p.SD, Sheets: p.Sheets}
	if p.DOF < EnoughDOF {
		return u
	}
	if squares, dof := stats.Spread(offsets); dof > 0 {
		today := stats.Scatter{Variance: squares / dof, DOF: dof}
		u.Today = deviation(today)
		u.Objected = objected(today, stats.Scatter{Variance: stats.Square(p.SD.Degrees()), DOF: p.DOF})
	}
	u.Used = !u.Objected
	return u
}
