package audit

import (
	"slices"

	"markaudit/audit/advise"
	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
)

// Result is everything that one sheet can tell: what each stage found, in the
// order of the stages.
type Result struct {
	Sheet     sheet.Sheet
	TDC       tdc.Found
	Lines     []lines.Line // in the order of the sheet
	Checks    crosscheck.Checks
	Together  lines.Alike // what the lines say together; nothing where they are not as measured
	Diagnosis diagnosis.Diagnosis
	Advice    advise.Advice
	After     *Afterwards // what was found after scribing; nil where the sheet says nothing of it
	Warnings  []warning.Warning
}

// Run audits the lines of one sheet. The error is of type [inputerror.List] and says
// what on the sheet cannot be right; an unfinished sheet is no error.
func Run(s sheet.Sheet) (Result, error) {
	if faults := s.Check(); len(faults) > 0 {
		return Result{}, faults
	}
	shown := readout.New(s)
	top, err := tdc.Find(s, shown)
	if err != nil {
		return Result{}, err
	}
	placed, err := lines.Place(s, shown, top)
	if err != nil {
		return Result{}, err
	}
	checks := crosscheck.All(s, shown, top, placed.Lines)
	told := diagnose(stages{s, shown, top, placed.Lines, checks})
	var together lines.Alike
	if top.Any() && !told.Refuted {
		together = lines.Alikes(s, top, placed.Lines)
	}
	advice := advise.Give(s, top, placed.Lines, checks, together, told)
	return Result{
		Sheet: s, TDC: top, Lines: placed.Lines, Checks: checks, Together: together, Diagnosis: told,
		Advice: advice, After: afterwards(s, shown, top, placed.Lines, told, advice),
		Warnings: slices.Concat(top.Warnings, placed.Warnings, checks.Warnings, contradictions(top, placed.Lines, told), copies(s), gaps(s, top, placed.Lines), oddValues(s), paperwork(s)),
	}, nil
}

// Distances lists what dividers should find between the lines, now and after
// scribing. Like [Next] it is apart from [Run]: no decision hangs on it.
func (r Result) Distances() []advise.Distance {
	return r.Advice.Distances(r.Sheet, r.TDC, r.Lines)
}

// Telling lists those by which a new line on the wrong side is seen, apart from [Run] as
// well.
func (r Result) Telling() []advise.Distance {
	return r.Advice.Telling(r.Sheet, r.TDC, r.Lines, advise.DividersAfter)
}

// Next finds for every line of a result what would decide it, in the order of the
// lines. It is apart from [Run] because the search takes longer than the audit
// itself; it needs nothing but the result.
func Next(r Result) []advise.Next {
	return advise.NextFor(r.Sheet, r.Lines, r.Diagnosis)
}
