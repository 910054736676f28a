package audit

import (
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// analysis is one run over one sheet.
type analysis struct {
	sheet      *sheet.Sheet
	result     Result
	table      *sheet.Correction // of the readout, as far as it applies; nil without one
	stations   []*station
	lines      []line
	faults     inputerror.List
	suspect    bool           // one wrong declaration would explain the offsets
	lostMotion geometry.Angle // seen from both sides beyond what the sheet states; zero if it agrees
}

func (a *analysis) warn(w Warning) { a.result.Warnings = append(a.result.Warnings, w) }

// Run judges the marks of one sheet. The error is of type [inputerror.List] and
// says what on the sheet cannot be right; an unfinished sheet is no error.
func Run(s sheet.Sheet) (Result, error) {
	a, err := analyse(s)
	if err != nil {
		return Result{}, err
	}
	return a.result, nil
}

// analyse keeps, beside the result, what stands behind it.
func analyse(s sheet.Sheet) (*analysis, error) {
	a, faults := begin(&s)
	if len(faults) > 0 {
		return nil, faults
	}
	a.shareScatter()
	a.judgeLines()
	if a.result.TDC != nil {
		a.observeLostMotion()
		a.compareSetups()
		a.checkClosing()
		a.findShift()
		a.findGroups()
		a.findBanks()
		a.compareMethods()
		a.testSpacings()
		a.findCentring()
	}
	a.doubtDeclarations()
	a.doubtSheet()
	a.scribeLines()
	a.measureDistances()
	a.result.Check = a.beforeScribing()
	return a, nil
}

// begin takes a sheet as far as every mark's offset in every mounting.
func begin(s *sheet.Sheet) (*analysis, inputerror.List) {
	if faults := s.Check(); len(faults) > 0 {
		return nil, faults
	}
	a := &analysis{sheet: s}
	a.result.Sheet = *s
	a.result.Shift.Homogeneity = math.NaN()
	if c := s.Readout.Correction; c != nil {
		applied := *c
		if s.Readout.OffCentre > 0 { // the first harmonic was that of another mounting
			applied.From = 2
		}
		a.table = &applied
	}
	a.findTDC()
	if len(a.faults) > 0 {
		return nil, a.faults
	}
	if a.result.TDC != nil {
		a.doubtContacts()
	}
	a.readLines()
	if len(a.faults) > 0 {
		return nil, a.faults
	}
	if a.result.TDC != nil {
		if a.checkCounts(); len(a.faults) > 0 {
			return nil, a.faults
		}
	}
	return a, nil
}
