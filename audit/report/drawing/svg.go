package drawing

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"markaudit/geometry"
)

// SVG writes a scene as a picture in a file of its own, in true millimetres.
func SVG(w io.Writer, s Scene) error {
	_, err := io.WriteString(w, `<?xml version="1.0" encoding="UTF-8"?>`+"\n"+Inline(s))
	return err
}

// Inline returns a scene as an SVG element to stand in a page. It has no ids, so
// that any number of them can.
func Inline(s Scene) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" aria-label="%s">`+"\n",
		mm(s.Width), mm(s.Height), mm(s.Width), mm(s.Height), escaped(s.Title))
	fmt.Fprintf(&b, "<title>%s</title>\n<desc>%s</desc>\n", escaped(s.Title), escaped(s.Description))
	b.WriteString(`<g font-family="'Liberation Sans', Arial, Helvetica, sans-serif" stroke-linejoin="round">` + "\n")
	for _, item := range s.Items {
		switch x := item.(type) {
		case Line:
			fmt.Fprintf(&b, `<line x1="%s" y1="%s" x2="%s" y2="%s"%s/>`, mm(x.From.X), mm(x.From.Y), mm(x.To.X), mm(x.To.Y), x.Stroke.svg())
		case Polygon:
			element := "polygon"
			if x.Open {
				element = "polyline"
			}
			fmt.Fprintf(&b, `<%s points="`, element)
			for i, p := range x.Points {
				if i > 0 {
					b.WriteByte(' ')
				}
				b.WriteString(mm(p.X) + "," + mm(p.Y))
			}
			fmt.Fprintf(&b, `" fill="%s"%s/>`, x.Fill.svg(), x.Stroke.svg())
		case Circle:
			fmt.Fprintf(&b, `<circle cx="%s" cy="%s" r="%s" fill="%s"%s/>`, mm(x.Centre.X), mm(x.Centre.Y), mm(x.Radius), x.Fill.svg(), x.Stroke.svg())
		case Text:
			ink, turn := x.Ink, ""
			if ink == None {
				ink = Black
			}
			if x.Turn != 0 {
				turn = fmt.Sprintf(` transform="rotate(%s %s %s)"`, decimals(x.Turn.Degrees()), mm(x.At.X), mm(x.At.Y))
			}
			weight := ""
			if x.Bold {
				weight = ` font-weight="bold"`
			}
			fmt.Fprintf(&b, `<text x="%s" y="%s" font-size="%s" text-anchor="%s" fill="%s"%s%s>%s</text>`,
				mm(x.At.X), mm(x.At.Y), mm(x.Size), [...]string{"start", "middle", "end"}[x.Anchor], ink.svg(), weight, turn, escaped(x.Text))
		}
		b.WriteByte('\n')
	}
	b.WriteString("</g>\n</svg>\n")
	return b.String()
}

// mm prints a length with three decimals, and a zero without a sign.
func mm(l geometry.Length) string { return decimals(l.Millimetres()) }

func decimals(x float64) string {
	s := strconv.FormatFloat(x, 'f', 3, 64)
	if s == "-0.000" {
		return s[1:]
	}
	return s
}

func (i Ink) svg() string {
	if i == None {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", inks[i].r, inks[i].g, inks[i].b)
}

func (s Stroke) svg() string {
	if s.Ink == None || s.Width <= 0 {
		return ""
	}
	dash := ""
	if s.Dashed {
		dash = fmt.Sprintf(` stroke-dasharray="%s %s"`, mm(dashOn), mm(dashOff))
	}
	return fmt.Sprintf(` stroke="%s" stroke-width="%s"%s`, s.Ink.svg(), mm(s.Width), dash)
}

const dashOn, dashOff geometry.Length = 1.2, 0.8

func escaped(text string) string {
	var b strings.Builder
	// A strings.Builder does not fail; what XML cannot hold becomes U+FFFD.
	_ = xml.EscapeText(&b, []byte(text))
	return b.String()
}
