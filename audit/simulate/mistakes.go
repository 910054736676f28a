package simulate

import (
	"math"
	"slices"
	"strconv"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Slips are those of the pen and of the head.
type Slips struct {
	Mirrored bool      // takes the running direction for the opposite, and with it forward, backward and the counting
	Swapped  [2]string // two lines under each other's names
	Misread  *Misread
}

// Misread is one reading with a wrong digit.
type Misread struct {
	Setup, Reading int // from zero
	Line           string
	By             geometry.Angle // in graduations
}

// Mistake is a mistake of the pen: one declaration of a sheet that is right
// otherwise is wrong.
type Mistake string

// The mistakes. Those about lines need two lines to be picked, that about the
// cylinder the degrees by which the stop's TDC comes after the reference one.
const (
	TurnsWrong            Mistake = "turns"
	MarksOnWrong          Mistake = "marks_on"
	CountsWrong           Mistake = "counts"
	CountsAndLabelsWrong  Mistake = "counts and labels" // who believes the readout to count the other way calls forward and backward by it
	NamesSwapped          Mistake = "names"
	LettersOfOneSwapped   Mistake = "one line's letters"
	LettersOfAllSwapped   Mistake = "all lines' letters"
	StopInAnotherCylinder Mistake = "cylinder"
)

// Mistakes returns all of them.
func Mistakes() []Mistake {
	return []Mistake{
		TurnsWrong, MarksOnWrong, CountsWrong, CountsAndLabelsWrong,
		NamesSwapped, LettersOfOneSwapped, LettersOfAllSwapped, StopInAnotherCylinder,
	}
}

// Made returns a true sheet with the mistake made on it, and false where that
// changes nothing. A mistake about one line is made with the line picked, one
// about two with the other as well.
func (m Mistake) Made(s sheet.Sheet, picked, other int, cylinder geometry.Angle) (sheet.Sheet, bool) {
	switch m {
	case TurnsWrong:
		s.Engine.Turns = s.Engine.Turns.Opposite()
	case MarksOnWrong:
		s.Part.MarksOn = sheet.OnPart + sheet.OnEngine - s.Part.MarksOn
	case CountsWrong:
		s.Readout.Counts = -s.Readout.Counts
	case CountsAndLabelsWrong:
		return mislabelled(s), true
	case NamesSwapped:
		return namesSwapped(s, picked, other), picked != other
	case LettersOfOneSwapped:
		return lettersSwapped(s, picked), hasLetters(s.Marks[picked])
	case LettersOfAllSwapped:
		changes := false
		for i := range s.Marks {
			changes = changes || hasLetters(s.Marks[i])
			s = lettersSwapped(s, i)
		}
		return s, changes
	case StopInAnotherCylinder:
		return stopElsewhere(s, cylinder), true
	}
	return s, true
}

// EveryReading returns a copy of a sheet with f applied to each of its readings,
// in the order of the sheet. Contacts without a partner are not expected.
func EveryReading(s sheet.Sheet, f func(setup int, r sheet.Reading) sheet.Reading) sheet.Sheet {
	s.Setups = slices.Clone(s.Setups)
	for i := range s.Setups {
		setup := &s.Setups[i]
		trial := func(t sheet.Trial) sheet.Trial {
			forward, backward := f(i, *t.Forward), f(i, *t.Backward)
			return sheet.Trial{Forward: &forward, Backward: &backward}
		}
		setup.Trials = slices.Clone(setup.Trials)
		for j, t := range setup.Trials {
			setup.Trials[j] = trial(t)
		}
		setup.Drops = slices.Clone(setup.Drops)
		for j := range setup.Drops {
			d := &setup.Drops[j]
			d.Before, d.After = slices.Clone(d.Before), slices.Clone(d.After)
			for k := range d.Before {
				d.Before[k], d.After[k] = f(i, d.Before[k]), f(i, d.After[k])
			}
		}
		if setup.Sweep != nil {
			swept := *setup.Sweep
			swept.Points = slices.Clone(swept.Points)
			for k := range swept.Points {
				swept.Points[k].Reading = f(i, swept.Points[k].Reading)
			}
			setup.Sweep = &swept
		}
		if setup.Closing != nil {
			closing := trial(*setup.Closing)
			setup.Closing = &closing
		}
		marks := map[string][]sheet.Reading{}
		for _, m := range s.Marks { // in the order of the sheet, for f may draw
			readings := slices.Clone(setup.Marks[m.Name])
			for j, r := range readings {
				readings[j] = f(i, r)
			}
			marks[m.Name] = readings
		}
		setup.Marks = marks
	}
	return s
}

func unchanged(_ int, r sheet.Reading) sheet.Reading { return r }

// mislabelled is the sheet of a person who believes that the readout counts the
// other way round and calls forward and backward by it.
func mislabelled(s sheet.Sheet) sheet.Sheet {
	s = EveryReading(s, func(_ int, r sheet.Reading) sheet.Reading {
		r.Approach = opposite(r.Approach)
		return r
	})
	for i := range s.Setups {
		for j, t := range s.Setups[i].Trials {
			s.Setups[i].Trials[j] = sheet.Trial{Forward: t.Backward, Backward: t.Forward}
		}
	}
	s.Readout.Counts = -s.Readout.Counts
	return s
}

// namesSwapped gives every reading of one line the other's name.
func namesSwapped(s sheet.Sheet, i, j int) sheet.Sheet {
	s = EveryReading(s, unchanged)
	a, b := s.Marks[i].Name, s.Marks[j].Name
	for k := range s.Setups {
		m := s.Setups[k].Marks
		m[a], m[b] = m[b], m[a]
	}
	return s
}

// lettersSwapped writes ATDC for BTDC, or the other way round, for one line.
func lettersSwapped(s sheet.Sheet, line int) sheet.Sheet {
	s.Marks = slices.Clone(s.Marks)
	s.Marks[line].At = -s.Marks[line].At
	return s
}

// hasLetters reports whether a line of an engine is called by BTDC or ATDC.
func hasLetters(m sheet.Mark) bool {
	at := withinHalfATurn(float64(m.At))
	return at != 0 && at != 180 && at != -180
}

// stopElsewhere is the sheet of a stop in the cylinder whose TDC comes after the
// reference one by so much.
func stopElsewhere(s sheet.Sheet, after geometry.Angle) sheet.Sheet {
	s = EveryReading(s, unchanged)
	for i := range s.Setups {
		for _, t := range s.Setups[i].Trials {
			t.Forward.Value += geometry.Angle(s.Readout.Counts) * after
			t.Backward.Value += geometry.Angle(s.Readout.Counts) * after
		}
	}
	return s
}

// lettered writes a nominal with its letters.
func lettered(a geometry.Angle) string {
	text := strconv.FormatFloat(math.Abs(float64(a)), 'f', -1, 64)
	switch {
	case a < 0:
		return text + " BTDC"
	case a > 0:
		return text + " ATDC"
	}
	return text
}
