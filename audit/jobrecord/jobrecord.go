// Package jobrecord is what a tool room files with a result: what it was made from,
// by which program and rule, with which instruments, by whom and when. One block
// stands on every page and in every JSON, so that a result can be computed anew.
//
// It knows no engine and no study: readings are texts as they were written.
package jobrecord

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"time"
)

// Job is what a title block says of an audit besides. Each is a text as it prints;
// what is empty is a cell to write in.
type Job struct {
	Workshop, Customer string
	Number             string // of the job
	Engine, Part       string // with their numbers
	Measured           string // days of measuring, such as 2026-05-20 and 2026-05-21
	Issued             string
	Readout            string
	Method             string // how TDC was found
}

// Record is the block. What is empty prints as a line to fill in by hand.
type Record struct {
	Job         Job // of an audit; a study has none
	Files       []File
	Software    string // name and version
	Asked       []Asked
	Instruments []Instrument
	Conditions  string // temperature and place
	By          string
	Date        string // a day such as 2026-03-14
	Rule        string // of the decision, with its standard and level
	Revision    string // of the form or procedure
	Readings    []Reading
}

// File is one that was read.
type File struct {
	Name   string
	Digest string // SHA-256, hexadecimal
	Rows   int    // lines that are not blank, with the header; 0: a sheet
}

// FileOf is a file by its bytes. Folders before its name do not print.
func FileOf(name string, data []byte) File {
	sum := sha256.Sum256(data)
	rows := 0
	for line := range bytes.Lines(data) {
		if len(bytes.TrimSpace(line)) > 0 {
			rows++
		}
	}
	return File{Name: filepath.Base(name), Digest: hex.EncodeToString(sum[:]), Rows: rows}
}

// The rules that studies decide by, as a record prints them.
const (
	StopsRule   = "two one-sided tests at 5 % (Schuirmann 1987); scatter F at 5 %"
	WheelRule   = "JCGM 100, 95 %"
	PeopleRule  = "5 % for all people together"
	CompareRule = "ISO 14253-1, JCGM 106, 95 %"
	MarkingRule = "one point an item; an offset has it within the audit's ±, or a tenth of the tolerance if that is more, and half of it within twice that; half a point for undecided where the readings decide, and for looking at more than is needed; one less for a good hand that is blamed"
)

// Asked is a setting of the call.
type Asked struct {
	Name, Value string // the value as written
	Stated      bool   // else it is the program's own
}

// Instrument is one that was used, or that was the measure.
type Instrument struct {
	Role        string `json:",omitzero"` // stop, trusted stop, wheel, reference, ...
	Name        string `json:",omitzero"`
	Number      string `json:",omitzero"`
	Certificate string `json:",omitzero"`
	Due         string `json:",omitzero"` // the day its certificate ends, such as 2027-01-31
	Uncertainty string `json:",omitzero"` // as its certificate has it, such as 0.006 mm (k=2); printed, and never a source of doubt by itself
	Used        string `json:",omitzero"` // the day it was used; empty: the day of the record
}

// Overdue reports whether the certificate of an instrument of the record had ended
// before it was used. Known is false where either day is missing: then nothing can
// be said. Nothing is added to any uncertainty for it.
func (r Record) Overdue(i Instrument) (overdue, known bool) {
	used, err := time.Parse(time.DateOnly, r.UsedOn(i))
	if err != nil {
		return false, false
	}
	due, err := time.Parse(time.DateOnly, i.Due)
	return err == nil && due.Before(used), err == nil
}

// UsedOn is the day on which an instrument of the record was used; empty where none
// is stated.
func (r Record) UsedOn(i Instrument) string {
	if i.Used != "" {
		return i.Used
	}
	return r.Date
}

// Reading is one value with what became of it.
type Reading struct {
	Row    int // of the file; 0 where it is not known
	Where  string
	Text   string // as written
	Struck string // the reason; empty: it counts
	Slip   bool   // it cannot belong
	AsRead bool   // it was looked up, and counts all the same
}
