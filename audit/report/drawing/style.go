package drawing

import "markaudit/geometry"

// What all figures share, in millimetres. A figure as wide as PageWidth prints on
// A4 and Letter with margins, and one no higher than Tallest is not cut by a page.
const (
	PageWidth geometry.Length = 180
	Tallest   geometry.Length = 225

	// Sizes of the type.
	TitleSize geometry.Length = 3.6
	TextSize  geometry.Length = 2.9
	NoteSize  geometry.Length = 2.5
	LeastSize geometry.Length = 3.2 // of what has to be read at the bench: nine points. Common practice, no source
	Leading   geometry.Length = 3.8 // from baseline to baseline of texts

	Top geometry.Length = 14.6 // below title and note
)

// The strokes of figures, from the thinnest.
var (
	Hair  = Stroke{Width: 0.12, Ink: Grey}
	Thin  = Stroke{Width: 0.25, Ink: Black}
	Thick = Stroke{Width: 0.7, Ink: Black}
)

// Titled begins a figure as wide as a page with its title and, below it, a note
// that also is its alternative text. What is drawn on it begins at Top; its height
// is still to be set.
func Titled(title, note string) Scene {
	s := Scene{Title: title, Description: note, Width: PageWidth}
	s.Add(
		Line{From: Point{X: 0, Y: 0.35}, To: Point{X: 14, Y: 0.35}, Stroke: Thick},
		Line{From: Point{X: 0, Y: 0.35}, To: Point{X: PageWidth, Y: 0.35}, Stroke: Hair},
		Text{At: Point{X: 0, Y: 5.2}, Size: TitleSize, Text: title},
	)
	for i, line := range Wrap(note, LeastSize, PageWidth, 2) {
		s.Add(Text{At: Point{X: 0, Y: 9.6 + geometry.Length(i)*Leading}, Size: LeastSize, Text: line})
	}
	return s
}
