package sheet

import (
	"fmt"

	"markaudit/geometry"
)

// nominal reads where a line belongs.
func (t *fields) nominal() (geometry.Nominal, bool) {
	const expected = "degrees such as 120, 10 BTDC or 4 ATDC"
	if t.node.item("at") == nil {
		t.missing(t.path("at"), expected+", 0 for a line at TDC", "")
		return geometry.Nominal{}, false
	}
	return parsed(t, "at", expected, geometry.ParseNominal)
}

// tolerance reads how far off a line may be.
func (t *fields) tolerance() geometry.Tolerance {
	tol, ok := parsed(t, "tolerance", "degrees, such as 0.5", geometry.ParseTolerance)
	switch {
	case !ok:
	case tol.Counted == geometry.CrankDegrees && !(tol.Angle > 0):
		t.refuse("tolerance", "degrees above zero")
	case tol.Counted != geometry.CrankDegrees && !(tol.Length > 0):
		t.refuse("tolerance", "a length above zero")
	}
	return tol
}

// place turns a nominal into the crank angle of a mark. It reports false, with a
// fault, where the sheet cannot.
func (r *reader) place(m *Mark, n geometry.Nominal, s *Sheet) bool {
	m.AtText = n.Text
	path := m.Path + ".at"
	var fromTop geometry.Angle
	switch n.Counted {
	case geometry.CrankDegrees:
		m.At = n.Angle
		return true
	case geometry.RimLength:
		m.At = r.ruler.arc(n.Length)
		return r.needRim(path, n.Text)
	case geometry.PistonDegrees:
		crank, ok := r.needCrank(path, n.Text, s)
		if !ok {
			return false
		}
		fromTop = crank.PistonBDC() + n.Angle
	case geometry.PistonDrop:
		crank, ok := r.needCrank(path, n.Text, s)
		if !ok {
			return false
		}
		drop, side := dropOf(n)
		var err error
		if fromTop, err = crank.AngleOfDrop(drop, side); err != nil {
			r.fault(path, err.Error(), "")
			return false
		}
		m.Drop = drop
	}
	m.At = fromTop
	if s.Engine.RefersToThrow {
		crank, _ := s.Engine.Crank() // it was needed above
		m.At += crank.ThrowToTDC()
	}
	return true
}

// dropOf parts a nominal drop from its side.
func dropOf(n geometry.Nominal) (geometry.Length, geometry.Letters) {
	if n.Length < 0 {
		return -n.Length, geometry.BTDC
	}
	return n.Length, geometry.ATDC
}

// allow turns a tolerance, stated at path, into degrees to each side of a mark.
// Known says that the nominal is.
func (r *reader) allow(m *Mark, n geometry.Nominal, known bool, tol geometry.Tolerance, path Path, s *Sheet) {
	own := m.Path + ".tolerance"
	if r.faulted[path] || tol == (geometry.Tolerance{}) {
		r.faulted[own] = true
		return
	}
	switch tol.Counted {
	case geometry.CrankDegrees:
		m.Tolerance = tol.Angle
	case geometry.RimLength:
		if r.needRim(path, fmt.Sprintf("%v rim", tol.Length)) {
			m.Tolerance = r.ruler.arc(tol.Length)
		} else {
			r.faulted[own] = true
		}
	case geometry.PistonDrop:
		r.faulted[own] = !r.allowDrop(m, n, known, tol.Length, path, s)
	}
}

// allowDrop turns a tolerance in piston drop into degrees: a line before TDC that
// comes up early does so further down, one after TDC higher up.
func (r *reader) allowDrop(m *Mark, n geometry.Nominal, known bool, tol geometry.Length, path Path, s *Sheet) bool {
	own := m.Path + ".tolerance"
	switch {
	case !known:
		return false
	case n.Counted != geometry.PistonDrop && path == own:
		r.fault(path, fmt.Sprintf("found %v piston, expected degrees: this line is not given as a piston drop", tol), "")
		return false
	case n.Counted != geometry.PistonDrop:
		r.fault(own, fmt.Sprintf("missing, expected degrees: limits.tolerance is %v piston, and this line is not given as a piston drop", tol), "")
		return false
	case tol >= m.Drop:
		r.fault(m.Path+".at", fmt.Sprintf("found a drop of %v, not larger than its tolerance of %v", m.Drop, tol), "a line so close to the top is better given in degrees")
		return false
	}
	crank, _ := s.Engine.Crank() // the drop was placed by it
	_, side := dropOf(n)
	at, err := crank.AngleOfDrop(m.Drop, side)
	if err == nil {
		var low, high geometry.Angle
		low, err = crank.AngleOfDrop(m.Drop+tol, side)
		high, _ = crank.AngleOfDrop(m.Drop-tol, side) // between two that can be had
		m.Early, m.Late = at-low, high-at
		if side == geometry.ATDC {
			m.Early, m.Late = at-high, low-at
		}
	}
	if err != nil {
		r.fault(path, err.Error()+", with its tolerance", "")
		return false
	}
	m.Tolerance, m.DropLimit = min(m.Early, m.Late), tol
	return true
}

// needRim reports whether lengths along the rim can be turned into degrees.
func (r *reader) needRim(path Path, found string) bool {
	if !r.ruler.known && r.ruler.rim.Diameter == 0 && !r.faulted[path] && !r.rimFaulted() {
		r.fault(path, "found "+shown(found)+" without part.diameter, expected both", "a length on the rim can't be turned into degrees without the diameter")
	}
	if !r.ruler.known {
		r.faulted[path] = true
	}
	return r.ruler.known
}

func (r *reader) rimFaulted() bool {
	return r.faulted["part"] || r.faulted["part.diameter"] || r.faulted["part.circumference"]
}

// needCrank returns the crank by which a piston's height is turned into degrees.
// One that cannot turn is reported with the rod.
func (r *reader) needCrank(path Path, found string, s *Sheet) (geometry.Crank, bool) {
	crank, stated := s.Engine.Crank()
	for _, p := range []Path{"engine", "engine.stroke", "engine.rod", "engine.pin_offset", "engine.bore_offset", "engine.marks_refer_to"} {
		if r.faulted[p] {
			r.faulted[path] = true
			return crank, false
		}
	}
	if !stated {
		r.fault(path, "found "+shown(found)+" without stroke and rod, expected both under engine", "where the piston stands can't be turned into degrees without them; the stroke alone is not enough")
		return crank, false
	}
	if crank.Check() != nil {
		r.faulted[path] = true
		return crank, false
	}
	return crank, true
}
