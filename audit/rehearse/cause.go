package rehearse

import (
	"slices"

	"markaudit/audit/diagnosis"
	"markaudit/audit/warning"
)

// Cause is what was wrong at the stand, one a sheet.
type Cause string

// The causes. CannotBeTold is an answer: another reading is needed.
const (
	NothingWrong Cause = "none"
	OneLine      Cause = "line"
	Pointer      Cause = "pointer"
	Ring         Cause = "ring"
	Readout      Cause = "readout moved"
	Mounting     Cause = "mounting"
	OffCentre    Cause = "off centre"
	LostMotion   Cause = "lost motion"
	ShallowStop  Cause = "shallow stop"
	CreepingStop Cause = "creeping stop"
	Misread      Cause = "misread"
	Names        Cause = "names"
	CannotBeTold Cause = "cannot be told"
)

// Causes are the words of the form, in the order in which they are listed.
func Causes() []string {
	return []string{
		string(NothingWrong), string(OneLine), string(Pointer), string(Ring), string(Readout), string(Mounting), string(OffCentre),
		string(LostMotion), string(ShallowStop), string(CreepingStop), string(Misread), string(Names), string(CannotBeTold),
	}
}

// Observations are the words of the form for what to look at or to measure next.
func Observations() (out []string) {
	for k := diagnosis.NoObservation; k <= diagnosis.SecondSetup; k++ {
		out = append(out, spaced(k.String()))
	}
	return out
}

// Advised are the words of the form for what a hand needs.
func Advised() []string { return []string{"none", "direction", "sight", "touch"} }

// wanted are the observations that the audit asks for: what its diagnosis names,
// else readings anew where a line is undecided or the stop was not fit for its
// contacts; none where all is told.
func (o *Opened) wanted() []diagnosis.ObservationKind {
	d := o.Result.Diagnosis
	var out []diagnosis.ObservationKind
	add := func(k diagnosis.ObservationKind) {
		if k != diagnosis.NoObservation && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	for _, a := range d.Ask {
		add(a.Kind)
	}
	undecided := false
	for _, c := range d.Decisions {
		add(c.Ask.Kind)
		undecided = undecided || c.Verdict == diagnosis.Undecided
	}
	again := slices.ContainsFunc(o.Result.Warnings, func(w warning.Warning) bool {
		return w.Code == warning.StopInDwell || w.Code == warning.HalfArcCreeps || w.Code == warning.HalfArcJumps
	})
	if len(out) == 0 && (undecided || again) {
		return []diagnosis.ObservationKind{diagnosis.ReadAgain, diagnosis.SecondSetup}
	}
	return out
}

// markSheet gives the points of what is asked once a sheet: the cause, and what to
// look at or to measure next. A seal of an older program knows no cause.
func (o *Opened) markSheet(a SheetAnswer) {
	if o.Cause == "" {
		return
	}
	wanted := o.wanted()
	cause := Scored{Item: OfCause, Of: 1}
	switch {
	case a.Cause == "":
		cause.Reason = NotAnswered
	case a.Cause == o.Cause:
		cause.Points, cause.Reason = 1, RightCause
	case a.Cause == CannotBeTold && len(wanted) > 0:
		cause.Points, cause.Reason = 0.5, AnotherReading
	case a.Cause == CannotBeTold:
		cause.Reason = CouldBeTold
	default:
		cause.Reason = OtherCause
	}
	confirm := Scored{Item: Confirm, Of: 1}
	switch {
	case !a.Confirmed:
		confirm.Reason = NotAnswered
	case a.Confirm == diagnosis.NoObservation && len(wanted) == 0, slices.Contains(wanted, a.Confirm):
		confirm.Points, confirm.Reason = 1, AsAsked
	case a.Confirm == diagnosis.NoObservation:
		confirm.Reason = SomethingAsked
	case a.Confirm == diagnosis.SecondSetup:
		confirm.Points, confirm.Reason = 0.5, TellsToo
	case len(wanted) == 0:
		confirm.Points, confirm.Reason = 0.5, NotNeeded
	default:
		confirm.Reason = TellsNothing
	}
	o.Score = append(o.Score, cause, confirm)
}
