package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"

	"github.com/spf13/cobra"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/plan"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/export"
	"markaudit/audit/report/figure"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

func newPlan(env world.World) *cobra.Command {
	var output outputName
	var like fileName
	c := &cobra.Command{
		Use:     "plan",
		GroupID: "sheets",
		Short:   "Say before anything is measured how deep, how often, and how sure",
		Long: `plan says where to set the stop, how many setups, pairs and readings a wanted ±
takes, and what a better readout would bring. What an earlier sheet says is taken
from there with --like, its scatter too; flags say the rest, or other things.`,
		Example: `markaudit plan --stroke "92 mm" --rod "152 mm" --diameter "158 mm" --step 0.5 --tolerance 0.5 --want 0.3
markaudit plan --like pump.yaml --want 0.2`,
		Args:              noArguments,
		ValidArgsFunction: cobra.NoFileCompletions,
	}
	f := c.Flags()
	f.Var(&like, "like", "take engine, part, readout, limits and scatter from this sheet")
	stroke := flagged(c, "stroke", "`LENGTH` of the stroke", readMeasured)
	rod := flagged(c, "rod", "`LENGTH` of the rod between its centres", readMeasured)
	pin := flagged(c, "pin-offset", "`LENGTH` and side of the piston pin's offset, such as \"0.8 mm to thrust side\"", geometry.ParsePinOffset)
	bore := flagged(c, "bore-offset", "`LENGTH` and side of the cylinder's offset", geometry.ParseBoreOffset)
	diameter := flagged(c, "diameter", "`LENGTH` across the rim at the lines, to have millimetres along it too", readMeasured)
	kind := choose(c, "readout", "wheel", "what is read, for the usual scatter", "wheel", "small wheel", "encoder")
	step := flagged(c, "step", "smallest step of the readout, in `DEGREES`", readDegrees)
	stop := flagged(c, "stop-scatter", "standard deviation of one middle of two contacts, in `DEGREES`", readDegrees)
	reading := flagged(c, "reading-scatter", "standard deviation of one reading of a line, in `DEGREES`", readDegrees)
	remount := flagged(c, "remount-scatter", "standard deviation of what remounting adds, in `DEGREES`", readDegrees)
	wheel := flagged(c, "wheel-diameter", "`LENGTH` across the wheel at its graduations", readMeasured)
	offCentre := flagged(c, "off-centre", "`LENGTH` by which the wheel can sit off centre", readMeasured)
	lost := flagged(c, "lost-motion", "`DEGREES` of lost motion with limit, such as \"0.1 ± 0.05\"", geometry.ParseAngleQuantity)
	contact := flagged(c, "contact", "`LENGTH` of rock between the contacts, such as 0.04 mm", readMeasured)
	sighting := flagged(c, "sighting", "`LENGTH` by which a line can be sighted wrong, such as 0.2 mm", readMeasured)
	tolerance := flagged(c, "tolerance", "`DEGREES` each way", readDegrees)
	want := flagged(c, "want", "± wanted, in `DEGREES`; half of the tolerance without", readDegrees)
	halfArc := flagged(c, "half-arc", "`DEGREES` of half arc, where the stop is given", readDegrees)
	var at []string
	f.StringArrayVar(&at, "at", nil, "where a line belongs, such as \"10 BTDC\"; repeat it for more, 0 without")
	format := choose(c, "format", "text", "how to print the plan", "text", "json", "markdown", "html", "pdf")
	budget := chooseBudget(c)
	study := newStopStudy(c)
	f.Var(&output, "output", "write the plan to this file, whole or not at all; its ending chooses the format where --format does not")
	c.RunE = func(c *cobra.Command, _ []string) error {
		if *study.wanted {
			return written(env, string(output), func(fs.FileInfo) ([]byte, error) { return study.plan(format.word, step, stop) })
		}
		if err := study.alone(); err != nil {
			return err
		}
		return written(env, string(output), func(replaced fs.FileInfo) ([]byte, error) {
			s := sheet.Sheet{
				Engine:  sheet.Engine{Turns: geometry.Clockwise},
				Part:    sheet.Part{MarksOn: sheet.OnPart},
				Readout: sheet.Readout{Counts: geometry.CountsUp},
				Limits:  sheet.Limits{Confidence: sheet.DefaultConfidence, Placement: sheet.DefaultPlacement},
			}
			var guess plan.Guess
			if like != "" {
				var positions inputerror.Positions
				var err error
				if s, positions, err = sheetFile(env, string(like), replaced); err != nil {
					return nil, err
				}
				earlier, err := audit.Run(s)
				var faults inputerror.List
				if errors.As(err, &faults) {
					return nil, positions.Explain(faults)
				}
				guess = plan.GuessFrom(earlier)
			}
			set(&s.Engine.Stroke, stroke, measured.length)
			set(&s.Engine.Rod, rod, measured.length)
			set(&s.Engine.PinOffset, pin, same)
			set(&s.Engine.BoreOffset, bore, same)
			set(&s.Part.Diameter, diameter, measured.length)
			set(&s.Part.Unit, diameter, func(m measured) geometry.Unit { return m.Unit })
			set(&s.Readout.Step, step, same)
			set(&s.Readout.Diameter, wheel, measured.length)
			set(&s.Readout.OffCentre, offCentre, measured.length)
			set(&s.Limits.Contact.Half, contact, measured.length)
			set(&s.Part.Sighting.Half, sighting, measured.length)
			if lost.given() {
				if !lost.value.HasValue || !lost.value.HasLimit {
					return nil, bad(c, "found --lost-motion %s, expected a value and its limit, such as \"0.1 ± 0.05\"", lost.text)
				}
				s.Readout.LostMotion, s.Readout.LostLimit, s.Readout.HasLostMotion = lost.value.Value, lost.value.Limit, true
			}
			if len(at) > 0 {
				s.Marks = nil
			}
			if len(at) == 0 && len(s.Marks) == 0 {
				at = []string{"0"}
			}
			for _, text := range at {
				angle, _, err := geometry.ParseAngle(text)
				if err != nil {
					return nil, bad(c, "--at: %v", err)
				}
				entered, err := geometry.CrankText(text)
				if err != nil {
					return nil, bad(c, "--at: %v", err)
				}
				s.Marks = append(s.Marks, sheet.Mark{Name: entered, At: angle, AtText: entered})
			}
			for i := range s.Marks {
				if tolerance.given() {
					s.Marks[i].Tolerance, s.Marks[i].Early, s.Marks[i].Late = tolerance.value, 0, 0
				}
				if s.Marks[i].Tolerance == 0 {
					return nil, bad(c, "found no --tolerance, expected degrees each way, such as 0.5")
				}
			}
			if s.Readout.Step == 0 {
				return nil, bad(c, "found no --step, expected the smallest step of the readout, such as 0.5")
			}
			guessed := usual(kind.word, &guess, like != "")
			set(&guess.Middle, stop, same)
			set(&guess.Reading, reading, same)
			set(&guess.Remount, remount, same)
			guessed = ungiven(guessed, stop.given(), reading.given(), remount.given())
			plan, err := plan.For(s, guess, halfArc.value, want.value)
			if err != nil {
				return nil, bad(c, "%v", err)
			}
			o := document.Options{Software: software, Budget: *budget}
			return printed(func(w io.Writer) error {
				return show(w, format.word, report.Plan(plan, s, guess, guessed, o), func() []drawing.Scene { return figure.Plan(plan, s) }, func(w io.Writer) error {
					return export.Plan(w, plan, guess, o)
				})
			})
		})
	}
	return c
}

// set takes a flag over where it was given.
func set[T, V any](to *T, flag *quantity[V], of func(V) T) {
	if flag.given() {
		*to = of(flag.value)
	}
}

func same[T any](x T) T { return x }

func (m measured) length() geometry.Length { return m.Length }

// usual fills in what scatters as is usual for such a readout, and names it.
// Common practice, no source.
func usual(kind string, g *plan.Guess, known bool) []string {
	typical := map[string]plan.Guess{
		"encoder":     {Middle: 0.035, Reading: 0.035, Remount: 0.1},
		"wheel":       {Middle: 0.15, Reading: 0.15, Remount: 0.1},
		"small wheel": {Middle: 0.3, Reading: 0.3, Remount: 0.15},
	}[kind]
	var named []string
	for _, x := range []struct {
		name      string
		to        *geometry.Angle
		otherwise geometry.Angle
	}{
		{"middles", &g.Middle, typical.Middle}, {"readings", &g.Reading, typical.Reading}, {"remounting", &g.Remount, typical.Remount},
	} {
		if *x.to > 0 || known && x.name != "remounting" {
			named = append(named, "")
			continue
		}
		*x.to = x.otherwise
		named = append(named, fmt.Sprintf("%s %s°", x.name, fmt.Sprint(float64(x.otherwise))))
	}
	return named
}

// ungiven leaves out the guesses that flags replaced, and those that were none.
func ungiven(guessed []string, given ...bool) (out []string) {
	for i, text := range guessed {
		if text != "" && !given[i] {
			out = append(out, text)
		}
	}
	return out
}
