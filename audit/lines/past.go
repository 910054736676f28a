package lines

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/past"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// contribution is the scatter of a line's mean.
func (s Scatter) contribution(l Line) uncertainty.Contribution {
	return uncertainty.By(uncertainty.Input{
		ID:    uncertainty.ID{Source: s.source(), Of: l.Name},
		Shape: uncertainty.StudentT, Scale: s.SD.Degrees(), DOF: uncertainty.DOF(s.DOF), N: l.Readings(), Pool: s.pool(l.Name),
	}, math.Sqrt(l.PerLine()))
}

func (s Scatter) of() stats.Scatter {
	return stats.Scatter{Variance: stats.Square(s.SD.Degrees()), DOF: s.DOF}
}

// joined is a line's scatter with what earlier audits lend it.
func (in input) joined(l Line) Scatter {
	scatter, _ := past.Lend(l.Scatter.of(), in.top.Past.Of.Reading())
	out := l.Scatter
	out.SD, out.DOF = geometry.Angle(math.Sqrt(scatter.Variance)), scatter.DOF
	return out
}

// pastReadings holds the scatter of the readings against that of earlier audits: of
// all lines together, and of each that goes by its own. Where all of them object the
// history counts for none, where one does not for that one.
func (in input) pastReadings(lines []Line, spreads []stats.Scatter, p *Placed) {
	h := in.top.Past.Of
	if h == nil {
		return
	}
	then := h.Reading()
	_, together := past.Lend(stats.Pool(spreads...), then)
	if together.Objected {
		p.Warnings = append(p.Warnings, past.Objection(past.Readings, "", together))
	}
	for i := range lines {
		l := &lines[i]
		if !l.Read() {
			continue
		}
		if l.Before = together; together.Objected {
			continue
		}
		if _, l.Before = past.Lend(l.Scatter.of(), then); l.Before.Objected {
			p.Warnings = append(p.Warnings, past.Objection(past.Readings, l.Name, l.Before))
		}
	}
}

// before is what earlier audits say of remounting, nil where that does not count: the
// scatter of middles or readings objects, a setup holds fewer pairs or readings than
// theirs did, TDC was found another way, or the line's offsets spread more than they
// used to.
func (in input) before(l *Line, alike bool) *uncertainty.Before {
	h := in.top.Past.Of
	if h == nil || in.top.Before.Objected || l.Before.Objected {
		return nil
	}
	then := h.Mounting()
	for _, seen := range l.Seen {
		if 1/seen.PerLine < math.Floor(then.Readings+1e-9)-1e-9 {
			return nil
		}
		for _, i := range in.top.At(seen.At).Setups {
			if s := in.top.Setups[i]; s.Method != sheet.Stop || float64(len(s.Middles)) < math.Floor(then.Pairs+1e-9) {
				return nil
			}
		}
	}
	if l.Remounted = past.Remounted(l.Offsets(), then); !l.Remounted.Used {
		return nil
	}
	return &uncertainty.Before{SD: then.SD, DOF: then.DOF, Rounds: alike && (len(l.Seen) > 1 || in.nearZero(l.Seen[0]))}
}

// nearZero reports whether TDC reads zero to a step: whoever zeroes the readout at the
// stop lets every mounting round alike.
func (in input) nearZero(s Seen) bool {
	return in.top.At(s.At).Middle.Wrap().Abs() <= in.readout.Step()+geometry.Tie
}

// pastMountings warns of the lines whose offsets spread more than they used to.
func (in input) pastMountings(lines []Line, p *Placed) {
	for _, l := range lines {
		if l.Remounted.Objected {
			p.Warnings = append(p.Warnings, past.Objection(past.Mountings, l.Name, l.Remounted))
		}
	}
}
