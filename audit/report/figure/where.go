package figure

import (
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// mostWhere is how many places go on the sheet to sign.
const mostWhere = 2

// Where is [Part] as far as it goes on the sheet to sign: the places that hold a line
// outside or undecided, below the disc if it leaves them the room, none higher together
// than most. It returns nil where not one of them fits.
func Where(r audit.Result, most geometry.Length) []drawing.Scene {
	if len(r.Lines) == 0 {
		return nil
	}
	u := newUnrolling(words.NewAudit(r, nil))
	all := u.places()
	var asked []place
	for _, p := range all {
		if slices.ContainsFunc(p.rows, func(r partRow) bool { return r.mark.Verdict != diagnosis.Within }) {
			asked = append(asked, p)
		}
	}
	var here []place
	var height geometry.Length
	for _, p := range asked {
		if h := u.height(p); len(here) < mostWhere && height+h <= most {
			here, height = append(here, p), height+h
		}
	}
	if len(here) == 0 {
		return nil
	}
	note := u.note(here)
	s := drawing.Scene{Width: drawing.PageWidth}
	const over = drawing.Top - 1 // of the disc, where a title stands on a figure of its own
	y := geometry.Length(0)
	if height+discFoot-over <= most {
		var key drawing.Scene
		u.disc(&key, all)
		u.legend(&key)
		s.Add(key.Placed(drawing.Point{Y: -over}, 0, 0).Items...)
		y = discFoot - over
	} else {
		// The disc is left out, so the note does not speak of it.
		_, note, _ = strings.Cut(note, "Below it each")
		note = "Each" + strings.TrimSuffix(note, ".") + ". Thick: as found. Triangle: where it belongs. Grey: tolerance. Bar: the found line may really stand anywhere in it."
	}
	if len(here) < len(asked) {
		note = strings.TrimSuffix(note, ".") + ". More places with lines that are not within: annex."
	}
	s.Title = u.title() + ". " + note
	var told []string
	for _, p := range here {
		u.draw(&s, p, y)
		y += u.height(p)
		for _, r := range p.rows {
			told = append(told, p.name()+", "+u.told(r))
		}
	}
	s.Height, s.Description = y, strings.Join(told, "; ")+"."
	return []drawing.Scene{s}
}
