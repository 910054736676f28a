package sheet

import (
	"slices"

	"markaudit/geometry"
)

// Answered is one row of what an apprentice wrote down: how far a line is off,
// positive late, and a verdict, empty where none was given.
type Answered struct {
	Mark    string
	Off     geometry.Angle
	HasOff  bool
	Verdict string
}

var answersTable = columnar{
	"answers", MostReadingsBytes,
	[]string{"mark", "off_by", "verdict"},
	[]string{"mark", "verdict"},
}

var verdicts = []string{"within", "outside", "undecided"}

// ReadAnswers reads a CSV of answers with the columns mark, verdict (within,
// outside, undecided, or empty) and off_by, in degrees with late or early behind
// it, or signed with late positive. The error names every fault with line, column
// and key.
func ReadAnswers(name string, data []byte) ([]Answered, error) {
	r := &reader{Positions: Positions{name: name, at: map[Path]place{"": {file: name}}}, faulted: map[Path]bool{}}
	b := &book{reader: r, columnar: answersTable, name: name}
	var all []Answered
	b.read(data, func() {
		a := Answered{Mark: b.field("mark"), Verdict: b.field("verdict")}
		if a.Mark == "" {
			b.fault(b.mark("mark"), "found nothing, expected the name of the line", "")
		}
		if a.Verdict != "" && !slices.Contains(verdicts, a.Verdict) {
			b.fault(b.mark("verdict"), "found "+shown(a.Verdict)+", expected within, outside or undecided", didYouMean(b.near(a.Verdict, verdicts)))
		}
		if text := b.number("off_by"); text != "" {
			var err error
			if a.Off, err = geometry.ParseOffBy(text); err != nil {
				b.refusal(b.mark("off_by"), err)
			}
			a.HasOff = err == nil
		}
		all = append(all, a)
	})
	if len(r.faults) > 0 {
		return nil, r.Explain(r.faults)
	}
	return all, nil
}
