package sheet

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// A dial in the plug hole is a readout by itself: set to the piston's highest point,
// it says how far the piston has dropped where a line comes up. It tells no angle,
// and not on which side of TDC the crank stands.

// readDial reads what the sheet says of a dial.
func readDial(t *fields, o *Readout) {
	o.StepLength = t.length("step", "0.01 mm")
	if q, ok := parsed(t, "probe_angle", "degrees with their limit, such as 20 ± 3", geometry.ParseAngleQuantity); ok {
		o.Probe, o.ProbeLimit = q.Value, q.Limit
	}
	if q, ok := parsed(t, "crown", "degrees with their limit, such as ± 5", geometry.ParseAngleQuantity); ok {
		o.Crown, o.CrownLimit = q.Value, q.Limit
	}
	o.DialError = limit(t, "error", "± 0.015 mm", geometry.ParseLengthQuantity)
	if q, ok := parsed(t, "lost_motion", "a length with its limit, such as 0.003 ± 0.002 mm", geometry.ParseLengthQuantity); ok {
		if !q.HasValue || !q.HasLimit {
			t.refuse("lost_motion", "a value and its limit, such as 0.003 ± 0.002 mm")
		}
		o.LostLength, o.LostLengthLimit, o.HasLostMotion = q.Value, q.Limit, true
	}
	if l := t.length("revolution", "1 mm"); l > 0 {
		o.Revolution = l
	}
}

// notOnDial are keys of a readout that say nothing of a dial.
var notOnDial = []string{"numbered", "counts", "quarter_turn", "diameter", "off_centre", "correction", "history"}

// dialOnly are those that say nothing of another readout.
var dialOnly = []string{"probe_angle", "crown", "error", "revolution"}

// refuseOtherReadout refuses keys that belong to another kind of readout.
func refuseOtherReadout(t *fields, keys []string, kind string) {
	for _, key := range keys {
		if n := t.get(key); t.node.item(key) != nil && n != nil {
			t.Fault(t.path(key), "found with readout.kind: "+kind+", expected none", "")
			t.Faulted[t.path(key)] = true
		}
	}
}

// readFurther reads what the dial shows at a line and a few degrees further on.
func readFurther(t *fields) *[2]Reading {
	n := t.list("further", "two readings, such as [1.74 mm, 1.52 mm]")
	switch {
	case n == nil:
		return nil
	case !t.dial:
		t.Fault(n.path, "found without readout.kind: dial, expected both", "a wheel shows by itself on which side of TDC a line lies")
		return nil
	case len(n.items) != 2:
		t.Fault(n.path, fmt.Sprintf("found %s, expected two", inputerror.Count(len(n.items), "reading")), "the dial at the line, and a few degrees further the way the engine runs")
		return nil
	}
	all, ok := t.reader.list(n, Forward)
	if !ok {
		return nil
	}
	return &[2]Reading{all[0], all[1]}
}

// readTop reads where the dial stood with the piston at its highest.
func readTop(t *fields) []Reading {
	n := t.get("top")
	if n == nil {
		return nil
	}
	all, ok := t.reader.list(n, Forward)
	switch {
	case !ok:
		return nil
	case len(all) == 0:
		t.Fault(n.path, "found an empty list, expected what the dial shows at the piston's highest point, such as [0.00 mm, 0.01 mm]", "")
	}
	return all
}

// readClosingTop reads the top again, after the lines.
func readClosingTop(t *fields) *Reading {
	again := t.under("closing")
	if again.node == nil {
		return nil
	}
	n := again.get("top")
	again.done()
	again.need("top", "what the dial shows at the piston's highest point, once more")
	if n == nil {
		return nil
	}
	if reading, ok := t.reader.reading(n, Forward); ok {
		return &reading
	}
	return nil
}

// TopOf is the mean of what the dial shows at the piston's highest point, false where
// nothing counts.
func (s *Setup) TopOf() (mean geometry.Length, n int) {
	for _, r := range s.Top {
		if !r.Struck {
			mean += r.Length
			n++
		}
	}
	return mean / geometry.Length(max(1, n)), n
}

// Along is by what a reading of the dial is to be multiplied to have the drop along
// the cylinder: cos γ of a slanting probe, and sin γ tan κ more on a crown that leans
// towards the dial by κ (plane geometry). One for any other readout.
func (r Readout) Along() geometry.Length { return alongAt(r.Probe, r.Crown) }

func alongAt(probe, crown geometry.Angle) geometry.Length {
	sin, cos := math.Sincos(probe.Radians())
	return geometry.Length(cos + sin*math.Tan(crown.Radians()))
}

// AlongLimits is half of what probe and crown may change [Readout.Along] by.
func (r Readout) AlongLimits() (probe, crown float64) {
	half := func(low, high geometry.Length) float64 { return math.Abs(float64(high-low)) / 2 }
	return half(alongAt(max(0, r.Probe-r.ProbeLimit.Half), r.Crown), alongAt(r.Probe+r.ProbeLimit.Half, r.Crown)),
		half(alongAt(r.Probe, r.Crown-r.CrownLimit.Half), alongAt(r.Probe, r.Crown+r.CrownLimit.Half))
}

// dialText writes what a sheet says of a dial.
func dialText(o Readout, limit func(geometry.Limit[geometry.Length]) string) string {
	var b strings.Builder
	put := func(key, value string) { keyed(&b, "  ", key, strings.TrimSpace(value)) }
	degrees := func(key string, a geometry.Angle, l geometry.Limit[geometry.Angle]) {
		if a == 0 && l.Half == 0 {
			return
		}
		q := geometry.Quantity[geometry.Angle]{Value: a, HasValue: true, Limit: l, HasLimit: l.Half > 0}
		put(key, strings.ReplaceAll(q.String(), "°", ""))
	}
	put("step", fmt.Sprint(o.StepLength))
	degrees("probe_angle", o.Probe, o.ProbeLimit)
	degrees("crown", o.Crown, o.CrownLimit)
	put("error", limit(o.DialError))
	if o.HasLostMotion {
		put("lost_motion", fmt.Sprint(o.LostLength)+" "+limit(o.LostLengthLimit))
	}
	if o.Revolution > 0 {
		put("revolution", fmt.Sprint(o.Revolution))
	}
	return b.String()
}
