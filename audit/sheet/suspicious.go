package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"markaudit/geometry"
)

// CorrectionAge is how many days the measurement was taken after its readout's
// correction. It is not known where either has no date.
func (s *Sheet) CorrectionAge() (days int, known bool) {
	if s.Readout.Correction == nil {
		return 0, false
	}
	made, err := time.Parse(time.DateOnly, s.Readout.Correction.Date)
	if err != nil {
		return 0, false
	}
	taken, known := s.Taken()
	if !known {
		return 0, false
	}
	return int(taken.Sub(made).Hours() / 24), true
}

// SameDiameters reports that part and wheel are given one diameter. That is
// possible, and more often one of them was written twice.
func (s *Sheet) SameDiameters() bool {
	return s.Part.Diameter > 0 && s.Part.Diameter == s.Readout.Diameter
}

// OddDiameter is a diameter that is possible and most unlikely.
type OddDiameter struct {
	Key   string // of the sheet
	Value geometry.Length
}

// OddDiameters returns the diameters that may have been written in another unit
// or with a wrong digit.
func (s *Sheet) OddDiameters() (odd []OddDiameter) {
	for _, d := range []struct {
		OddDiameter
		low, high geometry.Length
	}{
		// A small engine's flywheel to a stationary engine's; a pocket wheel to
		// the largest on a stand. Common practice, no source.
		{OddDiameter{"part.diameter", s.Part.Diameter}, 30, 4000},
		{OddDiameter{"readout.diameter", s.Readout.Diameter}, 60, 1500},
	} {
		if d.Value > 0 && (d.Value < d.low || d.Value > d.high) {
			odd = append(odd, d.OddDiameter)
		}
	}
	return odd
}

// copiedReadings is how many readings of a setup all have to be alike to those of
// an earlier one, closing pairs aside, before it is taken for a copy of it:
// coarse steps give a few alike by chance. Common practice, no source.
const copiedReadings = 8

// Copied returns the setups, by their place in the list, whose readings are all
// alike to those of an earlier setup: mostly typed over, or one setup written
// twice, so that the two say no more than one. Struck readings count too; closing
// pairs only where both setups have one. Setups of one named mounting are left
// out, for where the readout was not moved they may well be alike.
func (s *Sheet) Copied() (copies []int) {
	type original struct {
		mounting, closing string
	}
	earlier := map[string][]original{}
	for i, setup := range s.Setups {
		readings, n := s.allReadings(setup)
		if n < copiedReadings {
			continue
		}
		this := original{mounting: setup.Mounting}
		if setup.Closing != nil {
			this.closing = string(trialKey(nil, *setup.Closing))
		}
		alike := func(o original) bool {
			return (o.mounting == "" || o.mounting != this.mounting) && (o.closing == "" || this.closing == "" || o.closing == this.closing)
		}
		switch known := earlier[readings]; {
		case slices.ContainsFunc(known, alike):
			copies = append(copies, i)
		case !slices.Contains(known, this):
			earlier[readings] = append(known, this)
		}
	}
	return copies
}

// allReadings returns all that was read in a setup as one text, closing pair
// aside, and how many readings that are.
func (s *Sheet) allReadings(setup Setup) (text string, n int) {
	var b []byte
	put := func(what string, readings ...Reading) {
		b = strconv.AppendQuote(b, what)
		for i := range readings {
			b = readingKey(b, &readings[i])
			n++
		}
	}
	for _, t := range setup.Trials {
		put("pair")
		b = trialKey(b, t)
		for _, r := range []*Reading{t.Forward, t.Backward} {
			if r != nil {
				n++
			}
		}
	}
	for _, d := range setup.Drops {
		put(fmt.Sprintf("drop %v at %v before", float64(d.Drop), float64(d.Probe)), d.Before...)
		put("after", d.After...)
	}
	put("top", setup.Top...)
	if setup.Sweep != nil {
		for _, p := range setup.Sweep.Points {
			put("height "+number(float64(p.Height)), p.Reading)
		}
	}
	for _, m := range s.Marks {
		put(m.Name, setup.Marks[m.Name]...)
	}
	return string(b), n
}

func trialKey(b []byte, t Trial) []byte {
	return readingKey(append(readingKey(b, t.Forward), '/'), t.Backward)
}

// readingKey adds to a text what tells readings apart that were not alike.
func readingKey(b []byte, r *Reading) []byte {
	if r == nil {
		return append(b, " none"...)
	}
	b = strconv.AppendInt(append(b, ' '), int64(r.Approach), 10)
	for _, x := range []float64{float64(r.Value), float64(r.Length)} {
		b = strconv.AppendFloat(append(b, ' '), x, 'g', -1, 64)
	}
	return b
}
