package sheet

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"time"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// Check returns what cannot be right on a sheet, whoever wrote it, in no
// particular order; nothing when the readings may be computed with. An
// unfinished sheet, without marks or setups or with a contact that lacks its
// partner, passes.
func (s Sheet) Check() inputerror.List { return s.check(nil, nil) }

// check leaves out what only follows from a fault already found. Stated says
// where a sheet that was read holds a value; nil for a program's.
func (s Sheet) check(faulted map[inputerror.Path]bool, stated func(inputerror.Path) bool) inputerror.List {
	c := &checker{Sheet: &s, faulted: faulted}
	c.stated()
	c.sizes()
	c.guards()
	c.rim()
	c.dial()
	c.numbered()
	c.correction()
	c.history()
	c.dates()
	c.cylinders()
	c.names()
	c.spacings()
	c.checkedLines()
	c.afterScribing()
	c.tolerances(stated)
	for i := range s.Setups {
		c.setup(&s.Setups[i], i)
	}
	c.swapped()
	return c.faults
}

type checker struct {
	*Sheet
	faulted map[inputerror.Path]bool
	faults  inputerror.List
	pairs   int    // of contacts that could be judged
	deep    []deep // those that block more than half a turn
	hints   int    // given for unknown words so far
}

// fault reports a value, unless it or one that it was compared with could not
// be read.
func (c *checker) fault(path inputerror.Path, text, hint string, compared ...inputerror.Path) {
	if path.Within(c.faulted) || slices.ContainsFunc(compared, func(p inputerror.Path) bool { return p.Within(c.faulted) }) {
		return
	}
	c.faults = append(c.faults, inputerror.Fault{Path: path, Text: text, Hint: hint})
}

// near is the known word that was most likely meant, as for the reader.
func (c *checker) near(word string, known []string) string {
	const most, longest = 200, 100
	if c.hints++; c.hints > most || len(word) > longest {
		return ""
	}
	return inputerror.Nearest(word, known)
}

// stated looks for what no sheet can do without.
func (c *checker) stated() {
	if !rotation(c.Engine.Turns) {
		c.fault("engine.turns", "missing, expected clockwise or anticlockwise",
			"the way the engine runs, as you look at the marks, even if the wheel sits at the other end")
	}
	if c.Part.MarksOn != OnPart && c.Part.MarksOn != OnEngine {
		c.fault("part.marks_on", "missing, expected part or engine", "part: the lines turn; engine: the scale is fixed and one line turns")
	}
	if c.Readout.Kind != Dial && c.Readout.Counts != geometry.CountsUp && c.Readout.Counts != geometry.CountsDown {
		c.fault("readout.counts", "missing, expected up or down", "up: the number at the wheel pointer grows while you turn the engine the way it runs", "readout.numbered")
	}
	if c.Readout.Kind != Dial && c.Readout.Step == 0 {
		c.fault("readout.step", "missing, expected the smallest step recorded in degrees, such as 0.5", "")
	}
	if !(c.Limits.Confidence >= 0.8 && c.Limits.Confidence <= 0.999) {
		c.fault("limits.confidence", "found "+number(c.Limits.Confidence)+", expected 0.8 to 0.999", "")
	}
	if at := c.Limits.DecideAt; at != 0 && !(at > 0.5 && at < 1) {
		c.fault("limits.decide_at", notDeciding(at), decideHint)
	}
}

func notDeciding(at float64) string {
	return "found " + number(at) + ", expected more than 0.5 and less than 1"
}

const decideHint = "how probable a verdict has to be; leave it out to decide at limits.confidence"

func rotation(r geometry.Rotation) bool {
	return r == geometry.Clockwise || r == geometry.Anticlockwise
}

const (
	mostStep    = 90  // degrees
	mostNominal = 720 // degrees: two turns of the crank, four strokes
)

// The largest and smallest that a length in millimetres may be, so that no
// result overflows: beyond any engine.
const (
	least       = 1e-6
	mostAllowed = 1e6
)

func (c *checker) sizes() {
	for _, l := range []struct {
		path  inputerror.Path
		value geometry.Length
	}{
		{"engine.stroke", c.Engine.Stroke},
		{"engine.rod", c.Engine.Rod},
		{"part.diameter", c.Part.Diameter},
		{"readout.diameter", c.Readout.Diameter},
		{"readout.off_centre", c.Readout.OffCentre},
		{"limits.placement", c.Limits.Placement},
		{"part.sighting", c.Part.Sighting.Half},
		{"limits.contact", c.Limits.Contact.Half},
		{"limits.slack", c.Limits.Slack.Half},
		{"part.diameter", c.Part.DiameterLimit.Half},
		{"engine.stroke", c.Engine.StrokeLimit.Half},
		{"engine.rod", c.Engine.RodLimit.Half},
		{"readout.revolution", c.Readout.Revolution},
		{"engine.pin_offset", c.Engine.PinOffset.Limit.Half},
		{"engine.bore_offset", c.Engine.BoreOffset.Limit.Half},
		{"engine.pin_offset", geometry.Length(math.Abs(float64(c.Engine.PinOffset.Value)))},
		{"engine.bore_offset", geometry.Length(math.Abs(float64(c.Engine.BoreOffset.Value)))},
	} {
		if l.value != 0 && !(l.value >= least && l.value <= mostAllowed) {
			c.fault(l.path, fmt.Sprintf("found %s, expected a length above zero", c.as(l.path, l.value, fmt.Sprint(l.value))), "", "part.circumference")
		}
	}
	for _, a := range []struct {
		path  inputerror.Path
		value geometry.Angle
		most  float64
	}{
		{"readout.step", c.Readout.Step, mostStep},
		{"readout.lost_motion", c.Readout.LostMotion, 90},
		{"readout.lost_motion", c.Readout.LostLimit.Half, 90},
		{"limits.remount", c.Limits.Remount.Half, 90},
	} {
		if a.value != 0 && !(float64(a.value) >= least && float64(a.value) <= a.most) {
			c.fault(a.path, fmt.Sprintf("found %s, expected degrees above zero and at most %v", c.as(a.path, geometry.Length(a.value), number(float64(a.value))), a.most), "")
		}
	}
	for _, k := range []struct {
		path inputerror.Path
		k    float64
	}{
		{"part.diameter", c.Part.DiameterLimit.K},
		{"part.sighting", c.Part.Sighting.K},
		{"limits.contact", c.Limits.Contact.K},
		{"limits.slack", c.Limits.Slack.K},
		{"limits.remount", c.Limits.Remount.K},
		{"readout.lost_motion", c.Readout.LostLimit.K},
		{"engine.stroke", c.Engine.StrokeLimit.K},
		{"engine.rod", c.Engine.RodLimit.K},
		{"readout.error", c.Readout.DialError.K},
		{"readout.lost_motion", c.Readout.LostLengthLimit.K},
		{"readout.probe_angle", c.Readout.ProbeLimit.K},
		{"readout.crown", c.Readout.CrownLimit.K},
		{"engine.pin_offset", c.Engine.PinOffset.Limit.K},
		{"engine.bore_offset", c.Engine.BoreOffset.Limit.K},
	} {
		if k.k != 0 && !(k.k >= 0.001 && k.k <= 1000) {
			c.fault(k.path, "found k = "+number(k.k)+", expected a coverage factor above zero, such as 2", "")
		}
	}
	if c.Readout.HasLostMotion && c.Readout.LostLimit.Half == 0 && c.Readout.LostLengthLimit.Half == 0 {
		c.fault("readout.lost_motion", "found no limit, expected one such as ± 0.05", "")
	}
	if c.Part.Teeth < 0 {
		c.fault("part.teeth", fmt.Sprintf("found %d, expected a number of teeth above zero", c.Part.Teeth), "")
	}
	c.together()
}

// as is a size, or its limit, in the words of the sheet: who looks for a fault looks for
// these. It is as computed where the sheet has no text of it, or that of another size.
func (c *checker) as(path inputerror.Path, x geometry.Length, computed string) string {
	if said := c.Said(path); said != "" && says(said, float64(x)) {
		return inputerror.Shown(said)
	}
	return computed
}

// says reports whether a text stands for a number of millimetres or degrees, as its value
// or as its limit.
func says(text string, x float64) bool {
	if q, err := geometry.ParseLengthQuantity(text); err == nil {
		return float64(q.Value) == x || float64(q.Limit.Half) == x
	}
	if q, err := geometry.ParseAngleQuantity(text); err == nil {
		return float64(q.Value) == x || float64(q.Limit.Half) == x
	}
	t, err := geometry.ParseTolerance(text)
	return err == nil && (float64(t.Length) == x || float64(t.Angle) == x)
}

// together looks at sizes that have to fit each other.
func (c *checker) together() {
	crank, stated := c.Engine.Crank()
	e := &c.Engine
	for _, o := range []struct {
		path inputerror.Path
		geometry.Offset
	}{{"engine.pin_offset", e.PinOffset}, {"engine.bore_offset", e.BoreOffset}} {
		if (o.Value != 0 || o.Limit.Half != 0) && !stated {
			c.fault(o.path, "found without stroke and rod, expected both with an offset", "an offset can't be turned into degrees without them", "engine.stroke", "engine.rod")
		}
	}
	if stated {
		c.crankTurns(crank)
	}
	switch d := c.Part.Diameter; {
	case d != 0 && c.Part.DiameterLimit.Half >= d:
		c.fault("part.diameter", "found a limit as large as the diameter itself", "", "part.circumference")
	case d == 0 && c.Part.Sighting.Half != 0:
		c.fault("part.sighting", "found without part.diameter, expected both", "a length on the rim can't be turned into degrees without the diameter", "part.diameter", "part.circumference")
	case d != 0 && c.Part.Sighting.Half >= d:
		c.fault("part.sighting", fmt.Sprintf("found %s, expected much less than the part's diameter of %s", c.as("part.sighting", c.Part.Sighting.Half, fmt.Sprintf("± %v", c.Part.Sighting.Half)), c.as("part.diameter", d, fmt.Sprint(d))), "", "part.diameter", "part.circumference")
	}
	switch d, off := c.Readout.Diameter, c.Readout.OffCentre; {
	case off != 0 && d == 0:
		c.fault("readout.off_centre", "found without readout.diameter, expected both", "the diameter of the wheel at its graduations", "readout.diameter")
	case off != 0 && off >= d/2:
		c.fault("readout.off_centre", fmt.Sprintf("found %s, expected less than half the wheel's diameter of %s", c.as("readout.off_centre", off, fmt.Sprint(off)), c.as("readout.diameter", d, fmt.Sprint(d))), "", "readout.diameter")
	}
}

func (c *checker) names() {
	first := map[string]int{}
	for i, m := range c.Marks {
		path := m.Path
		if path == "" {
			path = inputerror.Path(fmt.Sprintf("marks[%d]", i))
		}
		other, twice := first[m.Name]
		switch {
		case m.Name == "":
			c.fault(path+".name", "missing, expected the name of the line", "")
		case m.Name == "stop" || m.Name == "closing":
			c.fault(path+".name", "found "+m.Name+", which the readings use for contacts, expected another name", "")
		case twice:
			c.fault(path+".name", fmt.Sprintf("found %s a second time, already the name of line %d of the list", inputerror.Shown(m.Name), other+1), "")
		default:
			first[m.Name] = i
		}
		switch t := m.Tolerance; {
		case t == 0:
			c.fault(path+".tolerance", "missing, expected degrees each way, or limits.tolerance for every mark", "", "limits.tolerance")
		case !(t >= least && t <= 180):
			c.fault(path+".tolerance", "found "+c.as(path+".tolerance", geometry.Length(t), c.as("limits.tolerance", geometry.Length(t), number(float64(t))))+", expected degrees above zero and at most 180", "", "limits.tolerance")
		}
		for _, side := range []geometry.Angle{m.Early, m.Late} {
			if side != 0 && !(side >= least && side <= 180) {
				c.fault(path+".tolerance", "found "+number(float64(side))+" to one side, expected degrees above zero and at most 180", "", "limits.tolerance")
			}
		}
		if k := m.Known; !(k.Off.Abs() <= 180 && k.Expanded >= 0 && k.Expanded <= 90) {
			c.fault(path+".known", "found "+number(float64(k.Off))+" ± "+number(float64(k.Expanded))+", expected how far off the line is, such as 0.35 late ± 0.05", "")
		}
		for _, drop := range []geometry.Length{m.Drop, m.DropLimit} {
			if drop != 0 && !(drop >= least && drop <= mostAllowed) {
				c.fault(path+".at", fmt.Sprintf("found a drop of %v, expected one above zero", drop), "")
			}
		}
		if !(math.Abs(float64(m.At)) <= mostNominal) {
			c.fault(path+".at", "found "+number(float64(m.At))+", expected at most two turns of the crank, 720", "")
		}
	}
}

// lineNames returns the names of the lines, and the paths without which they are
// not known.
func (c *checker) lineNames() (names []string, paths []inputerror.Path) {
	for i, m := range c.Marks {
		names, paths = append(names, m.Name), append(paths, pathOr(m.Path, "marks", i)+".name")
	}
	return names, append(paths, "marks")
}

// checkedLines holds the names of the lines that were looked at again against
// those of the sheet.
func (c *checker) checkedLines() {
	names, paths := c.lineNames()
	for _, name := range c.Checked.Lines {
		if slices.Contains(names, name) {
			continue
		}
		hint := ""
		if meant := c.near(name, names); meant != "" {
			hint = inputerror.DidYouMean(lineWord + meant)
		}
		c.fault(checkedLine(name), "found "+inputerror.Shown(lineWord+name)+", no line of this name under marks", hint, paths...)
	}
}

// afterScribing holds the names of lines against those of the sheet.
func (c *checker) afterScribing() {
	a := c.After
	if a == nil {
		return
	}
	names, paths := c.lineNames()
	named := func(path inputerror.Path, name string) {
		if name == "" || slices.Contains(names, name) {
			return
		}
		hint := ""
		if meant := c.near(name, names); meant != "" {
			hint = inputerror.DidYouMean(meant)
		}
		c.fault(path, "found "+inputerror.Shown(name)+", no line of this name under marks", hint, paths...)
	}
	for i, d := range a.Dividers {
		path := pathOr(d.Path, "after_scribing.dividers", i)
		named(path+".from", d.From)
		named(path+".to", d.To)
		switch {
		case d.From != "" && d.From == d.To:
			c.fault(path+".to", "found "+inputerror.Shown(d.To)+" as both ends, expected two lines", "", path+".from")
		case d.Measured != 0 && !(d.Measured >= least && d.Measured <= mostAllowed):
			c.fault(path+".measured", "found "+number(float64(d.Measured))+" mm, expected a length above zero", "")
		}
	}
	if a.TimingLight != nil {
		named("after_scribing.timing_light.line", a.TimingLight.Line)
	}
	for name := range a.ReadAgain {
		if !slices.Contains(names, name) {
			c.fault("after_scribing.read_again", "found readings of a line that is not under marks", "", paths...)
			break // which of them is first would depend on the order of a map
		}
	}
}

// pathOr is a path, or where it would stand on a sheet that a program built.
func pathOr(path inputerror.Path, list string, i int) inputerror.Path {
	if path != "" {
		return path
	}
	return inputerror.Path(fmt.Sprintf("%s[%d]", list, i))
}

// number prints a number as a person writes it.
func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

var likeDay = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`)

// dates refuses days that there are not. A date in words is left as it is.
func (c *checker) dates() {
	check := func(path inputerror.Path, text string) {
		if _, err := time.Parse(time.DateOnly, text); err != nil && likeDay.MatchString(text) {
			c.fault(path, "found "+text+", a day that there is not, expected one such as 2026-03-14", "")
		}
	}
	check("date", c.Date)
	for i, s := range c.Setups {
		check(pathOr(s.Path, "setups", i)+".date", s.Date)
	}
}
