package webserver

import (
	"bytes"
	"errors"
	"net/http"
	"slices"
	"strings"

	"markaudit/audit/compare"
	"markaudit/audit/job"
	"markaudit/audit/jobrecord"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/paper"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/folder"
)

// showPaper answers with the whole report, the strips or the record to print. What
// names the side or the length of a new line comes only after the check by eye.
func showPaper(s *shop, w http.ResponseWriter, d *device, j folder.Job, what string) {
	v, so := j.Words(), j.Standing
	no := func(why string) {
		s.showDoc(w, j, document.Doc{document.Sentence{Lead: "NOT YET", Text: why}})
	}
	switch {
	case j.Result == nil:
		no("Nothing can be judged yet.")
		return
	case so.Stage == job.Stopped:
		no("The sheet is not as the metal, so no report of it holds. What to do is on the page of the job.")
		return
	case so.Eye != job.Yes && v.HasSides(), what == "strip" && so.Eye != job.Yes && job.Scribes(*j.Result):
		no("The check by eye comes first: it is on the page of the job.")
		return
	case what == "strip" && so.Scribed(j.Result):
		no("The new line is scribed, and its strip has done its work: laid to the new line it would put another one beside it. If it is not scribed after all, say so on the page of the job.")
		return
	}
	path := j.File
	o := document.Options{Path: path, Software: s.options.Software, Scribed: v.Scribed}
	switch what {
	case "report":
		var doc document.Doc
		if so.StopIn { // no result without it
			doc = append(doc, document.Sentence{Lead: "LOOK", Text: "The stop is IN: ease off, and take it out before anyone turns the engine past TDC."})
		}
		s.showDoc(w, j, append(append(doc, report.Audit(*j.Result, j.Next, o)...), afterwards(j)...))
	case "record":
		doc := report.JobSheet(*j.Result, j.Next, o)
		if said := afterwards(j); len(said) > 0 { // before the room to sign
			at := slices.IndexFunc(doc, func(b document.Block) bool { _, is := b.(document.Signature); return is })
			if at < 0 {
				at = len(doc)
			}
			doc = slices.Insert(doc, at, said...)
		}
		page, err := htmlOf(doc)
		if err != nil {
			no(err.Error())
			return
		}
		// The record carries its style in itself, so that it can be kept as one file.
		w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write(page)
	case "strip":
		drawn, err := paper.Strip(*j.Result, paper.StripOptions{Thickness: s.options.Paper, Path: path, Software: s.options.Software})
		if err != nil {
			no(err.Error())
			return
		}
		var b bytes.Buffer
		if err := drawing.TrueSizePDF(&b, drawn.Title, drawn.Pages); err != nil {
			no(err.Error())
			return
		}
		w.Header().Set("Content-Type", "application/pdf")
		w.Header().Set("Content-Disposition", `attachment; filename="strip-`+strings.TrimSuffix(strings.TrimSuffix(folder.ID(j.File), "-"), ".")+`.pdf"`)
		_, _ = w.Write(b.Bytes())
	}
}

// afterwards says what was answered after the readings: by whom, and when.
func afterwards(j folder.Job) document.Doc {
	var items []string
	add := func(what string, said job.Said, yes, no string) {
		if said.Answer == "" {
			return
		}
		text := what + yes
		if said.Answer == job.No {
			text = what + no
		}
		if said.By != "" {
			text += ", " + words.Clean(said.By)
		}
		items = append(items, text+", "+said.Time+".")
	}
	if j.Standing.Eye != "" {
		add("Check by eye: ", j.Told.Eye, "as the sheet says", "NOT as the sheet says")
	}
	if j.Standing.Stage == job.Proving || j.Standing.Stage == job.Stopped || j.Standing.Proven {
		add("New line: ", j.Told.Scribed, "scribed", "not scribed, for a distance was wrong")
	}
	if j.Standing.Proof != "" {
		items = append(items, "The new line is read in "+shownFile(j.Standing.Proof)+".")
	}
	if len(items) == 0 {
		return nil
	}
	return document.Doc{document.Sentence{Lead: "AFTER THE READINGS"}, document.Steps{Items: items}}
}

// samePart lists the other audits of the part of a job, the newest first: by its
// number, else by its name and the engine's number.
func samePart(s *shop, j folder.Job) []folder.Job {
	list, err := s.folder.List()
	if err != nil {
		return nil
	}
	var out []folder.Job
	for _, o := range list.Jobs {
		same := o.File == j.Proves || o.Proves == j.File
		if n := j.Sheet.Part.Number; n != "" {
			same = same || o.Sheet.Part.Number == n
		} else if name := j.Sheet.Part.Name; name != "" {
			same = same || o.Sheet.Part.Name == name && o.Sheet.Part.Number == "" && o.Sheet.Engine.Number == j.Sheet.Engine.Number
		}
		if same && o.File != j.File && o.Result != nil {
			out = append(out, o)
		}
	}
	return out
}

// comparePage lists what a job can be compared with, and shows the comparison.
type comparePage struct {
	Base, Title string
	Others      []comparedJob
	Blocks      []block
	Trouble     string
}

type comparedJob struct {
	ID, Title, About string
	On               bool
}

// showCompare compares a job with those that the person ticks; without any it offers
// the one that it proves, else none.
func showCompare(s *shop, w http.ResponseWriter, r *http.Request, d *device, j folder.Job) {
	p := comparePage{Base: jobPath(j.ID), Title: j.Name()}
	with := r.URL.Query()["with"]
	asked := len(with) > 0
	var chosen []folder.Job
	for _, o := range samePart(s, j) {
		on := slices.Contains(with, o.ID) || !asked && (o.File == j.Proves || o.Proves == j.File)
		p.Others = append(p.Others, comparedJob{o.ID, o.Name(), dayOf(o.Last), on})
		if on {
			chosen = append(chosen, o)
		}
	}
	switch {
	case len(p.Others) == 0:
		p.Trouble = "There is no other audit of this part in the folder. Part number and name tell which belong together."
	case j.Result == nil:
		p.Trouble = "Nothing can be judged here yet."
	case len(chosen) > 0:
		doc, err := compareJobs(s, append(chosen, j))
		if err != nil {
			p.Trouble = err.Error()
			break
		}
		p.Blocks = blocks(doc)
	}
	writePage(w, http.StatusOK, "compare.html", p)
}

func compareJobs(s *shop, jobs []folder.Job) (document.Doc, error) {
	// The earlier one first; sheets with dates are put into their order besides.
	slices.SortStableFunc(jobs, func(a, b folder.Job) int {
		switch {
		case a.File == b.Proves:
			return -1
		case b.File == a.Proves:
			return 1
		}
		return a.Last.Compare(b.Last)
	})
	var sheets []sheet.Sheet
	var paths []string
	for _, j := range jobs {
		sheets, paths = append(sheets, j.Result.Sheet), append(paths, j.File)
	}
	c, err := compare.Sheets(sheets)
	if err != nil {
		return nil, err
	}
	doc := report.Comparison(c, paths, document.Options{Software: s.options.Software})
	if len(doc) == 0 {
		return nil, errors.New("nothing can be compared")
	}
	rec := jobrecord.Record{Software: s.options.Software, Rule: jobrecord.CompareRule}
	for i, one := range sheets {
		rec.Files = append(rec.Files, jobrecord.File{Name: paths[i], Digest: one.Digest})
		jobsheet.Measured(&rec, one)
		rec.Readings = append(rec.Readings, jobsheet.Readings(paths[i], one)...)
	}
	return report.Recorded(doc, rec, false), nil
}
