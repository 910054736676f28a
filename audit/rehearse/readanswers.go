package rehearse

import (
	"slices"

	"markaudit/audit/csvfile"
	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

var (
	answersFile = csvfile.Kind{
		Name: "answers", Most: csvfile.MostBytes,
		Columns:  []string{"mark", "off_by", "verdict"},
		Required: []string{"mark", "verdict"},
	}
	verdicts = []string{diagnosis.Within.String(), diagnosis.Outside.String(), diagnosis.Undecided.String()}
)

// ReadAnswers reads a CSV of answers with the columns mark, verdict (within,
// outside, undecided, or empty) and off_by, in degrees with late or early behind
// it, or signed with late positive. A line with neither was left open and is no
// answer; without a verdict it is undecided. name is how errors print the file.
// The error names every fault with line, column and key.
func ReadAnswers(name string, data []byte) ([]Answer, error) {
	var all []Answer
	_, err := csvfile.Read(answersFile, name, data, func(f *csvfile.File) {
		a := Answer{Mark: f.Field("mark"), Verdict: diagnosis.Undecided}
		if a.Mark == "" {
			f.Fault(f.At("mark"), "found nothing, expected the name of the line", "")
		}
		verdict := f.Field("verdict")
		switch i := slices.Index(verdicts, verdict); {
		case i >= 0:
			a.Verdict = [...]diagnosis.Verdict{diagnosis.Within, diagnosis.Outside, diagnosis.Undecided}[i]
		case verdict != "":
			f.Fault(f.At("verdict"), "found "+inputerror.Shown(verdict)+", expected within, outside or undecided", inputerror.DidYouMean(f.Near(verdict, verdicts)))
		}
		off := f.Number("off_by")
		if off != "" {
			var err error
			if a.Off, err = geometry.ParseOffBy(off); err != nil {
				f.Refusal(f.At("off_by"), err)
			}
			a.HasOff = err == nil
		}
		if off != "" || verdict != "" {
			all = append(all, a)
		}
	})
	if err != nil {
		return nil, err
	}
	return all, nil
}
