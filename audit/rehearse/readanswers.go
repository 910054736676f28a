package rehearse

import (
	"slices"
	"strings"

	"markaudit/audit/csvfile"
	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

var (
	answersFile = csvfile.Kind{
		Name: "answers", Most: csvfile.MostBytes,
		Columns:  []string{"mark", "off_by", "verdict", "confirm", "cause"},
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
// it, or signed with late positive. In the columns cause and confirm stands, in any
// row, what is said of the sheet as a whole: one of [Causes], one of [Observations].
// What is empty was left open. name is how errors print the file. The error names
// every fault with line, column and key.
func ReadAnswers(name string, data []byte) (Answers, error) {
	all := []Answer{}
	var of SheetAnswer
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
		if i, ok := once(f, "cause", Causes(), of.Cause != "", slices.Index(Causes(), string(of.Cause))); ok {
			of.Cause = Cause(Causes()[i])
		}
		if i, ok := once(f, "confirm", Observations(), of.Confirmed, int(of.Confirm)); ok {
			of.Confirm, of.Confirmed = diagnosis.ObservationKind(i), true
		}
		all = append(all, a)
	})
	return Answers{Lines: all, Sheet: of}, err
}

// once reads one of the words in a column that says one thing of the sheet as a
// whole: another word in a further row is a fault.
func once(f *csvfile.File, column string, words []string, said bool, before int) (int, bool) {
	word := spaced(f.Field(column))
	i := slices.Index(words, word)
	switch {
	case word == "":
	case i < 0:
		f.Fault(f.At(column), "found "+inputerror.Shown(word)+", expected one of "+strings.Join(words, ", "), inputerror.DidYouMean(f.Near(word, words)))
	case said && i != before:
		f.Fault(f.At(column), "found "+inputerror.Shown(word)+" as well as "+words[before]+", expected one "+column+" a sheet", "write it into one row and leave it empty in the others")
	default:
		return i, true
	}
	return 0, false
}

// ReadHands reads a CSV of answers about a class, with the columns by, scatters and
// sits_off (yes, no, or empty where it was left open) and, if wanted, advice: one of
// [Advised], or words of one's own, which are for the instructor.
func ReadHands(name string, data []byte) ([]HandAnswer, error) {
	all := []HandAnswer{}
	_, err := csvfile.Read(handsFile, name, data, func(f *csvfile.File) {
		a := HandAnswer{By: f.Field("by"), Advice: f.Field("advice")}
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
