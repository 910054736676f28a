package sheet

import (
	"fmt"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

const mostMarks = 200 // of a sheet

func readMarks(t *fields, s *Sheet, tolerance geometry.Tolerance) (marks []Mark) {
	n := t.list("marks", "a list of lines, each with - name: and at:")
	if n == nil {
		if t.node.item("marks") == nil && !spun(t.node.item("setups")) {
			t.missing("marks", "the lines to audit, each with - name: and at:", "")
		}
		return nil
	}
	switch {
	case len(n.items) == 0:
		t.Fault(n.path, "found an empty list, expected at least one line", "")
	case len(n.items) > mostMarks:
		t.Fault(n.path, fmt.Sprintf("found %d lines, expected at most %d", len(n.items), mostMarks), "")
		return nil
	}
	asked := false
	for _, item := range n.items {
		m := Mark{Path: item.path}
		if f := t.fieldsOf(item, "name: and at: of a line"); f != nil {
			m.Name = f.word("name")
			m.On, m.Cylinder = f.word("on"), f.word("cylinder")
			m.Known, _ = parsed(f, "known", "how far off the line truly is, such as 0.35 late ± 0.05", parseKnown)
			nominal, known := readNominal(f)
			if known {
				known = placeMark(t.reader, &m, nominal, s)
			}
			m.Further = readFurther(f)
			own := readTolerance(f)
			switch {
			case f.node.item("tolerance") != nil:
				setTolerance(t.reader, &m, nominal, known, own, f.path("tolerance"), s)
			case t.node.item("limits").item("tolerance") != nil:
				setTolerance(t.reader, &m, nominal, known, tolerance, "limits.tolerance", s)
			case !asked:
				asked = true // once for all lines
				t.missing("limits.tolerance", "degrees each way for every mark, or a tolerance at each mark", "")
			}
			f.done()
		}
		t.unnamed = t.unnamed || m.Name == "" || t.Faulted[item.path+".name"]
		marks = append(marks, m)
	}
	return marks
}

// spun reports whether all setups name a fitting of the stop: readings that check
// the wheel need no line.
func spun(setups *node) bool {
	if setups == nil || len(setups.items) == 0 {
		return false
	}
	for _, s := range setups.items {
		if s.item("fitting") == nil {
			return false
		}
	}
	return true
}

// readNominal reads where a line belongs.
func readNominal(t *fields) (geometry.Nominal, bool) {
	const expected = "degrees such as 120, 10 BTDC or 4 ATDC"
	if t.node.item("at") == nil {
		t.missing(t.path("at"), expected+", 0 for a line at TDC", "")
		return geometry.Nominal{}, false
	}
	return parsed(t, "at", expected, geometry.ParseNominal)
}

// readTolerance reads how far off a line may be.
func readTolerance(t *fields) geometry.Tolerance {
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

// placeMark turns a nominal into the crank angle of a mark. It reports false, with a
// fault, where the sheet cannot.
func placeMark(r *reader, m *Mark, n geometry.Nominal, s *Sheet) bool {
	m.AtText = n.Text
	path := m.Path + ".at"
	var fromTop geometry.Angle
	switch n.Counted {
	case geometry.CrankDegrees:
		m.At = n.Angle
		return true
	case geometry.RimLength:
		m.At = r.ruler.arc(n.Length)
		return needRim(r, path, n.Text)
	case geometry.PistonDegrees:
		crank, ok := needCrank(r, path, n.Text, s)
		if !ok {
			return false
		}
		fromTop = crank.PistonBDC() + n.Angle
	case geometry.PistonDrop:
		crank, ok := needCrank(r, path, n.Text, s)
		if !ok {
			return false
		}
		drop, side := dropOf(n)
		var err error
		if fromTop, err = crank.AngleOfDrop(drop, side); err != nil {
			r.Fault(path, err.Error(), "")
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

// setTolerance turns a tolerance, stated at path, into degrees to each side of a mark.
// Known says that the nominal is.
func setTolerance(r *reader, m *Mark, n geometry.Nominal, known bool, tol geometry.Tolerance, path inputerror.Path, s *Sheet) {
	own := m.Path + ".tolerance"
	if r.Faulted[path] || tol == (geometry.Tolerance{}) {
		r.Faulted[own] = true
		return
	}
	switch tol.Counted {
	case geometry.CrankDegrees:
		m.Tolerance = tol.Angle
	case geometry.RimLength:
		if needRim(r, path, r.as(path, fmt.Sprintf("%v rim", tol.Length))) {
			m.Tolerance = r.ruler.arc(tol.Length)
		} else {
			r.Faulted[own] = true
		}
	case geometry.PistonDrop:
		r.Faulted[own] = !setDropTolerance(r, m, n, known, tol.Length, path, s)
	}
}

// setDropTolerance turns a tolerance in piston drop into degrees: a line before TDC that
// comes up early does so further down, one after TDC higher up.
func setDropTolerance(r *reader, m *Mark, n geometry.Nominal, known bool, tol geometry.Length, path inputerror.Path, s *Sheet) bool {
	own := m.Path + ".tolerance"
	switch {
	case !known:
		return false
	case n.Counted != geometry.PistonDrop && path == own:
		r.Fault(path, fmt.Sprintf("found %s, expected degrees: this line is not given as a piston drop", inputerror.Shown(r.as(path, fmt.Sprintf("%v piston", tol)))), "")
		return false
	case n.Counted != geometry.PistonDrop:
		r.Fault(own, fmt.Sprintf("missing, expected degrees: limits.tolerance is %s, and this line is not given as a piston drop", inputerror.Shown(r.as(path, fmt.Sprintf("%v piston", tol)))), "")
		return false
	case tol >= m.Drop:
		r.Fault(m.Path+".at", fmt.Sprintf("found a drop of %s, not larger than its tolerance of %s", inputerror.Shown(r.as(m.Path+".at", m.Drop)), inputerror.Shown(r.as(path, tol))), "a line so close to the top is better given in degrees")
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
		r.Fault(path, err.Error()+", with its tolerance", "")
		return false
	}
	m.Tolerance, m.DropLimit = min(m.Early, m.Late), tol
	return true
}

// needRim reports whether lengths along the rim can be turned into degrees.
func needRim(r *reader, path inputerror.Path, found string) bool {
	if !r.ruler.known && r.ruler.rim.Diameter == 0 && !r.Faulted[path] && !rimFaulted(r) {
		r.Fault(path, "found "+inputerror.Shown(found)+" without part.diameter, expected both", "a length on the rim can't be turned into degrees without the diameter")
	}
	if !r.ruler.known {
		r.Faulted[path] = true
	}
	return r.ruler.known
}

func rimFaulted(r *reader) bool {
	return r.Faulted["part"] || r.Faulted["part.diameter"] || r.Faulted["part.circumference"]
}

// needCrank returns the crank by which a piston's height is turned into degrees.
// One that cannot turn is reported with the rod.
func needCrank(r *reader, path inputerror.Path, found string, s *Sheet) (geometry.Crank, bool) {
	crank, stated := s.Engine.Crank()
	for _, p := range []inputerror.Path{"engine", "engine.stroke", "engine.rod", "engine.pin_offset", "engine.bore_offset", "engine.marks_refer_to"} {
		if r.Faulted[p] {
			r.Faulted[path] = true
			return crank, false
		}
	}
	if !stated {
		r.Fault(path, "found "+inputerror.Shown(found)+" without stroke and rod, expected both under engine", "where the piston stands can't be turned into degrees without them; the stroke alone is not enough")
		return crank, false
	}
	if crank.Check() != nil {
		r.Faulted[path] = true
		return crank, false
	}
	return crank, true
}
