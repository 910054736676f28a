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
	handsFile = csvfile.Kind{
		Name: "answers", Most: csvfile.MostBytes,
		Columns:  []string{"by", "scatters", "sits_off", "advice"},
		Required: []string{"by", "scatters", "sits_off"},
	}
	verdicts = []string{diagnosis.Within.String(), diagnosis.Outside.String(), diagnosis.Undecided.String()}
)

// ReadAnswers reads a CSV of answers with the columns mark, verdict (within,
// outside, undecided, or empty) and off_by, in degrees with late or early behind
// it, or signed with late positive. What is empty was left open. name is how errors print the file.
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
			a.HasVerdict = true
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
		all = append(all, a)
	})
	if err != nil {
		return nil, err
	}
	return all, nil
}

// ReadHands reads a CSV of answers about a class, with the columns by, scatters and
// sits_off (yes, no, or empty where it was left open) and, if wanted, advice.
func ReadHands(name string, data []byte) ([]HandAnswer, error) {
	all := []HandAnswer{}
	_, err := csvfile.Read(handsFile, name, data, func(f *csvfile.File) {
		a := HandAnswer{By: f.Field("by")}
		if a.By == "" {
			f.Fault(f.At("by"), "found nothing, expected the name of the person", "")
		}
		for i, column := range []string{"scatters", "sits_off"} {
			word := f.Field(column)
			switch word {
			case "yes", "no":
				a.Answered[i] = true
			case "":
			default:
				f.Fault(f.At(column), "found "+inputerror.Shown(word)+", expected yes, no or nothing", "")
			}
			if i == 0 {
				a.Scatters = word == "yes"
			} else {
				a.SitsOff = word == "yes"
			}
		}
		all = append(all, a)
	})
	return all, err
}
