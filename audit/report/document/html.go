package document

import (
	_ "embed"
	"fmt"
	"hash/crc32"
	"html/template"
	"io"
	"strings"

	"markaudit/audit/report/drawing"
)

//go:embed page.css
var pageStyle string

// HTML writes a document as a page that needs nothing else: no script, nothing
// fetched, figures drawn in place. It prints on A4 and on Letter.
func HTML(w io.Writer, d Doc) error {
	title := "markaudit"
	for _, block := range d {
		if h, ok := block.(Heading); ok {
			title = h.Text
			break
		}
	}
	if err := HTMLStart(w, title); err != nil {
		return err
	}
	if err := HTMLPart(w, d); err != nil {
		return err
	}
	_, err := io.WriteString(w, HTMLEnd)
	return err
}

// HTMLStart writes what goes before the first [HTMLPart] of a page with several
// documents.
func HTMLStart(w io.Writer, title string) error {
	return pages.ExecuteTemplate(w, "top", page{Title: title, Style: template.CSS(pageStyle)})
}

// HTMLEnd goes after the last.
const HTMLEnd = "</main>\n</body>\n</html>\n"

// HTMLPart writes one document of a page; each begins a new sheet of paper.
func HTMLPart(w io.Writer, d Doc) error {
	var parts []part
	of := article{}
	for _, block := range d {
		switch x := block.(type) {
		case Head:
			of.Page, of.Style = printed(x.Parts)
		case Facts:
			p := part{Kind: "facts"}
			for _, pair := range x.Pairs {
				if pair[1] != "" {
					p.Rows = append(p.Rows, []cell{{Text: pair[0]}, {Text: pair[1]}})
				}
			}
			parts = append(parts, p)
		case Heading:
			parts = append(parts, part{Kind: "heading", Text: x.Text})
		case Sentence:
			if x.Lead != "" {
				parts = append(parts, part{Kind: "lead", Text: x.Lead[:1] + strings.ToLower(x.Lead[1:])})
			}
			if x.Text != "" {
				parts = append(parts, part{Kind: "text", Text: x.Text})
			}
		case Steps:
			parts = append(parts, part{Kind: "steps", Items: x.Items})
		case Table:
			parts = append(parts, newTablePart(x))
		case Figure:
			// Inline escapes every text that it holds.
			parts = append(parts, part{Kind: "figure", Drawing: template.HTML(drawing.Inline(x.Scene))})
		case Signature:
			parts = append(parts, part{Kind: "signature"})
		}
	}
	of.Parts = parts
	return pages.ExecuteTemplate(w, "document", of)
}

// printed is the page of paper on which a document prints: what it belongs to and the
// number of the sheet stand at the foot, where a browser knows the boxes in a page's
// margin (CSS Paged Media, 5). The name holds letters and digits only.
func printed(head []string) (name string, style template.CSS) {
	text := strings.Join(head, "  ·  ")
	name = fmt.Sprintf("head%08x", crc32.ChecksumIEEE([]byte(text)))
	var quoted strings.Builder
	for _, r := range strings.ToValidUTF8(text, "\uFFFD") { // as numbers, so that no name can end the text or the style
		fmt.Fprintf(&quoted, `\%x `, r)
	}
	const font = `font: 8pt "Liberation Sans", Arial, Helvetica, sans-serif;`
	return name, template.CSS(fmt.Sprintf(`@page %s { @bottom-left { content: "%s"; %s } @bottom-right { content: "page " counter(page) " of " counter(pages); %s } }`, name, quoted.String(), font, font))
}

// article is one document of a page, and how it prints.
type article struct {
	Page  string
	Style template.CSS
	Parts []part
}

type page struct {
	Title string
	Style template.CSS
}

type part struct {
	Kind, Text string
	Items      []string
	Header     []cell
	Rows       [][]cell
	Drawing    template.HTML
}

type cell struct {
	Text  string
	Right bool
}

func newTablePart(t Table) part {
	p := part{Kind: "table", Text: t.Note, Header: cells(t, t.Header)}
	for _, row := range t.Rows {
		p.Rows = append(p.Rows, cells(t, row))
	}
	return p
}

func cells(t Table, row []string) []cell {
	out := make([]cell, len(row))
	for i, text := range row {
		out[i] = cell{Text: text, Right: i < len(t.Right) && t.Right[i]}
	}
	return out
}

// The page's policy forbids whatever it does not bring along, so that a name
// that slipped through could still start nothing.
var pages = template.Must(template.New("").Parse(`
{{- define "top" -}}
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>
{{.Style}}</style>
</head>
<body>
<main>
{{end -}}
{{- define "document" -}}
{{with .Style}}<style>{{.}}</style>
{{end -}}
<article>
{{with .Page}}<div style="page: {{.}}">
{{end -}}
{{range .Parts -}}
{{if eq .Kind "heading"}}<h1>{{.Text}}</h1>
{{else if eq .Kind "facts"}}<dl>
{{range .Rows}}<div><dt>{{(index . 0).Text}}</dt><dd>{{(index . 1).Text}}</dd></div>
{{end}}</dl>
{{else if eq .Kind "lead"}}<h2>{{.Text}}</h2>
{{else if eq .Kind "text"}}<p>{{.Text}}</p>
{{else if eq .Kind "steps"}}<ol>
{{range .Items}}<li>{{.}}</li>
{{end}}</ol>
{{else if eq .Kind "table"}}<table>
<thead><tr>{{range .Header}}<th scope="col"{{if .Right}} class="right"{{end}}>{{.Text}}</th>{{end}}</tr></thead>
<tbody>
{{range .Rows}}<tr>{{range .}}<td{{if .Right}} class="right"{{end}}>{{.Text}}</td>{{end}}</tr>
{{end}}</tbody>
</table>
{{with .Text}}<p class="note">{{.}}</p>
{{end}}
{{- else if eq .Kind "figure"}}<figure>
{{.Drawing}}</figure>
{{else if eq .Kind "signature"}}<div class="sign"><span>name</span><span>date</span><span>signature</span></div>
{{end -}}
{{end -}}
{{with .Page}}</div>
{{end -}}
</article>
{{end -}}`))
