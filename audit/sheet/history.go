package sheet

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// History is what one readout did in earlier audits, in the hands of the people
// named: how middles and readings scattered, and what remounting changed.
type History struct {
	Readout string
	Step    geometry.Angle
	By      []string // in the order of the alphabet; empty where no sheet names anybody
	Sheets  []PastSheet
	Digest  string // SHA-256 of the file, hexadecimal; empty until it is read from one
}

// PastSheet is what one earlier sheet showed.
type PastSheet struct {
	Digest   string
	Taken    string // digest of its readings alone
	Date     string // a day such as 2026-03-14, or empty
	Setups   int
	Middle   Deviation  // of one middle of two contacts, within setups
	Reading  Deviation  // of one reading, within line, approach and setup
	Mounting Deviation  // of a line's offset over the setups, so with remounting, stop and readings in it
	Pairs    float64    // of a setup, harmonic mean; zero where Mounting is not known
	Readings float64    // of a line in a setup, likewise
	Lines    []PastLine // in the order of the sheet
}

// Deviation is a standard deviation with its degrees of freedom; without any it is
// not known.
type Deviation struct {
	SD  geometry.Angle
	DOF float64
}

// PastLine is the offset that an earlier sheet found for a line.
type PastLine struct {
	Name   string
	Offset geometry.Angle
}

// Past is one standard deviation pooled over the earlier sheets (JCGM 100, 4.2.4).
type Past struct {
	Deviation
	Sheets          int     // that show it
	Pairs, Readings float64 // of a setup, harmonic means; of mountings alone
}

// Middle, Reading and Mounting are the standard deviations of the past.
func (h *History) Middle() Past {
	return h.pooled(func(s PastSheet) Deviation { return s.Middle })
}

// Reading is that of one reading of a line.
func (h *History) Reading() Past {
	return h.pooled(func(s PastSheet) Deviation { return s.Reading })
}

// Mounting is that of a line's offset over the setups.
func (h *History) Mounting() Past {
	return h.pooled(func(s PastSheet) Deviation { return s.Mounting })
}

func (h *History) pooled(of func(PastSheet) Deviation) (p Past) {
	var squares, setups, perPair, perReading float64
	for _, s := range h.Sheets {
		d := of(s)
		if d.DOF == 0 {
			continue
		}
		squares += d.DOF * d.SD.Degrees() * d.SD.Degrees()
		p.DOF += d.DOF
		p.Sheets++
		if s.Pairs > 0 && s.Readings > 0 {
			k := float64(s.Setups)
			setups, perPair, perReading = setups+k, perPair+k/s.Pairs, perReading+k/s.Readings
		}
	}
	if p.DOF > 0 {
		p.SD = geometry.Angle(math.Sqrt(squares / p.DOF))
	}
	if setups > 0 {
		p.Pairs, p.Readings = setups/perPair, setups/perReading
	}
	return p
}

// Newest is the day of the newest sheet; it is not known where any has no date.
func (h *History) Newest() (day time.Time, known bool) {
	for _, s := range h.Sheets {
		d, err := time.Parse(time.DateOnly, s.Date)
		if err != nil {
			return time.Time{}, false
		}
		if d.After(day) {
			day = d
		}
	}
	return day, len(h.Sheets) > 0
}

// Sort puts the sheets into the order of their dates, those without one first and
// those of one day by their digests, and the people into that of the alphabet: so
// the order in which sheets were named plays no part.
func (h *History) Sort() {
	slices.SortFunc(h.Sheets, func(a, b PastSheet) int {
		return cmp.Or(strings.Compare(a.Date, b.Date), strings.Compare(a.Digest, b.Digest))
	})
	slices.Sort(h.By)
	h.By = slices.Compact(h.By)
}

// historyFile is the file's form.
type historyFile struct {
	Format   *int           `json:"format"`
	Software string         `json:"software"`
	Readout  string         `json:"readout"`
	Step     float64        `json:"step_deg"`
	By       []string       `json:"by"`
	Sheets   []sheetInFile  `json:"sheets"`
	Middle   pastInFile     `json:"middle"`
	Reading  pastInFile     `json:"reading"`
	Mounting mountingInFile `json:"mounting"`
	Points   []pointInFile  `json:"points"`
}

type sheetInFile struct {
	Digest string `json:"digest"`
	Taken  string `json:"readings_digest"`
	Date   string `json:"date"`
	Setups int    `json:"setups"`
}

type pastInFile struct {
	SD  float64 `json:"sd_deg"`
	DOF float64 `json:"dof"`
}

type mountingInFile struct {
	pastInFile
	Pairs    float64 `json:"pairs"`
	Readings float64 `json:"readings"`
}

type pointInFile struct {
	Digest      string       `json:"digest"`
	MiddleSD    float64      `json:"middle_sd_deg"`
	MiddleDOF   float64      `json:"middle_dof"`
	ReadingSD   float64      `json:"reading_sd_deg"`
	ReadingDOF  float64      `json:"reading_dof"`
	MountingSD  float64      `json:"mounting_sd_deg"`
	MountingDOF float64      `json:"mounting_dof"`
	Pairs       float64      `json:"pairs"`
	Readings    float64      `json:"readings"`
	Lines       []lineInFile `json:"lines"`
}

type lineInFile struct {
	Name   string  `json:"name"`
	Offset float64 `json:"offset_deg"`
}

// historyFormat is the number of the file's form; a larger one is refused.
const historyFormat = 1

func (d Past) inFile() pastInFile { return pastInFile{d.SD.Degrees(), d.DOF} }

// WriteHistory writes a history as one JSON object and a newline. software is what
// made it.
func WriteHistory(w io.Writer, h History, software string) error {
	format, mounting := historyFormat, h.Mounting()
	out := historyFile{
		Format: &format, Software: software, Readout: h.Readout, Step: h.Step.Degrees(), By: append([]string{}, h.By...),
		Sheets: []sheetInFile{}, Middle: h.Middle().inFile(), Reading: h.Reading().inFile(),
		Mounting: mountingInFile{mounting.inFile(), mounting.Pairs, mounting.Readings}, Points: []pointInFile{},
	}
	for _, s := range h.Sheets {
		out.Sheets = append(out.Sheets, sheetInFile{s.Digest, s.Taken, s.Date, s.Setups})
		p := pointInFile{
			s.Digest, s.Middle.SD.Degrees(), s.Middle.DOF, s.Reading.SD.Degrees(), s.Reading.DOF, s.Mounting.SD.Degrees(), s.Mounting.DOF,
			s.Pairs, s.Readings,
			[]lineInFile{},
		}
		for _, l := range s.Lines {
			p.Lines = append(p.Lines, lineInFile{l.Name, l.Offset.Degrees()})
		}
		out.Points = append(out.Points, p)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(out)
}

// ReadHistory reads what [WriteHistory] wrote. The error says with line or key what
// is wrong with the file.
func ReadHistory(data []byte) (*History, error) {
	text, bad := inputerror.PlainText(data, "history", MostSheetBytes)
	if bad != nil {
		return nil, errors.New(bad.Text)
	}
	dec := json.NewDecoder(strings.NewReader(text))
	dec.DisallowUnknownFields()
	var in historyFile
	if err := dec.Decode(&in); err != nil {
		return nil, jsonTrouble(text, dec.InputOffset(), "a history", err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("found something after the object, expected one history a file")
	}
	switch {
	case in.Format == nil:
		return nil, errors.New("format: missing, expected 1: this is no history file")
	case *in.Format > historyFormat:
		return nil, fmt.Errorf("format: found %d, written for a newer markaudit, expected %d", *in.Format, historyFormat)
	case *in.Format != historyFormat:
		return nil, fmt.Errorf("format: found %d, expected %d", *in.Format, historyFormat)
	case in.Readout == "":
		return nil, errors.New("readout: missing, expected the name of the readout")
	case !(in.Step > 0 && in.Step <= mostStep):
		return nil, fmt.Errorf("step_deg: found %s, expected the readout's step in degrees", number(in.Step))
	case len(in.Sheets) == 0:
		return nil, errors.New("sheets: found none, expected one or more")
	case len(in.Points) != len(in.Sheets):
		return nil, fmt.Errorf("points: found %d, expected one for each of the %s", len(in.Points), inputerror.Count(len(in.Sheets), "sheet"))
	}
	h := &History{Readout: in.Readout, Step: geometry.Angle(in.Step), By: in.By, Digest: digestOf(data)}
	for i, s := range in.Sheets {
		one, err := pastSheet(s, in.Points[i])
		if err != nil {
			return nil, fmt.Errorf("points[%d].%w", i, err)
		}
		if slices.ContainsFunc(h.Sheets, func(other PastSheet) bool { return other.Digest == s.Digest }) {
			return nil, fmt.Errorf("sheets[%d].digest: found twice, expected each sheet once", i)
		}
		h.Sheets = append(h.Sheets, one)
	}
	for _, c := range []struct {
		key  string
		past Past
		pastInFile
	}{{"middle", h.Middle(), in.Middle}, {"reading", h.Reading(), in.Reading}, {"mounting", h.Mounting(), in.Mounting.pastInFile}} {
		if math.Abs(c.past.SD.Degrees()-c.SD) > 1e-9*(1+c.SD) || math.Abs(c.past.DOF-c.DOF) > 1e-9 {
			return nil, fmt.Errorf("%s: found %s on %s, the points come to %s on %s: the file was changed by hand", c.key, number(c.SD), number(c.DOF), number(c.past.SD.Degrees()), number(c.past.DOF))
		}
	}
	return h, nil
}

func digestOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// pastSheet checks the numbers of one sheet and takes them over.
func pastSheet(s sheetInFile, p pointInFile) (PastSheet, error) {
	out := PastSheet{Digest: s.Digest, Taken: s.Taken, Date: s.Date, Setups: s.Setups, Pairs: p.Pairs, Readings: p.Readings}
	switch {
	case p.Digest == "" || p.Digest != s.Digest:
		return out, fmt.Errorf("digest: found %s, expected that of its sheet, %s", inputerror.Shown(p.Digest), inputerror.Shown(s.Digest))
	case s.Setups < 1:
		return out, fmt.Errorf("setups: found %d, expected one or more", s.Setups)
	}
	if s.Date != "" {
		if _, err := time.Parse(time.DateOnly, s.Date); err != nil {
			return out, fmt.Errorf("date: found %s, expected a day such as 2026-03-14", inputerror.Shown(s.Date))
		}
	}
	for _, d := range []struct {
		key     string
		to      *Deviation
		sd, dof float64
	}{
		{"middle", &out.Middle, p.MiddleSD, p.MiddleDOF}, {"reading", &out.Reading, p.ReadingSD, p.ReadingDOF}, {"mounting", &out.Mounting, p.MountingSD, p.MountingDOF},
	} {
		if !(d.sd >= 0 && d.sd <= 180) || !(d.dof >= 0 && d.dof < 1e9) {
			return out, fmt.Errorf("%s_sd_deg: found %s on %s, expected degrees on their degrees of freedom", d.key, number(d.sd), number(d.dof))
		}
		*d.to = Deviation{geometry.Angle(d.sd), d.dof}
	}
	if out.Mounting.DOF > 0 && !(p.Pairs >= 1 && p.Readings >= 1) {
		return out, fmt.Errorf("pairs: found %s and %s readings, expected what stood behind one setup", number(p.Pairs), number(p.Readings))
	}
	for _, l := range p.Lines {
		if !(math.Abs(l.Offset) <= 180) {
			return out, fmt.Errorf("lines: found an offset of %s for %s, expected degrees", number(l.Offset), inputerror.Shown(l.Name))
		}
		out.Lines = append(out.Lines, PastLine{l.Name, geometry.Angle(l.Offset)})
	}
	return out, nil
}
