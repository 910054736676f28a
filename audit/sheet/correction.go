package sheet

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// MostOrders is the highest harmonic that a correction may hold.
const MostOrders = 36

// Correction is what a readout was found to read wrong, as a sum of harmonics of
// its reading R, in degrees:
//
//	e(R) = Σ Sine[k−1]·sin kR + Cosine[k−1]·cos kR,   k = 1 … orders
//
// A reading less e is what a true readout would have shown. It belongs to one
// wheel; its first harmonic, which is mostly where the centre sits, to one
// mounting of it.
type Correction struct {
	Name         string // of the readout
	Date         string // 2026-03-14, or empty
	Diameter     geometry.Length
	Counts       geometry.Sense // against the reference that it was compared with
	Sine, Cosine []geometry.Angle
	Covariance   [][]float64 // of the coefficients sin 1, cos 1, sin 2, cos 2 …; square degrees
	DOF          float64     // of Covariance; +Inf when it was not estimated from scatter
	Stations     int
	From         int // the lowest order that is applied; 0: all of them

	Origin *CorrectionOrigin // nil for a file of the first form, which does not tell
}

// MarshalJSON writes the correction as one value of a sheet; DOF is null where it is
// +Inf, which JSON has no number for.
func (c Correction) MarshalJSON() ([]byte, error) {
	type plain Correction // without this method
	out := struct {
		plain
		DOF *float64
	}{plain: plain(c)}
	if !math.IsInf(c.DOF, 1) {
		out.DOF = &c.DOF
	}
	return json.Marshal(out)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (c *Correction) UnmarshalJSON(data []byte) error {
	type plain Correction
	in := struct {
		*plain
		DOF *float64
	}{plain: (*plain)(c)}
	if err := json.Unmarshal(data, &in); err != nil {
		return err
	}
	c.DOF = math.Inf(1)
	if in.DOF != nil {
		c.DOF = *in.DOF
	}
	return nil
}

// Terms are the derivatives of e at a reading by the coefficients, in the order
// of the covariance; zero for orders that are not applied.
func (c *Correction) Terms(reading geometry.Angle) []float64 {
	out := make([]float64, 2*len(c.Sine))
	for k := range c.Sine {
		if k+1 < c.From {
			continue
		}
		out[2*k], out[2*k+1] = math.Sincos(float64(k+1) * reading.Radians())
	}
	return out
}

// Error is what the readout shows too much at a reading. A nil correction has
// none.
func (c *Correction) Error(reading geometry.Angle) geometry.Angle {
	if c == nil {
		return 0
	}
	var e geometry.Angle
	for k := range c.Sine {
		if k+1 < c.From {
			continue
		}
		sin, cos := math.Sincos(float64(k+1) * reading.Radians())
		e += c.Sine[k]*geometry.Angle(sin) + c.Cosine[k]*geometry.Angle(cos)
	}
	return e
}

// correctionFile is the file's form.
type correctionFile struct {
	Format *int   `json:"format"`
	Name   string `json:"name"`
	originFile
	Date         *string     `json:"date"`
	Diameter     *float64    `json:"diameter_mm"`
	Counts       *string     `json:"counts"`
	Coefficients []float64   `json:"coefficients_deg"`
	Covariance   [][]float64 `json:"covariance_deg2"`
	DOF          *float64    `json:"dof"`
	Stations     *int        `json:"stations"`
}

// The numbers of the file's forms; a larger one is refused. The first does not tell
// what the correction came from.
const (
	firstCorrectionFormat = 1
	correctionFormat      = 2
)

// WriteCorrection writes a correction as one JSON object and a newline. An
// infinite number of degrees of freedom, an unknown date or diameter is null.
func WriteCorrection(w io.Writer, c Correction) error {
	format, counts := firstCorrectionFormat, "up"
	if c.Origin != nil {
		format = correctionFormat
	}
	if c.Counts == geometry.CountsDown {
		counts = "down"
	}
	out := correctionFile{
		Format: &format, Name: c.Name, Counts: &counts, Stations: &c.Stations,
		Coefficients: []float64{}, Covariance: c.Covariance,
	}
	if c.Origin != nil {
		out.originFile = c.Origin.file(c.Name, len(c.Sine))
	}
	if c.Date != "" {
		out.Date = &c.Date
	}
	if mm := c.Diameter.Millimetres(); mm > 0 {
		out.Diameter = &mm
	}
	if !math.IsInf(c.DOF, 1) {
		out.DOF = &c.DOF
	}
	for k := range c.Sine {
		out.Coefficients = append(out.Coefficients, c.Sine[k].Degrees(), c.Cosine[k].Degrees())
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(out)
}

// ReadCorrection reads what [WriteCorrection] wrote. The error says with line or
// key what is wrong with the file.
func ReadCorrection(data []byte) (*Correction, error) {
	text, bad := inputerror.PlainText(data, "correction", MostSheetBytes)
	if bad != nil {
		return nil, errors.New(bad.Text)
	}
	dec := json.NewDecoder(strings.NewReader(text))
	dec.DisallowUnknownFields()
	var in correctionFile
	err := dec.Decode(&in)
	if err != nil {
		return nil, jsonTrouble(text, dec.InputOffset(), "a correction", err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("found something after the object, expected one correction a file")
	}
	switch {
	case in.Format == nil:
		return nil, errors.New("format: missing, expected 1 or 2: this is no correction file")
	case *in.Format > correctionFormat:
		return nil, fmt.Errorf("format: found %d, written for a newer markaudit, expected at most %d", *in.Format, correctionFormat)
	case *in.Format < firstCorrectionFormat:
		return nil, fmt.Errorf("format: found %d, expected 1 or 2", *in.Format)
	case in.Name == "":
		return nil, errors.New("name: missing, expected the name of the readout")
	case in.Stations == nil || *in.Stations < 1:
		return nil, errors.New("stations: missing, expected the number of stations behind the correction")
	}
	c := &Correction{Name: in.Name, Stations: *in.Stations, DOF: math.Inf(1), Covariance: in.Covariance, Counts: geometry.CountsUp}
	if in.Counts != nil {
		switch *in.Counts {
		case "up":
		case "down":
			c.Counts = geometry.CountsDown
		default:
			return nil, fmt.Errorf("counts: found %s, expected up or down", inputerror.Shown(*in.Counts))
		}
	}
	if in.Date != nil {
		if _, err := time.Parse(time.DateOnly, *in.Date); err != nil {
			return nil, fmt.Errorf("date: found %s, expected a day such as 2026-03-14", inputerror.Shown(*in.Date))
		}
		c.Date = *in.Date
	}
	if in.Diameter != nil {
		if c.Diameter = geometry.Length(*in.Diameter); !(c.Diameter > 0 && c.Diameter < mostAllowed) {
			return nil, fmt.Errorf("diameter_mm: found %s, expected a diameter above zero", number(*in.Diameter))
		}
	}
	if in.DOF != nil {
		if c.DOF = *in.DOF; !(c.DOF >= 1 && c.DOF < 1e12) {
			return nil, fmt.Errorf("dof: found %s, expected 1 or more", number(c.DOF))
		}
	}
	if err := c.fill(in.Coefficients); err != nil {
		return c, err
	}
	if *in.Format == correctionFormat {
		c.Origin, err = in.origin(len(c.Sine))
	}
	return c, err
}

// fill checks the numbers of a correction and takes them over.
func (c *Correction) fill(coefficients []float64) error {
	n := len(coefficients)
	if n == 0 || n%2 == 1 || n > 2*MostOrders {
		return fmt.Errorf("coefficients_deg: found %s, expected a sine and a cosine for each order, 1 to %d orders", inputerror.Count(n, "number"), MostOrders)
	}
	for i, x := range coefficients {
		if !(math.Abs(x) <= 180) {
			return fmt.Errorf("coefficients_deg[%d]: found %s, expected degrees", i, number(x))
		}
		if i%2 == 0 {
			c.Sine = append(c.Sine, geometry.Angle(x))
		} else {
			c.Cosine = append(c.Cosine, geometry.Angle(x))
		}
	}
	if len(c.Covariance) != n {
		return fmt.Errorf("covariance_deg2: found %s, expected one for each of the %d coefficients", inputerror.Count(len(c.Covariance), "row"), n)
	}
	for i, row := range c.Covariance {
		if len(row) != n {
			return fmt.Errorf("covariance_deg2[%d]: found %s, expected %d", i, inputerror.Count(len(row), "number"), n)
		}
		for j, x := range row {
			other := c.Covariance[j]
			switch {
			case !(math.Abs(x) <= 180*180), i == j && x < 0:
				return fmt.Errorf("covariance_deg2[%d][%d]: found %s, expected square degrees", i, j, number(x))
			case j < len(other) && i < len(other) && math.Abs(x-other[i]) > 1e-9*(math.Abs(x)+math.Abs(other[i])):
				return fmt.Errorf("covariance_deg2[%d][%d]: found %s, and %s at its mirror place, expected the same", i, j, number(x), number(other[i]))
			}
		}
	}
	return nil
}

// jsonTrouble says what is wrong with a JSON text, and where.
func jsonTrouble(text string, offset int64, expected string, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &kind):
		return fmt.Errorf("%s: found a %s, expected %s", kind.Field, kind.Value, jsonKinds[kind.Type.Kind().String()])
	case errors.Is(err, io.EOF):
		return errors.New("the file is empty")
	case errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("the file ends within the object: it was not written whole")
	case strings.Contains(err.Error(), "unknown field"):
		_, name, _ := strings.Cut(err.Error(), "unknown field ")
		return fmt.Errorf("found the unknown key %s", strings.Trim(name, `"`))
	}
	before := []byte(text)[:min(int(max(0, offset)), len(text))]
	return fmt.Errorf("line %d: no JSON from here on, expected %s as it was written", 1+bytes.Count(before, []byte("\n")), expected)
}

var jsonKinds = map[string]string{ // only looked up
	"int": "a whole number", "float64": "a number", "string": "a text", "slice": "a list", "struct": "an object",
}

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
