package history

import (
	"fmt"
	"math"
	"slices"
	"time"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Reason is why a sheet, or a part of it, is not in a history.
type Reason uint8

// The reasons. ZeroedAlike and Swept leave out what remounting changed, Struck the
// readings alone; the others the whole sheet.
const (
	Twice Reason = iota
	OtherHands
	Moved
	Drifted
	InDwell
	Suspect
	NoTDC
	Without
	ZeroedAlike
	Swept
	Struck
)

// Left is what was left out.
type Left struct {
	Result int // index into what was given; of a history's sheet, into that
	Reason Reason
	Count  int // of readings, for Struck
}

// Gather makes a history of past audits of one readout. by names one person, whose
// setups all of a sheet have to be; empty takes everybody's. without are digests, or
// beginnings of them, that are struck. The order of the audits plays no part. The
// error says why they make none.
func Gather(results []audit.Result, by string, without []string) (sheet.History, []Left, error) {
	var h sheet.History
	var left []Left
	for _, d := range without {
		if !slices.ContainsFunc(results, func(r audit.Result) bool { return struck(r.Sheet.Digest, []string{d}) }) {
			return h, nil, fmt.Errorf("found no sheet with the digest %s, expected one of those given; four digits and more stand for it", inputerror.Shown(d))
		}
	}
	for i, r := range results {
		o := r.Sheet.Readout
		switch {
		case o.Kind == sheet.Dial:
			return h, left, fmt.Errorf("readout.kind: found dial in %s, expected wheel, encoder or rim: a dial's millimetres are worth another angle at each line", named(r))
		case o.Name == "":
			return h, left, fmt.Errorf("readout.name: missing in %s, expected the name of the readout, which tells its history from another's", named(r))
		case h.Readout == "":
			h.Readout, h.Step = o.Name, o.Step
		case o.Name != h.Readout:
			return h, left, fmt.Errorf("found the readouts %s and %s, expected sheets of one", inputerror.Shown(h.Readout), inputerror.Shown(o.Name))
		case (o.Step - h.Step).Abs() > geometry.Tie:
			return h, left, fmt.Errorf("found steps of %v and %v with %s, expected one: scatter holds what rounding does", h.Step, o.Step, inputerror.Shown(h.Readout))
		}
		if reason, out := refused(r, h, by, without); out {
			left = append(left, Left{Result: i, Reason: reason})
			continue
		}
		one, more := past(r)
		for _, l := range more {
			l.Result = i
			left = append(left, l)
		}
		h.Sheets = append(h.Sheets, one)
		for _, s := range r.Sheet.Setups {
			if s.By != "" {
				h.By = append(h.By, s.By)
			}
		}
	}
	if len(h.Sheets) == 0 {
		return h, left, fmt.Errorf("no sheet is left for a history of %s", inputerror.Shown(h.Readout))
	}
	h.Sort()
	return h, left, nil
}

func named(r audit.Result) string {
	if r.Sheet.Title != "" {
		return inputerror.Shown(r.Sheet.Title)
	}
	return "a sheet"
}

// refused says why a whole sheet is left out.
func refused(r audit.Result, h sheet.History, by string, without []string) (Reason, bool) {
	has := func(code warning.Code) bool {
		return slices.ContainsFunc(r.Warnings, func(w warning.Warning) bool { return w.Code == code })
	}
	taken := r.Sheet.ReadingsDigest()
	switch {
	case struck(r.Sheet.Digest, without):
		return Without, true
	case slices.ContainsFunc(h.Sheets, func(s sheet.PastSheet) bool { return s.Taken == taken }):
		return Twice, true
	case by != "" && slices.ContainsFunc(r.Sheet.Setups, func(s sheet.Setup) bool { return s.By != by }):
		return OtherHands, true
	case !r.TDC.Any():
		return NoTDC, true
	case has(warning.StopInDwell):
		return InDwell, true
	case has(warning.MiddlesDrift):
		return Drifted, true
	case r.Diagnosis.ReadoutMoved():
		return Moved, true
	case has(warning.DeclarationSuspect):
		return Suspect, true
	}
	return 0, false
}

// past is what one audit showed.
func past(r audit.Result) (sheet.PastSheet, []Left) {
	var left []Left
	one := sheet.PastSheet{Digest: r.Sheet.Digest, Taken: r.Sheet.ReadingsDigest(), Setups: len(r.TDC.Mountings)}
	if day, known := r.Sheet.Taken(); known {
		one.Date = day.Format(time.DateOnly)
	}
	var middles, readings stats.Scatter
	swept := false
	for _, s := range r.TDC.Setups {
		if s.Method != sheet.Stop {
			swept = true
			continue
		}
		middles = stats.Pool(middles, spread(s.Middles))
	}
	var mountings, lines float64
	var perPair, perReading, seen float64
	alike := false
	for _, l := range r.Lines {
		if !l.Read() {
			continue
		}
		one.Lines = append(one.Lines, sheet.PastLine{Name: l.Name, Offset: l.Offset.Value})
		for _, s := range l.Seen {
			readings = stats.Pool(readings, spread(s.Forward), spread(s.Backward))
		}
		if len(l.Seen) < uncertainty.EnoughSetups || len(l.Seen) != len(r.TDC.Mountings) {
			continue
		}
		alike = alike || l.From.Groups[0].Alike
		squares, dof := stats.Spread(l.Offsets())
		mountings, lines = mountings+squares/dof, lines+1
		for _, s := range l.Seen {
			perReading, seen = perReading+s.PerLine, seen+1
		}
	}
	one.Middle, one.Reading = deviation(middles), deviation(readings)
	switch {
	case lines == 0:
	case swept:
		left = append(left, Left{Reason: Swept})
	case alike:
		left = append(left, Left{Reason: ZeroedAlike})
	default:
		// Lines of one mounting err together, so K - 1 and not p (K - 1).
		one.Mounting = deviation(stats.Scatter{Variance: mountings / lines, DOF: float64(len(r.TDC.Mountings) - 1)})
		for _, s := range r.TDC.Setups {
			perPair += 1 / float64(len(s.Middles))
		}
		one.Pairs, one.Readings = float64(len(r.TDC.Setups))/perPair, seen/perReading
	}
	if n := struckReadings(r.Sheet); n > 0 {
		left = append(left, Left{Reason: Struck, Count: n})
	}
	return one, left
}

func spread(angles []geometry.Angle) stats.Scatter {
	squares, dof := stats.Spread(angles)
	if dof == 0 {
		return stats.Scatter{}
	}
	return stats.Scatter{Variance: squares / dof, DOF: dof}
}

// deviation is zero of values that are equal but for what computing left behind.
func deviation(s stats.Scatter) sheet.Deviation {
	if s.Variance < stats.Square(geometry.Tie.Degrees()) {
		s.Variance = 0
	}
	return sheet.Deviation{SD: geometry.Angle(math.Sqrt(s.Variance)), DOF: s.DOF}
}

// struckReadings counts the readings of a sheet that do not count.
func struckReadings(s sheet.Sheet) (n int) {
	count := func(r *sheet.Reading) {
		if r != nil && r.Struck {
			n++
		}
	}
	for i := range s.Setups {
		setup := &s.Setups[i]
		for _, t := range setup.Trials {
			count(t.Forward)
			count(t.Backward)
		}
		for _, m := range s.Marks {
			for j := range setup.Marks[m.Name] {
				count(&setup.Marks[m.Name][j])
			}
		}
	}
	return n
}

// Strike takes sheets out of a history by their digests, or the beginnings of these.
// The error names one that is not there, or is not of one sheet alone.
func Strike(h sheet.History, without []string) (sheet.History, []Left, error) {
	var left []Left
	kept := h
	kept.Sheets = nil
	for _, d := range without {
		n := 0
		for _, s := range h.Sheets {
			if struck(s.Digest, []string{d}) {
				n++
			}
		}
		if n != 1 {
			return h, nil, fmt.Errorf("found %s with the digest %s, expected one", inputerror.Count(n, "sheet"), inputerror.Shown(d))
		}
	}
	for i, s := range h.Sheets {
		if struck(s.Digest, without) {
			left = append(left, Left{Result: i, Reason: Without})
			continue
		}
		kept.Sheets = append(kept.Sheets, s)
	}
	if len(kept.Sheets) == 0 {
		return h, nil, fmt.Errorf("every sheet is struck, expected one to be left")
	}
	return kept, left, nil
}

// fewestDigits of a digest stand for it, as reports print it.
const fewestDigits = 4

func struck(digest string, without []string) bool {
	return slices.ContainsFunc(without, func(d string) bool {
		return len(d) >= fewestDigits && len(d) <= len(digest) && digest[:len(d)] == d
	})
}
