package export

import (
	"io"

	"markaudit/audit/csvfile"
	"markaudit/audit/jobrecord"
	"markaudit/audit/rehearse"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/simulate"
)

// Rehearsal writes an opened rehearsal as one object and a newline.
func Rehearsal(w io.Writer, o rehearse.Opened, with document.Options) error {
	out := jsonRehearsal{
		Format: 1, Software: with.Software, Scenario: o.Scenario, Seed: o.Seed, Story: o.Story, Cause: textOrNull(string(o.Cause)),
		Marks: []jsonRehearsedMark{}, Finding: o.Result.Together.Finding.String(), Warnings: []string{},
	}
	for _, l := range o.Lines {
		m := jsonRehearsedMark{Name: l.Name, Truth: l.Offset.Degrees(), Within: l.Within(), Verdict: l.Mark.Verdict.String(), Held: l.Held}
		if e := l.Mark.Offset; e != nil {
			m.Offset, m.Expanded = known(e.Value.Degrees()), when(e.Known, e.Expanded.Degrees())
		}
		if a := l.Answer; a != nil {
			right := a.HasVerdict && !l.Misjudge && !l.Overbold && (!a.HasOff || l.Near)
			m.Answer, m.Right = when(a.HasOff, a.Off.Degrees()), &right
			if a.HasVerdict {
				m.Said = textOrNull(a.Verdict.String())
			}
		}
		out.Marks = append(out.Marks, m)
	}
	for _, x := range o.Result.Warnings {
		out.Warnings = append(out.Warnings, string(x.Code))
	}
	out.Score, out.Points, out.Of = scored(o)
	return indented(w, out)
}

func scored(o rehearse.Opened) (score []jsonScored, points, of *float64) {
	score = []jsonScored{}
	for _, s := range o.Score {
		score = append(score, jsonScored{s.Mark, string(s.Item), s.Points, s.Of, string(s.Reason), words.AboutScored(s)})
	}
	if o.Score != nil {
		p, all := o.Points()
		points, of = &p, &all
	}
	return score, points, of
}

// Batch writes what all apprentices of a batch came to, as one list and a newline.
// Each has a record of its own, in the same order.
func Batch(w io.Writer, opened []rehearse.Opened, recs []jobrecord.Record) error {
	out := []jsonBatch{}
	for i, o := range opened {
		b := jsonBatch{Name: o.Name, Scenario: o.Scenario, Seed: o.Seed, Record: recordJSON(recs[i])}
		b.Score, b.Points, b.Of = scored(o)
		out = append(out, b)
	}
	return indented(w, out)
}

// Batch writes opened rehearsals as a table, a row an item; who handed in nothing has
// one row, absent.
func (c CSV) Batch(w io.Writer, opened []rehearse.Opened, recs []jobrecord.Record) error {
	t := c.of("name", "mark", "item", "points", "of", "reason")
	for i, o := range opened {
		row := func(cells ...any) { t.row(append(append([]any{o.Name}, cells...), recorded(recs[i])...)...) }
		if o.Score == nil {
			row("", "", "", "", "absent")
		}
		for _, s := range o.Score {
			row(s.Mark, string(s.Item), s.Points, s.Of, string(s.Reason))
		}
	}
	return t.write(w)
}

type jsonScored struct {
	Mark   string  `json:"mark"`
	Item   string  `json:"item"`
	Points float64 `json:"points"`
	Of     float64 `json:"of"`
	Reason string  `json:"reason"`
	Text   string  `json:"text"`
}

type jsonBatch struct {
	Name     string       `json:"name"`
	Scenario string       `json:"scenario"`
	Seed     uint64       `json:"seed"`
	Points   *float64     `json:"points"`
	Of       *float64     `json:"of"`
	Score    []jsonScored `json:"score"`
	Record   jsonRecord   `json:"job_record"`
}

type jsonRehearsal struct {
	Format   int                 `json:"format"`
	Software string              `json:"software"`
	Scenario string              `json:"scenario"`
	Seed     uint64              `json:"seed"`
	Story    string              `json:"story"`
	Cause    *string             `json:"cause"`
	Marks    []jsonRehearsedMark `json:"marks"`
	Finding  string              `json:"finding"`
	Warnings []string            `json:"warnings"`
	Points   *float64            `json:"points"`
	Of       *float64            `json:"of"`
	Score    []jsonScored        `json:"score"`
}

type jsonRehearsedMark struct {
	Name     string   `json:"name"`
	Truth    float64  `json:"truth_deg"`
	Within   bool     `json:"truly_within"`
	Offset   *float64 `json:"offset_deg"`
	Expanded *float64 `json:"expanded_uncertainty_deg"`
	Verdict  string   `json:"verdict"`
	Held     bool     `json:"interval_holds_truth"`
	Answer   *float64 `json:"answer_deg"`
	Said     *string  `json:"answer_verdict"`
	Right    *bool    `json:"answer_right"`
}

// Answers is the form for the answers to a rehearsal: of its lines and the sheet, or
// of the hands of a class.
func (c CSV) Answers(truth simulate.Truth, hands []simulate.TrueHand) string {
	t := newTable("mark", "off_by", "verdict", "confirm", "cause")
	if len(hands) > 0 {
		t = newTable("by", "scatters", "sits_off", "advice")
	}
	t.CSV = c
	for _, h := range hands {
		t.row(h.By, "", "", "")
	}
	if len(hands) == 0 {
		for _, l := range truth.Lines {
			t.row(l.Name, "", "", "", "")
		}
	}
	return t.text()
}

// Form writes rows of texts under a header.
func (c CSV) Form(header []string, rows [][]string) string { return c.NumberedForm(header, rows, -1) }

// NumberedForm does so where the column numbers, counted from 0, holds numbers: they
// keep their sign.
func (c CSV) NumberedForm(header []string, rows [][]string, numbers int) string {
	t := newTable(header...)
	t.CSV = c
	for _, row := range rows {
		t.rows = append(t.rows, nil)
		last := &t.rows[len(t.rows)-1]
		for i, text := range row {
			if i != numbers {
				text = csvfile.Harmless(text)
			}
			*last = append(*last, text)
		}
	}
	return t.text()
}
