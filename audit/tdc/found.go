package tdc

import (
	"slices"

	"markaudit/audit/past"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Found is top dead centre as one sheet has it.
type Found struct {
	Setups     []Setup    // those with at least one usable trial
	Mountings  []Mounting // in the order of the sheet
	Trials     int
	Scatter    geometry.Angle // standard deviation of one middle, pooled over setups
	DOF        float64        // of Scatter; zero when nothing repeats
	Budget     uncertainty.Budget
	Standard   geometry.Angle // of the mean middle; meaningless when DOF is zero
	ThrowToTDC geometry.Angle // positive: the piston's top comes after the throw's
	Rock       *Rock          // nil where no two stop depths were taken
	Past       past.Past      // the history that counts for this sheet
	Before     past.Use       // what it says of middles
	Warnings   []warning.Warning
}

// Any reports whether TDC was found at all.
func (f Found) Any() bool { return len(f.Setups) > 0 }

// Setup is what one setup says of top dead centre.
type Setup struct {
	Name, By   string
	Index      int    // into the setups of the sheet
	Mounting   string // empty: its own
	Cylinder   string // empty: the sheet names none
	Method     sheet.Method
	Middles    []geometry.Angle // one a trial, unwrapped around each other; none of a sweep
	HalfArcs   []geometry.Angle
	Points     int             // of a sweep
	Middle     geometry.Angle  // mean of Middles, or the fitted top
	HalfArc    geometry.Angle  // mean of HalfArcs; of a sweep the root mean square distance from the top
	MiddleSD   geometry.Angle  // zero for one trial; of a sweep the standard uncertainty of its top
	HalfArcSD  geometry.Angle  // zero for one trial
	Drift      geometry.Angle  // of the middles from first to last, on the readout; zero below three
	DriftP     float64         // probability of so large a drift in any setup if nothing creeps; 1 where there is no telling
	Correction geometry.Angle  // how far Middle lies after the piston's top, crank degrees: from pin and bore offset, and Slack
	Slack      geometry.Angle  // the part of Correction that half the limit of bearing slack makes, negative; zero unless read turning forward only
	Reading    geometry.Angle  // what the readout shows at the piston's top: [0, 360), on a rim from its chalk line on
	Closing    *geometry.Angle // TDC by the closing pair less TDC by the trials, crank degrees

	Height      *Height         // of a dial; nil for any other readout
	Scatter     geometry.Angle  // standard deviation of one middle
	ScatterDOF  float64         // of Scatter
	PerDegree   geometry.Length // the middle moves by h/(2·PerDegree) where its two sides differ by h in height; zero without stroke and rod
	OneWay      bool            // read in one turning direction, or perhaps: bearing slack reaches the middle
	IntervalSD  geometry.Angle  // what its interval uses: Scatter, joined with that of earlier audits where these count
	IntervalDOF float64         // of IntervalSD
	Hangs       float64         // degrees by which a millimetre of slack makes the middle early, as far as it is known to
	MayHang     float64         // the same where the sheet does not say how the readings were approached, in either sense
}

// PerHeight is how many degrees the middle moves by for a millimetre between the
// heights of its two sides.
func (s Setup) PerHeight() float64 { return 1 / (2 * s.PerDegree.Millimetres()) }

// InDwell reports whether the stop sat where the piston hardly moves.
func (s Setup) InDwell() bool {
	_, in := s.dwell()
	return in
}

// dwell is the first half arc at which the piston hardly moves.
func (s Setup) dwell() (halfArc geometry.Angle, in bool) {
	for _, h := range s.depths() {
		if 2*h < geometry.DwellArc {
			return h, true
		}
	}
	return 0, false
}

// depths are the half arcs at which a setup took its middles: one of a stop,
// those of the drops, none of a sweep.
func (s Setup) depths() []geometry.Angle {
	switch s.Method {
	case sheet.Stop:
		return []geometry.Angle{s.HalfArc}
	case sheet.EqualDrop:
		return s.HalfArcs
	}
	return nil
}

// Mounting is one mounting of the readout. All its setups share a zero, so a
// second fitting of the stop is no remounting.
type Mounting struct {
	Name   string // that of the sheet, else one of its own
	Setups []int  // indexes into the setups of the sheet, also of those without a usable trial
	Tops   []Top  // one for each cylinder in which TDC was found, the reference one first
}

// Top is the TDC of one cylinder in one mounting.
type Top struct {
	Cylinder   string
	Setups     []int          // indexes into Found.Setups
	Middle     geometry.Angle // as a true readout would show it
	Correction geometry.Angle
	Lost       float64 // share of the readout's lost motion that is in Middle
	Unsaid     bool    // the sheet does not say how its readings were approached
	// Where TDC is, in the running direction from the readout's zero, with
	// everything that it depends on.
	At   uncertainty.Combination
	Ways []Way // each way that found it, by itself
}

// Way is a TDC as one way of finding it has it.
type Way struct {
	Method sheet.Method
	Top    Top
}

// By returns the TDC by one way alone, false where that way was not used.
func (t Top) By(m sheet.Method) (Top, bool) {
	for _, w := range t.Ways {
		if w.Method == m {
			return w.Top, true
		}
	}
	return Top{}, false
}

// Zero names a TDC that lines count from.
type Zero struct {
	Mounting int    // into Found.Mountings
	Cylinder string // whose TDC it is
}

// At returns the TDC of that name.
func (f Found) At(z Zero) Top {
	t, _ := f.Mountings[z.Mounting].Top(z.Cylinder)
	return t
}

// Top returns the TDC of a cylinder, false where it was not found in this
// mounting.
func (m Mounting) Top(cylinder string) (Top, bool) {
	i := slices.IndexFunc(m.Tops, func(t Top) bool { return t.Cylinder == cylinder })
	if i < 0 {
		return Top{}, false
	}
	return m.Tops[i], true
}

// Origin is the reading at which the mounting's reference cylinder stands at TDC
// by the sheet: one place of the crank in all mountings.
func (m Mounting) Origin(s sheet.Sheet) geometry.Angle {
	first := m.Tops[0]
	return first.Middle - geometry.Angle(s.Readout.Counts)*s.Engine.Declared(first.Cylinder)
}

// Apart is how far the TDC of second comes after that of first in one mounting, in
// the running direction, by the turn that comes nearest to what the sheet declares.
func Apart(s sheet.Sheet, first, second Top) geometry.Angle {
	if first.Cylinder == second.Cylinder && slices.Equal(first.Setups, second.Setups) {
		return 0
	}
	counts := geometry.Angle(s.Readout.Counts)
	gap := counts*(second.Middle-first.Middle) - (second.Correction - first.Correction)
	if !second.Unsaid && !first.Unsaid {
		gap += geometry.Angle(second.Lost-first.Lost) * s.Readout.LostMotion
	}
	declared := s.Engine.Declared(second.Cylinder) - s.Engine.Declared(first.Cylinder)
	return nearest(gap, declared)
}
