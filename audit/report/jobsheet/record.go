package jobsheet

import (
	"path/filepath"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/jobrecord"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
)

// Record is what a tool room files with an audit: the block of the studies, and the
// title block. Its readings stay empty: those of an audit stand in its annex.
func Record(v words.Audit, o document.Options) jobrecord.Record {
	s := v.Result.Sheet
	return jobrecord.Record{
		Files:    []jobrecord.File{{Name: o.Path, Digest: s.Digest}},
		Software: o.Software, By: strings.Join(people(v), ", "), Date: s.Date, Rule: v.Rule(),
		Instruments: s.Used(), Conditions: s.Conditions.String(),
		Job: jobrecord.Job{
			Workshop: s.Workshop, Customer: s.Customer, Number: s.Job, Issued: s.Issued,
			Engine: numbered(s.Title, s.Engine.Number), Part: numbered(s.Part.Name, s.Part.Number),
			Measured: measured(v), Readout: v.ReadoutInShort(), Method: method(v.Result.TDC),
		},
	}
}

// Fill adds to the record of a study what its sheet says of the day, of who measured,
// of the conditions and of the instruments. What the record says already stays.
func Fill(r *jobrecord.Record, s sheet.Sheet) {
	v := words.Audit{Result: audit.Result{Sheet: s}}
	for _, fill := range []struct {
		to   *string
		text string
	}{{&r.Date, s.Date}, {&r.By, strings.Join(people(v), ", ")}, {&r.Conditions, s.Conditions.String()}} {
		if *fill.to == "" {
			*fill.to = fill.text
		}
	}
	Measured(r, s)
}

// Measured adds the instruments of a sheet to the record of a study, each once.
func Measured(r *jobrecord.Record, s sheet.Sheet) {
	for _, i := range s.Used() {
		if !slices.Contains(r.Instruments, i) {
			r.Instruments = append(r.Instruments, i)
		}
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
