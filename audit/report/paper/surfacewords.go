package paper

import "markaudit/geometry"

// What a surface, and a piece of paper for it, are called at the bench.

// How much of a line must look out below a template: on a chamfer there is less room.
const (
	showsOnFace    geometry.Length = 10
	showsOnChamfer geometry.Length = 5
)

// noun is what the piece is called.
func (s surface) noun() string {
	if s.slope != 0 {
		return "template"
	}
	return "strip"
}

// onPaper is where on the paper left and right are those of the direction said.
func (s surface) onPaper() string {
	if s.slope != 0 {
		return "at its top"
	}
	return "on this " + s.noun()
}

func (s surface) towards() string {
	if s.slope == 90 {
		return "the shaft"
	}
	return "you"
}

// edge is what the black bar of a template lies along.
func (s surface) edge() string {
	if s.slope == 90 {
		return "the outer edge of the face"
	}
	return "the outer edge of the chamfer"
}

// aimed is how a rule lies that carries a line on down a slope.
func (s surface) aimed() string {
	if s.slope == 90 {
		return "over the middle of the shaft"
	}
	return "straight up the slope"
}

// where is what the piece lies on.
func (s surface) where() string {
	switch s.slope {
	case 0:
		return "rim"
	case 90:
		return "face"
	}
	return "chamfer"
}

// shows is how much of a line must look out below the template.
func (s surface) shows() geometry.Length {
	if s.slope == 90 {
		return showsOnFace
	}
	return showsOnChamfer
}

// deep is how much of the surface a template and the lines below it take.
func (s surface) deep() geometry.Length { return s.width + s.shows() + 1 }

// across is how a line is drawn through a point, or along one in felt pen.
func (s surface) across(through string) string {
	if s.slope != 0 {
		if through == "the new dot" {
			through = "its two dots"
		}
		return "the new line through " + through + ", as long as the old one"
	}
	return "the new line through " + through + ", square across the rim, as long as the old one"
}

// dividers is from where a distance is held. Lines on a slope fan out, so that it holds
// at one distance from the outer edge only: there the points stand.
func (s surface) dividers() string {
	if s.slope != 0 {
		return "Dividers straight across, old dot"
	}
	return "Dividers straight across, middle of the old line"
}
