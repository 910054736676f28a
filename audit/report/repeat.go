package report

import (
	"strconv"
	"strings"

	"markaudit/audit/repeatability"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Repeat is the report of a study of people: a sentence a person, who needs
// what, and only then what the method as a whole can do. In a large class those with
// nothing to do share one sentence.
func Repeat(r repeatability.Result) document.Doc {
	d := document.Doc{document.Heading{Text: words.PeopleTitle(r)}}
	if first := words.LookFirst(r); len(first) > 0 {
		d = append(d, document.Sentence{Lead: "LOOK FIRST"}, document.Steps{Items: first}, document.Space{})
	}
	quiet, text := words.Quiet(r)
	for _, p := range r.People {
		if !quiet[p.By] {
			d = append(d, document.Sentence{Text: words.Clean(p.By) + ": " + words.AboutPerson(r, p)})
		}
	}
	if text != "" {
		d = append(d, document.Sentence{Text: text})
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "WHO NEEDS WHAT"})
	if needs := words.WhoNeeds(r); len(needs) > 0 {
		d = append(d, document.Steps{Items: needs})
	} else {
		d = append(d, document.Sentence{Text: words.NobodyNeeds(r)})
	}
	d = append(d, document.Space{}, document.Sentence{Lead: "TOGETHER"})
	for _, s := range words.AboutMethod(r) {
		d = append(d, document.Sentence{Text: s})
	}
	return append(d, document.Space{}, peopleTable(r))
}

// Slips is a slip for each person, to be cut apart.
func Slips(r repeatability.Result) document.Doc {
	var d document.Doc
	for i, p := range r.People {
		if i > 0 {
			d = append(d, document.Space{}, document.Sentence{Text: strings.Repeat("- ", document.Width/2)}, document.Space{})
		}
		d = append(d, slip(r, p)...)
	}
	return d
}

// Slip is the slip of one person: nothing of anybody else stands on it. Empty where
// nobody of that name measured.
func Slip(r repeatability.Result, by string) document.Doc {
	for _, p := range r.People {
		if p.By == by {
			return slip(r, p)
		}
	}
	return nil
}

func slip(r repeatability.Result, p repeatability.Person) document.Doc {
	d := document.Doc{
		document.Heading{Text: words.Clean(p.By)},
		document.Sentence{Text: words.Sentence(words.AboutPerson(r, p))},
		document.Sentence{Text: words.FiguresOf(p)},
	}
	if needs := words.NeedsOf(r, p); len(needs) > 1 { // the first was said
		d = append(d, document.Steps{Items: needs})
	}
	return d
}

// peopleTable is the figures, last.
func peopleTable(r repeatability.Result) document.Table {
	t := document.Table{Header: []string{"person", "values", "against all", "scatter (sd)", "95 % limits", "h", "k"}, Right: []bool{false, true, true, true, true, true, true}}
	two := func(e repeatability.Estimate) string {
		if !e.Known {
			return "-"
		}
		return rounding.Fixed(e.Value, 2)
	}
	for _, p := range r.People {
		row := []string{words.Clean(p.By), strconv.Itoa(p.N), "-", "-", "-", two(p.H), two(p.K)}
		if p.Deviation.Known {
			row[2] = words.SideOf(p.Deviation.Value)
		}
		switch {
		case p.SD.Known && p.SD.Value == 0:
			row[3] = "not seen"
		case p.SD.Known:
			row[3] = rounding.TwoDigits(geometry.Angle(p.SD.Value))
		}
		if p.SD.Bounded {
			row[4] = rounding.TwoDigits(geometry.Angle(p.SD.Low)) + " to " + rounding.TwoDigits(geometry.Angle(p.SD.High))
		}
		t.Rows = append(t.Rows, row)
	}
	t.Note = words.AboutMandel(r)
	return t
}
