package uncertainty

import "markaudit/geometry"

// Limited is an input that is known by a limit alone: rectangular within it
// (JCGM 100, 4.3.7), or normal where the limit has a coverage factor.
func Limited(source Source, of string, l geometry.Limit[geometry.Angle]) Input {
	in := Input{ID: ID{Source: source, Of: of}, Shape: Rectangular, Scale: l.Half.Degrees()}
	if l.K > 0 {
		in.Shape, in.Scale = Normal, l.Standard().Degrees()
	}
	return in
}

// LimitedLength is Limited for a limit in millimetres: its sensitivity is in
// degrees a millimetre.
func LimitedLength(source Source, of string, l geometry.Limit[geometry.Length]) Input {
	return Limited(source, of, geometry.Limit[geometry.Angle]{Half: geometry.Angle(l.Half), K: l.K})
}

// Rounded is the rounding of a value to half a step either way: rectangular for
// readings of one line, triangular for a middle, which halves the sum of two
// roundings.
func Rounded(source Source, of string, shape Shape, half geometry.Angle) Input {
	return Input{ID: ID{Source: source, Of: of}, Shape: shape, Scale: half.Degrees()}
}

// LimitRow is the row of an input that is known by a limit alone, with sensitivity
// one.
func LimitRow(source Source, l geometry.Limit[geometry.Angle]) Row {
	return By(Limited(source, "", l), 1).row()
}
