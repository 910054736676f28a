package drawing

import (
	"io"
	"slices"
	"strings"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"markaudit/geometry"
)

// fixedDate stands in every PDF: the same scenes give the same bytes.
var fixedDate = time.Date(2000, time.January, 1, 0, 0, 0, 0, time.UTC)

const pointsPerMillimetre = 72 / 25.4 // of PDF, ISO 32000-1, 8.3.2.3

// PDF writes scenes as pages, each of its scene's size. Title is the document's.
// A letter that the built-in types do not have prints as an empty box: a name that
// may hold one is better shown by a number ([Has]). Right-to-left text is put in the
// order in which it is seen.
func PDF(w io.Writer, title string, pages []Scene) error {
	p := fpdf.New("P", "mm", "A4", "")
	p.SetAutoPageBreak(false, 0)
	p.SetMargins(0, 0, 0)
	p.SetCatalogSort(true)
	p.SetCreationDate(fixedDate)
	p.SetModificationDate(fixedDate)
	p.SetTitle(strings.Map(func(r rune) rune { // the library writes UTF-16 without surrogates
		if r > 0xffff {
			return -1
		}
		return r
	}, strings.ToValidUTF8(title, "")), true)
	p.SetLang("en")
	p.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	if slices.ContainsFunc(pages, Scene.bold) { // a type that nothing is set in would only make the file larger
		p.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	}
	for _, s := range pages {
		p.AddPageFormat("P", fpdf.SizeType{Wd: s.Width.Millimetres(), Ht: s.Height.Millimetres()})
		p.SetLineJoinStyle("round")
		for _, item := range s.Items {
			draw(p, item)
		}
	}
	return p.Output(w)
}

func draw(p *fpdf.Fpdf, item Item) {
	switch x := item.(type) {
	case Line:
		if x.Stroke.set(p) {
			p.Line(x.From.X.Millimetres(), x.From.Y.Millimetres(), x.To.X.Millimetres(), x.To.Y.Millimetres())
		}
	case Polygon:
		style := x.Fill.set(p)
		if x.Stroke.set(p) {
			style += "D"
		}
		if style == "" || len(x.Points) == 0 {
			return
		}
		p.MoveTo(x.Points[0].X.Millimetres(), x.Points[0].Y.Millimetres())
		for _, point := range x.Points[1:] {
			p.LineTo(point.X.Millimetres(), point.Y.Millimetres())
		}
		if !x.Open {
			p.ClosePath()
		}
		p.DrawPath(style)
	case Circle:
		style := x.Fill.set(p)
		if x.Stroke.set(p) {
			style += "D"
		}
		if style != "" {
			p.Circle(x.Centre.X.Millimetres(), x.Centre.Y.Millimetres(), x.Radius.Millimetres(), style)
		}
	case Text:
		x.draw(p)
	}
}

func (t Text) draw(p *fpdf.Fpdf) {
	ink := inks[max(t.Ink, Black)]
	p.SetTextColor(ink.r, ink.g, ink.b)
	style := ""
	if t.Bold {
		style = "B"
	}
	p.SetFont("sans", style, t.Size.Millimetres()*pointsPerMillimetre)
	text := seen(printable(t.Text, t.Bold))
	back := t.Extent() * geometry.Length(t.Anchor) / 2 // Start, Middle, End: none, half, all of it
	x, y := t.At.X.Millimetres(), t.At.Y.Millimetres()
	if t.Turn == 0 {
		p.Text(x-back.Millimetres(), y, text)
		return
	}
	p.TransformBegin()
	p.TransformRotate(-t.Turn.Degrees(), x, y)
	p.Text(x-back.Millimetres(), y, text)
	p.TransformEnd()
}

// bold reports whether any text of a scene is.
func (s Scene) bold() bool {
	return slices.ContainsFunc(s.Items, func(i Item) bool {
		t, ok := i.(Text)
		return ok && t.Bold
	})
}

// set chooses the ink to fill with and returns how a path is then to be painted.
func (i Ink) set(p *fpdf.Fpdf) string {
	if i == None {
		return ""
	}
	p.SetFillColor(inks[i].r, inks[i].g, inks[i].b)
	return "F"
}

// set chooses how to draw lines, and reports whether there are any.
func (s Stroke) set(p *fpdf.Fpdf) bool {
	if s.Ink == None || s.Width <= 0 {
		return false
	}
	p.SetDrawColor(inks[s.Ink].r, inks[s.Ink].g, inks[s.Ink].b)
	p.SetLineWidth(s.Width.Millimetres())
	var dash []float64
	if s.Dashed {
		dash = []float64{dashOn.Millimetres(), dashOff.Millimetres()}
	}
	p.SetDashPattern(dash, 0)
	return true
}
