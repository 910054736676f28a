package qualify

import (
	"slices"

	"markaudit/audit/jobrecord"
	"markaudit/audit/sheet"
)

// Readings are the contacts of a study for its record: each as it was written, with
// what became of it, in the order of the file.
func (r Result) Readings(study Study) (out []jobrecord.Reading) {
	slips := map[int]Slip{} // only looked up
	for _, s := range r.Slips {
		slips[s.trial] = s
	}
	for i, t := range study.Trials {
		slip, named := slips[i]
		for _, contact := range []*sheet.Reading{t.Forward, t.Backward} {
			if contact == nil {
				continue
			}
			out = append(out, jobrecord.Reading{
				Row: t.Lines[contact.Approach], Where: t.Tool.String() + ", setup " + t.Setup + ", trial " + t.Name + ", " + contact.Approach.String(),
				Text: t.Texts[contact.Approach], Struck: contact.Reason,
				Slip:   named && (slip.Suspects == nil || slices.Contains(slip.Suspects, contact.Approach)),
				AsRead: named && r.AsRead,
			})
		}
	}
	slices.SortStableFunc(out, func(a, b jobrecord.Reading) int { return a.Row - b.Row })
	return out
}
