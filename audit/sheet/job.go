package sheet

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"time"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/enum"
	"markaudit/audit/jobrecord"
	"markaudit/geometry"
)

// Conditions is what it was like where the measurement was made. Nothing is
// computed with it.
type Conditions struct {
	Temperature string `json:",omitzero"` // with its unit, as written
	Place       string `json:",omitzero"`
}

// String is temperature and place, as a record prints them.
func (c Conditions) String() string {
	return strings.Trim(c.Temperature+", "+c.Place, ", ")
}

// Photo is a picture that belongs to the sheet. Nothing is computed with it, and
// its bytes are no part of the sheet's digest.
type Photo struct {
	File   string          `json:",omitzero"` // relative to the folder of the sheet, with / between folders
	Digest string          `json:",omitzero"` // SHA-256 as the sheet states it, the whole or its beginning, hexadecimal; empty: not stated
	Of     string          `json:",omitzero"` // what it shows
	State  PhotoState      `json:",omitzero"`
	Found  string          `json:",omitzero"` // SHA-256 of the file; empty where nobody looked, or there is none
	Path   inputerror.Path `json:",omitzero"`
}

// PhotoState is what became of looking at a photo's file.
type PhotoState uint8

// NotLooked: nobody looked at the file. Agrees: it is the one that the sheet
// states. Changed: it is another one. Missing: it cannot be read. NotStated: it is
// there, and the sheet states no digest.
const (
	NotLooked PhotoState = iota
	Agrees
	Changed
	Missing
	NotStated
)

var photoStateWords = []string{"not looked at", "agrees", "changed", "missing", "no digest stated"}

func (p PhotoState) String() string { return enum.Word(photoStateWords, p) }

// MarshalText writes the word.
func (p PhotoState) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (p *PhotoState) UnmarshalText(text []byte) error { return enum.From(p, photoStateWords, text) }

// LookAtPhotos holds the photos of a sheet against their files. Digest takes the
// path of one, relative to the folder of the sheet, to its SHA-256 in hexadecimal;
// its error says why there is none.
func (s *Sheet) LookAtPhotos(digest func(path string) (string, error)) {
	for i := range s.Photos {
		p := &s.Photos[i]
		found, err := digest(p.File)
		p.Found = found
		switch {
		case err != nil:
			p.Found, p.State = "", Missing
		case p.Digest == "":
			p.State = NotStated
		case strings.HasPrefix(found, p.Digest):
			p.State = Agrees
		default:
			p.State = Changed
		}
	}
}

// Due says which instruments' certificates had ended before the measurement, and
// the day that they are judged by: that of the sheet, else the latest of its
// setups. Known is false where neither is a day such as 2026-03-14; then none is
// judged.
func (s *Sheet) Due() (overdue []jobrecord.Instrument, day time.Time, known bool) {
	day, err := time.Parse(time.DateOnly, s.Date)
	if err != nil {
		if day, known = s.Taken(); !known {
			return nil, day, false
		}
	}
	for _, i := range s.Instruments {
		if due, err := time.Parse(time.DateOnly, i.Due); err == nil && due.Before(day) {
			overdue = append(overdue, i)
		}
	}
	return overdue, day, true
}

// Used are the instruments of a sheet with the day on which they were used, where it
// is known.
func (s *Sheet) Used() (all []jobrecord.Instrument) {
	_, day, known := s.Due()
	for _, i := range s.Instruments {
		if known {
			i.Used = day.Format(time.DateOnly)
		}
		all = append(all, i)
	}
	return all
}

// ReferenceOverdue reports whether the certificate of what the readout was compared
// with had ended when the measurement was taken.
func (s *Sheet) ReferenceOverdue() bool {
	c := s.Readout.Correction
	if c == nil || c.Origin == nil || c.Origin.Reference.Due == "" {
		return false
	}
	due, err := time.Parse(time.DateOnly, c.Origin.Reference.Due)
	taken, known := s.Taken()
	return err == nil && known && due.Before(taken)
}

const (
	mostInstruments = 100
	mostPhotos      = 100
)

// readInstruments reads what was measured with. An instrument is named by what it is,
// or by its own name.
func readInstruments(t *fields) (all []jobrecord.Instrument) {
	const of = "instruments, each such as - {what: stop, name: stop 2}"
	t.entries("instruments", of, mostInstruments, func(f *fields) {
		all = append(all, jobrecord.Instrument{
			Role: f.word("what"), Name: f.word("name"), Number: f.word("number"), Certificate: f.word("certificate"), Due: f.day("due"),
			Uncertainty: certified(f, "uncertainty"),
		})
		f.need("what", "stop, wheel, dial, encoder, rule, tape, dividers, caliper, light, or what it is")
	})
	return all
}

// certified reads an uncertainty as a certificate has it: a length or degrees, with or
// without ±. The words are kept.
func certified(t *fields, key string) string {
	const expected = "what the certificate states, such as 0.006 mm (k=2)"
	text, _ := parsed(t, key, expected, func(s string) (string, error) {
		limit := "± " + strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(s), "±"))
		if l, err := geometry.ParseLengthQuantity(limit); err == nil && l.Limit.Half > 0 {
			return s, nil
		}
		if a, err := geometry.ParseAngleQuantity(limit); err == nil && a.Limit.Half > 0 {
			return s, nil
		}
		return "", errors.New("found " + inputerror.Shown(s) + ", expected " + expected)
	})
	return text
}

var temperature = regexp.MustCompile(`[0-9] ?(°C|°F|C|F|K)$`)

func readConditions(t *fields) (c Conditions) {
	in := t.under("conditions")
	const expected = "a temperature with its unit, such as 19 °C"
	c.Temperature, _ = parsed(in, "temperature", expected, func(s string) (string, error) {
		if !temperature.MatchString(s) {
			return "", errors.New("found " + inputerror.Shown(s) + ", expected " + expected)
		}
		return s, nil
	})
	c.Place = in.word("place")
	in.done()
	return c
}

// readPhotos reads the names of the pictures. Their files are looked at by
// [Sheet.LookAtPhotos].
func readPhotos(t *fields) (all []Photo) {
	const of = "photos, each such as - {file: pulley-before.jpg, of: before scribing}"
	t.entries("photos", of, mostPhotos, func(f *fields) {
		p := Photo{Of: f.word("of"), Digest: f.digest("sha256"), Path: f.node.path}
		if n := f.get("file"); n != nil {
			p.File, _ = t.relative(n, "the name of a photo", "such as pulley-before.jpg")
		}
		f.need("file", "the name of a photo, such as pulley-before.jpg")
		if p.File != "" && slices.ContainsFunc(all, func(other Photo) bool { return other.File == p.File }) {
			t.Fault(f.path("file"), "found "+inputerror.Shown(p.File)+" a second time, expected each photo once", "")
		}
		all = append(all, p)
	})
	return all
}

// writeJob writes what a sheet says of the job beside the measurement.
func writeJob(b *strings.Builder, s Sheet) {
	for n, i := range s.Instruments {
		if n == 0 {
			b.WriteString("instruments:\n")
		}
		keyed(b, "  - ", "what", quoted(i.Role))
		worded(b, "    ", "name", i.Name)
		worded(b, "    ", "number", i.Number)
		worded(b, "    ", "certificate", i.Certificate)
		worded(b, "    ", "due", i.Due)
		worded(b, "    ", "uncertainty", i.Uncertainty)
	}
	if s.Conditions != (Conditions{}) {
		b.WriteString("conditions:\n")
		worded(b, "  ", "temperature", s.Conditions.Temperature)
		worded(b, "  ", "place", s.Conditions.Place)
	}
	for n, p := range s.Photos {
		if n == 0 {
			b.WriteString("photos:\n")
		}
		keyed(b, "  - ", "file", quoted(p.File))
		worded(b, "    ", "sha256", p.Digest)
		worded(b, "    ", "of", p.Of)
	}
}
