package webserver

import (
	"bytes"
	"errors"
	"net/http"

	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/paper"
)

// reportPage is a report as a page.
type reportPage struct {
	Base, Job string
	Blocks    []block
}

func (s *server) reportOf(d document.Doc) reportPage { return reportPage{s.base, s.job, blocks(d)} }

func (s *server) showReport(w http.ResponseWriter) {
	s.mu.Lock()
	v, path, r := s.rec.State().View(), s.rec.Sheet(), s.rec.Words()
	s.mu.Unlock()
	if v.Result == nil {
		writePage(w, http.StatusOK, "report.html", s.reportOf(document.Doc{document.Sentence{Lead: "NO REPORT YET", Text: r.Trouble()}}))
		return
	}
	var d document.Doc
	if text := r.StopAtTheEnd(); text != "" { // no result without it
		d = append(d, document.Sentence{Lead: "LOOK", Text: text})
	}
	writePage(w, http.StatusOK, "report.html", s.reportOf(append(d, report.Audit(*v.Result, v.Next, document.Options{Path: path, Software: s.software})...)))
}

// showStrip answers with the strips as a file to print: what shows pages on a
// screen rarely prints them in true size.
func (s *server) showStrip(w http.ResponseWriter) {
	s.mu.Lock()
	v, path, r := s.rec.State().View(), s.rec.Sheet(), s.rec.Words()
	s.mu.Unlock()
	no := func(why error) {
		writePage(w, http.StatusOK, "report.html", s.reportOf(document.Doc{document.Sentence{Lead: "NO STRIP", Text: why.Error()}}))
	}
	if v.Result == nil {
		no(errors.New(r.Trouble()))
		return
	}
	d, err := paper.Strip(*v.Result, paper.StripOptions{Thickness: s.paper, Path: path, Software: s.software})
	if err != nil {
		no(err)
		return
	}
	var b bytes.Buffer
	if err := drawing.TrueSizePDF(&b, d.Title, d.Pages); err != nil {
		no(err)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `attachment; filename="strip.pdf"`)
	_, _ = w.Write(b.Bytes())
}
