package cli

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/words"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
)

// writer writes the audit of one sheet.
type writer func(w io.Writer, r audit.Result, next []advise.Next, o document.Options) error

func asDocument(render func(io.Writer, document.Doc) error) writer {
	return func(w io.Writer, r audit.Result, next []advise.Next, o document.Options) error {
		return render(w, report.Audit(r, next, o))
	}
}

// record is a document for the job's folder, with figures and readings.
func record(render func(io.Writer, document.Doc) error) writer {
	return func(w io.Writer, r audit.Result, next []advise.Next, o document.Options) error {
		return render(w, report.JobSheet(r, next, o))
	}
}

// layout is how the audits of one or more sheets are put together.
type layout struct {
	write                  writer
	before, between, after string
	trim                   bool // the newline at the end of each, where something follows it
}

func newLayout(format string, sheets int, csv export.CSV) layout {
	switch format {
	case "json":
		if sheets == 1 {
			return layout{write: export.Audit}
		}
		return layout{write: export.Audit, before: "[\n", between: ",\n", after: "\n]\n", trim: true}
	case "csv":
		var header bytes.Buffer
		if err := csv.AuditHeader(&header); err != nil {
			panic("markaudit: a header that cannot be written into memory: " + err.Error())
		}
		return layout{write: csv.Audit, before: header.String()}
	case "html":
		if sheets == 1 {
			return layout{write: record(document.HTML)}
		}
		var start bytes.Buffer
		if err := document.HTMLStart(&start, "Audits of timing marks"); err != nil {
			panic("markaudit: a page that cannot be written into memory: " + err.Error())
		}
		return layout{write: record(document.HTMLPart), before: start.String(), after: document.HTMLEnd}
	case "pdf":
		return layout{write: func(w io.Writer, r audit.Result, next []advise.Next, o document.Options) error {
			on := o.Paper
			if on == (document.Paper{}) {
				on = document.A4
			}
			return drawing.PDF(w, words.NewAudit(r, next).Title(o.Path), report.Record(r, next, o, on))
		}}
	case "markdown":
		return layout{write: asDocument(document.Markdown), between: "\n---\n\n"}
	}
	return layout{write: asDocument(document.Text), between: "\n" + strings.Repeat("-", 80) + "\n\n"}
}

// render returns the audit of one sheet, without what stands around it.
func (l layout) render(r audit.Result, o document.Options) ([]byte, error) {
	var text bytes.Buffer
	if err := l.write(&text, r, audit.Next(r), o); err != nil {
		return nil, fmt.Errorf("%s: %w", phrase.Shown(o.Path), err)
	}
	if l.trim {
		return bytes.TrimSuffix(text.Bytes(), []byte("\n")), nil
	}
	return text.Bytes(), nil
}

// chooseFormat adds --format with the formats of an audit.
func chooseFormat(c *cobra.Command) *choice {
	return choose(c, "format", "text", "how to print the audit", "text", "json", "markdown", "csv", "html", "pdf")
}

// formatByName takes the format from the ending of --output where --format does
// not say it: text under a name that promises a page helps nobody.
func formatByName(c *cobra.Command) error {
	format, output := c.Flags().Lookup("format"), c.Flags().Lookup("output")
	if format == nil || output == nil || !output.Changed {
		return nil
	}
	name := output.Value.String()
	word := ""
	switch ending := strings.ToLower(filepath.Ext(name)); ending {
	case ".html", ".htm":
		word = "html"
	case ".md":
		word = "markdown"
	case ".json", ".csv", ".pdf":
		word = ending[1:]
	}
	if word == "" || format.Changed {
		return nil
	}
	if err := format.Value.Set(word); err != nil {
		return bad(c, "--output: %s asks for a format that this is not printed in: %v; --format says which", phrase.Shown(name), err)
	}
	return nil
}

// onPaper reports whether a format is a page for the job's folder, with its figures
// and room to sign.
func onPaper(format string) bool { return format == "html" || format == "pdf" }

// notOnScreen refuses to write a PDF to a terminal.
func notOnScreen(c *cobra.Command, env world.World) error {
	format, output := c.Flags().Lookup("format"), c.Flags().Lookup("output")
	if env.OnScreen && format != nil && format.Value.String() == "pdf" && (output == nil || !output.Changed) {
		return bad(c, "found --format pdf without --output, expected the name of a file: a terminal can't show a page")
	}
	return nil
}

// show writes a document in a format, or its record for other programs. On a
// page it has figures, and room to sign.
func show(w io.Writer, format string, d document.Doc, figures func() []drawing.Scene, json func(io.Writer) error) error {
	switch format {
	case "json":
		return json(w)
	case "markdown":
		return document.Markdown(w, d)
	case "html", "pdf":
		var scenes []drawing.Scene
		if figures != nil {
			scenes = figures()
		}
		d = report.ForFolder(d, scenes)
		if format == "pdf" {
			return document.PDF(w, d)
		}
		return document.HTML(w, d)
	}
	return document.Text(w, d)
}
