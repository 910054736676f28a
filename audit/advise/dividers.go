package advise

import (
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// Distance is what dividers should find between two neighbouring lines.
type Distance struct {
	From, To   string
	Now, After geometry.Length // chords; After with the instructed new lines
	U          geometry.Length // expanded uncertainty of Now; zero where it is not known
}

// distances lists what dividers should find between neighbouring lines, now and
// once the worthwhile instructions are carried out.
func (a *Advice) distances(s sheet.Sheet, top tdc.Found, placed []lines.Line) {
	if s.Part.Diameter == 0 || !top.Any() {
		return
	}
	for _, n := range lines.Neighbours(s.Part, placed) {
		first, second := placed[n[0]], placed[n[1]]
		gap := lines.Gap(s, top, first, second)
		after := gap // a new line takes its offset out
		if a.Lines[n[0]].Worthwhile {
			after += first.Offset.Value
		}
		if a.Lines[n[1]].Worthwhile {
			after -= second.Offset.Value
		}
		d := Distance{From: first.Name, To: second.Name, Now: lines.Chord(s.Part, gap), After: lines.Chord(s.Part, after)}
		if from, perDegree, known := lines.ChordFrom(s.Part, first, second, gap); known {
			if e, _ := from.Evaluate(s.Limits.Confidence); e.Known {
				d.U = geometry.Length(e.Expanded.Degrees() * perDegree)
			}
		}
		a.Distances = append(a.Distances, d)
	}
}
