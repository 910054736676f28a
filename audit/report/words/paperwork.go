package words

import (
	"fmt"
	"strings"

	"markaudit/audit/jobrecord"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

// sheetWrong is what to do where the check by eye failed.
const sheetWrong = "Scribe nothing. Look again at engine.turns, part.marks_on, readout.counts, part.diameter and the names of the lines. Put the sheet right, and make the check anew."

// ofPaperwork says the doubts about what a sheet says of instruments, photos and
// the check by eye; empty for others.
func ofPaperwork(c warning.Code, names []string) string {
	at := func(i int) string {
		if i < len(names) {
			return names[i]
		}
		return ""
	}
	switch c {
	case warning.EyeCheckFailed:
		return "the check by eye did not come out as said. The sheet is wrong somewhere, and a new line by it would be a second wrong line. " + strings.TrimSuffix(sheetWrong, ".")
	case warning.InstrumentOverdue:
		return fmt.Sprintf("the certificate of %s ended on %s, before this sheet's %s. Have it checked, or say which instrument was used", theInstrument(at(0), at(1)), at(2), at(3))
	case warning.PhotoChanged:
		return fmt.Sprintf("the photo %s is not the one that the sheet names. Its SHA-256 begins %s, the sheet has %s. Look for the right file, or put the digest right", at(0), ShortDigest(at(2)), ShortDigest(at(1)))
	case warning.PhotoMissing:
		return fmt.Sprintf("the photo %s cannot be read. Put it back into the folder of the sheet, or take it off the sheet", at(0))
	}
	return ""
}

// ofCertificate says where the figure stands that the dial's own doubt is to be taken
// from; empty where no certificate on the sheet has one.
func ofCertificate(v Audit) string {
	for _, i := range v.Result.Sheet.Instruments {
		if i.Role == "dial" && i.Uncertainty != "" {
			return ": write " + Clean(i.Uncertainty) + " as readout.error"
		}
	}
	return ""
}

// ShortDigest is as much of a digest as a page prints.
func ShortDigest(digest string) string { return digest[:min(len(digest), 12)] }

// Photo says what became of one photo.
func Photo(p sheet.Photo) string {
	switch p.State {
	case sheet.Agrees:
		return "agrees"
	case sheet.Changed:
		return "NOT the one on the sheet, which has " + ShortDigest(p.Digest)
	case sheet.Missing:
		return "MISSING"
	case sheet.NotStated:
		return "the sheet states no digest"
	}
	return "not looked at"
}

// DueDates says by which day the certificates were judged, or that they were not;
// empty where no instrument has an end to its certificate.
func DueDates(v Audit) string {
	for _, i := range v.Result.Sheet.Instruments {
		if i.Due == "" {
			continue
		}
		if _, day, known := v.Result.Sheet.Due(); known {
			return "Due dates are judged by the day of this sheet, " + day.Format("2006-01-02") + "."
		}
		return "Due dates are not looked at: neither the sheet nor a setup has a day such as 2026-03-14."
	}
	return ""
}

// AfterScribing is what was found before and after the scriber touched the metal,
// a sentence or two for each; nothing where the sheet says nothing of it.
func AfterScribing(v Audit) []string {
	s := v.Result.Sheet
	if s.After == nil {
		return nil
	}
	a := s.After
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if who := strings.Trim(Clean(a.By)+", "+Clean(a.Date), ", "); who != "" {
		did := "Looked at"
		if s.Scribed() {
			did = "Scribed and looked at"
		}
		say("%s by %s.", did, who)
	}
	if a.ScribedBy != "" {
		say("It was scribed by the sheet with the digest %s. These answers changed the sheet. Its own digest is now another.", a.ScribedBy)
	}
	switch a.EyeCheck {
	case sheet.AsSaid:
		say("The check by eye came out as said.")
	case sheet.NotAsSaid:
		say("The check by eye did NOT come out as said. The sheet is wrong somewhere, and no order on it holds.")
	case sheet.EyeNotDone:
		say("The check by eye was not made: nothing but the sheet says to which side the lines went.")
	}
	for _, d := range v.Result.After.Dividers {
		text := fmt.Sprintf("Dividers from %s to %s: %s", Quoted(d.From), Quoted(d.To), v.Fine().Of(d.Measured))
		switch {
		case !d.Computed:
			text += ". What it should be is not known: that takes part.diameter and readings of both lines."
		case d.U == 0:
			text += ", should be " + v.Of(d.Should) + ". How far off it may be is not known."
		case d.Agrees:
			text += ", should be " + v.Sure(d.Should, d.U) + ": it agrees."
		default:
			text += ", should be " + v.Sure(d.Should, d.U) + ": it does NOT agree. Measure again. Then look whether the new line was laid off from the right edge and to the right side."
		}
		out = append(out, text)
	}
	for _, l := range v.Result.After.Again {
		text := fmt.Sprintf("%s, read again, comes up at %s", lineBegins(l.Name), l.ComesUpAt.Crank(rounding.Unsure))
		switch {
		case !l.Ordered:
			text += "; no new line was ordered for it."
		case l.AsOrdered:
			text += ": as ordered, within ± " + rounding.TwoDigits(l.Allowed) + "."
		default:
			text += fmt.Sprintf(": NOT as ordered, it should be %s ± %s. Read it once more, and look which way the new line went.", (l.ComesUpAt - l.Offset + l.Expected).Crank(rounding.Unsure), rounding.TwoDigits(l.Allowed))
		}
		out = append(out, text)
	}
	if len(v.Result.After.Again) > 0 {
		say("Reading again on the same readout shows a line laid off wrongly. It does not prove the new line: that takes a sheet of its own.")
	}
	if l := a.TimingLight; l != nil {
		at := ""
		if l.At != "" {
			at = " at " + Clean(l.At)
		}
		if l.Agrees {
			say("The timing light agrees with line %s%s.", Clean(l.Line), at)
		} else {
			say("The timing light does NOT agree with line %s%s.", Clean(l.Line), at)
		}
	}
	switch a.WitnessLine {
	case sheet.Painted:
		say("The witness line is painted across hub, rubber and ring.")
	case sheet.Broken:
		say("The witness line is BROKEN: the ring has moved on its hub. A slipped ring is replaced, not re-marked.")
	case sheet.NotPainted:
		say("No witness line is painted.")
	}
	return out
}

// Ended says of every instrument of a study's record whose certificate had ended
// before it was used, that it had; a sentence each.
func Ended(r jobrecord.Record) (all []string) {
	for _, i := range r.Instruments {
		if overdue, _ := r.Overdue(i); overdue {
			all = append(all, fmt.Sprintf("The certificate of %s ended on %s, before it was used on %s. Have it checked, or say which instrument was used.", theInstrument(i.Role, i.Name), i.Due, r.UsedOn(i)))
		}
	}
	if len(all) > 0 {
		all = append(all, "Nothing is added to any ± for that.")
	}
	return all
}

// NotJudged says that a certificate was not held against the day of measuring, where
// no such day is stated; empty where nothing is to be said.
func NotJudged(r jobrecord.Record) string {
	for _, i := range r.Instruments {
		if _, known := r.Overdue(i); !known && i.Due != "" {
			return "No day of measuring is stated, and whether a certificate had ended by then is not known."
		}
	}
	return ""
}

// theInstrument names one: the wheel wheel 2 is wheel 2.
func theInstrument(role, name string) string {
	if strings.HasPrefix(name, role) {
		return Clean(name)
	}
	return "the " + Clean(strings.TrimSpace(role+" "+name))
}
