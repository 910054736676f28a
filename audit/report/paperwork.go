package report

import (
	"slices"
	"strings"

	"markaudit/audit/jobrecord"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// afterScribing is what was found before and after the scriber touched the metal;
// nothing where the sheet says nothing of it.
func afterScribing(v words.Audit) []document.Block {
	said := words.AfterScribing(v)
	if len(said) == 0 {
		return nil
	}
	return []document.Block{document.Space{}, document.Sentence{Lead: "AFTER SCRIBING"}, document.Steps{Items: said}}
}

// paperwork lists instruments, conditions and photos as the sheet has them; nothing
// where it has none. What an instrument lacks is a line to fill in by hand.
func paperwork(v words.Audit) []document.Block {
	s := v.Result.Sheet
	var out []document.Block
	if len(s.Instruments) > 0 {
		t := document.Table{Header: []string{"instrument", "name", "number", "certificate", "due"}}
		certified := slices.ContainsFunc(s.Instruments, func(i jobrecord.Instrument) bool { return i.Uncertainty != "" })
		if certified {
			t.Header = append(t.Header, "uncertainty")
		}
		for _, i := range s.Instruments {
			row := []string{words.Clean(i.Role), filled(i.Name), filled(i.Number), filled(i.Certificate), filled(i.Due)}
			if certified {
				row = append(row, words.Clean(i.Uncertainty))
			}
			t.Rows = append(t.Rows, row)
		}
		out = append(out, document.Space{}, document.Sentence{Lead: "INSTRUMENTS", Text: words.DueDates(v)}, t)
	}
	if c := s.Conditions.String(); c != "" {
		out = append(out, document.Space{}, document.Sentence{Lead: "CONDITIONS", Text: words.Dot(words.Clean(c))})
	}
	if len(s.Photos) > 0 {
		t := document.Table{Header: []string{"photo", "of", "SHA-256", ""}}
		for _, p := range s.Photos {
			digest := p.Found
			if digest == "" {
				digest = p.Digest
			}
			t.Rows = append(t.Rows, []string{words.Clean(p.File), words.Clean(p.Of), words.ShortDigest(digest), words.Photo(p)})
		}
		out = append(out, document.Space{}, document.Sentence{Lead: "PHOTOS"}, t)
	}
	return out
}

// filled is a text, or a line to write on.
func filled(text string) string {
	if strings.TrimSpace(text) == "" {
		return "_________" // narrow enough for five columns
	}
	return words.Clean(text)
}

// statedSizes lists the numbers and sizes of the sheet as they were entered, with
// what they come to where that was in another unit.
func statedSizes(v words.Audit) []document.Block {
	t := document.Table{Header: []string{"what", "as entered", "comes to"}}
	for _, said := range v.Result.Sheet.Stated {
		key := strings.TrimPrefix(words.InPlainWords(string(said.Path)), "the ")
		for _, m := range v.Result.Sheet.Marks { // a line is known by its name
			if of, ok := strings.CutPrefix(key, string(m.Path)+"."); ok {
				if of == "at" {
					of = "belongs at"
				}
				key = words.TheLine(m.Name) + ", " + of
			}
		}
		t.Rows = append(t.Rows, []string{words.Clean(key), words.Clean(said.Text), sheet.Converted(said.Text)})
	}
	if !slices.ContainsFunc(t.Rows, func(row []string) bool { return row[2] != "" }) { // nothing was in another unit
		t.Header = t.Header[:2]
		for i := range t.Rows {
			t.Rows[i] = t.Rows[i][:2]
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []document.Block{document.Sentence{Lead: "SIZES AS ENTERED", Text: "Angles are in degrees. A place without letters or a sign lies after TDC (ATDC). A tolerance that names no side holds either way (±)."}, t}
}
