package webserver

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// picture is the drawing of a question or of one of its answers. It says nothing
// that the words beside it do not say, so a screen reader passes it by.
func picture(name string) template.HTML {
	body, ok := askDrawings[name]
	if !ok {
		return ""
	}
	return template.HTML(`<svg class="pic1" viewBox="0 0 200 160" aria-hidden="true">` + body + `</svg>`) // drawings of this file alone
}

// A picture is 200 wide and 160 high. Classes: m metal, h hub, i outline, f fine
// line, w wall, k black, t an arrow of turning, a amber, d dashed, r rubber.
const (
	pointerOnTop = `<path class="k" d="M89 2h22l-11 20z"/>`
	plainDisc    = `<circle class="m" cx="100" cy="92" r="64"/><circle class="h" cx="100" cy="92" r="16"/>`
	cylinder     = `<path class="w" d="M56 44v110M144 44v110"/>`
	piston       = `<path class="m" d="M62 104h76v40H62z"/>`
	plugHole     = `<path class="m" d="M36 30h52v14H36zM112 30h52v14h-52z"/>`
	stopTool     = `<path class="a" d="M93 4h14v52h-3v40l-4 8-4-8V56h-3z"/>`
)

// onCircle is a point on a circle round the middle of the disc, by its angle clockwise
// from the top.
func onCircle(r, degrees float64) (x, y float64) {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return 100 + r*s, 92 - r*c
}

// edgeLine is a line across the edge of the disc.
func edgeLine(class string, inner, outer, degrees float64) string {
	x0, y0 := onCircle(inner, degrees)
	x1, y1 := onCircle(outer, degrees)
	return fmt.Sprintf(`<path class=%q d="M%.1f %.1fL%.1f %.1f"/>`, class, x0, y0, x1, y1)
}

// turning is an arrow from one angle to another; clockwise where that is the larger.
func turning(r, from, to float64) string {
	sweep, sign := 1, 1.0
	if to < from {
		sweep, sign = 0, -1
	}
	long := 0
	if math.Abs(to-from) > 180 {
		long = 1
	}
	x0, y0 := onCircle(r, from)
	x1, y1 := onCircle(r, to)
	a0, b0 := onCircle(r-14, to)
	a1, b1 := onCircle(r+14, to)
	a2, b2 := onCircle(r, to+sign*26)
	return fmt.Sprintf(`<path class="t" d="M%.1f %.1fA%g %g 0 %d %d %.1f %.1f"/><path class="tip" d="M%.1f %.1fL%.1f %.1fL%.1f %.1fZ"/>`, x0, y0, r, r, long, sweep, x1, y1, a0, b0, a1, b1, a2, b2)
}

func drawnText(x, y float64, text string) string {
	return fmt.Sprintf(`<text x="%g" y="%g">%s</text>`, x, y, text)
}

// graduated is a wheel with a line every so many degrees and its numbers.
func graduated(every float64, numbers ...string) string {
	var b strings.Builder
	b.WriteString(`<circle class="m" cx="100" cy="92" r="66"/><circle class="h" cx="100" cy="92" r="10"/>`)
	for d := 0.0; d < 360; d += every {
		class, inner := "f", 59.0
		if math.Mod(d, 90) == 0 {
			class, inner = "i", 55
		}
		b.WriteString(edgeLine(class, inner, 66, d))
	}
	return b.String() + drawnText(100, 58, numbers[0]) + drawnText(136, 100, numbers[1]) + drawnText(100, 142, numbers[2]) + drawnText(64, 100, numbers[3])
}

// scaleOf is a piece of a scale with so many parts between two numbers.
func scaleOf(parts int) string {
	var b strings.Builder
	b.WriteString(`<path class="m" d="M10 50h180v70H10z"/><path class="i" d="M30 50v44M170 50v44"/>`)
	for n := 1; n < parts; n++ {
		fmt.Fprintf(&b, `<path class="f" d="M%.1f 50v28"/>`, 30+140*float64(n)/float64(parts))
	}
	return b.String() + `<path class="k" d="M89 10h22l-11 34z"/>` + drawnText(30, 114, "30") + drawnText(170, 114, "31")
}

// window is what is seen of lines that pass behind a window.
func window(arrow string) string {
	return `<path class="m" d="M10 14h180v132H10z"/><path class="h" d="M46 42h108v76H46z"/><path class="i" d="M84 42v76M116 42v76"/>` + arrow
}

// edge is a line under the pointer that is read at one of three places, with an arrow
// the way it passes: to the right is +1, and 0 has no arrow.
func edge(x, way float64) string {
	face := `<path class="m" d="M10 70h180v76H10z"/><path class="k" d="M76 70h48v60H76z"/>` + fmt.Sprintf(`<path class="k" d="M%g 20h24l-12 46z"/>`, x-12)
	if way == 0 {
		return face
	}
	from := 100 - way*70
	return face + fmt.Sprintf(`<path class="t" d="M%g 112h%g"/><path class="tip" d="M%g 98l%g 14-%g 14z"/>`, from, way*22, from+way*20, way*22, way*22)
}

// namedLines is the disc with lines that have names: 23 before TDC on one side, clockwise
// being +1.
func namedLines(side float64) string {
	return plainDisc + edgeLine("i", 46, 64, 0) + edgeLine("i", 52, 64, side*23) + edgeLine("i", 46, 64, -side*120) + drawnText(100, 20, "TDC") + drawnText(100+side*54, 26, "23") + drawnText(100-side*76, 150, "2-5")
}

// btdcFace is the disc with TDC on top and lines on one side of it.
func btdcFace(side float64) string {
	return plainDisc + edgeLine("i", 46, 64, 0) + edgeLine("i", 52, 64, side*22) + edgeLine("i", 52, 64, side*36) + drawnText(100, 18, "TDC") + drawnText(100+side*66, 30, "BTDC")
}

var askDrawings = map[string]string{
	"sheet":                       `<path class="h" d="M50 8h76l24 24v120H50z"/><path class="f" d="M126 8v24h24M66 56h66M66 78h66M66 100h66M66 122h40"/>`,
	"pulley":                      plainDisc + `<circle class="f" cx="100" cy="92" r="52"/><circle class="f" cx="100" cy="92" r="58"/>` + edgeLine("i", 46, 64, 0) + edgeLine("i", 52, 64, -20) + pointerOnTop,
	"flywheel":                    `<circle class="m" cx="100" cy="92" r="66"/><circle class="f" cx="100" cy="92" r="50"/><circle class="h" cx="100" cy="92" r="14"/><path class="i" d="M100 78V42M100 106v36M86 92H50M114 92h36"/>` + edgeLine("i", 52, 66, 0) + edgeLine("i", 56, 66, 18) + pointerOnTop,
	"turning-part":                `<path class="m" d="M40 50h120v84H40z"/><path class="m" d="M10 84h30v16H10zM160 84h30v16h-30z"/><path class="i" d="M100 50v30M76 50v20"/><path class="k" d="M89 14h22l-11 30z"/>`,
	"scale":                       plainDisc + edgeLine("i", 40, 64, 0) + `<path class="a" d="M46 4h108v22H46z"/><path class="i" d="M64 26V14M82 26V14M100 26V8M118 26V14M136 26V14"/>`,
	"pulley-end":                  `<path class="m" d="M70 40h80v80H70z"/><path class="h" d="M150 72h40v20h-40z"/><path class="m" d="M44 50h26v64H44z"/><circle class="h" cx="20" cy="82" r="13"/><path class="k" d="M16 78h8v8h-8z"/>`,
	"flywheel-end":                `<path class="m" d="M50 40h80v80H50z"/><path class="h" d="M10 72h40v20H10z"/><path class="m" d="M130 20h20v124h-20z"/><circle class="h" cx="180" cy="82" r="13"/><path class="k" d="M176 78h8v8h-8z"/>`,
	"clockwise":                   plainDisc + edgeLine("i", 50, 64, 0) + turning(38, -75, 60) + pointerOnTop,
	"anticlockwise":               plainDisc + edgeLine("i", 50, 64, 0) + turning(38, 75, -60) + pointerOnTop,
	"btdc-clockwise":              btdcFace(1),
	"btdc-anticlockwise":          btdcFace(-1),
	"wheel":                       graduated(10, "0", "90", "180", "270"),
	"round":                       graduated(10, "0", "90", "180", "270"),
	"both-ways":                   graduated(10, "0", "90", "180", "90"),
	"encoder":                     `<path class="m" d="M20 50h70v70H20z"/><circle class="h" cx="55" cy="85" r="14"/><path class="i" d="M90 85h26"/><path class="h" d="M116 60h74v50h-74z"/>` + drawnText(153, 93, "338.5"),
	"tape":                        plainDisc + `<path class="a" d="M100 22A70 70 0 0 1 166 68L158 71A61 61 0 0 0 100 31z"/>` + edgeLine("i", 60, 74, 0) + edgeLine("i", 60, 74, 66),
	"chord":                       plainDisc + edgeLine("i", 52, 66, 0) + edgeLine("i", 52, 66, 66) + `<path class="i" d="M100 28L158 66"/><path class="i" d="M100 28L140 10L158 66"/>`,
	"step":                        scaleOf(2),
	"step-1":                      scaleOf(1),
	"step-2":                      scaleOf(2),
	"step-4":                      scaleOf(4),
	"step-10":                     scaleOf(10),
	"quarter":                     plainDisc + edgeLine("i", 46, 64, 0) + pointerOnTop,
	"quarter-clockwise":           plainDisc + edgeLine("i", 46, 64, 0) + edgeLine("i", 46, 64, 90) + turning(38, 0, 66) + pointerOnTop,
	"quarter-anticlockwise":       plainDisc + edgeLine("i", 46, 64, 0) + edgeLine("i", 46, 64, -90) + turning(38, 0, -66) + pointerOnTop,
	"lines":                       plainDisc + edgeLine("i", 46, 64, 0) + drawnText(100, 20, "TDC"),
	"lines-clockwise":             namedLines(1),
	"lines-anticlockwise":         namedLines(-1),
	"tolerance":                   `<path class="m" d="M10 60h180v60H10z"/><path class="h" d="M70 60h60v60H70z"/><path class="d" d="M100 44v92"/><path class="i" d="M112 60v60"/>` + drawnText(100, 36, "± ?"),
	"across":                      plainDisc + `<path class="i" d="M40 92h120"/><path class="k" d="M36 92l18-10v20zM164 92l-18-10v20z"/>`,
	"around":                      plainDisc + `<circle class="i" cx="100" cy="92" r="67"/><path class="i" d="M164 70l26-14"/>`,
	"solid":                       plainDisc + edgeLine("i", 46, 64, 0),
	"ring":                        `<circle class="m" cx="100" cy="84" r="72"/><circle class="g" cx="100" cy="84" r="52"/><circle class="f" cx="100" cy="84" r="57"/><circle class="f" cx="100" cy="84" r="47"/><circle class="h" cx="100" cy="84" r="14"/><path class="i" d="M100 12v14"/>` + drawnText(100, 60, "hub"),
	"on-ring":                     `<circle class="m" cx="100" cy="84" r="72"/><circle class="g" cx="100" cy="84" r="50"/><circle class="h" cx="100" cy="84" r="14"/><path class="i" d="M100 12v24"/><path class="tip" d="M170 10l-58 8 20 20z"/>`,
	"on-hub":                      `<circle class="m" cx="100" cy="84" r="72"/><circle class="g" cx="100" cy="84" r="50"/><circle class="h" cx="100" cy="84" r="14"/><path class="i" d="M100 44v24"/><path class="tip" d="M170 30l-58 22 22 18z"/>`,
	"one-row":                     `<path class="m" d="M20 100h160v44H20z"/><path class="m" d="M30 40h30v60H30zM68 40h30v60H68zM106 40h30v60h-30zM144 40h30v60h-30z"/>`,
	"two-rows":                    `<path class="m" d="M70 104h60v44H70z"/><path class="m" d="M84 104L40 26l30-16 40 76zM116 104l44-78-30-16-40 76z"/>`,
	"cylinder":                    cylinder + piston,
	"face":                        plainDisc + edgeLine("i", 46, 64, 0) + edgeLine("i", 52, 64, 20) + pointerOnTop,
	"window-left":                 window(`<path class="t" d="M136 82h-44"/><path class="tip" d="M94 64l-30 18 30 18z"/>`),
	"window-right":                window(`<path class="t" d="M64 82h44"/><path class="tip" d="M106 64l30 18-30 18z"/>`),
	"window-up":                   window(`<path class="t" d="M100 112V80"/><path class="tip" d="M82 82l18-30 18 30z"/>`),
	"window-down":                 window(`<path class="t" d="M100 48v32"/><path class="tip" d="M82 78l18 30 18-30z"/>`),
	"two-ways":                    plainDisc + turning(40, 12, 110) + turning(40, -12, -110),
	"one-way":                     plainDisc + edgeLine("i", 50, 64, 0),
	"one-way-clockwise":           plainDisc + turning(40, -60, 80),
	"one-way-anticlockwise":       plainDisc + turning(40, 60, -80),
	"stop-clears":                 cylinder + plugHole + piston + stopTool + `<path class="i" d="M75 6v44M125 6v44"/><path class="h" d="M63 58l10-8h4l10 8zM113 58l10-8h4l10 8z"/>`,
	"stop-meets":                  cylinder + plugHole + piston + stopTool + `<path class="i" d="M76 6v66M124 6v66"/><path class="h" d="M62 80l12-8h4l14 8zM108 80l14-8h4l12 8z"/><circle class="d" cx="100" cy="78" r="24"/>`,
	"two-stroke":                  cylinder + plugHole + piston + stopTool + `<path class="h" d="M140 90h30v24h-30z"/>`,
	"no-stop":                     cylinder + plugHole + piston + `<path class="i" d="M100 104V56"/><circle class="h" cx="100" cy="28" r="26"/><path class="i" d="M100 28l12-14"/>`,
	"stroke":                      `<path class="w" d="M56 14v140M144 14v140"/><path class="m" d="M62 22h76v36H62z"/><path class="d" d="M62 96h76v36H62z"/><path class="i" d="M172 22v74"/><path class="k" d="M172 16l-10 18h20zM172 102l-10-18h20z"/>`,
	"rod":                         `<path class="m" d="M70 8h60v36H70z"/><circle class="h" cx="100" cy="28" r="8"/><path class="m" d="M94 36h12l10 80H84z"/><circle class="m" cx="100" cy="132" r="22"/><circle class="h" cx="100" cy="132" r="10"/><path class="i" d="M158 28v104"/><path class="k" d="M158 22l-10 18h20zM158 138l-10-18h20z"/>`,
	"offset":                      `<path class="w" d="M56 10v80M144 10v80"/><path class="m" d="M62 20h76v46H62z"/><circle class="h" cx="112" cy="42" r="8"/><path class="d" d="M100 4v150"/><path class="f" d="M112 42v112"/><circle class="h" cx="100" cy="130" r="14"/>`,
	"half-speed":                  `<circle class="m" cx="66" cy="110" r="34"/><circle class="h" cx="66" cy="110" r="8"/><circle class="m" cx="136" cy="66" r="58"/><circle class="h" cx="136" cy="66" r="10"/>` + drawnText(136, 44, "1") + drawnText(66, 96, "2"),
	"full-speed":                  plainDisc + `<circle class="h" cx="100" cy="92" r="36"/><path class="i" d="M100 76V56M100 28v14"/>` + pointerOnTop,
	"teeth":                       plainDisc + `<circle class="g" cx="100" cy="92" r="66"/>`,
	"edges":                       edge(100, 0),
	"edge-centre":                 edge(100, 0),
	"edge-leading-clockwise":      edge(124, 1),
	"edge-leading-anticlockwise":  edge(76, -1),
	"edge-trailing-clockwise":     edge(76, 1),
	"edge-trailing-anticlockwise": edge(124, -1),
	"off-centre":                  `<circle class="m" cx="100" cy="82" r="70"/><circle class="h" cx="110" cy="82" r="12"/><path class="d" d="M100 4v156M22 82h156"/><path class="i" d="M110 72v20M100 82h20"/>`,
	"remove":                      `<path class="m" d="M10 60h180v60H10z"/><path class="d" d="M100 60v60"/><path class="i" d="M76 66l48 48M124 66l-48 48"/>`,
}
