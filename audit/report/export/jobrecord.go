package export

import (
	"bytes"
	"io"

	"markaudit/audit/jobrecord"
)

// Recorded writes the object that a study wrote, with the record as its last key,
// job_record.
func Recorded(w io.Writer, r jobrecord.Record, study func(io.Writer) error) error {
	var object, record bytes.Buffer
	if err := study(&object); err != nil {
		return err
	}
	if err := indented(&record, recordJSON(r)); err != nil {
		return err
	}
	text := bytes.TrimSuffix(object.Bytes(), []byte("\n}\n"))
	inner := bytes.ReplaceAll(bytes.TrimSuffix(record.Bytes(), []byte("\n")), []byte("\n"), []byte("\n  "))
	_, err := w.Write(append(append(append(append([]byte{}, text...), ",\n  \"job_record\": "...), inner...), "\n}\n"...))
	return err
}

func recordJSON(r jobrecord.Record) jsonRecord {
	out := jsonRecord{
		Files: []jsonRecordFile{}, Software: r.Software, Asked: []jsonAsked{}, Instruments: []jsonUsed{},
		Conditions: textOrNull(r.Conditions), By: textOrNull(r.By), Date: textOrNull(r.Date), Rule: textOrNull(r.Rule), Revision: textOrNull(r.Revision), Readings: []jsonRecordReading{},
	}
	for _, f := range r.Files {
		out.Files = append(out.Files, jsonRecordFile(f))
	}
	for _, a := range r.Asked {
		out.Asked = append(out.Asked, jsonAsked(a))
	}
	for _, i := range r.Instruments {
		one := jsonUsed{jsonInstrument: instrumentJSON(i), Used: textOrNull(r.UsedOn(i))}
		if overdue, known := r.Overdue(i); known {
			one.Overdue = &overdue
		}
		out.Instruments = append(out.Instruments, one)
	}
	for _, x := range r.Readings {
		one := jsonRecordReading{Where: x.Where, Text: x.Text, Struck: textOrNull(x.Struck), Slip: x.Slip, AsRead: x.AsRead}
		if x.Row > 0 {
			one.Row = &x.Row
		}
		out.Readings = append(out.Readings, one)
	}
	return out
}

// jsonAuditRecord is the record of an audit: that of a study, after what its title
// block holds.
type jsonAuditRecord struct {
	Workshop *string `json:"workshop"`
	Customer *string `json:"customer"`
	Job      *string `json:"job"`
	Engine   *string `json:"engine"`
	Part     *string `json:"part"`
	Measured *string `json:"measured"`
	Issued   *string `json:"issued"`
	Readout  *string `json:"readout"`
	Method   *string `json:"method"`
	jsonRecord
}

func auditRecordJSON(r jobrecord.Record) jsonAuditRecord {
	j := r.Job
	return jsonAuditRecord{
		Workshop: textOrNull(j.Workshop), Customer: textOrNull(j.Customer), Job: textOrNull(j.Number), Engine: textOrNull(j.Engine), Part: textOrNull(j.Part),
		Measured: textOrNull(j.Measured), Issued: textOrNull(j.Issued), Readout: textOrNull(j.Readout), Method: textOrNull(j.Method), jsonRecord: recordJSON(r),
	}
}

func instrumentJSON(i jobrecord.Instrument) jsonInstrument {
	return jsonInstrument{i.Role, textOrNull(i.Name), textOrNull(i.Number), textOrNull(i.Certificate), textOrNull(i.Due)}
}

type jsonRecord struct {
	Files       []jsonRecordFile    `json:"files"`
	Software    string              `json:"software"`
	Asked       []jsonAsked         `json:"asked"`
	Instruments []jsonUsed          `json:"instruments"`
	Conditions  *string             `json:"conditions"`
	By          *string             `json:"by"`
	Date        *string             `json:"date"`
	Rule        *string             `json:"rule"`
	Revision    *string             `json:"revision"`
	Readings    []jsonRecordReading `json:"readings"`
}

type jsonRecordFile struct {
	Name   string `json:"name"`
	Digest string `json:"sha256"`
	Rows   int    `json:"rows"`
}

type jsonAsked struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Stated bool   `json:"stated"`
}

type jsonInstrument struct {
	Role        string  `json:"role"`
	Name        *string `json:"name"`
	Number      *string `json:"number"`
	Certificate *string `json:"certificate"`
	Due         *string `json:"due"`
}

// jsonUsed is an instrument with the day on which it was used, and whether its
// certificate had ended by then; null: one of the two days is not stated.
type jsonUsed struct {
	jsonInstrument
	Used    *string `json:"used"`
	Overdue *bool   `json:"overdue"`
}

type jsonRecordReading struct {
	Row    *int    `json:"row"`
	Where  string  `json:"where"`
	Text   string  `json:"as_written"`
	Struck *string `json:"struck"`
	Slip   bool    `json:"slip"`
	AsRead bool    `json:"as_read"`
}
