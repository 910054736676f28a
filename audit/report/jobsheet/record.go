package jobsheet

import (
	"path/filepath"
	"slices"
	"strings"

	"markaudit/audit/jobrecord"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/tdc"
)

// Record is what a tool room files with an audit: the block of the studies, and the
// title block. Its readings stay empty: those of an audit stand in its annex.
func Record(v words.Audit, o document.Options) jobrecord.Record {
	s := v.Result.Sheet
	return jobrecord.Record{
		Files:    []jobrecord.File{{Name: o.Path, Digest: s.Digest}},
		Software: o.Software, By: strings.Join(people(v), ", "), Date: s.Date, Rule: v.Rule(),
		Instruments: s.Instruments, Conditions: s.Conditions.String(),
		Job: jobrecord.Job{
			Workshop: s.Workshop, Customer: s.Customer, Number: s.Job, Issued: s.Issued,
			Engine: numbered(s.Title, s.Engine.Number), Part: numbered(s.Part.Name, s.Part.Number),
			Measured: measured(v), Readout: v.ReadoutInShort(), Method: method(v.Result.TDC),
		},
	}
}

// Head is what stands on every sheet of the record: the job, or the sheet's name
// where it has none, and the digest.
func Head(v words.Audit, o document.Options) []string {
	first := "sheet " + words.Clean(filepath.Base(o.Path))
	if job := v.Result.Sheet.Job; job != "" {
		first = "job " + words.Clean(job)
	}
	return []string{first, words.ShortDigest(v.Result.Sheet.Digest)}
}

// people are those who measured, in the order of the setups.
func people(v words.Audit) (all []string) {
	for _, setup := range v.Result.Sheet.Setups {
		if setup.By != "" && !slices.Contains(all, setup.By) {
			all = append(all, setup.By)
		}
	}
	return all
}

// numbered is a name with its number.
func numbered(name, number string) string {
	switch {
	case number == "":
		return name
	case name == "":
		return "No " + number
	}
	return name + ", No " + number
}

// measured is the days on which it was measured; that of the sheet where the setups
// name none.
func measured(v words.Audit) string {
	var days []string
	for _, setup := range v.Result.Sheet.Setups {
		if setup.Date != "" && !slices.Contains(days, setup.Date) {
			days = append(days, setup.Date)
		}
	}
	switch len(days) {
	case 0:
		return v.Result.Sheet.Date
	case 1, 2:
		return strings.Join(days, " and ")
	}
	return days[0] + " to " + days[len(days)-1]
}

// method is how TDC was found.
func method(found tdc.Found) string {
	var all []string
	for _, setup := range found.Setups {
		word := setup.Method.String()
		if word == "stop" {
			word = "positive stop"
		}
		if !slices.Contains(all, word) {
			all = append(all, word)
		}
	}
	return strings.Join(all, ", ")
}
