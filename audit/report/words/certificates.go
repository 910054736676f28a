package words

import (
	"fmt"
	"strings"

	"markaudit/audit/jobrecord"
)

// Ended says of every instrument of a study's record whose certificate had ended
// before it was used, that it had; a sentence each.
func Ended(r jobrecord.Record) (all []string) {
	for _, i := range r.Instruments {
		if overdue, _ := r.Overdue(i); overdue {
			all = append(all, fmt.Sprintf("The certificate of %s ended on %s, before it was used on %s: have it checked, or say which instrument was used.", theInstrument(i.Role, i.Name), i.Due, r.UsedOn(i)))
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
			return "No day of measuring is stated: whether a certificate had ended by then is not told."
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
