package sheet

import (
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// CorrectionOrigin is what a correction came from, so that somebody can find the
// table again years later.
type CorrectionOrigin struct {
	Software, File, Digest string // the program; the table and its SHA-256, hexadecimal
	Rows                   int    // of the table
	Number                 string // of the readout
	Step                   geometry.Angle
	Reference              CorrectionReference
}

// CorrectionReference is what the readout was compared with.
type CorrectionReference struct {
	Name, Number, Certificate string
	Due                       string         // day on which its certificate ends, such as 2027-01-31, or empty
	Limit                     geometry.Angle // its largest error, either way; 0: not stated
}

// originFile is the origin's part of a correction file; all of it is left out in
// the first form.
type originFile struct {
	Software   string         `json:"software,omitempty"`
	Table      *originTable   `json:"table,omitempty"`
	Instrument *originReadout `json:"instrument,omitempty"`
	Step       *float64       `json:"step_deg,omitempty"`
	Reference  *originAgainst `json:"reference,omitempty"`
	Orders     []int          `json:"orders,omitempty"`
}

type originTable struct {
	File   string `json:"file"`
	Digest string `json:"sha256"`
	Rows   int    `json:"rows"`
}

type originReadout struct {
	Name   string `json:"name"`
	Number string `json:"number,omitempty"`
}

type originAgainst struct {
	Name        string   `json:"name,omitempty"`
	Number      string   `json:"number,omitempty"`
	Certificate string   `json:"certificate,omitempty"`
	Due         string   `json:"due,omitempty"`
	Limit       *float64 `json:"limit_deg,omitempty"`
}

func (o CorrectionOrigin) file(name string, orders int) originFile {
	out := originFile{
		Software: o.Software, Table: &originTable{o.File, o.Digest, o.Rows}, Instrument: &originReadout{name, o.Number},
		Orders: make([]int, orders),
	}
	for k := range out.Orders {
		out.Orders[k] = k + 1
	}
	if o.Step > 0 {
		step := o.Step.Degrees()
		out.Step = &step
	}
	if x := o.Reference; x != (CorrectionReference{}) {
		out.Reference = &originAgainst{Name: x.Name, Number: x.Number, Certificate: x.Certificate, Due: x.Due}
		if x.Limit > 0 {
			limit := x.Limit.Degrees()
			out.Reference.Limit = &limit
		}
	}
	return out
}

// origin checks and takes over what a file of the second form says of its table.
func (in correctionFile) origin(orders int) (*CorrectionOrigin, error) {
	if in.Table == nil {
		return nil, errors.New("table: missing, expected file, sha256 and rows of the table that it came from")
	}
	if digest, err := hex.DecodeString(in.Table.Digest); err != nil || len(digest) != 32 {
		return nil, fmt.Errorf("table.sha256: found %s, expected 64 hexadecimal digits", inputerror.Shown(in.Table.Digest))
	}
	o := &CorrectionOrigin{Software: in.Software, File: in.Table.File, Digest: in.Table.Digest, Rows: in.Table.Rows}
	if in.Instrument != nil {
		if in.Instrument.Name != in.Name {
			return nil, fmt.Errorf("instrument.name: found %s, expected %s, the name above", inputerror.Shown(in.Instrument.Name), inputerror.Shown(in.Name))
		}
		o.Number = in.Instrument.Number
	}
	if len(in.Orders) != orders {
		return nil, fmt.Errorf("orders: found %s, expected one for each sine and cosine, %d", inputerror.Count(len(in.Orders), "number"), orders)
	}
	for k, order := range in.Orders {
		if order != k+1 {
			return nil, fmt.Errorf("orders[%d]: found %d, expected %d: all from the first on", k, order, k+1)
		}
	}
	if in.Step != nil {
		if o.Step = geometry.Angle(*in.Step); !(o.Step > 0 && o.Step <= 90) {
			return nil, fmt.Errorf("step_deg: found %s, expected degrees above zero", number(*in.Step))
		}
	}
	if x := in.Reference; x != nil {
		o.Reference = CorrectionReference{Name: x.Name, Number: x.Number, Certificate: x.Certificate, Due: x.Due}
		if _, err := time.Parse(time.DateOnly, x.Due); x.Due != "" && err != nil {
			return nil, fmt.Errorf("reference.due: found %s, expected a day such as 2027-01-31", inputerror.Shown(x.Due))
		}
		if x.Limit != nil {
			if o.Reference.Limit = geometry.Angle(*x.Limit); !(o.Reference.Limit > 0 && o.Reference.Limit <= 90) {
				return nil, fmt.Errorf("reference.limit_deg: found %s, expected degrees above zero", number(*x.Limit))
			}
		}
	}
	return o, nil
}

// ReferenceLimit is the largest error of what the readout was compared with, zero
// where it is not stated or there is no correction.
func (c *Correction) ReferenceLimit() geometry.Angle {
	if c == nil || c.Origin == nil {
		return 0
	}
	return c.Origin.Reference.Limit
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
