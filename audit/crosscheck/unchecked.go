package crosscheck

import (
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

// unchecked warns of what no reading can check.
func unchecked(in input) (out []warning.Warning) {
	if len(in.lines) == 0 { // a check of the wheel
		return nil
	}
	if in.sheet.Part.BTDCLines == 0 {
		out = append(out, warning.Warning{Code: warning.SideUnchecked})
	}
	// A dial counts nothing: each line has its own proof of its side, or none.
	if w, doubtful := in.sense(); doubtful && in.sheet.Readout.Kind != sheet.Dial {
		out = append(out, w)
	}
	return append(out, lineOrder(in)...)
}

// sense warns where neither a quarter turn nor the lines tell which way the
// readout counts: all at 0 or 180, or so close to it, or off by so much, that the
// mirrored sense does not fit decisively worse.
func (in input) sense() (warning.Warning, bool) {
	read, blind := false, true
	for _, l := range in.lines {
		at := l.At.Wrap()
		read = read || l.Read()
		blind = blind && (!l.Read() || at == 0 || at == 180)
	}
	if in.sheet.Readout.QuarterTurn != nil || !read {
		return warning.Warning{}, false
	}
	if blind {
		return warning.Warning{Code: warning.DirectionUnchecked}, true
	}
	declared, mirrored := lines.Senses(*in.sheet, in.top, in.lines)
	off, other := lines.RMS(declared), lines.RMS(mirrored)
	fits := lines.Worse(other, off)
	// Two lines, both off, may agree by chance when mirrored; a third does not.
	agree := len(declared) > 2 && other > off && lines.Worse(lines.Apart(mirrored).Degrees(), lines.Apart(declared).Degrees())
	return warning.Warning{Code: warning.DirectionUnchecked, Values: []float64{off, other}}, !fits && !agree
}
