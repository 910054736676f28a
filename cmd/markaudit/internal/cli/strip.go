package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/paper"
	"markaudit/cmd/markaudit/internal/phrase"
	"markaudit/cmd/markaudit/internal/world"
	"markaudit/geometry"
)

// officePaper is how thick it is, at 80 g/m²; common practice, no source.
const officePaper geometry.Length = 0.1

func newStrip(env world.World) *cobra.Command {
	var output outputName
	c := &cobra.Command{
		Use:     "strip SHEET",
		GroupID: "sheets",
		Short:   "Draw 1:1 strips of paper to scribe new lines by",
		Long: `strip audits a sheet and draws, in true size, a strip of paper for each line
that the audit wants scribed anew: lay it on the rim, bring the old line to the
foot of the open flag, and scribe at the foot of the black one. Where all lines
are off alike it draws one strip for the pointer or for the turning line. With
--slope it draws a template for a chamfer or a face; with --tape crank degrees
for that rim, the short way round or over the angle between; with --full once
round the part. A PDF comes on sheets of paper, with pieces to be glued where a
strip is longer; an SVG in one piece. Print at 100 % and measure a check line.

It draws nothing where the audit gives no instruction, or where a new line would
be known no better than the old one is wrong; --force draws it all the same.`,
		Example: `markaudit strip pump.yaml --output strip.pdf
markaudit strip pump.yaml --output strip.pdf --paper Letter --measured "99.6 mm"
markaudit strip pump.yaml --output strip.pdf --slope 90 --width "14 mm"
markaudit strip pump.yaml --output tape.svg --tape "20 ATDC..60 BTDC"`,
		ValidArgsFunction: cobra.FixedCompletions([]cobra.Completion{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt),
	}
	c.Flags().Var(&output, "output", "write the strips to this file, whole or not at all; its name ends in .pdf or .svg")
	size := choose(c, "paper", "A4", "size of the paper", "A4", "Letter")
	thickness := flagged(c, "thickness", "`LENGTH`, how thick the paper is (0.1 mm)", readPaper)
	measured := flagged(c, "measured", "`LENGTH` that the check line of 100 mm, or of 4 in, had on the last print, to make up for a printer that does not keep to scale", readCheckLine)
	tape := flagged(c, "tape", "draw a tape with crank degrees instead, from one `ANGLE..ANGLE` to the other the short way, or ANGLE..ANGLE..ANGLE over the middle one", readTape)
	width := flagged(c, "width", "`LENGTH`, how wide the strip is, 11 to 60 mm (18 mm, a template 21 mm); only its graduations must lie on the land", readWidth)
	slope := flagged(c, "slope", "`DEGREES` by which the marked surface leans from the rim: 0 a rim, 45 a chamfer that faces you, 90 a face; with part.diameter that of its outer corner", readSlope)
	full := c.Flags().Bool("full", false, "draw one strip all the way round, with every line that was read")
	groove := c.Flags().Bool("groove", false, "show how the strip lies on a V-belt pulley, over its groove")
	force := c.Flags().Bool("force", false, "draw it even if the audit gives no instruction or doubts that it is worth it")
	c.Args = func(c *cobra.Command, args []string) error {
		switch {
		case len(args) != 1:
			return bad(c, "found %s, expected one sheet", phrase.Count(len(args), "argument"))
		case tape.given() && *full:
			return bad(c, "found --tape and --full, expected one of them")
		}
		return drawable(c, env, string(output), ".pdf", ".svg")
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		o := paper.StripOptions{
			Thickness: officePaper, Measured: measured.value, Width: width.value, Slope: slope.value, Tape: tape.value,
			Full: *full, Force: *force, Groove: *groove,
			Path: args[0], Software: software,
		}
		if size.word == "Letter" {
			o.Paper = paper.Letter
		}
		if thickness.given() {
			o.Thickness = thickness.value
		}
		return into(env, string(output), func(w io.Writer, replaced fs.FileInfo) error {
			d, err := drawStrips(env, args[0], o, replaced)
			if err != nil {
				return err
			}
			if strings.EqualFold(filepath.Ext(string(output)), ".svg") {
				return drawing.SVG(w, d.Whole)
			}
			return drawing.TrueSizePDF(w, d.Title, d.Pages)
		})
	}
	return c
}

// drawStrips audits one sheet and draws its strips.
func drawStrips(env world.World, name string, o paper.StripOptions, replaced fs.FileInfo) (paper.Drawn, error) {
	s, positions, err := sheetFile(env, name, replaced)
	if err != nil {
		return paper.Drawn{}, err
	}
	r, err := audit.Run(s)
	var faults inputerror.List
	if errors.As(err, &faults) {
		return paper.Drawn{}, positions.Explain(faults)
	}
	d, err := paper.Strip(r, o)
	if err != nil {
		err = fmt.Errorf("%s: %w", phrase.Shown(name), err)
	}
	return d, err
}

// drawable checks where a drawing shall go: to a file of a kind that can be
// drawn, or into a pipe.
func drawable(c *cobra.Command, env world.World, output string, kinds ...string) error {
	if output == "" {
		if env.OnScreen {
			return bad(c, "found no --output, expected the name of a file: a terminal can't show a drawing")
		}
		return nil
	}
	for _, kind := range kinds {
		if strings.EqualFold(filepath.Ext(output), kind) {
			return nil
		}
	}
	return bad(c, "--output: found %s, expected a name that ends in %s", phrase.Shown(output), phrase.OneOf(kinds))
}

// readTape reads two crank angles with .. between them, or three: over which one.
func readTape(text string) ([]geometry.Angle, error) {
	parts := strings.Split(text, "..")
	if len(parts) < 2 || len(parts) > 3 {
		return nil, fmt.Errorf("found %s, expected two angles such as 20 ATDC..60 BTDC, or three to name the way", phrase.Shown(text))
	}
	ends := make([]geometry.Angle, len(parts))
	for i, part := range parts {
		var err error
		if ends[i], _, err = geometry.ParseAngle(part); err != nil {
			return nil, err
		}
	}
	if len(ends) == 2 && ends[0] == ends[1] {
		return nil, fmt.Errorf("found %s, expected two angles that differ", phrase.Shown(text))
	}
	return ends, nil
}

// readCheckLine reads what a printer made of the check line of 100 mm, or of that of 4
// inches, as what it makes of 100 mm.
func readCheckLine(text string) (geometry.Length, error) {
	l, unit, err := geometry.ParseLength(text)
	if err != nil {
		return 0, err
	}
	if unit.Imperial() {
		l *= 100 / (4 * 25.4)
	}
	if l < 90 || l > 110 {
		return 0, fmt.Errorf("found %s, expected what a check line measures on paper: 90 to 110 mm for that of 100 mm, 3.6 to 4.4 in for that of 4 in", phrase.Shown(text))
	}
	return l, nil
}

// readWidth reads how wide a strip is.
func readWidth(text string) (geometry.Length, error) {
	l, _, err := geometry.ParseLength(text)
	switch {
	case err != nil:
		return 0, err
	case l < 11:
		return 0, fmt.Errorf("found %s, expected at least 11 mm\n  hint: let the strip reach over the groove or onto the hub; only its graduations must lie on the land", phrase.Shown(text))
	case l > 60:
		return 0, fmt.Errorf("found %s, expected at most 60 mm", phrase.Shown(text))
	}
	return l, nil
}

// readSlope reads by how many degrees a surface leans from the rim.
func readSlope(text string) (geometry.Angle, error) {
	a, err := geometry.ParseNumber(strings.TrimSuffix(strings.TrimSpace(text), "°"))
	if err != nil || a != 0 && (a < 1 || a > 90) {
		return 0, fmt.Errorf("found %s, expected 0 for a rim, or 1 to 90 degrees: 45 for a chamfer, 90 for a face", phrase.Shown(text))
	}
	return geometry.Angle(a), nil
}

// readPaper reads how thick paper is: what is thicker than card does not wrap
// round a rim.
func readPaper(text string) (geometry.Length, error) {
	l, err := readThickness(text)
	if err == nil && l > 2 {
		err = fmt.Errorf("found %s, expected the thickness of paper or card, at most 2 mm", phrase.Shown(text))
	}
	return l, err
}
